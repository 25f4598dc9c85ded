"""The full answer to each shipped spec, searched once for all tests of a run."""

from functools import cache
from pathlib import Path

from tests.once import once

from lampwright.app.answering import search_problem
from lampwright.app.keeping import keep_ranking
from lampwright.problem.reading import read_problem, read_spec
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


def keep_shipped(folder: Path, *names: str) -> Path:
    """The folder, in which the results of these specs now stand as `lampwright search` writes them."""
    for name in names:
        spec = read_spec(ROOT / "specs" / f"{name}.toml")
        keep_ranking(shipped(name), spec, folder / spec.name)
    return folder
