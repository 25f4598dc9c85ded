"""Nothing typed is lost: a page that closes, a program that dies, an editor at the same file, a full disk."""

from pathlib import Path
from typing import Any

import pytest
from tests.shipped import NONE, shipped
from tests.workbench.served import ROOT, TELLTALE

from lampwright.errors import Finding, InputError
from lampwright.problem.reading import read_document
from lampwright.store.files import StoreError
from lampwright.toml_file import read_toml
from lampwright.workbench import desk as desk_module
from lampwright.workbench.answer import take_suggestion
from lampwright.workbench.boxed import box_of
from lampwright.workbench.change import Change
from lampwright.workbench.desk import EMPTY, Desk
from lampwright.workbench.folder import folder_of
from lampwright.workbench.toml_edit import parsed, written

TITLE = Change("title", value="Another title")


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    (tmp_path / "tell.toml").write_text(TELLTALE, encoding="utf-8")
    made = Desk(folder_of(tmp_path, Path("results")))
    made.open("tell.toml")
    return made


def file_of(desk: Desk) -> str:
    return (desk.folder.root / "tell.toml").read_text(encoding="utf-8")


def test_a_change_is_kept_and_comes_back(desk: Desk) -> None:
    desk.change(TITLE)
    assert file_of(desk) == TELLTALE, "the spec is written by save alone"
    assert desk.kept.read_text(encoding="utf-8") == desk.text
    desk.close()  # as a program that dies: nothing else is done
    again = Desk(desk.folder)
    again.open("tell.toml")
    assert again.text == desk.text
    assert [note.kind for note in again.notes] == ["recovered"]
    again.undo()
    assert again.text == TELLTALE
    assert not again.kept.exists(), "what is as the file needs no keeping"
    again.close()


def test_saving_writes_the_file_and_keeps_nothing_beside_it(desk: Desk) -> None:
    desk.change(TITLE)
    desk.save()
    assert file_of(desk) == desk.text
    assert 'title = "Another title"' in desk.text
    desk.close()
    assert [one.name for one in desk.folder.root.iterdir()] == ["tell.toml"]


def test_undo_and_redo_walk_the_same_way(desk: Desk) -> None:
    texts = [desk.text]
    for number in range(4):
        desk.change(Change("title", value=f"title {number}"))
        texts.append(desk.text)
    for text in reversed(texts[:-1]):
        desk.undo()
        assert desk.text == text
    assert not desk.can_go_back
    for text in texts[1:]:
        desk.redo()
        assert desk.text == text
    assert not desk.can_go_forth
    desk.close()


def test_a_second_page_on_one_spec_is_told(desk: Desk) -> None:
    second = Desk(desk.folder)
    with pytest.raises(StoreError, match="another page of lampwright bench has it open"):
        second.open("tell.toml")
    desk.close()
    second.open("tell.toml")
    second.close()


def test_what_an_editor_changed_is_not_written_over(desk: Desk) -> None:
    desk.change(TITLE)
    mine = desk.text
    theirs = TELLTALE.replace("Two feeds", "Three feeds")
    (desk.folder.root / "tell.toml").write_text(theirs, encoding="utf-8")
    with pytest.raises(InputError, match="another program has changed the file"):
        desk.save()
    assert desk.has_other
    assert file_of(desk) == theirs
    desk.take_other()
    assert (desk.text, desk.is_saved, desk.has_other) == (theirs, True, False)
    desk.undo()
    assert desk.text == mine, "what the page had can be had back"
    desk.save()
    assert file_of(desk) == mine
    desk.close()


def test_what_an_editor_changed_is_read_where_nothing_is_lost(desk: Desk) -> None:
    theirs = TELLTALE.replace("Two feeds", "Three feeds")
    (desk.folder.root / "tell.toml").write_text(theirs, encoding="utf-8")
    assert desk.look()
    assert (desk.text, desk.is_saved) == (theirs, True)
    desk.close()


def test_a_full_disk_is_told_and_loses_nothing(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(path: Path, _content: bytes, remedy: str) -> None:
        raise StoreError(Finding(str(path), "it cannot be written (no space left on device)", remedy))

    monkeypatch.setattr(desk_module, "write_bytes", full)
    desk.change(TITLE)
    assert 'title = "Another title"' in desk.text
    assert "no space left" in desk.notes[0].text
    with pytest.raises(StoreError, match="what the page shows is still there"):
        desk.save()
    assert (file_of(desk), desk.is_saved) == (TELLTALE, False)
    desk.close()


def test_a_spec_begun_without_a_name_comes_back(tmp_path: Path) -> None:
    desk = Desk(folder_of(tmp_path, Path("results")))
    desk.begin()
    desk.change(TITLE)
    desk.close()
    again = Desk(desk.folder)
    again.begin()
    assert again.text == desk.text != EMPTY
    again.save_as("named")
    assert (tmp_path / "named.toml").read_text(encoding="utf-8") == desk.text
    again.close()
    assert [one.name for one in tmp_path.iterdir()] == ["named.toml"]


def test_saving_over_another_file_is_asked_for(desk: Desk) -> None:
    (desk.folder.root / "other.toml").write_text("x", encoding="utf-8")
    with pytest.raises(InputError, match="there is a file of this name"):
        desk.save_as("other.toml")
    desk.save_as("other.toml", over=True)
    assert (desk.folder.root / "other.toml").read_text(encoding="utf-8") == TELLTALE
    desk.close()


def test_line_ends_of_a_file_stay(tmp_path: Path) -> None:
    (tmp_path / "dos.toml").write_bytes(TELLTALE.replace("\n", "\r\n").encode())
    desk = Desk(folder_of(tmp_path, Path("results")))
    desk.open("dos.toml")
    desk.change(Change("text", value=TELLTALE.replace("Two", "Three")))
    desk.save()
    content = (tmp_path / "dos.toml").read_bytes()
    assert content.count(b"\r\n") == content.count(b"\n")
    desk.close()


CHANGES = [
    Change("control.add", "brake", "switch", "", "54"),
    Change("control.edit", "left", "name", "", "near"),
    Change("control.edit", "left", "kind", "", "flasher"),
    Change("control.edit", "left", "most_amps", "", "8,5"),
    Change("control.remove", "right"),
    Change("lamp.add", "rear", "2", "", "P21/5W"),
    Change("lamp.edit", "small", "name", "", "tell-tale"),
    Change("lamp.edit", "small", "more", "", "R5W"),
    Change("lamp.edit", "big", "common", "", "31"),
    Change("lamp.remove", "big"),
    Change("extras", "resistors", "most", "", "1"),
    Change("extras", "lamps", "most", "", "1"),
    Change("bounds", "", "joints", "", "1"),
    Change("box", "P21W", "lamps", "", "3"),
    Change("supply", "", "system", "", "24"),
]


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: f"{change.do} {change.key or change.name}")
def test_each_change_leaves_a_spec_with_its_comments(desk: Desk, change: Change) -> None:
    desk.change(change)
    read_toml(desk.text, "tell.toml")
    gone = {"lamp.remove", "control.remove"}
    kept = [line for line in TELLTALE.splitlines() if "#" in line and "both rows" not in line]
    if change.do not in gone and change.key != "system":
        assert [line for line in desk.text.splitlines() if "#" in line and "both rows" not in line] == kept
    if change.key not in ("system",):
        assert not desk.board.findings or change.do in gone or change.key in ("kind", "2"), desk.text
    desk.undo()
    assert desk.text == TELLTALE
    desk.close()


def test_the_box_says_what_was_typed_and_goes_when_it_is_empty(desk: Desk) -> None:
    for name, have in (("P21W", "3"), ("W2.3W", "0"), ("P21W", "2")):
        desk.change(Change("box", name, "lamps", "", have))
    assert read_toml(desk.text, "tell.toml")["stock"] == {"lamps": {"P21W": 2, "W2.3W": 0}}
    assert [(one.type, one.have) for one in box_of(desk.board.document).lines] == [("P21W", 2), ("W2.3W", 0)]
    desk.change(Change("box", "W2.3W", "lamps", "", ""))
    assert read_toml(desk.text, "tell.toml")["stock"] == {"lamps": {"P21W": 2}}
    desk.change(Change("box", "P21W", "lamps", "", ""))
    assert desk.text == TELLTALE
    desk.close()


def test_prices_and_resistors_of_a_box_stay(desk: Desk) -> None:
    resistors = "resistors = [{ ohms = 10, watts = 5, have = 1 }]\n"
    desk.write(f"{TELLTALE}\n[stock]                # mine\nlamps = {{ P21W = 1 }}\n{resistors}")
    desk.change(Change("box", "P21W", "lamps", "", ""))
    assert "resistors" in read_toml(desk.text, "tell.toml")["stock"]
    assert "# mine" in desk.text
    desk.close()


def test_all_of_a_box_is_asked_by_clicking(desk: Desk) -> None:
    desk.write(
        f"{TELLTALE}\n[extras]\nresistors = {{ most = 1, series = 'E6', ohms = [1, 100], watts = [5] }}\n"
    )
    before = desk.text
    for change in (
        Change("box", "P21W", "lamps", value="2"),
        Change("copies", value="left, right,"),
        Change("margin", value="0,3"),
        Change("price", "W2.3W", value="1.2"),
        Change("price", "resistor", value="0.25"),
        Change("resistor.add"),
        Change("resistor", key="ohms", at="1", value="4.7"),
        Change("resistor.add"),
        Change("resistor", key="have", at="2", value="3"),
        Change("resistor", key="have", at="1", value=""),
        Change("resistor", key="have", at="1", value="2"),
    ):
        desk.change(change)
        assert not desk.board.findings, change
    assert read_toml(desk.text, "tell.toml")["stock"] == {
        "lamps": {"P21W": 2},
        "builds": ["left", "right"],
        "least_margin": 0.3,
        "prices": {"W2.3W": 1.2, "resistor": 0.25},
        "resistors": [{"ohms": 4.7, "watts": 5, "have": 2}, {"ohms": 10, "watts": 5, "have": 3}],
    }
    box = box_of(desk.board.document)
    assert dict(box.prices) == {"P21W": "", "W2.3W": 1.2, "resistor": 0.25}
    with pytest.raises(InputError):
        desk.change(Change("resistor", key="ohms", at="3", value="4.7"))
    desk.change(Change("margin", value="99"))
    (wrong,) = desk.board.findings
    assert desk.board.wrong_rest("stock") == (wrong,)
    for change in (
        *(Change("resistor.remove", at="1"), Change("resistor.remove", at="1"), Change("margin")),
        *(Change("price", "resistor"), Change("price", "W2.3W"), Change("copies")),
        Change("box", "P21W", "lamps"),
    ):
        desk.change(change)
    assert desk.text == before
    desk.close()


def holds(document: Any, said: Any) -> bool:
    """Whether a document says all that some lines say, each in its place."""
    if isinstance(said, dict) and isinstance(document, dict):
        return all(key in document and holds(document[key], value) for key, value in said.items())
    return bool(document == said)


@pytest.mark.parametrize("name", NONE)
def test_each_suggestion_is_taken_as_it_was_tried(name: str) -> None:
    path, ranking = ROOT / "specs" / f"{name}.toml", shipped(name)
    assert ranking.shortfall is not None
    assert ranking.shortfall.suggestions
    text = path.read_text(encoding="utf-8")
    for number, one in enumerate(ranking.shortfall.suggestions):
        document = parsed(text, path.name)
        take_suggestion(document, ranking, number)
        changed = written(document, text)
        told = read_toml(changed, path.name)
        read_document(told, path.stem, path.name, changed)
        said = read_toml(one.spec_text, "suggestion")
        rows = said.pop("behaviour", [])
        assert told != read_toml(text, path.name), one.change
        assert holds(told, said), one.change
        assert all(any(holds(other, row) for other in told["behaviour"]) for row in rows), one.change
        comments = [line for line in text.splitlines() if line.startswith("#")]
        assert [line for line in changed.splitlines() if line.startswith("#")] == comments
