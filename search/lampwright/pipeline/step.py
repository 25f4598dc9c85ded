"""One step of the search, all circuits with one number of extra parts: shares, then batches.

Every finished piece goes to the keeper at once; what the keeper already has is not done
again. Pieces may come back in any order: what they bring is put in a fixed order before
it is used, so neither chance nor the number of workers shows in the result.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

from lampwright.network.zones import conductors
from lampwright.pipeline.crew import Crew
from lampwright.pipeline.hunt import NOTHING, Catch, Tally
from lampwright.pipeline.judging import Judged, batches
from lampwright.pipeline.plan import Step
from lampwright.pipeline.records import (
    catch_text,
    judged_name,
    judged_text,
    read_catch,
    read_judged,
    share_name,
)
from lampwright.pipeline.shares import Piece, shares_of
from lampwright.pipeline.verdict import Done
from lampwright.progress.bar import Progress
from lampwright.rank.judge import Judge
from lampwright.rank.study import Study
from lampwright.rank.winnow import Group, Hinge, Screened, Winner, group_drawings


class Keeper(Protocol):
    """Keeps finished pieces."""

    def known(self, name: str) -> str | None:
        """What is kept under a name, if anything."""

    def add(self, name: str, text: str) -> None:
        """Keep a finished piece."""


@dataclass
class Pursuit:
    """What does the work of every step, keeps it and tells of it."""

    judge: Judge
    crew: Crew
    keeper: Keeper
    progress: Progress


@dataclass
class Findings:
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


def take_step(pursuit: Pursuit, found: Findings) -> None:
    """Take one step; what the crew raises to stop it leaves the findings so far."""
    study = pursuit.judge.study
    screened: list[Screened] = []
    for catch in _catches(pursuit, found.step):
        found.tally = found.tally.plus(catch.tally)
        found.screened += len(catch.screened)
        screened.extend(catch.screened)
    coupled = [one for one in screened if _fits_coupling(one, study)]
    found.coupled = len(coupled)
    groups = group_drawings(coupled, pursuit.judge)
    found.grouped = len(groups)
    for judged in _judgements(pursuit, found.step, groups):
        found.minimal += judged.minimal
        if judged.winner is not None:
            found.winners = (*found.winners, judged.winner)
        if judged.hinge is not None:
            found.hinges = (*found.hinges, judged.hinge)
    found.finished = True


def _catches(pursuit: Pursuit, step: Step) -> Iterator[Catch]:
    shares = shares_of(step)
    names = [share_name(step.extra_parts, share) for share in shares]
    left: list[Piece] = []
    title = f"listing and solving, {step.extra_parts} extra part{'s' * (step.extra_parts != 1)}"
    pursuit.progress.stage(title, step.circuits)
    for number, (name, share) in enumerate(zip(names, shares, strict=True)):
        kept = pursuit.keeper.known(name)
        if kept is None:
            left.append(Piece(number, share))
        else:
            catch = read_catch(kept)
            pursuit.progress.advance(catch.tally.listed)
            yield catch
    for product in pursuit.crew.products(left):
        assert product.catch is not None
        pursuit.keeper.add(names[product.number], catch_text(product.catch))
        pursuit.progress.advance(product.catch.tally.listed)
        yield product.catch


def _judgements(pursuit: Pursuit, step: Step, groups: tuple[Group, ...]) -> Iterator[Judged]:
    cut = batches(groups)
    left: list[Piece] = []
    pursuit.progress.stage("judging at every corner", len(groups))
    for number, batch in enumerate(cut):
        kept = pursuit.keeper.known(judged_name(step.extra_parts, number))
        if kept is None:
            left.append(Piece(number, batch))
        else:
            pursuit.progress.advance(len(batch.groups))
            yield from read_judged(kept, batch.groups)
    for product in pursuit.crew.products(left):
        pursuit.keeper.add(judged_name(step.extra_parts, product.number), judged_text(product.judged))
        pursuit.progress.advance(len(product.judged))
        yield from product.judged


def _fits_coupling(one: Screened, study: Study) -> bool:
    most = study.spec.place.most_conductors
    return most is None or conductors(one.embedding, study.zoned) <= most
