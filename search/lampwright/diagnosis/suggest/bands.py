"""A wider band: which edge of `[levels]` must move how far, or which requirement must go.

First each edge of each word in use is moved alone, by numbers of two digits that a person can
type. Where none does alone, the edges that a near circuit needs are moved together and then
taken back one after another as far as they will go. Last, each requirement of the table is
left open alone.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial
from math import inf, isclose, isfinite, log2

import numpy as np

from lampwright.diagnosis.suggest.attempt import Attempt, least
from lampwright.diagnosis.suggest.trial import Trier, best
from lampwright.judge.judge import Judge, ShortedError
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice, Problem
from lampwright.spec.levels import ANY, DARK, MOST_DARK_KELVIN, STEADY
from lampwright.spec.model import AskedBand, Band, BehaviourRow, Levels, Spec
from lampwright.spec.revise import (
    asks_dark,
    number,
    settled,
    two_digits,
    weaker_words,
    with_levels,
    with_word,
    words_used,
)
from lampwright.spec.states import word_in

MOST_STOPS = 3.0
"""No edge moves further: beyond, the word means another light."""

MOST_TOLD = 2
"""So many requirements left open are suggested."""


@dataclass(frozen=True, order=True)
class Edge:
    """An edge of a word's band: its low or its high end."""

    word: str
    upper: bool

    def of(self, levels: Levels) -> float:
        """Where it is."""
        band: Band = getattr(levels, self.word)
        return band.high if self.upper else band.low

    def asked(self, band: AskedBand) -> float:
        """Where it is in what is asked of a lamp; of full it is a share of full light."""
        if self.upper:
            return band.high
        return band.of_full if self.word == "full" else band.low

    def at(self, levels: Levels, flux: float) -> Levels:
        """The levels with the edge moved."""
        band = getattr(levels, self.word)
        moved = Band(band.low, flux) if self.upper else Band(flux, band.high)
        return replace(levels, **{self.word: moved})  # type: ignore[arg-type]

    @property
    def name(self) -> str:
        """The edge in words."""
        return f"the {'upper' if self.upper else 'lower'} edge of `{self.word}`"


def wider_band(attempt: Attempt) -> str:
    """An edge of the levels moved, several together, or one requirement left open."""
    spec = attempt.spec
    for edge in edges(spec):
        attempt.along(
            notches(spec, spec.levels, edge, MOST_STOPS), partial(with_levels, spec), partial(_said, spec)
        )
    if asks_dark(spec):
        _glowing(attempt)
    what = "each edge of the bands alone"
    if not attempt.proposals and attempt.trier.near:
        what += ", those that near circuits need together"
        _together(attempt)
    _left_open(attempt)
    return f"{what}, each requirement alone left open"


def edges(spec: Spec) -> tuple[Edge, ...]:
    """The edges that can be moved: finite ones of the words in use, save the low one of `off`."""
    every = (Edge(word, upper) for word in words_used(spec) for upper in (False, True))
    return tuple(edge for edge in every if isfinite(edge.of(spec.levels)) and edge.of(spec.levels) > 0)


def notches(spec: Spec, levels: Levels, edge: Edge, most_stops: float) -> list[Levels]:
    """These levels with an edge moved outwards, number by number, up to a limit in stops."""
    start, factor = edge.of(levels), 2.0**most_stops
    if edge.upper:
        fluxes = [flux for flux in two_digits(start, start * factor) if flux > start]
    else:
        fluxes = [flux for flux in two_digits(start / factor, start)[::-1] if flux < start]
    moved = (settled(edge.at(levels, flux), words_used(spec)) for flux in fluxes)
    return [one for one in moved if one is not None]


def _said(spec: Spec, levels: Levels) -> str:
    moves = [
        f"{edge.name} from {number(edge.of(spec.levels))} to {number(edge.of(levels))}"
        for edge in edges(spec)
        if edge.of(spec.levels) != edge.of(levels)
    ]
    return f"move {' and '.join(moves)}; a lamp may then not give the light its purpose asks for"


def _glowing(attempt: Attempt) -> None:
    """The most kelvin of `dark` moved up, by numbers of two digits."""
    spec = attempt.spec
    start = spec.levels.dark

    def say(kelvin: float) -> str:
        edge = f"{number(start)} to {number(kelvin)} K"
        return f"move the upper edge of `{DARK}` from {edge}; a lamp may then glow a dull red in the dark"

    attempt.along(
        [kelvin for kelvin in two_digits(start, MOST_DARK_KELVIN) if kelvin > start],
        lambda kelvin: with_levels(spec, replace(spec.levels, dark=kelvin)),
        say,
    )


def _together(attempt: Attempt) -> None:
    """The edges that a near circuit needs, moved together; the least sum of stops first."""
    spec = attempt.spec
    for levels in _needed_levels(attempt.trier):
        trial, exact = attempt.try_out(with_levels(spec, levels)), True
        if not trial.passed:
            continue
        for edge in edges(spec):
            # taken back towards the spec's own edge as far as the others' allow
            own = edge.of(spec.levels)
            stops = abs(log2(edge.of(levels) / own))
            back = notches(spec, edge.at(levels, own), edge, stops) if stops else []
            taken = least(attempt.trier, back, partial(with_levels, spec)) if back else None
            if taken is not None and taken.trial.passed:
                trial, levels, exact = taken.trial, back[taken.notch], exact and taken.exact
        attempt.propose(_said(spec, levels), best(trial), exact=exact)
        return


def _needed_levels(trier: Trier) -> list[Levels]:
    """What the near circuits need, two edges or more, the least sum of stops first."""
    problem = trier.problem
    needs = _Needs(problem)
    found: dict[tuple[float, ...], Levels] = {}
    for netlist, choice in trier.near:
        levels = needs.of(netlist, choice)
        settling = None if levels is None else settled(levels, words_used(problem.spec))
        if settling is None:
            continue
        moves = [abs(log2(e.of(settling) / e.of(problem.spec.levels))) for e in edges(problem.spec)]
        if max(moves, default=0.0) <= MOST_STOPS and sum(move > 0 for move in moves) > 1:
            found[sum(moves), *moves] = settling
    return [found[key] for key in sorted(found)]


class _Needs:
    """What edges a circuit needs, from the light that the judge sees at its darkest and its brightest."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self._open = Judge(_asking(problem, low=False, high=False))
        self._low = Judge(_asking(problem, low=True, high=False))
        self._high = Judge(_asking(problem, low=False, high=True))

    def of(self, netlist: Netlist, choice: Choice) -> Levels | None:
        """Levels with edges of two digits that its light keeps; None where more is amiss, or too far."""
        try:
            if not self._open.judge(netlist, choice).met:
                return None
            margins = {
                upper: judge.judge(netlist, choice).verdicts.margin
                for upper, judge in ((False, self._low), (True, self._high))
            }
        except ShortedError:
            return None
        levels = self.problem.spec.levels
        for edge in edges(self.problem.spec):
            stops = min((margins[edge.upper][at] for at in self._cells(edge)), default=0.0)
            if stops < -MOST_STOPS:
                return None
            if stops < 0:
                levels = edge.at(levels, _outward(edge, edge.of(levels), -float(stops)))
        return levels

    def _cells(self, edge: Edge) -> tuple[tuple[int, int], ...]:
        """States and filaments whose band has this edge."""
        where = edge.of(self.problem.spec.levels)
        return tuple(
            (at, filament)
            for at, state in enumerate(self.problem.states)
            for filament, (words, band) in enumerate(zip(state.asked, state.bands, strict=True))
            if edge.word in (word_in(word, state.phases) for word in words)
            and band
            and isclose(edge.asked(band), where)
        )


def _outward(edge: Edge, start: float, stops: float) -> float:
    """The first number of two digits that lies at least this far [stops] outside an edge."""
    if edge.upper:
        return two_digits(start * 2.0**stops, start * 2.0 ** (stops + 1))[0]
    return two_digits(start * 2.0 ** -(stops + 1), start * 2.0**-stops)[-1]


def _asking(problem: Problem, *, low: bool, high: bool) -> Problem:
    """The problem with only the low edges of its bands asked for, only the high ones, or neither."""
    demands = problem.demands
    if not low:
        demands = demands._replace(low_stops=np.full_like(demands.low_stops, -inf))
    if not high:
        demands = demands._replace(high_stops=np.full_like(demands.high_stops, inf))
    return replace(problem, demands=demands)


def _left_open(attempt: Attempt) -> None:
    """One requirement asks for less; where leaving it open in one phase does, the other stays."""
    before = len(attempt.proposals)
    for row, filament, words in _requirements(attempt.trier):
        for word in words:
            burden = 0 if _may_glow(row, filament, word) else 1 if word not in STEADY else 2
            found = best(attempt.try_out(with_word(attempt.spec, row, filament, word)))
            if attempt.propose(_open_said(row, filament, word), found, burden) and burden < 2:
                break
    attempt.cut(MOST_TOLD, before)


def _requirements(trier: Trier) -> Iterator[tuple[BehaviourRow, str, tuple[str, ...]]]:
    """Every requirement with what asks less of it, the most promising first."""
    spec = trier.problem.spec
    every = [
        (row, filament, weaker)
        for row in spec.behaviour
        if not row.origin  # what a choice of the spec comes to is no row to write otherwise
        for filament, word in row.show
        if (weaker := tuple(one for one in weaker_words(word) if one != ANY or _asked(spec, filament) > 1))
    ]
    # where not all can be searched, those first without which near circuits pass
    short = trier.near != () and not trier.budget.holds(len(every) * trier.circuits)
    promising = [
        short and trier.try_out(with_word(spec, row, filament, weaker[-1]), "near").passed
        for row, filament, weaker in every
    ]
    for wanted in (True, False):
        yield from (one for one, passes in zip(every, promising, strict=True) if passes == wanted)


def _asked(spec: Spec, filament: str) -> int:
    """In how many rows something is asked of a filament; one in which nothing is needs no circuit."""
    return sum(dict(row.show).get(filament, ANY) != ANY for row in spec.behaviour)


def _may_glow(row: BehaviourRow, filament: str, word: str) -> bool:
    """Whether a word asks a lamp to be off where the row asks it not even to glow."""
    return dict(row.show)[filament].replace(DARK, "off") == word


def _open_said(row: BehaviourRow, filament: str, word: str) -> str:
    when = ", ".join(f"{control} {position}" for control, position in row.when) or "every setting"
    if _may_glow(row, filament, word):
        return f"let `{filament}` glow a dull red in row {row.number} ({when}): `{word}`"
    if word in STEADY:
        return f"leave `{filament}` open in row {row.number} ({when}): it may do anything there"
    half = "while the contact is closed" if word.startswith("any/") else "while the contact is open"
    return f"leave `{filament}` open {half} in row {row.number} ({when}): `{word}`"
