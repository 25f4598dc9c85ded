"""The site that Sphinx builds and the pages of `lampwright docs`: whole, offline, readable by all.

Sphinx is asked to take every warning for an error, links between pages among them. Outside judges: Sphinx,
the browser's own list of what it asks for, and axe-core's rules of WCAG 2.2 AA.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from tests.once import once

from lampwright.cli.commands import main
from lampwright.manual.pages import SOURCES, write_pages

BUILDERS = ("sphinx", "offline")
LOOKED_AT = ("index", "tutorials/first_trailer", "reference/spec", "reference/python", "explanation/filament")
WIDTHS = (390, 820, 1280)
CREDIT = "https://github.com/pradyunsg/furo"
"""The theme names itself at the foot of a page; a link, which nothing follows by itself."""


@pytest.fixture(scope="session")
def sites(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Build both once."""
    return once("sites", lambda: built(tmp_path_factory.mktemp("site")))


def built(folder: Path) -> dict[str, Path]:
    """Build both in a folder."""
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
    sphinx = subprocess.run(
        [sys.executable, "-m", "sphinx", *asked],
        capture_output=True,
        text=True,
        env={**os.environ, **search},
    )
    assert sphinx.returncode == 0, sphinx.stderr
    write_pages(main, folder / "offline")
    return {name: folder / name for name in BUILDERS}
