"""A click on what a lamp does tells why: its state is shown, and what explains it is marked.

Source: none; what is marked is held against the page's own words, the sidecar's against what is known of it.
"""

import pytest
from tests.report.test_page.bench import NONE, Opened, run_of
from tests.report.test_page.conftest import Opener
from tests.selection import some

ROWS = ".sheet:not([hidden]) table.states tbody tr"


def reasons(page: Opened) -> list[str]:
    """What is marked, with plain spaces."""
    return [one.replace("\u00a0", " ") for one in page.page.locator(".reason:visible").all_inner_texts()]


CLICKED = """() => {
    const seen = (one) => one.getClientRects().length > 0;
    const all = (what) => [...document.querySelectorAll(what)];
    const lamps = all(".sheet:not([hidden]) .states th.lamp").filter(seen).map((one) => one.innerText.trim());
    return all("ROWS").flatMap((row) => [...row.querySelectorAll("button.why")].map((word, at) => {
        word.click();
        return {
            lamp: lamps[at],
            states: row.dataset.states.split(" "),
            state: document.querySelector("#bench").dataset.state,
            scenes: all(".group:has(.scene:focus) h4").map((one) => one.innerText),
            reasons: all(".reason").filter(seen).map((one) => one.innerText),
        };
    }));
}""".replace("ROWS", ROWS)
"""Clicks every word of the table, in the page itself: a browser that is driven takes a second for each."""


def test_a_side_lamp_between_two_feeds_is_told_by_its_own_path(opened: Opener) -> None:
    with opened(run_of("sidecar_side_lamp").html) as page:
        page.page.locator(ROWS).nth(9).locator("button.why").nth(1).click()
        assert page.seen()["rows"][0]["cells"] == [
            "off",
            "full 98 %".replace(" %", "\u00a0%"),
            *page.seen()["rows"][0]["cells"][2:],
        ]
        told = reasons(page)
    assert told[0] == "From feed 54, 0.17 A flows through side to feed 49a, then through front to ground."
    assert all("side" in one for one in told)


@pytest.mark.parametrize("name", some(["sidecar_side_lamp", "recovery_alternating_pair", "selector_dims"], 1))
def test_every_word_leads_to_its_state_and_to_a_scene_of_its_lamp(opened: Opener, name: str) -> None:
    with opened(run_of(name).html) as page:
        found = page.page.evaluate(CLICKED)
    assert len(found) > 5
    for one in found:
        assert one["state"] in one["states"]
        assert len(one["scenes"]) == 1, "one scene has the focus"
        assert one["lamp"] in one["scenes"][0].split(", "), f"{one['lamp']} is told elsewhere"
        assert all(one["lamp"] in reason or "live" in reason for reason in one["reasons"])


def test_a_second_click_lets_it_be(opened: Opener) -> None:
    with opened(run_of("sidecar_side_lamp").html) as page:
        word = page.page.locator(".lamps .why").first
        word.click()
        assert reasons(page)
        word.press("Enter")
        assert not reasons(page)


def test_the_nearest_circuit_tells_why_as_well(opened: Opener) -> None:
    with opened(run_of(NONE).html) as page:
        page.page.locator(".lamps .why").first.click()
        assert reasons(page)
