"""Whole ranges of resistance: what one box refuses, what is decided after it, and what that costs."""

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

import numpy as np
from tests.bench.clock import core_seconds
from tests.bench.specs import Rung, four_lamps, three_terminals
from tests.bench.table import Row, Size, rate

from lampwright.judge import ranging
from lampwright.judge.distinct import distinct_states
from lampwright.judge.minimality import MinimalityFilter
from lampwright.judge.ranges import range_memory, refuse_whole
from lampwright.judge.ranging import Ranger
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Problem, fit_of_types
from lampwright.problem.reading import read_problem
from lampwright.searching.evaluate import CellShare, ShareEvaluator, Unrefuted, placed, shares_of
from lampwright.searching.plan import plan_steps

RUNGS = {
    Size.TINY: (Rung(0, 1, 1),),
    Size.QUICK: (Rung(2, 1, 2), Rung(2, 2, 2)),
    Size.FULL: (Rung(2, 1, 2), Rung(2, 2, 2)),
}
SAMPLE = {Size.TINY: 20, Size.QUICK: 8000, Size.FULL: 40_000}
SHARES = 40
SHARE = 100_000


def measure(size: Size) -> tuple[Row, ...]:
    """On circuits that no value-free rule refutes, of some shares drawn from a seed."""
    rows: list[Row] = []
    with TemporaryDirectory() as name:
        for rung in RUNGS[size]:
            for title, spec in (("3T", three_terminals), ("4F", four_lamps)):
                rows += _ranged(f"{title} {rung}", read_problem(spec(rung, Path(name))), SAMPLE[size])
    return tuple(rows)


def _sample(problem: Problem, count: int) -> list[tuple[CellShare, Unrefuted]]:
    """Some circuits with resistors that the rules leave, share by share."""
    chance, evaluator = np.random.default_rng(1), ShareEvaluator(problem)
    shares = [
        share for share in shares_of(plan_steps(evaluator.judge, None), SHARE) if share.placing.cell.links
    ]
    found: list[tuple[CellShare, Unrefuted]] = []
    for at in chance.permutation(len(shares))[:SHARES]:
        for block in evaluator.blocks(shares[at]):
            # neighbours, as a search meets them: they share live nets
            kept = slice(None, max(1, count // SHARES))
            if len(block.ends):
                found.append((shares[at], replace(block, ends=block.ends[kept], live=block.live[kept])))
    return found


def _ranged(title: str, problem: Problem, count: int) -> tuple[Row, ...]:
    sample = _sample(problem, count)
    circuits = sum(len(block.ends) for _, block in sample)
    evaluator, ranger = ShareEvaluator(problem), Ranger(ShareEvaluator(problem).judge)
    left: list[np.ndarray] = []

    def by_boxes() -> None:
        left[:] = [_possible(ranger, share, block) for share, block in sample]

    def by_values() -> None:
        own = ShareEvaluator(problem)
        for share, block in sample:
            order = np.arange(len(own.prepared(share.placing).states.first))
            own.screen_values(share.placing, block, order)

    boxes, values = core_seconds(by_boxes, 2), core_seconds(by_values, 2)
    with patch.object(ranging, "refuse_in_lanes", refuse_whole):
        one_by_one = core_seconds(by_boxes, 2)
    open_ones = sum(int(one.sum()) for one in left)
    said = f"{1 - open_ones / circuits:.1%} of {circuits:,} refused, {rate(circuits / boxes)}"
    rows = [
        Row(f"{title}, one box", said),
        Row("  lanes against one by one", f"{one_by_one / boxes:.1f}x as fast"),
        Row(
            "  beside every value", f"{values / boxes:.1f}x as fast, {len(problem.part_options.ohms)} values"
        ),
    ]
    netlists = [
        placed(share.placing, ends)
        for (share, block), kept in zip(sample, left, strict=True)
        for ends in block.ends[kept]
    ]
    return (*rows, _decided(evaluator, ranger, netlists))


def _possible(ranger: Ranger, share: CellShare, block: Unrefuted) -> np.ndarray:
    placing = share.placing
    boundary = ranger.judge.boundary(placing.partition, placing.cell.internal)
    assert boundary is not None, "its circuits were listed"
    fit = fit_of_types(ranger.problem, placing.cell.arcs, placing.cell.links)
    memory = range_memory(fit, int(boundary.vertex_node.max()) + 1)
    states = distinct_states(boundary, ranger.problem.tables)
    return ranger.possible(block.ends, block.live, boundary, states, fit, memory)


def _decided(evaluator: ShareEvaluator, ranger: Ranger, netlists: list[Netlist]) -> Row:
    """Those that no listed value suits, decided for every resistance."""
    minimality = MinimalityFilter(evaluator.judge)
    left = [one for one in netlists if not minimality.screen_one(one)][:200]
    decisions: list[str] = []

    def decide() -> None:
        decisions[:] = [ranger.decide(one).decision for one in left]

    seconds = core_seconds(decide, 1)
    counts = [decisions.count(one) for one in ("refused", "works", "undecided")]
    each = 1e3 * seconds / max(1, len(left))
    said = f"{counts[0]} refused, {counts[1]} work, {counts[2]} undecided; {each:.1f} ms each"
    return Row("  no listed value suits", said, "none undecided", counts[2] == 0)
