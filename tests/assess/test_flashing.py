"""The judgement of flashing: bands in time, loads of flashers, inrush; against sums done by hand."""

from pathlib import Path

import numpy as np
import pytest

from lampwright.assess.flashing import flash_settings, flash_waveforms, flashing_of, phase_light
from lampwright.judge.judge import Judge, ShortedError
from lampwright.network.circuit import Circuit, Part
from lampwright.network.netlist import Netlist, netlist_of
from lampwright.parts.catalogue import lamp_type
from lampwright.parts.filament import Filament, ohms_at
from lampwright.problem.problem import Choice, Problem, prepare
from lampwright.problem.reading import read_problem
from lampwright.solve.flash import Rhythm
from lampwright.spec.load import parse_spec
from lampwright.spec.model import Band

SPECS = Path(__file__).parents[2] / "specs"
CHOICE = Choice((0, 0, 0))


@pytest.fixture(scope="module")
def problem() -> Problem:
    return read_problem(SPECS / "sidecar_side_lamp.toml")


def drawn(problem: Problem, *wires: Part) -> Netlist:
    rows = (
        Part(ref="front", kind="filament", from_node="49a", to_node="31", lamp="front", type="P21W"),
        Part(ref="side", kind="filament", from_node="49a", to_node="54", lamp="side", type="W2.3W"),
        Part(ref="stop", kind="filament", from_node="54", to_node="31", lamp="rear", type="P21/5W"),
        Part(ref="tail", kind="filament", from_node="58", to_node="31", lamp="rear", type="P21/5W"),
    )
    return netlist_of(Circuit((*rows, *wires)), problem.layout)


@pytest.fixture(scope="module")
def sidecar(problem: Problem) -> Netlist:
    return drawn(problem)


def light_of(seconds: np.ndarray, flux: np.ndarray, low: float, high: float) -> list[float]:
    """When it enters its band to stay, -1 for never, and its share of the time within."""
    found = phase_light(Band(low, high), seconds, flux)
    since = -1.0 if found.seconds_to_band is None else found.seconds_to_band
    return [since, found.share_in_band]


def test_a_light_that_halves_every_tenth_second() -> None:
    seconds = np.linspace(0.0, 1.0, 21) ** 2
    flux = 2.0 ** (-10.0 * seconds)
    # straight in stops, so the crossings are exact: 1/4 after 0.2 s, 1/32 after 0.5 s
    for light, low, high, wanted in (
        (flux, 0.0, 0.25, [0.2, 0.8]),
        (flux, 1 / 32, 0.25, [-1.0, 0.3]),
        (flux, 2.0, np.inf, [-1.0, 0.0]),
        (1e-3 / flux, 0.032, np.inf, [0.5, 0.5]),
        (np.full(21, 0.5), 0.25, np.inf, [0.0, 1.0]),
        (np.zeros(21), 0.0, 0.005, [0.0, 1.0]),
        (np.zeros(21), 0.01, 0.15, [-1.0, 0.0]),
    ):
        assert light_of(seconds, light, low, high) == pytest.approx(wanted, abs=1e-12), f"{low} to {high}"


def test_settings_have_the_flasher_off_closed_and_open(problem: Problem) -> None:
    found = flash_settings(problem)
    assert [one.name for one in found] == [
        "turn on", "turn on, lights on", "turn on, brake on", "turn on, brake on, lights on"
    ]  # fmt: skip
    for one in found:
        rest, closed, opened = (problem.states[number] for number in one.states)
        assert (rest.phase, closed.phase, opened.phase) == ("", "closed", "open")
        assert set(closed.contacts) - set(rest.contacts) == set(closed.contacts) - set(opened.contacts)
        assert set(rest.contacts) == set(opened.contacts)


def test_rows_say_what_the_waveform_says(problem: Problem, sidecar: Netlist) -> None:
    report = flashing_of(problem, sidecar, CHOICE, (90.0,))
    setting = flash_settings(problem)[2]
    wave = flash_waveforms(problem, sidecar, CHOICE, setting, Rhythm(90.0, 0.5))
    row = next(one for one in report.lamps if one.setting == setting.name and one.lamp == "side")
    assert row.word == "counterflash"
    assert row.closed is not None
    assert row.open is not None
    assert row.closed.final_flux == wave.flux[0, -1, 1]
    assert row.open.final_flux == wave.flux[1, -1, 1]
    after = wave.seconds[1] >= (row.open.seconds_to_band or 0.0) + 1e-3
    assert np.all(wave.flux[1, after, 1] >= 0.25)
    assert {one.lamp for one in report.lamps if one.setting == "turn on"} == {"front", "side", "stop"}


def test_slow_flashing_settles_where_the_judge_says(problem: Problem, sidecar: Netlist) -> None:
    verdicts = Judge(problem).judge(sidecar, CHOICE).verdicts
    for setting in flash_settings(problem):
        wave = flash_waveforms(problem, sidecar, CHOICE, setting, Rhythm(10.0, 0.5))
        for phase, number in enumerate(setting.states[1:]):
            # a big lamp, dark for 3 s, is still warm: of the 0.08 V across it, nearly as much again
            assert wave.volts[phase, -1] == pytest.approx(verdicts.volts[number], abs=0.08), setting.name


def test_the_lamps_of_the_sidecar_keep_up_at_60_and_90(problem: Problem, sidecar: Netlist) -> None:
    report = flashing_of(problem, sidecar, CHOICE)
    late = {(row.lamp, row.flashes_per_minute) for row in report.lamps if not row.keeps_up}
    # with the heat that gas takes from a dark coil, 250 ms suffice for 21 W to fall to 0.005
    assert late == set()
    assert report.keeps_up
    assert flashing_of(problem, sidecar, CHOICE, share=1.0).keeps_up
    assert (report.unsolved, report.unsettled) == (0, 0)


def cold(name: str, place: int = 0) -> float:
    return lamp_type(name, 12).filaments[place].cold_ohms


def test_inrush_of_every_contact_by_hand(problem: Problem, sidecar: Netlist) -> None:
    found = {row.control: row for row in flashing_of(problem, sidecar, CHOICE, (60.0,)).inrush}
    front, side, stop, tail = cold("P21W"), cold("W2.3W"), cold("P21/5W"), cold("P21/5W", 1)
    # sums of cold resistors; the tables are right to 2e-5
    assert found["turn"].cold_amps == pytest.approx(14.4 / front + 14.4 / (side + stop), rel=1e-4)
    assert found["brake"].cold_amps == pytest.approx(14.4 / stop + 14.4 / (side + front), rel=1e-4)
    assert found["lights"].cold_amps == pytest.approx(14.4 / tail, rel=1e-4)
    for row in found.values():
        assert 10.0 < row.cold_amps / row.settled_amps < 17.0


def hot(one: Filament, kelvin: float) -> float:
    return float(ohms_at(one, kelvin))


def test_what_the_flasher_sees_by_hand(problem: Problem, sidecar: Netlist) -> None:
    load = next(
        row
        for row in flashing_of(problem, sidecar, CHOICE, (90.0,)).loads
        if row.setting == "turn on, brake on"
    )
    setting = flash_settings(problem)[2]
    wave = flash_waveforms(problem, sidecar, CHOICE, setting, Rhythm(90.0, 0.5))
    front, side = lamp_type("P21W", 12).filaments[0], lamp_type("W2.3W", 12).filaments[0]
    assert load.final_amps == pytest.approx(13.5 / hot(front, wave.kelvin[0, -1, 0]), rel=1e-4)
    assert load.final_amps < 1.9, "with the brake on the side lamp takes nothing from the flasher"
    carried = wave.amps[0, :, 0]
    assert load.final_amps == pytest.approx(carried[-1], rel=1e-6)
    mean = float(np.trapezoid(carried, wave.seconds[0]) / wave.seconds[0, -1])
    assert load.mean_amps == pytest.approx(mean, rel=1e-6)
    # while open, the side lamp lifts the feed by its current through the front lamp
    ohms = [
        (hot(front, a), hot(side, b)) for a, b in zip(wave.kelvin[1, :, 0], wave.kelvin[1, :, 1], strict=True)
    ]
    across = [13.5 * b / (a + b) for a, b in ohms]
    feed = wave.potentials[1, :, sidecar.partition[problem.layout.terminals.index("49a")]]
    assert 13.5 - feed == pytest.approx(np.array(across), rel=1e-4)


def test_the_order_of_controls_changes_nothing_of_the_load(problem: Problem, sidecar: Netlist) -> None:
    text = (SPECS / "sidecar_side_lamp.toml").read_text(encoding="utf-8")
    turn = text[text.index("[controls.turn]") : text.index("[controls.brake]")]
    moved = text.replace(turn, "").replace("[lamps.front]", f"{turn}[lamps.front]", 1)
    other = prepare(parse_spec(moved, "moved"))
    assert other.layout.terminals != problem.layout.terminals
    first = {row.setting: row for row in flashing_of(problem, sidecar, CHOICE, (90.0,), 0.3).loads}
    again = flashing_of(other, drawn(other), CHOICE, (90.0,), 0.3).loads
    named = {"turn on": "turn on", "brake on, turn on": "turn on, brake on"}
    seen = [(first[named[row.setting]], row) for row in again if row.setting in named]
    assert len(seen) == 2
    for one, two in seen:
        assert two.first_amps == pytest.approx(one.first_amps, rel=1e-9)
        assert two.mean_amps == pytest.approx(one.mean_amps, rel=1e-6)
        assert two.final_amps == pytest.approx(one.final_amps, rel=1e-6)


def test_the_flashers_load_is_that_of_two_lamps(problem: Problem, sidecar: Netlist) -> None:
    # 21 W and 2.3 W at 13.5 V take some 2 A: a flasher that needs 1.5 A keeps its time, one of 2.5 A does not
    load = flashing_of(problem, sidecar, CHOICE, (60.0,)).loads[0]
    assert 1.5 <= load.final_amps < 2.5
    assert load.final_amps < load.mean_amps < load.first_amps, "cold filaments take more"
    # the surge has fallen to a fraction within some 20 ms of 500, though it begins at fifteen times as much
    assert load.mean_amps < 1.2 * load.final_amps


def test_a_feed_wired_to_ground_is_refused(problem: Problem) -> None:
    with pytest.raises(ShortedError):
        flashing_of(problem, drawn(problem, Part("W1", "wire", "49a", "31")), CHOICE)
