"""The full treatment of one design: tolerance, yield, age, faults, ratings, flashing, wires and fuses."""

import numpy as np
from msgspec.structs import replace
from tests.bench.clock import core_seconds
from tests.bench.table import Row, Size

from lampwright.assess.assess import Assessor
from lampwright.judge.corners import SUPPLIES, CornerCircuit, try_corner
from lampwright.judge.design_rows import Presenter
from lampwright.judge.fitting import fit_choice
from lampwright.judge.judge import Judge, blank_verdicts, spread_of
from lampwright.judge.tolerances import set_pattern
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice, fit_one, prepare
from lampwright.solve.newton import new_workspace
from lampwright.spec.load import parse_spec

MOST_SECONDS = 2.0
LEAST_RATIO = 4.0
LAMPS = ("front", "side", "stop", "tail", "plate", "repeater")
HEAD = """
lampwright = 1
title = "Six filaments on three feeds"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.turn]
kind = "flasher"
feed = "49a"
[controls.brake]
kind = "switch"
feed = "54"
[controls.lights]
kind = "switch"
feed = "58"
[wiring]
length = 2.0
[[behaviour]]
when = { turn = "on", brake = "off" }
show = { front = "flash", side = "flash", repeater = "flash", stop = "off" }
[[behaviour]]
when = { turn = "on", brake = "on" }
show = { side = "counterflash" }
[[behaviour]]
when = { lights = "on" }
show = { tail = "lit", plate = "lit" }
"""
TYPES = {"front": "P21W", "stop": "P21W"}
ENDS = [[0, 3], [0, 1], [1, 3], [2, 3], [2, 3], [0, 3]]


def measure(size: Size) -> tuple[Row, ...]:
    """Seconds of one core for one design of six filaments, kernels compiled and curves tabulated before."""
    lamps = "".join(f'[lamps.{name}]\nchoose = ["{TYPES.get(name, "R5W")}"]\n' for name in LAMPS)
    problem = prepare(parse_spec(HEAD + lamps, "six"))
    judge = Judge(problem)
    netlist = Netlist((0, 1, 2, 3), 0, np.array(ENDS, np.int8), 0, 0)
    choice = Choice((0,) * len(LAMPS))
    judgement = judge.judge(netlist, choice)
    design = replace(Presenter(judge).judged(netlist, choice, judgement, 0), rank=1)
    assessor = Assessor(judge)
    assessor.assess(design, netlist, choice)
    tries = 1 if size is Size.TINY else 3
    seconds = core_seconds(lambda: assessor.assess(design, netlist, choice), tries)
    again = core_seconds(lambda: judge.judge(netlist, choice), tries)
    said = f"{seconds:.2f} s; the judgement at all corners alone {1000 * again:.1f} ms"
    walk = core_seconds(lambda: walk_corners(judge, netlist, choice), tries)
    ratio = walk / again
    told = f"{ratio:.1f}x: {1000 * walk:.1f} ms to {1000 * again:.2f} ms"
    return (
        Row("one design, six filaments", said, f"<= {MOST_SECONDS:.0f} s", seconds <= MOST_SECONDS),
        Row("  judged, against every corner", told, f">= {LEAST_RATIO:.0f}x", ratio >= LEAST_RATIO),
    )


def walk_corners(judge: Judge, netlist: Netlist, choice: Choice) -> None:
    """Solve the whole circuit in every state at every corner, as `judge.all_corners` need not."""
    problem, parts, work = judge.problem, len(netlist.ends), new_workspace()
    boundary = judge.boundary(netlist.partition, netlist.joints)
    assert boundary is not None, "wires do not short the supply"
    fit = fit_one(problem, choice, netlist.diodes, netlist.resistors)
    fit_choice(0, fit, problem.part_options.models, work)
    spread, gates = spread_of(problem, parts, work), boundary.gates
    out = blank_verdicts(problem, parts, boundary.vertex_node.shape[1])
    read = gates.state, gates.control, gates.beyond, gates.exact
    circuit = CornerCircuit(netlist.ends[None], boundary.vertex_node, spread, read)
    for pattern in range(1 + 2 ** int(np.sum(spread.low != spread.high))):
        set_pattern(pattern, spread, work.reals)
        for supply, volts in enumerate(problem.volts):
            try_corner(pattern * SUPPLIES + supply, float(volts), circuit, problem.tables, work, out)
