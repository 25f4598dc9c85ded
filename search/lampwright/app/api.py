"""The same jobs from Python, with files or without: a spec and a circuit may be said in code.

Every function raises InputError, with each place and what would do, for what is wrong with its input.
The first that solves anything compiles the solver, says so, and takes about two minutes.
"""

import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lampwright.app.answering import diagnose_problem, find_designs, search_problem
from lampwright.app.checking import check_circuit
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.app.comparing import CompareTable, compare_circuit
from lampwright.app.compiling import compile_here
from lampwright.app.notebook import Checked, Found, as_checked, as_found
from lampwright.app.solving import Joins, Solved, solve_circuit
from lampwright.app.spec_builder import SpecBuilder, SupplyVolts
from lampwright.errors import Finding, InputError
from lampwright.kernels import kernels_to_come
from lampwright.network.circuit_file import read_circuit, read_parts
from lampwright.parts.filament import Filament, amps_of, kelvin_of, relative_flux_of, relative_life
from lampwright.problem.problem import Problem, layout_of, prepare
from lampwright.problem.reading import helped
from lampwright.progress.bar import Progress, quiet, terminal
from lampwright.results.shortfall import Shortfall
from lampwright.searching.options import BUDGET, SearchOptions, aims_of
from lampwright.solve.shelf import Shelf, read_types, with_circuit_types

Answer = TypeVar("Answer")
COMPILING = "lampwright: first run of this version: compiling, about two minutes; later runs start at once\n"


def load_spec(path: Path | str) -> SpecBuilder:
    """Read a spec file and check it; the calls of a `Spec` go on from there."""
    return SpecBuilder.load(path)


def load_circuit(path: Path | str, *, types: Path | str | None = None) -> CircuitBuilder:
    """Read a circuit file; the calls of a `Circuit` go on from there.

    types: a file of lamps of your own that it names, as a spec's `types_from`; [types] in it does as well.
    """
    own = () if types is None else read_types(Path(types))
    return CircuitBuilder.load(path, own)


def search(
    spec: SpecBuilder | Path | str,
    *,
    joints: int | None = None,
    wires: int | None = None,
    extra_parts: int | None = None,
    more_lamps: int = 0,
    prefer: str | Sequence[str] = (),
    workers: int = 1,
    time_limit: float | None = None,
    budget: int = BUDGET,
    bound: bool = True,
    scheduler: str | None = None,
    progress: bool = True,
) -> Found:
    """Find and rank every circuit that meets a spec; nothing is written.

    The answer is a sequence of designs, best first, false without any; it draws itself in a notebook.

    joints, wires: bounds in place of the spec's. extra_parts: most resistors and diodes together.
    more_lamps: show circuits with up to so many helper lamps more than the least, too.
    prefer: the aims to rank by first, as "margin". workers: processes. time_limit: seconds, after which
    what was found is given. budget: most circuits; a spec that asks for more is refused. bound: prove
    first how few extra parts can do. scheduler: of a Dask cluster. progress: tell a person who waits.
    """
    options = _options(
        prefer,
        extra_parts=extra_parts,
        more_lamps=more_lamps,
        workers=workers,
        time_limit=time_limit,
        budget=budget,
        bound=bound,
        scheduler=scheduler,
    )
    built = _built(spec, joints, wires)
    return as_found(_asked(search_problem, built, options, progress), built.model)


def find(
    spec: SpecBuilder | Path | str,
    *,
    joints: int | None = None,
    wires: int | None = None,
    extra_parts: int | None = None,
    more_lamps: int = 0,
    prefer: str | Sequence[str] = (),
    workers: int = 1,
    time_limit: float | None = None,
    budget: int = BUDGET,
    bound: bool = True,
    scheduler: str | None = None,
    progress: bool = True,
) -> Found:
    """Find and rank every circuit that meets a spec, and no more: the quick answer to whether there is one.

    Designs have no `care`, `flashing`, `wiring`, `sweep` and `doubts`; where there is none, no `shortfall`.
    Keywords as for `search`.
    """
    options = _options(
        prefer,
        extra_parts=extra_parts,
        more_lamps=more_lamps,
        workers=workers,
        time_limit=time_limit,
        budget=budget,
        bound=bound,
        scheduler=scheduler,
    )
    built = _built(spec, joints, wires)
    return as_found(_asked(find_designs, built, options, progress), built.model)


def diagnose(
    spec: SpecBuilder | Path | str,
    *,
    joints: int | None = None,
    wires: int | None = None,
    extra_parts: int | None = None,
    workers: int = 1,
    time_limit: float | None = None,
    budget: int = BUDGET,
    progress: bool = True,
) -> Shortfall | None:
    """Say why no circuit meets a spec: what conflicts, what comes near, what would help; None where one does.

    Keywords as for `search`.
    """
    options = _options((), extra_parts=extra_parts, workers=workers, time_limit=time_limit, budget=budget)
    return _asked(diagnose_problem, _built(spec, joints, wires), options, progress)


def check(
    spec: SpecBuilder | Path | str, circuit: CircuitBuilder | Path | str, *, progress: bool = True
) -> Checked:
    """Judge a circuit against a spec, state by state; the check draws itself in a notebook."""
    model = _built(spec).model
    if isinstance(circuit, CircuitBuilder):
        model = helped(model, circuit.parts)
        placed, name = circuit.under(layout_of(model)), "circuit"
    else:
        path = _path(circuit, "circuit", "Circuit")
        model = replace(model, types=with_circuit_types(model.types, path))
        model = model if model.extras.lamps is None else helped(model, read_parts(path))
        placed, name = read_circuit(path, layout_of(model)), path.name
    _ready(progress)
    return as_checked(check_circuit(model, placed, name), model)


def solve(
    circuit: CircuitBuilder | Path | str,
    supply: float | SupplyVolts,
    *,
    live: str | Iterable[str] | None = None,
    settings: Joins | None = None,
    system: float = 12,
    types: Path | str | None = None,
    progress: bool = True,
) -> Solved:
    """Work out what a circuit does, with no spec: amps, volts, light and kelvin of each filament, every node.

    supply: volts, or a `Supply`, whose three are all solved. live: nodes at the supply. settings, in
    place of it: nodes that are live, or pairs of nodes that contacts join, by the name of each setting,
    as `{"brake": ["54"], "reverse": [("31", "A"), "B"]}`. "30" is live and "31" ground in all of them.
    system: for which volts lamps are made; a `Supply` says it itself. types: as for `load_circuit`.
    """
    if not isinstance(circuit, CircuitBuilder):
        circuit = load_circuit(_path(circuit, "circuit", "Circuit"), types=types)
    _ready(progress)
    return solve_circuit(circuit, supply, live, settings, system)


def compare(
    spec: SpecBuilder | Path | str,
    circuit: CircuitBuilder | Path | str,
    *,
    types: Mapping[str, Sequence[str]] | None = None,
    ohms: Mapping[str, Sequence[float]] | None = None,
    progress: bool = True,
) -> CompareTable:
    """Judge a circuit with every choice of some types, by lamp or diode, and ohms, by resistor.

    A circuit file may name the spec's own lamps, and bring others. The answer has `to_frame()` and `plot()`,
    and draws itself as a table in a notebook.
    """
    model = _built(spec).model
    if not isinstance(circuit, CircuitBuilder):
        circuit = CircuitBuilder.load(_path(circuit, "circuit", "Circuit"), model.types)
        model = replace(model, types=circuit.own)
    _ready(progress)
    return compare_circuit(model, circuit, types or {}, ohms or {})


def _built(
    spec: SpecBuilder | Path | str, joints: int | None = None, wires: int | None = None
) -> SpecBuilder:
    built = spec if isinstance(spec, SpecBuilder) else load_spec(_path(spec, "spec", "Spec"))
    return built if joints is None and wires is None else built.bounds(joints=joints, wires=wires)


def _path(said: object, place: str, kind: str) -> Path:
    if isinstance(said, str | Path):
        return Path(said)
    given = f"{type(said).__module__}.{type(said).__name__}"
    raise InputError([Finding(place, f"a {given} is given", f"give a lampwright.{kind}, or a file's path")])


def _asked(
    ask: Callable[[Problem, SearchOptions, Progress], Answer],
    spec: SpecBuilder,
    options: SearchOptions,
    progress: bool,
) -> Answer:
    problem = prepare(spec.model)
    _ready(progress)
    shown = terminal(sys.stderr) if progress else quiet()
    try:
        return ask(problem, options, shown)
    finally:
        shown.close()


def _ready(progress: bool) -> None:
    """Compile what is still to be compiled, with a word to a person who waits."""
    kernels = kernels_to_come()
    if kernels is None:
        return
    if progress:
        sys.stderr.write(COMPILING)
    shown = terminal(sys.stderr) if progress else quiet()
    try:
        compile_here(kernels, shown)
    finally:
        shown.close()


def _options(prefer: str | Sequence[str], **said: Any) -> SearchOptions:
    """What is asked besides the spec. Raises InputError as the command line refuses it."""
    findings = [
        Finding(name, f"{said[name]!r} is no whole number from {least} up", f"give at least {least}")
        for name, least in (("extra_parts", 0), ("more_lamps", 0), ("workers", 1), ("budget", 1))
        if said.get(name) is not None and (type(said[name]) is not int or said[name] < least)
    ]
    limit = said["time_limit"]
    if limit is not None and not (isinstance(limit, int | float) and limit > 0):
        findings.append(Finding("time_limit", f"{limit!r} is no time", "give seconds above 0"))
    if findings:
        raise InputError(findings)
    words = prefer if isinstance(prefer, str) else ",".join(prefer)
    try:
        aims = aims_of(words) if words else SearchOptions.prefer
    except InputError as error:
        raise InputError([replace(one, at="prefer") for one in error.findings]) from None
    return SearchOptions(prefer=aims, **said)


@dataclass(frozen=True)
class FilamentLaws:
    """One filament of a lamp type: what it does at any voltage; every method broadcasts."""

    rated: Filament

    def amps(self, volts: ArrayLike) -> NDArray[np.float64]:
        """Current [A] at these volts [V]."""
        return amps_of(self.rated, volts)

    def kelvin(self, volts: ArrayLike) -> NDArray[np.float64]:
        """Temperature [K] at these volts [V]."""
        return kelvin_of(self.rated, volts)

    def flux(self, volts: ArrayLike) -> NDArray[np.float64]:
        """Luminous flux relative to rated, at these volts [V]."""
        return relative_flux_of(self.rated, volts)

    def life(self, volts: ArrayLike) -> NDArray[np.float64]:
        """Life relative to rated, at these volts [V], by the handbook exponent."""
        return relative_life(self.rated, volts)


def filament(lamp: str, system: float = 12, number: int = 1) -> FilamentLaws:
    """A filament of a lamp type for a system's volts, or of one named with its volts; the major one first.

    >>> bool(abs(filament("P21W").amps(13.5) - 25 / 13.5) < 1e-6)
    True
    """
    filaments = Shelf(system).lamp(lamp).filaments
    if not 1 <= number <= len(filaments):
        raise ValueError(f"{lamp} has {len(filaments)} filament(s); number {number} is none of them")
    return FilamentLaws(filaments[number - 1])
