"""The bench as its user has it: a browser, a mouse, a keyboard, and a folder."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests import selection
from tests.report.test_page.test_reach import LOOKED_FOR
from tests.workbench.served import ROOT, TELLTALE, served

from lampwright.app.commands import check_files
from lampwright.app.designs import stored_ranking
from lampwright.problem.reading import read_spec

expect = pytest.importorskip("playwright.sync_api", reason="the library playwright is not installed").expect
# what is asked of the page waits for what was asked before, on a machine that may be busy with other tests
expect.set_options(timeout=30_000)
Tab = Callable[..., Any]


def answered(page: Any) -> str:
    """Wait for the answer, and give its verdict."""
    expect(page.locator("#answer-head .verdict")).to_be_visible(timeout=90_000)
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


def tab_to(page: Any, wanted: str, *, back: bool = False) -> None:
    """Press the tabulator until the focus is there, as one does who has no mouse."""
    for _ in range(200):
        if page.evaluate("document.activeElement.id") == wanted:
            return
        page.keyboard.press("Shift+Tab" if back else "Tab")
    raise AssertionError(f"the tabulator never comes to {wanted}")


def go_to_cell(page: Any, lamp: str, row: str) -> None:
    """Move to a cell with the arrows, from whichever has the focus."""
    place = [int(number) for number in cell(page, lamp, row).get_attribute("data-cell").split(",")]
    here = [int(number) for number in page.evaluate("document.activeElement.dataset.cell").split(",")]
    for at, (less, more) in enumerate((("ArrowUp", "ArrowDown"), ("ArrowLeft", "ArrowRight"))):
        for _ in range(abs(place[at] - here[at])):
            page.keyboard.press(more if place[at] > here[at] else less)
    expect(cell(page, lamp, row)).to_be_focused()


@pytest.mark.nightly
def test_from_an_empty_folder_to_a_circuit_by_keyboard_alone(place: Path, tab: Tab) -> None:
    with served(place) as bench:
        page = tab(bench.link)
        keys = page.keyboard
        for number in ("58L", "58R"):
            tab_to(page, "new-feed")
            keys.type(number)
            keys.press("Tab")
            keys.press("Enter")
            expect(page.locator(f"#ask input.feed[value='{number}']")).to_be_visible()
        for name, kind in (("big", "P21W"), ("small", "W2.3W")):
            tab_to(page, "new-lamp")
            keys.type(kind)
            keys.press("Tab")
            keys.type(name)
            keys.press("Enter")
            expect(page.locator(f"#ask .thing-name[value='{name}']")).to_be_visible()
        tab_to(page, "b1-1")
        for row, words in ASKED.items():
            for lamp, word in words.items():
                go_to_cell(page, lamp, row)
                keys.press(word[0])
                expect(cell(page, lamp, row)).to_have_attribute("aria-label", f"{lamp}, {row}: {word}")
        keys.press("Control+z")
        expect(cell(page, "small", row)).to_have_attribute("aria-label", f"small, {row}: any")
        keys.press("Control+Shift+z")
        expect(cell(page, "small", row)).to_have_attribute("aria-label", f"small, {row}: off")
        tab_to(page, "do-search")
        keys.press("Enter")
        assert "meets the spec" in answered(page) or "meet the spec" in answered(page)


@pytest.mark.nightly
def test_two_tabs_a_contradiction_and_a_program_that_dies(place: Path, tab: Tab) -> None:
    (place / "tell.toml").write_text(TELLTALE, encoding="utf-8")
    with served(place, "tell.toml") as bench:
        page = tab(bench.link)
        other = tab(f"http://127.0.0.1:{bench.port}/", context=page.context)
        assert cell(page, "big", "left on").inner_text() == "lit"
        cell(page, "big", "left on").click()
        expect(cell(other, "big", "left on")).to_have_attribute("aria-label", "big, left on: full")
        # light where nothing may be live: the same line as the command prints, in the row
        page.click("#tab-text")
        text = page.input_value("#spec-text")
        page.fill("#spec-text", text + '\n[[behaviour]]\nwhen = { left = "on" }\nshow = { big = "off" }\n')
        page.click("#text-go")
        expect(page.locator("#wishes .told").first).to_contain_text("contradicts")
        expect(page.locator("#board .cell.bad").first).to_have_text("full + off")
        expect(page.locator("#do-search")).to_be_disabled()
        expect(other.locator("#wishes .told").first).to_contain_text("contradicts")
        with pytest.raises(AssertionError, match="another page of lampwright bench has it open"):
            served(place, "tell.toml").__enter__()
        bench.end(9)
        expect(page.locator("#gone")).to_be_visible()
    with served(place, "tell.toml") as bench:
        page = tab(bench.link)
        expect(page.locator("#bar .note")).to_contain_text("not saved the last time is here again")
        expect(page.locator("#board .cell.bad").first).to_have_text("full + off")


HOSTILE = """<img src=x onerror="document.title='taken'">"""


def test_hostile_names_are_text(place: Path, tab: Tab) -> None:
    hostile = TELLTALE.replace("Two feeds and a tell-tale", HOSTILE.replace('"', "'"))
    (place / "x<b>&'.toml").write_text(hostile, encoding="utf-8")
    (place / "tell.toml").write_text(hostile.replace('"small"', '"<script>"'), encoding="utf-8")
    with served(place, "tell.toml") as bench:
        page = tab(bench.link)
        page.click("#do-files")
        expect(page.get_by_text("x<b>&'.toml")).to_be_visible()
        page.fill("#new-lamp-name", "<svg onload=alert(1)>")
        page.click("#add-lamp-go")
        expect(page.locator("#ask .thing.bad")).to_contain_text("is no plain name")
        assert page.title() == "lampwright bench"
        assert page.locator("#ask img, #ask b, #wishes svg[onload], script:not([src])").count() == 0
        page.fill("#save-name", "../out.toml")
        page.click("#save-as-go")
        expect(page.locator("#refusal")).to_contain_text("leads out of the folder")


@pytest.mark.nightly
def test_stop_go_on_and_a_suggestion(place: Path, tab: Tab) -> None:
    sidecar = (ROOT / "specs" / "sidecar_side_lamp.toml").read_text(encoding="utf-8")
    (place / "long.toml").write_text(sidecar.replace("most = 1", "most = 2"), encoding="utf-8")
    none = (ROOT / "specs" / "no_such_circuit.toml").read_text(encoding="utf-8")
    (place / "none.toml").write_text(none, encoding="utf-8")
    with served(place, "long.toml") as bench:
        page = tab(bench.link)
        page.click("#do-search")
        expect(page.locator("#run .run-said")).to_contain_text("Listing and solving", timeout=90_000)
        expect(page.locator("#progress")).to_be_visible()
        # a slow hand: the page is drawn anew meanwhile
        page.click("#do-stop", delay=900)
        expect(page.locator("#do-search")).to_have_text("Go on", timeout=30_000)
        page.click("#do-search")
        expect(page.locator("#run .run-said")).to_contain_text("Listing and solving", timeout=90_000)
        assert page.locator("#refusal").is_hidden()
        page.click("#do-stop")
        expect(page.locator("#do-search")).to_have_text("Go on", timeout=30_000)
        page.click("#do-files")
        page.get_by_text("none.toml", exact=True).click()
        expect(page.locator("#bar .file-name")).to_have_text("none.toml")
        page.click("#do-search")
        assert answered(page).startswith("No circuit")
        page.get_by_role("button", name="Leave rear open in row 1").click()
        expect(page.locator("#answer-head .verdict.found")).to_be_visible(timeout=60_000)
        expect(page.locator("#do-undo")).to_be_enabled()


def test_everyone_can_use_it_at_any_width(place: Path, tab: Tab) -> None:
    library = pytest.importorskip("axe_playwright_python.sync_playwright")
    sidecar = (ROOT / "specs" / "sidecar_side_lamp.toml").read_text(encoding="utf-8")
    (place / "a.toml").write_text(sidecar, encoding="utf-8")

    def look(page: Any) -> None:
        found = library.Axe().run(page, options=LOOKED_FOR).response
        assert len(found["passes"]) > 15, "the engine did not look"
        told = [f"{one['id']}: {one['nodes'][0]['html'][:200]}" for one in found["violations"]]
        assert not told, "\n".join(told)

    with served(place, "a.toml") as bench:
        page = tab(bench.link)
        look(page)
        page.click("#tab-own")
        page.click("#own-new")
        expect(page.locator("#own-verdict, #own-wrong")).to_be_visible(timeout=60_000)
        for wide in (390, 820, 1280, 1920):
            page.set_viewport_size({"width": wide, "height": 900})
            over = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
            assert over <= 0, f"{over} pixels too wide at {wide}"
        if selection.NIGHTLY:
            look(page)
        page.click("#tab-text")
        page.click("#do-files")
        put(page, "tail", "brake on, lights on", "off")
        if selection.NIGHTLY:
            look(page)
        page.emulate_media(color_scheme="dark")
        look(page)


@pytest.mark.nightly
def test_what_lies_in_the_box_is_asked_by_clicking(place: Path, tab: Tab) -> None:
    (place / "tell.toml").write_text(TELLTALE, encoding="utf-8")
    with served(place, "tell.toml") as bench:
        page = tab(bench.link)
        page.click("details.box summary")
        page.get_by_label("How many P21W").fill("2")
        page.get_by_label("How many P21W").press("Tab")
        page.click("#tab-text")
        expect(page.locator("#pane-text textarea")).to_have_value(re.compile(r"P21W = 2"))
        assert page.locator("details.box").get_attribute("open") is not None
        page.get_by_label("How many W2.3W").fill("1")
        page.get_by_label("How many W2.3W").press("Enter")
        page.click("#tab-answer")
        page.click("#do-search")
        assert "2 circuits meet" in answered(page)
        sheet = page.frame_locator("#sheet")
        expect(sheet.locator("#stock")).to_contain_text("P21W")


def test_a_circuit_of_ones_own(place: Path, tab: Tab) -> None:
    (place / "tell.toml").write_text(TELLTALE, encoding="utf-8")
    with served(place, "tell.toml") as bench:
        page = tab(bench.link)
        page.click("#tab-own")
        page.click("#own-new")
        expect(page.locator("#own-verdict")).to_have_text("It does not meet the spec.", timeout=60_000)
        page.select_option("#o2-from", "58R")
        expect(page.locator("#own-wrong, #own-verdict")).to_be_visible()
        page.select_option("#o2-to", "58L")
        expect(page.locator("#own-verdict")).to_contain_text("It meets the spec")
        page.select_option("#own-at", "right on")
        left = page.locator('#own-drawing .feed[data-node="58L"] .blade.closed')
        expect(left).to_have_attribute("display", "none")
        small = page.locator("#own-lamps tr", has_text="small").locator("td").first
        expect(small).to_contain_text("full")
        glow = page.locator('#own-drawing .part[data-ref="small"] .glow')
        assert float(glow.get_attribute("opacity")) > 0.9
        blade = page.locator('#own-drawing .feed[data-node="58R"] .blade.closed')
        assert blade.get_attribute("display") == "inline", "the switch is drawn as it stands"
        page.fill("#own-volts", "6")
        page.press("#own-volts", "Enter")
        expect(small).to_have_text("full 3.2 %")
        page.click("#o1-break")
        expect(page.locator("#own-lamps tr", has_text="big").locator("td").first).to_have_text("broken")
        expect(small).to_have_text("off")
        page.click("#o1-break")
        expect(small).to_have_text("full 3.2 %")
        page.fill("#o2-type", "R5W")
        page.press("#o2-type", "Enter")
        expect(page.locator("#own-verdict")).to_be_visible()
        page.click("#own-r")
        expect(page.locator("#own-drawing .part.resistor")).to_have_count(1)
        page.click("#o3-gone")
        expect(page.locator("#own-drawing .part.resistor")).to_have_count(0)


@pytest.mark.nightly
def test_a_circuit_of_ones_own_is_saved(place: Path, tab: Tab) -> None:
    (place / "tell.toml").write_text(TELLTALE, encoding="utf-8")
    with served(place, "tell.toml") as bench:
        page = tab(bench.link)
        page.click("#tab-own")
        page.click("#own-new")
        page.fill("#o2-type", "R5W")
        page.press("#o2-type", "Enter")
        page.fill("#own-name", "mine_circuit.toml")
        with page.expect_response("**/do") as saved:
            page.click("#own-save-go")
        assert saved.value.json()["refusal"] == ""
        # the page is drawn anew with every change, and goes on with the name that was given
        page.click("#o1-break")
        expect(page.locator("#o1-break")).to_contain_text("Mend")
        expect(page.locator("#own-name")).to_have_value("mine_circuit.toml")
        page.fill("#own-name", "tell.toml")
        page.click("#own-save-go")
        expect(page.locator("#refusal")).to_contain_text("there is a file of this name already")
        page.click("#own-r")
        expect(page.locator("#o3-type, #o3-ohms")).to_be_visible()
        page.locator("#o1-break").press("Control+z")
        expect(page.locator("#o3-ohms")).to_have_count(0)
        page.click("#own-redo")
        expect(page.locator("#o3-ohms")).to_have_count(1)
    with served(place, "tell.toml") as bench:
        page = tab(bench.link)
        page.click("#tab-own")
        expect(page.locator("#o3-ohms")).to_have_value("10")
        page.select_option("#own-open", "mine_circuit.toml")
        expect(page.locator("#o3-ohms")).to_have_count(0)
    assert (
        check_files(place / "tell.toml", place / "mine_circuit.toml", (), None).design.parts[1].type == "R5W"
    )
