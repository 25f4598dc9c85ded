"""Couplings on the page: each contact gives the feed that its standard has behind it.

Sources: ISO 1724 and ISO 11446 for what contacts 1 to 13 do, common practice in the United States for the
flat four-way and the seven-way with blades; all recalled here, and not read from the catalogue (MEMORY).
"""

from pathlib import Path

import pytest
from tests.workbench.served import TELLTALE

from lampwright.workbench.board import board_of
from lampwright.workbench.change import Change
from lampwright.workbench.desk import Desk
from lampwright.workbench.folder import folder_of
from lampwright.workbench.terminals import plugs

BEHIND = {
    "ISO 1724": {"1": "L", "2": "54g", "4": "R", "5": "58R", "6": "54", "7": "58L"},
    "ISO 11446": {"1": "L", "2": "54g", "4": "R", "5": "58R", "6": "54", "7": "58L", "8": "RF", "10": "15"},
    "four-way flat": {"2": "58", "3": "L", "4": "R"},
    "seven-way blade": {"3": "R", "9": "L", "11": "58", "centre": "RF"},
}
GROUNDS = {
    "ISO 1724": ("3",),
    "ISO 11446": ("3", "11", "13"),
    "four-way flat": ("1",),
    "seven-way blade": ("7",),
}


@pytest.mark.parametrize("name", BEHIND)
def test_each_contact_has_the_feed_of_its_standard(name: str) -> None:
    plug = next(one for one in plugs() if one.name.startswith(name))
    assert {pin.pin: feed.number for pin, feed in plug.feeds} == BEHIND[name]
    assert plug.grounds == GROUNDS[name]
    assert plug.is_flat == (name == "four-way flat")


@pytest.mark.parametrize("name", BEHIND)
def test_all_feeds_of_a_coupling_can_be_taken_into_a_spec(name: str, tmp_path: Path) -> None:
    plug = next(one for one in plugs() if one.name.startswith(name))
    picked = "\n".join(f"{f.number}={f.name}{'*' if f.kind == 'flasher' else ''}" for _, f in plug.feeds[:4])
    desk = Desk(folder_of(tmp_path, Path("results")))
    desk.text = TELLTALE
    desk.change(Change("control.plug", value=picked))
    board = board_of(desk.text, desk.folder, desk.place)
    feeds = {control.feed for control in board.asked.controls}
    assert feeds == {"58L", "58R"} | {feed.number for _, feed in plug.feeds[:4]}
    assert board.spec is not None or all("controls" not in one.place for one in board.findings)
