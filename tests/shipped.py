"""The full answer to each shipped spec, searched once for all tests of a run."""

from functools import cache
from pathlib import Path

from tests.once import once

from lampwright.app.answering import search_problem
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import quiet
from lampwright.results.ranking import Ranking
from lampwright.searching.options import SearchOptions

ROOT = Path(__file__).parents[1]
SPECS = sorted((ROOT / "specs").glob("*.toml"))
NAMES = [path.stem for path in SPECS]
NONE = ("no_such_circuit", "stop_tail_coarse_drawer")
"""The specs that no circuit meets."""


@cache
def shipped(name: str) -> Ranking:
    """The ranking of a shipped spec; what one process of a test run has searched the others read."""
    return once(name, lambda: _searched(name))


def _searched(name: str) -> Ranking:
    return search_problem(read_problem(ROOT / "specs" / f"{name}.toml"), SearchOptions(), quiet())
