"""Candidates judged per second through all stages on one core; what a second adds, the ladder tells."""

from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.clock import core_seconds
from tests.bench.searches import BUDGET, compile_kernels
from tests.bench.specs import Rung, three_terminals
from tests.bench.table import Row, Size, rate

from lampwright.app.answering import find_designs
from lampwright.judge.judge import Judge
from lampwright.problem.problem import Problem, choice_count, fit_of
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import quiet
from lampwright.results.ranking import Ranking
from lampwright.searching.evaluate import CellShare, ShareEvaluator
from lampwright.searching.options import SearchOptions
from lampwright.searching.plan import plan_steps
from lampwright.searching.shares import SHARE_SIZE

LEAST_PER_SECOND = 2e6
THREE = {
    Size.TINY: (Rung(1, 0, 1),),
    Size.QUICK: (Rung(2, 0, 2), Rung(2, 1, 2)),
    Size.FULL: (Rung(2, 0, 2), Rung(2, 1, 2), Rung(2, 2, 2)),
}


def measure(size: Size) -> tuple[Row, ...]:
    """One core on three terminals."""
    compile_kernels(size)
    with TemporaryDirectory() as name:
        folder = Path(name)
        rows: list[Row] = []
        for rung in THREE[size]:
            problem = read_problem(three_terminals(rung, folder))
            rows += [_hunted(problem, rung), _ranked(problem)]
        return tuple(rows)


def _hunted(problem: Problem, rung: Rung) -> Row:
    """The largest cell, by shares as a search takes them: listed, refuted, solved for every choice."""
    circuits, placing = max(
        (
            (circuits, placing)
            for step in plan_steps(Judge(problem), None)
            for placing, circuits in step.orbits.items()
        ),
        key=lambda pair: pair[0],
    )
    shares = 1 + circuits // SHARE_SIZE
    listed: list[int] = []

    def hunt() -> None:
        evaluator = ShareEvaluator(problem)
        listed.append(
            sum(evaluator.take(CellShare(placing, at, shares)).tally.listed for at in range(shares))
        )

    seconds = core_seconds(hunt)
    choices = choice_count(fit_of(problem, placing.cell.arcs, placing.cell.links))
    said = f"{rate(listed[0] / seconds)} of {listed[0]:,}, {choices} choices"
    good = listed[0] / seconds >= LEAST_PER_SECOND
    return Row(f"3T {rung}, to solved", said, "2 M/s", good)


def _ranked(problem: Problem) -> Row:
    """The whole search, to the ranking."""
    found: list[Ranking] = []
    options = SearchOptions(budget=BUDGET)
    seconds = core_seconds(lambda: found.append(find_designs(problem, options, quiet())), 2)
    listed = sum(count.listed for count in found[0].search.part_counts)
    said = f"{rate(listed / seconds)} of {listed:,} circuits"
    return Row("  whole search, to ranked", said, "2 M/s", listed / seconds >= LEAST_PER_SECOND)
