"""Rows that ask different things of one electrical state, and light where nothing is live.

What a circuit does hangs on which terminals the contacts join, not on how the controls say so. A flasher that
is on with its contact open joins what it joins when it is off; two switches to one feed join it to the
supply whichever is on. What rows ask of such settings they ask of one state, and bands that do not meet there
no circuit can give, however long one searches.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations_with_replacement

from lampwright.errors import Finding
from lampwright.spec.levels import ANY, FLASHING, STEADY, is_empty, is_steady, meet
from lampwright.spec.model import ON, SUPPLY, BehaviourRow, Control, Spec, filament_names
from lampwright.spec.states import (
    PhasedSetting,
    Setting,
    band_at,
    closed_contacts,
    covers,
    moments,
    setting_names,
    word_in,
)
from lampwright.spec.wording import FilePlace, listed, shown

Joined = frozenset[frozenset[str]]
"""The groups of terminals that closed contacts make one, each of two or more."""

MOST_OFFERED = 3


@dataclass(frozen=True)
class AskedWord:
    """What one row asks of a lamp at one moment."""

    row: BehaviourRow
    word: str
    moment: PhasedSetting


def joined_terminals(controls: tuple[Control, ...], moment: PhasedSetting) -> Joined:
    """Return what the contacts that are closed at a moment join."""
    groups: list[frozenset[str]] = []
    for contact in closed_contacts(controls, moment):
        ends = frozenset((contact.a, contact.b))
        touched = [group for group in groups if group & ends]
        groups = [group for group in groups if not group & ends] + [ends.union(*touched)]
    return frozenset(groups)


def electrical_findings(spec: Spec, file: FilePlace) -> Iterator[Finding]:
    """Yield what rows ask of one electrical state that cannot be together, and light with nothing live."""
    states: defaultdict[Joined, list[PhasedSetting]] = defaultdict(list)
    for moment in moments(spec.controls):
        states[joined_terminals(spec.controls, moment)].append(moment)
    asked = {groups: _asked_of(spec, found) for groups, found in states.items()}
    name = setting_names(spec)
    yield from _unfed(spec, asked, file, name)
    yield from _asked_twice(spec, asked, file, name)


AskedOf = dict[str, list[AskedWord]]


def _asked_of(spec: Spec, found: list[PhasedSetting]) -> AskedOf:
    """Return what is asked of every lamp at moments that are one electrical state."""
    known = filament_names(spec)
    asked: defaultdict[str, list[AskedWord]] = defaultdict(list)
    for moment in found:
        for row in spec.behaviour:
            if covers(row.when, moment.setting):
                for lamp, word in row.show:
                    if word != ANY and lamp in known:
                        asked[lamp].append(AskedWord(row, word, moment))
    return asked


def _unfed(
    spec: Spec, asked: dict[Joined, AskedOf], file: FilePlace, name: Callable[[Setting], str]
) -> Iterator[Finding]:
    """Yield each word that asks for light while no terminal is live."""
    if spec.supply.always_live:
        return
    told: set[tuple[int, str]] = set()
    for groups, lamps in asked.items():
        if any(SUPPLY in group for group in groups):
            continue
        for lamp, every in lamps.items():
            for one in every:
                band = band_at(spec, one.word, one.moment)
                if band is None or max(band.low, band.of_full) <= 0.0 or (one.row.number, lamp) in told:
                    continue
                told.add((one.row.number, lamp))
                said = (
                    f"{shown(one.word)} asks for light with {_when(one.moment, name)}, when nothing is live"
                )
                remedy = "narrow the when of the row, or let always_live = true give a terminal 30"
                yield Finding(_place(file, one, lamp), said, remedy)


def _asked_twice(
    spec: Spec, asked: dict[Joined, AskedOf], file: FilePlace, name: Callable[[Setting], str]
) -> Iterator[Finding]:
    """Yield each pair of rows, or row, that asks what cannot be together of one electrical state."""
    told: set[tuple[int, int, str]] = set()
    for lamps in asked.values():
        for lamp, every in lamps.items():
            for first, second in combinations_with_replacement(every, 2):
                first, second = sorted((first, second), key=lambda one: one.row.number)
                key = first.row.number, second.row.number, lamp
                if first.moment == second.moment or key in told or not _clash(spec, first, second):
                    continue
                if any(_clash_at(spec, first, second, at) for at in (first.moment, second.moment)):
                    # they contradict within one setting, which is told elsewhere
                    continue
                told.add(key)
                steady = word_in(second.word, second.moment.phases)
                said = (
                    shown(second.word) if steady == second.word else f"{shown(second.word)}, there {steady},"
                )
                said += f" with {_when(second.moment, name)}: the contacts join what they join with"
                said += f" {_when(first.moment, name)}, where behaviour {first.row.number} asks"
                said += f" {shown(word_in(first.word, first.moment.phases))}"
                yield Finding(_place(file, second, lamp), said, _remedy(spec, asked, second, lamp))


def _place(file: FilePlace, one: AskedWord, lamp: str) -> str:
    return file.key("behaviour").row(one.row.number).key("show", lamp).text


def _when(moment: PhasedSetting, name: Callable[[Setting], str]) -> str:
    phases = ", ".join(phase for _, phase in moment.phases)
    return name(moment.setting) + (f" ({phases})" if phases else "")


def _clash(spec: Spec, first: AskedWord, second: AskedWord) -> bool:
    bands = band_at(spec, first.word, first.moment), band_at(spec, second.word, second.moment)
    return bands[0] is not None and bands[1] is not None and is_empty(meet(bands[0], bands[1]))


def _clash_at(spec: Spec, first: AskedWord, second: AskedWord, moment: PhasedSetting) -> bool:
    """Whether two rows contradict at one moment that both cover."""
    both = covers(first.row.when, moment.setting) and covers(second.row.when, moment.setting)
    return both and _clash(
        spec, AskedWord(first.row, first.word, moment), AskedWord(second.row, second.word, moment)
    )


def _remedy(spec: Spec, asked: dict[Joined, AskedOf], wrong: AskedWord, lamp: str) -> str:
    """Return the words that would do in a row, tried at everything that is asked of the lamp."""
    words = [
        word for word in (*FLASHING, *STEADY) if word != ANY and _would_do(spec, asked, wrong, lamp, word)
    ]
    if not words:
        return f"leave {lamp} out of one of the rows, or narrow its when"
    return f"write {listed(tuple(shown(word) for word in words[:MOST_OFFERED]))}, or change the other row"


def _would_do(spec: Spec, asked: dict[Joined, AskedOf], wrong: AskedWord, lamp: str, word: str) -> bool:
    flashers = [control.name for control in spec.controls if control.kind == "flasher"]
    pinned = [name for name, position in wrong.row.when if name in flashers and position == ON]
    if not is_steady(word) and (
        len(pinned) != 1 or not set(flashers) <= {name for name, _ in wrong.row.when}
    ):
        return False
    for lamps in asked.values():
        own = [one for one in lamps.get(lamp, ()) if one.row == wrong.row]
        changed = [AskedWord(one.row, word, one.moment) for one in own]
        others = [one for one in lamps.get(lamp, ()) if one.row != wrong.row]
        if any(_clash(spec, one, other) for one in changed for other in (*changed, *others)):
            return False
    return True
