"""The documentation as static pages, read without a network and without a generator.

The Markdown of `lampwright/docs`, with what `generated.py` makes, is rendered by markdown-it, which is
installed with the program; a page's place in the list is that of the `toctree` blocks, which the site's
generator reads too.
No source: our conventions.
"""

import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources
from itertools import pairwise
from pathlib import Path, PurePosixPath
from posixpath import normpath, relpath

import click
from jinja2 import Environment
from markdown_it import MarkdownIt
from markdown_it.token import Token

from lampwright import __version__
from lampwright.caches import cache_folder
from lampwright.errors import Finding, InputError
from lampwright.manual.generated import filled

SOURCES = Path(str(resources.files("lampwright"))) / "docs"
TREE = "{toctree}"


@dataclass(frozen=True, slots=True)
class ManualPage:
    """One page: its name, as `how-to/none`, its title and depth in the list, and its Markdown."""

    name: str
    title: str
    depth: int
    text: str


def keep_pages(group: click.Group, to: Path | None) -> Path:
    """Write all pages into this folder, or into the user's cache, and return the first, with its whole path.

    Raises InputError where that cannot be written.
    """
    folder = to or cache_folder(f"docs-{__version__}")
    if folder is None:
        raise InputError([Finding("docs", "the user's cache cannot be written", "name a folder: --to DIR")])
    try:
        return write_pages(group, folder).resolve()
    except OSError as error:
        said = f"this folder cannot be written ({(error.strerror or str(error)).lower()})"
        raise InputError([Finding(f"{folder}", said, "name another: --to DIR")]) from None


def write_pages(group: click.Group, folder: Path) -> Path:
    """Write all pages into a folder and return the first; what stands there is replaced.

    group: the commands, for their reference. Raises OSError where the folder cannot be written.
    """
    pages = list(read_pages(group))
    sheet = Environment(autoescape=True).from_string(_beside("page.html"))
    for page in pages:
        home = f"{PurePosixPath(page.name).parent}"
        places = [(one, relpath(f"{one.name}.html", home)) for one in pages]
        file = folder / f"{page.name}.html"
        file.parent.mkdir(parents=True, exist_ok=True)
        body = _rendered(page, {one.name: one for one in pages})
        style = _beside("page.css")
        file.write_text(sheet.render(page=page, body=body, style=style, places=places), encoding="utf-8")
    shutil.copytree(SOURCES / "pictures", folder / "pictures", dirs_exist_ok=True)
    return folder / "index.html"


def read_pages(group: click.Group) -> Iterator[ManualPage]:
    """Read every page in the order of the list; each stands in it once."""
    return _below("index", 0, group)


def slug(title: str) -> str:
    """Give a heading the address that the site's generator and GitHub give it.

    >>> slug("`lampwright search`: the main job")
    'lampwright-search-the-main-job'
    """
    return re.sub(r"[^\w\- ]", "", title.lower()).strip().replace(" ", "-")


def listed(name: str, tree: str) -> list[str]:
    """Name the pages of a `toctree` block on the page of this name."""
    home = PurePosixPath(name).parent
    return [normpath(f"{home / line}") for line in tree.splitlines() if line and not line.startswith(":")]


def _below(name: str, depth: int, group: click.Group) -> Iterator[ManualPage]:
    text = filled((SOURCES / f"{name}.md").read_text(encoding="utf-8"), group)
    tokens = _reader().parse(text)
    title = next(inner.content for head, inner in pairwise(tokens) if head.tag == "h1")
    yield ManualPage(name, title.replace("`", ""), depth, text)
    for token in tokens:
        if token.type == "fence" and token.info.strip() == TREE:
            for inner in listed(name, token.content):
                yield from _below(inner, depth + 1, group)


@cache
def _reader() -> MarkdownIt:
    return MarkdownIt("commonmark", {"html": False}).enable("table")


@cache
def _beside(name: str) -> str:
    return (resources.files("lampwright.manual") / name).read_text(encoding="utf-8")


def _rendered(page: ManualPage, pages: dict[str, ManualPage]) -> str:
    """Render a page: links to pages go to their HTML, headings have addresses, lists of pages are lists."""
    reader = _reader()
    tokens: list[Token] = []
    for token in reader.parse(page.text):
        if token.type == "fence" and token.info.strip() == TREE:
            tokens += reader.parse(_list_of(page.name, listed(page.name, token.content), pages))
        else:
            tokens.append(token)
    seen: dict[str, int] = {}
    for place, token in enumerate(tokens):
        if token.type == "heading_open":
            address = slug("".join(one.content for one in tokens[place + 1].children or ()))
            seen[address] = seen.get(address, -1) + 1
            token.attrSet("id", f"{address}-{seen[address]}" if seen[address] else address)
        if token.type == "fence":
            # what is wider than the screen is moved sideways, by the keyboard too
            token.attrSet("tabindex", "0")
        for inner in token.children or ():
            href = f"{inner.attrGet('href') or ''}"
            if inner.type == "link_open" and ":" not in href:
                inner.attrSet("href", re.sub(r"\.md(?=#|$)", ".html", href))
    return f"{reader.renderer.render(tokens, reader.options, {})}"


def _list_of(name: str, names: list[str], pages: dict[str, ManualPage]) -> str:
    home = f"{PurePosixPath(name).parent}"
    return "\n".join(f"- [{pages[one].title}]({relpath(f'{one}.md', home)})" for one in names)
