"""One step of the search, all circuits with one number of extra parts: shares, then batches.

Every finished piece goes to the keeper at once; what the keeper already has is not done
again. Pieces may come back in any order: what they bring is put in a fixed order before
it is used, so neither chance nor the number of workers shows in the result.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

from lampwright.judge.judge import Judge
from lampwright.judge.minimality import Group, Hinge, Screened, Winner, group_drawings
from lampwright.network.zones import conductors
from lampwright.problem.problem import Problem
from lampwright.progress.bar import Progress
from lampwright.searching.batches import Judged, batches
from lampwright.searching.evaluate import NOTHING, ShareResult, Tally
from lampwright.searching.executors import Executor
from lampwright.searching.plan import Step
from lampwright.searching.records import (
    judged_name,
    judged_text,
    read_judged,
    read_share_result,
    share_name,
    share_result_text,
)
from lampwright.searching.shares import Piece, shares_of
from lampwright.searching.verdict import Done


class Keeper(Protocol):
    """Keeps finished pieces."""

    def known(self, name: str) -> str | None:
        """What is kept under a name, if anything."""

    def add(self, name: str, text: str) -> None:
        """Keep a finished piece."""


@dataclass
class StepContext:
    """What does the work of every step, keeps it and tells of it."""

    judge: Judge
    executor: Executor
    keeper: Keeper
    progress: Progress


@dataclass
class StepResult:
    """What a step has come to so far; filled as it goes, so that a stop loses nothing."""

    step: Step
    tally: Tally = NOTHING
    screened: int = 0
    coupled: int = 0
    grouped: int = 0
    minimal: int = 0
    winners: tuple[Winner, ...] = ()
    hinges: tuple[Hinge, ...] = ()
    finished: bool = False
    ruled_out: bool = False

    def done(self) -> Done:
        """The counts of the step."""
        counts = self.coupled, self.screened, self.grouped, self.minimal, len(self.winners)
        return Done(self.step, self.tally, *counts, self.finished, self.ruled_out, len(self.hinges))


def take_step(context: StepContext, found: StepResult) -> None:
    """Take one step; what the executor raises to stop it leaves the findings so far."""
    problem = context.judge.problem
    screened: list[Screened] = []
    for result in _share_results(context, found.step):
        found.tally = found.tally.plus(result.tally)
        found.screened += len(result.screened)
        screened.extend(result.screened)
    coupled = [one for one in screened if _fits_coupling(one, problem)]
    found.coupled = len(coupled)
    groups = group_drawings(coupled, context.judge)
    found.grouped = len(groups)
    for judged in _judgements(context, found.step, groups):
        found.minimal += judged.minimal
        if judged.winner is not None:
            found.winners = (*found.winners, judged.winner)
        if judged.hinge is not None:
            found.hinges = (*found.hinges, judged.hinge)
    found.finished = True


def _share_results(context: StepContext, step: Step) -> Iterator[ShareResult]:
    shares = shares_of(step)
    names = [share_name(step.extra_parts, share) for share in shares]
    left: list[Piece] = []
    title = f"listing and solving, {step.extra_parts} extra part{'s' * (step.extra_parts != 1)}"
    context.progress.stage(title, step.circuits)
    for number, (name, share) in enumerate(zip(names, shares, strict=True)):
        kept = context.keeper.known(name)
        if kept is None:
            left.append(Piece(number, share))
        else:
            result = read_share_result(kept)
            context.progress.advance(result.tally.listed)
            yield result
    for product in context.executor.products(left):
        assert product.result is not None
        context.keeper.add(names[product.number], share_result_text(product.result))
        context.progress.advance(product.result.tally.listed)
        yield product.result


def _judgements(context: StepContext, step: Step, groups: tuple[Group, ...]) -> Iterator[Judged]:
    cut = batches(groups)
    left: list[Piece] = []
    context.progress.stage("judging at every corner", len(groups))
    for number, batch in enumerate(cut):
        kept = context.keeper.known(judged_name(step.extra_parts, number))
        if kept is None:
            left.append(Piece(number, batch))
        else:
            context.progress.advance(len(batch.groups))
            yield from read_judged(kept, batch.groups)
    for product in context.executor.products(left):
        context.keeper.add(judged_name(step.extra_parts, product.number), judged_text(product.judged))
        context.progress.advance(len(product.judged))
        yield from product.judged


def _fits_coupling(one: Screened, problem: Problem) -> bool:
    most = problem.spec.place.most_conductors
    return most is None or conductors(one.netlist, problem.zoned) <= most
