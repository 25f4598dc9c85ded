"""What search and check give in a notebook: the stored rows as before, drawn, in tables and in words."""

import pickle
import re
import sys
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from pathlib import Path

import pytest
from msgspec import structs

import lampwright
from lampwright.app.answering import search_problem
from lampwright.app.api import check, search
from lampwright.app.checking import check_circuit
from lampwright.app.explaining import explain_row
from lampwright.app.notebook import Checked, Found, as_found, as_found_design
from lampwright.app.notebook_table import Table, words_table
from lampwright.errors import LampwrightError
from lampwright.network.circuit_file import read_circuit
from lampwright.problem.problem import layout_of, prepare
from lampwright.problem.reading import read_spec
from lampwright.progress.bar import quiet
from lampwright.report.brief import brief_text
from lampwright.report.explain.text import explanation_text
from lampwright.report.text import check_text
from lampwright.results.json_text import from_json, to_json
from lampwright.results.ranking import CheckReport, Ranking
from lampwright.searching.options import SearchOptions
from lampwright.spec.model import Spec

SPECS = Path(__file__).parents[2] / "specs"
TRAILER = SPECS / "trailer_feed_telltale.toml"
SWAPPED = """
part = [
  { ref = "left", kind = "filament", type = "R10W", from = "58L", to = "31" },
  { ref = "right", kind = "filament", type = "R5W", from = "58R", to = "31" },
  { ref = "telltale", kind = "filament", type = "W2.3W", from = "58L", to = "31" },
]
"""
HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(1)> & \"'"
VOID = {"br", "img", "meta", "input"}


class Cell(HTMLParser):
    """A cell as a browser reads it: its tags, its texts, the rows of its tables; it must be well nested."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.text = ""
        self.rows: list[list[str]] = []
        self.feed(html)
        self.close()
        assert self.open == [], f"left open: {self.open}"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.ids += [value or "" for name, value in attrs if name in ("id", "aria-labelledby")]
        assert not [name for name, _ in attrs if name.startswith("on")], f"<{tag}> would run something"
        if tag not in VOID:
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        assert self.open.pop() == tag, f"</{tag}> closes another"

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.text += data
        if {"td", "th"} & set(self.open):
            self.rows[-1][-1] += data


@pytest.fixture(scope="module")
def spec() -> Spec:
    return read_spec(TRAILER)


@pytest.fixture(scope="module")
def plain(spec: Spec) -> Ranking:
    """The ranking as the search itself gives it."""
    return search_problem(prepare(spec), SearchOptions(), quiet())


@pytest.fixture(scope="module")
def found(plain: Ranking, spec: Spec) -> Found:
    return as_found(plain, spec)


@pytest.fixture(scope="module")
def checked(tmp_path_factory: pytest.TempPathFactory) -> Checked:
    path = tmp_path_factory.mktemp("circuit") / "swapped.toml"
    path.write_text(SWAPPED, encoding="utf-8")
    return check(TRAILER, path)


def test_the_front_door_gives_them(found: Found) -> None:
    again = lampwright.search(TRAILER)
    assert isinstance(again, Found), "search gives what draws itself"
    assert again.verdict.text == found.verdict.text
    assert again.designs[0].margin_stops == found.designs[0].margin_stops


def test_the_rows_are_the_stored_ones(found: Found, plain: Ranking) -> None:
    """What takes a stored row takes these, and writes the same bytes."""
    assert isinstance(found, Ranking)
    for field in structs.fields(Ranking):
        if field.name != "designs":
            assert getattr(found, field.name) == getattr(plain, field.name), field.name
    for one, other in zip(found.designs, plain.designs, strict=True):
        for field in structs.fields(other):
            assert getattr(one, field.name) == getattr(other, field.name), field.name
    assert to_json(found) == to_json(plain), "the spec is written with the row"
    assert to_json(from_json(to_json(found))) == to_json(found)


def test_a_check_is_the_stored_one(checked: Checked, spec: Spec, tmp_path: Path) -> None:
    path = tmp_path / "swapped.toml"
    path.write_text(SWAPPED, encoding="utf-8")
    plain = check_circuit(spec, read_circuit(path, layout_of(spec)), path.name)
    assert isinstance(checked, CheckReport)
    assert to_json(checked) == to_json(plain), "the same bytes"
    assert str(checked) == check_text(plain), "what the command prints"
    assert repr(checked) == "<check against trailer_feed_telltale: does not meet the spec>"


def test_a_ranking_is_a_sequence_best_first(found: Found) -> None:
    assert len(found) == 1
    assert bool(found), "something was found"
    assert [design.rank for design in found] == [1]
    assert found[0] is found.best is found[-1] is found.designs[0], "the best is at 0"
    assert found[:1] == found.designs, "a slice is of designs"
    assert found.best in found, "it is asked as a sequence is"
    for at in (1, -2):
        with pytest.raises(IndexError, match=f"there is no design {at}: {re.escape(found.verdict.text)}"):
            found[at]


def test_a_ranking_without_designs_says_so() -> None:
    none = search(SPECS / "no_such_circuit.toml")
    assert list(none) == []
    assert not none, "an empty answer is false"
    with pytest.raises(IndexError, match="there is no design 0: No circuit within the bounds meets the spec"):
        none.best  # noqa: B018  # asking is enough
    assert list(none.to_frame().columns[:2]) == ["rank", "extra_parts"], "an empty frame has its columns"
    cell = Cell(none._repr_html_())
    assert none.verdict.text in cell.text, "the verdict comes first"
    assert cell.rows == [], "a table of nothing"
    assert all(claim in cell.text for claim in none.verdict.proved), "how far it is proved"


def test_a_ranking_is_saved_as_the_command_keeps_it(found: Found, plain: Ranking, tmp_path: Path) -> None:
    found.save(tmp_path / "kept")
    assert {path.name for path in (tmp_path / "kept").iterdir()} == {
        "ranking.json",
        "ranking.csv",
        "page.html",
        "wiring.csv",
    }
    assert (tmp_path / "kept" / "ranking.json").read_text(encoding="utf-8") == to_json(plain)
    pickle.loads(pickle.dumps(found)).save(tmp_path / "again.json")
    assert (tmp_path / "again.json").read_text(encoding="utf-8") == to_json(plain)
    found.save(str(tmp_path / "page.html"))
    found.save(tmp_path / "table.csv")
    for kept in ("page.html", "ranking.csv"):
        alone = tmp_path / kept.replace("ranking", "table")
        assert alone.read_bytes() == (tmp_path / "kept" / kept).read_bytes()
    with pytest.raises(LampwrightError, match=r'no result here ends in ".txt"; name a folder'):
        found.save(tmp_path / "a.txt")


def test_a_ranking_as_a_frame(found: Found) -> None:
    (row,) = found.to_frame().to_dict("records")
    best = found.best
    assert (row["rank"], row["extra_parts"], row["wires"]) == (1, 0, best.wires)
    assert (row["margin_stops"], row["tightest"]) == (best.margin_stops, best.tightest.lamp)
    assert [row[part.lamp] for part in best.parts if part.lamp] == [
        part.type for part in best.parts if part.lamp
    ]


def test_a_designs_circuit_is_checked_alike(found: Found, tmp_path: Path) -> None:
    circuit = found.best.circuit()
    again = check(TRAILER, circuit)
    assert again.meets, "the circuit of a design meets the spec"
    assert again.design.margin_stops == found.best.margin_stops
    circuit.save(tmp_path / "own.toml")
    assert check(TRAILER, tmp_path / "own.toml").design == again.design, "and so does its file"
    assert len(again.to_frame()) == len(again.design.states) * 3


def test_text_is_what_the_commands_print(found: Found, spec: Spec) -> None:
    assert str(found) == brief_text(found)
    assert repr(found) == f"<ranking of trailer_feed_telltale: {found.verdict.text}>"
    assert str(found[0]).startswith("── Design 1: 0.68 stops of margin ──")
    assert repr(found[0]) == "<design 1 of trailer_feed_telltale: 0.68 stops of margin>"
    assert found[0].explain() == explanation_text(explain_row(found[0], spec))
    assert "telltale is dark" in found[0].explain().replace("\n", " "), "it explains"


def test_a_design_survives_a_copy_and_a_change(found: Found, spec: Spec) -> None:
    copied = pickle.loads(pickle.dumps(found[0]))
    assert copied == found[0]
    assert copied.svg() == found[0].svg(), "the copy has lost its spec"
    assert as_found_design(structs.replace(found[0], rank=7), spec).svg() != found[0].svg(), (
        "the new rank is not drawn"
    )


def test_a_ranking_as_a_cell(found: Found) -> None:
    cell = Cell(found._repr_html_())
    assert found.verdict.text in cell.text
    assert found.spec.title in cell.text
    assert cell.rows[0] == ["rank", "margin", "extra parts", "wires", "joints", "conductors", "to fit"]
    assert cell.rows[1:] == [["1", "0.68\u00a0stops", "0", "0", "0", "3", "R10W, R10W, W2.3W"]]
    assert all(caution in cell.text for caution in found.cautions), "the cautions are in every report"


def test_a_design_as_a_cell(found: Found) -> None:
    cell = Cell(found[0]._repr_html_())
    assert cell.tags.count("svg") == 1, "its drawing"
    assert ["telltale", "lamp W2.3W", "58L", "—", "58R"] in cell.rows, "its parts"
    states = [[word.replace("\u00a0", " ") for word in row] for row in cell.rows]
    assert ["on", "on", "full 100 %", "full 100 %", "off"] in states, "what its lamps do"
    assert all(caution in cell.text for caution in found.cautions), "the cautions are in every report"
    assert len(found[0]._repr_html_()) < 30_000, "a cell is compact"


def test_a_check_as_a_cell(checked: Checked) -> None:
    cell = Cell(checked._repr_html_())
    assert "The circuit does not meet the spec." in cell.text
    assert checked.failures, "the circuit was meant to fail"
    assert all(failure in cell.text for failure in checked.failures), "every failure"
    assert cell.tags.count("svg") == 1, "its drawing"
    assert checked.design.explain().startswith("What design 0")


def test_many_cells_are_one_page(found: Found, checked: Checked) -> None:
    """Ids would meet those of other cells, and colours of ours another page's ground."""
    for html in (found._repr_html_(), found[0]._repr_html_(), checked._repr_html_()):
        assert Cell(html).ids == [], "an id"
        (style, *_) = re.findall(r"<style>(.*?)</style>", html, re.DOTALL)
        assert not re.search(r"#[0-9a-f]{3}|rgb|hsl|white|black|background", style), "a colour of our own"
        rules = re.findall(r"([^{}]+)\{", style)
        assert all(rule.strip().startswith(".lampwright") for rule in rules), "a rule for other cells"


def test_the_drawing_is_the_commands(found: Found, tmp_path: Path) -> None:
    svg = found[0]._repr_svg_()
    refs = {element.get("data-ref") for element in ET.fromstring(svg).iter()} - {None}
    assert refs == {"left", "right", "telltale"}
    found[0].draw(tmp_path / "a.svg")
    found[0].draw(str(tmp_path / "a.png"), width=300)
    assert (tmp_path / "a.svg").read_text(encoding="utf-8") == svg
    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")
    with pytest.raises(LampwrightError, match=r"no picture here ends in"):
        found[0].draw(tmp_path / "a.bmp")


def test_names_are_escaped(found: Found, checked: Checked, spec: Spec) -> None:
    design = found[0]
    parts = (structs.replace(design.parts[0], ref=HOSTILE, type=HOSTILE), *design.parts[1:])
    lamps = (structs.replace(design.states[1].lamps[0], lamp=HOSTILE), *design.states[1].lamps[1:])
    states = (structs.replace(design.states[1], state=HOSTILE, positions=((HOSTILE, HOSTILE),), lamps=lamps),)
    tightest = structs.replace(design.tightest, lamp=HOSTILE, state=HOSTILE)
    bad = as_found_design(structs.replace(design, parts=parts, states=states, tightest=tightest), spec)
    title = structs.replace(found.spec, title=HOSTILE)
    failed = structs.replace(checked, failures=(HOSTILE,), remarks=(HOSTILE,))
    for html, times in (
        (bad._repr_html_(), 5),
        (structs.replace(found, spec=title)._repr_html_(), 1),
        (failed._repr_html_(), 2),
        (bad.table()._repr_html_(), 2),
        (bad.readings()._repr_html_(), 2),
    ):
        cell = Cell(html)
        assert not {"script", "img"} & set(cell.tags), "a name became a tag"
        assert cell.text.count(HOSTILE) >= times, "a name is lost"


def test_the_table_of_states(found: Found) -> None:
    table = found[0].table()
    assert table.columns == ("left_tail", "right_tail", "left", "right", "telltale")
    assert table.rows == (
        ("off", "off", "(off)", "(off)", "(off)"),
        ("off", "on", "off", "full 100 %", "full 90 %"),
        ("on", "off", "full 100 %", "off", "full 90 %"),
        ("on", "on", "full 100 %", "full 100 %", "off"),
    )
    assert Cell(table._repr_html_()).rows == [list(table.columns), *map(list, table.rows)]
    assert str(table).splitlines()[2].split() == ["off", "off", "(off)", "(off)", "(off)"]
    assert words_table(()) == Table((), ()), "no states, no columns"


def test_readings_are_the_rows_numbers(found: Found) -> None:
    pandas = pytest.importorskip("pandas", reason="comes with the constraint solver; not our own need")
    design, table = found[0], found[0].readings()
    assert len(table.rows) == len(design.states) * 3, "a row per state and lamp"
    frame = table.to_frame()
    assert isinstance(frame, pandas.DataFrame)
    assert tuple(frame.columns) == table.columns
    for at, (state, one) in enumerate((s, one) for s in design.states for one in s.lamps):
        row = frame.iloc[at]
        assert (row.state, row.phase, row.lamp) == (state.state, state.phase, one.lamp)
        # the very numbers, unrounded
        assert (row.volts, row.amps, row.flux) == (one.volts, one.amps, one.flux)
        assert row.meets == one.meets
        assert (
            pandas.isna(row.margin_stops)
            if one.margin_stops is None
            else row.margin_stops == one.margin_stops
        )
    both = frame[(frame.lamp == "telltale") & (frame.wanted == "lit")]
    assert (both.flux > 0.25).all(), "one can ask pandas"


def test_a_table_says_its_entries() -> None:
    table = Table(
        ("state", "volts", "meets"), (("on", 13.45678, True), ("off", 1e-9, False), ("?", None, None))
    )
    assert str(table).splitlines() == [
        "state    volts  meets",
        "─────────────────────",
        "on     13.4568  yes",
        "off          0  no",
        "?",
    ]


def test_without_pandas_one_line_says_so(found: Found, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pandas", None)
    with pytest.raises(LampwrightError) as refusal:
        found[0].table().to_frame()
    assert str(refusal.value) == (
        "to_frame: it needs pandas, which is not installed here; pip install pandas; or use .rows"
    )


def test_the_quick_answer_neither_assesses_nor_diagnoses(found: Found) -> None:
    quick = lampwright.find(TRAILER)
    assert [one.margin_stops for one in quick.designs] == [one.margin_stops for one in found.designs]
    assert quick.designs[0].care is None, "nothing is assessed"
    assert found.designs[0].care is not None, "a search assesses"
    assert lampwright.diagnose(TRAILER) is None, "there is nothing to diagnose where there is a design"
    none = TRAILER.with_name("no_such_circuit.toml")
    assert lampwright.find(none).shortfall is None, "nobody asked why"
    why = lampwright.diagnose(none)
    assert why is not None, "asked why"
    assert why.conflict is not None, "and there is a conflict"
