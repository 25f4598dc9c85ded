"""Each refutation by itself on a cell of the ladder: how fast, what share, and what it saves.

Refutations cut the listing short as well as sifting what is listed, so the time is that of
both together, without solving. What a rule saves is how much longer listing, refuting and
solving take when it alone is turned off.
"""

from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.by_walks import refuted_by_walks
from tests.bench.clock import core_seconds
from tests.bench.specs import Rung, four_lamps
from tests.bench.table import Row, Size, rate

from lampwright.network.layout import Placing
from lampwright.problem.problem import Problem
from lampwright.problem.reading import read_problem
from lampwright.refute.rules import RULES
from lampwright.searching.evaluate import CellShare, ShareEvaluator, ShareResult, Tally, Unrefuted
from lampwright.searching.plan import plan_steps

PLAIN = {Size.TINY: Rung(0, 1, 1), Size.QUICK: Rung(0, 2, 2), Size.FULL: Rung(0, 2, 2)}
DIRECTED = {Size.TINY: Rung(1, 0, 1), Size.QUICK: Rung(1, 1, 2), Size.FULL: Rung(1, 1, 2)}
NONE, ALL = (False,) * len(RULES), (True,) * len(RULES)


class _Sieve(ShareEvaluator):
    """Lists and refutes, and leaves out the solving."""

    def _possible(self, _: object, block: Unrefuted) -> Unrefuted:
        return block

    def screen_values(self, *_: object, **__: object) -> ShareResult:
        return ShareResult(Tally(), ())


assert {"_possible", "screen_values"} <= set(vars(ShareEvaluator)), "what is left out has another name"


@dataclass(frozen=True)
class _Cell:
    """The largest cell of a rung."""

    problem: Problem
    placing: Placing

    def sieved(self, enabled: tuple[bool, ...]) -> tuple[Tally, float]:
        """What these rules do, and the seconds of listing and refuting."""
        return self._taken(_Sieve, enabled)

    def hunted(self, enabled: tuple[bool, ...]) -> tuple[Tally, float]:
        """What these rules do, and the seconds, solving included."""
        return self._taken(ShareEvaluator, enabled)

    def _taken(self, kind: type[ShareEvaluator], enabled: tuple[bool, ...]) -> tuple[Tally, float]:
        found: list[ShareResult] = []

        def take() -> None:
            # an evaluator of its own each time: it remembers what it has solved
            found.append(kind(self.problem, enabled).take(CellShare(self.placing, 0, 1)))

        seconds = core_seconds(take, 2)
        return found[0].tally, seconds


def measure(size: Size) -> tuple[Row, ...]:
    """Every rule alone; all in turn, without diodes and with; each turned off."""
    with TemporaryDirectory() as name:
        plain, directed = (_cell(rung, Path(name)) for rung in (PLAIN[size], DIRECTED[size]))
        listed, seconds = plain.sieved(NONE)
        rows = [
            Row(f"no rule, {PLAIN[size]}", f"{rate(listed.listed / seconds)} of {listed.listed:,} listed")
        ]
        for at, rule in enumerate(RULES):
            rows.append(_row(f"{rule.name} alone", *plain.sieved(_only(at))))
        tally, seconds = plain.sieved(ALL)
        rows += [_row(f"all, {PLAIN[size]}", tally, seconds), _raced(plain, tally, seconds)]
        tally, seconds = directed.sieved(ALL)
        rows.append(_row(f"all, {DIRECTED[size]} ({tally.listed:,})", tally, seconds))
        rows.append(_raced(directed, tally, seconds))
        for at, rule in enumerate(RULES):
            share = 100 * tally.refuted[at] / max(tally.listed, 1)
            rows.append(Row(f"  {rule.name}, in turn", f"refutes {share:.2f} %"))
        rows += _saved(directed)
    return tuple(rows)


def _cell(rung: Rung, folder: Path) -> _Cell:
    problem = read_problem(four_lamps(rung, folder))
    return _Cell(problem, tuple(plan_steps(ShareEvaluator(problem).judge, None)[-1].orbits)[-1])


def _only(rule: int) -> tuple[bool, ...]:
    return tuple(at == rule for at in range(len(RULES)))


def _row(name: str, tally: Tally, seconds: float) -> Row:
    refuted = sum(tally.refuted)
    share = 100 * refuted / max(tally.listed, 1)
    return Row(name, f"refutes {share:.2f} %, {rate(refuted / seconds)}")


def _raced(cell: _Cell, tally: Tally, seconds: float) -> Row:
    """Against the same rules walked circuit by circuit: listing and refuting of both."""
    found: list[tuple[int, ...]] = []
    longer = core_seconds(lambda: found.append(refuted_by_walks(cell.problem, cell.placing)), 2)
    same = found[0] == (*tally.refuted, tally.listed - sum(tally.refuted))
    return Row("  against walks", f"{longer / seconds:.1f}x as fast", "as many", same)


def _saved(cell: _Cell) -> list[Row]:
    with_all, seconds = cell.hunted(ALL)
    rows = []
    for at, rule in enumerate(RULES):
        without, longer = cell.hunted(tuple(other != at for other in range(len(RULES))))
        more = without.points / max(with_all.points, 1)
        rows.append(Row(f"without {rule.name}", f"{longer / seconds:.2f}x the time, {more:.2f}x the points"))
    return rows
