"""Why nothing was found: what conflicts, how the circuits fell, and what the nearest do instead, and why.

The reasons a near miss does what it does are those of its own explanation, so they hold at
its operating point; the counts are the funnel's. No source: our words.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from lampwright.report import si
from lampwright.report.explain.controls import Controls
from lampwright.report.explain.explain import explain_design
from lampwright.report.explain.statements import speaks_of
from lampwright.report.explain.words import percent
from lampwright.report.topics.parts import to_fit
from lampwright.report.topics.shortfall import short
from lampwright.results.design import Design, LampReading
from lampwright.results.explanation import Outcome, RuledOut, StateName, WhyNot
from lampwright.results.ranking import Ranking, Stage
from lampwright.results.shortfall import NearMiss, Shortfall
from lampwright.words import many

PLAIN = {
    "across": "a filament lies straight between two terminals, so that its voltage is the whole supply or "
    "nothing whatever else the circuit holds, and that gives it the wrong light",
    "monotone": "when one more terminal is made live no potential falls, so a filament with an end at ground "
    "gets no darker by it, and one with an end live no brighter; the spec asks the opposite",
    "path": "a filament that must glow lies on no path from a live terminal to ground, so no current "
    "reaches it",
    "same net": "in two states the same parts lie between the same live terminals and ground, so the lamps "
    "do the same in both, and the spec asks for a difference",
    "range": "whatever resistance of the range their resistors have, some lamp leaves what is asked in some "
    "state, or a part its rating",
    "screened": "solved with every type and value listed, none keeps every lamp within what is asked",
    "coupling": "they need more conductors than the spec allows",
    "minimal": "they have a part that can be opened or bridged without harm",
    "corners": "at some end of supply and tolerance a lamp leaves what is asked, or a rating is exceeded",
}
"""The rules and stages of the funnel by name, as one would say to a class what they refuse, and why."""


class AskedLight(Struct, frozen=True):
    """What is asked of one lamp in one state: the word, and the least and most light; None for no limit."""

    lamp: str
    state: StateName
    wanted: str
    low: float
    high: float | None


def explain_none(ranking: Ranking, controls: Controls, asked: Sequence[AskedLight]) -> WhyNot:
    """Explain why the search found nothing; asked: every cell of the spec's table that asks something."""
    shortfall = ranking.shortfall
    conflict = shortfall.conflict if shortfall else None
    return WhyNot(
        text=ranking.verdict.text,
        ruled_out=_ruled_out(ranking),
        conflict=conflict.text if conflict else "",
        requirements=conflict.requirements if conflict else (),
        outcomes=tuple(_outcomes(shortfall, controls, asked)) if shortfall else (),
    )


def _ruled_out(ranking: Ranking) -> tuple[RuledOut, ...]:
    """How the circuits fell, what rules most of them out first; drawings that became one are not lost."""
    bounded = sum(count.orbits for count in ranking.search.part_counts if count.ruled_out)
    found = [
        _stage(one)
        for one in ranking.search.stages
        if one.unit == "circuits" and one.left < one.entered and one.name != "drawings"
    ]
    if bounded:
        said = (
            f"{many(bounded, 'circuit')} not listed one by one: what every circuit that meets the spec "
            "must obey, whatever its parts' values, is more than so few extra parts can do."
        )
        found.append(RuledOut(text=said, rule="bound", removed=bounded, entered=bounded))
    return tuple(sorted(found, key=lambda one: -one.removed))


def _stage(stage: Stage) -> RuledOut:
    removed = stage.entered - stage.left
    why = PLAIN.get(stage.name, f"they fail this: {stage.claim}")
    every = "The only circuit" if stage.entered == 1 else f"All {many(stage.entered, 'circuit')}"
    some = f"{removed:,} of the {many(stage.entered, 'circuit')}"
    text = f"{some if stage.left else every} put to this test: {why}."
    return RuledOut(text=text, rule=stage.name, removed=removed, entered=stage.entered)


def _outcomes(shortfall: Shortfall, controls: Controls, asked: Sequence[AskedLight]) -> Iterator[Outcome]:
    """What near misses do where they miss, each different thing once."""
    seen = set()
    conflict = shortfall.conflict
    wanted = {(one.lamp, one.state, one.phase) for one in conflict.requirements} if conflict else set()
    for near in shortfall.near_misses:
        for cell, reading in _missing(near, asked, wanted):
            one = _outcome(near, cell, reading, controls)
            key = cell.lamp, cell.state, one.because or (one.text,)
            if key not in seen:
                seen.add(key)
                yield one


def _missing(
    near: NearMiss, asked: Sequence[AskedLight], wanted: set[tuple[str, str, str]]
) -> list[tuple[AskedLight, LampReading]]:
    """The cells that a near miss does not meet; of those that conflict alone, if it misses any of them."""
    cells = [(one, _reading(near.design, one)) for one in asked]
    missed = [(one, reading) for one, reading in cells if not reading.meets]
    own = [pair for pair in missed if (pair[0].lamp, pair[0].state.state, pair[0].state.phase) in wanted]
    return own or missed[:1]


def _reading(design: Design, cell: AskedLight) -> LampReading:
    name = cell.state.state, cell.state.phase
    state = next(one for one in design.states if (one.state, one.phase) == name)
    return next(one for one in state.lamps if one.lamp == cell.lamp)


def _outcome(near: NearMiss, cell: AskedLight, reading: LampReading, controls: Controls) -> Outcome:
    """What one lamp of a near miss does, why, and how that misses."""
    because = _because(near.design, cell, controls)
    where = f"{cell.state.state} (contact {cell.state.phase})" if cell.state.phase else cell.state.state
    which = "The nearest circuit" if near.design.rank == 1 else f"Near miss {near.design.rank}"
    gives = f"{cell.lamp} gives {percent(reading.flux)} of its rated light, where `{cell.wanted}` asks"
    text = " ".join(
        (
            f"{which} ({to_fit(near.design.parts)}), with {where}.",
            *because,
            f"So {gives} {_band(cell)}: {_miss(cell, reading)}.",
        )
    )
    return Outcome(
        text=text,
        rank=near.design.rank,
        lamp=cell.lamp,
        state=cell.state,
        wanted=cell.wanted,
        flux=reading.flux,
        low_flux=cell.low,
        high_flux=cell.high,
        because=because,
    )


def _band(cell: AskedLight) -> str:
    """Write a band of light relative to rated."""
    if cell.high is None:
        return f"at least {si.percent(cell.low)}"
    if cell.low == 0.0:
        return f"at most {si.percent(cell.high)}"
    return f"{si.percent(cell.low)} to {si.percent(cell.high)}"


def _miss(cell: AskedLight, reading: LampReading) -> str:
    """Say which way light misses its band at normal supply; else that it does at another."""
    if reading.flux < cell.low:
        return "too little"
    if cell.high is not None and reading.flux > cell.high:
        return "too much"
    margin = reading.margin_stops if reading.margin_stops is not None else 0.0
    return f"enough at normal supply, but not at every supply and tolerance ({short(margin)})"


def _because(design: Design, cell: AskedLight, controls: Controls) -> tuple[str, ...]:
    """What the explanation of a design says of one lamp in one state."""
    scenes = [
        scene
        for group in explain_design(design, controls).groups
        if cell.lamp in group.refs
        for scene in group.scenes
        if cell.state in scene.states
    ]
    return tuple(said.text for scene in scenes for said in scene.statements if speaks_of(said, cell.lamp))
