"""What specs can say beside the board, asked in a browser as a user does: by mouse, and by keyboard alone."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.workbench.served import TELLTALE, served
from tests.workbench.test_user import tab_to

from lampwright.spec.load import load_spec
from lampwright.spec.model import Spec

expect = pytest.importorskip("playwright.sync_api", reason="the library playwright is not installed").expect
Tab = Callable[..., Any]


def saved(page: Any, place: Path) -> Spec:
    """Save by the key for it, and read the file as a command does."""
    page.keyboard.press("Control+s")
    expect(page.locator("#bar .file-state")).to_contain_text("saved")
    expect(page.locator("#do-save")).to_be_disabled()
    return load_spec(place / "tell.toml")


@pytest.mark.nightly
def test_comparisons_zones_and_wires_by_mouse(place: Path, tab: Tab) -> None:
    (place / "tell.toml").write_text(TELLTALE, encoding="utf-8")
    with served(place, "tell.toml") as bench:
        page = tab(bench.link)
        page.click("#comparing summary")
        page.click("#add-same")
        # both lamps cannot be equal where one is asked off and the other lit: told in its place, and at once
        expect(page.locator("#same-1-wrong")).to_contain_text("no types on offer then give equal light")
        expect(page.locator("#do-search")).to_be_disabled()
        expect(page.locator("#run .todo")).to_have_count(0)
        page.get_by_label("with left, equal lamps, row 1", exact=True).select_option("on")
        expect(page.locator("#same-1-wrong")).to_have_count(0)
        page.click("#add-brighter")
        page.get_by_label("with left, brighter lamp, row 1", exact=True).select_option("on")
        page.get_by_label("compared with right, brighter lamp, row 1", exact=True).select_option("off")
        page.fill("#brighter-1-by", "1.5")
        page.press("#brighter-1-by", "Enter")
        page.click("#placing summary")
        for thing, zone in (("supply", "front"), ("left", "front"), ("right", "front"), ("big", "rear")):
            page.get_by_label(f"Zone of {thing}").fill(zone)
            page.get_by_label(f"Zone of {thing}").press("Tab")
        page.check("#wiring")
        page.get_by_label("Metres of a wire, front-rear").fill("3.5")
        page.get_by_label("Metres of a wire, front-rear").press("Tab")
        expect(page.get_by_label("Metres of a wire, front-rear")).to_have_value("3.5")
        spec = saved(page, place)
        assert (spec.same[0].lamps, spec.same[0].when) == (("big", "small"), (("left", "on"),))
        row = spec.brighter[0]
        assert (row.lamp, row.than, row.by, row.versus) == ("big", "small", 1.5, (("right", "off"),))
        assert dict(spec.place.zone_of) == {
            "supply": "front",
            "left": "front",
            "right": "front",
            "big": "rear",
        }
        assert spec.wiring is not None
        assert spec.wiring.lengths == (("front", "rear", 3.5),)
        assert "# A tell-tale between two feeds. This line stays." in spec.text
        assert "# both rows at once" in spec.text
        page.click("#do-undo")
        expect(page.get_by_label("Metres of a wire, front-rear")).to_have_value("")
        page.click("#brighter-1-gone")
        expect(page.locator("#brighter-1-lamp")).to_have_count(0)
        page.click("#do-undo")
        expect(page.locator("#brighter-1-by")).to_have_value("1.5")


def test_choices_zones_and_comparisons_by_keyboard_alone(place: Path, tab: Tab) -> None:
    (place / "tell.toml").write_text(TELLTALE, encoding="utf-8")
    with served(place, "tell.toml") as bench:
        page = tab(bench.link)
        keys = page.keyboard
        for part in ("choosing", "placing", "comparing"):
            tab_to(page, f"{part}-head", back=part != "choosing")
            keys.press("Enter")
        tab_to(page, "add-brighter")
        keys.press("Enter")
        # the focus goes to what was added
        expect(page.locator("#brighter-1-lamp")).to_be_focused()
        tab_to(page, "brighter-1-with1")
        keys.type("on")
        expect(page.locator("#brighter-1-with1")).to_have_value("on")
        for field, typed in (("zone-1", "front"), ("zone-4", "rear"), ("conductors", "2")):
            tab_to(page, field)
            keys.type(typed)
            keys.press("Tab")
        tab_to(page, "add-either")
        keys.press("Enter")
        expect(page.locator("#either-1-1-1-when1")).to_be_focused()
        tab_to(page, "either-1-1-1-2")
        keys.press("Enter")
        expect(page.locator("#either-1-1-1-2")).to_have_attribute(
            "aria-label", "small, alternative 1 of choice 1: off"
        )
        expect(page.locator("#either-1-1-1-2")).to_be_focused()
        tab_to(page, "add-code")
        keys.press("Enter")
        expect(page.locator("#code-1-control")).to_be_focused()
        tab_to(page, "code-1-gone")
        keys.press("Enter")
        expect(page.locator("#code-1-control")).to_have_count(0)
        spec = saved(page, place)
        assert dict(spec.place.zone_of) == {"supply": "front", "big": "rear"}
        assert spec.place.most_conductors == 2
        assert spec.brighter[0].when == (("left", "on"),)
        assert {tuple(row.show for row in rows) for rows in spec.ways} == {
            ((("big", "lit"), ("small", "off")),),
            ((("small", "lit"),),),
        }


SEEN = """(wanted) => {
    const one = document.querySelector(wanted), { left, right, top, bottom } = one.getBoundingClientRect();
    const over = document.elementFromPoint((left + right) / 2, (top + bottom) / 2);
    return top >= 0 && bottom <= window.innerHeight && one.contains(over);
}"""
"""Whether all of an element is on the screen, and nothing lies over its middle."""


def test_on_a_phone_the_search_and_what_is_to_mend_are_at_hand(place: Path, tab: Tab) -> None:
    (place / "tell.toml").write_text(TELLTALE, encoding="utf-8")
    with served(place, "tell.toml") as bench:
        page = tab(bench.link, 390, 844)
        assert page.evaluate(SEEN, "#do-search")
        page.click("#do-search")
        expect(page.locator("#to-answer")).to_be_visible(timeout=90_000)
        assert not page.evaluate(SEEN, "#answer-head .verdict")
        page.click("#tab-text")
        page.click("#to-answer")
        assert page.evaluate(SEEN, "#answer-head .verdict")
        page.click("#comparing-head")
        page.click("#add-same")
        expect(page.locator("#same-1-wrong")).to_be_visible()
        page.click("#comparing-head")
        page.evaluate("window.scrollTo(0, 0)")
        page.click("#to-wrong")
        expect(page.locator("#same-1-within")).to_be_focused()
        assert page.evaluate(SEEN, "#same-1-within")
