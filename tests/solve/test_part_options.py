"""What is on the part_options, and in which order the models are numbered."""

from pathlib import Path

import numpy as np
import pytest

from lampwright.parts.catalogue import diode_type, lamp_type
from lampwright.parts.diode import diode_volts
from lampwright.parts.filament import relative_flux_of
from lampwright.parts.tables import UnknownPart
from lampwright.solve.laws import DIODE, FILAMENT, base_of, diode_law, filament_law, filament_stops
from lampwright.solve.part_options import PartOptions, offered_parts, resistor_values
from lampwright.spec.load import load_spec, parse_spec
from lampwright.spec.model import Resistors

SPECS = Path(__file__).parents[2] / "specs"

TWO_REARS = """
lampwright = 1
title = "Two types of two-filament lamp, and no extras"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = true
[lamps.rear]
choose = ["P21/5W", "P21/4W"]
filaments = ["stop", "tail"]
[lamps.side]
choose = ["T4W"]
[controls.brake]
kind = "switch"
feed = "54"
[[behaviour]]
when = { brake = "on" }
show = { stop = "lit" }
"""


@pytest.fixture(scope="module")
def sidecar() -> PartOptions:
    return offered_parts(load_spec(SPECS / "sidecar_side_lamp.toml"))


def test_sidecar_rows(sidecar: PartOptions) -> None:
    assert sidecar.lamp_types == (
        ("P21W",),
        ("W2.3W", "W3W", "T4W", "R5W", "R5W", "R10W", "R10W"),
        ("P21/5W",),
    ), "a type once for each filling it may have"
    assert sidecar.fillings[1] == ("vacuum", "vacuum", "vacuum", "vacuum", "gas", "gas", "vacuum")
    assert sidecar.filament_model == ((0,), (1, 2, 3, 4, 5, 6, 7), (8,), (9,))
    wanted = [f for name in ("P21W", "W2.3W", "W3W", "T4W", "R5W", "R10W", "P21/5W")
              for filling in lamp_type(name, 12).fillings
              for f in lamp_type(name, 12, filling).filaments]  # fmt: skip
    assert sidecar.filaments == tuple(wanted)
    assert sidecar.diode_types == (diode_type("1N5404"),)
    assert sidecar.ohms == (1.0, 1.5, 2.2, 3.3, 4.7, 6.8, 10.0, 15.0, 22.0, 33.0, 47.0, 68.0, 100.0)
    assert sidecar.ohms_tolerance == 0.2, "E6 goes with 20 %: IEC 60063"
    assert sidecar.watts == (5.0, 10.0, 25.0)


def test_models_are_rows_of_the_same_number(sidecar: PartOptions) -> None:
    assert (sidecar.models.filaments, sidecar.models.diodes) == (10, 1)
    table, stops = sidecar.models.table, sidecar.models.stops
    assert len(stops) == 10
    for row, filament in enumerate(sidecar.filaments):
        # the curve ends a thousandth above the highest supply, so the test voltage is inside;
        # straight between knots, within 1e-3 stops as the tables promise
        assert abs(filament_stops(filament.test_volts, row, table, stops)) < 1e-3, "rated flux at rated volts"
        assert filament_stops(-6.0, row, table, stops) == filament_stops(6.0, row, table, stops)
        amps, _ = filament_law(filament.test_volts, base_of(FILAMENT, row, 10), table)
        assert abs(amps / filament.rated_amps - 1.0) < 1e-9, "rated current at rated volts"
    (diode,) = sidecar.diode_types
    amps, _ = diode_law(diode_volts(diode, diode.at_amps), base_of(DIODE, 0, 10), table)
    assert abs(amps / diode.at_amps - 1.0) < 4e-9, "the card's current at its drop"


def test_types_of_one_lamp_stand_together_major_first() -> None:
    part_options = offered_parts(parse_spec(TWO_REARS, "two"))
    assert part_options.filament_model == ((0, 2), (1, 3), (4,)), (
        "stop of either type, tail of either type, side"
    )
    assert [f.place for f in part_options.filaments] == ["major", "minor", "major", "minor", "single"]
    assert part_options.filaments[:2] == lamp_type("P21/5W", 12).filaments
    assert (part_options.diode_types, part_options.ohms, part_options.watts, part_options.ohms_tolerance) == (
        (),
        (),
        (),
        0.0,
    )
    assert (part_options.models.filaments, part_options.models.diodes) == (5, 0)


def test_limits_and_light(sidecar: PartOptions) -> None:
    # 12 V lamps of UN R37 are tested at 13.5 V; the exponents hold to 1.2 of that (IES-HB)
    assert np.abs(sidecar.lamp_volts() - 16.2).max() < 1e-12
    volts = np.array([11.8, 13.5, 14.4])
    flux = sidecar.flux_at(volts)
    assert [rows.shape for rows in flux] == [(1, 3), (7, 3), (1, 3), (1, 3)]
    assert np.abs(flux[1][2] - relative_flux_of(sidecar.filaments[3], volts)).max() == 0.0
    for rows in flux:
        assert np.abs(rows[:, 1] - 1.0).max() < 1e-9, "rated at the test voltage"


def test_resistor_values_within_the_range() -> None:
    assert resistor_values(None) == ()
    assert resistor_values(Resistors(1, "E3", (10.0, 47.0), (5.0,), None)) == (10.0, 22.0, 47.0)


def test_values_of_the_parts_box_are_on_the_shelf() -> None:
    """Each once, in order, where the spec's range reaches it; watts are those that can be bought."""
    resistors = 'resistors = { most = 1, series = "E3", ohms = [2, 30], watts = [5] }'
    rows = ", ".join(f"{{ ohms = {ohms}, watts = 50, have = 1 }}" for ohms in (4.7, 33, 12.5, 1.9))
    spec = parse_spec(f"{TWO_REARS}[extras]\n{resistors}\n[stock]\nresistors = [{rows}]\n", "two")
    assert offered_parts(spec).ohms == (2.2, 4.7, 10.0, 12.5, 22.0)
    assert offered_parts(spec).watts == (5.0,)
    assert offered_parts(parse_spec(f"{TWO_REARS}[stock]\nresistors = [{rows}]\n", "two")).ohms == ()


def test_a_stated_tolerance_goes_before_the_series() -> None:
    text = TWO_REARS + '[extras]\nresistors = { most = 1, series = "E6", ohms = [1, 10], watts = [5], tolerance = 0.05 }\n'  # fmt: skip  # noqa: E501
    assert offered_parts(parse_spec(text, "two")).ohms_tolerance == 0.05


def test_unknown_types_are_refused() -> None:
    with pytest.raises(UnknownPart, match="T4W"):
        offered_parts(parse_spec(TWO_REARS.replace('"T4W"', '"T4X"'), "two"))
