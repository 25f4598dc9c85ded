"""What the constraint model proves before anything is listed, in how much time, and what that saves."""

from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.clock import core_seconds
from tests.bench.searches import compile_kernels
from tests.bench.specs import Rung, four_lamps, six_lamps
from tests.bench.table import Row, Size

from lampwright.judge.judge import Judge
from lampwright.problem.problem import Problem
from lampwright.problem.reading import read_problem
from lampwright.prove.bound import bound_of
from lampwright.prove.conflict import conflict_of
from lampwright.results.ranking import Bound
from lampwright.searching.evaluate import CellShare, ShareEvaluator
from lampwright.searching.plan import Step, plan_steps

SPECS = Path(__file__).parents[2] / "specs"
WORK = 60.0
MOST_SECONDS = 10.0
"""For the bound and the conflict of a shipped spec together, on one core."""


@dataclass(frozen=True)
class Wish:
    """A change of the ladder's behaviour that takes extra parts: what is said, and what instead."""

    said: str
    instead: str


PLATE = Wish('show = { plate = "lit" }', 'show = { plate = "dim" }')
TAIL = Wish(
    'when = { lights = "on" }\nshow = { tail = "lit" }',
    'when = { lights = "on", brake = "off" }\nshow = { tail = "dim" }\n\n'
    '[[behaviour]]\nwhen = { lights = "on", brake = "on" }\nshow = { tail = "lit" }',
)
DASH = Wish(
    'when = { lights = "off", turn = "on" }\nshow = { dash = "flash" }',
    'when = { lights = "off", turn = "on", brake = "on" }\nshow = { dash = "flash" }\n\n'
    '[[behaviour]]\nwhen = { lights = "off", turn = "on", brake = "off" }\nshow = { dash = "off" }',
)
WISHES = {"plate dim": (PLATE,), "plate, tail dim": (PLATE, TAIL), "all wishes": (PLATE, TAIL, DASH)}
LISTED = {Size.TINY: Rung(1, 0, 1), Size.QUICK: Rung(2, 1, 1), Size.FULL: Rung(2, 1, 1)}
TOP = Rung(2, 2, 2)
"""At the top what the bound skips is counted and not listed."""


def measure(size: Size) -> tuple[Row, ...]:
    """The shipped specs, then the ladder's upper rungs as they are, then with wishes that take parts."""
    compile_kernels(size)
    specs = sorted(SPECS.glob("*.toml"))
    if size is Size.TINY:
        specs = [path for path in specs if path.stem in ("no_such_circuit", "trailer_feed_telltale")]
    rows = [_shipped(read_problem(path)) for path in specs]
    with TemporaryDirectory() as name:
        folder = Path(name)
        rung = LISTED[size] if size is Size.TINY else TOP
        rows.append(_as_it_is(f"4F {rung}", read_problem(four_lamps(rung, folder))))
        rows.append(_as_it_is(f"6F {rung}", read_problem(six_lamps(rung, folder))))
        for wish in WISHES if size > Size.TINY else [*WISHES][:1]:
            problem = _wished(WISHES[wish], LISTED[size], folder)
            rows += _saved(f"6F {LISTED[size]}, {wish}", problem)
            if size > Size.TINY:
                rows.append(_as_it_is(f"6F {TOP}, {wish}", _wished(WISHES[wish], TOP, folder)))
    return tuple(rows)


def _wished(wishes: tuple[Wish, ...], rung: Rung, folder: Path) -> Problem:
    """Six filaments of the ladder, with these changes."""
    text = six_lamps(rung, folder).read_text(encoding="utf-8")
    for wish in wishes:
        text = text.replace(wish.said, wish.instead)
    path = folder / "wish.toml"
    path.write_text(text, encoding="utf-8")
    return read_problem(path)


def _shipped(problem: Problem) -> Row:
    bound, conflict = bound_of(problem, None, WORK), conflict_of(problem, WORK)
    seconds = [
        core_seconds(lambda: bound_of(problem, None, WORK), 1),
        core_seconds(lambda: conflict_of(problem, WORK), 1),
    ]
    requirements = f"{len(conflict.requirements)} in conflict" if conflict.requirements else "no conflict"
    said = f"{_claim(bound)}, {seconds[0]:.2f} s; {requirements}, {seconds[1]:.2f} s"
    good = bound.ended and sum(seconds) <= MOST_SECONDS
    return Row(problem.spec.name, said, f"<= {MOST_SECONDS:.0f} s", good)


def _as_it_is(name: str, problem: Problem) -> Row:
    bound = bound_of(problem, None, WORK)
    seconds = core_seconds(lambda: bound_of(problem, None, WORK), 1)
    steps = plan_steps(Judge(problem), None)
    skipped = sum(step.circuits for step in steps if step.extra_parts < bound.least_extra_parts)
    share = f"{skipped:.2g} of {sum(step.circuits for step in steps):.2g} circuits skipped"
    return Row(name, f"{_claim(bound)}, {seconds:.2f} s; {share}", "ended", bound.ended)


def _claim(bound: Bound) -> str:
    return "none at all" if bound.none_at_all else f"at least {bound.least_extra_parts}"


def _saved(name: str, problem: Problem) -> list[Row]:
    """The bound, against listing, refuting and solving every circuit of the steps that it makes needless."""
    bound = bound_of(problem, None, WORK)
    seconds = core_seconds(lambda: bound_of(problem, None, WORK), 1)
    rows = [Row(name, f"{_claim(bound)}, {seconds:.2f} s", "ended", bound.ended)]
    if bound.least_extra_parts == 0:
        return [*rows, Row("  saves", "nothing: the search starts at none")]
    needless = plan_steps(Judge(problem), bound.least_extra_parts - 1)
    evaluator = ShareEvaluator(problem)
    left: list[int] = []
    listing = core_seconds(lambda: left.append(_candidates(evaluator, needless)), 1)
    circuits = sum(step.circuits for step in needless)
    return [
        *rows,
        Row("  listing what it skips", f"{circuits:,} circuits, {listing:.1f} s", "none left", left == [0]),
        Row("  bound against listing", f"{listing / seconds:.1f}x"),
    ]


def _candidates(evaluator: ShareEvaluator, steps: tuple[Step, ...]) -> int:
    """How many circuits of these steps pass listing, refuting and solving with nominal parts."""
    shares = (CellShare(placing, 0, 1) for step in steps for placing in step.orbits)
    return sum(len(evaluator.take(share).screened) for share in shares)
