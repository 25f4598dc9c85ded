"""Helper lamps: each circuit once whatever they are called, and as few as will do.

The other way to count: the same search with the helpers as lamps of the spec, told apart by name, and their
names taken away by hand: the ends of helper lamps sorted, and of all names for the joints the least.
"""

from dataclasses import replace
from itertools import permutations

import pytest
from tests.shipped import ROOT

from lampwright.app.answering import find_designs
from lampwright.app.checking import check_circuit
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.errors import InputError
from lampwright.problem.problem import Problem, helper_problems, layout_of, prepare
from lampwright.problem.reading import helped, read_spec
from lampwright.progress.bar import quiet
from lampwright.results.ranking import Ranking
from lampwright.searching.estimate import count_problem
from lampwright.searching.evaluate import ShareEvaluator, shares_of
from lampwright.searching.options import SearchOptions
from lampwright.searching.plan import plan_steps
from lampwright.spec.load import parse_spec

SPEC = ROOT / "specs" / "burnt_out_telltale.toml"
ALLOWED = 'lamps = { most = 3, choose = ["P21W@12"] }'
TWO_TYPES = 'lamps = { most = 2, choose = ["P21W@12", "R10W@12"] }'

Drawn = tuple[tuple[int, ...], ...]


def text(allowed: str) -> str:
    return SPEC.read_text(encoding="utf-8").replace(ALLOWED, allowed)


def search(spec: str) -> Ranking:
    return find_designs(prepare(parse_spec(spec, "telltale")), SearchOptions(), quiet())


def unnamed(ends: list[list[int]], own: int, helpers: int, terminals: int, joints: int) -> Drawn:
    """A circuit with the names of helpers and joints taken away."""
    images = []
    for names in permutations(range(terminals, terminals + joints)):
        new = (*range(terminals), *names)
        moved = [tuple(sorted((new[a], new[b]))) for a, b in ends]
        images.append((*moved[:own], *sorted(moved[own : own + helpers]), *moved[own + helpers :]))
    return min(images)


def passing(problem: Problem, own: int, helpers: int) -> list[Drawn]:
    """The circuits that some choice takes through screening."""
    evaluator, found = ShareEvaluator(problem), []
    for share in shares_of(plan_steps(evaluator.judge, None)):
        cell = share.placing.cell
        found += [
            unnamed(one.netlist.ends.tolist(), own, helpers, cell.terminals, cell.internal)
            for one in evaluator.take(share).screened
        ]
    return found


@pytest.mark.parametrize("allowed", [ALLOWED, TWO_TYPES])
def test_each_circuit_is_found_once_whatever_helpers_are_called(allowed: str) -> None:
    spec = parse_spec(text(allowed), "telltale")
    two = helper_problems(prepare(spec))[2]
    named = "".join(f"[lamps.h{n}]\nchoose = {allowed[allowed.index('[') : -2]}\n" for n in (1, 2))
    extras = text("").replace("[extras]\n", "")
    apart = prepare(parse_spec(extras.replace("[search]", f"{named}[search]"), "telltale"))
    alike, labelled = passing(two, 3, 2), passing(apart, 3, 2)
    assert len(set(alike)) == len(alike), "one circuit was found twice"
    assert set(alike) == set(labelled)
    assert len(labelled) > len(alike) > 0, "names make a difference"


def test_as_few_helpers_as_will_do() -> None:
    ranking = search(text(ALLOWED))
    assert (ranking.verdict.kind, ranking.helper_lamps, len(ranking.designs)) == ("found", 2, 3)
    assert "It takes 2 helper lamps; with fewer none does." in ranking.verdict.text
    fewer = search(text('lamps = { most = 1, choose = ["P21W@12"] }'))
    assert (fewer.verdict.kind, fewer.helper_lamps) == ("none", 1)
    assert "With up to 1 helper lamp there is none." in fewer.verdict.text
    assert fewer.verdict.proved == ranking.verdict.proved[: len(fewer.verdict.proved)]
    refs = [[part.ref for part in design.parts] for design in ranking.designs]
    assert all(row[-2:] == ["helper1", "helper2"] for row in refs)


def test_where_none_is_needed_none_is_used() -> None:
    first_row = text(ALLOWED).replace(', telltale = "off"', "").split("[[behaviour]]")[:2]
    ranking = search("[[behaviour]]".join(first_row))
    assert (ranking.verdict.kind, ranking.helper_lamps) == ("found", 0)
    assert "No helper lamp is needed." in ranking.verdict.text


def test_a_run_that_is_stopped_says_how_far_it_came() -> None:
    problem = prepare(parse_spec(text(ALLOWED), "telltale"))
    ranking = find_designs(problem, SearchOptions(time_limit=1e-9), quiet())
    assert ranking.verdict.kind == "stopped"
    assert "It had come to circuits with no helper lamps." in ranking.verdict.text


def test_counts_go_by_helper_lamps() -> None:
    report = count_problem(prepare(read_spec(SPEC)), 10**9)
    by_lamps = [sum(row.circuits for row in report.rows if row.helper_lamps == n) for n in range(4)]
    assert by_lamps == [19, 171, 851, 2883]
    assert report.total == sum(by_lamps)


def test_a_design_with_helpers_meets_the_spec_as_a_circuit() -> None:
    spec = read_spec(SPEC)
    best = search(text(ALLOWED)).designs[0]
    circuit = CircuitBuilder.of_design(best)
    own = helped(spec, circuit.parts)
    assert helped(own, circuit.parts) == own, "helpers that are there already are not taken out"
    report = check_circuit(own, circuit.under(layout_of(own)))
    assert report.meets
    assert report.design.margin_stops == pytest.approx(best.margin_stops, abs=1e-9)


def test_a_circuit_calls_its_helper_lamps_as_it_likes() -> None:
    spec = read_spec(SPEC)
    best = CircuitBuilder.of_design(search(text(ALLOWED)).designs[0])
    names = {"helper1": "upper", "helper2": "lower"}
    parts = tuple(
        replace(part, ref=names.get(part.ref, part.ref), lamp=names.get(part.lamp or "", part.lamp))
        for part in best.parts
    )
    own = helped(spec, parts)
    assert [lamp.name for lamp in own.lamps if lamp.is_helper] == ["upper", "lower"]
    report = check_circuit(own, CircuitBuilder(parts).under(layout_of(own)))
    assert report.meets
    assert {lamp.lamp for lamp in report.design.states[0].lamps} >= {"upper", "lower"}
    one = replace(parts[0], ref="a", lamp="a")
    assert [lamp.name for lamp in helped(spec, [one, one]).lamps[-2:]] == ["helper1", "helper2"]


def test_a_lamp_may_not_be_named_as_helpers_are() -> None:
    with pytest.raises(InputError, match="is how helper lamps are named"):
        parse_spec(text(ALLOWED).replace("[lamps.right]", "[lamps.helper2]"), "telltale")


LOGIC = """
lampwright = 1
title = "A lamp that is lit with both switches on, and with neither alone"
[supply]
system = 12
volts = [13.4, 13.5, 13.6]
[controls.a]
kind = "switch"
feed = "A"
[controls.b]
kind = "switch"
feed = "B"
[lamps.x]
choose = ["W2.3W", "R5W", "P21W", "H6W"]
HELPERS
[search]
joints = 2
[[behaviour]]
when = { a = "on", b = "on" }
show = { x = "lit" }
[[behaviour]]
when = { a = "on", b = "off" }
show = { x = "off" }
[[behaviour]]
when = { a = "off", b = "on" }
show = { x = "off" }
"""


@pytest.mark.nightly
def test_both_of_two_switches_take_five_lamps_in_one_circuit() -> None:
    """With names for its helpers the one circuit is found 24 times, in every order of four."""
    types = '["W2.3W", "R5W", "P21W", "H6W"]'
    alike = search(LOGIC.replace("HELPERS", f"[extras]\nlamps = {{ most = 4, choose = {types} }}"))
    assert (alike.helper_lamps, len(alike.designs)) == (4, 1)
    named = "".join(f"[lamps.h{n}]\nchoose = {types}\n" for n in range(1, 5))
    assert len(search(LOGIC.replace("HELPERS", named)).designs) == 24
