"""What a text must say, whatever its layout."""

import pytest
from msgspec.structs import replace

from lampwright.report.layout import heading
from lampwright.report.text import ranking_text
from lampwright.results.design import Rating
from lampwright.results.ranking import PartCount, Ranking


def test_the_verdict_comes_last(ranking: Ranking) -> None:
    last = ranking_text(ranking).rsplit("\n\n", 1)[-1].replace("\n", " ").strip()
    assert last == ranking.verdict.text, "something stands behind the verdict"


@pytest.mark.parametrize("most", [1, 3, 7, 100])
def test_most_bounds_the_designs(sidecar: Ranking, most: int) -> None:
    text = ranking_text(sidecar, most)
    assert text.count("── Design ") == min(most, 7), "another number of designs"
    assert ("--most shows more" in text) == (most < 7), "says there are more, or hides them"


@pytest.mark.parametrize("width", [60, 80, 100])
def test_the_width_is_kept(ranking: Ranking, width: int) -> None:
    assert max(len(line) for line in ranking_text(ranking, 5, width).splitlines()) <= width, "too wide"


def test_a_wrong_listing_is_shouted(sidecar: Ranking) -> None:
    wrong = replace(
        sidecar.search,
        part_counts=(PartCount(extra_parts=1, listed=33209, orbits=33210, complete=True, ruled_out=False),),
    )
    assert "THESE SHOULD BE EQUAL" in ranking_text(replace(sidecar, search=wrong)), "a defect goes unseen"


def test_what_the_bound_rules_out_is_not_called_unfinished(sidecar: Ranking) -> None:
    stages = tuple(replace(stage, entered=0, left=0) for stage in sidecar.search.stages)
    nothing = replace(
        sidecar.search,
        part_counts=(PartCount(extra_parts=0, listed=0, orbits=5, complete=False, ruled_out=True),),
        stages=stages,
    )
    text = ranking_text(replace(sidecar, search=nothing))
    assert "0 extra parts: 5 counted circuits not listed, since the bound rules them out" in text, "not said"
    assert "not complete" not in text, "a search that ended is called unfinished"
    assert "entered" not in text, "a table of noughts"


def test_an_exceeded_rating_is_marked(sidecar: Ranking) -> None:
    design = sidecar.designs[0]
    hot = replace(
        design.ratings, resistors=(Rating(ref="r1", worst=10.01, limit=10.0, unit="W", state="", corner=""),)
    )
    text = ranking_text(replace(sidecar, designs=(replace(design, ratings=hot),)))
    assert "!r1 10 W of 10 W" in text, "a resistor beyond its rating is not marked"


def test_nothing_found_gives_the_reasons(sidecar: Ranking) -> None:
    text = ranking_text(replace(sidecar, designs=()))
    for stage in sidecar.search.stages:
        claims = " ".join(text.split()).count(stage.claim)
        assert claims == (1 if stage.left < stage.entered else 0), f"{stage.name}: its claim"


def test_cautions_are_in_every_report(ranking: Ranking) -> None:
    flat = " ".join(ranking_text(ranking).split())
    for caution in ranking.cautions:
        assert caution in flat, "a caution is missing"


def test_a_long_heading_folds() -> None:
    lines = heading("a lamp type with a very long name " * 4, 60).splitlines()
    assert len(lines) > 1, "a long heading does not fold"
    assert max(len(line) for line in lines) <= 60, "a long heading is too wide"
