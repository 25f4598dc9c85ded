"""What may end up in a lamp's holder instead of the lamp: other types of its cap, an LED.

One stock serves all designs of a spec, so that curves are tabulated once.
"""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from lampwright.parts.catalogue import LampType, lamp_type, lamp_types
from lampwright.parts.diode import DiodeType, led_type
from lampwright.parts.filament import Filament
from lampwright.problem.problem import Problem
from lampwright.solve.laws import Floats, Models
from lampwright.solve.part_options import OVERVOLT, tabulate


@lru_cache(maxsize=8)
def _tables(filaments: tuple[Filament, ...], diodes: tuple[DiodeType, ...], volts: float) -> Models:
    return tabulate(list(filaments), list(diodes), volts)


def fits_instead(one: LampType, other: LampType) -> bool:
    """Whether a holder for one type takes the other: system, cap and number of filaments agree."""
    return (one.system, one.cap, len(one.filaments)) == (other.system, other.cap, len(other.filaments))


@dataclass(frozen=True)
class Stock:
    """Every type that a holder of the spec's lamps takes, with the solver's tables.

    kinds: the types. diodes: the spec's, then the LED substitute.
    """

    kinds: tuple[LampType, ...]
    diodes: tuple[DiodeType, ...]
    most_volts: float

    @cached_property
    def filaments(self) -> tuple[Filament, ...]:
        """All filaments of all types, in order: the solver's rows."""
        return tuple(filament for kind in self.kinds for filament in kind.filaments)

    @cached_property
    def models(self) -> Models:
        """The solver's tables."""
        return _tables(self.filaments, self.diodes, self.most_volts)

    @cached_property
    def lamp_volts(self) -> Floats:
        """Most volts for every row [V]."""
        return np.array([OVERVOLT * filament.test_volts for filament in self.filaments])

    @cached_property
    def lumens_stops(self) -> Floats:
        """Log2 of rated lumens of every row."""
        return np.array(np.log2([filament.lumens for filament in self.filaments]))

    @property
    def led(self) -> DiodeType:
        """The LED substitute."""
        return self.diodes[-1]

    def rows(self, kind: LampType) -> tuple[int, ...]:
        """The solver's rows of a type's filaments, major first."""
        first = sum(len(one.filaments) for one in self.kinds[: self.kinds.index(kind)])
        return tuple(range(first, first + len(kind.filaments)))

    def swaps(self, kind: LampType) -> tuple[LampType, ...]:
        """The other types that fit the holder of a type."""
        return tuple(one for one in self.kinds if fits_instead(one, kind) and one.name != kind.name)


def stock_for(problem: Problem) -> Stock:
    """The stock of a spec's lamps."""
    system = problem.spec.supply.system
    offered = [lamp_type(name, system) for types in problem.part_options.lamp_types for name in types]
    kinds = tuple(one for one in lamp_types() if any(fits_instead(one, kind) for kind in offered))
    return Stock(kinds, (*problem.part_options.diode_types, led_type(system)), problem.spec.supply.volts[2])
