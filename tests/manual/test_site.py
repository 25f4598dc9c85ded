"""The site that Sphinx builds and the pages of `lampwright docs`: whole, offline, readable by all.

Sphinx is asked to take every warning for an error, links between pages among them. Outside judges: Sphinx,
the browser's own list of what it asks for, and axe-core's rules of WCAG 2.2 AA.
"""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from posixpath import normpath
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from tests.manual.curves import figure
from tests.selection import some

from lampwright.cli.commands import main
from lampwright.errors import InputError
from lampwright.manual.generated import MARKER
from lampwright.manual.pages import SOURCES, keep_pages, read_pages, write_pages

BUILDERS = ("sphinx", "offline")
LOOKED_AT = ("index", "tutorials/first_trailer", "reference/spec", "reference/python", "explanation/filament")
WIDTHS = (390, 820, 1280)
CREDIT = "https://github.com/pradyunsg/furo"
"""The theme names itself at the foot of a page; a link, which nothing follows by itself."""


@pytest.fixture(scope="session")
def sites(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Build both once."""
    folder = tmp_path_factory.mktemp("site")
    asked = [
        "-q",
        "-W",
        "--keep-going",
        "-n",
        "-d",
        f"{folder / 'trees'}",
        f"{SOURCES}",
        f"{folder / 'sphinx'}",
    ]
    search = {"PYTHONPATH": f"{SOURCES.parents[1]}"}
    built = subprocess.run(
        [sys.executable, "-m", "sphinx", *asked],
        capture_output=True,
        text=True,
        env={**os.environ, **search},
    )
    assert built.returncode == 0, built.stderr
    write_pages(main, folder / "offline")
    return {name: folder / name for name in BUILDERS}


class Page(HTMLParser):
    """What a page links to, what it loads, and the addresses in it."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.loaded: list[str] = []
        self.ids: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name == "id":
                self.ids.append(f"{value}")
            elif name == "href" and tag == "a":
                self.links.append(f"{value}")
            elif name in ("src", "href", "srcset") and not (tag == "link" and ("rel", "canonical") in attrs):
                self.loaded.append(f"{value}")


def pages_of(site: Path) -> dict[str, Page]:
    return {
        path.relative_to(site).as_posix(): Page(path.read_text(encoding="utf-8"))
        for path in sorted(site.rglob("*.html"))
    }


def dead_links(pages: dict[str, Page], site: Path) -> Iterator[str]:
    for name, page in pages.items():
        for link in page.links:
            if "://" in link or link in ("", "#"):
                continue
            file, _, place = link.partition("#")
            target = normpath(f"{Path(name).parent / file}") if file else name
            if target not in pages:
                if not (site / target).is_file():
                    yield f"{name}: {link}"
            elif place and place not in pages[target].ids:
                yield f"{name}: {link}, no such heading"


@pytest.mark.parametrize("builder", BUILDERS)
def test_every_link_within_leads_somewhere(sites: dict[str, Path], builder: str) -> None:
    pages = pages_of(sites[builder])
    assert len(pages) >= 25
    assert not list(dead_links(pages, sites[builder]))
    assert all(len(page.ids) == len(set(page.ids)) for page in pages.values()), "two headings of one address"


@pytest.mark.parametrize("builder", BUILDERS)
def test_nothing_is_loaded_from_elsewhere(sites: dict[str, Path], builder: str) -> None:
    for name, page in pages_of(sites[builder]).items():
        outside = [one for one in page.loaded if re.match(r"(\w+:)?//", one)]
        outside += [one for one in page.links if re.match(r"(\w+:)?//", one) and one != CREDIT]
        assert not outside, f"{name} names {outside}"


def test_every_page_stands_in_the_list_once_and_has_what_is_generated() -> None:
    pages = list(read_pages(main))
    files = sorted(path.relative_to(SOURCES).with_suffix("").as_posix() for path in SOURCES.rglob("*.md"))
    assert sorted(page.name for page in pages) == files
    assert not [page.name for page in pages if MARKER.search(page.text)]
    text = {page.name: page.text for page in pages}
    assert all(f"## `lampwright {name}`" in text["reference/commands"] for name in main.commands)
    import lampwright

    assert all(f"## `{name}`\n" in text["reference/python"] for name in lampwright.__all__)
    assert all(f"| `{key}` |" in text["reference/spec"] for key in ("always_live", "most_drop", "tell_apart"))


@pytest.mark.parametrize("builder", BUILDERS)
@pytest.mark.parametrize("name", some(LOOKED_AT, 2))
def test_pages_are_for_all_readers_and_ask_nobody(
    sites: dict[str, Path], browser: Any, builder: str, name: str
) -> None:
    for scheme in ("light", "dark"):
        context = browser.new_context(color_scheme=scheme, offline=True)
        page = context.new_page()
        asked: list[str] = []
        page.on("request", lambda request, asked=asked: asked.append(request.url))
        page.goto(f"file://{sites[builder] / name}.html")
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            wide = page.evaluate("document.documentElement.scrollWidth")
            assert wide <= width, f"{name} is {wide} wide on a screen of {width}"
        found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]})
        assert found.violations_count == 0, f"{found.generate_report()}"
        assert not [one for one in asked if not one.startswith(("file:", "data:"))]
        context.close()


def test_the_figure_of_measured_curves_is_of_today() -> None:
    kept = SOURCES / "pictures" / "measured_curves.svg"
    if os.environ.get("LAMPWRIGHT_ACCEPT"):
        kept.write_text(figure(), encoding="utf-8")
    assert kept.read_text(encoding="utf-8") == figure(), "the curves moved: accept, and look at the picture"


def test_pages_go_to_the_folder_named_or_to_the_users_cache(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", f"{tmp_path / 'cache'}")
    assert keep_pages(main, tmp_path / "here") == tmp_path / "here" / "index.html"
    kept = keep_pages(main, None)
    assert kept.is_file()
    assert kept.is_relative_to(tmp_path / "cache") or sys.platform != "linux"
    taken = tmp_path / "taken"
    taken.write_text("", encoding="utf-8")
    with pytest.raises(InputError, match="this folder cannot be written") as raised:
        keep_pages(main, taken / "pages")
    assert f"{raised.value}".endswith("name another: --to DIR")
