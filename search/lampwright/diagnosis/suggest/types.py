"""Changes that a builder makes at the part_options: another lamp type, another resistor, another diode.

All other types that fit one lamp are tried in one trial, since a choice among types is
what a search makes anyway; the best are then tried alone.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from lampwright.diagnosis.suggest.attempt import Attempt
from lampwright.diagnosis.suggest.trial import MeetingCircuit, best, best_of, weigh
from lampwright.network.netlist import Fitted, Netlist
from lampwright.parts.catalogue import LampType, diode_types
from lampwright.parts.series import preferred_values, series_names, stock_wattages
from lampwright.problem.problem import Choice, fitted
from lampwright.problem.reading import MOST_VALUES
from lampwright.solve.shelf import Shelf, same_type, shelf_of
from lampwright.spec.model import Diodes, Lamp, Resistors
from lampwright.spec.revise import Revision, number, with_diodes, with_resistors, with_types

MOST_TOLD = 2
"""So many changes of this kind are suggested."""

DECADE = 10.0
"""How far beyond the spec's range of ohms values are tried."""

OTHER_FAMILY, OTHER_HOLDER, OTHER_COLOUR = 1, 2, 4
"""The burden of a lamp of the other family of types, with another cap, of another colour."""


def other_type(attempt: Attempt) -> str:
    """One lamp of another type, or resistors or diodes of others."""
    spec = attempt.spec
    resistors, diodes = spec.extras.resistors, spec.extras.diodes
    own = [lamp for lamp in spec.lamps if not lamp.is_helper]
    each = "the lamp" if len(own) == 1 else f"each of {len(own)} lamps alone"
    what = [f"every other type that fits, for {each}"]
    for lamp in own:
        _other_lamp(attempt, lamp)
    if diodes is not None and diodes.most:
        what.append("other diodes")
        _other_diode(attempt, diodes)
    if resistors is not None and resistors.most:
        what.append("resistors of a finer series, a wider range, more watts")
        _other_resistors(attempt, resistors)
    attempt.cut(MOST_TOLD)
    return "; ".join(what)


@dataclass(frozen=True)
class _Widening:
    """New names at the end of a list of types, how to write them, and what of the list a choice takes."""

    attempt: Attempt
    old: tuple[str, ...]
    new: tuple[str, ...]
    revise: Callable[[tuple[str, ...]], Revision]
    names: Callable[[Fitted], tuple[str, ...]]

    def passing(self) -> list[tuple[int, MeetingCircuit]]:
        """Each new type with which some circuit passes, by its place, from one trial of all."""
        if not self.new:
            return []
        trial = self.attempt.try_out(self.revise((*self.old, *self.new)))

        def taken(netlist: Netlist, choice: Choice) -> int | None:
            """The one new type that a choice takes; by name, for one of unknown filling has two places."""
            news = {
                name for name in self.names(fitted(trial.judge.problem, netlist, choice)) if name in self.new
            }
            return self.new.index(news.pop()) if len(news) == 1 else None

        weighed = weigh(trial, taken, len(self.new))
        every = (best_of(trial, [one for one in weighed if one.sort == at]) for at in range(len(self.new)))
        return [(at, found) for at, found in enumerate(every) if found is not None]

    def alone(self, at: int, among: MeetingCircuit) -> MeetingCircuit | None:
        """One new type in a trial of its own; where no work is left for that, as it was found among all."""
        revision = self.revise((*self.old, self.new[at]))
        trial = self.attempt.trier.try_out(revision)
        found = best(trial)
        if found is None and not trial.whole:
            return replace(among, trial=replace(among.trial, revision=revision))
        return found


def others_for(lamp: Lamp, shelf: Shelf) -> tuple[LampType, ...]:
    """The types that could be fitted in a lamp's place and are not among its own.

    For the system's volts or those of its own types, and the user's own lamps.
    """
    chosen = [shelf.lamp(name) for name in lamp.choose]
    own, systems = chosen[0], {shelf.system, *(kind.system for kind in chosen)}
    return tuple(
        kind
        for kind in shelf.lamps()
        if (kind.system in systems or kind.family == "own")
        and len(kind.filaments) == len(own.filaments)
        and (len(own.filaments) == 1 or kind.shared_contact == own.shared_contact)
        and not any(same_type(kind, one) for one in chosen)
    )


def _other_lamp(attempt: Attempt, lamp: Lamp) -> None:
    spec = attempt.spec
    shelf = shelf_of(spec)
    others = others_for(lamp, shelf)
    own = [shelf.lamp(name) for name in lamp.choose]
    first = sum(len(before.filaments) for before in spec.lamps[: spec.lamps.index(lamp)])
    widening = _Widening(
        attempt,
        old=lamp.choose,
        new=tuple(kind.name for kind in others),
        revise=lambda types: with_types(spec, lamp, types),
        names=lambda one: one.filaments[first : first + 1],
    )
    ranked = sorted(
        (_burden(others[at], own), -round(found.margin, 6), at, found) for at, found in widening.passing()
    )
    for burden, _, at, found in ranked[:MOST_TOLD]:
        attempt.propose(_lamp_said(lamp, others[at], own), widening.alone(at, found), burden)


def _burden(kind: LampType, own: list[LampType]) -> int:
    return (
        OTHER_FAMILY * all(kind.family != one.family for one in own)
        + OTHER_HOLDER * all(kind.cap != one.cap for one in own)
        + OTHER_COLOUR * all(kind.colour != one.colour for one in own)
    )


def _lamp_said(lamp: Lamp, kind: LampType, own: list[LampType]) -> str:
    caps = [one.cap for one in own]
    cap = f"cap {kind.cap}, as now" if kind.cap in caps else f"its cap is {kind.cap or 'not said'}"
    colour = "" if kind.colour in [one.colour for one in own] else f", its light {kind.colour}"
    return f"try {kind.name} as `{lamp.name}` ({cap}{colour})"


def _other_diode(attempt: Attempt, diodes: Diodes) -> None:
    widening = _Widening(
        attempt,
        old=diodes.choose,
        new=tuple(kind.name for kind in diode_types() if kind.name not in diodes.choose),
        revise=lambda types: with_diodes(attempt.spec, replace(diodes, choose=types)),
        names=lambda one: one.diodes,
    )
    # many types differ in reverse volts only: one is enough
    for _, at, found in sorted((-round(found.margin, 6), at, found) for at, found in widening.passing())[:1]:
        attempt.propose(f"try diodes {widening.new[at]}", widening.alone(at, found))


def _other_resistors(attempt: Attempt, own: Resistors) -> None:
    """A finer series (each has the values of the one before), a wider range, one wattage more."""

    def with_series(series: str) -> Revision:
        return with_resistors(attempt.spec, replace(own, series=series))

    def with_ohms(ohms: tuple[float, float]) -> Revision:
        return with_resistors(attempt.spec, replace(own, ohms=ohms))

    def with_watts(watts: float) -> Revision:
        return with_resistors(attempt.spec, replace(own, watts=(*own.watts, watts)))

    def say_ohms(ohms: tuple[float, float]) -> str:
        return f"try resistors from {number(ohms[0])} to {number(ohms[1])} ohm"

    finer = series_names()[series_names().index(own.series) + 1 :]
    attempt.along(
        [name for name in finer if len(preferred_values(name, *own.ohms)) <= MOST_VALUES],
        with_series,
        lambda series: f"try resistors of series {series}: more values, and a closer tolerance",
    )
    low, high = own.ohms
    below = preferred_values(own.series, low / DECADE, low)[::-1]
    above = preferred_values(own.series, high, high * DECADE)
    attempt.along([(ohms, high) for ohms in below if ohms < low], with_ohms, say_ohms)
    attempt.along([(low, ohms) for ohms in above if ohms > high], with_ohms, say_ohms)
    attempt.along(
        [watts for watts in stock_wattages() if watts > max(own.watts)],
        with_watts,
        lambda watts: f"try resistors of {number(watts)} W; they get hot",
    )
