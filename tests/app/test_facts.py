"""What each shipped spec comes to, as short facts that a fresh search reproduces.

`results/<spec>.toml` has the verdict, the counts and the designs' parts and margins; the whole ranking and
the page are written beside it by `lampwright search` and not kept. To accept a change: LAMPWRIGHT_ACCEPT=1,
and read the difference.
"""

import html
import json
import os
import re
import tomllib
from itertools import chain

import pytest
from tests.shipped import NAMES, NONE, ROOT, SPECS, shipped

from lampwright.app.controls import controls_of
from lampwright.app.drawing import drawing
from lampwright.app.render import ranking_page
from lampwright.problem.reading import read_spec
from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.text import schematic_text
from lampwright.report.text import ranking_text
from lampwright.results.design import Design, PartRow
from lampwright.results.ranking import NotTaken, Ranking

MOST_TOLD = 12
"""Designs told in full, the best first."""

ROUNDED = ("margin_stops", "fault_score", "worst_drop_volts")
LAST_DIGIT = 1.1e-3
"""These are rounded to three decimals, and the last one may differ between processors."""


SCHOOL = tuple(name for name in NAMES if name.startswith(("lesson_", "bench_")))


@pytest.mark.parametrize("name", [*SCHOOL, "sidecar_side_lamp"])
def test_what_is_told_of_a_school_bench_knows_no_battery_and_no_vehicle(name: str) -> None:
    spec = read_spec(ROOT / "specs" / f"{name}.toml")
    told = shipped(name)
    feeds = feeds_of(told.designs[0], controls_of(spec))
    page = ranking_page(told, spec).replace(html.escape(spec.text, quote=False), "")
    for said in (page, ranking_text(told), schematic_text(told.designs[0], feeds)):
        shown = re.sub(r"<style>.*?</style>|<script.*?</script>", "", said, flags=re.DOTALL)
        words = re.findall(r"battery|vehicle", shown)
        assert bool(words) == (name not in SCHOOL), f"{words} in the wrong place"


@pytest.mark.parametrize("name", NAMES)
def test_a_state_is_named_by_the_positions_it_has(name: str) -> None:
    ranking = shipped(name)
    near = ranking.shortfall.near_misses if ranking.shortfall else ()
    for state in chain.from_iterable(one.states for one in (*ranking.designs, *(one.design for one in near))):
        said = ", ".join(
            f"{control} {position}" for control, position in state.positions if position != "off"
        )
        assert state.positions, "no control is told of"
        said = ", ".join(filter(None, (said or "all off", state.damage)))
        assert said == state.state, "a state is called otherwise than its controls stand"


def quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def part_text(part: PartRow) -> str:
    of = part.type or (f"{part.ohms:g} ohm" if part.ohms is not None else "")
    return " ".join(filter(None, (part.ref, of, part.from_node, part.to_node)))


def design_lines(design: Design) -> list[str]:
    return [
        "",
        "[[designs]]",
        f"margin_stops = {design.margin_stops:.3f}",
        f"wires = {design.wires}",
        f"joints = {design.joints}",
        f"tightest = {quoted(f'{design.tightest.lamp} in {design.tightest.state}')}",
        f"parts = [{', '.join(quoted(part_text(part)) for part in design.parts)}]",
        *assessment_lines(design),
    ]


def assessment_lines(design: Design) -> list[str]:
    if design.care is None or design.flashing is None:
        return []
    worst = max(row.drop_volts or 0.0 for row in design.wiring.wires) if design.wiring else None
    return [
        f"fault_score = {design.care.faults.score:.3f}",
        f"good_copies = {design.care.tolerance.drawn.good}",
        f"keeps_up = {str(design.flashing.keeps_up).lower()}",
        *([] if worst is None else [f"worst_drop_volts = {worst:.3f}"]),
    ]


def not_taken_text(one: NotTaken) -> str:
    missed = one.missed
    return f"{one.lamp} {one.type}: {f'{missed.lamp} in {missed.state}' if missed else ', '.join(one.over)}"


def facts_text(name: str, ranking: Ranking) -> str:
    counts = ranking.search.part_counts
    lines = [
        f"# What `lampwright search specs/{name}.toml` comes to; held true by tests/app/test_facts.py.",
        f"spec = {quoted(ranking.spec.digest)}",
        f"verdict = {quoted(ranking.verdict.kind)}",
        f"text = {quoted(ranking.verdict.text)}",
        f"listed = [{', '.join(str(count.listed) for count in counts)}]  # by number of extra parts",
        f"ruled_out = [{', '.join(str(count.extra_parts) for count in counts if count.ruled_out)}]",
        f"stages = [{', '.join(str(stage.left) for stage in ranking.search.stages)}]  # left after each",
        f"designs_found = {len(ranking.designs)}",
    ]
    if ranking.shortfall is not None:
        why = ranking.shortfall
        lines.append(f"near_misses = {len(why.near_misses)}")
        lines.append(f"suggestions = [{', '.join(quoted(one.kind) for one in why.suggestions)}]")
    if ranking.not_taken:
        lines.append(f"not_taken = [{', '.join(quoted(not_taken_text(one)) for one in ranking.not_taken)}]")
    told = chain.from_iterable(design_lines(design) for design in ranking.designs[:MOST_TOLD])
    return "\n".join((*lines, *told)) + "\n"


def figures_apart(facts: dict[str, object], other: dict[str, object]) -> float:
    """Take the rounded figures out of two texts' facts, and give by how much they differ at most."""
    pairs = []
    for one in (facts, other):
        designs = one.get("designs", [])
        assert isinstance(designs, list)
        pairs.append([design.pop(key) for design in designs for key in ROUNDED if key in design])
    assert len(pairs[0]) == len(pairs[1]), "another number of designs"
    return max((abs(a - b) for a, b in zip(*pairs, strict=True)), default=0.0)


@pytest.mark.parametrize("name", NAMES)
def test_a_fresh_search_comes_to_the_kept_facts(name: str) -> None:
    text = facts_text(name, shipped(name))
    kept = ROOT / "results" / f"{name}.toml"
    if os.environ.get("LAMPWRIGHT_ACCEPT"):
        kept.write_text(text, encoding="utf-8")
    before, now = tomllib.loads(kept.read_text(encoding="utf-8")), tomllib.loads(text)
    assert figures_apart(before, now) <= LAST_DIGIT, "a figure has changed"
    assert now == before, "LAMPWRIGHT_ACCEPT=1 writes it anew; say in the commit why"


@pytest.mark.parametrize("name", [name for name in NAMES if name not in NONE])
def test_the_kept_drawing_is_that_of_the_first_design(name: str) -> None:
    spec = read_spec(ROOT / "specs" / f"{name}.toml")
    kept, svg = ROOT / "results" / f"{name}.svg", drawing(shipped(name).designs[0], spec).svg
    if os.environ.get("LAMPWRIGHT_ACCEPT"):
        kept.write_text(svg, encoding="utf-8")
    assert svg == kept.read_text(encoding="utf-8"), "LAMPWRIGHT_ACCEPT=1 draws it anew"


def test_every_spec_has_its_facts() -> None:
    kept = {path.stem for path in (ROOT / "results").glob("*.toml")}
    assert kept == {path.stem for path in SPECS}, "facts without a spec, or a spec without facts"
