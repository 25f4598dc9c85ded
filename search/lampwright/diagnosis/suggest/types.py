"""Changes that a builder makes at the part_options: another lamp type, another resistor, another diode.

All other types that fit one lamp are tried in one trial, since a choice among types is
what a search makes anyway; the best are then tried alone.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from lampwright.diagnosis.suggest.scale import Scale, along
from lampwright.diagnosis.suggest.trial import MeetingCircuit, Trial, Trier, best, best_of, weigh
from lampwright.diagnosis.suggest.words import Attempt, Proposal, attempt
from lampwright.network.netlist import Fitted, Netlist
from lampwright.parts.catalogue import LampType, diode_types, lamp_type, lamp_types
from lampwright.parts.series import preferred_values, series_names, stock_wattages
from lampwright.problem.problem import Choice, Problem, fitted
from lampwright.problem.reading import MOST_VALUES
from lampwright.spec.model import Diodes, Lamp, Resistors, Spec
from lampwright.spec.revise import Revision, number, with_diodes, with_resistors, with_types

MOST_TOLD = 2
"""So many changes of this kind are suggested."""

DECADE = 10.0
"""How far beyond the spec's range of ohms values are tried."""

OTHER_FAMILY, OTHER_HOLDER, OTHER_COLOUR = 1, 2, 4
"""The burden of a lamp of the other family of types, with another cap, of another colour."""


Names = Callable[[Fitted], tuple[str, ...]]
"""The types that a choice takes of one list, from all that it fits."""


@dataclass(frozen=True)
class _Widening:
    """New names at the end of a list of types, how to write them, and which of the list a choice takes."""

    old: tuple[str, ...]
    new: tuple[str, ...]
    revise: Callable[[tuple[str, ...]], Revision]
    names: Names

    def taken(self, problem: Problem, netlist: Netlist, choice: Choice) -> int | None:
        """The one new type that a choice takes; None for none or several.

        By name: a type whose filling is not known has two places on the part_options.
        """
        news = {name for name in self.names(fitted(problem, netlist, choice)) if name in self.new}
        return self.new.index(news.pop()) if len(news) == 1 else None


@dataclass(frozen=True)
class _Passing:
    """A new type with which some circuit passes."""

    name: str
    order: int
    found: MeetingCircuit

    @property
    def rounded(self) -> tuple[float, int]:
        """What orders them: the greatest margin first."""
        return -round(self.found.margin, 6), self.order


def other_type(trier: Trier) -> Attempt:
    """One lamp of another type, or resistors or diodes of others."""
    trials: list[Trial] = []
    proposals: list[Proposal] = []
    spec = trier.problem.spec
    resistors, diodes = spec.extras.resistors, spec.extras.diodes
    what = ["every other type that fits, for " + _each(len(spec.lamps))]
    for lamp in spec.lamps:
        proposals += _other_lamp(trier, lamp, trials)
    if diodes is not None and diodes.most:
        what.append("other diodes")
        proposals += _other_diode(trier, diodes, trials)
    if resistors is not None and resistors.most:
        what.append("resistors of a finer series, a wider range, more watts")
        for scale in (*_finer(spec, resistors), *_wider(spec, resistors), *_stronger(spec, resistors)):
            proposals += along(trier, scale, trials)
    tried = attempt("other type", "; ".join(what), trials, proposals)
    return replace(tried, proposals=tried.proposals[:MOST_TOLD])


def _each(lamps: int) -> str:
    return "the lamp" if lamps == 1 else f"each of {lamps} lamps alone"


def _passing(trier: Trier, widening: _Widening, trials: list[Trial]) -> list[_Passing]:
    """Each new type that passes, from one trial of all."""
    if not widening.new:
        return []
    trial = trier.try_out(widening.revise((*widening.old, *widening.new)))
    trials.append(trial)
    weighed = weigh(trial, partial(widening.taken, trial.judge.problem), len(widening.new))
    passing = []
    for at, name in enumerate(widening.new):
        found = best_of(trial, [one for one in weighed if one.sort == at])
        if found is not None:
            passing.append(_Passing(name, at, found))
    return passing


def _alone(trier: Trier, widening: _Widening, passing: _Passing) -> MeetingCircuit | None:
    """One new type in a trial of its own; where no work is left for that, as it was found among all."""
    revision = widening.revise((*widening.old, passing.name))
    trial = trier.try_out(revision)
    found = best(trial)
    if found is None and not trial.whole:
        return replace(passing.found, trial=replace(passing.found.trial, revision=revision))
    return found


def others_for(lamp: Lamp, system: int) -> tuple[LampType, ...]:
    """The types that could be fitted in a lamp's place and are not among its own."""
    own = lamp_type(lamp.choose[0], system)
    return tuple(
        kind
        for kind in lamp_types()
        if kind.system == system
        and len(kind.filaments) == len(own.filaments)
        and (len(own.filaments) == 1 or kind.shared_contact == own.shared_contact)
        and kind.name not in lamp.choose
    )


def _other_lamp(trier: Trier, lamp: Lamp, trials: list[Trial]) -> list[Proposal]:
    spec = trier.problem.spec
    others = others_for(lamp, spec.supply.system)
    own = [lamp_type(name, spec.supply.system) for name in lamp.choose]
    first = sum(len(before.filaments) for before in spec.lamps[: spec.lamps.index(lamp)])

    def revise(types: tuple[str, ...]) -> Revision:
        return with_types(spec, lamp, types)

    def names(one: Fitted) -> tuple[str, ...]:
        return one.filaments[first : first + 1]

    widening = _Widening(lamp.choose, tuple(kind.name for kind in others), revise, names)
    passing = _passing(trier, widening, trials)
    passing.sort(key=lambda one: (_burden(others[one.order], own), one.rounded))
    proposals = []
    for one in passing[:MOST_TOLD]:
        kind, found = others[one.order], _alone(trier, widening, one)
        if found is not None:
            proposals.append(Proposal(_lamp_said(lamp, kind, own), found, _burden(kind, own)))
    return proposals


def _burden(kind: LampType, own: list[LampType]) -> int:
    return (
        OTHER_FAMILY * all(kind.family != one.family for one in own)
        + OTHER_HOLDER * all(kind.cap != one.cap for one in own)
        + OTHER_COLOUR * all(kind.colour != one.colour for one in own)
    )


def _lamp_said(lamp: Lamp, kind: LampType, own: list[LampType]) -> str:
    cap = f"cap {kind.cap}, as now" if kind.cap in [one.cap for one in own] else f"its cap is {kind.cap}"
    colour = "" if kind.colour in [one.colour for one in own] else f", its light {kind.colour}"
    return f"try {kind.name} as `{lamp.name}` ({cap}{colour})"


def _other_diode(trier: Trier, diodes: Diodes, trials: list[Trial]) -> list[Proposal]:
    spec = trier.problem.spec

    def revise(types: tuple[str, ...]) -> Revision:
        return with_diodes(spec, replace(diodes, choose=types))

    new = tuple(kind.name for kind in diode_types() if kind.name not in diodes.choose)
    widening = _Widening(diodes.choose, new, revise, lambda one: one.diodes)
    # many types differ in reverse volts only: one is enough
    for one in sorted(_passing(trier, widening, trials), key=lambda one: one.rounded)[:1]:
        found = _alone(trier, widening, one)
        if found is not None:
            return [Proposal(f"try diodes {one.name}", found)]
    return []


def _finer(spec: Spec, resistors: Resistors) -> Iterator[Scale]:
    """Finer series, coarsest first; each has the values of the one before."""
    finer = series_names()[series_names().index(resistors.series) + 1 :]
    finer = tuple(name for name in finer if len(preferred_values(name, *resistors.ohms)) <= MOST_VALUES)

    def change(at: int) -> Revision:
        return with_resistors(spec, replace(resistors, series=finer[at]))

    def say(changed: Spec) -> str:
        series = changed.extras.resistors.series if changed.extras.resistors else ""
        return f"try resistors of series {series}: more values, and a closer tolerance"

    yield Scale(change, len(finer), say)


def _wider(spec: Spec, resistors: Resistors) -> Iterator[Scale]:
    """Values below the range, and values above it, nearest first."""
    low, high = resistors.ohms

    def say(changed: Spec) -> str:
        ohms = changed.extras.resistors.ohms if changed.extras.resistors else (low, high)
        return f"try resistors from {number(ohms[0])} to {number(ohms[1])} ohm"

    below = preferred_values(resistors.series, low / DECADE, low)[::-1]
    above = preferred_values(resistors.series, high, high * DECADE)
    ranges = ([(ohms, high) for ohms in below if ohms < low], [(low, ohms) for ohms in above if ohms > high])
    for wider in ranges:

        def change(at: int, wider: list[tuple[float, float]] = wider) -> Revision:
            return with_resistors(spec, replace(resistors, ohms=wider[at]))

        yield Scale(change, len(wider), say)


def _stronger(spec: Spec, resistors: Resistors) -> Iterator[Scale]:
    """One wattage more, the least first."""
    more = tuple(watts for watts in stock_wattages() if watts > max(resistors.watts))

    def change(at: int) -> Revision:
        return with_resistors(spec, replace(resistors, watts=(*resistors.watts, more[at])))

    def say(changed: Spec) -> str:
        watts = changed.extras.resistors.watts if changed.extras.resistors else more
        return f"try resistors of {number(watts[-1])} W; they get hot"

    yield Scale(change, len(more), say)
