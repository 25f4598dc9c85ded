"""What a flasher changes: the closed phase beside the open one, all else as it is. No source: our words."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lampwright.report.explain.controls import Controls, title_of
from lampwright.report.explain.words import verb
from lampwright.report.glow import glows
from lampwright.results.design import LampReading, StateRow
from lampwright.results.explanation import Flash, LampChange
from lampwright.results.explanation_facts import LampFact
from lampwright.words import listed


@dataclass(frozen=True)
class Beats:
    """The states of a design, the controls that matter, and the lamps to watch."""

    states: tuple[StateRow, ...]
    controls: tuple[str, ...]
    lamps: tuple[str, ...]
    known: Controls


def flashes_of(beats: Beats) -> tuple[Flash, ...]:
    """Say what each flasher does in each setting of the other controls that matter."""
    return tuple(_flashes(beats)) if beats.lamps else ()


def _flashes(beats: Beats) -> Iterator[Flash]:
    for flasher in beats.controls:
        if beats.known.kind(flasher) != "flasher":
            continue
        others = [name for name in beats.controls if name != flasher]
        pairs: dict[tuple[str, ...], dict[str, int]] = {}
        for at, situation in enumerate(beats.known.situations):
            kept = tuple(situation.value(name) for name in others)
            pairs.setdefault(kept, {}).setdefault(situation.value(flasher), at)
        for phases in pairs.values():
            yield _flash(beats, flasher, others, phases["closed"], phases["open"])


def _flash(beats: Beats, flasher: str, others: Sequence[str], closed: int, opened: int) -> Flash:
    situations = beats.known.situations
    changes = tuple(
        LampChange(
            lamp=lamp, closed=_fact(beats.states[closed], lamp), open=_fact(beats.states[opened], lamp)
        )
        for lamp in beats.lamps
    )
    rest = f" and {title_of([situations[closed]], others, beats.known)}" if others else ""
    setting = f"with {flasher} on{rest}"
    text = f"{setting[:1].upper()}{setting[1:]}: {_changes(changes)}."
    return Flash(
        text=text,
        flasher=flasher,
        setting=setting,
        closed=situations[closed].name,
        open=situations[opened].name,
        lamps=changes,
    )


def _fact(state: StateRow, lamp: str) -> LampFact:
    reading: LampReading = next(one for one in state.lamps if one.lamp == lamp)
    return LampFact(lamp=lamp, level=reading.level, flux=reading.flux, kelvin=reading.kelvin)


def _changes(changes: Sequence[LampChange]) -> str:
    """Sort the lamps by what they do from phase to phase."""
    on = [one.lamp for one in changes if one.closed.level != "off" == one.open.level]
    against = [one.lamp for one in changes if one.open.level != "off" == one.closed.level]
    burning = [one for one in changes if "off" not in (one.closed.level, one.open.level)]
    steady = [one.lamp for one in burning if _is_even(one)]
    uneven = [one.lamp for one in burning if not _is_even(one)]
    off = [one for one in changes if one.closed.level == "off" == one.open.level]
    glow = [one.lamp for one in off if glows(one.closed.kelvin) or glows(one.open.kelvin)]
    dark = [one.lamp for one in off if one.lamp not in glow]
    said = (
        (on, "comes on when the contact closes", "come on when the contact closes"),
        (against, "comes on when it opens" if on else "comes on when the contact opens",
         "come on when it opens" if on else "come on when the contact opens"),
        (steady, "burns on steadily", "burn on steadily"),
        (uneven, "burns in both phases, not equally bright", "burn in both phases, not equally bright"),
        (dark, "stays dark", "stay dark"),
        (glow, "gives no useful light in either phase", "give no useful light in either phase"),
    )  # fmt: skip
    return "; ".join(f"{listed(lamps)} {verb(lamps, one, more)}" for lamps, one, more in said if lamps)


def _is_even(change: LampChange) -> bool:
    """Whether a lamp is as bright in one phase as in the other, to a tenth."""
    closed, opened = change.closed.flux, change.open.flux
    return abs(closed - opened) <= 0.1 * max(closed, opened)
