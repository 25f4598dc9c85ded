"""What may end up in a lamp's holder instead of the lamp: other types of its cap, an LED.

One stock serves all designs of a spec, so that curves are tabulated once.
"""

from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import chain

import numpy as np

from lampwright.parts.catalogue import LampType
from lampwright.parts.diode import DiodeType, led_type
from lampwright.parts.filament import Filament
from lampwright.problem.problem import Problem
from lampwright.solve.laws import Floats, Models
from lampwright.solve.part_options import OVERVOLT, tabulate
from lampwright.solve.shelf import same_type, shelf_of


@lru_cache(maxsize=8)
def _tables(filaments: tuple[Filament, ...], diodes: tuple[DiodeType, ...], volts: float) -> Models:
    return tabulate(list(filaments), list(diodes), volts)


def fits_instead(one: LampType, other: LampType) -> bool:
    """Whether a holder for one type takes the other: system, cap and number of filaments agree.

    Of a lamp of the user's own whose cap is not said, only that it fits itself is known.
    """
    if not one.cap or not other.cap:
        return same_type(one, other)
    return (one.system, one.cap, len(one.filaments)) == (other.system, other.cap, len(other.filaments))


@dataclass(frozen=True)
class Stock:
    """Every type that a holder of the spec's lamps takes, with the solver's tables.

    kinds: the types. diodes: the spec's, then the LED substitutes, one for each of led_systems [V].
    """

    kinds: tuple[LampType, ...]
    diodes: tuple[DiodeType, ...]
    led_systems: tuple[float, ...]
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
    def leds(self) -> tuple[DiodeType, ...]:
        """The LED substitutes."""
        return self.diodes[len(self.diodes) - len(self.led_systems) :]

    def led_row(self, kind: LampType) -> int:
        """The solver's row of the LED substitute for a type that has one."""
        return len(self.diodes) - len(self.led_systems) + self.led_systems.index(kind.system)

    def rows(self, kind: LampType) -> tuple[int, ...]:
        """The solver's rows of a type's filaments, major first."""
        first = sum(len(one.filaments) for one in self.kinds[: self.kinds.index(kind)])
        return tuple(range(first, first + len(kind.filaments)))

    def swaps(self, kind: LampType) -> tuple[LampType, ...]:
        """The other types that fit the holder of a type."""
        return tuple(one for one in self.kinds if fits_instead(one, kind) and not same_type(one, kind))


def stock_for(problem: Problem) -> Stock:
    """The stock of a spec's lamps."""
    shelf, options = shelf_of(problem.spec), problem.part_options
    # the spec's own spelling, where it names a type
    offered = {(kind.model, kind.system): kind for kind in map(shelf.lamp, chain(*options.lamp_types))}
    kinds = tuple(
        offered.get((one.model, one.system), one)
        for one in shelf.lamps(frozenset((kind.system, kind.cap) for kind in offered.values()))
        if any(fits_instead(one, kind) for kind in offered.values())
    )
    systems = tuple(sorted({kind.system for kind in offered.values() if kind.has_led}))
    leds = (led_type(system) for system in systems)
    return Stock(kinds, (*options.diode_types, *leds), systems, problem.spec.supply.volts[2])
