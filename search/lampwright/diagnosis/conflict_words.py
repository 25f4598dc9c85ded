"""What is said of conflicts, near misses and how they were sought, as a builder would say it."""

from collections.abc import Sequence

from lampwright.diagnosis.survey import Survey
from lampwright.problem.problem import Problem
from lampwright.problem.requirements import Requirement
from lampwright.results.design import Design
from lampwright.results.shortfall import Proof, RequirementRow
from lampwright.spec.model import OFF
from lampwright.spec.states import State, word_in
from lampwright.words import beyond, listed, many

LEVELS = {
    "dark": "without a glow",
    "off": "off",
    "dim": "dim",
    "lit": "lit",
    "full": "fully lit",
    "flash": "flashing",
}


def requirement_rows(problem: Problem, conflicting: Sequence[Requirement]) -> tuple[RequirementRow, ...]:
    """Requirements as rows."""
    return tuple(
        RequirementRow(
            lamp=lamps_of(problem, one),
            state=state.name,
            phase=state.phase,
            wanted=wanted_in(problem, one, state),
        )
        for one, state in _in_one_state(problem, conflicting)
    )


def _in_one_state(problem: Problem, conflicting: Sequence[Requirement]) -> list[tuple[Requirement, State]]:
    """Requirements, each in one of its states, all one to any circuit: that of which more of them speak."""
    spoken = [state for one in conflicting for state in one.states]
    chosen = (min(one.states, key=lambda state: (-spoken.count(state), state)) for one in conflicting)
    return [(one, problem.states[at]) for one, at in zip(conflicting, chosen, strict=True)]


def _names(problem: Problem, one: Requirement) -> list[str]:
    both = dict.fromkeys(at for at in (one.filament, one.other) if at is not None)
    return [problem.layout.filaments[at] for at in both]


def lamps_of(problem: Problem, one: Requirement) -> str:
    """The lamp, or the two, that a requirement speaks of."""
    return (" > " if one.versus else " = ").join(_names(problem, one))


def wanted_in(problem: Problem, one: Requirement, state: State) -> str:
    """What a requirement asks in a state, in words."""
    return state.words[one.filament] if one.other is None else _compared(problem, one, state)


def _compared(problem: Problem, one: Requirement, state: State) -> str:
    """How two lamps must match, or how much brighter one must be than the other or than itself elsewhere."""
    if not one.versus:
        return f"alike within {100.0 * (one.band.high - 1.0):.3g} %"
    at = next((at for at, own in enumerate(one.states) if problem.states[own] is state), 0)
    versus, own = problem.states[one.versus[at]], one.other == one.filament
    place = "" if versus is state else f"{' as' if own else ''} with {versus.full_name}"
    return _times(problem, one) + place


def _times(problem: Problem, one: Requirement) -> str:
    """How many times as bright, and as which other lamp."""
    other = "" if one.other == one.filament else f" as {problem.layout.filaments[one.other or 0]}"
    return f"at least {one.band.low:g} times as bright{other}"


def conflict_text(
    problem: Problem, conflicting: Sequence[Requirement], others: int, proof: Proof, but: str = ""
) -> str:
    """A conflict in words; others: how many requirements of the table are not among these.

    but: within what, where a circuit beyond it gives all that is asked.
    """
    values = ", with the listed types and values," if proof == "listed values" else ""
    values = f" and {but}{values}" if but else values
    if not conflicting:
        return f"Every circuit within the bounds{values} is over some rating, whatever its lamps do."
    said, count = wishes(problem, conflicting), len(conflicting)
    if count == 1:
        return f"No circuit within the bounds{values} gives {said}, whatever else it does."
    how = {2: "both of these", 3: "all three of these"}.get(count, f"all {count} of these together")
    text = f"No circuit within the bounds{values} gives {how}: {said}."
    if proof == "listed values":
        text += " Leave out any one of them, and some circuit gives the rest."
    if others:
        plays = "plays" if others == 1 else "play"
        text += f" The other {many(others, 'requirement')} of the table {plays} no part."
    return text


def wishes(problem: Problem, conflicting: Sequence[Requirement]) -> str:
    """What lamps must do, together: by lamp where there are fewer lamps than settings, else by setting."""
    spoken = _in_one_state(problem, conflicting)
    parts = list(dict.fromkeys(_wish(problem, one, state, spoken) for one, state in spoken))
    lamps, places = ({part[at] for part in parts} for at in (0, 2))
    if len(places) == 1 and not any(part[3] for part in parts):
        return f"{listed([f'{lamp} {word}' for lamp, word, *_ in parts])} with {parts[0][2]}"
    if len(lamps) < len(places) or len(parts) == 1:
        grouped: dict[str, dict[str, list[str]]] = {}
        for lamp, word, place, versus in parts:
            grouped.setdefault(lamp, {}).setdefault(word, []).append(place + versus)
        return "; ".join(
            f"{lamp} " + ", and ".join(f"{word} with {' and with '.join(at)}" for word, at in words.items())
            for lamp, words in grouped.items()
        )
    by_place: dict[str, list[str]] = {}
    for lamp, word, place, versus in parts:
        by_place.setdefault(place, []).append(f"{lamp} {word}{versus}")
    return "; ".join(f"with {place}, {listed(said)}" for place, said in by_place.items())


def _wish(
    problem: Problem, one: Requirement, state: State, spoken: Sequence[tuple[Requirement, State]]
) -> tuple[str, str, str, str]:
    """A requirement's lamp, word, setting and what that is held against; both phases of one word at once."""
    names = _names(problem, one)[:1] if one.versus else _names(problem, one)
    lamp = " and ".join(f"`{name}`" for name in names)
    place = "everything off" if all(position == OFF for _, position in state.setting) else state.name
    key = one.filament, one.other, state.setting, wanted_in(problem, one, state)
    phases = {
        at.phases
        for own, at in spoken
        if key == (own.filament, own.other, at.setting, wanted_in(problem, own, at))
    }
    words = state.asked[one.filament] if one.other is None else (_compared(problem, one, state),)
    if len(state.phases) > 1:
        place = f"{place} ({state.phase})"
    elif state.phases and len(phases) == 1:
        place = f"{place} (contact {state.phase})"
        words = words if one.other is not None else tuple(word_in(word, state.phases) for word in words)
    versus = ""
    if one.versus:
        words = (_times(problem, one),)
        other = problem.states[one.versus[0]]
        versus = "" if other is state else f" as with {_setting(other)}"
    return lamp, " and ".join(dict.fromkeys(LEVELS.get(word, word) for word in words)), place, versus


def _setting(state: State) -> str:
    return "everything off" if all(position == OFF for _, position in state.setting) else state.full_name


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
    lines = [
        f"{beyond(row.ref, row.worst, row.limit, row.unit)}, in {row.state} at {row.corner}"
        for row in design.ratings.over
    ]
    if most_conductors is not None and design.conductors > most_conductors:
        lines.append(
            f"{design.conductors} conductors through the coupling, where {most_conductors} are the most"
        )
    if unconverged:
        lines.append(f"{many(unconverged, 'operating point')} could not be solved")
    return tuple(lines)


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
