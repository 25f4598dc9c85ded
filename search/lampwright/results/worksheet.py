"""A worksheet as plain rows: circuits, questions about them, and, until they are taken out, the answers.

Rows as in `results.ranking`. Lamps and filaments have plain names (`L1`, `L2`, `L3a`), since those of a spec
may tell what a lamp does. On the student's copy all that answers is blank: see `teaching.hiding`. No
source: our format.
"""

from typing import Literal

from lampwright.results.design import Design
from lampwright.results.ranking import SpecReference
from lampwright.results.row import Amps, Row, Volts, Whole

QuestionKind = Literal["observe", "which when", "which lamps", "if it fails", "draw"]
LightWord = Literal["burns", "glows", "dark", "unsure", "any", ""]
"""What a lamp does from the lowest to the highest supply: useful light, a faint glow, not even that.

`unsure` is between these, or not the same at all supplies; `any`: nothing is asked; empty: to fill in."""


class AnswerOption(Row, frozen=True, kw_only=True):
    """One answer to choose; `right` is null on the student's copy, `because` is why one might think so."""

    text: str
    right: bool | None
    because: str


class SettingRow(Row, frozen=True, kw_only=True):
    """One setting of the controls in words, and what each lamp does in it."""

    setting: str
    lights: tuple[LightWord, ...]


class OtherDrawing(Row, frozen=True, kw_only=True):
    """Another circuit that a student may draw, in words, and what it then does that was not asked."""

    what: str
    then: str


class ClassQuestion(Row, frozen=True, kw_only=True):
    """One question about a circuit.

    settings: the table to fill in (`observe`) or that is asked for (`draw`); its lights are of `lamps`.
    given: what a circuit is to be drawn of. answer: in words; explain: why, a paragraph each. also: other
    drawings that are as right; wrong: some that are not.
    """

    kind: QuestionKind
    ask: str
    lamps: tuple[str, ...] = ()
    settings: tuple[SettingRow, ...] = ()
    given: tuple[str, ...] = ()
    options: tuple[AnswerOption, ...] = ()
    answer: str = ""
    explain: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    wrong: tuple[OtherDrawing, ...] = ()


class WorksheetCircuit(Row, frozen=True, kw_only=True):
    """A circuit that is shown and asked about, or one that is to be drawn; `grade` is its grade.

    names: what each lamp of the sheet is called in the spec. spec: its title may tell the answer. bulbs: the
    parts in words. volts: low, normal and high supply. amps: what the circuit takes at most at the normal
    supply, once its lamps are warm.
    """

    number: Whole
    grade: Whole
    is_drawn: bool
    spec: SpecReference | None
    names: tuple[tuple[str, str], ...]
    bulbs: tuple[str, ...]
    volts: tuple[Volts, ...]
    amps: Amps
    feeds: tuple[str, ...]
    design: Design | None
    questions: tuple[ClassQuestion, ...]


class Worksheet(Row, frozen=True, kw_only=True):
    """The circuits of one sheet; left_out: which specs gave none, and why."""

    program: str
    part_data: str
    seed: Whole
    grade: Whole
    circuits: tuple[WorksheetCircuit, ...]
    left_out: tuple[str, ...]
    safety: tuple[str, ...]
    cautions: tuple[str, ...]
