"""The answer in words: found, none or stopped, how far it is proved, and what every report must add."""

from collections.abc import Mapping, Sequence

from msgspec import structs

from lampwright.judge.minimality import DECIMALS
from lampwright.problem.problem import Problem
from lampwright.refute.rules import RULES
from lampwright.results.design import SCHOOL, Design, Source
from lampwright.results.ranking import Bound, Hinges, Nonstandards, PartCount, Stage, Verdict
from lampwright.searching.search import Search, StepResult
from lampwright.solve.shelf import shelf_of
from lampwright.spec.states import uncovered
from lampwright.words import counted, listed, many

CAUTIONS = (
    "Put a fuse in every feed, close to the battery, no larger than its wire carries.",
    "Disconnect the battery, negative first, before any work.",
    "Lamps and dropping resistors get hot: keep them off plastic, wiring and skin.",
    "A lamp dimmed or fed through another lamp may fall under its legal minimum of light.",
    "Flashing, position and side-marker lamps are regulated: follow the local code, and have a road"
    " vehicle inspected by someone qualified before it is used.",
)
SCHOOL_CAUTIONS = (
    "Put a fuse in every feed, close to the supply, no larger than its wire carries.",
    "Switch the supply off before any work.",
    "Lamps and dropping resistors get hot: keep them off plastic, wiring and skin.",
    "Work by the rules of your school or workshop; on the road the local code holds.",
)
CAUTIONS_OF: Mapping[Source, tuple[str, ...]] = {"battery": CAUTIONS, "supply": SCHOOL_CAUTIONS}
"""Sentences that every report carries, by what its circuits are fed by."""

NONE = "No circuit within the bounds meets the spec"
LISTED = " with a listed resistance"
SURELY = " whatever its bulbs hold"


def cautions_of(problem: Problem) -> tuple[str, ...]:
    """What every report of a search carries: at school, where all bulbs offered have its cap, other words."""
    shelf = shelf_of(problem.spec)
    caps = {shelf.lamp(name).cap for types in problem.part_options.lamp_types for name in types}
    return CAUTIONS_OF["supply" if caps == {SCHOOL} else "battery"]


def unconstrained(problems: Sequence[Problem]) -> tuple[str, ...]:
    """The settings that no row of the spec speaks of, in whatever way it is taken."""
    first, *others = (uncovered(problem.spec) for problem in problems)
    return tuple(setting for setting in first if all(setting in other for other in others))


def part_count(done: StepResult) -> PartCount:
    """The step's listing against its count."""
    return PartCount(
        extra_parts=done.step.extra_parts,
        listed=done.tally.listed,
        orbits=done.circuits,
        complete=done.finished and done.tally.listed == done.circuits,
        ruled_out=done.ruled_out,
        decided=done.decided,
        undecided=done.undecided,
    )


def bound_line(bound: Bound, but: str = "") -> str:
    """What a bound proves, in a sentence; nothing where it proves nothing. but: as in `verdict_of`."""
    over = f"for {bound.over}"
    if bound.none_at_all:
        most = counted(bound.least_extra_parts - 1, "extra part")
        return f"No circuit with up to {most} can meet the spec{but}, proved without listing {over}."
    if bound.least_extra_parts:
        least = counted(bound.least_extra_parts, "extra part")
        return f"No circuit with fewer than {least} can meet the spec{but}, proved before the search {over}."
    return ""


RANGE = "range"
RANGE_CLAIM = "some resistance of the range may meet every band"

SIFTED = (
    ("screened", "some choice of types and values is left"),
    ("coupling", "no more conductors than the spec allows"),
    ("drawings", "drawings of one circuit are one"),
    ("minimal", "no extra part can be opened or bridged"),
    ("corners", "every band and rating met at every corner of tolerance"),
)
"""The stages of circuits after solving, and what holds of those that they leave."""


def funnel(problem: Problem, steps: Sequence[StepResult]) -> tuple[Stage, ...]:
    """Every stage of the search with what entered and what left, all steps together."""
    left = sum(done.tally.listed for done in steps)
    stages = [_circuits("listing", "every circuit once, up to renaming of joints", left, left)]
    for at, rule in enumerate(RULES):
        refused = sum(done.tally.refuted[at] for done in steps)
        stages.append(_circuits(rule.name, rule.claim, left, left - refused))
        left -= refused
    if problem.spec.extras.resistors is not None:
        refused = sum(done.tally.out_of_range for done in steps)
        stages.append(_circuits(RANGE, RANGE_CLAIM, left, left - refused))
        left -= refused
    solving = Stage(
        name="solving",
        claim="every band met at normal, low and high supply",
        unit="choices",
        entered=sum(done.tally.pairs for done in steps),
        left=sum(done.tally.pairs_left for done in steps),
    )
    stages.append(solving)
    counts = [
        (done.screened, done.within_coupling, done.grouped, done.minimal, len(done.winners)) for done in steps
    ]
    totals = [sum(column) for column in zip(*counts, strict=True)] or [0] * len(SIFTED)
    for (name, claim), entered, passed in zip(SIFTED, (left, *totals), totals, strict=False):
        stages.append(_circuits(name, claim, entered, passed))
    return tuple(stages)


def _circuits(name: str, claim: str, entered: int, left: int) -> Stage:
    return Stage(name=name, claim=claim, unit="circuits", entered=entered, left=left)


def verdict_of(
    search: Search,
    hinges: Hinges | None = None,
    nonstandard: Nonstandards | None = None,
    but: str = "",
) -> Verdict:
    """The verdict and how far it is proved.

    hinges: circuits that hang on what a bulb holds; nonstandard: that need a resistance that is not listed.
    but: within which limits there is none, where some circuit gives every lamp what is asked beyond them.
    """
    but = f" {but}" if but else ""
    problem, designs = search.problem, len(search.winners)
    hanging = "".join(f" {more.text}" for more in (hinges, nonstandard) if more)
    finished = [done for done in search.taken if done.finished]
    first = bound_line(search.bound, but) if search.bound else ""
    proved = (*([first] if first else []), *_proved(problem, finished, but))
    if search.kind == "stopped":
        kept = f"{many(designs, 'design')} found so far" if designs else "nothing found so far"
        return Verdict(
            kind="stopped", text=f"The search was stopped before its end: {kept}.{hanging}", proved=proved
        )
    if designs:
        least = min(done.step.extra_parts for done in finished if done.winners)
        parts = counted(least, "extra part")
        text = f"{counted(designs, 'circuit')} meet{'s' * (designs == 1)} the spec; the least needs {parts}."
        return Verdict(kind="found", text=text + hanging, proved=proved)
    surely = SURELY if hinges else LISTED if nonstandard else ""
    return Verdict(kind="none", text=f"{NONE}{but}{surely}.{hanging}", proved=proved)


def with_helpers_said(verdict: Verdict, count: int, more: str) -> str:
    """The text of a verdict reached with so many helper lamps, and with none of fewer.

    more: what is said of circuits with more, where some will do with so many.
    """
    if verdict.kind == "found":
        return f"{verdict.text} {_takes(count)}{more}"
    if verdict.kind == "none":
        return f"{verdict.text} With up to {many(count, 'helper lamp')} there is none."
    return f"{verdict.text} It had come to circuits with {counted(count, 'helper lamp')}."


def _takes(least: int) -> str:
    fewer = f"It takes {many(least, 'helper lamp')}; with fewer none does."
    return fewer if least else "No helper lamp is needed."


def more_lamps_words(designs: Sequence[Design], least: int, asked: int, allowed: int, *, any_do: bool) -> str:
    """What designs with more helper lamps than the least are worth, in a sentence with a blank before it.

    designs: all, best first; asked: with up to how many lamps they were sought, allowed: the spec allows.
    any_do: whether any circuit with so many meets the spec, worth telling or not.
    """
    if asked == least:
        unsought = f" With more, up to {allowed}, none was sought (--more-lamps)."
        return unsought if allowed > least else ""
    others = [one for one in designs if one.helper_lamps > least]
    own = [one for one in designs if one.helper_lamps == least]
    up_to = f"With {'up to ' * (asked > least + 1)}{asked}"
    if not others:
        return f" {up_to} there is none{' that would not do as well with one of them left out' * any_do}."
    better = []
    margin, fewest = max(one.margin_stops for one in own), min(one.extra_parts for one in own)
    best = max(others, key=lambda one: (round(one.margin_stops, DECIMALS), -one.rank))
    if round(best.margin_stops, DECIMALS) > round(margin, DECIMALS):
        said = f"more margin ({best.margin_stops:.2f} stops, against {margin:.2f})"
        better.append(f"design {best.rank}, with {best.helper_lamps}, has {said}")
    least_parts = min(others, key=lambda one: (one.extra_parts, one.rank))
    if least_parts.extra_parts < fewest:
        said = f"needs fewer resistors and diodes ({least_parts.extra_parts}, against {fewest})"
        better.append(f"design {least_parts.rank}, with {least_parts.helper_lamps}, {said}")
    found = f" {up_to}, {many(len(others), 'design more was', 'designs more were')} found"
    return f"{found}: {'; '.join(better) or 'none has more margin, or fewer resistors and diodes'}."


def stopped_at_more(verdict: Verdict, designs: int, least: int, count: int) -> Verdict:
    """The verdict where the search was stopped at circuits with so many helper lamps, more than the least."""
    found = f"{many(designs, 'design')} found so far"
    come = f"It had come to circuits with {many(count, 'helper lamp')}."
    text = f"The search was stopped before its end: {found}. {_takes(least)} {come}"
    return structs.replace(verdict, kind="stopped", text=text)


def with_ways_said(verdict: Verdict, ways: int, ended: int) -> str:
    """The text of a verdict over so many ways in which a spec can be taken, of which some were ended."""
    text = verdict.text
    if verdict.kind == "stopped":
        return f"{text} It had come to way {ended + 1} of {ways} in which the spec can be taken."
    if verdict.kind == "none":
        return f"{text} The spec can be taken in {ways} ways, and no circuit meets any of them."
    return f"{text} The spec can be taken in {ways} ways, each of which was searched or ruled out."


def _bounds(problem: Problem) -> str:
    bounds = problem.spec.bounds
    return f"up to {counted(bounds.joints, 'joint')} and {counted(bounds.wires, 'wire')} between terminals"


def _proved(problem: Problem, finished: list[StepResult], but: str) -> tuple[str, ...]:
    lines = []
    for done in finished:
        if done.ruled_out:
            continue
        listed, there_are = done.tally.listed, done.circuits
        extra = counted(done.step.extra_parts, "extra part")
        agree = (
            "equal to the number counted without listing"
            if listed == there_are
            else f"but {there_are:,} were counted"
        )
        each = f", each in {done.times} ways" if done.times > 1 else ""
        number = f"{listed // done.times:,} circuits listed ({_bounds(problem)}){each}"
        lines.append(f"With {extra}: {number}, {agree}.")
        if not done.winners:
            lines.append(_why_none(problem, done, but))
    return tuple(lines)


def _ways(problem: Problem, done: StepResult) -> list[str]:
    """How the circuits of a step without a design fell, and what that proves of other values."""
    tally, refuted = done.tally, sum(done.tally.refuted)
    ranged, others = tally.out_of_range + done.refused_in_range, tally.plain
    ways = [f"{refuted:,} refuted for all values"] if refuted else []
    if ranged:
        asked = problem.spec.extras.resistors
        assert asked is not None, "circuits have resistors only where the spec allows them"
        ways.append(f"{ranged:,} for every resistance from {asked.ohms[0]:g} to {asked.ohms[1]:g} Ω")
    if others:
        ways.append(f"{others:,} solved with every listed type")
    if done.crowded:
        ways.append(f"{done.crowded:,} with more conductors than allowed")
    left = tally.listed - refuted - ranged - others - done.crowded - done.undecided - _needing(done)
    if left:
        beyond = "" if done.decided else ", which proves nothing of values between"
        ways.append(f"{left:,} solved with every listed type and value{beyond}")
    if done.undecided:
        ways.append(f"{done.undecided:,} not decided between the listed values")
    return ways


def _needing(done: StepResult) -> int:
    """How many listed circuits need a resistance that is not listed."""
    return sum(len(one.group.drawings) for one in done.nonstandard)


def _why_none(problem: Problem, done: StepResult, but: str) -> str:
    ways = _ways(problem, done)
    fell = listed(ways) or "there are none"
    if done.minimal < done.grouped:
        idle = f"those that meet the spec{but} carry a part they do not need"
        return f"No further design among them ({fell}): {idle}."
    surely = SURELY if done.hinges else ""
    surely += LISTED if done.nonstandard else ""
    ways_said = " in any of these ways" if done.times > 1 else ""
    return f"None of them meets the spec{but}{surely}{ways_said}: {fell}."
