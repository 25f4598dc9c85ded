"""The plot of trade-offs in a real browser: read by an accessibility engine, on small screens, on paper.

Source: WCAG 2.2, levels A and AA, as far as the engine axe-core checks them.
"""

from importlib.resources import files
from typing import Any

import pytest
from tests.report.test_front import OPEN, WHOLE
from tests.report.test_page.conftest import Opener
from tests.report.test_page.test_reach import LOOKED_FOR, SCREENS
from tests.selection import some, some_rows

from lampwright.report.page.file import front_html
from lampwright.results.ranking import Front, Ranking


def page_of(front: Front, ranking: Ranking) -> str:
    """The front alone on a page, in the page's own style, with the sheets it leads to."""
    style = (files("lampwright.report") / "page" / "page.css").read_text(encoding="utf-8")
    sheets = "".join(f'<p id="design-{n}">Design {n}</p>' for n in range(1, 8))
    part = front_html(front, ranking.designs, 7)
    return (
        '<!DOCTYPE html><html lang="en"><head><title>Front</title><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<style>{style}</style></head><body><main><h1>Front</h1><h2>Answer</h2>{part}{sheets}</main></body></html>"
    )


@pytest.mark.parametrize("front", some([OPEN, WHOLE], 1))
def test_the_engine_finds_no_violation(sidecar: Ranking, front: Front, opened: Opener) -> None:
    library: Any = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the library axe-playwright-python is not installed"
    )
    for scheme, (wide, high) in (("light", SCREENS[0]), ("dark", SCREENS[2])):
        settings = {"color_scheme": scheme, "viewport": {"width": wide, "height": high}}
        with opened(page_of(front, sidecar), clock=False, **settings) as bench:
            found = library.Axe().run(bench.page, options=LOOKED_FOR).response
            assert len(found["passes"]) > 10, "the engine did not look"
            told = [f"{one['id']}: {one['nodes'][0]['html'][:200]}" for one in found["violations"]]
            assert not told, "\n".join(told)


@pytest.mark.parametrize(("wide", "high"), some_rows(SCREENS, 1))
def test_words_stay_apart_within_the_screen(sidecar: Ranking, wide: int, high: int, opened: Opener) -> None:
    with opened(page_of(WHOLE, sidecar), viewport={"width": wide, "height": high}) as bench:
        over = bench.page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert over <= 0, f"{over} pixels too wide"
        boxes = bench.page.locator(".front figure > svg").evaluate(
            """drawing => [drawing, ...drawing.querySelectorAll("text")].map((one) => {
              const box = one.getBoundingClientRect();
              return [one.textContent, box.left, box.top + 2, box.right, box.bottom - 2];
            })"""
        )
        (_, edge, _, end, _), *words = boxes
        assert len(words) > 10, "the plot has no words"
        for at, (one, left, top, right, bottom) in enumerate(words):
            assert edge <= left, f"{one} is cut off"
            assert right <= end, f"{one} is cut off"
            for other, left2, top2, right2, bottom2 in words[:at]:
                apart = right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top
                assert apart, f"{one} and {other} overlap"


def test_a_mark_leads_to_its_design_and_paper_has_all_marks(sidecar: Ranking, opened: Opener) -> None:
    with opened(page_of(WHOLE, sidecar)) as bench:
        bench.page.get_by_role("link", name="Design 2: 1 extra part").click()
        assert bench.page.url.endswith("#design-2"), "it leads elsewhere"
        assert bench.complaints == [], "the console complains"
        bench.page.emulate_media(media="print")
        marks = bench.page.locator(".front figure > svg .marker")
        assert marks.count() == 3, "two equal designs are one mark"
        assert all(marks.nth(at).is_visible() for at in range(3)), "a mark is not printed"
        assert bench.page.locator(".front td:visible").count() == 4 * 6, "a cell is not printed"
