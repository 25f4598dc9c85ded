"""Bent circuits, stored results, journals, measured points: taken rightly, or refused in our own words."""

import json
import tempfile
import tomllib
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import tomlkit
from hypothesis import given
from hypothesis import strategies as st
from tests.fuzz.bending import Document, bent, damaged, odd, torn
from tests.fuzz.probing import fuzzed, is_printable, is_sound, only_ours
from tests.shipped import ROOT, shipped

from lampwright.app.drawing import draw_rank
from lampwright.app.explaining import explain_circuit, explain_rank
from lampwright.app.fit_options import FitOptions
from lampwright.app.lamp_fit import fit_file
from lampwright.app.render import result_text
from lampwright.app.sheet import write_sheet_of_rank
from lampwright.app.sheet_options import SheetOptions
from lampwright.app.trying import check_file, check_rank
from lampwright.results.json_text import to_json
from lampwright.store.journal import JOURNAL, Named, open_journal

SPEC = ROOT / "specs" / "one_filament_stop_tail.toml"
CIRCUIT = tomllib.loads(
    """
[[part]]
ref = "rear"
kind = "filament"
type = "P21W"
from = "54"
to = "31"
[[part]]
kind = "resistor"
ohms = 4.7
watts = 25
from = "54"
to = "j1"
[[part]]
kind = "diode"
type = "1N5404"
from = "j1"
to = "58"
[[part]]
kind = "wire"
from = "j2"
to = "j1"
"""
)
MORE = st.lists(
    st.builds(
        lambda kind, ends, ohms: {
            "kind": kind,
            **dict(zip(("from", "to"), ends, strict=True)),
            **({"ohms": ohms} if kind == "resistor" else {"type": "1N4004"} if kind == "diode" else {}),
        },
        st.sampled_from(("resistor", "diode", "wire")),
        st.lists(st.sampled_from(("54", "58", "31", "j1", "j2", "j3")), min_size=2, max_size=2, unique=True),
        st.sampled_from((0.001, 0.1, 1, 47, 1e6)),
    ),
    max_size=4,
)
POINTS = "volts,amps\n" + "".join(f"{v / 10},{0.3 * (v / 25) ** 0.55:.4f}\n" for v in range(2, 26, 3))
RECORDS = tuple(Named(f"share {n:03}", "[" + "1," * 40 * n + "0]") for n in range(30))
OURS = (Named("spec", "a"), Named("program version", "1"))


@contextmanager
def folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as name:
        yield Path(name)


def is_told(call: Any) -> None:
    told = only_ours(call)
    if told is not None:
        is_sound(told)
        is_printable(result_text(told, as_json=False))


def written(place: Path, document: Document) -> Path:
    path = place / "own.toml"
    path.write_bytes(tomlkit.dumps(document).encode("utf-8", "surrogatepass"))
    return path


@fuzzed(25, 5000)
@given(bent(st.builds(lambda more: {"part": [*CIRCUIT["part"], *more]}, MORE)))
def test_circuit_files(document: Document) -> None:
    with folder() as place:
        path = written(place, document)
        is_told(lambda: check_file(SPEC, path, (), place / "saved.toml"))
        is_told(lambda: explain_circuit(SPEC, path))


@fuzzed(20, 3000)
@given(MORE, st.lists(st.tuples(st.sampled_from(("rear", "R1", "D1", "", "x")), odd), max_size=2))
def test_circuits_with_other_parts_fitted(more: list[Document], fits: list[tuple[str, Any]]) -> None:
    with folder() as place:
        path = written(place, {"part": [*CIRCUIT["part"], *more]})
        is_told(lambda: check_file(SPEC, path, [f"{name}={what}" for name, what in fits], None))


def stored() -> Document:
    plain = json.loads(to_json(shipped(SPEC.stem)))
    assert isinstance(plain, dict), "a ranking is an object"
    return plain


@fuzzed(25, 5000)
@given(st.data())
def test_stored_results(data: st.DataObject) -> None:
    text = json.dumps(data.draw(bent(st.just(stored()))))
    with folder() as place:
        (place / SPEC.stem).mkdir()
        (place / SPEC.stem / "ranking.json").write_text(text, encoding="utf-8")
        is_told(lambda: check_rank(SPEC, 1, place, (), None))
        is_told(lambda: explain_rank(SPEC, None, place))
        only_ours(lambda: draw_rank(SPEC, 1, place, place / "drawn.svg", None))
        only_ours(lambda: write_sheet_of_rank(SPEC, 1, SheetOptions(place, None, "A4", place / "sheet.html")))


@fuzzed(40, 4000)
@given(torn(st.just(POINTS)), odd)
def test_measured_points(text: str, more: Any) -> None:
    with folder() as place:
        path = place / "lamp.csv"
        path.write_bytes(f"{text}{more},{more}\n".encode("utf-8", "surrogatepass"))
        is_told(lambda: fit_file(path, FitOptions()))


@fuzzed(30, 4000)
@given(st.data())
def test_damaged_journals_are_refused_or_right(data: st.DataObject) -> None:
    """Never wrong: what comes back is what was kept, byte for byte, though some may be lost."""
    with folder() as place:
        with closing(open_journal(place, OURS, fresh=False)) as journal:
            for record in RECORDS:
                journal.add(record)
        path = place / JOURNAL
        path.write_bytes(data.draw(damaged(path.read_bytes())))

        def read() -> set[Named]:
            with closing(open_journal(place, OURS, fresh=False)) as journal:
                found = set(journal.records())
                journal.add(Named("one more", "[]"))
                return found

        assert (only_ours(read) or set()) <= set(RECORDS), "it has what was never kept"
