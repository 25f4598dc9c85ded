"""A circuit of one's own: taken back, kept, opened and saved, without a browser."""

from pathlib import Path

import pytest
from tests.workbench.served import TELLTALE

from lampwright.network.circuit_file import read_parts
from lampwright.workbench.change import Change
from lampwright.workbench.folder import folder_of
from lampwright.workbench.own import OwnCircuit
from lampwright.workbench.workbench import Workbench

KEPT = "tell.toml.own.unsaved"


@pytest.fixture
def place(tmp_path: Path) -> Path:
    (tmp_path / "tell.toml").write_text(TELLTALE, encoding="utf-8")
    return tmp_path


def opened(place: Path) -> Workbench:
    """A bench as one finds it after its start."""
    bench = Workbench(folder_of(place, Path("results")), 1)
    bench.desk.open("tell.toml")
    bench.recover_own()
    return bench


def do(bench: Workbench, *change: str) -> OwnCircuit:
    """Do one thing that must not be refused."""
    bench.do(Change(*change))
    assert bench.refusal == ""
    return bench.own


def test_changes_are_taken_back_and_made_again(place: Path) -> None:
    bench = opened(place)
    states = [do(bench, "own.begin").parts]
    for change in (
        ("own.add", "", "resistor"),
        ("own.edit", "small", "from", "", "58R"),
        ("own.edit", "big", "type", "", "R5W"),
        ("own.remove", "R1"),
    ):
        states.append(do(bench, *change).parts)
    assert len(set(states)) == len(states), "every change does something"
    for was in reversed(states[:-1]):
        assert do(bench, "own.undo").parts == was
    assert do(bench, "own.undo").parts == (), "before the first there was none"
    assert not bench.own.can_go_back
    for was in states:
        assert do(bench, "own.redo").parts == was
    do(bench, "own.undo")
    do(bench, "own.add", "", "wire")
    assert not bench.own.can_go_forth, "what was taken back is gone once something else is done"


def test_what_is_not_saved_comes_back_even_if_it_is_no_circuit(place: Path) -> None:
    bench = opened(place)
    do(bench, "own.begin")
    parts = do(bench, "own.edit", "small", "from", "", "31").parts
    bench.desk.close()
    again = opened(place)
    assert again.own.parts == parts
    assert again.own.view(again.board.spec).findings if again.board.spec else False, "both ends are at ground"
    do(again, "own.undo")
    assert again.own.parts == parts, "of what was done before nothing is known"


def test_what_is_saved_is_kept_no_longer(place: Path) -> None:
    bench = opened(place)
    do(bench, "own.begin")
    assert (place / KEPT).exists()
    do(bench, "own.save", "", "", "", "mine")
    assert not (place / KEPT).exists()
    assert read_parts(place / "mine.toml") == bench.own.parts
    do(bench, "own.add", "", "diode")
    assert (place / KEPT).exists()
    do(bench, "own.undo")
    assert not (place / KEPT).exists(), "it is the file again"


def test_a_file_is_opened_and_written_over_unless_it_was_changed(place: Path) -> None:
    bench = opened(place)
    do(bench, "own.begin")
    do(bench, "own.save", "", "", "", "mine.toml")
    bench.desk.close()
    again = opened(place)
    assert again.own.parts == ()
    assert again.folder.circuits() == ("mine.toml",)
    do(again, "own.open", "", "", "", "mine.toml")
    do(again, "own.edit", "small", "from", "", "58R")
    do(again, "own.save", "", "", "", "mine.toml")
    changed = read_parts(place / "mine.toml")
    assert next(part for part in changed if part.ref == "small").from_node == "58R"
    text = (place / "mine.toml").read_text(encoding="utf-8")
    (place / "mine.toml").write_text(text.replace("58R", "58L"), encoding="utf-8")
    again.do(Change("own.save", value="mine.toml"))
    assert "already" in again.refusal, "another program changed it"


@pytest.mark.parametrize("name", ["tell.toml", "none.toml", "../mine.toml"])
def test_what_is_no_circuit_file_is_told(place: Path, name: str) -> None:
    bench = opened(place)
    bench.do(Change("own.open", value=name))
    assert bench.refusal
    assert bench.own.parts == ()


def test_what_was_kept_and_cannot_be_read_is_told(place: Path) -> None:
    (place / KEPT).write_bytes(b"[{")
    bench = opened(place)
    assert "cannot be read" in bench.desk.notes[0].text
    assert (place / KEPT).read_bytes() == b"[{", "nothing is thrown away"
    do(bench, "own.begin")


def test_another_name_of_the_spec_takes_it_along(place: Path) -> None:
    bench = opened(place)
    parts = do(bench, "own.begin").parts
    do(bench, "save", "", "", "", "other.toml")
    assert not (place / KEPT).exists()
    bench.desk.close()
    again = Workbench(folder_of(place, Path("results")), 1)
    again.desk.open("other.toml")
    again.recover_own()
    assert again.own.parts == parts
