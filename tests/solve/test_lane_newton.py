"""Eight circuits at once where it is hard, where lanes are idle or handed on, and on other processors."""

import os
import subprocess
import sys
from typing import TYPE_CHECKING

import numpy as np
import pytest

from lampwright.parts.catalogue import diode_type, lamp_type
from lampwright.solve.lanes import LANES
from lampwright.solve.newton import RESIDUAL
from lampwright.solve.twin import TwinPart, operating_point

if TYPE_CHECKING:
    from tests.solve.conftest import Bench

BIG, SMALL = (lamp_type(name, 12).filaments[0] for name in ("P21W", "W2.3W"))
SLOW, STRONG = diode_type("1N4007"), diode_type("1N5404")
VOLTS = 13.5
CIRCUITS = {
    "no unknown node": [TwinPart(1, 0, SMALL), TwinPart(0, 1, 10.0), TwinPart(1, 1, SLOW)],
    "loops on one node": [
        *(TwinPart(2, 2, model) for model in (SLOW, 0.01)),
        *(TwinPart(a, b, BIG) for a, b in [(1, 2), (2, 0)]),
    ],
    "an island": [TwinPart(2, 3, BIG), TwinPart(3, 4, STRONG), TwinPart(4, 2, 10.0), TwinPart(1, 0, SMALL)],
    "a diode straight across": [TwinPart(1, 0, STRONG), TwinPart(1, 2, SMALL), TwinPart(2, 0, SLOW)],
    "a ring of diodes": [
        *(TwinPart(a, b, SLOW) for a, b in [(2, 3), (3, 4), (4, 2)]),
        *(TwinPart(a, b, BIG) for a, b in [(1, 2), (4, 0)]),
    ],
    "a chain of diodes, one reversed": [
        TwinPart(a, b, STRONG) for a, b in [(1, 2), (3, 2), (3, 4), (4, 5), (5, 0)]
    ],
    "0.01 ohm between two joints": [TwinPart(1, 2, SMALL), TwinPart(2, 3, 0.01), TwinPart(3, 0, BIG)],
    "small and big in series": [TwinPart(1, 2, SMALL), TwinPart(2, 0, BIG), TwinPart(1, 2, 82.0)],
}  # fmt: skip
SCRIPT = """
import sys
import numpy as np
from lampwright.parts.catalogue import diode_type, lamp_type
from lampwright.solve.lane_newton import new_lanes, set_lane, solve_lanes, start_lane, take_lane
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR
from lampwright.solve.newton import CURRENT, HEAD, KIND, ROW, TAIL, VALUE, new_workspace
from lampwright.solve.part_options import tabulate
models = tabulate([lamp_type("P21W", 12).filaments[0]], [diode_type("1N5404")], 14.4)
work, lanes = new_workspace(), new_lanes()
for part, (kind, tail, head) in enumerate([(FILAMENT, 1, 2), (DIODE, 2, 3), (RESISTOR, 3, 0), (DIODE, 1, 0)]):
    work.whole[[KIND + part, ROW + part, TAIL + part, HEAD + part]] = kind, 0, tail, head
for lane in range(8):
    work.reals[VALUE : VALUE + 4] = 1.0, 0.01, 0.05 * (lane + 1), 0.0
    set_lane(lane, 4, models, work, lanes)
    start_lane(lane, 4, 13.5, lanes)
assert solve_lanes(8, 4, 4, models, work, lanes) == 0
for lane in range(8):
    take_lane(lane, 4, 4, models, work, lanes)
    print(*work.reals[CURRENT : CURRENT + 4].tolist())
"""

FOR_ARM = """
import re
from llvmlite import binding
from lampwright.solve import lane_newton
binding.initialize_all_targets()
binding.initialize_all_asmprinters()
code = next(iter(lane_newton._iterate.inspect_llvm().values()))
code = re.sub('target datalayout = .*', '', re.sub('target triple = ".*"', 'target triple = "aarch64"', code))
machine = binding.Target.from_triple("aarch64").create_target_machine()
print(machine.emit_assembly(binding.parse_assembly(code)))
"""


@pytest.fixture(scope="module")
def bench(bench_type: "type[Bench]") -> "Bench":
    return bench_type([BIG, SMALL], [SLOW, STRONG])


def nodes_of(parts: list[TwinPart]) -> int:
    return 1 + max(max(part.tail, part.head, 1) for part in parts)


@pytest.mark.parametrize("name", CIRCUITS)
def test_hard_circuits_from_any_start(name: str, bench: "Bench") -> None:
    parts, draw = CIRCUITS[name], np.random.default_rng(17)
    nodes, volts = nodes_of(parts), draw.uniform(5.0, 14.4, LANES).tolist()
    plain = [operating_point(parts, nodes, supply) for supply in volts]
    for start in (0.0, 0.5, 1.0, -3.0, 4.0, 1e-6):
        points = bench.solve_eight([parts] * LANES, nodes, volts, start)
        for point, other, supply in zip(points, plain, volts, strict=True):
            assert point.steps >= 0, f"not converged from {start}"
            assert point.residual <= RESIDUAL * (1.0 + 1e-3)
            # the twin's 20 nA for each of up to four nodes and between temperatures; the cells' 50 nA
            assert np.abs(point.amps - other.amps).max() < 2e-7, f"from {start}"
            assert np.all((point.potentials >= 0.0) & (point.potentials <= supply))


@pytest.mark.parametrize("used", [1, 5, 8])
def test_idle_lanes_change_nothing(used: int, bench: "Bench") -> None:
    parts = CIRCUITS["small and big in series"]
    fits = [[*parts[:2], TwinPart(1, 2, 10.0 * (lane + 1))] for lane in range(LANES)]
    whole = bench.solve_eight(fits, 3, [VOLTS] * LANES)
    bench.solve_eight([CIRCUITS["an island"]] * LANES, 5, [7.0] * LANES)
    for point, other in zip(bench.solve_eight(fits[:used], 3, [VOLTS] * used), whole, strict=False):
        assert point.amps.tolist() == other.amps.tolist()


def test_a_lane_that_fails_is_handed_on(bench: "Bench") -> None:
    """Potentials that are no numbers lead nowhere; the plain kernel starts anew."""
    parts = CIRCUITS["small and big in series"]
    wanted = bench.solve(parts, 3, VOLTS)
    good = bench.solve_eight([parts], 3, [VOLTS])[0]
    lost = bench.solve_eight([parts], 3, [VOLTS], float("nan"))[0]
    assert lost.amps.tolist() == wanted.amps.tolist() != good.amps.tolist(), "to the last bit"
    assert np.abs(good.amps - wanted.amps).max() < 5e-8
    assert lost.steps >= 0


def amps_with(**settings: str) -> np.ndarray:
    """The currents of eight circuits (8, 4), as a process finds them that numba is told this."""
    run = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        env={**os.environ, **settings},
        capture_output=True,
        check=True,
        text=True,
    )
    return np.array([line.split() for line in run.stdout.splitlines()], np.float64)


def test_without_compilation_the_plain_kernel_serves() -> None:
    assert np.abs(amps_with(NUMBA_DISABLE_JIT="1") - amps_with()).max() < 1e-7


@pytest.mark.nightly
@pytest.mark.parametrize("name", ["generic", "x86-64-v2", "x86-64-v3", "x86-64-v4"])
def test_other_processors(name: str, tmp_path: "os.PathLike[str]") -> None:
    """What LLVM makes of the vectors with narrower registers, or none that are known of."""
    settings = {"NUMBA_CPU_NAME": name, "NUMBA_CPU_FEATURES": "", "NUMBA_CACHE_DIR": os.fspath(tmp_path)}
    # a diode straight across takes 300 A, of which a rounding is 1e-13
    assert np.abs(amps_with(**settings) - amps_with()).max() < 1e-9


@pytest.mark.nightly
def test_code_for_64_bit_arm(tmp_path: "os.PathLike[str]") -> None:
    """The same vectors, as pairs of numbers in that processor's registers; nobody here can run it."""
    settings = {**os.environ, "NUMBA_CACHE_DIR": os.fspath(tmp_path)}
    command = [sys.executable, "-c", SCRIPT + FOR_ARM]
    run = subprocess.run(command, env=settings, capture_output=True, check=True, text=True)
    assert run.stdout.count(".2d") > 300
    assert "fmla" in run.stdout, "a product and a sum in one"
