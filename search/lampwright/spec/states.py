"""Every state a circuit is put in, with its closed contacts and what each filament must do there.

A setting gives each control a position: all combinations, the first control slowest. A
setting with a flasher on is two states, its closed and its open phase; with several
flashers on, every combination of their phases. A state is what the solver solves: which
pairs of terminals are joined, and within which band each filament's light must lie.
Where rows name failures, there is besides, for each set of them that is named, a state for
every setting that such a row covers. A row that names none speaks of a sound circuit alone.

A control `brake` (switch) and `turn` (flasher) thus give six states: brake off turn off;
brake off turn on, closed and open; and the same with brake on. No state depends on
another: a filament is judged when it has settled.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from itertools import combinations, product
from math import prod

from lampwright.spec.levels import ANY, FlashPhase, band_of, meet, phase_word
from lampwright.spec.model import (
    OFF,
    ON,
    SOUND,
    SUPPLY,
    AskedBand,
    BehaviourRow,
    Control,
    Failures,
    Same,
    Spec,
    filament_names,
)

Setting = tuple[tuple[str, str], ...]
Phases = tuple[tuple[str, FlashPhase], ...]


@dataclass(frozen=True)
class Contact:
    """One closed contact: which control's, and the two terminals it joins."""

    control: str
    a: str
    b: str


@dataclass(frozen=True)
class SameCheck:
    """Two filaments, by index, whose flux must agree within a ratio of 1 ± within."""

    first: int
    second: int
    within: float


@dataclass(frozen=True)
class LightComparison:
    """A filament in one state that must give at least `by` times the light of one in another or the same.

    first, first_state: the brighter one, by index; second, second_state: the other. row: its number.
    """

    row: int
    first: int
    first_state: int
    second: int
    second_state: int
    by: float


@dataclass(frozen=True)
class State:
    """One setting and phase: what is joined, and what each filament must do.

    name: the setting, short. phases: of each flasher that is on. asked and bands go by filament:
    the words that rows ask of it, each once, and the band they make, None where nothing is asked.
    covered: some row speaks of it. failures: what has failed in it; opened: the filaments that are open
    then, and hung: groups of filaments whose ends at ground hang together, by index.
    """

    name: str
    setting: Setting
    phases: Phases
    contacts: tuple[Contact, ...]
    asked: tuple[tuple[str, ...], ...]
    bands: tuple[AskedBand | None, ...]
    same: tuple[SameCheck, ...]
    covered: bool
    failures: Failures = SOUND
    opened: tuple[int, ...] = ()
    hung: tuple[tuple[int, ...], ...] = ()

    @property
    def is_damaged(self) -> bool:
        """Whether filaments are open or a ground is lost: more has failed than contacts could say."""
        return bool(self.opened or self.hung)

    @property
    def phase(self) -> str:
        """Empty with no flasher on; with one, closed or open; with several, `turn closed, hazard open`."""
        if len(self.phases) == 1:
            return self.phases[0][1]
        return ", ".join(f"{name} {phase}" for name, phase in self.phases)

    @property
    def words(self) -> tuple[str, ...]:
        """What is asked of each filament, `any` where nothing is."""
        return tuple(" + ".join(words) or ANY for words in self.asked)

    @property
    def full_name(self) -> str:
        """The setting, with the flasher's phase in brackets."""
        return f"{self.name} ({self.phase})" if self.phase else self.name


@dataclass(frozen=True)
class PhasedSetting:
    """A setting with a phase for each flasher that is on, and what has failed; nothing is asked of it yet."""

    setting: Setting
    phases: Phases
    failures: Failures = SOUND


def count_states(controls: tuple[Control, ...]) -> int:
    """Return how many states the controls make: three for a flasher, positions for any other."""
    return prod(len(control.positions) + (control.kind == "flasher") for control in controls)


def settings(controls: tuple[Control, ...]) -> Iterator[Setting]:
    """Yield every setting of the controls, the first control slowest."""
    names = [control.name for control in controls]
    positions = [[position.name for position in control.positions] for control in controls]
    for chosen in product(*positions):
        yield tuple(zip(names, chosen, strict=True))


def moments(controls: tuple[Control, ...]) -> Iterator[PhasedSetting]:
    """Yield every setting of a sound circuit with every combination of phases, closed before open."""
    flashers = {control.name for control in controls if control.kind == "flasher"}
    phases: tuple[FlashPhase, FlashPhase] = ("closed", "open")
    for setting in settings(controls):
        flashing = [name for name, position in setting if name in flashers and position == ON]
        for chosen in product(phases, repeat=len(flashing)):
            yield PhasedSetting(setting, tuple(zip(flashing, chosen, strict=True)))


def closed_contacts(controls: tuple[Control, ...], moment: PhasedSetting) -> tuple[Contact, ...]:
    """Return the contacts closed at a moment, in order of the controls; behind a blown fuse none feeds."""
    opened = {name for name, phase in moment.phases if phase == "open"}
    chosen = dict(moment.setting)
    return tuple(
        Contact(control.name, a, b)
        for control in controls
        if control.name not in opened
        for position in control.positions
        if position.name == chosen[control.name]
        for a, b in position.joins
        if control.name not in moment.failures.fuse_blown or SUPPLY not in (a, b)
    )


def covers(when: Setting, setting: Setting) -> bool:
    """Whether a row's `when` includes a setting."""
    return set(when) <= set(setting)


def speaks_of(row: BehaviourRow | Same, moment: PhasedSetting) -> bool:
    """Whether a row covers the setting of a moment, with just what has failed then."""
    return row.failures == moment.failures and covers(row.when, moment.setting)


def failing_moments(spec: Spec) -> Iterator[PhasedSetting]:
    """Yield the moments at which something has failed that some row speaks of."""
    rows: list[tuple[Failures, Setting]] = [(row.failures, row.when) for row in spec.behaviour]
    rows += [(row.failures, row.when) for row in spec.same]
    for one in spec.brighter:
        rows += [(one.failures, one.when), (one.versus_failures, changed(one.when, one.versus))]
    for failures in dict.fromkeys(failures for failures, _ in rows if failures):
        own = [when for other, when in rows if other == failures]
        for moment in moments(spec.controls):
            if any(covers(when, moment.setting) for when in own):
                yield replace(moment, failures=failures)


def changed(setting: Setting, changes: Setting) -> Setting:
    """Return a setting with other positions of some controls."""
    return tuple((dict(setting) | dict(changes)).items())


def comparisons_of(spec: Spec, states: Sequence[State]) -> tuple[LightComparison, ...]:
    """Return what `brighter` rows compare, setting by setting, with every flasher that is on closed."""
    names = filament_names(spec)
    closed = {
        (state.setting, state.failures): at
        for at, state in enumerate(states)
        if all(phase == "closed" for _, phase in state.phases)
    }
    found = []
    for number, row in enumerate(spec.brighter, 1):
        for (setting, failures), at in closed.items():
            if failures != row.failures or not covers(row.when, setting):
                continue
            other = closed[changed(setting, row.versus), row.versus_failures]
            if (at, row.lamp) != (other, row.than):
                one = names.index(row.lamp), at, names.index(row.than), other
                found.append(LightComparison(number, *one, row.by))
    return tuple(found)


def every_moment(spec: Spec) -> Iterator[PhasedSetting]:
    """Yield the moments of the states, in their order: those of a sound circuit first."""
    yield from moments(spec.controls)
    yield from failing_moments(spec)


def moment_names(spec: Spec) -> Callable[[PhasedSetting], str]:
    """Return how a moment's setting reads, with what has failed.

    Controls that are off are left out, or all are named in full where two settings would read alike.
    """
    read = [_short_name(setting) for setting in settings(spec.controls)]
    name = _short_name if len(set(read)) == len(read) else _full_name
    return lambda moment: ", ".join(filter(None, (name(moment.setting), str(moment.failures))))


def _short_name(setting: Setting) -> str:
    return ", ".join(f"{name} {position}" for name, position in setting if position != OFF) or "all off"


def _full_name(setting: Setting) -> str:
    return ", ".join(f"{name} = {position}" for name, position in setting)


def expand_states(spec: Spec) -> tuple[State, ...]:
    """Return every state of a loaded spec, settings first, then phases."""
    name, filaments = moment_names(spec), filament_names(spec)
    return tuple(_state(spec, moment, name(moment), filaments) for moment in every_moment(spec))


def uncovered(spec: Spec) -> tuple[str, ...]:
    """Return the settings no row covers, by name; one in which nothing is live needs no row."""
    states = expand_states(spec)
    fed = [state for state in states if any(SUPPLY in (one.a, one.b) for one in state.contacts)]
    live = {state.setting for state in (states if spec.supply.always_live else fed)}
    bare = (state for state in states if not state.covered and not state.failures)
    return tuple(dict.fromkeys(state.name for state in bare if state.setting in live))


def _state(spec: Spec, moment: PhasedSetting, name: str, filaments: tuple[str, ...]) -> State:
    rows = [row for row in spec.behaviour if speaks_of(row, moment)]
    asked = tuple(_asked(rows, filament) for filament in filaments)
    return State(
        name=name,
        setting=moment.setting,
        phases=moment.phases,
        contacts=closed_contacts(spec.controls, moment),
        asked=asked,
        bands=tuple(_band(spec, words, moment) for words in asked),
        same=_same_checks(spec, moment, filaments),
        covered=bool(rows),
        failures=moment.failures,
        opened=open_filaments(spec, moment.failures),
        hung=hung_filaments(spec, moment.failures),
    )


def open_filaments(spec: Spec, failures: Failures) -> tuple[int, ...]:
    """Return the filaments that are open, by index: those named, and all those of a lamp that is named."""
    owners = ((lamp.name, one) for lamp in spec.lamps for one in lamp.filaments)
    return tuple(at for at, names in enumerate(owners) if not set(names).isdisjoint(failures.failed))


def hung_filaments(spec: Spec, failures: Failures) -> tuple[tuple[int, ...], ...]:
    """Return for every lost ground the filaments of its lamp or zone, by index."""
    zone_of = dict(spec.place.zone_of)
    owners = [lamp.name for lamp in spec.lamps for _ in lamp.filaments]
    return tuple(
        tuple(at for at, lamp in enumerate(owners) if place in (lamp, zone_of.get(lamp)))
        for place in failures.ground_lost
    )


def _asked(rows: list[BehaviourRow], filament: str) -> tuple[str, ...]:
    words = (word for row in rows for shown, word in row.show if shown == filament and word != ANY)
    return tuple(dict.fromkeys(words))


def _band(spec: Spec, words: tuple[str, ...], moment: PhasedSetting) -> AskedBand | None:
    bands = [band for word in words if (band := band_at(spec, word, moment)) is not None]
    return reduce(meet, bands) if bands else None


def band_at(spec: Spec, word: str, moment: PhasedSetting) -> AskedBand | None:
    """Return the band a word asks at a moment; None if nothing.

    A word that differs by phase asks nothing unless exactly one flasher is on; the loader
    refuses such rows.
    """
    return band_of(spec.levels, word_in(word, moment.phases))


def word_in(word: str, phases: Phases) -> str:
    """Return the steady word that `word` asks for in these phases; as it is unless one flasher is on.

    >>> word_in("flash", (("turn", "open"),)), word_in("flash", ())
    ('off', 'flash')
    """
    return phase_word(word, phases[0][1]) if len(phases) == 1 else word


def _same_checks(spec: Spec, moment: PhasedSetting, filaments: tuple[str, ...]) -> tuple[SameCheck, ...]:
    return tuple(
        SameCheck(filaments.index(first), filaments.index(second), same.within)
        for same in spec.same
        if speaks_of(same, moment)
        for first, second in combinations(same.lamps, 2)
    )
