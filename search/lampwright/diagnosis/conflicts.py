"""Which requirements conflict over the listed types and values: the smallest set that no sound circuit meets.

Every sound choice for a circuit leaves the set of requirements it misses at some corner, and
requirements conflict exactly if they have one in common with each of these sets. A smallest set that
hits all those known so far is put to the search itself, asked for nothing else: either some circuit meets
it, and what that one misses must be hit too, or none does, and the set is a smallest conflict. So
the last search is a check by exhaustion. The survey's sets come first, so that few searches are needed.

Source: implicit hitting sets, as named in `prove.conflict`. Work is counted in circuits listed,
choices screened and judgements, never in seconds.
"""

from collections.abc import Iterable

from lampwright.diagnosis.nearest import missed_of_all
from lampwright.diagnosis.survey import TooMuchError, smallest_sets
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import Screened, fits_coupling
from lampwright.problem.problem import Problem, asking_only, choice_of, fit_of
from lampwright.problem.requirements import Requirement
from lampwright.prove.hitting import smallest_hitting
from lampwright.prove.partitions import joined_requirements
from lampwright.searching.evaluate import CheckCancelled, ShareEvaluator, go_on, shares_of
from lampwright.searching.plan import Step

ALLOWED = 12_000_000
"""Work that looking for a conflict may take."""

PER_JUDGEMENT = 500
"""What one judgement at every corner counts for."""

SHARE_SIZE = 20_000
"""About how many circuits are listed between two looks at what was found."""

ENOUGH = 8
"""Circuits that meet a set of requirements, after which it is known well enough to be no conflict."""


class Searcher:
    """Searches for sound circuits that meet some requirements of a problem, within the work allowed."""

    def __init__(
        self,
        problem: Problem,
        steps: Iterable[Step],
        allowed: int = ALLOWED,
        check_cancelled: CheckCancelled = go_on,
    ) -> None:
        """Search these steps; `check_cancelled` may raise to stop."""
        self.problem, self.steps, self.check_cancelled = problem, tuple(steps), check_cancelled
        self.requirements = joined_requirements(problem)
        self.left = allowed
        self._judge = Judge(problem)
        self._joined = {
            single: number
            for number, requirement in enumerate(self.requirements)
            for single in requirement.single
        }

    def missed(self, numbers: Iterable[int]) -> tuple[int, ...]:
        """The requirements, by number, that the requirements of these numbers, and comparisons, belong to."""
        asked = self.problem.requirements
        every = *asked.every, *asked.compared
        return tuple(sorted({self._joined[every[number]] for number in numbers}))

    def meeting(self, requirements: Iterable[Requirement]) -> tuple[tuple[int, ...], ...]:
        """What the first sound circuits that meet these requirements miss; nothing where there is none.

        Raises TooMuchError.
        """
        asked = asking_only(self.problem, tuple(requirements))
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
                    found.append(self.missed(missed_of_all(problem, judgement)))
                    break
            if len(found) == ENOUGH:
                break
        return tuple(found)

    def spoken(self) -> tuple[tuple[str, ...], ...]:
        """The states and lamps that each requirement speaks of; states with one set of contacts are one."""
        names, states = self.problem.layout.filaments, self.problem.states
        closed = [
            (sorted({tuple(sorted((one.a, one.b))) for one in state.contacts}), state.opened, state.hung)
            for state in states
        ]
        return tuple(
            (
                *dict.fromkeys(f"state {closed.index(closed[at])}" for at in (one.state, *one.versus[:1])),
                *(f"lamp {names[at]}" for at in (one.filament, one.other) if at is not None),
            )
            for one in self.requirements
        )


def smallest_clash(searcher: Searcher, seeds: Iterable[Iterable[int]]) -> tuple[Requirement, ...] | None:
    """The smallest set of requirements that no sound circuit meets; None where some circuit meets all.

    seeds: requirements, by number, that some sound choice misses. Of several smallest sets the one that
    speaks of the fewest states and lamps, then the first in the spec's order. Raises
    TooMuchError.
    """
    known = smallest_sets(searcher.missed(numbers) for numbers in seeds)
    while True:
        chosen = smallest_hitting(searcher.spoken(), [set(one) for one in known])
        if chosen is None:
            if () in known:
                return None
            raise TooMuchError
        requirements = tuple(searcher.requirements[number] for number in chosen)
        missed = searcher.meeting(requirements)
        if not missed:
            return requirements
        known = smallest_sets([*known, *missed])
