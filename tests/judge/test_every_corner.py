"""Every figure of a judgement against the plain walk over every corner of the whole circuit."""

from collections.abc import Iterator

import numpy as np
import pytest
from tests.judge.plain_corners import PlainCorners
from tests.selection import examples, some
from tests.shipped import NAMES, ROOT, shipped

from lampwright.judge.choices import ChoiceJudge, judge_choices
from lampwright.judge.corners import CAP, TIE
from lampwright.judge.judge import Judge, Judgement
from lampwright.judge.minimality import MinimalityFilter
from lampwright.network.circuit import Circuit, Part
from lampwright.network.netlist import Netlist, netlist_of
from lampwright.problem.problem import (
    Choice,
    Problem,
    choice_count,
    choice_of,
    fit_of,
    fit_one,
    fitted,
    helper_problems,
    prepare,
    refilled,
)
from lampwright.problem.reading import read_problem
from lampwright.results.design import Design
from lampwright.solve.laws import Floats, Ints
from lampwright.spec.load import parse_spec

NOISE = 1e-6
"""What the solver leaves over is below it [stops, V, A, W]; at most four decimals are printed."""

LEAKS = 2e-5
"""What blocked diodes let through moves a margin by less [stops]."""

LEADS = """
lampwright = 1
title = "Two leads, either way round, and a feed that may hang open"
[supply]
system = 12
volts = [11.0, 13.5, 14.4]
always_live = false
[controls.lever]
kind = "positions"
most_amps = 0.9
positions = { ahead = [["30", "A"], ["31", "B"]], off = [], astern = [["30", "B"], ["31", "A"]] }
[controls.lights]
kind = "switch"
feed = "58"
most_amps = 3.0
[lamps.left]
choose = ["R5W", "W5W"]
[lamps.right]
choose = ["R10W", "R5W"]
[extras]
diodes = { most = 2, choose = ["1N4007", "1N5404"] }
resistors = { most = 1, series = "E3", ohms = [1.0, 47.0], watts = [2] }
[[behaviour]]
when = { lever = "ahead", lights = "off" }
show = { left = "lit" }
[[behaviour]]
when = { lever = "off", lights = "on" }
show = { left = "off" }
[[same]]
lamps = ["left", "right"]
when = { lever = "ahead", lights = "on" }
within = 0.9
"""


BRIGHTER = (
    LEADS
    + """
[[brighter]]
lamp = "left"
when = { lever = "ahead" }
versus = { lever = "off" }
by = 1.2
[[brighter]]
lamp = "left"
than = "right"
when = { lever = "ahead", lights = "off" }
versus = { lever = "off", lights = "on" }
by = 1.1
"""
)


FLASHER = """
lampwright = 1
title = "A flasher's dark half, in which more is asked than while it is off"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.turn]
kind = "flasher"
feed = "49a"
most_amps = 1.6
[controls.lights]
kind = "switch"
feed = "58"
most_amps = 3.0
[lamps.front]
choose = ["R5W", "R10W"]
[lamps.side]
choose = ["R5W", "W5W"]
[extras]
diodes = { most = 1, choose = ["1N4007", "1N5404"] }
resistors = { most = 1, series = "E3", ohms = [1.0, 47.0], watts = [10] }
[search]
joints = 1
[[behaviour]]
when = { turn = "on", lights = "off" }
show = { front = "lit/off" }
[[behaviour]]
when = { turn = "off", lights = "on" }
show = { side = "lit" }
[[behaviour]]
when = { turn = "on", lights = "on" }
show = { side = "any/full" }
[[same]]
lamps = ["front", "side"]
when = { turn = "on", lights = "on" }
within = 0.9
[[brighter]]
lamp = "front"
than = "side"
when = { turn = "on", lights = "on" }
versus = { turn = "off", lights = "off" }
by = 1.1
"""


ONE = """
lampwright = 1
title = "Bulbs that share what a resistor leaves them"
[supply]
system = 12
volts = [11.0, 13.5, 14.4]
[controls.lights]
kind = "switch"
feed = "58"
most_amps = 3.0
[controls.brake]
kind = "switch"
feed = "54"
most_amps = 3.0
[lamps.left]
choose = ["R5W"]
[lamps.right]
choose = ["R10W"]
[extras]
diodes = { most = 1, choose = ["1N5404"] }
resistors = { most = 1, series = "E3", ohms = [8.0, 12.0], watts = [25] }
[[behaviour]]
when = { lights = "on", brake = "off" }
show = { left = "lit" }
"""


SIDE = """
lampwright = 1
title = "Three bulbs, asked little, so that what decides is an edge or a rating at some corner"
[supply]
system = 12
volts = [11.0, 13.5, 14.4]
[controls.lights]
kind = "switch"
feed = "58"
most_amps = 2.4
[controls.brake]
kind = "switch"
feed = "54"
most_amps = 2.4
[lamps.left]
choose = ["R5W", "W5W"]
[lamps.right]
choose = ["R10W"]
[lamps.stop]
choose = ["P21W"]
[extras]
diodes = { most = 1, choose = ["1N4007", "1N5404"] }
resistors = { most = 3, series = "E24", ohms = [18.0, 35.0], watts = [9.6] }
[[behaviour]]
when = { lights = "on", brake = "on" }
show = { left = "lit", right = "lit" }
[[behaviour]]
when = { lights = "off", brake = "on" }
show = { stop = "lit" }
"""


def compare(judge: Judge, netlist: Netlist, choice: Choice) -> tuple[Judgement, int]:
    """Hold a judgement of one case against the plain walk; and how many worst corners are the very first."""
    problem, found = judge.problem, judge.judge_case(netlist, choice)
    fit = fit_one(problem, choice, netlist.diodes, netlist.resistors)
    plain = PlainCorners(problem, netlist, found.boundary, fit)
    every, verdicts = plain.every(), found.verdicts
    assert found.unconverged == every.failed
    assert found.met == plain.met(every)
    compared = min(every.pairs.min(initial=CAP), every.brighter.min(initial=CAP))
    # what is compared is told apart, and lowers the margin only where it is missed
    least = min(CAP, every.lights.min(), compared if compared < 0.0 else CAP)
    # the light of a lamp that is all but dark hangs on the last bits of its volts
    assert abs(found.margin - least) < NOISE * max(1.0, abs(least))
    assert np.array_equal(verdicts.volts, every.nominal.volts)
    assert np.array_equal(verdicts.amps, every.nominal.amps)
    touched = np.unique(found.boundary.columns(netlist.ends[None]))
    assert np.array_equal(verdicts.potential[:, touched], every.nominal.potential[:, touched])
    same = least_agree(verdicts.margin, verdicts.margin_corner, every.lights)
    same += least_agree(verdicts.same, verdicts.same_corner, every.pairs)
    same += least_agree(verdicts.brighter, verdicts.brighter_corner, every.brighter)
    same += most_agree(verdicts.load, verdicts.load_state, verdicts.load_corner, every.loads)
    same += most_agree(verdicts.control, verdicts.control_state, verdicts.control_corner, every.controls)
    return found, same


def least_agree(least: Floats, corner: Ints, values: Floats) -> int:
    """Margins (...) and where they are against those of every corner, (corners, ...)."""
    worst = values.min(axis=0)
    noise = NOISE * np.maximum(1.0, np.abs(worst))
    assert np.all(np.abs(least - worst) < noise)
    told = np.take_along_axis(values, corner[None], axis=0)[0]
    assert np.all((np.abs(told - worst) < noise)[worst < CAP])
    assert np.all(corner[worst == CAP] == 1), "what is at the cap has no worst corner"
    first = np.argmax(values <= worst + TIE, axis=0)
    return int(np.sum(first[worst < CAP] == corner[worst < CAP]))


def most_agree(most: Floats, state: Ints, corner: Ints, values: Floats) -> int:
    """Loads (things,) and where they are against every corner and state, (corners, states, things)."""
    corners, states, things = values.shape
    flat = values.reshape(corners * states, things)
    assert np.abs(most - flat.max(axis=0)).max(initial=0.0) < NOISE
    told = flat[corner * states + state, np.arange(things)]
    asked = most > -1.0
    assert np.abs(told - most)[asked].max(initial=0.0) < NOISE
    first = np.argmax(flat >= flat.max(axis=0) - TIE, axis=0)
    return int(np.sum(first[asked] == (corner * states + state)[asked]))


def random_circuits(
    problem: Problem,
    seed: int,
    count: int,
    least: tuple[int, int, int] = (0, 0, 0),
    most: tuple[int, int, int] = (2, 2, 1),
) -> Iterator[tuple[Netlist, Choice]]:
    """Circuits with so many joints, diodes and resistors, any ends, wires or none, and a choice for each."""
    rng = np.random.default_rng(seed)
    terminals = len(problem.layout.terminals)
    judge = Judge(problem)
    while count:
        partition = [0]
        for _ in range(terminals - 1):
            new = max(partition) + 1
            partition.append(int(rng.integers(new)) if rng.random() < 0.1 else new)
        joints, diodes, resistors = (
            int(rng.integers(low, high + 1)) for low, high in zip(least, most, strict=True)
        )
        if judge.boundary(tuple(partition), joints) is None:
            continue
        vertices, parts = max(partition) + 1 + joints, len(problem.layout.filaments) + diodes + resistors
        ends = np.array([rng.choice(vertices, 2, replace=False) for _ in range(parts)], np.int8)
        fit = fit_of(problem, diodes, resistors)
        choice = choice_of(int(rng.integers(choice_count(fit))), fit)
        yield Netlist(tuple(partition), joints, ends, diodes, resistors), choice
        count -= 1


@pytest.mark.parametrize("text", [LEADS, BRIGHTER])
def test_random_circuits_at_every_corner(text: str) -> None:
    problem = prepare(parse_spec(text, "leads"))
    judge, met, first, told = Judge(problem), 0, 0, 0
    for netlist, choice in random_circuits(problem, 12, examples(150, 1500)):
        found, same = compare(judge, netlist, choice)
        met += found.met
        first += same
        told += int(np.sum(found.verdicts.margin < CAP) + np.sum(found.verdicts.same < CAP))
        told += int(np.sum(found.verdicts.brighter < CAP))
        told += int(np.sum(found.verdicts.load > -1.0) + np.sum(found.verdicts.control > -1.0))
    assert met > 0
    assert first > 0.97 * told, "but for noise, what is told is the first of the worst corners"


MANY = LEADS.replace("most = 1, series", "most = 6, series").split("[[same]]")[0]


def test_circuits_with_many_parts_at_every_corner() -> None:
    """Nine or ten parts with a tolerance, most of them in one net: few of its corners are tried."""
    problem = prepare(parse_spec(MANY, "many"))
    judge, few, told = Judge(problem), 0, 0
    for netlist, choice in random_circuits(problem, 5, examples(4, 300), (1, 1, 6), (3, 2, 6)):
        sampled = judge.judge_case(netlist, choice).verdicts.sampled[0]
        if sampled == 0:
            compare(judge, netlist, choice)
            few += 1
        told += 1
    assert few > told // 2, "of most it is known which corners can be worst"


def circuit_of(problem: Problem, design: Design) -> tuple[Netlist, Choice]:
    """A design of a result, and its choice with the likeliest fillings."""
    parts = tuple(
        Part(one.ref, one.kind, one.from_node, one.to_node, lamp=one.lamp, type=one.type, ohms=one.ohms)
        for one in design.parts
    )
    netlist = netlist_of(Circuit(parts), problem.layout)
    fit = fit_of(problem, netlist.diodes, netlist.resistors)
    wanted = (
        tuple(one.type for one in design.parts if one.kind == "filament"),
        tuple(one.type for one in design.parts if one.kind == "diode"),
        tuple(one.ohms for one in design.parts if one.kind == "resistor"),
    )
    for number in range(choice_count(fit)):
        choice = choice_of(number, fit)
        one = fitted(problem, netlist, choice)
        if (one.filaments, one.diodes, one.ohms) == wanted:
            return netlist, refilled(problem, choice)[0]
    raise AssertionError(f"no choice is {wanted}")


@pytest.mark.parametrize("name", some(NAMES, ["sidecar_side_lamp", "trailer_feed_telltale"]))
def test_designs_of_shipped_specs_at_every_corner(name: str) -> None:
    problem = helper_problems(read_problem(ROOT / "specs" / f"{name}.toml"))[shipped(name).helper_lamps]
    judge = Judge(problem)
    for design in shipped(name).designs[: examples(1, 4)]:
        netlist, choice = circuit_of(problem, design)
        for one in refilled(problem, choice):
            compare(judge, netlist, one)


def test_bounds_show_no_more_than_the_corners() -> None:
    """Circuits that are met with nominal parts and missed at a corner, with one type each."""
    problem = prepare(parse_spec(ONE, "one"))
    judge, together, screening = Judge(problem), ChoiceJudge(Judge(problem)), MinimalityFilter(Judge(problem))
    met = missed = 0
    for netlist, _ in random_circuits(problem, 4, examples(150, 4000)):
        fit = fit_of(problem, netlist.diodes, netlist.resistors)
        numbers = range(choice_count(fit))
        if screening.screen_one(netlist):
            meets = any(judge.meets(netlist, choice_of(number, fit)) for number in numbers)
            assert together.meets_somehow(netlist) == meets
            # with what bounds have shown in the memory that margins are read from
            found = {one.choices: one.margins for one in together.judged(netlist, list(numbers))}
            for choices in dict.fromkeys(refilled(problem, choice_of(number, fit)) for number in numbers):
                cases = [judge.judge_case(netlist, choice) for choice in choices]
                margins = found.get(choices, (-np.inf,) * len(cases))
                for case, margin in zip(cases, margins, strict=True):
                    assert (margin >= 0.0) == case.met
                    assert not case.met or abs(margin - case.margin) < LEAKS
            met, missed = met + meets, missed + (not meets)
    assert met > 4
    assert missed > 4


@pytest.mark.parametrize("text", some([SIDE, MANY, LEADS, FLASHER], [SIDE, MANY]))
def test_a_yes_without_a_margin_is_that_of_the_margin(text: str) -> None:
    """Choices that pass with nominal parts: asked at corners that can be worst, and told at every corner."""
    problem = prepare(parse_spec(text, "some"))
    asked, told, screening = (
        ChoiceJudge(Judge(problem)),
        ChoiceJudge(Judge(problem)),
        MinimalityFilter(Judge(problem)),
    )
    met = missed = 0
    for netlist, _ in random_circuits(problem, 11, examples(1500, 6000), (0, 0, 1), (2, 1, 3)):
        numbers = screening.screen_one(netlist)[::7]
        variants = asked._fitting(netlist.diodes, netlist.resistors).variants
        found = {one.choices[0] for one in told.judged(netlist, numbers) if min(one.margins) >= 0.0}
        fit = fit_of(problem, netlist.diodes, netlist.resistors)
        for number in numbers:
            bench, row = asked._bench(netlist), variants[[variants[number, 0]]]
            assert bench is not None, "supply meets no ground"
            yes = bool(judge_choices(row, True, bench, np.full(row.shape, -np.inf)))
            assert yes == (choice_of(int(row[0, 0]), fit) in found), f"{netlist.form} {number}"
            met, missed = met + yes, missed + (not yes)
    assert met > 50, f"{met}, {missed}"
    assert missed > 100, f"{met}, {missed}"


def test_a_contact_over_its_rating_at_one_corner_alone_refuses() -> None:
    """Bulbs and resistors side by side: most current where all take most, where no other figure is worst."""
    alone = SIDE.replace('"R5W", "W5W"', '"R5W"').replace("ohms = [18.0, 35.0]", "ohms = [32.0, 34.0]")

    def problem_of(amps: float) -> Problem:
        return prepare(parse_spec(alone.replace("most_amps = 2.4", f"most_amps = {amps:.5f}", 1), "side"))

    problem = problem_of(9.0)
    filaments = [
        Part(name, "filament", feed, "31", lamp=name, type=kind)
        for name, feed, kind in (("left", "58", "R5W"), ("right", "58", "R10W"), ("stop", "54", "P21W"))
    ]
    resistors = [Part(name, "resistor", "58", "31", ohms=33.0) for name in ("R1", "R2")]
    netlist = netlist_of(Circuit((*filaments, *resistors)), problem.layout)
    most = float(Judge(problem).judge(netlist, choice_of(0, fit_of(problem, 0, 2))).verdicts.control.max())
    assert ChoiceJudge(Judge(problem_of(1.001 * most))).meets_somehow(netlist)
    assert not ChoiceJudge(Judge(problem_of(0.999 * most))).meets_somehow(netlist)


@pytest.mark.parametrize("text", some([LEADS, BRIGHTER, FLASHER], [LEADS, FLASHER]))
def test_choices_of_random_circuits_one_by_one_and_by_live_nets(text: str) -> None:
    """Every choice of a circuit judged by itself and together with all others, memory and all."""
    problem = prepare(parse_spec(text, "leads"))
    judge, together = Judge(problem), ChoiceJudge(Judge(problem))
    met = 0
    for netlist, _ in random_circuits(problem, 6, examples(60, 600)):
        fit = fit_of(problem, netlist.diodes, netlist.resistors)
        numbers = range(0, choice_count(fit), 5)
        # first, so that what bounds have shown stands in the memory that margins are read from
        meets = together.meets_somehow(netlist)
        found = {one.choices: one.margins for one in together.judged(netlist, numbers)}
        asked = dict.fromkeys(refilled(problem, choice_of(number, fit)) for number in numbers)
        for choices in asked:
            cases = [judge.judge_case(netlist, choice) for choice in choices]
            margins = found.pop(choices, (-np.inf,) * len(cases))
            for case, margin in zip(cases, margins, strict=True):
                assert (margin >= 0.0) == case.met
                assert not case.met or abs(margin - case.margin) < LEAKS
            met += all(case.met for case in cases)
        assert not found, "what is met nowhere is not told"
        passing = any(judge.meets(netlist, choice_of(number, fit)) for number in range(choice_count(fit)))
        assert meets == passing
    assert met > 2
