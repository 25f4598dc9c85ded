"""Costs, yield and ageing against the twin, against direct enumeration and by hand."""

from dataclasses import replace
from itertools import product
from math import log2
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.stats import beta, binomtest

from lampwright.assess.tolerance import CONFIDENCE, SUPPLY, ToleranceBench, drawn_copies, share_interval
from lampwright.judge.judge import Judge
from lampwright.network.netlist import Netlist
from lampwright.parts.catalogue import lamp_type
from lampwright.parts.filament import relative_flux_of
from lampwright.problem.problem import Choice, Problem, prepare
from lampwright.solve.laws import FILAMENT, RESISTOR
from lampwright.solve.twin import TwinPart, operating_point
from lampwright.spec.load import parse_spec

if TYPE_CHECKING:
    from tests.assess.conftest import Built

OHMS, SHARE = 4.7, 0.2
ONE_LAMP = """
lampwright = 1
title = "One lamp, straight for one job and through a resistor for the other"
[supply]
system = 12
volts = [12.4, 13.5, 14.4]
always_live = false
[controls.lights]
kind = "switch"
feed = "58"
most_amps = 5.0
[controls.brake]
kind = "switch"
feed = "54"
[lamps.rear]
choose = ["P21W"]
[extras]
resistors = { most = 1, series = "E6", ohms = [4.7, 5.0], watts = [50] }
[levels]
dim = [0.05, 0.17]
[[behaviour]]
when = { lights = "on", brake = "off" }
show = { rear = "dim" }
[[behaviour]]
when = { brake = "on" }
show = { rear = "lit" }
"""
"""The band of dim is narrow on purpose: some copies miss it, so that the yield is no whole number."""


def one_lamp() -> ToleranceBench:
    problem = prepare(parse_spec(ONE_LAMP, "inline"))
    # vertices: 58, 54, 31; the lamp from 54 to ground, the resistor from 58 to 54
    netlist = Netlist((0, 1, 2), 0, np.array([[1, 2], [0, 1]], np.int8), 0, 1)
    return ToleranceBench(Judge(problem), netlist, Choice((0, 0)), ("rear", "R1"))


def dim_margin(volts: float, watts_factor: float, ohms: float) -> float:
    """Margin of the dim band by the twin: supply - resistor - lamp - ground."""
    lamp = lamp_type("P21W", 12).filaments[0]
    point = operating_point([TwinPart(2, 0, lamp, watts_factor), TwinPart(1, 2, ohms)], 3, volts)
    assert point.converged
    stops = log2(float(relative_flux_of(lamp, point.potentials[2])))
    return min(stops - log2(0.05), log2(0.17) - stops)


def least(volts: tuple[float, ...], factors: tuple[float, ...], ohms: tuple[float, ...]) -> float:
    return min(dim_margin(*corner) for corner in product(volts, factors, ohms))


VOLTS = (12.4, 13.5, 14.4)
FACTORS = (0.94, 1.06)  # UN R37: P21W at most 26.5 W for 25 W
RESISTANCES = (OHMS * (1 + SHARE), OHMS * (1 - SHARE))  # E6 is 20 %


def test_costs_by_the_twin() -> None:
    # the dim state is the tightest; 1e-3 stops: the tables are straight between knots of light
    costs = {cost.ref: cost for cost in one_lamp().costs()}
    worst = least(VOLTS, FACTORS, RESISTANCES)
    assert costs["rear"].margin_without - costs["rear"].cost_stops == pytest.approx(worst, abs=1e-3)
    assert costs[SUPPLY].margin_without == pytest.approx(least((13.5,), FACTORS, RESISTANCES), abs=1e-3)
    assert costs["rear"].margin_without == pytest.approx(least(VOLTS, (1.0,), RESISTANCES), abs=1e-3)
    assert costs["R1"].margin_without == pytest.approx(least(VOLTS, FACTORS, (OHMS,)), abs=1e-3)
    assert max(costs.values(), key=lambda cost: cost.cost_stops).ref == "R1", (
        "20 % of ohms outweigh 6 % of watts"
    )


def test_costs_of_the_trailer_by_judging_lamps_without_tolerance(trailer: "Built") -> None:
    # independent of how states are skipped: the judge itself, with that lamp's tolerance nothing
    costs = {cost.ref: cost for cost in bench_of(trailer).costs()}
    worst = Judge(trailer.problem).judge(trailer.netlist, CHOICE).margin
    for lamp, name in enumerate(trailer.problem.layout.filaments):
        judged = Judge(exact(trailer.problem, lamp)).judge(trailer.netlist, CHOICE).margin
        assert costs[name].margin_without == pytest.approx(judged, abs=1e-12), f"lamp {lamp}"
        assert costs[name].cost_stops == pytest.approx(judged - worst, abs=1e-12), f"lamp {lamp}"
    spec = trailer.problem.spec
    steady = replace(
        trailer.problem, spec=replace(spec, supply=replace(spec.supply, volts=(13.5, 13.5, 13.5)))
    )
    judged = Judge(steady).judge(trailer.netlist, CHOICE).margin
    assert costs[SUPPLY].margin_without == pytest.approx(judged, abs=1e-12)


CHOICE = Choice((0, 0, 0))


def bench_of(built: "Built") -> ToleranceBench:
    return ToleranceBench(Judge(built.problem), built.netlist, CHOICE, built.problem.layout.filaments)


def exact(problem: Problem, lamp: int) -> Problem:
    """The problem with one lamp's watts known exactly; each lamp has rows of its own on the part_options."""
    filaments = tuple(
        replace(filament, watts_tolerance=0.0)
        if at in problem.part_options.filament_model[lamp]
        else filament
        for at, filament in enumerate(problem.part_options.filaments)
    )
    return replace(problem, part_options=replace(problem.part_options, filaments=filaments))


def test_yield_by_the_twin_copy_by_copy() -> None:
    bench = one_lamp()
    drawn = bench.drawn_yield(copies=60, seed=7)
    values = drawn_copies(bench.spread, np.array([FILAMENT, RESISTOR]), 60, 7)
    # straight across the feed the lamp is far inside "lit", so the dim state decides
    margins = [min(dim_margin(volts, factor, 1.0 / siemens) for volts in VOLTS) for factor, siemens in values]
    assert drawn.good == sum(margin >= 0.0 for margin in margins)
    assert 0 < drawn.good < 60, "some pass and some fail, else this compares nothing"
    assert drawn.least_margin == pytest.approx(min(margins), abs=1e-3)
    assert drawn.median_margin == pytest.approx(float(np.median(margins)), abs=1e-3)


def test_yield_by_direct_enumeration() -> None:
    # 400 cells of equal probability, each judged at its middle by the twin at the two supplies
    # that can decide; 95 % of intervals hold the truth, and this seed's does. A cell is at most
    # half counted wrong along the edge: 1/20 of a side, so 0.02 is allowed for the grid
    cells = (np.arange(20) + 0.5) / 20
    share = np.mean(
        [
            min(dim_margin(volts, 0.94 + 0.12 * a, OHMS * (0.8 + 0.4 * b)) for volts in (12.4, 14.4)) >= 0.0
            for a, b in product(cells, cells)
        ]
    )
    drawn = one_lamp().drawn_yield(copies=2000, seed=1)
    assert drawn.share_low - 0.02 < share < drawn.share_high + 0.02
    assert abs(drawn.good / drawn.copies - share) < 0.04


def test_the_interval_is_clopper_and_pearsons() -> None:
    # by its definition through the beta distribution: Clopper and Pearson, Biometrika 26 (1934) 404
    drawn = one_lamp().drawn_yield(copies=200, seed=3)
    k, n = drawn.good, drawn.copies
    assert drawn.share_low == pytest.approx(float(beta.ppf(0.025, k, n - k + 1)), abs=1e-9)
    assert drawn.share_high == pytest.approx(float(beta.ppf(0.975, k + 1, n - k)), abs=1e-9)


def test_no_copy_is_worse_than_the_worst_corner(sidecar: "Built", trailer: "Built") -> None:
    for built in (sidecar, trailer):
        judged = Judge(built.problem).judge(built.netlist, CHOICE)
        drawn = bench_of(built).drawn_yield(500, 11)
        assert judged.met
        assert drawn.good == 500
        assert drawn.least_margin >= judged.margin - 1e-9


def test_copies_are_uniform_within_tolerance() -> None:
    bench = one_lamp()
    kinds = np.array([FILAMENT, RESISTOR])
    values = drawn_copies(bench.spread, kinds, 20_000, 5)
    assert np.array_equal(values, drawn_copies(bench.spread, kinds, 20_000, 5)), "the seed decides all"
    assert not np.array_equal(values, drawn_copies(bench.spread, kinds, 20_000, 6))
    # the judge's ends of a resistor are 1/(1 + t) and 1/(1 - t) of its siemens: +-t in ohms
    for drawn, low, high in ((values[:, 0], 0.94, 1.06), (1.0 / values[:, 1], 0.8 * OHMS, 1.2 * OHMS)):
        assert low <= drawn.min() < low + 0.001 * (high - low) + 1e-9
        assert high >= drawn.max() > high - 0.001 * (high - low) - 1e-9
        # four standard errors of the mean and of the mean square of a uniform variable
        share = (drawn - low) / (high - low)
        assert abs(share.mean() - 1 / 2) < 4 * np.sqrt(1 / 12 / 20_000)
        assert abs((share**2).mean() - 1 / 3) < 4 * np.sqrt(4 / 45 / 20_000)


def test_an_old_lamp_straight_on_its_feed_loses_its_light_and_no_more(sidecar: "Built") -> None:
    # by hand: the tail lamp has the supply's volts whatever it takes, so at the end of life its
    # margin is log2(0.85) = -0.234 stops less; it is the tightest, at the low supply
    aged = {one.ref: one.margin_stops for one in bench_of(sidecar).aged()}
    margin = Judge(sidecar.problem).judge(sidecar.netlist, CHOICE).margin
    assert aged["tail"] == pytest.approx(margin + log2(0.85), abs=1e-9)
    assert aged["all"] == pytest.approx(aged["tail"], abs=1e-9), "with all old, it is still the tightest"


def test_an_old_lamp_behind_a_resistor_by_the_twin() -> None:
    # less current, so more volts: the light lost in the glass is partly made good
    lamp = lamp_type("P21W", 12).filaments[0]

    def margin(volts: float, factor: float, ohms: float) -> float:
        point = operating_point([TwinPart(2, 0, lamp, 0.97 * factor), TwinPart(1, 2, ohms)], 3, volts)
        stops = log2(0.85 * float(relative_flux_of(lamp, point.potentials[2])))
        return min(stops - log2(0.05), log2(0.17) - stops)

    wanted = min(margin(*corner) for corner in product(VOLTS, FACTORS, RESISTANCES))
    (one, every) = one_lamp().aged()
    assert one.margin_stops == pytest.approx(wanted, abs=1e-3)
    assert every.margin_stops == one.margin_stops
    assert one.meets == (one.margin_stops >= 0.0)


@pytest.mark.parametrize(
    ("good", "copies"), [(0, 1000), (1, 1000), (412, 1000), (999, 1000), (1000, 1000), (1, 1)]
)
def test_the_interval_of_a_share_is_scipys(good: int, copies: int) -> None:
    wanted = binomtest(good, copies).proportion_ci(CONFIDENCE, "exact")
    assert share_interval(good, copies) == pytest.approx((wanted.low, wanted.high), abs=1e-9)
