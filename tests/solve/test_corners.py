"""Screening and the corners against the slow judge: plain Python around the twin, in conftest."""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.selection import some

from lampwright.graphs.listing import endpoints, list_blocks, open_listing
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import MinimalityFilter
from lampwright.network.circuit import Circuit, Part
from lampwright.network.layout import placings
from lampwright.network.netlist import Netlist, draw, netlist_of
from lampwright.problem.problem import Choice, Problem, choice_count, choice_of, fit_of, fitted, prepare
from lampwright.refute.rules import RULES
from lampwright.searching.evaluate import CellShare, ShareEvaluator
from lampwright.spec.load import load_spec, parse_spec

if TYPE_CHECKING:
    from tests.solve.conftest import SlowJudge

SPECS = Path(__file__).parents[2] / "specs"
MOST_STOPS = 10.0

REVERSING = """
lampwright = 1
title = "Two leads, either way round"
[supply]
system = 12
volts = [11.0, 13.5, 14.4]
always_live = false
[controls.lever]
kind = "positions"
most_amps = 5.0
positions = { ahead = [["30", "A"], ["31", "B"]], off = [], astern = [["30", "B"], ["31", "A"]] }
[lamps.left]
choose = ["W5W"]
[lamps.right]
choose = ["W5W", "W3W"]
[extras]
diodes = { most = 2, choose = ["1N4007", "1N5404"] }
[[behaviour]]
when = { lever = "ahead" }
show = { left = "lit", right = "lit" }
[[behaviour]]
when = { lever = "astern" }
show = { left = "lit", right = "off" }
[[same]]
lamps = ["left", "right"]
when = { lever = "ahead" }
within = 0.5
"""

EASY = """
lampwright = 1
title = "Little is asked, so that about half of what is tried will do"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = false
[controls.brake]
kind = "switch"
feed = "54"
[controls.lights]
kind = "switch"
feed = "58"
[lamps.stop]
choose = ["P21W", "W16W"]
[lamps.tail]
choose = ["R5W", "R10W"]
[extras]
resistors = { most = 1, series = "E3", ohms = [1.0, 4.7], watts = [5, 10] }
diodes = { most = 1, choose = ["1N4007", "1N5404"] }
[[behaviour]]
when = { brake = "on", lights = "off" }
show = { stop = "lit" }
[[behaviour]]
when = { brake = "off", lights = "on" }
show = { stop = "off" }
[[same]]
lamps = ["tail", "stop"]
when = { brake = "on", lights = "on" }
within = 0.95
"""


WEAK = """
lampwright = 1
title = "Two lamps that must be full at a supply that has all but gone, and dark without it"
[supply]
system = 12
volts = [9.0, 13.5, 15.0]
[controls.brake]
kind = "switch"
feed = "54"
most_amps = 8.0
[controls.lights]
kind = "switch"
feed = "58"
most_amps = 8.0
[lamps.stop]
choose = ["P21W", "W16W"]
[lamps.tail]
choose = ["R5W", "R10W"]
[extras]
resistors = { most = 1, series = "E3", ohms = [0.47, 470.0], watts = [50] }
diodes = { most = 1, choose = ["1N4007", "1N5404"] }
[[behaviour]]
when = { brake = "on", lights = "off" }
show = { stop = "full", tail = "dark" }
[[behaviour]]
when = { brake = "off", lights = "on" }
show = { stop = "dark" }
[[behaviour]]
when = { brake = "on", lights = "on" }
show = { stop = "full" }
"""


def filament(ref: str, lamp: str, type_name: str, a: str, b: str) -> Part:
    return Part(ref, "filament", a, b, lamp=lamp, type=type_name)


def sidecar_parts(side: str, *ends: str) -> list[Part]:
    return [
        filament("front", "front", "P21W", "49a", "31"),
        filament("side", "side", side, *ends),
        filament("stop", "rear", "P21/5W", "54", "31"),
        filament("tail", "rear", "P21/5W", "58", "31"),
    ]


def two_lamps(right: str, *extras: Part) -> list[Part]:
    return [
        filament("left", "left", "W5W", "A", "B"),
        filament("right", "right", right, "j1", "B"),
        *extras,
    ]


DIODE = Part("D1", "diode", "49a", "j1", type="1N5404")
RESISTOR = Part("R1", "resistor", "54", "j1", ohms=22.0)
FITTED = {
    "the sidecar as shipped": (None, sidecar_parts("W2.3W", "49a", "54"), (0, 0, 0)),
    "a side lamp too big": (None, sidecar_parts("R10W", "54", "49a"), (0, 6, 0)),
    "fed through a diode and a resistor": (
        None,
        [*sidecar_parts("R5W", "j1", "31"), DIODE, RESISTOR],
        (0, 3, 0, 0, 8),
    ),
    "a side lamp too big, gas-filled": (None, sidecar_parts("R10W", "54", "49a"), (0, 5, 0)),
    "wired feeds": (
        None,
        [*sidecar_parts("T4W", "58", "54"), Part("W1", "wire", "49a", "54")],
        (0, 2, 0),
    ),
    "reversed, one lamp behind a diode": (
        REVERSING,
        two_lamps("W5W", Part("D1", "diode", "A", "j1", type="1N5404")),
        (0, 0, 1),
    ),
    "reversed, two diodes": (
        REVERSING,
        two_lamps(
            "W3W",
            Part("D1", "diode", "A", "j1", type="1N4007"),
            Part("D2", "diode", "31", "j1", type="1N5404"),
        ),
        (0, 2, 0, 1),
    ),
}


BLEEDING = [
    filament("stop", "stop", "P21W", "54", "31"),
    filament("tail", "tail", "R5W", "58", "31"),
]
FITTED |= {
    f"full at a weak supply, {ohms} ohm between the feeds": (
        WEAK,
        [*BLEEDING, Part("R1", "resistor", "54", "58", ohms=ohms)],
        (0, 0, digit),
    )
    for ohms, digit in ((22.0, 5), (470.0, 9))
}
FITTED["hardly full at a weak supply, through a resistor"] = (
    WEAK,
    [
        filament("stop", "stop", "P21W", "j1", "31"),
        BLEEDING[1],
        Part("R1", "resistor", "54", "j1", ohms=0.47),
    ],
    (0, 0, 0),
)


def study_of(text: str | None) -> Problem:
    spec = load_spec(SPECS / "sidecar_side_lamp.toml") if text is None else parse_spec(text, "inline")
    return prepare(spec)


@pytest.mark.parametrize("name", some(FITTED, ["the sidecar as shipped"]))
def test_corners(name: str, slow_judge_type: "type[SlowJudge]") -> None:
    text, parts, digits = FITTED[name]
    problem, circuit = study_of(text), Circuit(tuple(parts))
    judge, netlist, choice = Judge(problem), netlist_of(circuit, problem.layout), Choice(digits)
    plain = slow_judge_type(problem, circuit, choice)
    found, slow = judge.judge_case(netlist, choice), plain.judgement()
    assert found.unconverged == 0
    # off lamps are capped at ten stops from 0.005, where the stops' straight lines are within 4e-5
    assert np.abs(found.verdicts.margin - slow.margin).max() < 1e-4
    assert np.abs(found.verdicts.same - slow.same).max(initial=0.0) < 1e-4
    same = float(slow.same.min(initial=MOST_STOPS))
    # lamps that match have a margin of their own, and lower this one only where they do not
    worst = min(float(slow.margin.min()), same if same < 0.0 else MOST_STOPS)
    assert abs(found.margin - worst) < 1e-4
    # currents agree within 1e-6 A, volts with them; watts within that times volts
    assert np.abs(found.verdicts.load - slow.load).max() < 2e-5
    limited = [at for at, control in enumerate(problem.spec.controls) if control.most_amps is not None]
    over = (found.verdicts.control - slow.control)[limited]
    assert over.min() > -1e-5
    assert over.max() < 1e-5, "only contacts side by side are given a bound"
    within = np.max(slow.control[limited] - problem.limits.control_amps[limited]) <= 0.0
    met = worst >= 0.0 and plain.room(slow.load.tolist()) >= 0.0 and bool(within)
    assert found.met == met
    assert judge.meets(netlist, choice) == all(case.met for case in judge.judge(netlist, choice).cases)


def test_normal_point_is_the_twins(slow_judge_type: "type[SlowJudge]") -> None:
    """The drops and amps kept for the report: normal supply, nominal parts."""
    text, parts, digits = FITTED["fed through a diode and a resistor"]
    problem, circuit = study_of(text), Circuit(tuple(parts))
    verdicts = Judge(problem).judge(netlist_of(circuit, problem.layout), Choice(digits)).verdicts
    plain = slow_judge_type(problem, circuit)
    for at, state in enumerate(problem.states):
        drops = plain.point(state, (13.5, plain.nominal))
        assert np.abs(verdicts.amps[at] - drops.amps).max() < 1e-6
        lit = np.abs(drops.amps) > 1e-3  # below, a node hangs on nothing but leaks
        assert np.abs(verdicts.volts[at] - drops.volts)[lit].max(initial=0.0) < 1e-5


def random_ends(draw_from: np.random.Generator, count: int) -> np.ndarray:
    """Stop on 54 and tail on 58 and the extras about them, with every fifth end astray.

    Vertices 0, 1, 2 are 54, 58, 31; 3 and 4 are joints. Parts: stop, tail, diode, resistor.
    """
    drafts = np.array([[[0, 3], [1, 2], [3, 2], [3, 2]], [[0, 2], [1, 3], [4, 2], [3, 4]],
                       [[3, 2], [1, 2], [0, 3], [0, 3]], [[0, 2], [3, 2], [1, 3], [1, 3]]])  # fmt: skip
    ends = drafts[draw_from.integers(0, len(drafts), count)]
    astray = draw_from.random(ends.shape) < 0.2
    return np.where(astray, draw_from.integers(0, 5, ends.shape), ends).astype(np.int8)


@pytest.mark.parametrize("circuits", some([4, 16], 1))
@pytest.mark.parametrize("text", some([EASY, WEAK], [EASY]))
def test_screen(text: str, circuits: int, slow_judge_type: "type[SlowJudge]") -> None:
    """Which choices of which candidates pass, at nominal parts and all three supplies."""
    problem = study_of(text)
    fit, minimality = fit_of(problem, 1, 1), MinimalityFilter(Judge(problem))
    right = wrong = 0
    for ends in random_ends(np.random.default_rng(54), circuits):
        netlist = Netlist((0, 1, 2), 2, ends, 1, 1)
        wanted = passing(problem, netlist, slow_judge_type)
        assert minimality.screen_one(netlist) == wanted, f"ends {ends.tolist()}"
        right, wrong = right + len(wanted), wrong + choice_count(fit) - len(wanted)
    assert min(right, wrong) > 2 * circuits - 2, "both answers are common"


@pytest.mark.parametrize("of", some([29, 7, 1], 1))
@pytest.mark.parametrize(("joints", "diodes", "resistors"), [(0, 0, 0), (1, 1, 0), (1, 0, 1)])
def test_screen_of_whole_cells(
    joints: int, diodes: int, resistors: int, of: int, slow_judge_type: "type[SlowJudge]"
) -> None:
    """Every circuit of a cell in one go, as a search screens them; one of so many against the slow judge."""
    problem = study_of(EASY)
    placing = placings(problem.layout, ((0, 1, 2),), joints, diodes, resistors)[joints]
    assert placing.cell.internal == joints
    caught = ShareEvaluator(problem, (False,) * len(RULES)).take(CellShare(placing, 0, 1))
    assert caught.tally.unconverged == 0
    found = {screened.netlist.form: screened.choices for screened in caught.screened}
    assert len(found) == len(caught.screened) > 0
    listing = open_listing(placing.cell)
    circuits = 0
    for block in list_blocks(placing.cell, 0, 1, 65536):
        for ends in endpoints(listing, block.options):
            netlist = Netlist((0, 1, 2), joints, ends, diodes, resistors)
            passed = found.pop(netlist.form, ())
            if circuits % of == 0:
                assert passed == passing(problem, netlist, slow_judge_type)
            circuits += 1
    assert circuits == caught.tally.listed
    assert not found, "a circuit that was not listed"


def passing(problem: Problem, netlist: Netlist, slow_judge_type: "type[SlowJudge]") -> tuple[int, ...]:
    """The choices with which the slow judge lets a circuit pass, parts nominal."""
    fit = fit_of(problem, netlist.diodes, netlist.resistors)
    found = []
    for number in range(choice_count(fit)):
        choice = choice_of(number, fit)
        circuit = draw(netlist, fitted(problem, netlist, choice), problem.layout)
        margin = slow_judge_type(problem, circuit, choice).nominal_margin()
        assert abs(margin) > 1e-4, f"too near to an edge to say: {circuit}"
        if margin > 0.0:
            found.append(number)
    return tuple(found)
