"""The student's copy of a worksheet: the same rows with nothing in them that answers.

It is what the student's page is made of, so that no answer can stand in the page unseen. No source: ours.
"""

from msgspec.structs import replace

from lampwright.results.design import Design, Ratings, Tightest
from lampwright.results.worksheet import (
    AnswerOption,
    ClassQuestion,
    LightWord,
    SettingRow,
    Worksheet,
    WorksheetCircuit,
)

BLANK: tuple[LightWord, ...] = ("",)


def without_answers(sheet: Worksheet) -> Worksheet:
    """Take every answer out of a worksheet; what is to be drawn has no circuit, and specs have no titles."""
    return replace(sheet, circuits=tuple(_circuit(one) for one in sheet.circuits), left_out=())


def _circuit(circuit: WorksheetCircuit) -> WorksheetCircuit:
    return replace(
        circuit,
        spec=None,
        names=(),
        design=None if circuit.is_drawn or circuit.design is None else _drawn(circuit.design),
        questions=tuple(_question(one) for one in circuit.questions),
    )


def _drawn(design: Design) -> Design:
    """A design as it is drawn: its parts, and nothing of what they do."""
    return replace(
        design,
        tightest=Tightest(state="", lamp="", corner=""),
        states=(),
        ratings=Ratings(controls=(), resistors=(), diodes=(), lamps=()),
        choices=(),
        also_drawn_as=(),
        care=None,
        wiring=None,
        flashing=None,
        sweep=None,
        trials=(),
        doubts=(),
        resistors=(),
        compared=(),
        takes=(),
        other_ways=(),
    )


def _question(question: ClassQuestion) -> ClassQuestion:
    rows = question.settings
    if question.kind == "observe":
        rows = tuple(SettingRow(setting=one.setting, lights=BLANK * len(one.lights)) for one in rows)
    options = tuple(AnswerOption(text=one.text, right=None, because="") for one in question.options)
    return replace(question, settings=rows, options=options, answer="", explain=(), also=(), wrong=())
