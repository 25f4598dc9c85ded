"""The sheet for the bench as a page and on paper: its words, its size, its files.

Source: ISO 32000-1, 7.5.2 and 7.5.5 for the first and last line of a PDF; ISO 216 for A4, 210 by 297 mm.
The words that stand on it are kept in `gold/`; LAMPWRIGHT_ACCEPT=1 accepts new ones.
"""

import html
import os
import re
import sys
from pathlib import Path
from types import ModuleType

import pytest
from tests.selection import some, some_rows
from tests.sheets import FOUND, page_of, sheet_of
from tests.shipped import ROOT, shipped

from lampwright.app.sheet import write_sheet_of_circuit, write_sheet_of_rank
from lampwright.app.sheet_options import SheetOptions
from lampwright.errors import InputError
from lampwright.report.paper import printed
from lampwright.report.schematic.picture import NoPictureError
from lampwright.results.json_text import to_json
from lampwright.store.files import RANKING
from lampwright.words import Paper

GOLD = Path(__file__).parent / "gold"
SPEC = ROOT / "specs" / "one_filament_stop_tail.toml"
POINTS = {"A4": (595, 842), "letter": (612, 792)}
"""Width and height [1/72 inch], to the point."""


def words_of(page: str) -> str:
    """Leave the words of a page: a line for each row, heading or paragraph, cells apart by bars."""
    body = re.sub(r"(?s)<(style|svg).*?</\1>", "", page[page.index("<body>") :])
    body = re.sub(r"</t[dh]>", " | ", re.sub(r"\s*\n\s*", "", body))
    body = re.sub(r"</(?:tr|p|caption|h1|figcaption)>", "\n", body)
    plain = html.unescape(re.sub(r"<[^>]*>", "", body)).replace("\u00a0", " ")
    lines = (line.strip().removesuffix("|").strip() for line in plain.splitlines())
    return "\n".join(line for line in lines if line) + "\n"


@pytest.mark.parametrize("name", ["sidecar_side_lamp", "trailer_feed_telltale", "lorry_pairs_in_series"])
def test_its_words_are_as_accepted(name: str) -> None:
    said = re.sub(r"lampwright \S+ spec \w+, part data \w+", "lampwright", words_of(page_of(name)))
    if os.environ.get("LAMPWRIGHT_ACCEPT"):
        (GOLD / f"sheet_{name}.txt").write_text(said, encoding="utf-8")
    assert said == (GOLD / f"sheet_{name}.txt").read_text(encoding="utf-8"), "the sheet's words changed"


@pytest.mark.parametrize("name", some(FOUND, ["sidecar_side_lamp", "lesson_1_two_in_a_row"]))
def test_it_says_all_that_its_rows_hold(name: str) -> None:
    sheet, said = sheet_of(name), words_of(page_of(name))
    for part in sheet.design.parts:
        assert part.kind == "wire" or part.ref in said, f"{part.ref} is to be fitted"
    for fault in (fault for row in sheet.tests.faults for fault in row.faults):
        assert fault.lower() in said.lower(), f"{fault} is told of"
    for caution in sheet.cautions:
        assert caution in said
    assert "Test before power" in said
    assert said.index("Test before power") < said.index("Test under power"), "ohms come first"
    assert "…" not in said, "nothing is cut off"
    drawn = re.findall(r'<g class="tag".*?>([+−\w]+)</text>', page_of(name).replace("\n", ""))
    numbers = [*(lead.wire for lead in sheet.leads), *(lead.wire for lead in sheet.supply_leads)]
    assert sorted(drawn) == sorted(numbers), "wires are numbered in the drawing"
    assert {one.number for one in sheet.wires} == set(numbers), "a wire that is listed is not drawn"


PAPERS = [(name, paper) for name in FOUND for paper in POINTS]
ON_PAPER = [("sidecar_side_lamp", "A4"), ("lesson_1_two_in_a_row", "letter")]


@pytest.mark.parametrize(("name", "paper"), some_rows(PAPERS, ON_PAPER))
def test_it_fits_one_sheet_of_paper(name: str, paper: Paper) -> None:
    made = printed(page_of(name, paper))
    assert made.startswith(b"%PDF-1."), "no PDF"
    assert made.rstrip().endswith(b"%%EOF"), "its end is missing"
    document = pytest.importorskip("weasyprint").HTML(string=page_of(name, paper)).render()
    assert len(document.pages) == 1, "more than a page"
    size = tuple(round(side * 0.75) for side in (document.pages[0].width, document.pages[0].height))
    assert size == POINTS[paper]


def test_nothing_on_it_is_fetched_or_run() -> None:
    page = page_of("sidecar_side_lamp")
    assert not re.search(r"<script|\bsrc=|\bhref=|url\(|@import", page), "it stands alone"
    assert page == page_of("sidecar_side_lamp"), "the same each time"


def test_both_faces_are_drawn_and_mirrored() -> None:
    page = page_of("trailer_pair_from_the_box", coupling="seven-way blade")
    faces = re.findall(r'(?s)<figure class="face">.*?</figure>', page)
    assert len(faces) == 2
    first, second = (
        {text: float(x) for x, text in re.findall(r'<text x="([^"]*)"[^>]*>(\w+)<', face)} for face in faces
    )
    assert len(first) == 7
    assert all(first[pin] == -second[pin] for pin in first), "one is the other seen from behind"


def stored(tmp_path: Path) -> Path:
    folder = tmp_path / "results" / SPEC.stem
    folder.mkdir(parents=True)
    (folder / RANKING).write_text(to_json(shipped(SPEC.stem)), encoding="utf-8")
    return tmp_path / "results"


def test_a_stored_design_is_written_as_page_and_pdf(tmp_path: Path) -> None:
    out = stored(tmp_path)
    written = write_sheet_of_rank(SPEC, 1, SheetOptions(out=out))
    assert written.files == (out / SPEC.stem / "sheet.html", out / SPEC.stem / "sheet.pdf")
    assert written.left_out == ""
    assert written.files[0].read_text(encoding="utf-8") == page_of(SPEC.stem), "the page of the same design"
    assert written.files[1].read_bytes().startswith(b"%PDF"), "a PDF"


def test_without_the_library_the_page_is_written_and_the_rest_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    written = write_sheet_of_rank(SPEC, 1, SheetOptions(out=stored(tmp_path)))
    assert [file.name for file in written.files] == ["sheet.html"]
    assert "lampwright[paper]" in written.left_out
    with pytest.raises(NoPictureError, match="weasyprint"):
        write_sheet_of_rank(SPEC, 1, SheetOptions(out=tmp_path / "results", to=tmp_path / "one.pdf"))
    assert not (tmp_path / "one.pdf").exists(), "nothing is half written"


def test_without_the_systems_library_what_is_missing_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> ModuleType:
        raise OSError(name)

    monkeypatch.setattr("lampwright.report.paper.importlib.import_module", missing)
    with pytest.raises(NoPictureError, match="pango"):
        printed("<p>one</p>")


def test_a_circuit_file_has_a_sheet(tmp_path: Path) -> None:
    circuit = tmp_path / "mine.toml"
    rows = [
        f'[[part]]\nref = "{part.ref}"\nkind = "{part.kind}"\n'
        f'from = "{part.from_node}"\nto = "{part.to_node}"\n'
        + (f'type = "{part.type}"\n' if part.type else f"ohms = {part.ohms}\nwatts = {part.watts}\n")
        for part in shipped(SPEC.stem).designs[0].parts
    ]
    circuit.write_text("\n".join(rows), encoding="utf-8")
    to = tmp_path / "mine.html"
    assert write_sheet_of_circuit(SPEC, circuit, SheetOptions(to=to)).files == (to,)
    own, found = words_of(to.read_text(encoding="utf-8")), words_of(page_of(SPEC.stem))
    assert own.replace("mine.toml", "design 1") == found, "the sheet of the same circuit"


@pytest.mark.parametrize(
    ("to", "said"), [("one.png", "a sheet is a page or a PDF"), ("nowhere/one.pdf", "there is no folder")]
)
def test_a_file_that_is_no_sheet_is_refused_first(tmp_path: Path, to: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        write_sheet_of_rank(tmp_path / "no_spec.toml", 1, SheetOptions(to=tmp_path / to))


@pytest.mark.parametrize("name", FOUND)
def test_a_school_bench_has_no_battery_and_no_vehicle(name: str) -> None:
    said = page_of(name).lower()
    is_school = name.startswith(("lesson_", "bench_"))
    assert ("battery" in said or "vehicle" in said) != is_school, "the words are those of the other supply"
    assert is_school == (sheet_of(name).source == "supply")
    assert "local code" in said, "a sheet that leaves the law out"
