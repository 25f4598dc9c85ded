"""Designs with more helper lamps than the least: as all circuits, each written out and judged, have them.

The other way: every placing of the lamps between the nodes is judged as a circuit file would be, and one
is kept where no placing with a lamp opened or bridged, looked up by hand, has as much margin. Nothing of the
listing, the refuting or the taking apart of netlists is in it.
"""

from collections.abc import Iterator
from csv import DictReader
from io import StringIO
from itertools import combinations, product
from pathlib import Path

import pytest
from tests.searching.test_helpers import ALLOWED, text
from tests.selection import some
from tests.shipped import ROOT

from lampwright.app import answering
from lampwright.app.answering import find_designs, search_problem
from lampwright.app.checking import check_circuit, judge_circuit
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.app.drawing import draw_rank
from lampwright.app.explaining import explain_rank
from lampwright.app.keeping import search_and_keep
from lampwright.app.notebook import as_found
from lampwright.errors import InputError
from lampwright.judge.minimality import circuit_key
from lampwright.network.netlist import netlist_of
from lampwright.problem.problem import layout_of, prepare
from lampwright.problem.reading import helped, read_problem
from lampwright.progress.bar import Progress, quiet
from lampwright.report.brief import brief_text
from lampwright.report.csv_tables import ranking_csv
from lampwright.report.topics.front import front_text
from lampwright.results.design import Design
from lampwright.results.ranking import Ranking
from lampwright.searching.executors import Executor
from lampwright.searching.options import SearchOptions
from lampwright.searching.search import Keeper, Search, find
from lampwright.spec.load import parse_spec
from lampwright.spec.model import with_helpers

DIM = """
lampwright = 1
title = "A small lamp that is to burn low"
[supply]
system = 12
volts = [13.0, 13.5, 14.0]
[controls.a]
kind = "switch"
feed = "A"
[lamps.x]
choose = ["R5W"]
[extras]
lamps = { most = MOST, choose = ["R5W"] }
EXTRAS
[search]
joints = 2
[levels]
dim = [0.01, 0.8]
lit = 0.8
full = 0.9
[[behaviour]]
when = { a = "on" }
show = { x = "dim" }
"""
RESISTOR = 'resistors = { most = 1, series = "E6", ohms = [10.0, 22.0], watts = [5, 10, 25] }'
NODES = ("A", "31", "j1", "j2")
ROUNDED = 6


def spec(most: int = 2, extras: str = "") -> str:
    return DIM.replace("MOST", f"{most}").replace("EXTRAS", extras)


def search(written: str, more: int, **said: float) -> Ranking:
    options = SearchOptions(more_lamps=more, **said)  # type: ignore[arg-type]
    return find_designs(prepare(parse_spec(written, "dim")), options, quiet())


Placed = tuple[tuple[str, str], ...]


def key_of(written: str, placed: Placed) -> bytes:
    """What is equal for drawings of one circuit."""
    built = CircuitBuilder()
    for name, ends in zip(("x", "helper1", "helper2"), placed, strict=False):
        built = built.lamp(name, "R5W", *ends)
    layout = layout_of(with_helpers(parse_spec(written, "dim"), len(placed) - 1))
    return circuit_key(netlist_of(built.under(layout), layout), layout)


def margins(written: str, helpers: int) -> dict[Placed, float]:
    """The margin [stops] of every placing of the lamps that meets the spec."""
    own, found = with_helpers(parse_spec(written, "dim"), helpers), {}
    for placed in product(combinations(NODES, 2), repeat=1 + helpers):
        built = CircuitBuilder()
        for name, ends in zip(("x", "helper1", "helper2"), placed, strict=False):
            built = built.lamp(name, "R5W", *ends)
        report = judge_circuit(own, built.under(layout_of(own)))
        if report.meets:
            found[placed] = report.design.margin_stops
    return found


def without_one(placed: Placed) -> Iterator[Placed]:
    """A placing with one helper taken out, and with its two ends made one."""
    for at in range(1, len(placed)):
        left = (*placed[:at], *placed[at + 1 :])
        yield left
        keep, gone = sorted(placed[at], key=NODES.index)
        if gone != "31":
            yield tuple(tuple(keep if end == gone else end for end in ends) for ends in left)  # type: ignore[misc]


def test_a_lamp_more_is_told_where_each_lamp_earns_its_place() -> None:
    written = spec()
    one, two = margins(written, 1), margins(written, 2)
    assert not margins(written, 0), "a lamp by itself is not dim"
    by_place = {tuple(map(frozenset, placed)): margin for placed, margin in one.items()}
    expected = {
        (key_of(written, placed), round(margin, ROUNDED))
        for placed, margin in two.items()
        if all(
            by_place.get(tuple(map(frozenset, less)), -1.0) < margin - 10**-ROUNDED
            for less in without_one(placed)
        )
    }
    ranking = search(written, 1)
    found = [one for one in ranking.designs if one.helper_lamps == 2]
    named = {(key_of(written, ends_of(one)), round(one.margin_stops, ROUNDED)) for one in found}
    assert (named, len(found)) == (expected, len(expected))
    assert 0 < len(expected) < len({key_of(written, placed) for placed in two}), "some lamps do nothing"
    assert ranking.helper_lamps == 1
    assert len([one for one in ranking.designs if one.helper_lamps == 1]) == 1


def ends_of(design: Design) -> Placed:
    return tuple((part.from_node, part.to_node) for part in design.parts)


def test_it_says_what_a_lamp_more_is_good_for() -> None:
    ranking = search(spec(), 1)
    best = max(ranking.designs, key=lambda one: one.margin_stops)
    own = ranking.designs[0].margin_stops
    assert best.helper_lamps == 2
    said = f"design {best.rank}, with 2, has more margin ({best.margin_stops:.2f} stops, against {own:.2f})."
    assert said in ranking.verdict.text
    assert "It takes 1 helper lamp; with fewer none does. With 2, " in ranking.verdict.text
    proved = [line for line in ranking.verdict.proved if line.startswith("With 2 helper lamps: ")]
    assert "equal to the number counted" in proved[0]


def test_a_lamp_may_save_a_resistor() -> None:
    ranking = search(spec(1, RESISTOR), 1)
    assert ranking.helper_lamps == 0
    assert "No helper lamp is needed. With 1, " in ranking.verdict.text
    assert "needs fewer resistors and diodes (0, against 1)" in ranking.verdict.text
    sizes = {(one.extra_parts, one.helper_lamps) for one in ranking.designs}
    assert sizes >= {(1, 0), (0, 1)}
    parts = [one.extra_parts + one.helper_lamps for one in ranking.designs]
    assert parts == sorted(parts), "a helper lamp counts as a part"


def test_what_was_not_sought_is_said() -> None:
    ranking = search(spec(), 0)
    assert {one.helper_lamps for one in ranking.designs} == {1}
    assert ranking.verdict.text.endswith("With more, up to 2, none was sought (--more-lamps).")
    assert "sought" not in search(spec(1), 0).verdict.text


def test_where_a_lamp_more_does_nothing_it_says_so() -> None:
    ranking = search(text(ALLOWED), 1)
    assert (len(ranking.designs), ranking.helper_lamps) == (3, 2)
    assert ranking.verdict.text.endswith("With 3 there is none.")
    assert any(line.startswith("With 3 helper lamps: none") for line in ranking.verdict.proved)


def test_a_lamp_that_may_be_bridged_is_none() -> None:
    """A large lamp in front of a small one, which it hardly dims."""
    lit = (
        spec(1)
        .replace('x = "dim"', 'x = "lit"')
        .replace('most = 1, choose = ["R5W"]', 'most = 1, choose = ["P21W"]')
    )
    lit = lit.replace("[0.01, 0.8]\nlit = 0.8", "[0.01, 0.2]\nlit = 0.3")
    ranking = search(lit, 1)
    assert (len(ranking.designs), ranking.helper_lamps) == (1, 0)
    assert ranking.verdict.text.endswith(
        "No helper lamp is needed. With 1 there is none that would not do as well with one of them left out."
    )
    alone = 'lamps = { most = 1, choose = ["P21W"] }'
    named = lit.replace(f"[extras]\n{alone}\n", '[lamps.h]\nchoose = ["P21W"]\n')
    assert any(_in_series(one) for one in search(named, 0).designs), "it does meet the spec"


def _in_series(design: Design) -> bool:
    return {"A", "31"} != set(ends_of(design)[0])


def test_the_front_weighs_lamps_as_parts() -> None:
    problem = prepare(parse_spec(spec(2, RESISTOR), "dim"))
    ranking = search_problem(problem, SearchOptions(more_lamps=2), quiet())
    assert ranking.front is not None
    points = {one.rank: one for one in ranking.front.points}
    for one in ranking.designs:
        beaten = [
            other.rank
            for other in ranking.designs
            if other.extra_parts + other.helper_lamps < one.extra_parts + one.helper_lamps
            and (other.wires, other.conductors) <= (one.wires, one.conductors)
            and round(other.margin_stops, ROUNDED) >= round(one.margin_stops, ROUNDED)
            and _score(other) >= _score(one)
        ]
        assert not (beaten and one.rank in points), "fewer parts, no less margin and no worse with faults"
    assert {one.helper_lamps for one in ranking.front.points} >= {0, 2}
    for rank, point in points.items():
        design = ranking.designs[rank - 1]
        assert (point.helper_lamps, point.extra_parts) == (design.helper_lamps, design.extra_parts)


def _score(design: Design) -> float:
    return design.care.faults.score if design.care else -1.0


ROW = """[[behaviour]]
when = { a = "on" }
show = { x = "dim" }
"""
EITHER = """[[either]]
rows = [
  { when = { a = "on" }, show = { x = "dim" } },
  { when = { a = "on" }, show = { x = "lit" } },
]
"""


@pytest.mark.parametrize("kind", some(["plain", "resistor", "box", "either"], ["resistor", "either"]))
def test_every_design_meets_the_spec_by_itself(kind: str) -> None:
    box = '\n[stock]\nbuilds = ["one"]\n[stock.lamps]\nR5W = 9\n'
    either = spec().replace(ROW, EITHER)
    written = {"plain": spec(), "resistor": spec(2, RESISTOR), "box": spec() + box, "either": either}[kind]
    own = parse_spec(written, "dim")
    ranking = search_problem(prepare(own), SearchOptions(more_lamps=2), quiet())
    # one lamp in front makes it dim with less margin than it is lit without
    numbers = {"resistor": {0, 1, 2}, "either": {0, 2}}
    assert {one.helper_lamps for one in ranking.designs} == numbers.get(kind, {1, 2})
    for design in ranking.designs:
        circuit = CircuitBuilder.of_design(design)
        asked = helped(own, circuit.parts)
        report = check_circuit(asked, circuit.under(layout_of(asked)))
        assert report.meets
        assert report.design.margin_stops == pytest.approx(design.margin_stops, abs=1e-9)
        assert report.design.helper_lamps == design.helper_lamps
        assert report.design.takes == design.takes
        assert bool(design.takes) == (kind == "either")
    if kind == "box":
        assert ranking.stock is not None
        assert ranking.stock.status == "best"
        (build,) = ranking.stock.builds
        assert build.margin_stops == pytest.approx(max(one.margin_stops for one in ranking.designs), abs=1e-5)


def test_a_run_that_is_stopped_at_more_lamps_keeps_what_it_has(monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(
        search: Search, executor: Executor, keeper: Keeper, progress: Progress, bound_from: int = 0
    ) -> Search:
        few = len(search.problem.layout.lamps) < 3
        return find(search, executor, keeper, progress, bound_from) if few else search

    monkeypatch.setattr(answering, "find", stopped)
    ranking = search(spec(), 1)
    assert (ranking.verdict.kind, len(ranking.designs)) == ("stopped", 1)
    assert ranking.verdict.text == (
        "The search was stopped before its end: 1 design found so far. It takes 1 helper lamp; with fewer "
        "none does. It had come to circuits with 2 helper lamps."
    )


def test_one_lamp_more_than_may_be_is_a_suggestion() -> None:
    few = text('lamps = { most = 1, choose = ["P21W@12"] }')
    ranking = search_problem(prepare(parse_spec(few, "telltale")), SearchOptions(), quiet())
    assert ranking.verdict.kind == "none"
    assert ranking.shortfall is not None
    (lamp,) = (one for one in ranking.shortfall.suggestions if one.kind == "one more lamp")
    assert lamp.change == "allow one helper lamp more, 2 in all (P21W@12)"
    assert 'lamps = { most = 2, choose = ["P21W@12"] }' in lamp.spec_text
    two = find_designs(
        prepare(parse_spec(text('lamps = { most = 2, choose = ["P21W@12"] }'), "telltale")),
        SearchOptions(),
        quiet(),
    )
    assert lamp.margin_stops == pytest.approx(two.designs[0].margin_stops, abs=1e-9)


def test_a_number_of_lamps_is_a_whole_one() -> None:
    from lampwright import search as asked

    with pytest.raises(InputError, match="more_lamps: -1 is no whole number from 0 up"):
        asked("nowhere.toml", more_lamps=-1)


def test_a_spec_without_helper_lamps_is_asked_for_none_more() -> None:
    problem = read_problem(ROOT / "specs" / "classroom_three_lamps.toml")
    said = "three_lamps.toml: extras: 1 more helper lamp asked for, and the spec allows none; allow some"
    with pytest.raises(InputError, match=said):
        search_problem(problem, SearchOptions(more_lamps=1), quiet())


def test_what_is_kept_tells_of_each_design_with_its_own_lamps(tmp_path: Path) -> None:
    path = tmp_path / "dim.toml"
    path.write_text(spec())
    ranking = search_and_keep(path, SearchOptions(out=tmp_path, more_lamps=1), quiet())
    assert [one.helper_lamps for one in ranking.designs] == [1, 2]
    rows = DictReader(StringIO(ranking_csv(ranking)))
    assert [row["helper_lamps"] for row in rows] == ["1"] * 2 + ["2"] * 3
    assert as_found(ranking, parse_spec(spec(), "dim")).to_frame()["helper_lamps"].tolist() == [1, 2]
    assert "with 2 helper lamps and 0 extra parts." in " ".join(brief_text(ranking).split())
    assert "helpers  extra" in front_text(ranking.front, ranking.designs, 100)
    page = (tmp_path / "dim" / "page.html").read_text()
    assert page.count("Helper lamps</th>") == 2, "a column of the front and one of all designs"
    for rank, lamps in ((1, "helper1"), (2, "helper2")):
        assert lamps in str(explain_rank(path, rank, tmp_path))
        draw_rank(path, rank, tmp_path, tmp_path / "drawn.svg", None)
        assert lamps in (tmp_path / "drawn.svg").read_text()
    again = search_and_keep(path, SearchOptions(out=tmp_path), quiet())
    assert (len(again.designs), again.helper_lamps) == (1, 1)
