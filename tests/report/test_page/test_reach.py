"""Everyone can use the page: an accessibility engine, small screens, paper, no script.

Source: WCAG 2.2, levels A and AA, as far as the engine axe-core checks them.
"""

from typing import Any

import pytest
from tests.report.test_page.bench import FOUND, NONE, run_of
from tests.report.test_page.conftest import Opener
from tests.selection import some, some_rows

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
# Only what is wrong is described node by node; the rest is counted by rule, in three fifths of the time.
LOOKED_FOR = {"runOnly": {"type": "tag", "values": RULES}, "resultTypes": ["violations"]}
SCREENS = [(360, 740), (800, 1000), (1400, 900)]
PAGES = ["sidecar_side_lamp", "selector_dims", "trailer_feed_telltale", "reversing", "long_names", NONE]
LOOKS = [(name, scheme) for name in PAGES for scheme in ("light", "dark")]
MODES = [(name, scheme) for name in ("sidecar_side_lamp", "long_names") for scheme in ("light", "dark")]


def violations(engine: Any, page: Any) -> list[str]:
    found = engine.run(page, options=LOOKED_FOR).response
    assert len(found["passes"]) > 20, "the engine did not look"
    return [f"{one['id']}: {one['nodes'][0]['html'][:200]}" for one in found["violations"]]


@pytest.mark.parametrize(
    ("name", "scheme"),
    some_rows(LOOKS, [("sidecar_side_lamp", "light"), (NONE, "dark")]),
)
def test_the_engine_finds_no_violation(name: str, scheme: str, opened: Opener, engine: Any) -> None:
    wide, high = SCREENS[0] if scheme == "light" else SCREENS[2]
    # The engine waits by the clock, which therefore must run.
    settings = {"color_scheme": scheme, "viewport": {"width": wide, "height": high}}
    with opened(run_of(name).html, clock=False, **settings) as bench:
        told = violations(engine, bench.page)
        assert not told, "\n".join(told)


@pytest.mark.parametrize(
    ("name", "scheme"),
    some_rows(MODES, [("sidecar_side_lamp", "dark")]),
)
def test_the_engine_finds_no_violation_in_any_mode(
    name: str, scheme: str, opened: Opener, engine: Any
) -> None:
    with opened(run_of(name).html, clock=False, color_scheme=scheme, reduced_motion="reduce") as bench:
        bench.page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        bench.page.get_by_label("Supply", exact=True).fill("0")
        told = violations(engine, bench.page)
        if name == "long_names":
            bench.page.get_by_role("radio", name="left_lamp_of_the_trailer_behind failed").check()
            told += violations(engine, bench.page)
        bench.press("Predict")
        told += violations(engine, bench.page)
        bench.press("Reveal")
        told += violations(engine, bench.page)
        bench.press("Present")
        told += violations(engine, bench.page)
        assert not told, f"{name}: " + "\n".join(told)


@pytest.mark.nightly
def test_the_engine_finds_no_violation_under_a_fault(opened: Opener, engine: Any) -> None:
    for scheme, (wide, high) in (("dark", SCREENS[0]), ("light", SCREENS[2])):
        settings = {"color_scheme": scheme, "viewport": {"width": wide, "height": high}}
        with opened(run_of("sidecar_side_lamp").html, clock=False, **settings) as bench:
            bench.choose_fault("lamp rear missing")
            bench.page.locator(".sheet:visible .figures summary").click()
            found = engine.run(bench.page, options=LOOKED_FOR).response
            told = [f"{one['id']}: {one['nodes'][0]['html'][:200]}" for one in found["violations"]]
            assert not told, "\n".join(told)


@pytest.mark.parametrize("name", some([*FOUND, NONE], ["long_names", NONE]))
def test_nothing_is_wider_than_the_screen(name: str, opened: Opener) -> None:
    # WCAG 2.2, 1.4.10: reflow at 320 pixels
    for wide, high in ((320, 640), *SCREENS):
        with opened(run_of(name).html, viewport={"width": wide, "height": high}) as bench:
            over = bench.page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
            assert over <= 0, f"{over} pixels too wide at {wide}"


@pytest.mark.parametrize("wide", some([1000, 1400], 1))
def test_the_bench_holds_its_table(wide: int, opened: Opener) -> None:
    # the widest words: a fault, a counterflash, a lamp that is missed
    with opened(run_of("sidecar_side_lamp").html, viewport={"width": wide, "height": 900}) as bench:
        bench.put("turn", "on")
        bench.put("brake", "on")
        bench.choose_fault("ground lost at rear")
        over = bench.page.locator("#bench").evaluate("one => one.scrollWidth - one.clientWidth")
        assert over <= 0, f"{over} pixels of the table are cut off"


def test_text_twice_as_large_still_fits(opened: Opener) -> None:
    # WCAG 2.2, 1.4.4 and 1.4.10: 200 % text, and reflow at 320 pixels
    with opened(run_of("sidecar_side_lamp").html, viewport={"width": 640, "height": 900}) as bench:
        bench.page.evaluate("document.documentElement.style.fontSize = '200%'")
        assert bench.page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 0, (
            "too wide"
        )


FAULTS = ["no fault", "lamp rear missing", "ground lost at rear", "49a and 54 bridged"]


@pytest.mark.parametrize("fault", some(FAULTS, ["lamp rear missing"]))
def test_drawn_words_stay_apart(fault: str, opened: Opener) -> None:
    with opened(run_of("sidecar_side_lamp").html) as bench:
        bench.choose_fault(fault)
        boxes = bench.page.locator(".sheet:visible .drawing text").evaluate_all(
            """all => all.filter((one) => one.textContent).map((one) => {
              const box = one.getBoundingClientRect();
              return [one.textContent, box.left, box.top + 2, box.right, box.bottom - 2];
            })"""
        )
        assert len(boxes) > 10, "the drawing has no words"
        for at, (one, left, top, right, bottom) in enumerate(boxes):
            for other, left2, top2, right2, bottom2 in boxes[:at]:
                apart = right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top
                assert apart, f"{one} and {other} overlap"


def test_on_paper_stands_all_that_is_of_use(opened: Opener) -> None:
    with opened(run_of("sidecar_side_lamp").html) as bench:
        bench.page.emulate_media(media="print")
        page = bench.page
        assert page.locator("button:not(.why):visible").count() == 0, "a button is printed"
        assert page.locator("nav:visible").count() == 0, "links to jump are printed"
        assert page.locator("select:visible").count() == 0, "a list to choose from is printed"
        assert page.locator("input[type=range]:visible").count() == 0, "a slider is printed"
        assert page.locator("details:not([open]):visible").count() == 0, (
            "what is folded is printed as an offer"
        )
        shown = page.locator(".positions span:visible").all_inner_texts()
        assert len(shown) == page.locator(".switches fieldset").count(), "not the one position of each switch"
        scenes = page.locator(".sheet:visible .scene")
        assert page.locator(".sheet:visible .scene:visible").count() == scenes.count(), "text is missing"
        assert page.locator(".drawing svg:visible").count() == 1, "the drawing is missing"
        assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"


A4 = 210 - 2 * 12, 297 - 2 * 12
"""Width and height of a sheet of paper within its margins [mm]."""
MM = 96 / 25.4


@pytest.mark.parametrize("name", some(["sidecar_side_lamp", "selector_dims", "no_such_circuit"], 1))
def test_paper_cuts_no_drawing(name: str, opened: Opener) -> None:
    with opened(run_of(name).html, viewport={"width": int(A4[0] * MM), "height": 900}) as bench:
        bench.page.emulate_media(media="print")
        drawing = bench.page.locator(".drawing svg:visible").first
        left, right, high = drawing.evaluate(
            "one => { const box = one.getBoundingClientRect(); return [box.left, box.right, box.height]; }"
        )
        assert 0.0 <= left < right <= A4[0] * MM, "it is cut"
        assert high <= A4[1] * MM, "it does not fit a sheet"
        broken = drawing.evaluate("one => getComputedStyle(one.closest('figure')).breakInside")
        assert broken == "avoid", "a drawing goes on overleaf"
        overflow = bench.page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert overflow <= 0, "the page is wider than the paper"


def test_without_its_script_everything_can_be_read(opened: Opener) -> None:
    with opened(run_of("selector_dims").html, clock=False, java_script_enabled=False) as bench:
        page, designs = bench.page, len(run_of("selector_dims").told["designs"])
        assert page.locator(".sheet").count() == designs > 1, "designs are missing"
        assert all(page.locator(".sheet").nth(at).is_visible() for at in range(designs)), "a design is hidden"
        assert page.locator("noscript").count() == 1, "nobody says why nothing moves"
        assert not page.locator("fieldset").first.is_visible(), "dead switches are shown"
