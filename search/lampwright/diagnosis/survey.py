"""A survey of the circuits that fail: which come nearest, and which requirements are missed together.

All circuits of the search are looked at where that is affordable, refuted ones too, for a circuit that
cannot meet the spec may still come near. Else those that no rule refutes; else none, and
the survey says so. What is affordable is counted in circuits, choices and states, never in seconds.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lampwright.diagnosis.candidate_states import SLACK, WORD, Cutoff, Known
from lampwright.diagnosis.nearest import Candidate, Near, Nearest, is_sound, missed_of_all
from lampwright.diagnosis.survey_kernel import Finds, Memo, Question, survey
from lampwright.judge.corners import CAP
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import fits_coupling
from lampwright.judge.screen import MOST_POINTS, scene_of
from lampwright.network.layout import Placing
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Problem, choice_count, choice_of, choices_of, fit_of
from lampwright.refute.rules import RULES
from lampwright.searching.evaluate import CellShare, CheckCancelled, ShareEvaluator, go_on, placed, shares_of
from lampwright.searching.plan import Step
from lampwright.solve.newton import new_workspace

ALLOWED = 12_000_000
"""Circuits times choices times states that a survey may come to."""

SLOTS = 2**14
"""Live nets remembered at once: 17 MB with their points."""

FEW = 4
"""Sets of requirements missed are kept up to twice the size of the smallest plus this number."""

MOST_LOCAL = 60
"""Requirements that one state may have for all its failures to fit into one word."""

ROOM = 4096
MOST_MASKS = 512
FIRST_AT_ONCE, AT_ONCE = 500, 200_000
"""Circuits times choices between two looks at what was found: few at first, until there is a cutoff."""

ALL = (True,) * len(RULES)
NONE = (False,) * len(RULES)
Scope = Literal["all", "unrefuted", "nothing"]


@dataclass(frozen=True)
class Survey:
    """What the failing circuits came to.

    scope: which circuits were looked at, of how many; circuits: how many; pairs: with their choices.
    near: the near misses, nearest first. met: some circuit meets the spec. seeds: requirements, by number,
    and then comparisons, that some sound choice misses, and only those: none of these sets includes another.
    gave_up: nearer ones may have been left unjudged.
    """

    scope: Scope
    of: int
    circuits: int = 0
    pairs: int = 0
    near: tuple[Near, ...] = ()
    met: bool = False
    seeds: tuple[tuple[int, ...], ...] = ()
    gave_up: bool = False


class TooMuchError(Exception):
    """There is more to look at than is allowed."""


def survey_problem(
    problem: Problem, steps: Iterable[Step], allowed: int = ALLOWED, check_cancelled: CheckCancelled = go_on
) -> Survey:
    """Survey the circuits of these steps, in as much work as is allowed."""
    steps, states = tuple(steps), len(problem.states)
    of = sum(step.circuits for step in steps)
    nothing = Survey("nothing", of)
    if not is_countable(problem):
        return nothing
    work = sum(
        circuits * states * _choices(problem, placing)
        for step in steps
        for placing, circuits in step.orbits.items()
    )
    scope: Scope = "all" if work <= allowed else "unrefuted"
    for lenient in (False, True):
        surveyor = _Surveyor(
            problem, ALL if scope == "unrefuted" else NONE, allowed, lenient, check_cancelled
        )
        try:
            for share in shares_of(steps):
                surveyor.take(share)
        except TooMuchError:
            return nothing
        if surveyor.nearest.near or surveyor.nearest.met or not surveyor.circuits:
            break
    return surveyor.found(scope, of)


def is_countable(problem: Problem) -> bool:
    """Whether the failures of any one state fit into one word."""
    pairs = np.diff(problem.requirements.numbered().same_from)
    return int(pairs.max(initial=0)) + len(problem.layout.filaments) <= MOST_LOCAL


def _choices(problem: Problem, placing: Placing) -> int:
    return choices_of(problem, placing.cell.arcs, placing.cell.links)


class _Surveyor:
    """Looks at one cell after another."""

    def __init__(
        self,
        problem: Problem,
        enabled: tuple[bool, ...],
        allowed: int,
        lenient: bool,
        check_cancelled: CheckCancelled,
    ) -> None:
        self.problem, self.allowed, self.check_cancelled = problem, allowed, check_cancelled
        self.evaluator = ShareEvaluator(problem, enabled, check_cancelled)
        self.judge = Judge(problem)
        self.nearest = Nearest(self.judge, lenient=lenient)
        self.asked = problem.requirements.numbered()
        self.words = 1 + (max(len(problem.requirements), 1) - 1) // WORD
        self.known = Known(np.zeros((MOST_MASKS, self.words), np.int64), np.zeros(1, np.int64))
        self.memo = Memo(np.zeros((SLOTS, MOST_POINTS)), np.zeros((SLOTS, MOST_POINTS), np.int64))
        self.work = new_workspace()
        self.failed: dict[bytes, tuple[Netlist, int]] = {}
        self.circuits = self.pairs = 0
        self.at_once = FIRST_AT_ONCE

    def take(self, share: CellShare) -> None:
        """Survey a share."""
        prepared = self.evaluator.prepared(share.placing)
        question = Question(
            fit=prepared.fit,
            scene=scene_of(prepared.boundary.vertex_node, slots=SLOTS),
            asked=self.asked,
            demands=self.problem.demands,
            limits=self.problem.limits,
            volts=self.problem.volts,
            models=self.problem.part_options.models,
        )
        choices = choice_count(prepared.fit)
        finds = self._room(max(ROOM, choices))
        for block in self.evaluator.blocks(share):
            ends, columns = block.ends, prepared.boundary.columns(block.ends)
            self.circuits += len(ends)
            self.pairs += len(ends) * choices
            if self.pairs * len(self.problem.states) > self.allowed:
                raise TooMuchError
            first = 0
            while first < len(ends):
                self.check_cancelled()
                until = first + max(1, self.at_once // choices)
                written, first = survey(
                    columns[:until], block.live, first, question, self.work, self.memo,
                    self._cutoff(), self.known, finds,
                )  # fmt: skip
                self._sort_out(share.placing, ends, finds, int(written))
                self.at_once = min(2 * self.at_once, AT_ONCE)

    def _room(self, rows: int) -> Finds:
        return Finds(
            np.zeros((rows, 2), np.int64),
            np.zeros(rows),
            np.zeros((rows, self.words), np.int64),
            np.zeros((rows, 2), np.int8),
        )

    def _cutoff(self) -> Cutoff:
        held = self.known.mask[: self.known.held[0]]
        least = int(np.bitwise_count(held).sum(axis=1).min()) if len(held) else len(self.problem.requirements)
        return self.nearest.cutoff(2 * least + FEW)

    def _sort_out(self, placing: Placing, ends: NDArray[np.int8], finds: Finds, written: int) -> None:
        """Keep what is new of a survey, and offer what comes near."""

        def netlist(row: int) -> Netlist:
            return placed(placing, ends[int(finds.pair[row, 0])])

        for row in np.flatnonzero(finds.flags[:written, 1]).tolist():
            self.failed[finds.mask[row].tobytes()] = netlist(row), int(finds.pair[row, 1])
        missed = np.bitwise_count(finds.mask[:written]).sum(axis=1)
        near = _is_near(finds, written, missed, self._cutoff())
        self.nearest.offer(
            Candidate(netlist(row), int(finds.pair[row, 1]), float(finds.margin[row]), int(missed[row]))
            for row in np.flatnonzero(near).tolist()
        )

    def found(self, scope: Scope, of: int) -> Survey:
        """What all shares came to."""
        nearest = self.nearest
        return Survey(
            scope, of, self.circuits, self.pairs, nearest.near,
            met=nearest.met, seeds=self.seeds(), gave_up=nearest.gave_up,
        )  # fmt: skip

    def seeds(self) -> tuple[tuple[int, ...], ...]:
        """What the sound choices with the fewest misses miss at some corner, each set once, in order."""
        found = set[tuple[int, ...]]()
        for mask in self.known.mask[: self.known.held[0]]:
            netlist, number = self.failed[mask.tobytes()]
            if not fits_coupling(netlist, self.problem):
                continue
            choice = choice_of(number, fit_of(self.problem, netlist.diodes, netlist.resistors))
            judgement = self.judge.judge(netlist, choice)
            if is_sound(self.problem, netlist, choice, judgement):
                found.add(missed_of_all(self.problem, judgement))
        return smallest_sets(found)


def _is_near(finds: Finds, written: int, missed: NDArray[np.int64], cutoff: Cutoff) -> NDArray[np.bool_]:
    """Which rows may be near misses under a cutoff; as the kernel has it."""
    worst = np.maximum(finds.margin[:written], -CAP)
    allowed = (finds.flags[:written, 0] == 0) | (missed == 0) | bool(cutoff.lenient)
    level = (missed == cutoff.missed) & (worst >= cutoff.margin - SLACK)
    return np.asarray(allowed & ((missed < cutoff.missed) | level))


def smallest_sets(sets: Iterable[tuple[int, ...]]) -> tuple[tuple[int, ...], ...]:
    """Those that include no other, in order."""
    kept: list[frozenset[int]] = []
    for one in sorted({frozenset(some) for some in sets}, key=lambda some: (len(some), sorted(some))):
        if not any(other <= one for other in kept):
            kept.append(one)
    return tuple(tuple(sorted(one)) for one in kept)
