"""The bench as its user has it: a browser, a mouse, a keyboard, and a folder."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.workbench.served import served

from lampwright.app.designs import stored_ranking
from lampwright.problem.reading import read_spec

expect = pytest.importorskip("playwright.sync_api", reason="the library playwright is not installed").expect
Tab = Callable[..., Any]


def answered(page: Any) -> str:
    """Wait for the answer, and give its verdict."""
    expect(page.locator("#answer-head .verdict")).to_be_visible(timeout=25_000)
    expect(page.locator("#do-stop")).to_have_count(0)
    return str(page.inner_text("#answer-head .verdict"))


def cell(page: Any, lamp: str, row: str) -> Any:
    """A cell of the board, by what it is called to one who does not see it."""
    return page.locator(f'#board .cell[aria-label^="{lamp}, {row}: "]')


def put(page: Any, lamp: str, row: str, word: str) -> None:
    """Click a cell until it says a word."""
    own = cell(page, lamp, row)
    for _ in range(5):
        said = own.get_attribute("aria-label")
        if said == f"{lamp}, {row}: {word}":
            return
        own.click()
        expect(own).not_to_have_attribute("aria-label", said)
    raise AssertionError(f"{lamp}, {row} never says {word}")


ASKED = {
    "left lights on": {"big": "lit", "small": "any"},
    "right lights on": {"small": "lit", "big": "off"},
    "left lights on, right lights on": {"small": "off"},
}


def test_from_an_empty_folder_to_a_circuit_by_mouse(place: Path, tab: Tab) -> None:
    with served(place) as bench:
        page = tab(bench.link)
        page.fill("#title", "Made by mouse")
        for number in ("58L", "58R"):
            page.select_option("#new-feed", number)
            page.click("#add-control-go")
            page.wait_for_selector(f"#ask input.feed[value='{number}']")
        for name, kind in (("big", "P21W"), ("small", "W2.3W")):
            page.select_option("#new-lamp", kind)
            page.fill("#new-lamp-name", name)
            page.click("#add-lamp-go")
            page.wait_for_selector(f"#ask .thing-name[value='{name}']")
        page.fill("#joints", "0")
        page.dispatch_event("#joints", "change")
        for row, words in ASKED.items():
            for lamp, word in words.items():
                put(page, lamp, row, word)
        expect(page.locator("#count strong")).to_be_visible()
        page.fill("#first-name", "mine.toml")
        page.click("#do-search")
        assert answered(page).startswith("1 circuit meets the spec")
        sheet = page.frame_locator("#sheet")
        sheet.locator(".sheet").first.wait_for()
        assert sheet.locator("h1").inner_text() == "Made by mouse"
    spec = read_spec(place / "mine.toml")
    assert stored_ranking(spec, place / "mine.toml", place / "results").verdict.kind == "found"
    assert not list(place.glob("*.unsaved"))
