"""What the page's script needs to answer a switch: every state of every drawn design, in words.

The words are written here, so that the script finds and shows and never formats. No source: our format.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from jinja2.utils import htmlsafe_json_dumps
from markupsafe import Markup
from msgspec.structs import replace

from lampwright.report import si
from lampwright.report.explain.controls import ControlKind, Controls, Situation
from lampwright.report.topics.states import UNASKED, does
from lampwright.report.topics.trials import BLOWS, NO_GROUND, SHORTED, TriedFaults, mark_of
from lampwright.results.design import Design, LampReading, NodeReading, PartReading, StateRow
from lampwright.results.trials import FaultTrial, TrialState

LEAST_AMPS = 0.001
"""Current below which a path counts as dead: what leaks through a blocking diode is far less."""

SELECTOR: ControlKind = "positions"
Shown = list["str | float"]
"""What the script shows of one lamp, part or node."""
_Kept = tuple[int, dict[str, object]]
"""An altered state, and its place among those written."""


@dataclass(frozen=True)
class BenchControl:
    """A control the reader can operate: its name, kind, the terminals it feeds, its positions."""

    name: str
    kind: ControlKind
    feeds: tuple[str, ...]
    positions: tuple[str, ...]


def bench_controls(controls: Controls) -> tuple[BenchControl, ...]:
    """The controls in the spec's order, each with its positions in order."""
    positions: dict[str, dict[str, None]] = {}
    for situation in controls.situations:
        for name, position in situation.setting:
            positions.setdefault(name, {})[position] = None
    found = []
    for name, some in positions.items():
        own = [feed for feed in controls.feeds if feed.control == name]
        kind = own[0].kind if own else SELECTOR
        found.append(BenchControl(name, kind, tuple(feed.terminal for feed in own), tuple(some)))
    return tuple(found)


def bench_json(designs: Sequence[Design], controls: Controls) -> Markup:
    """Write the states of these designs as JSON that is safe inside HTML."""
    operable = bench_controls(controls)
    names = [control.name for control in operable]
    told = {
        "controls": [
            {"name": one.name, "kind": one.kind, "positions": list(one.positions)} for one in operable
        ],
        "states": [_situation(one, names) for one in controls.situations],
        "designs": [_design(design) for design in designs],
    }
    return htmlsafe_json_dumps(told, ensure_ascii=False, separators=(",", ":"))


def first_state(design: Design) -> int:
    """Choose the state to open with: most of what is asked to burn burns; steady before flashing."""
    lit = [sum(lamp.wanted != "any" and not lamp.is_out for lamp in row.lamps) for row in design.states]
    burning = [sum(not lamp.is_out for lamp in row.lamps) for row in design.states]
    order = [
        (count, not row.phase, all_, -at)
        for at, (count, row, all_) in enumerate(zip(lit, design.states, burning, strict=True))
    ]
    return -max(order)[-1]


def glow(reading: LampReading) -> float:
    """Give the opacity of a lamp's glow: none while off, else the square root of its light."""
    return 0.0 if reading.is_out else round(min(1.0, max(0.15, reading.flux**0.5)), 2)


def _situation(one: Situation, names: Sequence[str]) -> dict[str, object]:
    phases = dict(one.phases)
    # the buttons of the page are the controls: a state in which something has failed is in its table alone
    setting = {} if one.damage else dict(one.setting)
    return {
        "setting": [setting.get(name, "") for name in names],
        "phases": [phases.get(name, "") for name in names],
        "closed": one.closed,
    }


def _design(design: Design) -> dict[str, object]:
    kept: dict[str, _Kept] = {}
    tried = TriedFaults(design)
    return {
        "rank": design.rank,
        "lamps": [reading.lamp for reading in design.states[0].lamps],
        "parts": [reading.ref for reading in design.states[0].parts],
        "nodes": [reading.node for reading in design.states[0].nodes],
        "states": [_state(row) for row in design.states],
        "faults": [_fault(trial, tried, kept) for trial in design.trials],
        "altered": [one for _, one in kept.values()],
    }


def _fault(trial: FaultTrial, tried: TriedFaults, kept: dict[str, _Kept]) -> dict[str, object]:
    """One fault: what is marked with which word, and the states it alters, by where they are kept."""
    mark = mark_of(trial)
    return {
        "name": trial.fault,
        "said": tried.in_all(trial),
        "parts": {**dict.fromkeys(trial.gone, mark), **dict.fromkeys(trial.loose, NO_GROUND)},
        "feeds": dict.fromkeys(trial.nodes, mark),
        "crossed": list(trial.gone),
        "states": {str(tried.number(one)): _place(_altered(trial, one, tried), kept) for one in trial.states},
    }


def _place(one: dict[str, object], kept: dict[str, _Kept]) -> int:
    """Keep what is alike once, and say where."""
    return kept.setdefault(repr(one), (len(kept), one))[0]


def _altered(trial: FaultTrial, one: TrialState, tried: TriedFaults) -> dict[str, object]:
    """An altered state, written as a sound one, and what is otherwise in it."""
    if one.shorted:
        return {**_blown(tried.design.states[tried.number(one)]), "said": SHORTED}
    faulted = tried.readings(trial, one)
    return {**_state(faulted), "said": tried.changes(trial, faulted)}


def _blown(sound: StateRow) -> dict[str, list[Shown]]:
    """A state in which the supply meets ground: nothing burns, nothing is known."""
    asked = [_asked(replace(lamp, meets=False)) for lamp in sound.lamps]
    return {
        "lamps": [[BLOWS, 0.0, "", "", said] for said in asked],
        "parts": [[0, ""] for _ in sound.parts],
        "nodes": [["", "open"] for _ in sound.nodes],
    }


def _state(row: StateRow) -> dict[str, list[Shown]]:
    return {
        "lamps": [_lamp(reading) for reading in row.lamps],
        "parts": [_part(reading) for reading in row.parts],
        "nodes": [_node(reading) for reading in row.nodes],
    }


def _lamp(reading: LampReading) -> Shown:
    """What it does, how it glows, its volts and amps, and what is asked of it."""
    amps = "0" + si.SPACE + "A" if reading.amps < LEAST_AMPS else si.amps(reading.amps)
    return [does(reading), glow(reading), _volts(reading.volts), amps, _asked(reading)]


def _asked(reading: LampReading) -> str:
    return "" if reading.wanted == UNASKED else f"{reading.wanted}: {'kept' if reading.meets else 'missed'}"


def _part(reading: PartReading) -> Shown:
    """Which way the current runs (1 from `from` to `to`, -1 back, 0 not at all), and how much."""
    if abs(reading.amps) < LEAST_AMPS:
        return [0, ""]
    return [1 if reading.amps > 0 else -1, si.amps(abs(reading.amps))]


def _node(reading: NodeReading) -> Shown:
    """The potential, and what holds it."""
    return [_volts(reading.volts), reading.held]


def _volts(value: float) -> str:
    return si.volts(value) if abs(value) >= 0.0005 else si.volts(0.0)
