"""Blade fuses, terminal numbers and coupling pins against the standards' lists.

Ratings and colours: ISO 8820-3 (ISO-8820-3; read in S46, S47, S91, S98).
Share of the load: 80 % (S49) and 125 % the other way (S48); 75 % is common practice.
Terminals: DIN 72552 (S72 to S75, S92). Pins: ISO 1724 and ISO 11446 (S75 to S79).
Tests named `transcribed` guard the data file against slips of typing and check nothing else.
"""

import pytest

from lampwright.parts.tables import read_table
from lampwright.parts.wires import BladeFuse, blade_fuses, coupling_pin, fuse_for, terminal_meaning

COLOURS = {
    1.0: "black",
    2.0: "grey",
    3.0: "violet",
    4.0: "pink",
    5.0: "tan",
    7.5: "brown",
    10.0: "red",
    15.0: "blue",
    20.0: "yellow",
    25.0: "clear",
    30.0: "green",
    35.0: "blue-green",
    40.0: "orange",
}
PINS = {"L": 1, "54g": 2, "31": 3, "R": 4, "58R": 5, "54": 6, "58L": 7, "30": 9, "15": 10}


def test_transcribed_ratings_and_colours() -> None:
    assert {fuse.amps: fuse.colour for fuse in blade_fuses()} == COLOURS
    assert [fuse.amps for fuse in blade_fuses()] == sorted(COLOURS)


@pytest.mark.parametrize(
    ("load", "amps"),
    [(0.0, 1.0), (0.75, 1.0), (0.76, 2.0), (1.75, 3.0), (3.5, 5.0), (7.5, 10.0), (7.6, 15.0), (30.0, 40.0)],
)
def test_the_next_rating(load: float, amps: float) -> None:
    """21 W at 12 V, 1.75 A, wants 2.3 A: the 3 A fuse; two of them 4.7 A: the 5 A fuse."""
    fuse = fuse_for(load)
    assert fuse is not None
    assert fuse.amps == amps
    assert load <= 0.8 * fuse.amps, "S49: never above 80 %"


def test_no_fuse_is_large_enough() -> None:
    assert fuse_for(30.1) is None


def test_fuses_are_told_apart_by_colour() -> None:
    assert fuse_for(1.0) == BladeFuse(2.0, "grey")
    assert len({fuse.colour for fuse in blade_fuses()}) == 13


def test_transcribed_pins_of_the_couplings() -> None:
    assert {name: coupling_pin(name) for name in PINS} == PINS
    assert [coupling_pin(name) for name in ("", "58", "49a", "61")] == [None] * 4
    rows = read_table("trailer_pins.csv").rows
    assert [int(row.number("pin")) for row in rows] == list(range(1, 14))
    assert all(("ISO 1724" in row.text("standard")) == (row.number("pin") <= 7) for row in rows)


def test_terminals_of_the_pins_have_meanings() -> None:
    assert all(terminal_meaning(name) for name in PINS)
    assert terminal_meaning("49a") == "flasher unit, output to the indicator switch"
    assert terminal_meaning("bell") == ""
    assert len(read_table("terminals.csv").rows) == 33
