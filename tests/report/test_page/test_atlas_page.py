"""The page of an atlas and its poster in a browser: found by clicking, read by all, printed on one sheet.

Source: WCAG 2.2, levels A and AA, as far as the engine axe-core checks them; ISO 216 for A4.
"""

import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from functools import cache
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from tests.report.test_page.bench import Opened
from tests.selection import some

from lampwright.app.atlas import bound_of, make_atlas
from lampwright.app.atlas_options import AtlasOptions
from lampwright.app.controls import controls_of
from lampwright.atlas.bound import Size, spec_of
from lampwright.atlas.gather import renamed
from lampwright.progress.bar import quiet
from lampwright.report.page.atlas import atlas_page, atlas_poster, drawn_entries
from lampwright.results.atlas import Atlas
from lampwright.results.json_text import as_written

Opener = Callable[..., AbstractContextManager[Opened]]
FEW = AtlasOptions(feeds=2, lamps=3, always_live=True)
MANY = AtlasOptions(feeds=3, lamps=3, always_live=True, joints=1)


@cache
def files(options: AtlasOptions) -> tuple[Atlas, str, str]:
    """An atlas, its page and its poster."""
    bound = bound_of(options)
    drawn = make_atlas(bound, options, quiet())
    atlas = as_written(drawn.atlas)
    entries = drawn_entries(atlas, drawn.designs, controls_of(spec_of(bound, Size(1, 0))))
    return atlas, atlas_page(atlas, entries), atlas_poster(atlas, entries)


def shown(page: Any) -> list[str]:
    """The entries that are to be seen, by their functions."""
    entries = page.locator(".entry:not([hidden])")
    return [entries.nth(at).get_attribute("data-functions") for at in range(entries.count())]


def wish(page: Any, lamp: int, setting: int, clicks: int) -> None:
    for _ in range(clicks):
        page.click(f"[data-lamp='{lamp}'][data-setting='{setting}']")


def test_what_is_clicked_is_found(opened: Opener) -> None:
    atlas, page, _ = files(FEW)
    told_of = [entry for entry in (*atlas.functions, *atlas.behaviours) if entry.options]
    every = [[one.number for one in entry.functions] for entry in told_of]
    with opened(page, clock=False) as told:
        assert len(shown(told.page)) == len(every)
        # the first lamp lit with B alone, off with neither; the second off with A
        wish(told.page, 0, 2, 1)
        wish(told.page, 0, 0, 2)
        wish(told.page, 1, 1, 2)
        right = [
            " ".join(map(str, functions))
            for functions in every
            if any(
                any(
                    image[a] & 0b0100 and not image[a] & 0b0001 and not image[b] & 0b0010
                    for a, b in permutations(range(len(image)), 2)
                )
                for image in ([renamed(one, names) for one in functions] for names in ((0, 1), (1, 0)))
            )
        ]
        assert 0 < len(right) < len(every)
        assert shown(told.page) == right
        assert told.page.inner_text("#found") == f"{len(right)} behaviours"
        assert told.complaints == []
        assert [one for one in told.requests if not one.startswith("file:")] == []


def test_a_feed_that_is_called_otherwise_is_told(opened: Opener) -> None:
    _, page, _ = files(FEW)
    with opened(page, clock=False) as told:
        for setting, clicks in ((0, 2), (1, 2), (2, 1), (3, 2)):  # B and not A, told as A and not B
            wish(told.page, 0, setting, clicks)
        first = told.page.locator(".entry:not([hidden])").first
        first.locator("summary").click()
        assert first.locator(".renamed").inner_text() == "Here your A is B, your B is A."


def test_what_none_shows_is_told_and_cleared(opened: Opener) -> None:
    atlas, page, _ = files(FEW)
    with opened(page, clock=False) as told:
        for setting in range(3):
            wish(told.page, 0, setting, 1)
        wish(told.page, 0, 3, 2)  # NAND
        assert shown(told.page) == []
        circuits = sum(row.circuits for row in atlas.sizes)
        said = f"None of the {circuits:,} circuits shows that: all were listed and solved."
        assert told.page.inner_text("#found") == said
        told.page.click("button[type=reset]")
        told.page.fill("#words", "xor")
        assert told.page.inner_text("#found") != said
        assert 0 < len(shown(told.page)) < len(atlas.behaviours)


def test_only_what_holds_is_shown_on_demand(opened: Opener) -> None:
    _, page, _ = files(FEW)
    some_do_not = page.replace('data-holds="yes"', 'data-holds="no"', 3)
    with opened(some_do_not, clock=False) as told:
        every = shown(told.page)
        told.page.check("#held")
        assert shown(told.page) == every[3:]
        assert told.page.inner_text("#found") == f"{len(every) - 3} behaviours"


@pytest.mark.parametrize("options", some([FEW, MANY], 1))
@pytest.mark.parametrize("width", some([390, 820, 1280], 1))
def test_nothing_reaches_beyond_the_page(opened: Opener, options: AtlasOptions, width: int) -> None:
    _, page, poster = files(options)
    for html in (page, poster):
        with opened(html, clock=False, viewport={"width": width, "height": 800}) as told:
            told.page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
            assert told.page.evaluate("document.documentElement.scrollWidth") <= width
            assert told.complaints == []


@pytest.mark.parametrize("scheme", some(["light", "dark"], ["dark"]))
def test_axe_finds_nothing(opened: Opener, scheme: str) -> None:
    library = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the library axe-playwright-python is not installed"
    )
    _, page, poster = files(FEW)
    for html in (page, poster):
        with opened(html, clock=False, color_scheme=scheme) as told:
            told.page.evaluate(
                "[...document.querySelectorAll('details')].slice(5, 9).forEach((one) => { one.open = true; })"
            )
            found = library.Axe().run(told.page).response["violations"]
            assert [(one["id"], [node["html"][:90] for node in one["nodes"][:3]]) for one in found] == []


def test_paper_has_a_line_of_every_entry(opened: Opener) -> None:
    with opened(files(FEW)[1], clock=False) as told:
        told.page.emulate_media(media="print")
        every = told.page.locator(".entry")
        assert told.page.locator(".entry:visible").count() == every.count() > 10, "an entry is not printed"
        assert told.page.locator("button:visible, input:visible").count() == 0, "what is asked is printed"


@pytest.mark.parametrize("options", some([FEW, MANY], 1))
def test_the_poster_is_one_sheet(opened: Opener, options: AtlasOptions, tmp_path: Path) -> None:
    with opened(files(options)[2], clock=False) as told:
        told.page.pdf(path=tmp_path / "poster.pdf", prefer_css_page_size=True, print_background=True)
        content = (tmp_path / "poster.pdf").read_bytes()
        assert len(re.findall(rb"/Type\s*/Page\b", content)) == 1
        box = re.search(rb"/MediaBox\s*\[([^\]]*)\]", content)
        assert box is not None
        # A4 across, 297 by 210 mm, in points of 1/72 inch
        sizes = [float(one) for one in box[1].split()]
        assert sizes[2:] == pytest.approx([841.9, 595.3], abs=1.0)
