"""The lamp catalogue against the sheets and pages it was read from.

Sources: P21/5W sheet, EU 97/24/EC (S1); PY21/5W proposal (S2); magazine table of a
maker's guide (S6); 1141 / 1156 page (S5); lamp 1003 maker's sheet (S12); SAE J573d
lamps 51 and 55 (S18); lumens = 4 pi x candlepower (S43, S44). Rows not named here are
recalled; the data says which. General lamps' efficacies: Am. J. Phys. 64 (1996) 649 (S42).
Tests named `transcribed` guard the data file against slips of typing and check nothing else.
"""

from collections import Counter

import pytest

from lampwright.parts.catalogue import SYSTEMS, lamp_names, lamp_type, lamp_types
from lampwright.parts.filament import kelvin_of, watts_at
from lampwright.parts.tables import read_table


def test_transcribed_row_counts() -> None:
    assert len(read_table("lamps_r37.csv").rows) == 41
    assert len(read_table("lamps_sae.csv").rows) == 47
    assert len(read_table("lamps_e10.csv").rows) == 5
    assert len(read_table("diodes.csv").rows) == 16
    assert len(read_table("series.csv").rows) == 3 + 6 + 12 + 24
    assert len(read_table("wattages.csv").rows) == 13


def test_every_name_once_per_system() -> None:
    seen = Counter((lamp.name, lamp.system) for lamp in lamp_types())
    assert max(seen.values()) == 1
    assert sum(len(lamp_names(system)) for system in (*SYSTEMS, 2.5, 3, 3.5)) == len(lamp_types())


@pytest.mark.parametrize(
    ("system", "volts", "watts", "most", "lumens"),
    [
        (6, 6.75, (26.0, 6.0), (27.6, 6.6), (440.0, 35.0)),
        (12, 13.5, (25.0, 6.0), (26.5, 6.6), (440.0, 35.0)),
        (24, 28.0, (28.0, 10.0), (29.7, 11.0), (440.0, 40.0)),
    ],
)
def test_transcribed_p21_5w_sheet(
    system: int,
    volts: float,
    watts: tuple[float, float],
    most: tuple[float, float],
    lumens: tuple[float, float],
) -> None:
    lamp = lamp_type("P21/5W", system)
    assert (lamp.cap, lamp.shared_contact, lamp.colour, lamp.filling) == ("BAY15d", True, "white", "gas")
    for f, w, m, lm, tolerance in zip(lamp.filaments, watts, most, lumens, (0.15, 0.20), strict=True):
        assert (f.test_volts, f.watts, f.lumens, f.flux_tolerance) == (volts, w, lm, tolerance)
        assert abs(f.watts * (1.0 + f.watts_tolerance) - m) < 1e-9, "the printed maximum"


def test_p21_5w_as_a_maker_lists_it() -> None:
    # S6: 25.1 W, 1.86 A; 5.9 W, 0.44 A at 13.5 V: rounded to the digits printed, W to 2 %
    major, minor = lamp_type("P21/5W", 12).filaments
    assert abs(major.rated_amps - 1.86) < 0.01
    assert abs(minor.rated_amps - 0.44) < 0.005
    assert abs(major.watts - 25.1) < 0.15
    assert abs(minor.watts - 5.9) < 0.12


def test_transcribed_amber_sibling() -> None:
    amber, clear = lamp_type("PY21/5W", 12), lamp_type("P21/5W", 12)
    assert [f.lumens for f in amber.filaments] == [270.0, 21.0]
    assert amber.cap == "BA15d-3"
    for f, g in zip(amber.filaments, clear.filaments, strict=True):
        assert abs(f.rated_kelvin - g.rated_kelvin) < 1e-6, "one and the same filament"


def test_label_watts_are_the_watts_at_twelve_volts() -> None:
    # UN R37 names a lamp by its watts at the marked voltage; for the two-filament and 21 W
    # categories the printed test-voltage watts reduce to it (label digits, so 0.5 in 21)
    for name, labels in (
        ("P21/5W", (21.0, 5.0)),
        ("P21W", (21.0,)),
        ("W21W", (21.0,)),
        ("P21/4W", (21.0, 4.0)),
    ):
        for f, label in zip(lamp_type(name, 12).filaments, labels, strict=True):
            assert abs(float(watts_at(f, kelvin_of(f, 12.0))) - label) < 0.025 * label + 0.1


def test_trade_number_lamps_as_read() -> None:
    # volts, watts, lumens printed (S5, S12, S6), to their last digit; S16: 3.78 to 3.8 W
    for name, volts, watts, lumens in (
        ("1156", 12.8, 26.9, 402.0),
        ("1141", 12.8, 18.4, 264.0),
        ("1003", 12.8, 12.0, 189.0),
        ("2357", 12.8, 28.5, 503.0),
        ("194", 14.0, 3.78, 25.0),
    ):
        f = lamp_type(name, 12).filaments[0]
        assert f.test_volts == volts
        assert abs(f.watts - watts) < 0.06
        assert abs(f.lumens - lumens) < 0.6


def test_transcribed_lamps_51_and_55() -> None:
    a, b = (lamp_type(name, 6).filaments[0] for name in ("51", "55"))
    assert (a.watts_tolerance, a.flux_tolerance, a.life_hours) == (0.10, 0.20, 1000.0)
    assert (b.watts_tolerance, b.flux_tolerance, b.life_hours) == (0.07, 0.12, 500.0)


def test_transcribed_lamp_1003_is_gas_filled() -> None:
    assert lamp_type("1003", 12).fillings == ("gas",)


def test_efficacies_lie_where_lamps_of_such_watts_do() -> None:
    # S42: 8 to 24 lm/W for general lamps of 10 to 1000 W; two figures
    efficacies = {
        f"{lamp.name} {lamp.system} V": f.lumens / f.watts
        for lamp in lamp_types()
        for f in lamp.filaments
        if lamp.colour == "white" and f.watts >= 10.0 and f.place != "minor"
    }
    assert len(efficacies) >= 25
    outside = {name: round(found, 1) for name, found in efficacies.items() if not 7.5 < found < 24.5}
    assert not outside


def test_every_filament_is_below_melting_and_glows() -> None:
    for lamp in lamp_types():
        for f in lamp.filaments:
            # Draper point 798 K (S45), melting 3695 K (S29); lamps burn far from both
            assert 2000.0 < f.rated_kelvin < 3150.0
