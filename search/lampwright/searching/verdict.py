"""The answer in words: found, none or stopped, and how far it is proved."""

from dataclasses import dataclass

from lampwright.problem.problem import Problem
from lampwright.refute.rules import RULES
from lampwright.results.bound import Bound
from lampwright.results.hinges import Hinges
from lampwright.results.ranking import PartCount, Stage, Verdict
from lampwright.searching.evaluate import Tally
from lampwright.searching.plan import Step

NONE = "No circuit within the bounds meets the spec."
NONE_SURE = "No circuit within the bounds meets the spec whatever its bulbs hold."


@dataclass(frozen=True)
class Done:
    """What one step of the search came to. finished: every share was taken and winnowed."""

    step: Step
    tally: Tally
    within_coupling: int
    screened: int
    grouped: int
    minimal: int
    designs: int
    finished: bool
    ruled_out: bool = False
    hinged: int = 0


def part_count(done: Done) -> PartCount:
    """The step's listing against its count."""
    complete = done.finished and done.tally.listed == done.step.circuits
    step = done.step
    return PartCount(
        extra_parts=step.extra_parts,
        listed=done.tally.listed,
        orbits=step.circuits,
        complete=complete,
        ruled_out=done.ruled_out,
    )


def bound_line(bound: Bound) -> str:
    """What a bound proves, in a sentence; nothing where it proves nothing."""
    over = f"for {bound.over}"
    if bound.none_at_all:
        most = _count(bound.least_extra_parts - 1, "extra part")
        return f"No circuit with up to {most} can meet the spec, proved without listing {over}."
    if bound.least_extra_parts:
        least = _count(bound.least_extra_parts, "extra part")
        return f"No circuit with fewer than {least} can meet the spec, proved before the search {over}."
    return ""


def funnel(steps: tuple[Done, ...]) -> tuple[Stage, ...]:
    """Every stage of the search with what entered and what left, all steps together."""
    left = listed = sum(done.tally.listed for done in steps)
    stages = [
        Stage(
            name="listing",
            claim="every circuit once, up to renaming of joints",
            unit="circuits",
            entered=listed,
            left=listed,
        )
    ]
    for at, rule in enumerate(RULES):
        refused = sum(done.tally.refuted[at] for done in steps)
        stages.append(
            Stage(name=rule.name, claim=rule.claim, unit="circuits", entered=left, left=left - refused)
        )
        left -= refused
    pairs, pairs_left = (sum(getattr(d.tally, n) for d in steps) for n in ("pairs", "pairs_left"))
    screened, coupled, grouped, minimal, designs = (
        sum(getattr(done, name) for done in steps)
        for name in ("screened", "within_coupling", "grouped", "minimal", "designs")
    )
    stages += [
        Stage(
            name="solving",
            claim="every band met at normal, low and high supply",
            unit="choices",
            entered=pairs,
            left=pairs_left,
        ),
        Stage(
            name="screened",
            claim="some choice of types and values is left",
            unit="circuits",
            entered=left,
            left=screened,
        ),
        Stage(
            name="coupling",
            claim="no more conductors than the spec allows",
            unit="circuits",
            entered=screened,
            left=coupled,
        ),
        Stage(
            name="drawings",
            claim="drawings of one circuit are one",
            unit="circuits",
            entered=coupled,
            left=grouped,
        ),
        Stage(
            name="minimal",
            claim="no extra part can be opened or bridged",
            unit="circuits",
            entered=grouped,
            left=minimal,
        ),
        Stage(
            name="corners",
            claim="every band and rating met at every corner of tolerance",
            unit="circuits",
            entered=minimal,
            left=designs,
        ),
    ]
    return tuple(stages)


def verdict_of(
    problem: Problem,
    steps: tuple[Done, ...],
    planned: int,
    designs: int,
    bound: Bound | None = None,
    hinges: Hinges | None = None,
) -> Verdict:
    """The verdict and how far it is proved; hinges: circuits that hang on what a bulb holds."""
    hanging = f" {hinges.text}" if hinges else ""
    finished = [done for done in steps if done.finished]
    first = bound_line(bound) if bound else ""
    proved = (*([first] if first else []), *_proved(problem, finished))
    ended = len(finished) == planned
    if not ended:
        kept = f"{designs} design{'s' * (designs != 1)} found so far" if designs else "nothing found so far"
        return Verdict(
            kind="stopped", text=f"The search was stopped before its end: {kept}.{hanging}", proved=proved
        )
    if designs:
        least = min(done.step.extra_parts for done in finished if done.designs)
        parts = _count(least, "extra part")
        text = f"{_count(designs, 'circuit')} meet{'s' * (designs == 1)} the spec; the least needs {parts}."
        return Verdict(kind="found", text=text + hanging, proved=proved)
    if hanging:
        return Verdict(kind="none", text=f"{NONE_SURE}{hanging}", proved=proved)
    return Verdict(kind="none", text=NONE, proved=proved)


def _count(number: int, noun: str) -> str:
    return f"{number or 'no'} {noun}{'s' * (number != 1)}"


def _bounds(problem: Problem) -> str:
    bounds = problem.spec.bounds
    return f"up to {_count(bounds.joints, 'joint')} and {_count(bounds.wires, 'wire')} between terminals"


def _proved(problem: Problem, finished: list[Done]) -> tuple[str, ...]:
    lines = []
    for done in finished:
        if done.ruled_out:
            continue
        listed, counted = done.tally.listed, done.step.circuits
        extra = _count(done.step.extra_parts, "extra part")
        agree = (
            "equal to the number counted without listing"
            if listed == counted
            else f"but {counted:,} were counted"
        )
        lines.append(f"With {extra}: {listed:,} circuits listed ({_bounds(problem)}), {agree}.")
        if done.designs == 0:
            lines.append(_why_none(done))
    return tuple(lines)


def _why_none(done: Done) -> str:
    """How the circuits of a step without a design fell, and what that proves of other values."""
    refuted = sum(done.tally.refuted)
    solved = done.tally.listed - refuted
    ways = [f"{refuted:,} refuted for all values"] if refuted else []
    if solved:
        beyond = ", which proves nothing of values between" if done.step.extra_parts else ""
        ways.append(f"{solved:,} solved with every listed type and value{beyond}")
    fell = " and ".join(ways) or "there are none"
    if done.minimal < done.grouped:
        return (
            f"No further design among them ({fell}): those that meet the spec carry a part they do not need."
        )
    surely = " whatever its bulbs hold" if done.hinged else ""
    return f"None of them meets the spec{surely}: {fell}."
