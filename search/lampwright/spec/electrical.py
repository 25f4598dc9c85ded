"""Rows that ask different things of one electrical state, and light where nothing is live.

What a circuit does hangs on which terminals the contacts join, not on how the controls say so. A flasher that
is on with its contact open joins what it joins when it is off; two switches to one feed join it to the
supply whichever is on. What rows ask of such settings they ask of one state, and bands that do not meet there
no circuit can give, however long one searches.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement

from lampwright.errors import FilePlace, Finding, shown
from lampwright.spec.levels import ANY, FLASHING, STEADY, is_empty, is_steady, meet
from lampwright.spec.model import ON, SUPPLY, BehaviourRow, Control, Failures, Spec, filament_names
from lampwright.spec.states import (
    PhasedSetting,
    band_at,
    changed,
    closed_contacts,
    covers,
    every_moment,
    moment_names,
    open_filaments,
    speaks_of,
    word_in,
)
from lampwright.spec.wording import listed

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


@dataclass(frozen=True)
class ElectricalState:
    """What a circuit sees of a moment: the terminals that are joined, and what else has failed."""

    joined: Joined
    damage: Failures


def electrical_findings(spec: Spec, file: FilePlace) -> Iterator[Finding]:
    """Yield what rows ask of one electrical state that cannot be together, and light with nothing live."""
    states: defaultdict[ElectricalState, list[PhasedSetting]] = defaultdict(list)
    for moment in every_moment(spec):
        # a blown fuse is an open contact, unless it is that of terminal 30; all else makes another circuit
        damage = replace(
            moment.failures, fuse_blown=tuple(one for one in moment.failures.fuse_blown if one == SUPPLY)
        )
        states[ElectricalState(joined_terminals(spec.controls, moment), damage)].append(moment)
    asked = {state: _asked_of(spec, found) for state, found in states.items()}
    name = moment_names(spec)
    yield from _burnt_out(spec, asked, file)
    yield from _unfed(spec, asked, file, name)
    yield from _asked_twice(spec, asked, file, name)
    number = {moment: at for at, found in enumerate(states.values()) for moment in found}
    yield from _compared_with_itself(spec, number, file, name)


AskedOf = dict[str, list[AskedWord]]


def _asked_of(spec: Spec, found: list[PhasedSetting]) -> AskedOf:
    """Return what is asked of every lamp at moments that are one electrical state."""
    known = filament_names(spec)
    asked: defaultdict[str, list[AskedWord]] = defaultdict(list)
    for moment in found:
        for row in spec.behaviour:
            if speaks_of(row, moment):
                for lamp, word in row.show:
                    if word != ANY and lamp in known:
                        asked[lamp].append(AskedWord(row, word, moment))
    return asked


def _burnt_out(spec: Spec, asked: dict[ElectricalState, AskedOf], file: FilePlace) -> Iterator[Finding]:
    """Yield each word that asks for light of a filament that has failed in its row."""
    filaments = filament_names(spec)
    told: set[tuple[int, str]] = set()
    for state, lamps in asked.items():
        for lamp in (filaments[at] for at in open_filaments(spec, state.damage)):
            for one in lamps.get(lamp, ()):
                if not _asks_for_light(spec, one) or (one.row.number, lamp) in told:
                    continue
                told.add((one.row.number, lamp))
                said = f"{shown(one.word)} asks for light of {lamp}, which has failed in this row"
                remedy = f'write "off" or leave {lamp} out, or name another part as failed'
                yield Finding(_place(file, one, lamp), said, remedy)


def _asks_for_light(spec: Spec, one: AskedWord) -> bool:
    band = band_at(spec, one.word, one.moment)
    return band is not None and max(band.low, band.of_full) > 0.0


def _unfed(
    spec: Spec,
    asked: dict[ElectricalState, AskedOf],
    file: FilePlace,
    name: Callable[[PhasedSetting], str],
) -> Iterator[Finding]:
    """Yield each word that asks for light while no terminal is live."""
    told: set[tuple[int, str]] = set()
    for state, lamps in asked.items():
        is_rail_live = spec.supply.always_live and SUPPLY not in state.damage.fuse_blown
        if is_rail_live or any(SUPPLY in group for group in state.joined):
            continue
        for lamp, every in lamps.items():
            for one in every:
                if not _asks_for_light(spec, one) or (one.row.number, lamp) in told:
                    continue
                told.add((one.row.number, lamp))
                said = (
                    f"{shown(one.word)} asks for light with {_when(one.moment, name)}, when nothing is live"
                )
                remedy = "narrow the when of the row, or let always_live = true give a terminal 30"
                yield Finding(_place(file, one, lamp), said, remedy)


def _asked_twice(
    spec: Spec,
    asked: dict[ElectricalState, AskedOf],
    file: FilePlace,
    name: Callable[[PhasedSetting], str],
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
                said += f" {_when(first.moment, name)}, where {row_named(first.row, file)} asks"
                said += f" {shown(word_in(first.word, first.moment.phases))}"
                yield Finding(_place(file, second, lamp), said, _remedy(spec, asked, second, lamp))


def row_named(row: BehaviourRow, file: FilePlace) -> str:
    """Return what a message about another row calls this one."""
    if row.origin is None:
        return file.key("behaviour").row(row.number).inner
    table = file.key(row.origin.table).row(row.origin.number).inner
    return table + f", alternative {row.origin.alternative}" * bool(row.origin.alternative)


def _place(file: FilePlace, one: AskedWord, lamp: str) -> FilePlace:
    return file.key("behaviour").row(one.row.number).key("show", lamp)


def _when(moment: PhasedSetting, name: Callable[[PhasedSetting], str]) -> str:
    phases = ", ".join(phase for _, phase in moment.phases)
    return name(moment) + (f" ({phases})" if phases else "")


def _clash(spec: Spec, first: AskedWord, second: AskedWord) -> bool:
    bands = band_at(spec, first.word, first.moment), band_at(spec, second.word, second.moment)
    return bands[0] is not None and bands[1] is not None and is_empty(meet(bands[0], bands[1]))


def _clash_at(spec: Spec, first: AskedWord, second: AskedWord, moment: PhasedSetting) -> bool:
    """Whether two rows contradict at one moment that both cover."""
    both = speaks_of(first.row, moment) and speaks_of(second.row, moment)
    return both and _clash(
        spec, AskedWord(first.row, first.word, moment), AskedWord(second.row, second.word, moment)
    )


def _remedy(spec: Spec, asked: dict[ElectricalState, AskedOf], wrong: AskedWord, lamp: str) -> str:
    """Return the words that would do in a row, tried at everything that is asked of the lamp."""
    words = [
        word for word in (*FLASHING, *STEADY) if word != ANY and _would_do(spec, asked, wrong, lamp, word)
    ]
    if not words:
        return f"leave {lamp} out of one of the rows, or narrow its when"
    return f"write {listed(tuple(shown(word) for word in words[:MOST_OFFERED]))}, or change the other row"


def _would_do(
    spec: Spec, asked: dict[ElectricalState, AskedOf], wrong: AskedWord, lamp: str, word: str
) -> bool:
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


def _compared_with_itself(
    spec: Spec,
    number: dict[PhasedSetting, int],
    file: FilePlace,
    name: Callable[[PhasedSetting], str],
) -> Iterator[Finding]:
    """Yield each row that asks a lamp to be brighter than itself in one electrical state.

    number: the electrical state of every moment.
    """
    closed = {
        (moment.setting, moment.failures): moment
        for moment in number
        if all(phase == "closed" for _, phase in moment.phases)
    }
    for at, row in enumerate(spec.brighter, 1):
        if row.lamp != row.than:
            continue
        for (setting, failures), moment in closed.items():
            if failures != row.failures or not covers(row.when, setting):
                continue
            other = closed[changed(setting, row.versus), row.versus_failures]
            if number[moment] == number[other]:
                place = file.key("brighter").row(at)
                said = f"compares {row.lamp} with itself in one electrical state, with {name(moment)}"
                remedy = "let versus change what is live, narrow the when, or name another lamp in than"
                yield Finding(place, said, remedy)
                break
