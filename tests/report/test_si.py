"""Quantities. Source: SI brochure, 9th edition, 5.4.3 (a space between number and unit), from memory."""

import pytest

from lampwright.report import si


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        (si.amps(0.3712), "0.37 A"),
        (si.amps(0.0), "0 A"),
        (si.amps(0.0423), "42 mA"),
        (si.amps(1.85), "1.9 A"),
        (si.amps(23.4), "23 A"),
        (si.ohms(4.7), "4.7 Ω"),
        (si.ohms(10.0), "10 Ω"),
        (si.ohms(0.22), "0.22 Ω"),
        (si.ohms(1000.0), "1 kΩ"),
        (si.ohms(999.9), "1 kΩ"),
        (si.volts(13.5), "13.5 V"),
        (si.watts(0.00001), "10 µW"),
        (si.percent(1.043), "104 %"),
        (si.percent(0.923), "92 %"),
        (si.percent(0.0623), "6.2 %"),
        (si.percent(0.00312), "0.31 %"),
        (si.percent(0.0009), "<0.1 %"),
        (si.percent(0.0), "<0.1 %"),
        (si.stops(10.0), "10 stops or more"),
        (si.stops(-53.4), "-10 stops or less"),
        (si.stops(-0.351), "-0.35 stops"),
    ],
)
def test_written(said: str, expected: str) -> None:
    assert said.replace(si.SPACE, " ") == expected, said
    assert " " not in said.split(" or ")[0], "a line may end between the number and its unit"
