"""The catalogue: names, systems, filling rule, siblings, errors."""

import subprocess
import sys

import pytest

from lampwright.errors import LampwrightError
from lampwright.parts.catalogue import diode_type, diode_types, lamp_names, lamp_type, lamp_types
from lampwright.parts.conduction import conducted_share
from lampwright.parts.filament import amps_of, kelvin_of, relative_flux_of
from lampwright.parts.tables import UnknownPart


def test_unknown_lamp_names_near_ones() -> None:
    with pytest.raises(UnknownPart, match=r'"P21" is no lamp type for 12 V; nearest: P21W') as caught:
        lamp_type("P21", 12)
    assert caught.value.near[0] == "P21W"
    assert isinstance(caught.value, LampwrightError)


def test_case_is_no_obstacle_to_the_hint() -> None:
    with pytest.raises(UnknownPart, match="nearest: P21W"):
        lamp_type("p21w", 12)


def test_a_lamp_of_another_system_says_so() -> None:
    with pytest.raises(UnknownPart, match=r'"W2.3W" is no lamp type for 24 V \(made for 12 V\)'):
        lamp_type("W2.3W", 24)


def test_a_name_like_none_lists_what_there_is() -> None:
    with pytest.raises(UnknownPart, match=r'"zzz" is no diode type; known: 1N4001, 1N4002'):
        diode_type("zzz")


def test_found_by_name() -> None:
    for lamp in lamp_types():
        assert lamp_type(lamp.name, lamp.system) is lamp
    for diode in diode_types():
        assert diode_type(diode.name) is diode


def test_systems_of_trade_numbers_follow_their_design_volts() -> None:
    assert {lamp.system for lamp in lamp_types() if lamp.family == "SAE"} == {6, 12}
    for lamp in lamp_types():
        spans: dict[float, tuple[float, float]] = {6: (6.0, 7.5), 12: (12.0, 14.4), 24: (28.0, 28.0)}
        low, high = (lamp.system,) * 2 if lamp.family == "E10" else spans[lamp.system]
        assert all(low <= f.test_volts <= high for f in lamp.filaments), lamp.name
    assert "51" in lamp_names(6)
    assert "1156" in lamp_names(12)
    assert lamp_names(48) == ()


def test_fillings() -> None:
    by_fillings: dict[tuple[str, ...], set[str]] = {}
    for lamp in lamp_types():
        by_fillings.setdefault(lamp.fillings, set()).add(f"{lamp.name} {lamp.system}")
    assert {"P21W 12", "W16W 12", "H6W 12", "1003 12", "912 12", "7443 12"} <= by_fillings[("gas",)]
    assert {"W2.3W 12", "W3W 12", "44 6", "R5W 24"} <= by_fillings[("vacuum",)]
    assert {"R5W 12", "W5W 12", "168 12"} <= by_fillings[("vacuum", "gas")]
    assert {"R10W 12", "906 12", "63 6"} <= by_fillings[("gas", "vacuum")]
    assert len(by_fillings) == 4


def test_a_lamp_can_be_had_in_either_filling() -> None:
    gas, vacuum = (lamp_type("R10W", 12, filling).filaments[0] for filling in ("gas", "vacuum"))
    assert lamp_type("R10W", 12).filaments[0] == gas, "the likelier one"
    assert (gas.filling, vacuum.filling) == ("gas", "vacuum")
    assert float(amps_of(gas, 0.5)) > 1.3 * float(amps_of(vacuum, 0.5)), "gas cools a dark filament"
    assert gas.rated_amps == vacuum.rated_amps


def test_a_sibling_has_its_clear_lamps_filling() -> None:
    for filling in ("gas", "vacuum"):
        amber, clear = (lamp_type(name, 12, filling).filaments[0] for name in ("WY5W", "W5W"))
        assert amber.rated_kelvin == pytest.approx(clear.rated_kelvin, rel=1e-9)


def test_both_filaments_share_their_bulbs_filling() -> None:
    for lamp in lamp_types():
        for f in lamp.filaments:
            assert f.filling == lamp.filling, lamp.name
            assert f.conducted_share == conducted_share(lamp.filling, f.test_volts), lamp.name
            assert f.life_exponent == (13.1 if lamp.filling == "gas" else 13.5), lamp.name


def test_shared_contact_by_cap() -> None:
    for lamp in lamp_types():
        bayonet = lamp.cap in {"BAY15d", "BAZ15d", "BA15d-3"}
        assert lamp.shared_contact == (bayonet and len(lamp.filaments) == 2), lamp.name
    assert not lamp_type("W21/5W", 12).shared_contact
    assert not lamp_type("1142", 12).shared_contact, "one filament on two contacts"


def test_places_of_filaments() -> None:
    for lamp in lamp_types():
        places = [f.place for f in lamp.filaments]
        assert places in (["single"], ["major", "minor"]), lamp.name
        assert lamp.filaments[0].watts >= lamp.filaments[-1].watts, "major first"


@pytest.mark.parametrize(
    ("amber", "clear", "system"),
    [
        ("PY21W", "P21W", 12),
        ("WY5W", "W5W", 24),
        ("PY21/5W", "P21/5W", 12),
        ("WY21W", "W21W", 12),
        ("1157A", "1157", 12),
    ],
)
def test_amber_lamps_burn_as_hot_as_their_clear_siblings(amber: str, clear: str, system: int) -> None:
    pairs = zip(lamp_type(amber, system).filaments, lamp_type(clear, system).filaments, strict=True)
    for f, g in pairs:
        assert abs(f.rated_kelvin - g.rated_kelvin) < 1e-6, "the root finder's rounding"
        assert f.lumens < g.lumens
    assert lamp_type(amber, system).colour == "amber"


@pytest.mark.parametrize(("name", "other"), [("7440", "W21W"), ("7443", "W21/5W")])
def test_lamps_marked_at_twelve_volts_are_the_other_lamp_run_at_twelve(name: str, other: str) -> None:
    for f, g in zip(lamp_type(name, 12).filaments, lamp_type(other, 12).filaments, strict=True):
        assert f.test_volts == 12.0
        assert f.rated_kelvin == float(kelvin_of(g, 12.0))
        assert f.lumens == g.lumens * float(relative_flux_of(g, 12.0))
        # 21 and 5 W at 12 V are marked to the watt: the other lamp takes nearly that there
        assert abs(f.cold_ohms / g.cold_ohms - 1.0) < 0.02


def test_nothing_happens_on_import() -> None:
    code = (
        "import lampwright.parts.catalogue, lampwright.parts.curve_table, lampwright.parts.series;"
        "from lampwright.parts import tables;"
        "assert tables.read_table.cache_info().currsize == 0"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
