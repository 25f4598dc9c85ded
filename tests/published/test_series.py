"""Preferred values against IEC 60063 as a page prints it (S96) and stock wattages (common practice).

The standard's rounding rule (10^(i/n) to two figures, with the historical exceptions of
2.7 to 4.7 and 8.2) is used as a second opinion on the list.
"""

import pytest

from lampwright.parts.series import (
    preferred_values,
    series_confidence,
    series_names,
    series_tolerance,
    stock_wattages,
    wattage_confidence,
)
from lampwright.parts.tables import UnknownPart

E12 = (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)
E24_ADDS = (1.1, 1.3, 1.6, 2.0, 2.4, 3.0, 3.6, 4.3, 5.1, 6.2, 7.5, 9.1)
COUNTS = {"E3": 3, "E6": 6, "E12": 12, "E24": 24}
TOLERANCES = {"E3": 0.40, "E6": 0.20, "E12": 0.10, "E24": 0.05}


def test_the_values_of_a_decade() -> None:
    assert preferred_values("E12", 1.0, 9.99) == E12
    assert preferred_values("E24", 1.0, 9.99) == tuple(sorted(E12 + E24_ADDS))
    assert preferred_values("E6", 1.0, 9.99) == E12[::2]
    assert preferred_values("E3", 1.0, 9.99) == E12[::4]


def test_counts_and_tolerances() -> None:
    assert series_names() == tuple(COUNTS)
    for series, count in COUNTS.items():
        assert len(preferred_values(series, 100.0, 999.0)) == count
        assert series_tolerance(series) == TOLERANCES[series]


def test_values_lie_by_the_geometric_rule() -> None:
    for series, count in COUNTS.items():
        for i, value in enumerate(preferred_values(series, 1.0, 9.99)):
            # worst historical rounding: 3.3 for 3.16 and 8.2 for 8.25, under 5 %
            assert abs(value / 10.0 ** (i / count) - 1.0) < 0.05


def test_values_are_the_decimals_they_are_called() -> None:
    values = preferred_values("E12", 0.1, 1000.0)
    assert all(float(f"{value:.3g}") == value for value in values), "4.7e2 is 470, nothing near it"
    assert preferred_values("E6", 1.0, 100.0)[0] == 1.0
    assert preferred_values("E6", 1.0, 100.0)[-1] == 100.0, "both ends included"


def test_nothing_between() -> None:
    assert preferred_values("E6", 1.1, 1.4) == ()


def test_unknown_series_is_named() -> None:
    for ask in (lambda: preferred_values("E7", 1.0, 10.0), lambda: series_tolerance("E7")):
        with pytest.raises(UnknownPart, match=r'"E7" is no series of preferred values; nearest: E'):
            ask()


def test_stock_wattages() -> None:
    assert stock_wattages() == (0.125, 0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 25.0, 50.0, 100.0)


def test_confidence_is_the_tables() -> None:
    # E6 to E24 are read (S96); E3 and the wattages are recalled
    assert [series_confidence(name) for name in series_names()] == ["medium", "high", "high", "high"]
    assert wattage_confidence() == "medium"
