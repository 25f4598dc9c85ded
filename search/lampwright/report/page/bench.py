"""What the page's script needs to answer a switch: every state of every drawn design, in words.

The words are written here, so that the script finds and shows and never formats. No source: our format.
"""

import math
from collections.abc import Mapping, Sequence

from jinja2.utils import htmlsafe_json_dumps
from markupsafe import Markup
from msgspec import Struct
from msgspec.structs import replace

from lampwright.report import si
from lampwright.report.explain.controls import SUPPLY, ControlKind, Controls, Situation
from lampwright.report.glow import glow_of, glows
from lampwright.report.topics.states import UNASKED, does
from lampwright.report.topics.trials import BLOWN, BLOWS, NO_GROUND, SHORTED, TriedFaults, mark_of
from lampwright.report.topics.variations import Variation, normal_supply, refitted, supplied
from lampwright.results.design import Design, LampReading, NodeReading, PartReading, PartRow, StateRow
from lampwright.results.trials import FaultTrial, TrialState

LEAST_AMPS = 0.001
"""Current below which a path counts as dead: what leaks through a blocking diode is far less."""

BRIGHT = 500.0
"""Light that glows as strongly as can be drawn [lm]: a little more than a stop lamp's."""

SELECTOR: ControlKind = "positions"
RAIL = "supply"
"""What a drawing names the feed of terminal 30 by, which no control feeds."""

Shown = list["str | float"]
"""What the script shows of one lamp, part or node."""
_Kept = tuple[int, Mapping[str, object]]
"""An altered state, and its place among those written."""


class BenchControl(Struct, frozen=True):
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


def damages_of(controls: Controls) -> tuple[str, ...]:
    """What fails in some state, in words, "" for the sound circuit; nothing where no state is damaged."""
    told = tuple(dict.fromkeys(one.damage for one in controls.situations))
    return told if any(told) else ()


def bench_json(designs: Sequence[Design], controls: Controls) -> Markup:
    """Write the states of these designs as JSON that is safe inside HTML."""
    operable = bench_controls(controls)
    names = [control.name for control in operable]
    told = {
        "controls": [
            {"name": one.name, "kind": one.kind, "positions": list(one.positions)} for one in operable
        ],
        "states": [_situation(one, names) for one in controls.situations],
        "damages": damages_of(controls),
        "designs": [_design(design, [one.name for one in operable]) for design in designs],
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


def glow(reading: LampReading, lumens: float | None) -> float:
    """Give how strongly a lamp glows, 0 to 1: by the cube root of its light in lumens, as the eye has it.

    lumens: what it gives at its rated volts. Source: Stevens 1957, exponent 0.33 for brightness; MEMORY.

    >>> lamp = LampReading(lamp="l", volts=13.5, amps=1.8, flux=1.0, level="full", wanted="any", meets=True,
    ...     margin_stops=None)
    >>> glow(lamp, 460.0), glow(lamp, 22.0)
    (0.97, 0.35)
    """
    if reading.is_out:
        return 0.0
    share = reading.flux if lumens is None else reading.flux * lumens / BRIGHT
    return round(min(1.0, max(0.12, math.cbrt(share))), 2)


def thread(reading: LampReading) -> str:
    """Name what a filament is that glows without giving light, "" for any other."""
    seen = reading.is_out and reading.kelvin is not None and glows(reading.kelvin)
    return glow_of(reading.kelvin).called if seen and reading.kelvin is not None else ""


def _situation(one: Situation, names: Sequence[str]) -> dict[str, object]:
    setting, phases = dict(one.setting), dict(one.phases)
    return {
        "setting": [setting.get(name, "") for name in names],
        "phases": [phases.get(name, "") for name in names],
        "closed": one.closed,
        "damage": one.damage,
        "failed": one.failed,
        "blown": [_fused(name) for name in one.blown],
        "loose": one.loose,
    }


def _fused(name: str) -> str:
    """What stands behind a fuse, as a drawing names it."""
    return RAIL if name == SUPPLY else name


def _design(design: Design, names: Sequence[str]) -> dict[str, object]:
    kept: dict[str, _Kept] = {}
    tried = TriedFaults(design)
    found = {
        "rank": design.rank,
        "lamps": [reading.lamp for reading in design.states[0].lamps],
        "colours": [_colour(design.parts, reading.lamp) for reading in design.states[0].lamps],
        "parts": [reading.ref for reading in design.states[0].parts],
        "nodes": [reading.node for reading in design.states[0].nodes],
        "states": [_state(row, design.parts) for row in design.states],
        "faults": [_fault(trial, tried, names, kept) for trial in design.trials],
        "supplies": [_variation(one, design, kept) for one in supplied(design)],
        "normal": normal_supply(design),
        "choices": [_variation(one, design, kept) for one in refitted(design)],
    }
    return {**found, "altered": [one for _, one in kept.values()]}


def _colour(parts: Sequence[PartRow], ref: str) -> str:
    said = next((part.colour for part in parts if part.ref == ref), None)
    return (said or "white").replace(" ", "-")


def _variation(one: Variation, design: Design, kept: dict[str, _Kept]) -> dict[str, object]:
    """Another supply or choice: what is said of it, where its states are kept, words to write anew."""
    return {
        "said": one.said,
        "states": [_place(_state(row, one.parts), kept) for row in one.states],
        "words": [
            [was.ref, said, instead]
            for was, now in zip(design.parts, one.parts, strict=True)
            for said, instead in zip(_words(was), _words(now), strict=False)
            if said != instead
        ],
    }


def _words(part: PartRow) -> tuple[str, ...]:
    """What a drawing may say of a part besides its name."""
    ohms = "" if part.ohms is None else si.ohms(part.ohms)
    return (part.type or "", ohms, "" if part.watts is None else si.watts(part.watts))


def _fault(
    trial: FaultTrial, tried: TriedFaults, names: Sequence[str], kept: dict[str, _Kept]
) -> dict[str, object]:
    """One fault: what is marked with which word, and the states it alters, by where they are kept.

    A terminal may have the fuses of several controls, so that a blown one goes by its control; names: of all.
    """
    mark = mark_of(trial)
    fuses = [name for name in names if trial.fault.startswith(f"fuse of {name} (")] or [RAIL]
    return {
        "name": trial.fault,
        "said": tried.in_all(trial),
        "parts": {**dict.fromkeys(trial.gone, mark), **dict.fromkeys(trial.loose, NO_GROUND)},
        "feeds": dict.fromkeys(() if mark == BLOWN else trial.nodes, mark),
        "blown": fuses if mark == BLOWN else [],
        "crossed": list(trial.gone),
        "states": {str(tried.number(one)): _place(_altered(trial, one, tried), kept) for one in trial.states},
    }


def _place(one: Mapping[str, object], kept: dict[str, _Kept]) -> int:
    """Keep what is alike once, and say where."""
    return kept.setdefault(repr(one), (len(kept), one))[0]


def _altered(trial: FaultTrial, one: TrialState, tried: TriedFaults) -> dict[str, object]:
    """An altered state, written as a sound one, and what is otherwise in it."""
    if one.shorted:
        return {**_blown(tried.design.states[tried.number(one)]), "said": SHORTED}
    faulted = tried.readings(trial, one)
    return {**_state(faulted, tried.design.parts), "said": tried.changes(trial, faulted)}


def _blown(sound: StateRow) -> dict[str, list[Shown]]:
    """A state in which the supply meets ground: nothing burns, nothing is known."""
    asked = [_asked(replace(lamp, meets=False)) for lamp in sound.lamps]
    return {
        "lamps": [[BLOWS, 0.0, "", "", said, ""] for said in asked],
        "parts": [[0, ""] for _ in sound.parts],
        "nodes": [["", "open"] for _ in sound.nodes],
    }


def _state(row: StateRow, parts: Sequence[PartRow]) -> dict[str, list[Shown]]:
    lumens = {part.ref: part.lumens for part in parts}
    return {
        "lamps": [_lamp(reading, lumens.get(reading.lamp)) for reading in row.lamps],
        "parts": [_part(reading) for reading in row.parts],
        "nodes": [_node(reading) for reading in row.nodes],
    }


def _lamp(reading: LampReading, lumens: float | None) -> Shown:
    """What it does, how it glows, its volts and amps, what is asked of it, the thread that it is."""
    amps = "0" + si.SPACE + "A" if reading.amps < LEAST_AMPS else si.amps(reading.amps)
    shown: Shown = [does(reading), glow(reading, lumens), _volts(reading.volts), amps]
    return [*shown, _asked(reading), thread(reading)]


def _asked(reading: LampReading) -> str:
    return "" if reading.wanted == UNASKED else f"{reading.wanted}: {'kept' if reading.meets else 'missed'}"


def _part(reading: PartReading) -> Shown:
    """Which way the current runs (1 from `from` to `to`, -1 back, 0 not at all), how much, and that [A]."""
    if abs(reading.amps) < LEAST_AMPS:
        return [0, ""]
    return [1 if reading.amps > 0 else -1, si.amps(abs(reading.amps)), round(abs(reading.amps), 4)]


def _node(reading: NodeReading) -> Shown:
    """The potential, and what holds it."""
    return [_volts(reading.volts), reading.held]


def _volts(value: float) -> str:
    return si.volts(value) if abs(value) >= 0.0005 else si.volts(0.0)
