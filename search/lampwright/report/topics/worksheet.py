"""A worksheet in words: what a lamp does, what a circuit needs on the bench. No source: our words."""

from lampwright.report import si
from lampwright.results.worksheet import ClassQuestion, LightWord, Worksheet, WorksheetCircuit

LIGHTS: dict[LightWord, str] = {"glows": "glows faintly", "any": "either", "unsure": "unsure"}
LETTERS = "ABCDEFGH"
LINES = {"observe": 4, "draw": 2}
"""Lines to write an explanation on."""


def light_word(word: LightWord) -> str:
    """Say what one lamp does, short enough for a cell.

    >>> light_word("glows"), light_word("burns"), light_word("any")
    ('glows faintly', 'burns', 'either')
    """
    return LIGHTS.get(word, word)


def supply_words(circuit: WorksheetCircuit) -> str:
    """Say what supply a circuit needs."""
    return f"{si.volts(circuit.volts[1])} supply; it takes at most about {si.amps(circuit.amps)}."


def spec_words(circuit: WorksheetCircuit) -> str:
    """Say of which spec a circuit is and what its lamps are called there; empty where that is hidden."""
    if circuit.spec is None:
        return ""
    called = ", ".join(f"{new} is {old}" for new, old in circuit.names)
    return f"Spec {circuit.spec.name}: {circuit.spec.title}. {called}."


def span_of_supply(circuit: WorksheetCircuit) -> str:
    """Say at which supplies the answers hold."""
    low, _, high = circuit.volts
    return (
        f"Every answer was simulated at {si.volts(low)}, {si.volts(circuit.volts[1])} and {si.volts(high)}."
    )


def question_lines(question: ClassQuestion) -> int:
    """How many lines a question leaves for an explanation."""
    return LINES.get(question.kind, 0)


def circuit_word(circuit: WorksheetCircuit) -> str:
    """Head the part of a worksheet that is about one circuit."""
    return f"Circuit {circuit.number}{', to draw' if circuit.is_drawn else ''}"


def right_letters(sheet: Worksheet) -> str:
    """List the options to tick, by question, in one line for whoever marks it."""
    asked = [one for circuit in sheet.circuits for one in circuit.questions]
    return ", ".join(
        f"{number} {LETTERS[[option.right for option in one.options].index(True)]}"
        for number, one in enumerate(asked, 1)
        if one.options
    )


def sheet_name(sheet: Worksheet) -> str:
    """Name a worksheet by what tells it from others."""
    return f"Worksheet {sheet.seed}"
