"""A browser to work the bench, and a folder of its own for each."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """An empty folder to start a bench in; its log goes beside it."""
    folder = tmp_path / "place"
    folder.mkdir()
    return folder


@pytest.fixture
def tab(browser: Any) -> Iterator[Callable[..., Any]]:
    """Give a way to open a link in a browser that has seen nothing; complaints of the page fail the test."""
    contexts = []
    complaints: list[str] = []

    def opened(link: str, wide: int = 1280, high: int = 900, context: Any = None) -> Any:
        own = context or browser.new_context(viewport={"width": wide, "height": high})
        contexts.append(own)
        own.set_default_timeout(15_000)
        page = own.new_page()
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(link)
        return page

    yield opened
    for one in contexts:
        one.close()
    lost = ("ERR_CONNECTION_REFUSED", "ERR_INCOMPLETE_CHUNKED", "ERR_CONNECTION_RESET", "ERR_EMPTY")
    told = [one for one in complaints if not any(word in one for word in lost)]
    assert not told, "\n".join(told)
