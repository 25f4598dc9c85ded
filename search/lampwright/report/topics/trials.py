"""Faults to try on the page: per fault what is marked, and every state it alters, in words.

The readings of an altered state are written as those of a sound one (`page_bench`), so that
the script shows both alike. What a fault changes is told by the same rows as in the care of
a design. No source: our words.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from msgspec.structs import replace

from lampwright.report import si
from lampwright.report.topics.states import UNASKED, does, named
from lampwright.results.care import FaultRow
from lampwright.results.design import Design, LampReading, NodeReading, PartReading, StateRow
from lampwright.results.trials import FaultTrial, Sweep, TrialState
from lampwright.words import listed

MARKS = {
    "filament open": "open",
    "lamp missing": "missing",
    "part open": "open",
    "part shorted": "shorted",
    "fuse blown": "blown",
    "feeds bridged": "bridged",
}
NO_GROUND = "no ground"
BLOWS = "a fuse blows"
"""Instead of what a lamp does, where the supply meets ground."""

SHORTED = "The supply meets ground here: a fuse blows, and what hangs on it is dead."


@dataclass(frozen=True)
class Altered:
    """One state under a fault: its number, its readings (None where a fuse blows), what is otherwise."""

    at: int
    row: StateRow | None
    said: str


@dataclass(frozen=True)
class TriedFault:
    """One fault: its name, what it does in all, words to set beside parts and feeds, altered states."""

    name: str
    said: str
    parts: tuple[tuple[str, str], ...]
    feeds: tuple[tuple[str, str], ...]
    crossed: tuple[str, ...]
    altered: tuple[Altered, ...]


def tried_faults(design: Design) -> tuple[TriedFault, ...]:
    """Write the faults that were tried with a design."""
    known = {row.fault: row for row in design.care.faults.faults} if design.care else {}
    bands = _bands(design.sweep)
    return tuple(_fault(trial, known.get(trial.fault), design, bands) for trial in design.trials)


@dataclass(frozen=True)
class _Band:
    """What is asked of one lamp in one state."""

    low: float
    high: float

    def holds(self, flux: float) -> bool:
        """Whether light is within, up to the digits kept."""
        return self.low * 0.9995 <= flux <= self.high * 1.0005


def _bands(sweep: Sweep | None) -> dict[tuple[str, str], _Band]:
    """The bands that the lines of a sweep tell of, by lamp and state."""
    return {
        (line.lamp, state): _Band(
            line.low_flux or 0.0, float("inf") if line.high_flux is None else line.high_flux
        )
        for line in (sweep.lines if sweep else ())
        for state in line.states
    }


def _fault(
    trial: FaultTrial, row: FaultRow | None, design: Design, bands: dict[tuple[str, str], _Band]
) -> TriedFault:
    mark = MARKS.get(trial.kind, NO_GROUND)
    return TriedFault(
        name=trial.fault,
        said=_in_all(row),
        parts=(*((ref, mark) for ref in trial.gone), *((ref, NO_GROUND) for ref in trial.loose)),
        feeds=tuple((node, mark) for node in trial.nodes),
        crossed=trial.gone,
        altered=tuple(_altered(trial, row, design, bands)),
    )


def _in_all(row: FaultRow | None) -> str:
    """Say what a fault does over all states: what is still met, overloads, shorts."""
    if row is None:
        return ""
    said = [f"{row.met} of {si.many(row.asked, 'requirement')} still met, counted over all settings."]
    for over in row.overloads:
        load, allowed = (si.quantity(value, over.unit, 2) for value in (over.load, over.allowed))
        said.append(f"At the high supply {over.ref} bears {load} of {allowed} ({over.state}).")
    if row.shorted:
        said.append(f"A fuse blows with {'; '.join(row.shorted)}.")
    return " ".join(said)


def _altered(
    trial: FaultTrial, row: FaultRow | None, design: Design, bands: dict[tuple[str, str], _Band]
) -> Iterator[Altered]:
    numbers = {named(state): at for at, state in enumerate(design.states)}
    for tried in trial.states:
        at = numbers[tried.state]
        sound = design.states[at]
        if tried.shorted:
            yield Altered(at, None, SHORTED)
            continue
        faulted = _readings(trial, tried, design, sound, bands)
        yield Altered(at, faulted, " ".join(_changes(row, faulted, sound)))


def _readings(
    trial: FaultTrial, tried: TrialState, design: Design, sound: StateRow, bands: dict[tuple[str, str], _Band]
) -> StateRow:
    """The state as a sound circuit's row, with the readings under the fault."""
    volts = dict(zip((node.node for node in sound.nodes), tried.volts, strict=True))
    ends = {part.ref: volts[part.from_node] - volts[part.to_node] for part in design.parts}
    ends |= dict(zip(trial.loose, tried.loose_volts, strict=True))
    amps = dict(zip((part.ref for part in sound.parts), tried.amps, strict=True))
    return replace(
        sound,
        lamps=tuple(
            replace(
                lamp,
                volts=abs(ends[lamp.lamp]),
                amps=abs(amps[lamp.lamp]),
                flux=flux,
                kelvin=None,
                level=level,
                meets=_meets(lamp, flux, bands.get((lamp.lamp, tried.state))),
                margin_stops=None,
            )
            for lamp, flux, level in zip(sound.lamps, tried.flux, tried.levels, strict=True)
        ),
        nodes=tuple(
            NodeReading(node=node.node, volts=volt, held="live" if node.node in tried.live else "open")
            for node, volt in zip(sound.nodes, tried.volts, strict=True)
        ),
        parts=tuple(
            PartReading(ref=part.ref, volts=ends[part.ref], amps=amps[part.ref]) for part in sound.parts
        ),
    )


def _meets(lamp: LampReading, flux: float, band: _Band | None) -> bool:
    return lamp.wanted == UNASKED or band is None or band.holds(flux)


def _changes(row: FaultRow | None, faulted: StateRow, sound: StateRow) -> Iterator[str]:
    """Say what is otherwise in one state: lamps first, then sneak paths."""
    name = named(sound)
    changed = [change.lamp for change in (row.changes if row else ()) if name in change.states]
    lamps = zip(faulted.lamps, sound.lamps, strict=True)
    said = [f"{now.lamp} is {does(now)} instead of {does(was)}" for now, was in lamps if now.lamp in changed]
    yield f"Here {listed(said)}." if said else "Here every lamp does about the same."
    for path in row.sneak_paths if row else ():
        if name not in path.states:
            continue
        way = " – ".join(path.path)
        if path.volts is not None:
            yield f"Sneak path to {path.at}: {way}."
        else:
            yield f"Sneak path backward through {path.at}: {way}."
