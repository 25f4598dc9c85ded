"""Words that hang on the lamp and on the supply, from demands to the rows of a result.

Outside: the Draper point, 798 K (525 C), where a body begins to glow visibly (S45); bands of
the format, 0.60 of full light, as the issue that asked for them states them.
"""

from collections.abc import Callable
from math import log2

import numpy as np
import pytest

from lampwright.app.checking import judge_circuit
from lampwright.app.explaining import explain_row
from lampwright.assess.flashing import flash_settings, flashing_of
from lampwright.assess.sweep import sweep_of
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import Judge
from lampwright.network.circuit import Circuit, Part
from lampwright.network.netlist import netlist_of
from lampwright.parts.catalogue import lamp_names, lamp_type
from lampwright.parts.curve_table import DARKEST_STOPS
from lampwright.parts.filament import kelvin_of, relative_flux_at, relative_flux_of
from lampwright.parts.tables import constant
from lampwright.problem.demands import held_at
from lampwright.problem.edges import flux_band, full_light
from lampwright.problem.problem import Choice, prepare
from lampwright.report.explain.text import explanation_text
from lampwright.results.explanation import Lights
from lampwright.solve.laws import filament_stops
from lampwright.spec.levels import MOST_DARK_KELVIN
from lampwright.spec.load import parse_spec
from lampwright.spec.model import GLOW_KELVIN, AskedBand, Spec

LOW, NORMAL, HIGH = 9.0, 13.5, 15.0
TEXT = f"""
lampwright = 1
title = "A lamp that is full at any supply, and one behind a resistor that must not glow"
[supply]
system = 12
volts = [{LOW}, {NORMAL}, {HIGH}]
[controls.turn]
kind = "flasher"
feed = "49a"
[controls.brake]
kind = "switch"
feed = "54"
[lamps.stop]
choose = ["T4W"]
[lamps.side]
choose = ["P21W"]
[extras]
resistors = {{ most = 1, series = "E3", ohms = [10.0, 470.0], watts = [50] }}
[[behaviour]]
when = {{ brake = "on" }}
show = {{ stop = "full" }}
[[behaviour]]
when = {{ turn = "on" }}
show = {{ side = "full/dark" }}
[[behaviour]]
when = {{ turn = "off", brake = "on" }}
show = {{ side = "dark" }}
"""
SPEC = parse_spec(TEXT, "weak")


def parts(ohms: float) -> tuple[Part, ...]:
    """Each lamp on its feed; a resistor from the brake's feed lets the side lamp have a little."""
    return (
        Part("stop", "filament", "54", "31", lamp="stop", type="T4W"),
        Part("side", "filament", "49a", "31", lamp="side", type="P21W"),
        Part("R1", "resistor", "54", "49a", ohms=ohms),
    )


def test_the_threshold_is_the_published_one_and_every_lamp_reaches_it_above_the_floor() -> None:
    assert GLOW_KELVIN == constant("glow_kelvin") == 525.0 + 273.0, "S45: 798 K, 525 C"
    filaments = [one for name in lamp_names(12) for one in lamp_type(name, 12).filaments]
    stops = np.array([log2(float(relative_flux_at(one, GLOW_KELVIN))) for one in filaments])
    assert stops.min() > DARKEST_STOPS + 20.0, "the tables of light hold it, with room below for a margin"
    most = max(float(relative_flux_at(one, MOST_DARK_KELVIN)) for one in filaments)
    assert most < 1e-4, "as far as dark may be moved, a lamp is off as well"


@pytest.mark.parametrize("volts", [LOW, 11.8, NORMAL, HIGH])
def test_full_is_a_share_of_what_the_supply_gives_the_same_lamp_and_of_rated_light_at_most(
    volts: float,
) -> None:
    lamp = lamp_type("P21W", 12).filaments[0]
    across = float(relative_flux_of(lamp, volts))
    band = flux_band(AskedBand(of_full=0.6), lamp, volts)
    assert band.low == pytest.approx(0.6 * min(1.0, across), rel=1e-12), "0.60 of the lesser"
    assert band.low <= 0.6, "no light that was full before is lost"
    assert band.low < across, "straight across it is full"
    assert float(full_light(lamp, np.array([volts]))[0]) == min(1.0, across), "and that is the measure"


def test_the_edges_of_a_study_are_those_of_the_lamp_and_the_supply() -> None:
    problem = prepare(SPEC)
    demands, models = problem.demands, problem.part_options.models
    at = next(n for n, state in enumerate(problem.states) if state.name == "turn on, brake on")
    for model, filament in enumerate(problem.part_options.filaments):
        for supply, volts in enumerate((LOW, NORMAL, HIGH)):
            cell = supply, at, model, model
            edge = log2(0.6) + min(0.0, log2(float(relative_flux_of(filament, volts))))
            assert demands.low_stops[cell] == pytest.approx(edge, abs=1e-4), "stops"
            light = filament_stops(demands.low_volts[cell], model, models.table, models.stops)
            assert light == pytest.approx(edge, abs=1e-4), "the volts give that light"
    dark = demands.high_stops[:, at + 1, 1, 1], demands.high_volts[:, at + 1, 1, 1]
    assert np.ptp(dark[0]) == 0.0, "dark is the same at any supply"
    assert float(kelvin_of(problem.part_options.filaments[1], dark[1][0])) == pytest.approx(
        798.0, abs=1e-6
    ), "798 K"
    assert np.array_equal(held_at(demands, 1).low_stops[0], demands.low_stops[1]), "held at normal"


@pytest.mark.parametrize(("ohms", "dark"), [(470.0, True), (10.0, False)])
def test_a_checked_circuit_reads_dark_where_it_was_asked_and_is(ohms: float, dark: bool) -> None:
    report = judge_circuit(SPEC, Circuit(parts(ohms)))
    assert report.meets is dark, "all hangs on the side lamp"
    rows = {(row.state, row.phase): row.lamps for row in report.design.states}
    stop, side = rows["brake on", ""]
    assert (stop.level, stop.meets) == ("full", True), "straight across a weak supply too"
    assert stop.margin_stops == pytest.approx(-log2(0.6), abs=1e-4), "with what its share leaves"
    assert (side.level, side.wanted, side.meets) == ("dark" if dark else "off", "dark", dark), "off else"
    kelvin = float(kelvin_of(lamp_type("P21W", 12).filaments[0], side.volts))
    assert (kelvin <= GLOW_KELVIN) is dark, "by its temperature"
    assert side.is_out, "no useful light either way"
    assert rows["all off", ""][1].level == "off", "nothing asked: off is what it is called"
    edge = log2(float(relative_flux_at(lamp_type("P21W", 12).filaments[0], GLOW_KELVIN)))
    if not dark:
        assert side.margin_stops is not None, "something is asked"
        assert side.margin_stops <= edge - log2(side.flux) < 0.0, "by so many stops too bright"


def test_a_fault_is_judged_by_the_same_words(builder: Callable[..., object]) -> None:
    """A lamp that was dark glows once another feeds it; one that stays dark is no change."""
    built = builder(SPEC, parts(470.0), (50.0,))
    assert built.found.faults, "there are faults"  # type: ignore[attr-defined]
    sound = built.levels()  # type: ignore[attr-defined]
    assert sound["brake on", "side"] == "dark", "as asked"
    under = built.levels_under("R1 shorted")  # type: ignore[attr-defined]
    assert under["brake on", "side"] == "full", "fed straight from the brake"
    opened = built.levels_under("R1 open")  # type: ignore[attr-defined]
    assert opened["brake on", "side"] == "dark", "still"


def test_a_flashing_lamp_has_to_cool_below_the_threshold() -> None:
    """At 60 a minute half a second is left to cool: whether 798 K are reached, the row says."""
    problem = prepare(SPEC)
    report = flashing_of(problem, netlist_of(Circuit(parts(470.0)), problem.layout), Choice((0, 0, 5)))
    row = next(one for one in report.lamps if one.lamp == "side" and one.flashes_per_minute == 60.0)
    assert row.closed is not None, "full is asked"
    assert row.open is not None, "dark is asked"
    edge = float(relative_flux_at(problem.part_options.filaments[1], GLOW_KELVIN))
    closed, opened = (
        flux_band(asked, problem.part_options.filaments[1], NORMAL)
        for number in flash_settings(problem)[0].states[1:]
        if (asked := problem.states[number].bands[1]) is not None
    )
    assert opened.high == pytest.approx(edge, rel=1e-9), "light at the threshold"
    assert closed.low == pytest.approx(0.6, rel=1e-9), "of rated light, which 13.5 V give"
    assert (row.open.seconds_to_band is not None) == (row.open.final_flux <= edge), "cool enough or not"


def test_a_sweep_has_the_edge_of_full_at_every_supply() -> None:
    problem = prepare(SPEC)
    judge, netlist, choice = (
        Judge(problem),
        netlist_of(Circuit(parts(470.0)), problem.layout),
        Choice((0, 0, 5)),
    )
    design = Presenter(judge).judged(netlist, choice, judge.judge(netlist, choice), 0)
    sweep = sweep_of(judge, netlist, choice, design)
    assert sweep is not None, "every point is solved"
    full = next(line for line in sweep.lines if (line.lamp, line.wanted) == ("stop", "full"))
    assert full.low_fluxes is not None, "its edge hangs on the supply"
    assert len(full.low_fluxes) == len(sweep.supplies), "one for each"
    assert all(low < flux for low, flux in zip(full.low_fluxes, full.flux, strict=True)), "always full"
    assert full.low_flux == full.low_fluxes[sweep.supplies.index(NORMAL)], "the one at normal supply"
    dark = next(line for line in sweep.lines if (line.lamp, line.wanted) == ("side", "dark"))
    assert dark.low_fluxes is None, "an upper edge is the same everywhere"
    assert dark.high_flux is not None, "and there is one"
    assert max(dark.flux) < dark.high_flux < 1e-6, "next to no light"


def test_a_lamp_that_is_dark_is_told_of_as_one_that_is_off() -> None:
    design = judge_circuit(SPEC, Circuit(parts(470.0))).design
    assert "dark" in {lamp.level for row in design.states for lamp in row.lamps}, "one is"
    facts = explain_row(design, SPEC)
    told = [said for group in facts.groups for scene in group.scenes for said in scene.statements]
    levels = {lamp.level for said in told if isinstance(said, Lights) for lamp in said.lamps}
    assert levels == {"off", "full"}, "words about light have no dark"
    assert explanation_text(facts), "and there are some"


def spec_asking(word: str) -> Spec:
    return parse_spec(TEXT.replace("dark", word), "weak")


def test_what_is_dark_is_off_too() -> None:
    """Whatever resistor: a circuit whose lamp is dark meets a spec that asks it to be off."""
    kept = {}
    for word in ("dark", "off"):
        problem = prepare(spec_asking(word))
        judge, netlist = Judge(problem), netlist_of(Circuit(parts(10.0)), problem.layout)
        kept[word] = {
            n for n in range(len(problem.part_options.ohms)) if judge.meets(netlist, Choice((0, 0, n)))
        }
    assert kept["dark"] < kept["off"], "dark asks more, and never something else"
    assert kept["dark"], "and is kept by some"
