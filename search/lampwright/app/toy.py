"""A circuit of three parts, taken through everything that has kernels."""

from lampwright.app.checking import check_circuit
from lampwright.assess.flashing import flashing_of
from lampwright.atlas.bound import AtlasBound, Size
from lampwright.atlas.survey import survey_size
from lampwright.diagnosis.survey import survey_problem
from lampwright.judge.judge import Judge
from lampwright.judge.ranging import Ranger
from lampwright.network.circuit import Circuit, Part
from lampwright.network.netlist import netlist_of
from lampwright.problem.problem import Choice, Problem, prepare
from lampwright.progress.bar import quiet
from lampwright.searching.evaluate import ShareEvaluator, shares_of
from lampwright.searching.options import SearchOptions
from lampwright.searching.plan import plan_steps
from lampwright.searching.search import find_circuits
from lampwright.spec.load import parse_spec

TOY = """
lampwright = 1
title = "What the kernels are compiled with"
[supply]
system = 12
volts = [12.0, 13.5, 14.4]
[controls.turn]
kind = "flasher"
feed = "49a"
most_amps = 8.0
[controls.lights]
kind = "switch"
feed = "58"
most_amps = 8.0
[lamps.rear]
choose = ["P21W", "R10W"]
common = "31"
[extras]
resistors = { most = 1, series = "E6", ohms = [1.0, 10.0], watts = [50] }
diodes = { most = 1, choose = ["1N5404"] }
[search]
joints = 1
[[behaviour]]
when = { lights = "off", turn = "on" }
show = { rear = "flash" }
[[behaviour]]
when = { lights = "on", turn = "off" }
show = { rear = "dim" }
"""
OHMS = 4.7
CIRCUIT = Circuit(
    (
        Part("rear", "filament", "49a", "31", lamp="rear", type="P21W"),
        Part("D1", "diode", "j1", "49a", type="1N5404"),
        Part("R1", "resistor", "58", "j1", ohms=OHMS, watts=50.0),
    )
)


def search_toy() -> None:
    """Search the circuits of the toy: none will do, which is decided for every resistance."""
    find_circuits(_problem(), SearchOptions(bound=False), quiet())
    # the ranges of circuits with too many cases for lanes
    evaluator = ShareEvaluator(_problem())
    evaluator.ranger = Ranger(evaluator.judge, in_lanes=False)
    for share in shares_of(plan_steps(evaluator.judge, None)):
        evaluator.take(share)


def survey_toy() -> None:
    """Survey the same circuits for those that come near."""
    problem = _problem()
    survey_problem(problem, plan_steps(Judge(problem), None))


def assess_toy() -> None:
    """Judge one of them at every corner, and assess it; see how far its resistor may stray."""
    check_circuit(parse_spec(TOY, "toy"), CIRCUIT)
    problem = _problem()
    # asked only of what meets the spec, and this does not
    Ranger(Judge(problem)).widths(netlist_of(CIRCUIT, problem.layout), _fitted(problem), (OHMS,))


def look_toy() -> None:
    """See what a lamp and a diode show of one feed."""
    survey_size(AtlasBound(feeds=1, lamps=1, joints=0, diodes=1), Size(1, 1), 1)


def flash_toy() -> None:
    """Let it flash, and nothing else."""
    problem = _problem()
    flashing_of(problem, netlist_of(CIRCUIT, problem.layout), _fitted(problem))


def _fitted(problem: Problem) -> Choice:
    return Choice((0, 0, problem.part_options.ohms.index(OHMS)))


def _problem() -> Problem:
    return prepare(parse_spec(TOY, "toy"))
