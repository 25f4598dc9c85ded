"""The full treatment of one design: tolerance, yield, age, faults, ratings, flashing, wires and fuses."""

import numpy as np
from msgspec.structs import replace
from tests.bench.clock import core_seconds
from tests.bench.table import Row, Size

from lampwright.assess.assess import Assessor
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import Judge
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice, prepare
from lampwright.spec.load import parse_spec

MOST_SECONDS = 2.0
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
    return (Row("one design, six filaments", said, f"<= {MOST_SECONDS:.0f} s", seconds <= MOST_SECONDS),)
