"""A word put in a cell: the file says it, says nothing else otherwise, and keeps its comments and order."""

from itertools import product
from pathlib import Path

import pytest
from tests.workbench.served import ROOT, TELLTALE

from lampwright.errors import InputError
from lampwright.spec.load import parse_spec
from lampwright.spec.model import Spec
from lampwright.spec.states import expand_states
from lampwright.workbench.board import board_of
from lampwright.workbench.change import Change
from lampwright.workbench.desk import Desk
from lampwright.workbench.folder import folder_of

SIDECAR = (ROOT / "specs" / "sidecar_side_lamp.toml").read_text(encoding="utf-8")


def desk_of(text: str, folder: Path) -> Desk:
    desk = Desk(folder_of(folder, Path("results")))
    desk.text = text
    return desk


def asked(spec: Spec) -> dict[tuple[str, int], str]:
    """What is asked of every filament in every state, word by word, as the reading of the file tells."""
    names = [name for lamp in spec.lamps for name in lamp.filaments]
    return {
        (f"{dict(state.setting)}{state.phase}{state.failures}", at): "".join(sorted(str(band)))
        for state in expand_states(spec)
        for at, band in zip(range(len(names)), state.bands, strict=True)
    }


def test_a_cell_changes_what_is_asked_there_and_nowhere_else(tmp_path: Path) -> None:
    # two ways: the page's own reading of the file, and the states that a search expands it into
    before = asked(parse_spec(SIDECAR, "a"))
    board = desk_of(SIDECAR, tmp_path).board
    for row, name in product(board.rows, ("front", "tail")):
        desk = desk_of(SIDECAR, tmp_path)
        desk.change(Change("cell", name, "", row.key, "dim"))
        spec = parse_without_findings(desk.text)
        after = asked(spec)
        changed = {key for key in after if after[key] != before[key]}
        assert {at for _, at in changed} <= {("front", "side", "stop", "tail").index(name)}
        dead = "{'turn': 'off', 'brake': 'off', 'lights': 'off'}"
        assert len({key for key, _ in changed} - {dead}) == 1, f"{row.key}: {name}"
        found = next(one for one in desk.board.rows if one.key == row.key)
        assert next(cell.word for cell in found.cells if cell.lamp == name) == "dim"


def parse_without_findings(text: str) -> Spec:
    """The spec of a text whose rows may contradict electrically: with words that never do."""
    from lampwright.spec.build import build_spec
    from lampwright.toml_file import read_toml

    document = read_toml(text, "a.toml")
    told = {key: document[key] for key in ("supply", "controls", "lamps", "behaviour")}
    told["supply"] = {**told["supply"], "always_live": False, "system": 12.0}
    return build_spec(told, "a", "")


def test_a_row_of_the_file_is_changed_as_a_whole_where_that_is_asked(tmp_path: Path) -> None:
    desk = desk_of(SIDECAR, tmp_path)
    row = next(one for one in desk.board.rows if one.setting == "lights on")
    desk.change(Change("cell", "tail", "row", row.key, "full"))
    assert desk.text == SIDECAR.replace('tail = "lit"', 'tail = "full"')


def test_comments_and_order_stay(tmp_path: Path) -> None:
    desk = desk_of(TELLTALE, tmp_path)
    row = next(one for one in desk.board.rows if one.setting == "left on, right on")
    desk.change(Change("cell", "small", "", row.key, "off"))
    kept = [line for line in TELLTALE.splitlines() if "#" in line]
    assert [line for line in desk.text.splitlines() if "#" in line] == kept
    assert desk.text.startswith(TELLTALE.rstrip())
    desk.undo()
    assert desk.text == TELLTALE


def test_both_phases_of_a_flasher_make_one_word(tmp_path: Path) -> None:
    desk = desk_of(SIDECAR, tmp_path)
    rows = {one.phase: one.key for one in desk.board.rows if one.setting == "turn on, brake on, lights on"}
    desk.change(Change("cell", "tail", "", rows["open"], "off"))
    assert '"lights" = "on"' not in desk.text, "plain keys need no quotes"
    assert 'tail = "flash"' in desk.text
    desk.change(Change("cell", "tail", "", rows["closed"], "dim"))
    assert 'tail = "dim/off"' in desk.text
    desk.change(Change("cell", "tail", "", rows["closed"], "any"))
    desk.change(Change("cell", "tail", "", rows["open"], "any"))
    assert parse_spec(desk.text, "a")


def test_what_is_wrong_stands_in_its_cell(tmp_path: Path) -> None:
    desk = desk_of(SIDECAR, tmp_path)
    rows = {(one.setting, one.phase): one.key for one in desk.board.rows}
    desk.change(Change("cell", "stop", "", rows["brake on", ""], "off"))
    board = board_of(desk.text, desk.folder, tmp_path / "a.toml")
    wrong = {
        (row.setting, row.phase, cell.lamp): cell.wrong[0].said
        for row in board.rows
        for cell in row.cells
        if cell.wrong
    }
    assert board.findings, "a flasher whose contact is open is, to the lamps, a flasher that is off"
    assert any("the contacts join what they join with" in said for said in wrong.values())
    assert {lamp for _, _, lamp in wrong} == {"stop"}


@pytest.mark.parametrize("key", ["", "[]", '[["brake", "on"]]', '[[["brake"]], [], ""]', "{" * 5000])
def test_a_row_that_is_none_is_refused(tmp_path: Path, key: str) -> None:
    desk = desk_of(SIDECAR, tmp_path)
    with pytest.raises(InputError):
        desk.change(Change("cell", "nobody", "", key, "lit"))
    assert desk.text == SIDECAR


def test_rows_for_what_has_failed_come_and_go(tmp_path: Path) -> None:
    desk = desk_of(TELLTALE, tmp_path)
    at = next(one.key for one in desk.board.rows if one.setting == "left on")
    desk.change(Change("failure.add", "big", "failed", at))
    row = next(one for one in desk.board.rows if one.damage)
    desk.change(Change("cell", "small", "", row.key, "lit"))
    assert 'failed = "big"' in desk.text
    assert parse_spec(desk.text, "a").behaviour[-1].failures.failed == ("big",)
    desk.change(Change("failure.remove", "", "", row.key))
    assert desk.text == TELLTALE
