"""What each lamp type that was offered and not taken misses by: the bulb in the builder's hand.

A type that is in no choice that passes is put into the designs in place of the lamp it was offered for:
into every choice that passes, one lamp changed, and judged at every corner. Told is the circuit in which
it comes nearest.

The worked case: a lamp of 2.3 W lights through one of 21 W, which stays dark; through one of 5 W, with
which it shares the volts, it is lit at two thirds of what was asked. Source: our own method.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import takewhile

import numpy as np

from lampwright.judge.comparison_rows import worst_missed
from lampwright.judge.corners import CAP
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import FILLED, Judgement
from lampwright.judge.minimality import DECIMALS, Winner
from lampwright.problem.problem import Choice, filament_models
from lampwright.results.design import Design
from lampwright.results.ranking import NotTaken
from lampwright.results.shortfall import Missed
from lampwright.words import beyond, many

MOST_TRIED = 200
"""Circuits that are judged for all types together, at the most, but one for each."""


@dataclass(frozen=True)
class Contender:
    """A design, by rank, that a type may be put into."""

    rank: int
    winner: Winner


@dataclass(frozen=True)
class _Try:
    contender: Contender
    choice: Choice
    judgement: Judgement

    @property
    def order(self) -> float:
        """What ranks tries; the least comes nearest. One that misses nothing is over a rating only."""
        return -round(min(self.judgement.margin, 0.0), DECIMALS)


def types_not_taken(
    presenters: Sequence[Presenter],
    winners: Sequence[Winner],
    designs: Sequence[Contender],
    is_over: Callable[[], bool] = lambda: False,
) -> tuple[NotTaken, ...]:
    """Every type on offer that no choice of any winner has, lamp by lamp, with where it comes nearest.

    presenters: of every way in which the spec can be taken; winners: all designs found; designs: those that
    types are put into, the best first; both in every way in which they meet the spec. is_over: whether it is
    time to stop, and to leave the rest out.
    """
    options = presenters[0].problem.part_options.lamp_types if designs else ()
    passing = [one for winner in winners for way in (winner, *winner.elsewhere) for one in way.passing]
    left = [
        (at, types.index(name), name)
        for at, types in enumerate(options)
        for name in dict.fromkeys(types)
        if name not in {types[one.choice.digits[at]] for one in passing}
    ]
    tried = [Contender(one.rank, way) for one in designs for way in (one.winner, *one.winner.elsewhere)]
    most = max(1, MOST_TRIED // max(1, len(left)))
    return tuple(_row(presenters, *one, tried, most) for one in takewhile(lambda _: not is_over(), left))


def _places(designs: Sequence[Contender], lamp: int, digit: int) -> list[tuple[Contender, Choice]]:
    """A type in the best choice of each design, then in the second of each, and so on."""
    found: dict[tuple[int, int, Choice], Contender] = {}
    for place in range(max(len(one.winner.passing) for one in designs)):
        for one in designs:
            if place < len(one.winner.passing):
                old = one.winner.passing[place].choice.digits
                choice = Choice((*old[:lamp], digit, *old[lamp + 1 :]))
                found.setdefault((one.rank, one.winner.way, choice), one)
    return [(one, choice) for (*_, choice), one in found.items()]


def _row(
    presenters: Sequence[Presenter],
    lamp: int,
    digit: int,
    name: str,
    designs: Sequence[Contender],
    most: int,
) -> NotTaken:
    places = _places(designs, lamp, digit)
    tries = [
        _Try(one, choice, presenters[one.winner.way].judge.judge(one.winner.netlist, choice))
        for one, choice in places[:most]
    ]
    nearest = min(tries, key=lambda one: one.order)
    winner, judgement = nearest.contender.winner, nearest.judgement
    presenter = presenters[winner.way]
    design = presenter.judged(winner.netlist, nearest.choice, judgement, winner.conductors)
    over = [beyond(one.ref, one.worst, one.limit, one.unit) for one in design.ratings.over]
    if judgement.unconverged:
        over.append(f"{many(judgement.unconverged, 'operating point')} could not be solved")
    missed = judgement.margin < 0.0
    return NotTaken(
        lamp=presenter.problem.layout.lamps[lamp].lamp,
        type=name,
        rank=nearest.contender.rank,
        fitted=presenter.fitted_words(winner.netlist, nearest.choice),
        missed=_missed(design) if missed else None,
        gives=_gives(presenter, judgement) if missed else None,
        over=tuple(over),
        tried=len(tries),
        choices=len(places),
    )


def _missed(design: Design) -> Missed:
    """What a circuit misses by most: its tightest requirement."""
    tight, compared = design.tightest, worst_missed(design.compared)
    alone = [
        one.wanted
        for state in design.states
        for one in state.lamps
        if (state.full_name, one.lamp) == (tight.state, tight.lamp)
    ]
    return Missed(
        lamp=tight.lamp,
        state=tight.state,
        wanted=alone[0] if alone or compared is None else compared.wanted,
        margin_stops=design.margin_stops,
        corner=tight.corner,
    )


def _gives(presenter: Presenter, judgement: Judgement) -> float | None:
    """The light of the lamp that misses by most, where it does [of rated]; None for what is compared.

    It lies by the margin below the least or above the most that is asked there.
    """
    problem, verdicts = presenter.problem, judgement.verdicts
    asked = np.where(problem.requirements.is_asked, verdicts.margin, CAP)
    if min((*verdicts.same.tolist(), *verdicts.brighter.tolist()), default=CAP) < asked.min():
        return None
    state, lamp = (int(n) for n in np.unravel_index(int(np.argmin(asked)), asked.shape))
    case, corner = divmod(int(verdicts.margin_corner[state, lamp]), FILLED)
    model = filament_models(problem, judgement.cases[case].choice)[lamp]
    at = corner % 3, state, lamp, model
    low, high, margin = problem.demands.low_stops[at], problem.demands.high_stops[at], asked[state, lamp]
    own = presenter.flux(abs(float(verdicts.volts[state, lamp])), model)
    is_above = not np.isfinite(low) or (np.isfinite(high) and np.log2(own) > 0.5 * (low + high))
    return float(2.0 ** (high - margin if is_above else low + margin))
