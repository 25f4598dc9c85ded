"""What the spec asks and what may be fitted, as arrays that compiled judging reads.

A band becomes one of flux and one of volts for every filament model and supply (`edges` says
how); margins are read in stops from the flux itself.
"""

from typing import NamedTuple

from lampwright.solve.laws import Floats, Ints, Models


class Demands(NamedTuple):
    """Per supply, state, filament and model of the filament, what its light must be.

    low_stops, high_stops: (supplies, states, filaments, models) edges of the band, log2 of
    relative flux; -inf and +inf where open. Supplies: low, normal, high.
    low_volts, high_volts: likewise, the same edges as volts.
    same_first, same_second: (pairs,) filaments whose light must match, same_state: (pairs,)
    the state, same_low, same_high: (pairs,) log2 of 1 - within and 1 + within.
    off_stops: log2 of the most that counts as off: two lamps both off match.
    brighter: (comparisons, 4) a filament and its state, and another with its own, whose light the first's
    must be at least so many times; brighter_by: (comparisons,) log2 of that.
    """

    low_stops: Floats
    high_stops: Floats
    low_volts: Floats
    high_volts: Floats
    same_first: Ints
    same_second: Ints
    same_state: Ints
    same_low: Floats
    same_high: Floats
    off_stops: float
    brighter: Ints
    brighter_by: Floats


class Numbered(NamedTuple):
    """The requirements' numbers.

    cell: (states, filaments) the number of what is asked there, -1 where nothing is. same_from:
    (states + 1,) the pairs that must match, by state; pair p has number first_same + p.
    """

    cell: Ints
    same_from: Ints
    first_same: int


class Limits(NamedTuple):
    """Ratings of what may be fitted.

    lamp_volts: (models,) [V]; lumens_stops: (models,) log2 of rated lumens;
    diode_amps: (diode models,) [A]; watts: the largest resistor rating [W];
    control_amps: (controls,) [A], inf where none is stated.
    """

    lamp_volts: Floats
    lumens_stops: Floats
    diode_amps: Floats
    watts: float
    control_amps: Floats


class Fit(NamedTuple):
    """How digits of a choice become part models.

    lamp_of: (filaments,) the lamp (digit) that decides its type.
    model: (filaments, types) the filament's model for each type of its lamp.
    siemens: (values,) the resistor values on offer. sizes: (digits,) how many types or
    values each digit has: lamps, then diodes, then resistors. digits: (choices, digits).
    """

    lamp_of: Ints
    model: Ints
    siemens: Floats
    sizes: Ints
    digits: Ints
    diodes: int
    resistors: int


class JudgingTables(NamedTuple):
    """All of one problem that judging a circuit reads; volts: (3,) low, normal, high supply [V]."""

    demands: Demands
    limits: Limits
    volts: Floats
    models: Models


def held_at(demands: Demands, supply: int) -> Demands:
    """The demands where every supply is the one with this number, as for volts that are all alike."""
    tables = (demands.low_stops, demands.high_stops, demands.low_volts, demands.high_volts)
    low_stops, high_stops, low_volts, high_volts = (table[[supply] * len(table)] for table in tables)
    return demands._replace(
        low_stops=low_stops, high_stops=high_stops, low_volts=low_volts, high_volts=high_volts
    )
