"""A lamp brighter than another, or than itself in another setting: in the search, over ranges, in words.

Every corner of it stands in `test_every_corner`. Here what a search finds is held against every circuit of
the spec judged one by one, and ranges of resistance against the judge at single values.
"""

from dataclasses import replace

import numpy as np
import pytest
from tests.selection import examples

from lampwright.app.answering import search_problem
from lampwright.app.checking import check_circuit
from lampwright.assess.tolerance import ToleranceBench
from lampwright.errors import FilePlace
from lampwright.graphs.listing import endpoints, list_blocks, open_listing
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import circuit_key
from lampwright.judge.ranging import Ranger
from lampwright.network.circuit import Circuit, Part
from lampwright.network.netlist import Netlist, netlist_of
from lampwright.network.reduce import reductions
from lampwright.problem.problem import Problem, choice_of, fit_of, fit_of_types, prepare, refilled
from lampwright.problem.reaching import fainter_findings
from lampwright.progress.bar import quiet
from lampwright.results.design import Design
from lampwright.results.ranking import Ranking
from lampwright.searching.evaluate import placed, shares_of
from lampwright.searching.options import SearchOptions
from lampwright.searching.plan import plan_steps
from lampwright.spec.load import parse_spec
from lampwright.spec.states import comparisons_of, expand_states

SPEC = """
lampwright = 1
title = "Clearly brighter than before"
[supply]
system = 12
volts = [12.4, 13.5, 14.4]
[controls.lights]
kind = "switch"
feed = "58"
[controls.brake]
kind = "switch"
feed = "54"
[lamps.rear]
choose = ["P21W"]
common = "31"
[extras]
resistors = { most = 1, series = "E12", tolerance = 0.02, ohms = [1.0, 22.0], watts = [50] }
[search]
joints = 1
wires = 1
[levels]
dim = [0.01, 0.24]
[[behaviour]]
when = { lights = "on", brake = "off" }
show = { rear = "dim" }
[[behaviour]]
when = { brake = "on" }
show = { rear = "lit" }
"""
"""The one lamp of a trailer for tail and stop, where `dim` is so wide that it may be all but lit."""

CLEARLY = """
[[brighter]]
lamp = "rear"
when = { brake = "on", lights = "on" }
versus = { brake = "off" }
by = BY
"""


def problem_of(by: float | None) -> Problem:
    return prepare(parse_spec(SPEC + (CLEARLY.replace("BY", str(by)) if by else ""), "clearly"))


def answer(problem: Problem) -> Ranking:
    return search_problem(problem, SearchOptions(), quiet())


def netlist_in(problem: Problem, design: Design) -> Netlist:
    parts = tuple(
        Part(one.ref, one.kind, one.from_node, one.to_node, lamp=one.lamp, type=one.type, ohms=one.ohms)
        for one in design.parts
    )
    return netlist_of(Circuit(parts), problem.layout)


def every_circuit(problem: Problem) -> list[Netlist]:
    """All circuits of a spec, listed without any rule."""
    found = []
    for share in shares_of(plan_steps(Judge(problem), None)):
        listing = open_listing(share.placing.cell)
        for block in list_blocks(share.placing.cell):
            found += [placed(share.placing, ends) for ends in endpoints(listing, block.options)]
    return found


@pytest.mark.parametrize("by", [None, 1.5, 6.0, 12.0, 60.0])
def test_found_is_what_judging_every_circuit_finds(by: float | None) -> None:
    problem = problem_of(by)
    judge, meeting = Judge(problem), dict[bytes, tuple[Netlist, set[float]]]()
    for netlist in every_circuit(problem):
        fit = fit_of(problem, netlist.diodes, netlist.resistors)
        choices = [choice_of(number, fit) for number in range(len(fit.digits))]
        met = [choice for choice in choices if judge.meets(netlist, choice)]
        if met:
            ohms = {problem.part_options.ohms[one.digits[-1]] for one in met if netlist.resistors}
            meeting.setdefault(circuit_key(netlist, problem.layout), (netlist, ohms))
    minimal = {
        key: ohms
        for key, (netlist, ohms) in meeting.items()
        if not any(circuit_key(one.netlist, problem.layout) in meeting for one in reductions(netlist))
    }
    ranking = answer(problem)
    found = {
        circuit_key(netlist_in(problem, one), problem.layout): {
            *(part.ohms for part in one.parts if part.kind == "resistor"),
            *(float(choice.fitted[-1].split()[1]) for choice in one.choices if one.extra_parts),
        }
        for one in ranking.designs
    }
    assert found == minimal
    assert ranking.verdict.kind == ("found" if minimal else "none")
    assert (by == 60.0) == (not minimal), "the last asks for too much"


def test_more_asked_leaves_fewer_values() -> None:
    counts = []
    for by in (None, 1.5, 6.0, 12.0):
        best = answer(problem_of(by)).designs[0]
        counts.append(1 + len(best.choices))
        if by:
            (row,) = best.compared
            assert row.ratio is not None
            assert row.ratio > by, "nominal light is better than the worst corner's"
            assert row.margin_stops > 0.0
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1]


def test_the_headline_is_of_lamps_alone_and_what_is_compared_stands_apart() -> None:
    close, wide = (answer(problem_of(by)).designs[0] for by in (12.0, None))
    assert close.compared[0].margin_stops < close.margin_stops
    assert close.tightest.lamp == "rear"
    assert not wide.compared


@pytest.mark.parametrize("by", [6.0, 8.0, 12.0])
def test_ranges_hold_for_what_is_compared(by: float) -> None:
    problem = problem_of(by)
    ranger = Ranger(Judge(problem))
    asked = problem.spec.extras.resistors
    assert asked is not None
    works = 0
    for netlist in every_circuit(problem):
        if not netlist.resistors:
            continue
        fit = fit_of_types(problem, netlist.diodes, netlist.resistors)
        heads = {refilled(problem, choice_of(number, fit))[0] for number in range(len(fit.digits))}
        values = np.geomspace(*asked.ohms, examples(25, 200))
        outcome = ranger.decide(netlist)
        if outcome.decision == "works":
            works += 1
            assert outcome.choice is not None
            assert ranger.judged(netlist, outcome.choice, outcome.ohms).met
            ((low, high),) = ranger.widths(netlist, outcome.choice, outcome.ohms)
            for ohms in np.geomspace(low, high, examples(9, 50)):
                assert ranger.judged(netlist, outcome.choice, (ohms,)).met, f"{ohms} of {low} to {high}"
            beyond = [ohms for ohms in (low * 0.99, high * 1.01) if asked.ohms[0] < ohms < asked.ohms[1]]
            assert not any(ranger.judged(netlist, outcome.choice, (ohms,)).met for ohms in beyond)
        else:
            somewhere = any(ranger.judged(netlist, head, (ohms,)).met for head in heads for ohms in values)
            assert not somewhere or outcome.decision == "undecided", f"{netlist.form}"
    assert works > 0


def test_a_copy_that_is_not_so_bright_is_no_good_copy() -> None:
    problem = problem_of(12.0)
    design = answer(problem).designs[0]
    judge, netlist = Judge(problem), netlist_in(problem, design)
    fit = fit_of(problem, netlist.diodes, netlist.resistors)
    ohms = next(part.ohms for part in design.parts if part.kind == "resistor")
    choices = (choice_of(number, fit) for number in range(len(fit.digits)))
    choice = next(one for one in choices if problem.part_options.ohms[one.digits[-1]] == ohms)
    asked = problem.requirements.comparisons[0]
    yields = []
    for by in (12.0, 24.0):
        own = prepare(problem.spec)
        bent = replace(own.requirements, comparisons=(replace(asked, by=by),))
        demands = own.demands._replace(brighter_by=np.array([np.log2(by)]))
        bench = ToleranceBench(
            Judge(replace(own, requirements=bent, demands=demands)), netlist, choice, ("rear", "R1")
        )
        yields.append(bench.drawn_yield(200, 7).good)
    assert yields == [200, 0]
    assert judge.meets(netlist, choice)


def test_why_none_says_that_it_is_the_comparison() -> None:
    ranking = answer(problem_of(60.0))
    short = ranking.shortfall
    assert short is not None
    assert short.conflict is not None
    assert short.conflict.smallest
    assert [(one.state, one.wanted) for one in short.conflict.requirements] == [
        ("lights on", "dim"),
        ("lights on, brake on", "at least 60 times as bright as with lights on"),
    ]
    said = "and at least 60 times as bright with lights on, brake on as with lights on."
    assert f"`rear` dim with lights on, {said}" in short.conflict.text
    missed = next(
        one for near in short.near_misses for one in near.missed if one.wanted.startswith("at least")
    )
    assert (missed.lamp, missed.state) == ("rear", "lights on, brake on")
    assert missed.wanted == "at least 60 times as bright as with lights on"
    assert missed.margin_stops < 0.0


def test_check_says_by_how_much_it_is_missed() -> None:
    loose, strict = parse_spec(SPEC, "clearly"), parse_spec(SPEC + CLEARLY.replace("BY", "60"), "clearly")
    parts = tuple(
        Part(one.ref, one.kind, one.from_node, one.to_node, lamp=one.lamp, type=one.type, ohms=one.ohms)
        for one in answer(prepare(loose)).designs[0].parts
    )
    assert check_circuit(loose, Circuit(parts)).meets
    report = check_circuit(strict, Circuit(parts))
    (failure,) = report.failures
    start = 'lights on, brake on: "rear" should be at least 60 times as bright as with lights on: missed by '
    assert failure.startswith(start)
    assert report.design.margin_stops == report.design.compared[0].margin_stops < 0.0


ROWS = """
[controls.turn]
kind = "flasher"
feed = "49a"
[[brighter]]
lamp = "rear"
when = { brake = "on" }
versus = { brake = "off", lights = "on" }
by = 2.0
[[brighter]]
lamp = "rear"
when = { turn = "on", lights = "on", brake = "off" }
versus = { failed = "rear" }
by = 2.0
"""


def test_which_states_are_compared() -> None:
    """Versus says what is different, and all else is as in when; a flasher that is on is closed."""
    text = SPEC.replace("[lamps.rear]", ROWS[: ROWS.index("[[")] + "[lamps.rear]") + ROWS[ROWS.index("[[") :]
    spec = parse_spec(text, "clearly")
    states = expand_states(spec)
    told = [
        (one.row, states[one.first_state].full_name, states[one.second_state].full_name)
        for one in comparisons_of(spec, states)
    ]
    assert told == [
        (1, "brake on", "lights on"),
        (1, "brake on, turn on (closed)", "lights on, turn on (closed)"),
        (1, "lights on, brake on", "lights on"),
        (1, "lights on, brake on, turn on (closed)", "lights on, turn on (closed)"),
        (2, "lights on, turn on (closed)", "lights on, turn on, rear failed (closed)"),
    ]


@pytest.mark.parametrize(("by", "refused"), [(1.5, False), (60.0, False), (10_000 / 50, True)])
def test_more_than_rows_leave_room_for_is_a_finding(by: float, *, refused: bool) -> None:
    text = SPEC.replace("dim = [0.01, 0.24]", "dim = [0.01, 0.1]") + CLEARLY.replace("BY", str(by))
    found = list(fainter_findings(parse_spec(text, "clearly"), FilePlace("clearly.toml")))
    assert bool(found) == refused
    if refused:
        assert str(found[0]) == (
            'clearly.toml: brighter 1: by: rear is asked "lit" with lights on, brake on and rear "dim" with'
            " lights on: no types on offer then differ 200 times in light; ask for less, or change what is"
            " asked of one of them"
        )
