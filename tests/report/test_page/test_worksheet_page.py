"""A worksheet and its key in a browser: read by all, on any screen, printed on A4 with nothing cut.

Source: WCAG 2.2, levels A and AA, as far as the engine axe-core checks them; ISO 216 for A4, 210 by 297 mm.
"""

import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from tests.report.test_page.bench import Opened
from tests.selection import some
from tests.worksheets import LESSONS, pages, worksheet

Opener = Callable[..., AbstractContextManager[Opened]]
SETS = [LESSONS, ("sidecar_side_lamp",)]
IDS = ["course", "sidecar"]


@pytest.mark.parametrize("scheme", some(["light", "dark"], ["dark"]))
@pytest.mark.parametrize("names", some(SETS, SETS[1:]))
def test_axe_finds_nothing(opened: Opener, names: tuple[str, ...], scheme: str) -> None:
    library = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the library axe-playwright-python is not installed"
    )
    for html in (pages(names).student, pages(names).key):
        with opened(html, clock=False, color_scheme=scheme) as told:
            found = library.Axe().run(told.page).response["violations"]
            assert [(one["id"], [node["html"][:90] for node in one["nodes"][:3]]) for one in found] == []
            assert told.complaints == []
            assert [one for one in told.requests if not one.startswith("file:")] == []


@pytest.mark.parametrize("width", some([390, 820, 1280], 1))
@pytest.mark.parametrize("names", SETS, ids=IDS)
def test_nothing_reaches_beyond_the_page(opened: Opener, names: tuple[str, ...], width: int) -> None:
    for html in (pages(names).student, pages(names).key):
        with opened(html, clock=False, viewport={"width": width, "height": 900}) as told:
            assert told.page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("names", some(SETS, SETS[1:]))
def test_there_is_room_to_write_and_a_drawing_to_read(opened: Opener, names: tuple[str, ...]) -> None:
    with opened(pages(names).student, clock=False, viewport={"width": 718, "height": 900}) as told:
        told.page.emulate_media(media="print")
        millimetres = "* 25.4 / 96"
        cells = told.page.evaluate(
            "[...document.querySelectorAll('.predict td')].map((one) => one.getBoundingClientRect())"
            f".map((one) => [one.width {millimetres}, one.height {millimetres}])"
        )
        assert min(width for width, _ in cells) >= 12.0
        assert min(height for _, height in cells) >= 8.5
        words = told.page.evaluate(
            "[...document.querySelectorAll('.drawing text')].filter((one) => one.textContent)"
            f".map((one) => one.getBoundingClientRect().height {millimetres})"
        )
        assert min(words) >= 2.4, "letters of less than some 6.5 points in a drawing"


@pytest.mark.parametrize("names", some(SETS, SETS[1:]))
def test_a_table_stands_on_the_page_of_its_drawing(opened: Opener, names: tuple[str, ...]) -> None:
    with opened(pages(names).student, clock=False, viewport={"width": 672, "height": 900}) as told:
        told.page.emulate_media(media="print")
        told.page.add_style_tag(content="body { max-width: 178mm; padding: 0; }")
        spans = told.page.evaluate(
            "[...document.querySelectorAll('.circuit:has(.predict)')].map((one) => ["
            " one.querySelector('.predict').getBoundingClientRect().bottom - one.getBoundingClientRect().top,"
            " getComputedStyle(one.querySelector('.observe')).breakInside])"
        )
        assert spans, "no table to fill in"
        for high, within in spans:
            # A4 without its margins of 14 mm; the first has the head of the sheet above it, too
            assert high * 25.4 / 96 <= 297 - 2 * 14, "the table goes on overleaf"
            assert within == "auto", "lines to write on take the table with them"


@pytest.mark.parametrize("names", some(SETS, SETS[1:]))
def test_a_browser_prints_it_on_a4_in_black(opened: Opener, names: tuple[str, ...], tmp_path: Path) -> None:
    with opened(pages(names).student, clock=False) as told:
        told.page.pdf(path=tmp_path / "sheet.pdf", prefer_css_page_size=True)
        content = (tmp_path / "sheet.pdf").read_bytes()
        boxes = re.findall(rb"/MediaBox\s*\[([^\]]*)\]", content)
        assert len(boxes) >= len(worksheet(names).circuits)
        for box in boxes:
            assert [float(one) for one in box.split()][2:] == pytest.approx([595.3, 841.9], abs=1.0)
        told.page.emulate_media(media="print")
        colours = told.page.evaluate(
            "[...new Set([...document.querySelectorAll('body, body *')].flatMap((one) => {"
            " const style = getComputedStyle(one); return [style.color, style.backgroundColor]; }))]"
        )
        assert set(colours) <= {"rgb(0, 0, 0)", "rgb(255, 255, 255)", "rgba(0, 0, 0, 0)"}


def test_the_line_to_mark_by_names_the_right_options() -> None:
    key = pages(LESSONS).key
    (line,) = re.findall(r"<strong>To tick:</strong> (.*)</p>", key)
    told = dict(one.split() for one in line.split(", "))
    blocks = re.findall(r'(?s)<p class="ask"><strong>(\d+)\.</strong>(.*?)(?=<p class="ask">|</main>)', key)
    ticked = {
        number: letters[0]
        for number, block in blocks
        if (letters := re.findall(r'class="right">.*?class="letter">(\w)', block))
    }
    assert told == ticked
    assert len(told) > 8
