"""Worksheets for a class: circuits of specs, asked about and simulated, as a student's page and a key."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from lampwright import __version__
from lampwright.app.designs import Stored, design_of_rank, stored_ranking
from lampwright.app.keeping import search_and_keep
from lampwright.app.lessons import LessonCase, bulbs, case_of, variation_of
from lampwright.app.sheet import REFUSED, ending_of, expect_place
from lampwright.app.worksheet_options import WorksheetFiles, WorksheetOptions
from lampwright.errors import Finding, InputError
from lampwright.parts.tables import part_data_digest
from lampwright.problem.reading import read_spec
from lampwright.progress.bar import Progress
from lampwright.report.page.worksheet import worksheet_key, worksheet_page
from lampwright.report.paper import printed
from lampwright.report.schematic.picture import NoPictureError
from lampwright.results.design import Design
from lampwright.results.worksheet import ClassQuestion, Worksheet, WorksheetCircuit
from lampwright.searching.options import SearchOptions
from lampwright.searching.verdict import CAUTIONS_OF
from lampwright.spec.model import Spec
from lampwright.store.files import RANKING, ready_folder, write_bytes
from lampwright.teaching.hiding import without_answers
from lampwright.teaching.near_misses import same_shape
from lampwright.teaching.order import shuffled
from lampwright.teaching.questions import draw, observe, what_if_fails, which_lamps, which_when
from lampwright.words import Paper

MOST_FAILURES = 2
"""Questions of lamps that have burnt out, for one circuit."""
SAFETY = (
    "Build only with your teacher's leave, and have the circuit looked at before it is switched on.",
    "Use a low-voltage supply with a fuse or a limit of current: never the mains or a car battery.",
    "Switch off before you change a wire. If anything smells, smokes or gets hot, switch off and call.",
    "Lamps that have burnt are hot: let them cool first. Do not stare into a bright filament.",
)


def write_worksheet(specs: Sequence[Path], options: WorksheetOptions, progress: Progress) -> WorksheetFiles:
    """Write the worksheet of the first designs of some specs, and its key.

    A spec that has no stored result is searched first. Raises InputError where a spec is wrong or no circuit
    meets it; StoreError where the files cannot be written. No file is written where nothing fits the grade.
    """
    expect_place(options.to, "a worksheet")
    _expect_once(specs)
    read = [(path, read_spec(path)) for path in specs]
    found = [(spec, _first_design(path, spec, options.out, progress)) for path, spec in read]
    cases = [case_of(spec, design, options.seed) for spec, design in found]
    sheet = worksheet_of(cases, options.seed, options.grade)
    if not sheet.circuits:
        return WorksheetFiles((), sheet.left_out)
    return _written(pages_of(sheet, cases, options.paper), read[0][1], sheet, options)


@dataclass(frozen=True)
class WorksheetPages:
    """The student's page of a worksheet, and the key."""

    student: str
    key: str


def pages_of(sheet: Worksheet, cases: Sequence[LessonCase], paper: Paper) -> WorksheetPages:
    """Write a worksheet's pages; cases: those that it was made of."""
    own = {case.title.name: case.controls for case in cases}
    controls = [own[one.spec.name] for one in sheet.circuits if one.spec]
    student = worksheet_page(without_answers(sheet), controls, paper)
    return WorksheetPages(student, worksheet_key(sheet, controls, paper))


def _expect_once(specs: Sequence[Path]) -> None:
    """Refuse specs of one name, whose results are kept in one place."""
    for at, path in enumerate(specs):
        if path.stem in [one.stem for one in specs[:at]]:
            raise InputError([Finding(str(path), f"{path.stem} is named twice", "name every spec once")])


def _first_design(path: Path, spec: Spec, out: Path, progress: Progress) -> Design:
    """The first design of the stored result of a spec, searched for if there is no result."""
    if (out / spec.name / RANKING).exists():
        ranking = stored_ranking(spec, path, out)
    else:
        ranking = search_and_keep(path, SearchOptions(out=out), progress)
    if not ranking.designs:
        said = "no circuit was found that meets this spec, so there is none to ask about"
        raise InputError([Finding(str(path), said, f"take another spec; why: lampwright explain {path}")])
    return design_of_rank(ranking, Stored(spec, path, out), 1, "")


def worksheet_of(cases: Sequence[LessonCase], seed: int, grade: int) -> Worksheet:
    """The worksheet of some circuits, of those that are of this grade at most.

    With several about one in three is to be drawn and not shown; with one a variation of it is to be
    drawn, if there is one. What is to be drawn is of another shape than all that is shown.
    """
    left_out = [
        f"{case.title.name} is left out: its circuit is of grade {case.grade}, harder than {grade}"
        for case in cases
        if case.grade > grade
    ]
    fit: list[LessonCase] = []
    for case in (one for one in cases if one.grade <= grade):
        twin = next((one for one in fit if _is_one_circuit(one, case)), None)
        if twin is None:
            fit.append(case)
        else:
            left_out.append(f"{case.title.name} is left out: its circuit is that of {twin.title.name}")
    drawn = _to_draw(fit, seed)
    shown = [case for case in fit if case not in drawn]
    circuits: list[WorksheetCircuit] = []
    for case in shown:
        circuits.append(case.circuit(len(circuits) + 1, _questions(case), is_drawn=False))
    if not drawn and shown:
        varied = (variation_of(case, grade) for case in shuffled(shown, seed, lambda one: one.title.name))
        drawn = [one for one in (next((one for one in varied if one), None),) if one]
    for case in drawn:
        circuits.append(case.circuit(len(circuits) + 1, [_drawing(case)], is_drawn=True))
    at_school = all(one.design.source == "supply" for one in cases)
    return Worksheet(
        program=__version__,
        part_data=part_data_digest(),
        seed=seed,
        grade=grade,
        circuits=tuple(circuits),
        left_out=tuple(left_out),
        safety=SAFETY,
        cautions=CAUTIONS_OF["supply" if at_school else "battery"],
    )


def _is_one_circuit(one: LessonCase, other: LessonCase) -> bool:
    """Whether two circuits look the same and do the same: to ask of both tells nothing new."""
    is_same = same_shape(one.design.parts, other.design.parts)
    return is_same and one.lesson.seen.lights == other.lesson.seen.lights


def _to_draw(cases: Sequence[LessonCase], seed: int) -> list[LessonCase]:
    """Which circuits are to be drawn: one in three, one at least of two, none that is like one shown."""
    most = max(1, len(cases) // 3) if len(cases) > 1 else 0
    drawn: list[LessonCase] = []
    for case in shuffled(cases, seed, lambda one: f"draw\n{one.title.name}"):
        others = [one for one in cases if one is not case and one not in drawn]
        is_new = not any(same_shape(one.design.parts, case.design.parts) for one in others)
        if len(drawn) < most and is_new and any("burns" in row for row in case.wanted):
            drawn.append(case)
    return [case for case in cases if case in drawn]


def _questions(case: LessonCase) -> list[ClassQuestion]:
    """What is asked of a circuit that is shown: the table first, then the rest in the order of the seed."""
    lesson = case.lesson
    first = observe(lesson, case.explain)
    rest = [which_when(lesson), which_lamps(lesson), *what_if_fails(lesson, MOST_FAILURES)]
    asked = shuffled((one for one in rest if one), lesson.seed, lambda one: one.ask)
    return [*([first] if first else []), *asked]


def _drawing(case: LessonCase) -> ClassQuestion:
    return draw(case.lesson, case.wanted, bulbs(case.spec, case.design.parts), case.explain)


def _written(
    pages: WorksheetPages, spec: Spec, sheet: Worksheet, options: WorksheetOptions
) -> WorksheetFiles:
    """Write the student's page and the key, as pages and as PDFs; files that are there are replaced."""
    if options.to is None:
        folder, name = options.out / spec.name, f"worksheet-{sheet.seed}"
        ready_folder(folder)
        endings = ["html", "pdf"]
    else:
        folder, name, endings = options.to.parent, options.to.stem, [ending_of(options.to)]
    files: list[Path] = []
    told = list(sheet.left_out)
    for ending in endings:
        for page, kind in ((pages.student, ""), (pages.key, "-key")):
            try:
                content = printed(page) if ending == "pdf" else page.encode("utf-8")
            except NoPictureError as error:
                if options.to is not None:
                    raise
                return WorksheetFiles(tuple(files), (*told, str(error)))
            files.append(folder / f"{name}{kind}.{ending}")
            write_bytes(files[-1], content, REFUSED)
    return WorksheetFiles(tuple(files), tuple(told))
