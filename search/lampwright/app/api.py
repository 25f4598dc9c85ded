"""The same jobs from Python: load_spec, search, find, diagnose, check and filament."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lampwright.app.answering import diagnose_problem, find_designs, search_problem
from lampwright.app.checking import check_circuit
from lampwright.app.notebook import Checked, Found, as_checked, as_found
from lampwright.network.circuit_file import read_circuit
from lampwright.parts.catalogue import lamp_type
from lampwright.parts.filament import Filament, amps_of, kelvin_of, relative_flux_of, relative_life
from lampwright.problem.problem import layout_of, prepare
from lampwright.problem.reading import read_spec
from lampwright.progress.bar import quiet
from lampwright.results.shortfall import Shortfall
from lampwright.searching.options import SearchOptions
from lampwright.spec.model import Spec


def load_spec(path: Path | str) -> Spec:
    """Read a spec file and check it. Raises InputError with every finding."""
    return read_spec(Path(path))


def search(spec: Spec | Path | str, options: SearchOptions | None = None) -> Found:
    """Find and rank every circuit that meets a spec; nothing is written.

    The ranking and its designs draw themselves in a notebook. Raises InputError for a wrong
    spec and for a search over the options' budget.
    """
    loaded = _loaded(spec)
    return as_found(search_problem(prepare(loaded), options or SearchOptions(), quiet()), loaded)


def find(spec: Spec | Path | str, options: SearchOptions | None = None) -> Found:
    """Find and rank every circuit that meets a spec, and no more: the quick answer to whether there is one.

    Designs have no `care`, `flashing`, `wiring`, `sweep` and `doubts`; where there is none, no `shortfall`.
    Raises InputError as `search` does.
    """
    loaded = _loaded(spec)
    return as_found(find_designs(prepare(loaded), options or SearchOptions(), quiet()), loaded)


def diagnose(spec: Spec | Path | str, options: SearchOptions | None = None) -> Shortfall | None:
    """Say why no circuit meets a spec: what conflicts, what comes near, what would help; None where one does.

    Raises InputError as `search` does.
    """
    return diagnose_problem(prepare(_loaded(spec)), options or SearchOptions(), quiet())


def _loaded(spec: Spec | Path | str) -> Spec:
    return spec if isinstance(spec, Spec) else load_spec(spec)


def check(spec: Spec | Path | str, circuit: Path | str) -> Checked:
    """Judge a circuit file against a spec, state by state; the check draws itself in a notebook.

    Raises InputError for either file.
    """
    loaded = _loaded(spec)
    path = Path(circuit)
    report = check_circuit(loaded, read_circuit(path, layout_of(loaded)), path.name)
    return as_checked(report, loaded)


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


def filament(lamp: str, system: int = 12, number: int = 1) -> FilamentLaws:
    """A filament of a lamp type, the major one first.

    >>> bool(abs(filament("P21W").amps(13.5) - 25 / 13.5) < 1e-6)
    True
    """
    filaments = lamp_type(lamp, system).filaments
    if not 1 <= number <= len(filaments):
        raise ValueError(f"{lamp} has {len(filaments)} filament(s); number {number} is none of them")
    return FilamentLaws(filaments[number - 1])
