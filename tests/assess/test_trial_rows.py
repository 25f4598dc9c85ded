"""Sweeps and trials of whole designs against the twin: other code, other tables, circuits altered by hand.

The twin is handed the design's rows, the spec's contacts and, for a fault, the circuit as a
person would alter it: a part left out, an end moved, two nodes made one, a contact taken
away. No source but Kirchhoff's laws; `solve.twin` solves by scipy. `care` tells of the same
faults by another way, and must say the same.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import networkx as nx
import numpy as np
import pytest
from msgspec import structs
from tests.report.test_page.bench import home_of, ranking_of

from lampwright.app.checking import check_circuit
from lampwright.assess.assess import TRIED
from lampwright.network.circuit_file import read_circuit
from lampwright.parts.catalogue import diode_type, lamp_type
from lampwright.parts.diode import DiodeType
from lampwright.parts.filament import Filament, relative_flux_of
from lampwright.problem.problem import layout_of
from lampwright.results.care import FaultRow
from lampwright.results.design import Design, PartRow, StateRow
from lampwright.results.trials import FaultTrial, Sweep, TrialState
from lampwright.solve.twin import TwinPart, operating_point
from lampwright.spec.levels import level_name
from lampwright.spec.load import load_spec
from lampwright.spec.model import Spec
from lampwright.spec.states import State, expand_states

ROOT = Path(__file__).parents[2]

NAMES = (
    "classroom_three_lamps",
    "one_filament_stop_tail",
    "recovery_alternating_pair",
    "reversing",
    "selector_dims",
    "sidecar_side_lamp",
    "trailer_feed_telltale",
)
VOLTS = 2e-3
"""Both readings stop at 1 nA left over; across an open lamp that is a millivolt."""

FLUX = 1.5e-3
"""Tables of light are straight in stops between knots: up to a thousandth of itself."""

AMPS = 2e-6
IDLE = 1e-7
DARK = 1e-6


@dataclass(frozen=True)
class Case:
    """A spec and its designs."""

    spec: Spec
    designs: tuple[Design, ...]


@cache
def case(name: str) -> Case:
    return Case(load_spec(home_of(name)), ranking_of(name).designs)


@dataclass(frozen=True)
class Bench:
    """What lies on the bench: parts by their rows, joined nodes, and the control whose fuse is blown."""

    parts: tuple[PartRow, ...]
    joins: tuple[tuple[str, str], ...] = ()
    dead: tuple[str, ...] = ()

    def without(self, *refs: str) -> "Bench":
        return replace(self, parts=tuple(part for part in self.parts if part.ref not in refs))


@dataclass(frozen=True)
class Reading:
    """What one state reads: by node, by part; shorted where the supply meets ground."""

    volts: dict[str, float]
    live: set[str]
    amps: dict[str, float]
    across: dict[str, float]
    shorted: bool


def model_of(part: PartRow, spec: Spec) -> Filament | DiodeType | float:
    if part.kind == "diode":
        return diode_type(part.type or "")
    if part.kind == "resistor":
        return float(part.ohms or 0.0)
    lamp = next(one for one in spec.lamps if one.name == part.lamp)
    return lamp_type(part.type or "", spec.supply.system).filaments[lamp.filaments.index(part.ref)]


def read(bench: Bench, state: State, spec: Spec, volts: float) -> Reading:
    """Join what wires and contacts join, number the groups, and let the twin solve."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(["31", "supply"])
    graph.add_nodes_from(node for part in bench.parts for node in (part.from_node, part.to_node))
    graph.add_edges_from(bench.joins)
    graph.add_edges_from((part.from_node, part.to_node) for part in bench.parts if part.kind == "wire")
    for contact in state.contacts:
        ends = ["supply" if node == "30" else node for node in (contact.a, contact.b)]
        graph.add_nodes_from(ends)
        if not (contact.control in bench.dead and "supply" in ends):
            graph.add_edge(*ends)
    groups = list(nx.connected_components(graph))
    groups.sort(key=lambda group: (("31" not in group), ("supply" not in group), min(group)))
    if "supply" in groups[0]:
        return Reading({}, set(), {}, {}, True)
    number = {node: at for at, group in enumerate(groups) for node in group}
    parts = [part for part in bench.parts if part.kind != "wire"]
    twins = [TwinPart(number[p.from_node], number[p.to_node], model_of(p, spec)) for p in parts]
    point = operating_point(twins, len(groups), volts)
    assert point.converged
    at = {node: float(point.potentials[place]) for node, place in number.items()}
    return Reading(
        at,
        groups[1] - {"supply"},
        {part.ref: float(amps) for part, amps in zip(parts, point.amps, strict=True)},
        {part.ref: at[part.from_node] - at[part.to_node] for part in parts},
        False,
    )


def flux_of(part: PartRow, spec: Spec, volts: float) -> float:
    return float(relative_flux_of(model_of(part, spec), abs(volts)))  # type: ignore[arg-type]


@pytest.mark.parametrize("name", NAMES)
def test_every_line_of_a_sweep_is_what_the_twin_finds(name: str) -> None:
    spec, designs = case(name).spec, case(name).designs
    for design in designs[:2]:
        sweep = design.sweep
        assert isinstance(sweep, Sweep)
        parts = {part.ref: part for part in design.parts}
        states = dict(zip(named(design.states), expand_states(spec), strict=True))
        told = {(line.lamp, state): line for line in sweep.lines for state in line.states}
        assert len(told) == sum(len(line.states) for line in sweep.lines), "a state is told of twice"
        for at, volts in list(enumerate(sweep.supplies))[::3]:
            for state_name, state in states.items():
                reading = read(Bench(design.parts), state, spec, volts)
                for lamp, word in zip((row.lamp for row in design.states[0].lamps), state.words, strict=True):
                    flux = flux_of(parts[lamp], spec, reading.across[lamp])
                    line = told.get((lamp, state_name))
                    if line is None:
                        assert word == "any", "a lamp that is asked something has no line"
                        assert flux <= spec.levels.off.high, "a lamp that burns has no line"
                    else:
                        assert line.flux[at] == pytest.approx(flux, rel=FLUX, abs=DARK)
                        assert line.wanted == word


def test_a_sweep_holds_the_three_supplies_and_goes_beyond() -> None:
    sweep = case("trailer_feed_telltale").designs[0].sweep
    assert sweep is not None
    # by hand: 0.75 x 11.8 = 8.85 and 1.1 x 14.4 = 15.84
    assert sweep.supplies[0] == 8.85
    assert sweep.supplies[-1] == 15.84
    assert sweep.volts == (11.8, 13.5, 14.4)
    assert set(sweep.volts) <= set(sweep.supplies)
    assert list(sweep.supplies) == sorted(set(sweep.supplies))
    assert len(sweep.supplies) == 13
    # the defaults of the spec's words
    bands = [(band.word, band.low_flux, band.high_flux) for band in sweep.levels]
    assert bands == [("off", 0.0, 0.005), ("dim", 0.01, 0.15), ("lit", 0.25, None), ("full", 0.6, None)]
    asked = {(line.lamp, line.wanted): (line.low_flux, line.high_flux) for line in sweep.lines}
    assert asked["left", "lit"] == (0.25, None)
    assert asked["telltale", "off"] == (None, 0.005)


def named(states: tuple[StateRow, ...]) -> list[str]:
    return [f"{row.state} ({row.phase})" if row.phase else row.state for row in states]


def altered(design: Design, trial: FaultTrial, spec: Spec) -> Bench:
    """The circuit as a person would alter it, from the fault's words and rows."""
    bench = Bench(design.parts)
    match trial.kind:
        case "filament open" | "lamp missing" | "part open":
            return bench.without(*trial.gone)
        case "part shorted":
            (gone,) = (part for part in design.parts if part.ref in trial.gone)
            return replace(bench.without(gone.ref), joins=((gone.from_node, gone.to_node),))
        case "fuse blown":
            dead = [one.name for one in spec.controls if f" {one.name} " in trial.fault]
            assert len(dead) == 1
            return replace(bench, dead=(dead[0],))
        case "feeds bridged":
            one, other = trial.nodes
            return replace(bench, joins=((one, other),))
    lost = {
        part.ref: structs.replace(
            part,
            from_node="lost" if part.from_node == "31" else part.from_node,
            to_node="lost" if part.to_node == "31" else part.to_node,
        )
        for part in design.parts
        if part.ref in trial.loose
    }
    assert trial.kind in ("ground lost at lamp", "ground lost in zone")
    return replace(bench, parts=tuple(lost.get(part.ref, part) for part in bench.parts))


def trials(name: str) -> Iterator[tuple[Design, FaultTrial]]:
    for design in case(name).designs[:TRIED]:
        for trial in design.trials:
            yield design, trial


def check_state(told: TrialState, wanted: Reading, design: Design, trial: FaultTrial, spec: Spec) -> None:
    """Hold one state under a fault against the twin."""
    assert told.shorted == wanted.shorted
    if told.shorted:
        empty = (told.flux, told.levels, told.volts, told.amps, told.live, told.loose_volts)
        assert not any(empty), "something is said of a state in which a fuse blows"
        return
    parts = {part.ref: part for part in design.parts}
    sound = design.states[0]
    for ref, amps in zip((part.ref for part in sound.parts), told.amps, strict=True):
        assert amps == pytest.approx(wanted.amps.get(ref, 0.0), rel=1e-4, abs=AMPS), ref
        assert (ref in wanted.amps) == (ref not in trial.gone)
    nodes = [node.node for node in sound.nodes]
    for node, volts in zip(nodes, told.volts, strict=True):
        # a node that nothing touches any more is not in the twin's circuit; behind a diode that
        # blocks, the nanoampere that either solver leaves over is a volt across the leak
        feeding = [
            wanted.amps[part.ref]
            for part in design.parts
            if node in (part.from_node, part.to_node) and part.ref in wanted.amps
        ]
        floats = node not in wanted.live and feeding and max(map(abs, feeding)) < IDLE
        assert volts == pytest.approx(wanted.volts.get(node, 0.0), abs=1.0 if floats else VOLTS), node
    assert set(told.live) == wanted.live & set(nodes)
    for ref, volts in zip(trial.loose, told.loose_volts, strict=True):
        assert volts == pytest.approx(wanted.across[ref], abs=VOLTS)
    lamps = zip((lamp.lamp for lamp in sound.lamps), told.flux, told.levels, strict=True)
    for ref, flux, level in lamps:
        light = flux_of(parts[ref], spec, wanted.across[ref]) if ref in wanted.across else 0.0
        assert flux == pytest.approx(light, rel=FLUX, abs=DARK), ref
        assert level == level_name(spec.levels, light), ref


@pytest.mark.parametrize("name", NAMES)
def test_every_trial_is_the_circuit_altered_by_hand(name: str) -> None:
    spec = case(name).spec
    normal = spec.supply.volts[1]
    for design, trial in trials(name):
        told = {row.state: row for row in trial.states}
        assert len(told) == len(trial.states)
        bench = altered(design, trial, spec)
        for row, row_name, state in zip(
            design.states, named(design.states), expand_states(spec), strict=True
        ):
            wanted = read(bench, state, spec, normal)
            if row_name in told:
                check_state(told[row_name], wanted, design, trial, spec)
                continue
            assert not wanted.shorted, "a state that is not told of is shorted"
            for part in row.parts:
                assert part.amps == pytest.approx(wanted.amps.get(part.ref, 0.0), rel=1e-4, abs=2e-4)
            for node in row.nodes:
                assert node.volts == pytest.approx(wanted.volts.get(node.node, 0.0), abs=VOLTS)


def test_all_physical_kinds_are_tried() -> None:
    kinds = {trial.kind for name in NAMES for _, trial in trials(name)}
    assert kinds == {
        "filament open",
        "lamp missing",
        "part open",
        "part shorted",
        "fuse blown",
        "ground lost at lamp",
        "ground lost in zone",
        "feeds bridged",
    }
    shorted = [row for name in NAMES for _, trial in trials(name) for row in trial.states if row.shorted]
    assert shorted, "no fault of these makes a fuse blow"


def changes(row: FaultRow) -> set[tuple[str, str, str, str]]:
    return {(one.lamp, one.was, one.now, state) for one in row.changes for state in one.states}


def seen_changes(design: Design, trial: FaultTrial, spec: Spec) -> set[tuple[str, str, str, str]]:
    """Lamps at another level, or whose light is at least halved or doubled and was or is seen."""
    found = set()
    sound = dict(zip(named(design.states), design.states, strict=True))
    for row in trial.states:
        for lamp, flux, level in zip(sound[row.state].lamps, row.flux, row.levels, strict=False):
            ratio = abs(np.log2(max(flux, 1e-18) / max(lamp.flux, 1e-18)))
            seen = max(flux, lamp.flux) > spec.levels.off.high
            if level != lamp.level or (seen and ratio >= 1.0):
                found.add((lamp.lamp, lamp.level, level, row.state))
    return found


@pytest.mark.parametrize("name", NAMES)
def test_trials_and_care_say_the_same(name: str) -> None:
    spec = case(name).spec
    for design, trial in trials(name):
        assert design.care is not None
        (row,) = (row for row in design.care.faults.faults if row.fault == trial.fault)
        assert row.kind == trial.kind
        assert seen_changes(design, trial, spec) == changes(row)
        assert tuple(one.state for one in trial.states if one.shorted) == row.shorted
    for design in case(name).designs[:TRIED]:
        assert design.care is not None
        others = ("other type", "LED substitute")
        physical = [row.fault for row in design.care.faults.faults if row.kind not in others]
        assert [trial.fault for trial in design.trials] == physical


def test_beyond_the_first_few_designs_there_are_no_trials() -> None:
    many = [design for name in NAMES for design in case(name).designs[TRIED:]]
    assert all(not design.trials for design in many)


def test_a_checked_circuit_is_swept_and_keeps_its_names(tmp_path: Path) -> None:
    spec = case("one_filament_stop_tail").spec
    path = tmp_path / "mine.toml"
    path.write_text(
        '[[part]]\nref = "rear"\nkind = "filament"\nlamp = "rear"\ntype = "P21W"\nfrom = "54"\nto = "31"\n'
        '[[part]]\nref = "Rx"\nkind = "resistor"\nohms = 5.6\nwatts = 10.0\nfrom = "54"\nto = "58"\n',
        encoding="utf-8",
    )
    design = check_circuit(spec, read_circuit(path, layout_of(spec)), path.name).design
    assert design.trials == ()
    assert design.sweep is not None
    line = next(line for line in design.sweep.lines if line.states == ("lights on",))
    at = design.sweep.supplies.index(13.5)
    state = next(one for one in expand_states(spec) if one.name == "lights on")
    across = read(Bench(design.parts), state, spec, 13.5).across["rear"]
    assert line.flux[at] == pytest.approx(flux_of(design.parts[0], spec, across), rel=FLUX)
