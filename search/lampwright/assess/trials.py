"""The operating points of a circuit under each of its physical faults, state by state.

What `faults` counts and compares is here kept whole, so that a fault can be looked at: the
same bench, the same faults, the same reading of light. Other types and substitutes are left
out: they are another circuit rather than a broken one.
"""

from dataclasses import dataclass

import numpy as np

from lampwright.assess.alterations import Circuitry, Fault
from lampwright.assess.fault_bench import Bench, Settled, Values
from lampwright.assess.fault_light import LEVELS, Light
from lampwright.assess.faults import FaultFinder
from lampwright.solve.boundary import Truths
from lampwright.solve.laws import Bytes, Floats

PHYSICAL = (
    "filament open",
    "lamp missing",
    "part open",
    "part shorted",
    "fuse blown",
    "ground lost at lamp",
    "ground lost in zone",
    "feeds bridged",
)
LIVE = 1
"""The solver's code of the supply."""


@dataclass(frozen=True)
class Trial:
    """One fault at the normal supply, parts nominal.

    shorted: (states,), where the rest of the row says nothing. flux [1]: (states,
    filaments); levels: the words, likewise. codes, potential [V]: (states, vertices), the
    solver's codes, and volts against ground; lost ground hangs on a vertex of its own, the
    last. volts, amps: (states, parts), from tail to head of the sound circuit's parts.
    """

    fault: Fault
    shorted: Truths
    flux: Floats
    levels: tuple[tuple[str, ...], ...]
    codes: Bytes
    potential: Floats
    volts: Floats
    amps: Floats


def try_faults(finder: FaultFinder, circuit: Circuitry, values: Values) -> tuple[Trial, ...]:
    """Try every physical fault, in the order in which `faults` lists them."""
    bench = Bench(finder.problem, finder.stock, circuit, values)
    light = Light(finder.problem, finder.stock)
    faults = (fault for fault in finder.faults(circuit) if fault.kind in PHYSICAL)
    return tuple(_trial(fault, bench.under(fault).normal, light, finder) for fault in faults)


def _trial(fault: Fault, settled: Settled, light: Light, finder: FaultFinder) -> Trial:
    lights = light.read(settled)
    codes = settled.boundary.vertex_node
    return Trial(
        fault=fault,
        shorted=settled.boundary.shorted,
        flux=np.exp2(lights.stops),
        levels=tuple(tuple(LEVELS[level] for level in row) for row in lights.level.tolist()),
        codes=codes,
        potential=_potential(codes, settled.points.potential, float(finder.problem.volts[1])),
        volts=settled.points.volts,
        amps=settled.points.amps,
    )


def _potential(codes: Bytes, solved: Floats, supply: float) -> Floats:
    """The potential of every vertex [V]; one that no part touches has that of what contacts join it to."""
    found = np.zeros(codes.shape)
    for state, row in enumerate(codes):
        for vertex, code in enumerate(row):
            found[state, vertex] = (
                supply if code == LIVE else solved[state, row == code].max() if code else 0.0
            )
    return found
