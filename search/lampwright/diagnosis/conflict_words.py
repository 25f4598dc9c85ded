"""What is said of conflicts, near misses and how they were sought, as a builder would say it."""

from collections.abc import Sequence
from typing import Literal, cast

from lampwright.diagnosis.survey import Survey
from lampwright.problem.problem import Problem
from lampwright.problem.requirements import Requirement
from lampwright.results.design import Design, Rating
from lampwright.results.shortfall import Proof, RequirementRow
from lampwright.spec.levels import is_steady, phase_word
from lampwright.words import listed, many

LEVELS = {
    "dark": "without a glow",
    "off": "off",
    "dim": "dim",
    "lit": "lit",
    "full": "fully lit",
    "flash": "flashing",
}
PHASES = ("closed", "open")


def requirement_rows(problem: Problem, conflicting: Sequence[Requirement]) -> tuple[RequirementRow, ...]:
    """Requirements as rows; of several states that are one to any circuit, one that more of them speak of."""
    spoken = [state for one in conflicting for state in one.states]
    rows = []
    for one in conflicting:
        at = min(one.states, key=lambda state: (-spoken.count(state), state))
        lamp, wanted = lamps_of(problem, one), wanted_in(problem, one, at)
        state = problem.states[at]
        rows.append(RequirementRow(lamp=lamp, state=state.name, phase=state.phase, wanted=wanted))
    return tuple(rows)


def lamps_of(problem: Problem, one: Requirement) -> str:
    """The lamp, or the two, that a requirement speaks of."""
    return " = ".join(problem.layout.filaments[at] for at in (one.filament, one.other) if at is not None)


def wanted_in(problem: Problem, one: Requirement, state: int) -> str:
    """What a requirement asks in a state, in words."""
    return problem.states[state].words[one.filament] if one.other is None else alike(one.band.high - 1.0)


def alike(within: float) -> str:
    """How two lamps must match."""
    return f"alike within {100.0 * within:.3g} %"


def conflict_text(rows: Sequence[RequirementRow], others: int, proof: Proof) -> str:
    """A conflict in words; others: how many requirements of the table are not among these rows."""
    values = ", with the listed types and values," if proof == "listed values" else ""
    if not rows:
        return f"Every circuit within the bounds{values} is over some rating, whatever its lamps do."
    said = wishes(rows)
    if len(rows) == 1:
        return f"No circuit within the bounds{values} gives {said}, whatever else it does."
    how = {2: "both of these", 3: "all three of these"}.get(len(rows), f"all {len(rows)} of these together")
    text = f"No circuit within the bounds{values} gives {how}: {said}."
    if proof == "listed values":
        text += " Leave out any one of them, and some circuit gives the rest."
    if others:
        plays = "plays" if others == 1 else "play"
        text += f" The other {many(others, 'requirement')} of the table {plays} no part."
    return text


def wishes(rows: Sequence[RequirementRow]) -> str:
    """What lamps must do, together: by lamp where there are fewer lamps than settings, else by setting.

    >>> def row(state: str, phase: str, word: str) -> RequirementRow:
    ...     return RequirementRow(lamp="side", state=state, phase=phase, wanted=word)
    >>> wishes([row("brake on", "", "off"), row("all off", "", "lit")])
    '`side` off with brake on, and lit with everything off'
    >>> wishes([row("turn on", phase, "flash") for phase in ("closed", "open")])
    '`side` flashing with turn on'
    """
    parts = list(dict.fromkeys(_said(row, rows) for row in rows))
    lamps, places = ({part[at] for part in parts} for at in (0, 2))
    if len(places) == 1:
        return f"{listed([f'{lamp} {word}' for lamp, word, _ in parts])} with {parts[0][2]}"
    if len(lamps) < len(places):
        grouped: dict[str, dict[str, list[str]]] = {}
        for lamp, word, place in parts:
            grouped.setdefault(lamp, {}).setdefault(word, []).append(place)
        return "; ".join(
            f"{lamp} " + ", and ".join(f"{word} with {' and with '.join(at)}" for word, at in words.items())
            for lamp, words in grouped.items()
        )
    by_place: dict[str, list[str]] = {}
    for lamp, word, place in parts:
        by_place.setdefault(place, []).append(f"{lamp} {word}")
    return "; ".join(f"with {place}, {listed(said)}" for place, said in by_place.items())


def _said(row: RequirementRow, rows: Sequence[RequirementRow]) -> tuple[str, str, str]:
    """A requirement's lamp, word and setting; both phases of one word are said at once."""
    lamp = " and ".join(f"`{name}`" for name in row.lamp.split(" = "))
    setting = "everything off" if row.state == "all off" else row.state
    words = row.wanted.split(" + ")
    alike_in = [
        one.phase for one in rows if (one.lamp, one.state, one.wanted) == (row.lamp, row.state, row.wanted)
    ]
    if row.phase not in PHASES or set(alike_in) == set(PHASES):
        place = f"{setting} ({row.phase})" if row.phase and row.phase not in PHASES else setting
        return lamp, " and ".join(LEVELS.get(word, word) for word in words), place
    phase = cast(Literal["closed", "open"], row.phase)
    known = [phase_word(word, phase) if is_steady(word) or _by_phase(word) else word for word in words]
    said = dict.fromkeys(LEVELS.get(word, word) for word in known)
    return lamp, " and ".join(said), f"{setting} (contact {row.phase})"


def _by_phase(word: str) -> bool:
    return word in ("flash", "counterflash") or word.count("/") == 1


def looked_at(survey: Survey) -> str:
    """Which circuits were looked at, and what stands in the way where it is not the rows."""
    if survey.scope == "nothing":
        return f"None: {many(survey.of, 'circuit')} with all their types and values are too many to look at."
    if not survey.circuits and survey.of:
        refuted = f"None: rules refute all {many(survey.of, 'circuit')} whatever their values,"
        return f"{refuted} and with all types and values they are too many to look at."
    tried = f"{many(survey.pairs, 'choice')} of types, fillings and values in all"
    if survey.scope == "all":
        text = f"All {many(survey.circuits, 'circuit')} of the search, {tried}."
    else:
        text = (
            f"The {many(survey.circuits, 'circuit')} that no rule refutes, of {survey.of:,}, {tried};"
            " the others are too many to look at."
        )
    if survey.gave_up:
        text += " Not all that looked promising were judged at every corner: a nearer one may be left out."
    if any(not near.missed for near in survey.near):
        text += " Some give every lamp what is asked: it is a rating or the coupling that stands in the way."
    elif survey.near and not any(near.sound for near in survey.near):
        text += " Every one of them is over some rating."
    return text


def over_lines(design: Design, unconverged: int, most_conductors: int | None) -> tuple[str, ...]:
    """Which ratings and limits a design is over."""
    ratings = design.ratings
    every = (*ratings.controls, *ratings.resistors, *ratings.diodes, *ratings.lamps)
    lines = [_over(row) for row in every if row.limit is not None and row.worst > row.limit + 1e-9]
    if most_conductors is not None and design.conductors > most_conductors:
        lines.append(
            f"{design.conductors} conductors through the coupling, where {most_conductors} are the most"
        )
    if unconverged:
        lines.append(f"{many(unconverged, 'operating point')} could not be solved")
    return tuple(lines)


def _over(row: Rating) -> str:
    return (
        f"{row.ref}: {row.worst:.3g} {row.unit} where {row.limit:.3g} {row.unit} is the most,"
        f" in {row.state} at {row.corner}"
    )


def exhausted(circuits: int, requirements: int) -> tuple[str, ...]:
    """How a conflict over the listed values was found and checked."""
    checked = agrees(circuits, requirements)
    if requirements < 2:
        return (checked,)
    return "Smallest: a constraint solver proves that some circuit meets any fewer requirements.", checked


def agrees(circuits: int, requirements: int) -> str:
    """That an exhaustive search finds no circuit for some requirements."""
    these, them = ("this requirement", "it") if requirements == 1 else ("these requirements", "them")
    return (
        f"Checked by searching for {these} alone: none of the {many(circuits, 'circuit')} meets {them}"
        " with any listed type and value, at every corner and within all ratings."
    )


TOO_MUCH = "Not checked by exhaustive search: that is more work than is allowed."
"""What is said where a proof stands alone."""

UNSETTLED = "Which requirements conflict is not settled: that is more work than is allowed."
"""What is said where no conflict was found."""
