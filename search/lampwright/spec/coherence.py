"""Rows that cannot hold together, words without a phase, and contacts that short the supply.

Works on a spec whose names are sound. Rows contradict if they ask one lamp, in one
state, for bands that do not meet; on a line, bands that meet two by two all meet, so
looking at pairs of rows misses nothing.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, islice

from lampwright.errors import FilePlace, Finding, shown
from lampwright.spec.electrical import electrical_findings, row_named
from lampwright.spec.levels import ANY, STEADY, is_empty, is_steady, meet
from lampwright.spec.model import GROUND, OFF, ON, SUPPLY, BehaviourRow, Control, Spec
from lampwright.spec.states import (
    Contact,
    PhasedSetting,
    band_at,
    closed_contacts,
    count_states,
    covers,
    failing_moments,
    moment_names,
    moments,
    settings,
)
from lampwright.spec.wording import listed

MOST_STATES = 4096


def coherence_findings(spec: Spec, file: FilePlace) -> Iterator[Finding]:
    """Yield what the rows and contacts of a spec make impossible before any circuit is tried."""
    count = count_states(spec.controls)
    if count > MOST_STATES:
        remedy = f"use fewer controls or positions, for at most {MOST_STATES} states"
        yield Finding(file.key("controls"), f"the controls make {count} states", remedy)
        return
    failing = sum(1 for _ in islice(failing_moments(spec), MOST_STATES + 1 - count))
    if count + failing > MOST_STATES:
        said = f"with the failures that rows name there are over {MOST_STATES} states"
        yield Finding(file.key("behaviour"), said, "narrow the when of rows that name failures")
        return
    yield from _shorts(spec, file.key("controls"))
    yield from _phaseless_words(spec, file)
    yield from _contradictions(spec, file)
    yield from electrical_findings(spec, file)


def _shorts(spec: Spec, place: FilePlace) -> Iterator[Finding]:
    """Yield each path of closed contacts from supply to ground, with the first setting that makes it."""
    if not any(GROUND in pair for control in spec.controls for p in control.positions for pair in p.joins):
        return
    name = moment_names(spec)
    seen: set[tuple[Contact, ...]] = set()
    for moment in moments(spec.controls):
        path = _short_path(closed_contacts(spec.controls, moment))
        if path and path not in seen:
            seen.add(path)
            joined = ", ".join(f"{contact.control} joins {contact.a} and {contact.b}" for contact in path)
            said = f"with {name(moment)} the supply is shorted to ground ({joined})"
            yield Finding(place, said, "let no setting join 30 to 31")


def _short_path(contacts: tuple[Contact, ...]) -> tuple[Contact, ...]:
    """The shortest path of contacts from supply to ground; none where there is none."""
    ways: dict[str, tuple[Contact, ...]] = {SUPPLY: ()}
    ahead = [SUPPLY]
    for node in ahead:
        for contact in contacts:
            for near, far in ((contact.a, contact.b), (contact.b, contact.a)):
                if near == node and far not in ways:
                    ways[far] = (*ways[node], contact)
                    ahead.append(far)
    return ways.get(GROUND, ())


def _phaseless_words(spec: Spec, file: FilePlace) -> Iterator[Finding]:
    known = {control.name for control in spec.controls}
    for row in spec.behaviour:
        words = [(lamp, word) for lamp, word in row.show if not is_steady(word)]
        if not words or not {name for name, _ in row.when} <= known:
            continue
        fault = _phase_fault(spec, row)
        if fault is None:
            continue
        for lamp, word in words:
            place = file.key("behaviour").row(row.number).key("show", lamp)
            yield Finding(place, f"{shown(word)} {fault[0]}", fault[1])


def _phase_fault(spec: Spec, row: BehaviourRow) -> tuple[str, str] | None:
    """Return why a row's words cannot differ by phase, and what would do; None if they can."""
    steady = f"use {listed(STEADY)}"
    flashers = tuple(control for control in spec.controls if control.kind == "flasher")
    if not flashers:
        remedy = f'{steady}, or make a control kind = "flasher"'
        return "asks for two phases, but the spec has no flasher", remedy
    names = tuple(control.name for control in flashers)
    pinned = tuple(pair for pair in row.when if pair[0] in names)
    for setting in settings(flashers):
        flashing = tuple(name for name, position in setting if position == ON)
        if covers(pinned, setting) and not flashing:
            said = f"asks for two phases, but this row also covers {listed(names, 'and')} off"
            return said, f"let its when say {' or '.join(f'{name} = {shown(ON)}' for name in names)}"
        if covers(pinned, setting) and len(flashing) > 1:
            said = f"is not clear while {listed(flashing, 'and')} flash, each in its own time"
            return said, f"let its when say {shown(OFF)} for all but one, or {steady}"
    return None


def _contradictions(spec: Spec, file: FilePlace) -> Iterator[Finding]:
    """Yield each pair of rows that contradict over a lamp, with the first moment in which they do."""
    name = moment_names(spec)
    for first, second in combinations(spec.behaviour, 2):
        told: set[str] = set()
        for moment in _common_moments(spec, first, second):
            for lamp, word, other in _clashes(spec, moment, first, second):
                if lamp in told:
                    continue
                told.add(lamp)
                place = file.key("behaviour").row(second.number).key("show", lamp)
                said = f"{shown(other)} contradicts {shown(word)} in {row_named(first, file)}"
                phases = ", ".join(phase for _, phase in moment.phases)
                said += f" with {name(moment)}" + (f" ({phases})" if phases else "")
                yield Finding(place, said, "change one of the words, or narrow the when of one row")


def _common_moments(spec: Spec, first: BehaviourRow, second: BehaviourRow) -> Iterator[PhasedSetting]:
    """Yield the moments of the first setting both rows cover.

    One setting is enough: steady words ask the same in all, and a row with words that
    differ by phase pins every flasher.
    """
    pinned = dict(first.when) | dict(second.when)
    agree = first.failures == second.failures and covers(first.when, tuple(pinned.items()))
    if agree and set(pinned) <= {control.name for control in spec.controls}:
        narrowed = tuple(_narrowed(control, pinned.get(control.name)) for control in spec.controls)
        yield from (replace(moment, failures=first.failures) for moment in moments(narrowed))


def _narrowed(control: Control, pinned: str | None) -> Control:
    left = tuple(position for position in control.positions if pinned in (None, position.name))
    return replace(control, positions=left[:1])


def _clashes(
    spec: Spec, moment: PhasedSetting, first: BehaviourRow, second: BehaviourRow
) -> Iterator[tuple[str, str, str]]:
    """Yield each lamp of which two rows ask what cannot be together, and the two words."""
    words = dict(second.show)
    for lamp, word in first.show:
        bands = [band_at(spec, word, moment), band_at(spec, words.get(lamp, ANY), moment)]
        if bands[0] is not None and bands[1] is not None and is_empty(meet(bands[0], bands[1])):
            yield lamp, word, words[lamp]
