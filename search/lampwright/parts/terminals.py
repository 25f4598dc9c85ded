"""Terminal numbers and coupling pins: what `58L` means, and which pin carries it.

Terminals of a spec may bear any name; where it is a number of DIN 72552 its meaning is
known, and where the trailer couplings of ISO 1724 (7 pins) and ISO 11446 (13 pins) have
a pin for it, so is the pin.

Worked case: `58L` is the left position and tail lamps, on pin 7.

Source: DIN-72552, S72, S73, S74, S75, S92; couplings S75, S76, S77, S78, S79.
"""

from lampwright.parts.tables import read_table


def terminal_meaning(name: str) -> str:
    """What a terminal number means; empty where the name is none; text, no unit.

    >>> terminal_meaning("54"), terminal_meaning("bell")
    ('stop lamps', '')
    """
    rows = read_table("terminals.csv").rows
    return next((row.text("meaning") for row in rows if row.text("terminal") == name), "")


def coupling_pin(name: str) -> int | None:
    """The pin of a trailer coupling that carries a terminal; None where there is none; no unit.

    Pins 1 to 7 are on both couplings, higher ones on that of 13 pins alone.

    >>> coupling_pin("58L"), coupling_pin("49a")
    (7, None)
    """
    rows = read_table("trailer_pins.csv").rows
    return next((int(row.number("pin")) for row in rows if name and row.text("terminal") == name), None)
