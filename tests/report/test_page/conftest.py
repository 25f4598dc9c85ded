"""Pages in a real browser: Debian's chromium, driven from Python; without either the tests are skipped."""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Any

import pytest
from tests.report.test_page.bench import Opened

Opener = Callable[..., AbstractContextManager[Opened]]

STANDING = """
const standing = new CSSStyleSheet();
standing.replaceSync(".carrying { animation-play-state: paused !important; }");
document.adoptedStyleSheets = [standing];
"""
"""Lines of current that are there and stand: sixty pictures a second, of which no test looks at two."""


@pytest.fixture
def opened(browser: Any, tmp_path: Path) -> Opener:
    """Give a way to open a page as a file; its clock stands still unless it is told to run."""

    @contextmanager
    def opening(html: str, clock: bool = True, **settings: Any) -> Iterator[Opened]:
        path = tmp_path / "page.html"
        path.write_text(html, encoding="utf-8")
        context = browser.new_context(**{"viewport": {"width": 1280, "height": 900}, **settings})
        context.set_default_timeout(20_000)
        context.add_init_script(STANDING)
        page = context.new_page()
        told = Opened(page, [], [])
        page.on("request", lambda request: told.requests.append(request.url))
        page.on("console", lambda message: told.complaints.append(message.text))
        page.on("pageerror", lambda error: told.complaints.append(str(error)))
        if clock:
            page.clock.install(time=0)
        page.goto(path.as_uri())
        if clock:
            page.clock.pause_at(1000)
        yield told
        context.close()

    return opening
