"""Figures of the catalogue moved as far as they may be off."""

from math import log2

import pytest

from lampwright.parts.catalogue import lamp_type, lamp_types
from lampwright.parts.conduction import conducted_share
from lampwright.parts.filament import amps_of, rated_kelvin, relative_flux_of
from lampwright.parts.uncertainty import revalued, uncertainty_of


def test_every_row_has_an_uncertainty() -> None:
    spans = {lamp.confidence: uncertainty_of(lamp.confidence) for lamp in lamp_types()}
    assert spans["high"].lumens == spans["high"].watts == 0.0
    assert 0.0 < spans["medium-high"].lumens < spans["medium"].lumens
    with pytest.raises(ValueError, match="no confidence certain"):
        uncertainty_of("certain")


def test_other_figures_give_the_temperature_of_a_row_that_prints_them() -> None:
    one = lamp_type("P21W", 12).filaments[0]
    share = conducted_share("gas", one.test_volts)
    moved = revalued(one, lumens=1.1, watts=0.97)
    assert (moved.lumens, moved.watts) == pytest.approx((506.0, 24.25), rel=1e-12)
    assert moved.rated_kelvin == pytest.approx(rated_kelvin(506.0, 24.25, share), rel=1e-9)
    less = revalued(one, share=-0.03)
    assert less.conducted_share == pytest.approx(0.19, abs=1e-12)
    assert less.rated_kelvin == pytest.approx(rated_kelvin(460.0, 25.0, 0.19), rel=1e-9)
    assert float(amps_of(less, 1.0)) < float(amps_of(one, 1.0)), "less heat lost, hotter, more ohms"


def test_a_figure_that_is_not_moved_changes_nothing() -> None:
    one = lamp_type("R5W", 12, "vacuum").filaments[0]
    assert revalued(one).rated_kelvin == pytest.approx(one.rated_kelvin, rel=1e-9)


def test_amber_glass_keeps_its_clear_siblings_temperature() -> None:
    amber, clear = (lamp_type(name, 12).filaments[0] for name in ("PY21W", "P21W"))
    moved = [revalued(one, lumens=0.9).rated_kelvin for one in (amber, clear)]
    assert moved[0] == pytest.approx(moved[1], rel=1e-9), "its own lumens do not tell"


@pytest.mark.parametrize(
    ("volts", "least", "most"), [(11.8, 0.0, 0.03), (6.75, 0.05, 0.1), (4.0, 0.1, 0.28), (2.0, 0.18, 0.78)]
)
def test_how_far_uncertain_figures_move_relative_light(volts: float, least: float, most: float) -> None:
    """What the documentation says of light: lumens off by 10 %, and the share through gas by 0.03."""
    for name in ("P21W", "R10W", "R5W", "W3W"):
        one = lamp_type(name, 12).filaments[0]
        moved = [revalued(one, lumens=0.9), revalued(one, lumens=1.1)]
        if one.filling == "gas":
            moved += [revalued(one, share=-0.03), revalued(one, share=0.03)]
        sizes = [
            abs(log2(float(relative_flux_of(other, volts) / relative_flux_of(one, volts)))) for other in moved
        ]
        assert least <= max(sizes) <= most, name


def test_no_hotter_than_tungsten_melts() -> None:
    assert revalued(lamp_type("H21W", 12).filaments[0], lumens=5.0).rated_kelvin <= 3695.0
