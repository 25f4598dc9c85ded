"""The sheet for the bench of the first design of every shipped spec, made once for all tests of a run."""

from functools import cache

from tests.shipped import NAMES, NONE, ROOT, shipped

from lampwright.app.controls import controls_of
from lampwright.app.sheet import sheet_of_design
from lampwright.problem.reading import read_spec
from lampwright.report.page.sheet import sheet_page
from lampwright.results.sheet import BenchSheet
from lampwright.spec.model import Spec
from lampwright.words import Paper

FOUND = [name for name in NAMES if name not in NONE]
"""The specs that have a design."""


def spec_of(name: str) -> Spec:
    """Read a shipped spec."""
    return read_spec(ROOT / "specs" / f"{name}.toml")


@cache
def sheet_of(name: str, coupling: str | None = None) -> BenchSheet:
    """Make the sheet of a shipped spec's first design."""
    return sheet_of_design(spec_of(name), shipped(name).designs[0], coupling)


def page_of(name: str, paper: Paper = "A4", coupling: str | None = None) -> str:
    """Write the sheet of a shipped spec's first design as a page."""
    return sheet_page(sheet_of(name, coupling), controls_of(spec_of(name)), paper)
