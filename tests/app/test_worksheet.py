"""A worksheet's answers held against the plain twin; its bytes; what the student's page must not hold.

Source: SHA-256 (FIPS 180-4) by the standard library, of which the order is worked out a second time here.
"""

import html
import re
from hashlib import sha256
from pathlib import Path

import pytest
from tests.selection import examples, some
from tests.shipped import ROOT, shipped
from tests.worksheets import (
    LESSONS,
    NAMES,
    always,
    case_for,
    design_of,
    pages,
    said_lights,
    title_of,
    worksheet,
)

from lampwright.app.lessons import LessonCase, settings_words, variation_of
from lampwright.app.worksheet import write_worksheet
from lampwright.app.worksheet_options import WorksheetOptions
from lampwright.errors import InputError
from lampwright.progress.bar import quiet
from lampwright.report.paper import printed
from lampwright.results.json_text import to_json
from lampwright.results.worksheet import ClassQuestion, WorksheetCircuit
from lampwright.store.files import RANKING
from lampwright.teaching.hiding import without_answers

SEEDS = (1, 2)
SETS = [*((name,) for name in NAMES), LESSONS]


def asked(kinds: set[str]) -> list[tuple[WorksheetCircuit, ClassQuestion, int]]:
    """Questions of these kinds of all sheets, and the seed of each."""
    return [
        (circuit, question, seed)
        for names in SETS
        for seed in SEEDS[: examples(1, 2)]
        for circuit in worksheet(names, seed).circuits
        for question in circuit.questions
        if question.kind in kinds
    ]


def setting_of(case: LessonCase, ask: str) -> int:
    """Which setting a question names."""
    found = re.search(r"With (.*?): what", ask)
    assert found is not None
    return case.lesson.settings.index(found[1])


def test_each_kind_is_asked_somewhere() -> None:
    kinds = {"observe", "which when", "which lamps", "if it fails", "draw"}
    assert {question.kind for _, question, _ in asked(kinds)} == kinds


@pytest.mark.parametrize("kind", ["which lamps", "if it fails"])
def test_the_right_option_is_right_and_every_other_wrong(kind: str) -> None:
    for circuit, question, seed in asked({kind}):
        case = case_for(title_of(circuit).name, seed)
        failed = re.match(r"The filament of (\w+) has", question.ask)
        name = failed[1] if failed else ""
        truths = always(case, design_of(circuit).parts, setting_of(case, question.ask), name)
        assert [one.right for one in question.options].count(True) == 1, question.ask
        for option in question.options:
            said = said_lights(option.text)
            assert set(said) == set(case.lesson.lamps) - {name}, "it speaks of every lamp that is left"
            for truth in truths:
                is_so = all(truth[lamp] == word for lamp, word in said.items())
                assert is_so == option.right, f"{question.ask} {option.text}"


def test_the_settings_in_which_a_lamp_burns_are_those() -> None:
    for circuit, question, seed in asked({"which when"}):
        case = case_for(title_of(circuit).name, seed)
        lamp = question.ask.removeprefix("In which settings does ").removesuffix(" burn?")
        count = len(case.lesson.settings)
        truths = [[one[lamp] for one in always(case, design_of(circuit).parts, at)] for at in range(count)]
        burning = tuple(at for at, lights in enumerate(truths) if set(lights) == {"burns"})
        assert all(len(set(lights)) == 1 for lights in truths), "it is the same at every supply"
        words = {(): "In no setting.", tuple(range(count)): "In every setting."}
        right = words.get(burning, f"With {settings_words(case.controls, burning)}.")
        assert [one.text for one in question.options if one.right] == [right]
        assert len({one.text for one in question.options}) == len(question.options) > 1


def test_settings_in_words_mean_just_these_settings() -> None:
    case = case_for("sidecar_side_lamp")
    told: dict[str, tuple[int, ...]] = {}
    for mask in range(1, 1 << 6):
        some = tuple(at for at in range(6) if mask >> at & 1)
        assert told.setdefault(settings_words(case.controls, some), some) == some


@pytest.mark.parametrize("names", SETS, ids=lambda names: names[0] if len(names) == 1 else "course")
def test_the_table_is_what_the_twin_sees(names: tuple[str, ...]) -> None:
    for circuit in worksheet(names).circuits:
        case = case_for(title_of(circuit).name)
        for question in circuit.questions:
            for row in question.settings:
                for truth in always(case, design_of(circuit).parts, case.lesson.settings.index(row.setting)):
                    for lamp, light in zip(question.lamps, row.lights, strict=True):
                        assert light in ("any", truth[lamp]), f"{row.setting}: {lamp}"
                assert set(row.lights) - {"any"}, "a row that asks nothing"


def test_drawings_told_as_right_are_and_those_told_as_wrong_are_not() -> None:
    told = 0
    for circuit, question, seed in asked({"draw"}):
        case = case_for(title_of(circuit).name, seed)
        lesson = case.lesson
        if design_of(circuit).parts != case.design.parts:
            varied = variation_of(case, 3)
            assert varied is not None
            lesson = varied.lesson
        near = {miss.what: miss.parts for miss, _ in lesson.near}
        for what in (*question.also, *(one.what for one in question.wrong)):
            misses = [
                truth[lamp] != light
                for row in question.settings
                for truth in always(case, near[what], lesson.settings.index(row.setting))
                for lamp, light in zip(question.lamps, row.lights, strict=True)
                if light != "any"
            ]
            assert any(misses) == (what not in question.also), what
            told += 1
    assert told > 20


def test_the_guess_that_nothing_changes_is_no_option_where_it_is_so() -> None:
    naive = [
        (question, option)
        for _, question, _ in asked({"if it fails"})
        for option in question.options
        if option.because == "as if nothing else changed"
    ]
    assert naive
    assert not any(option.right for _, option in naive)


def test_grades_are_those_of_the_course() -> None:
    # two settings and no trick; both ends live; that and current both ways; NOR: both ends live
    assert [case_for(name).grade for name in LESSONS] == [1, 2, 3, 3, 2]
    assert case_for("sidecar_side_lamp").grade == 3, "twelve settings"


def test_a_grade_leaves_out_what_is_harder_and_says_so() -> None:
    sheet = worksheet(LESSONS, 1, 2)
    assert max(one.grade for one in sheet.circuits) == 2
    assert [one.split()[0] for one in sheet.left_out] == [LESSONS[2], LESSONS[3]]
    assert worksheet(LESSONS[2:4], 1, 2).circuits == ()


def test_one_circuit_is_not_asked_about_twice() -> None:
    sheet = worksheet(LESSONS)
    assert [one.split()[0] for one in sheet.left_out] == ["lesson_4_one_or_the_other"]
    shapes = [one for one in sheet.circuits if one.is_drawn]
    assert len(shapes) == 1


def test_the_same_seed_gives_the_same_bytes_and_another_others() -> None:
    first = pages(LESSONS, 7)
    for kept in (case_for, worksheet, pages):
        kept.cache_clear()
    assert pages(LESSONS, 7) == first
    assert pages(LESSONS, 8).student.replace("Worksheet 8", "Worksheet 7") != first.student


def test_options_stand_in_the_order_of_their_digests() -> None:
    for _, question, seed in asked({"which when", "which lamps", "if it fails"}):
        texts = [one.text for one in question.options]
        digests = [sha256(f"{seed}\n{question.ask}\n{one}".encode()).hexdigest() for one in texts]
        assert digests == sorted(digests)


def test_the_right_option_may_be_any() -> None:
    places = {
        [one.right for one in question.options].index(True) for _, question, _ in asked({"which lamps"})
    }
    assert places == {0, 1, 2, 3}


@pytest.mark.parametrize("names", SETS, ids=lambda names: names[0] if len(names) == 1 else "course")
@pytest.mark.parametrize("seed", some(SEEDS, 1))
def test_the_student_sees_no_answer(names: tuple[str, ...], seed: int) -> None:
    student = pages(names, seed).student
    sheet = worksheet(names, seed)
    plain = html.unescape(re.sub(r"(?s)<style>.*?</style>", "", student)).replace("\N{NO-BREAK SPACE}", " ")
    for name in names:
        for one in settings_of(name):
            plain = plain.replace(one, "")
    for circuit in sheet.circuits:
        assert title_of(circuit).title not in plain, "a title may tell the answer"
        assert title_of(circuit).name not in plain
        for _, old in circuit.names:
            assert len(old) < 3 or not re.search(rf"\b{re.escape(old)}\b", plain), old
        for question in circuit.questions:
            for text in (*question.explain, *question.also, *(one.because for one in question.options)):
                assert not text or text.replace("\N{NO-BREAK SPACE}", " ") not in plain
    assert "<!--" not in student
    for word in ("right", "wrong", "because", "correct", "grade", "✓", "checked"):
        assert not re.search(rf"\b{word}\b", plain), word
    drawings = len(re.findall(r'class="lampwright-schematic"', student))
    assert drawings == sum(not one.is_drawn for one in sheet.circuits), "what is to be drawn is not there"
    options = set(re.findall(r"<li><span[^\n]*", re.sub(r"(?<=</span> )[^<]*|(?<=letter\">).", "", student)))
    assert len(options) <= 1, "no option is marked up otherwise than another"


def settings_of(name: str) -> list[str]:
    """What is said of controls, whose positions may be called as lamps are, the longest first."""
    case = case_for(name)
    said = {*case.lesson.settings, *(f"“{one.name}”" for one in case.spec.controls)}
    said |= {f"{one.name} {at.name}" for one in case.spec.controls for at in one.positions}
    return sorted(said, key=len, reverse=True)


def test_nothing_that_answers_is_left_in_the_rows() -> None:
    sheet = without_answers(worksheet(LESSONS))
    for circuit in sheet.circuits:
        assert (circuit.spec, circuit.names) == (None, ())
        assert (circuit.design is None) == circuit.is_drawn
        assert circuit.design is None or not circuit.design.states
        for question in circuit.questions:
            assert {(one.right, one.because) for one in question.options} <= {(None, "")}
            assert question.kind == "draw" or {
                light for row in question.settings for light in row.lights
            } <= {""}
            assert (question.answer, question.explain, question.also, question.wrong) == ("", (), (), ())


def test_a_drawing_of_one_spec_is_another_circuit_than_the_one_shown() -> None:
    for name in LESSONS:
        shown, *drawn = worksheet((name,)).circuits
        for one in drawn:
            (question,) = one.questions
            case = case_for(name)
            assert [row.lights for row in question.settings] != list(case.lesson.seen.lights)
            assert design_of(shown).parts != design_of(one).parts


def test_files_and_a_spec_that_is_searched_first(tmp_path: Path) -> None:
    spec = ROOT / "specs" / "lesson_1_two_in_a_row.toml"
    made = write_worksheet([spec], WorksheetOptions(out=tmp_path, seed=3), quiet())
    folder = tmp_path / spec.stem
    assert (folder / "ranking.json").exists(), "what was searched is kept"
    assert made.files[:2] == (folder / "worksheet-3.html", folder / "worksheet-3-key.html")
    before = made.files[0].read_bytes()
    again = write_worksheet([spec], WorksheetOptions(out=tmp_path, seed=3, to=tmp_path / "a.html"), quiet())
    assert again.files == (tmp_path / "a.html", tmp_path / "a-key.html")
    assert again.files[0].read_bytes() == before


def refused(specs: list[Path], options: WorksheetOptions) -> str:
    with pytest.raises(InputError) as raised:
        write_worksheet(specs, options, quiet())
    (finding,) = raised.value.findings
    return str(finding)


def test_what_cannot_be_is_told_in_one_line(tmp_path: Path) -> None:
    spec = ROOT / "specs" / "lesson_1_two_in_a_row.toml"
    options = WorksheetOptions(out=tmp_path)
    assert "named twice" in refused([spec, spec], options)
    assert "no such file" in refused([tmp_path / "none.toml"], options).lower() or "none.toml" in refused(
        [tmp_path / "none.toml"], options
    )
    assert "a page or a PDF" in refused([spec], WorksheetOptions(out=tmp_path, to=tmp_path / "a.txt"))
    assert "no folder" in refused([spec], WorksheetOptions(out=tmp_path, to=tmp_path / "b" / "a.html"))
    (tmp_path / "no_such_circuit").mkdir()
    stored = to_json(shipped("no_such_circuit"))
    (tmp_path / "no_such_circuit" / RANKING).write_text(stored, encoding="utf-8")
    none = refused([ROOT / "specs" / "no_such_circuit.toml"], options)
    assert "no circuit was found" in none


def test_nothing_is_written_where_nothing_fits(tmp_path: Path) -> None:
    spec = ROOT / "specs" / "lesson_3_a_filament_as_ground.toml"
    made = write_worksheet([spec], WorksheetOptions(out=tmp_path, grade=1), quiet())
    assert made.files == ()
    assert len(made.told) == 1
    assert not list(tmp_path.rglob("worksheet*"))


@pytest.mark.parametrize(
    "names", some([LESSONS[1:2], LESSONS, ("sidecar_side_lamp",)], [("sidecar_side_lamp",)])
)
def test_no_question_breaks_over_a_page(names: tuple[str, ...]) -> None:
    library = pytest.importorskip("weasyprint")
    for page in (pages(names).student, pages(names).key):
        made = printed(page)
        assert made.startswith(b"%PDF-1.")
        document = library.HTML(string=page).render()
        # of a table to fill in the lines below it may stand overleaf; it and they are whole
        for kept in ("question", "predict", "lines"):
            places = [
                {
                    box.element
                    for box in one._page_box.descendants()
                    if box.element is not None
                    and kept in (classes := (box.element.get("class") or "").split())
                    and "observe" not in classes
                }
                for one in document.pages
            ]
            assert sum(map(len, places)) == len(set().union(*places)), f"a {kept} stands on two pages"
            assert any(places) or kept != "question", "no question is asked"
        assert all(one.width * 0.75 == pytest.approx(595.3, abs=1.0) for one in document.pages), "A4"
