"""Wire against the standards' limits, the gauge rule, a printed table and drops worked by hand.

Resistances: IEC 60228 class 5 (S21, S22, read) and ISO 6722-1 (ISO-6722, recalled).
Copper: 17.241 nΩ m and 0.00393 per K, the international standard of IEC 60028 (IEC-60028,
recalled). Gauges: the rule of ASTM B258 (ASTM-B258, S93) and a printed table (S23, read).
Currents: the trade and owners' lists (S24, S25, S26, read). A drop worked by others: S90.
Tests named `transcribed` guard the data file against slips of typing and check nothing else.
"""

import csv
from pathlib import Path

import pytest

from lampwright.parts.tables import UnknownPart, read_table
from lampwright.parts.wires import awg_area_mm2, awg_for, continuous_amps, ohms_per_metre, wire_sizes

CLASS_5 = {0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 6.0: 3.30}  # mΩ/m at 20 C, S21
ISO_6722 = {0.5: 37.1, 0.75: 24.7, 1.0: 18.5, 1.5: 12.7, 2.0: 9.42, 2.5: 7.60, 3.0: 6.15, 6.0: 3.14}
STANDARD_COPPER = 17.241  # mΩ mm²/m
GAUGES = {20: 0.5176, 18: 0.8230, 16: 1.3087, 14: 2.0809, 12: 3.3088, 10: 5.2612}  # mm², S23 and the rule
PRINTED = {20: 33.5, 18: 21.0, 16: 13.2, 14: 8.29, 12: 5.21, 10: 3.28}  # mΩ/m, S23, three digits


def by_standard(name: str) -> dict[float, float]:
    rows = read_table("wire_ohms.csv").rows
    return {row.number("area_mm2"): row.number("mohm_per_m") for row in rows if row.text("standard") == name}


def test_transcribed_limits_of_both_standards() -> None:
    class_5, iso = by_standard("IEC 60228 class 5"), by_standard("ISO 6722-1")
    assert (len(class_5), len(iso)) == (8, 12)
    assert {area: class_5[area] for area in CLASS_5} == CLASS_5
    assert {area: iso[area] for area in ISO_6722} == ISO_6722


def test_a_limit_is_a_little_above_pure_copper() -> None:
    for standard in ("IEC 60228 class 5", "ISO 6722-1"):
        for area, mohm in by_standard(standard).items():
            # strands, lay and tolerance: limits are 4 to 16 % above the copper's own (at nominal area);
            # the smallest are made thinner than called
            assert 1.03 < mohm * area / STANDARD_COPPER < 1.17, f"{standard} {area}"


def test_the_greater_limit_counts() -> None:
    for area in wire_sizes():
        most = max(CLASS_5.get(area, 0.0), ISO_6722[area])
        assert ohms_per_metre(area, 20.0) == pytest.approx(most / 1000.0, rel=1e-12)  # the same division


def test_hot_copper() -> None:
    """Common practice: resistance goes as degrees Celsius plus 234.5, so from 20 to 60 C by 294.5 / 254.5."""
    ratio = ohms_per_metre(1.0, 60.0) / ohms_per_metre(1.0, 20.0)
    assert ratio == pytest.approx(294.5 / 254.5, rel=2e-4)  # 0.00393 has three digits, 234.5 four


def test_a_signal_lamp_worked_by_hand() -> None:
    """21 W at 12 V is 1.75 A; 4 m out and 4 m back of 0.75 mm² at 20 C: 8 m x 26 mΩ/m = 0.208 Ω."""
    ohms = 8.0 * ohms_per_metre(0.75, 20.0)
    assert ohms == pytest.approx(0.208, rel=1e-12)  # exact figures
    assert 21.0 / 12.0 * ohms == pytest.approx(0.364, rel=1e-12)  # 1.75 x 0.208


def test_a_drop_worked_by_others() -> None:
    """S90: 4.17 A in 5 m of 1.5 mm² is 0.265 V, by the limit we recall; ours takes the greater, class 5."""
    assert 4.17 * 5.0 * by_standard("ISO 6722-1")[1.5] / 1e3 == pytest.approx(0.265, abs=0.0005)  # 3 digits
    assert 0.265 < 4.17 * 5.0 * ohms_per_metre(1.5, 20.0) < 1.06 * 0.265  # 5 % between the two limits


def test_resistance_is_no_less_than_a_suppliers() -> None:
    # S25 prints what its cable typically has at 20 C, mΩ/m, three digits or two
    for area, typical in ((1.0, 18.9), (1.5, 12.5), (2.0, 9.4), (2.5, 7.5), (3.0, 6.0)):
        assert 1.0 <= 1e3 * ohms_per_metre(area, 20.0) / typical < 1.07, (
            f"{area} mm²: a limit, so a little above"
        )


def test_gauges_by_the_rule_and_as_printed() -> None:
    for gauge, area in GAUGES.items():
        assert awg_area_mm2(gauge) == pytest.approx(area, abs=0.00006)  # four decimals printed
        # S23 prints three digits, and says 0.6 % more than 100 % IACS copper at worst
        assert STANDARD_COPPER / awg_area_mm2(gauge) == pytest.approx(PRINTED[gauge], rel=0.007)


def test_ends_of_the_gauge_rule() -> None:
    """ASTM B258: AWG 36 is 0.005 inch, AWG 0000 is 0.46 inch across."""
    for gauge, inches in ((36, 0.005), (-3, 0.46)):
        circle = 3.14159265358979 / 4.0 * (inches * 25.4) ** 2
        assert awg_area_mm2(gauge) == pytest.approx(circle, rel=1e-9)  # exact by definition


def test_gauge_for_a_size_is_never_thinner() -> None:
    for area in wire_sizes():
        assert awg_area_mm2(awg_for(area)) >= area
        assert awg_area_mm2(awg_for(area) + 2) < area
    assert awg_for(1000.0) == 0


def test_what_a_wire_carries_is_the_lesser_of_the_lists() -> None:
    trade = {1.0: 8.75, 1.5: 12.75, 2.0: 17.5, 2.5: 21.75, 3.0: 25.5}  # S25
    owners = {0.5: 5.0, 0.75: 7.0, 1.0: 9.0, 1.5: 13.0, 2.5: 17.0, 6.0: 35.0}  # S26
    thin_wall = {
        0.5: 11.0,
        0.75: 14.0,
        1.0: 16.5,
        1.5: 21.0,
        2.0: 25.0,
        2.5: 29.0,
        3.0: 33.0,
        6.0: 50.0,
    }  # S24
    carried = [continuous_amps(area) for area in wire_sizes()]
    assert carried == sorted(carried), "a thicker wire never carries less"
    for area, amps in zip(wire_sizes(), carried, strict=True):
        assert amps <= min(trade.get(area, 99.0), owners.get(area, 99.0))
        assert amps < thin_wall[area]
        assert amps / area <= 10.0, "the highest density of a conservative list, 5 A in 0.5 mm²"
    assert continuous_amps(2.0) == 17.0, "no more than 2.5 mm² carries"


def test_sizes_offered_have_both_figures() -> None:
    assert wire_sizes() == (0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 6.0)
    with pytest.raises(UnknownPart, match="is no size of wire"):
        ohms_per_metre(4.0, 20.0)
    with pytest.raises(UnknownPart, match="is no size of wire"):
        continuous_amps(0.35)


def test_transcribed_lists_travel_whole() -> None:
    folder = Path(__file__).parents[2] / "search" / "lampwright" / "parts" / "data"
    lines = (folder / "wire_amps.csv").read_text(encoding="utf-8").splitlines()
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    assert [sum(row["source"] == key for row in rows) for key in ("S24", "S25", "S26")] == [11, 6, 6]
