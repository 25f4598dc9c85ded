"""A hostile spec runs nothing, and the page asks for nothing.

Source: Content Security Policy Level 3 as the browser enforces it; the attacks are common practice.
"""

import json
import re
from pathlib import Path

import pytest
from msgspec.structs import replace
from tests.report.test_page.bench import FOUND, INVENTED, NONE, OWN, ROOT, run_of
from tests.report.test_page.conftest import Opener
from tests.selection import some

from lampwright.app.api import search
from lampwright.app.controls import controls_of
from lampwright.app.render import ranking_page
from lampwright.problem.reading import read_spec
from lampwright.report.page.file import page_html
from lampwright.results.ranking import Ranking
from lampwright.results.trials import Sweep

ATTACK = "</script><script>document.title='pwned'</script><img src=x onerror=\"document.title='pwned'\">"
BREAKERS = (ATTACK, "</title></style></svg>" + ATTACK, "--><!--<script>" + ATTACK, "{{ 7 * 7 }}\u2028'\"`")


def told_everywhere(ranking: Ranking, attack: str) -> Ranking:
    """Put an attack wherever the ranking holds free text, and into every name of a design."""
    text = json.dumps(attack)[1:-1]
    first = ranking.designs[0]
    parts = tuple(replace(part, type=(part.type or "") + attack) for part in first.parts)
    rating = first.ratings.lamps[0]
    states = tuple(
        replace(row, lamps=tuple(replace(lamp, wanted=attack) for lamp in row.lamps)) for row in first.states
    )
    design = replace(
        first,
        parts=parts,
        states=states,
        tightest=replace(first.tightest, corner=attack),
        ratings=replace(first.ratings, lamps=(replace(rating, corner=attack),)),
        choices=(replace(first.choices[0], fitted=(attack,)),),
        trials=tuple(replace(trial, fault=attack, nodes=(attack,)) for trial in first.trials),
        sweep=attacked_sweep(first.sweep, attack),
    )
    return replace(
        ranking,
        spec=replace(ranking.spec, title=attack, name=attack),
        verdict=replace(ranking.verdict, text=attack, proved=(attack,)),
        search=replace(ranking.search, types=(attack, text), unconstrained=(attack,)),
        cautions=(attack,),
        designs=(design,),
    )


def attacked_sweep(sweep: Sweep | None, attack: str) -> Sweep:
    """Put an attack into the words of a sweep."""
    assert sweep is not None
    return replace(
        sweep,
        levels=tuple(replace(level, word=attack) for level in sweep.levels),
        lines=tuple(replace(line, wanted=attack) for line in sweep.lines),
    )


@pytest.mark.parametrize("attack", BREAKERS)
def test_no_text_of_a_ranking_runs(attack: str, opened: Opener) -> None:
    run = run_of("recovery_alternating_pair")
    html = page_html(told_everywhere(run.ranking, attack), controls_of(run.spec), attack)
    with opened(html) as bench:
        bench.page.wait_for_timeout(0)
        assert bench.page.title() == f"{attack} – lampwright", "the title is not the text"
        assert bench.page.locator("script").count() == 2, "a script was smuggled in"
        assert bench.page.locator("img").count() == 0, "an element was smuggled in"
        assert bench.page.locator("#spec code").text_content() == attack, "the spec's text is not the text"
        asked = [lamp["asked"] for lamp in bench.seen()["lamps"].values()]
        assert asked == [f"{attack}: kept"] * 2, "what is asked is not the text"
        offered = bench.page.locator("#fault option").all_text_contents()
        assert set(offered[1:]) == {attack}, "the name of a fault is not the text"
        bench.page.locator("#fault").select_option(index=1)
        named = bench.page.locator(".sheet:visible .fault-name").text_content()
        assert named == f"Fault: {attack}", "the fault is not named by its text"
        words = bench.page.locator(".sheet:visible .word-of").all_text_contents()
        assert set(words) == {attack}, "a word of the chart is not the text"
        assert bench.page.locator("script").count() == 2, "a script was smuggled in by a fault"
        assert bench.page.locator("img").count() == 0, "an element was smuggled in by a fault"
        assert bench.complaints == [], "the console complains"


def test_a_hostile_spec_file_runs_nothing(opened: Opener, tmp_path: Path) -> None:
    text = (ROOT / "specs" / "recovery_alternating_pair.toml").read_text(encoding="utf-8")
    title = ATTACK.replace('"', '\\"')
    text = re.sub(r'title = ".*"', lambda _: f'title = "{title}"', text) + f"\n# {ATTACK}\n"
    path = tmp_path / "hostile.toml"
    path.write_text(text, encoding="utf-8")
    spec = read_spec(path)
    with opened(ranking_page(search(path), spec)) as bench:
        assert bench.page.title() == f"{ATTACK} – lampwright", "the title is not the text"
        assert bench.page.locator("#spec code").text_content() == text, "the spec is not as written"
        assert bench.page.locator("script").count() == 2, "a script was smuggled in"


def test_the_policy_stops_a_script_that_got_in(opened: Opener) -> None:
    with opened(run_of("recovery_alternating_pair").html) as bench:
        bench.page.evaluate(
            "const one = document.createElement('script'); one.textContent = 'window.ran = true';"
            "document.body.append(one)"
        )
        assert bench.page.evaluate("window.ran") is None, "a foreign script ran"
        assert any("Content Security Policy" in one for one in bench.complaints), "no policy spoke"


@pytest.mark.parametrize("name", some([*FOUND, NONE], ["sidecar_side_lamp"]))
def test_nothing_is_asked_of_the_network(name: str, opened: Opener) -> None:
    with opened(run_of(name).html, clock=False) as bench:
        bench.page.wait_for_load_state("networkidle")
        assert len(bench.requests) == 1, f"asked for {bench.requests[1:]}"
        assert bench.requests[0].startswith("file:"), "not opened as a file"
        assert bench.complaints == [], "the console complains"


def test_the_tests_own_specs_are_there() -> None:
    assert {path.stem for path in (OWN / "specs").glob("*.toml")} == set(INVENTED), "the folder of specs"
