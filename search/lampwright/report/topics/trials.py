"""Faults to try on the page: per fault what is marked, and every state it alters, in words.

The readings of an altered state are written as those of a sound one (`report.page.bench`), so that
the script shows both alike. What a fault changes is told by the same rows as in the care of
a design. No source: our words.
"""

import math

from msgspec.structs import replace

from lampwright.report import si
from lampwright.report.topics.care import lost_said
from lampwright.report.topics.states import UNASKED, does
from lampwright.results.design import Design, LampReading, NodeReading, PartReading, StateRow
from lampwright.results.trials import FaultTrial, Sweep, TrialState
from lampwright.words import listed, many

BLOWN = "blown"
MARKS = {
    "filament open": "open",
    "lamp missing": "missing",
    "part open": "open",
    "part shorted": "shorted",
    "fuse blown": BLOWN,
    "feeds bridged": "bridged",
}
NO_GROUND = "no ground"
BLOWS = "a fuse blows"
"""Instead of what a lamp does, where the supply meets ground."""

SHORTED = "The supply meets ground here: a fuse blows, and what hangs on it is dead."


class TriedFaults:
    """The faults that were tried with a design."""

    def __init__(self, design: Design) -> None:
        """Find what the design's care and sweep know of them."""
        self.design = design
        self._known = {row.fault: row for row in design.care.faults.faults} if design.care else {}
        self._bands = AskedBands(design.sweep, design.sweep.volts[1] if design.sweep else 0.0)
        self._numbers = {state.full_name: at for at, state in enumerate(design.states)}

    def in_all(self, trial: FaultTrial) -> str:
        """Say what a fault does over all states: what is still met, overloads, shorts."""
        row = self._known.get(trial.fault)
        if row is None:
            return ""
        said = [f"{row.met} of {many(row.asked, 'requirement')} still met, counted over all settings."]
        said += [f"{lost_said(one)} with {'; '.join(one.states)}." for one in row.lost]
        for over in row.overloads:
            load, allowed = (si.quantity(value, over.unit, 2) for value in (over.load, over.allowed))
            said.append(f"At the high supply {over.ref} bears {load} of {allowed} ({over.state}).")
        if row.shorted:
            said.append(f"A fuse blows with {'; '.join(row.shorted)}.")
        return " ".join(said)

    def number(self, tried: TrialState) -> int:
        """The number of the state that a fault alters."""
        return self._numbers[tried.state]

    def readings(self, trial: FaultTrial, tried: TrialState) -> StateRow:
        """The state as a sound circuit's row, with the readings under the fault."""
        sound = self.design.states[self.number(tried)]
        volts = dict(zip((node.node for node in sound.nodes), tried.volts, strict=True))
        ends = {part.ref: volts[part.from_node] - volts[part.to_node] for part in self.design.parts}
        ends |= dict(zip(trial.loose, tried.loose_volts, strict=True))
        amps = dict(zip((part.ref for part in sound.parts), tried.amps, strict=True))
        kelvins = tried.kelvin or (None,) * len(sound.lamps)
        return replace(
            sound,
            lamps=tuple(
                replace(
                    lamp,
                    volts=abs(ends[lamp.lamp]),
                    amps=abs(amps[lamp.lamp]),
                    flux=flux,
                    kelvin=kelvin,
                    level=level,
                    meets=self._bands.met(lamp, flux, tried.state),
                    margin_stops=None,
                )
                for lamp, flux, level, kelvin in zip(
                    sound.lamps, tried.flux, tried.levels, kelvins, strict=True
                )
            ),
            nodes=tuple(
                NodeReading(node=node.node, volts=volt, held="live" if node.node in tried.live else "open")
                for node, volt in zip(sound.nodes, tried.volts, strict=True)
            ),
            parts=tuple(
                PartReading(ref=part.ref, volts=ends[part.ref], amps=amps[part.ref]) for part in sound.parts
            ),
        )

    def changes(self, trial: FaultTrial, faulted: StateRow) -> str:
        """Say what is otherwise in one state: lamps first, then sneak paths."""
        row, name = self._known.get(trial.fault), faulted.full_name
        changed = [change.lamp for change in (row.changes if row else ()) if name in change.states]
        lamps = zip(faulted.lamps, self.design.states[self._numbers[name]].lamps, strict=True)
        said = [
            f"{now.lamp} is {does(now)} instead of {does(was)}" for now, was in lamps if now.lamp in changed
        ]
        lines = [f"Here {listed(said)}." if said else "Here every lamp does about the same."]
        for path in row.sneak_paths if row else ():
            if name in path.states:
                where = f"to {path.at}" if path.volts is not None else f"backward through {path.at}"
                lines.append(f"Sneak path {where}: {' – '.join(path.path)}.")
        return " ".join(lines)


def mark_of(trial: FaultTrial) -> str:
    """The word to set beside what a fault takes out."""
    return MARKS.get(trial.kind, NO_GROUND)


class AskedBands:
    """The least and the most flux that is asked at one supply of a sweep, as far as its lines tell."""

    def __init__(self, sweep: Sweep | None, supply: float) -> None:
        """Take the lines at a supply of the sweep [V]; without a sweep nothing is known."""
        at = sweep.supplies.index(supply) if sweep else 0
        self._bands = {
            (line.lamp, state): (
                (line.low_fluxes[at] if line.low_fluxes else line.low_flux) or 0.0,
                math.inf if line.high_flux is None else line.high_flux,
            )
            for line in (sweep.lines if sweep else ())
            for state in line.states
        }

    def met(self, lamp: LampReading, flux: float, state: str) -> bool:
        """Whether light is within what is asked in a state, up to the digits kept."""
        band = self._bands.get((lamp.lamp, state))
        return lamp.wanted == UNASKED or band is None or band[0] * 0.9995 <= flux <= band[1] * 1.0005
