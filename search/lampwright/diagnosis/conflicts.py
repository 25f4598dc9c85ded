"""Which wants conflict over the listed types and values: the smallest set that no sound circuit meets.

Wants are as in `prove.requirements`. Every sound choice for a circuit leaves the set of wants it misses at
some corner, and wants conflict just if they have one in common with each of these sets. A smallest set that
hits all those known so far is put to the search itself, asked for nothing else: either some circuit meets
it, and what that one misses must be hit too, or none does, and the set is a smallest conflict. So
the last search is a check by exhaustion. The survey's sets come first, so that few searches are needed.

Source: implicit hitting sets, as named in `prove.conflict`. Work is counted in circuits listed,
choices screened and judgements, never in seconds.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from lampwright.diagnosis.cells import cells_of
from lampwright.diagnosis.nearest import missed_cells
from lampwright.diagnosis.survey import smallest_sets
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import Screened, fits_coupling
from lampwright.problem.problem import Problem, choice_of, fit_of
from lampwright.prove.hitting import Tags, smallest_hitting
from lampwright.prove.requirements import Want, asking_only, wants_of
from lampwright.searching.evaluate import CheckCancelled, ShareEvaluator, go_on, shares_of
from lampwright.searching.plan import Step

ALLOWED = 12_000_000
"""Work that looking for a conflict may take."""

PER_JUDGEMENT = 500
"""What one judgement at every corner counts for."""

SHARE_SIZE = 20_000
"""About how many circuits are listed between two looks at what was found."""

ENOUGH = 8
"""Circuits that meet a set of wants, after which it is known well enough to be no conflict."""


@dataclass(frozen=True)
class Clash:
    """Wants that no sound circuit meets together, in the spec's order; of fewer, some circuit meets any.

    searches: how many it took to find them, the last one through all circuits.
    """

    wants: tuple[Want, ...]
    searches: int


class TooMuchError(Exception):
    """The work allowed does not suffice."""


class Searcher:
    """Searches for sound circuits that meet some wants of a problem, within the work allowed."""

    def __init__(
        self,
        problem: Problem,
        steps: Iterable[Step],
        allowed: int = ALLOWED,
        check_cancelled: CheckCancelled = go_on,
    ) -> None:
        """Search these steps; `check_cancelled` may raise to stop."""
        self.problem, self.steps, self.check_cancelled = problem, tuple(steps), check_cancelled
        self.wants = wants_of(problem)
        self.left = allowed
        self.searches = 0
        self._judge = Judge(problem)
        self._want_of = {
            (state, want.filament, want.other): number
            for number, want in enumerate(self.wants)
            for state in want.states
        }

    def missed(self, cells: Iterable[int]) -> tuple[int, ...]:
        """The wants, by number, that the requirements of these numbers belong to."""
        every = cells_of(self.problem)
        chosen = (every[cell] for cell in cells)
        return tuple(sorted({self._want_of[one.state, one.filament, one.partner] for one in chosen}))

    def meeting(self, wants: Iterable[Want]) -> tuple[tuple[int, ...], ...]:
        """What the first sound circuits that meet these wants miss; nothing where there is none.

        Raises TooMuchError.
        """
        self.searches += 1
        asked = asking_only(self.problem, tuple(wants))
        evaluator = ShareEvaluator(asked, check_cancelled=self.check_cancelled)
        for share in shares_of(self.steps, SHARE_SIZE):
            catch = evaluator.take(share)
            self._spend(catch.tally.listed + catch.tally.pairs)
            found = self._missed_by(catch.screened, evaluator.judge)
            if found:
                return found
        return ()

    def _spend(self, work: int) -> None:
        self.left -= work
        if self.left < 0:
            raise TooMuchError

    def _missed_by(self, screened: Iterable[Screened], judge: Judge) -> tuple[tuple[int, ...], ...]:
        problem, found = self.problem, list[tuple[int, ...]]()
        for one in screened:
            netlist = one.netlist
            if not fits_coupling(netlist, problem):
                continue
            fit = fit_of(problem, netlist.diodes, netlist.resistors)
            for number in one.choices:
                self._spend(PER_JUDGEMENT)
                if judge.meets(netlist, choice_of(number, fit)):
                    judgement = self._judge.judge(netlist, choice_of(number, fit))
                    found.append(self.missed(missed_cells(problem, judgement)))
                    break
            if len(found) == ENOUGH:
                break
        return tuple(found)

    def tags(self) -> tuple[Tags, ...]:
        """What each want speaks of; states in which the same contacts are closed are one."""
        names, states = self.problem.layout.filaments, self.problem.states
        closed = [sorted({tuple(sorted((one.a, one.b))) for one in state.contacts}) for state in states]
        return tuple(
            Tags(
                (f"state {closed.index(closed[want.states[0]])}",),
                tuple(names[at] for at in (want.filament, want.other) if at is not None),
            )
            for want in self.wants
        )


def smallest_clash(searcher: Searcher, seeds: Iterable[Iterable[int]]) -> Clash | None:
    """The smallest set of wants that no sound circuit meets; None where some circuit meets all.

    seeds: requirements, by number, that some sound choice misses. Of several smallest sets the one that
    speaks of the fewest states and lamps, then the first in the spec's order. Raises
    TooMuchError.
    """
    known = smallest_sets(searcher.missed(cells) for cells in seeds)
    while True:
        chosen = smallest_hitting(searcher.tags(), [set(one) for one in known])
        if chosen is None:
            if () in known:
                return None
            raise TooMuchError
        wants = tuple(searcher.wants[number] for number in chosen)
        missed = searcher.meeting(wants)
        if not missed:
            return Clash(wants, searcher.searches)
        known = smallest_sets([*known, *missed])
