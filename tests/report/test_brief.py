"""A ranking on one screen: never more than 40 lines, what matters first, the verdict last."""

import pytest
from msgspec.structs import replace
from tests.report.conftest import load
from tests.report.test_shortfall import made_up, none
from tests.selection import some_rows
from tests.shipped import NAMES, NONE, ROOT, shipped

from lampwright.app.render import search_text
from lampwright.report.brief import MOST_LINES, Kept, brief_text
from lampwright.report.topics.states import short_tables
from lampwright.results.design import Design, LampReading, StateRow
from lampwright.results.json_text import as_written
from lampwright.results.ranking import Ranking

KEPT = Kept("results/a_name_of_thirty_characters_x", "specs/a_name_of_thirty_characters_x.toml")


def lines(ranking: Ranking, width: int = 80) -> list[str]:
    said = brief_text(ranking, width, KEPT).splitlines()
    assert len(said) <= MOST_LINES == 40, f"{len(said)} lines"
    assert max(map(len, said)) <= width, "a line is too wide"
    return said


def flat(text: str) -> str:
    return " ".join(text.split())


def with_states(design: Design, lamps: int, controls: int) -> Design:
    """A design with so many lamps more, which do in every of many settings what they do nowhere else."""
    (first, *_) = design.states
    (sample, *_) = first.lamps
    names = [f"lamp_with_a_long_name_{at}" for at in range(lamps)]

    def reading(lamp: str, at: int) -> LampReading:
        return replace(sample, lamp=lamp, flux=0.3 + 0.01 * at, level="lit", wanted="lit", meets=at % 3 > 0)

    states = tuple(
        StateRow(
            state=f"setting {at}", phase="", nodes=(), parts=(),
            lamps=tuple(reading(one, at) for one in names),
            positions=tuple((f"control_{bit}", "on" if at >> bit & 1 else "off") for bit in range(controls)),
        )
        for at in range(2**controls)
    )  # fmt: skip
    filament = next(part for part in design.parts if part.kind == "filament")
    own = tuple(replace(filament, ref=name, lamp=name, from_node="58", to_node="31") for name in names)
    return replace(design, states=states, parts=own)


@pytest.mark.parametrize("width", [80, 132, 200])
def test_examples_fit_one_screen(ranking: Ranking, width: int) -> None:
    last = "\n".join(lines(ranking, width)).rsplit("\n\n", 1)[-1]
    assert flat(last) == ranking.verdict.text, "something stands behind the verdict"


@pytest.mark.parametrize(("lamps", "controls"), some_rows([(1, 6), (5, 5), (8, 2), (30, 4), (60, 1)], 4))
def test_many_lamps_and_states_fold(lamps: int, controls: int) -> None:
    ranking = load("sidecar")
    many = with_states(ranking.designs[0], lamps, controls)
    said = lines(replace(ranking, designs=(many, *ranking.designs[1:])))
    (left_out,) = (line for line in said if line.startswith("… "))
    assert left_out.endswith("left out; --all shows them"), left_out
    shown = sum(line.startswith(("on ", "off ")) for line in said)
    assert shown, "no row of the table is left"
    if lamps == 1:
        assert f"{2**controls - shown} rows" in left_out, "the rows left out are not those not shown"


def test_rows_in_which_something_is_asked_go_first() -> None:
    design = with_states(load("sidecar").designs[0], 2, 5)
    idle = [replace(lamp, wanted="any", meets=True) for lamp in design.states[0].lamps]
    states = tuple(
        replace(state, lamps=tuple(idle)) if at < 28 else state for at, state in enumerate(design.states)
    )
    said = short_tables(states, 80, 9)
    assert len(said.splitlines()) <= 9, said
    assert said.count("\non ") + said.count("\noff ") == 4, "not the four rows in which something is asked"
    assert "(lit" not in said, "a row in which nothing is asked"


def test_nothing_is_left_out_where_there_is_room() -> None:
    states = load("sidecar").designs[0].states
    assert "left out" not in short_tables(states, 200, 60), "there is room for all"


@pytest.mark.parametrize("name", NAMES)
def test_shipped_specs_fit_one_screen(name: str) -> None:
    ranking = as_written(shipped(name))
    said = lines(ranking)
    last = "\n".join(said).rsplit("\n\n", 1)[-1]
    assert flat(last) == ranking.verdict.text, "something stands behind the verdict"
    text = flat("\n".join(said))
    assert "page.html" in text, "the page is not told of"
    if name not in NONE:
        design = ranking.designs[0]
        assert f"Margin {design.margin_stops:.2f} stops" in text, "the margin is not told"
        assert "Faults The worst is" in text, "the worst fault is not told"
        assert all(lamp.lamp in text for lamp in design.states[0].lamps), "a lamp is not spoken of"


def test_what_would_help_goes_before_why_there_is_none() -> None:
    ranking = replace(load("none"), shortfall=replace(made_up(), conflict=none().conflict))
    text = "\n".join(lines(ranking))
    order = [
        "What would help",
        "Conflict  ",
        "the nearest circuits miss",
        "Proof  ",
        ranking.verdict.text[:20],
    ]
    found = [text.find(one) for one in order]
    assert -1 not in found, f"missing: {order[found.index(-1)]}"
    assert found == sorted(found), "what would help, what conflicts, what comes near, the proof, the verdict"


def test_a_rating_that_stands_in_the_way_is_told_of() -> None:
    text = flat("\n".join(lines(replace(load("none"), shortfall=made_up()))))
    assert "Ratings Some circuits give every lamp what is asked: a rating or the coupling stands" in text, (
        text
    )
    assert "Conflict" not in text, "nothing that is asked conflicts"


def test_late_lamps_and_hot_resistors_are_told_of() -> None:
    text = flat("\n".join(lines(as_written(shipped("trailer_pair_from_the_box")))))
    assert "Heat R1, 10 W: 7.5 W of heat at worst, loaded to 75 %" in text, "a hot resistor is passed over"
    assert "Box Build left and right as design 1: 1 part to buy for 0.40 in all." in text, "the box"
    text = flat("\n".join(lines(as_written(shipped("recovery_alternating_pair")))))
    assert "Flashing Every lamp keeps up at 60, 90 and 120 flashes a minute." in text, "flashing"


@pytest.mark.parametrize(
    ("name", "said"),
    [("parking_light_selector", "╱ parking  ╱ parking"), ("bench_bridged_bulb", "╱ bridge")],
)
def test_selectors_are_drawn_on_one_screen_too(name: str, said: str) -> None:
    path = ROOT / "specs" / f"{name}.toml"
    text = search_text(shipped(name), 80, 0, KEPT.folder, KEPT.again, path)
    assert said in text
    assert len(text.splitlines()) <= MOST_LINES
    other = search_text(shipped(name), 80, 0, KEPT.folder, KEPT.again, ROOT / "specs" / "no_such_file.toml")
    assert said not in other, "a spec that is gone takes nothing but its selectors"


def test_what_a_design_takes_comes_between_no_two_lines_on_its_margin() -> None:
    said = lines(shipped("handcart_tail_or_stop"))
    topics = [line.split()[0] for line in said if line[:1].isalpha()]
    assert topics.index("Takes") == topics.index("Margin") + 1
    assert any(
        "Most uncertain" in line
        for line in said[said.index(_of(said, "Margin")) : said.index(_of(said, "Takes"))]
    )


def _of(said: list[str], topic: str) -> str:
    return next(line for line in said if line.startswith(topic))
