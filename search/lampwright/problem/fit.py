"""Types and values that a circuit may be fitted with, as arrays. No source: our conventions."""

from typing import NamedTuple

from lampwright.solve.laws import Floats, Ints


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
