"""A search that begins with some of its pieces done comes to the same answer, byte for byte.

A kill leaves a journal with whatever pieces were kept by then; here every such journal is drawn at random
from the pieces of a whole run, in this process, so that many can be tried. Kills for real are in
`test_resume`.
"""

import random
from functools import cache

import pytest
from tests.selection import examples, some
from tests.shipped import ROOT

from lampwright.app.answering import assessed
from lampwright.problem.problem import helper_problems
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import quiet
from lampwright.progress.watch import Watch
from lampwright.results.json_text import to_json
from lampwright.searching import shares
from lampwright.searching.options import SearchOptions
from lampwright.searching.search import Keeper, executor_for, find, plan_search
from lampwright.searching.ways import WaySearches

NAMES = (
    "burnt_out_telltale",
    "one_filament_stop_tail",
    "stop_tail_coarse_drawer",
    "trailer_feed_telltale",
)


def search(name: str, kept: dict[str, str]) -> tuple[str, dict[str, str]]:
    """The answer of a search that has these pieces already, and the pieces that it did itself."""
    problem = helper_problems(read_problem(ROOT / "specs" / f"{name}.toml"))[-1]
    done: dict[str, str] = {}
    plan = plan_search(problem, SearchOptions())
    with executor_for(plan, Watch(None)) as executor:
        found = find(plan, executor, Keeper(kept, done.__setitem__), quiet())
    return to_json(assessed(WaySearches(problem, (found,)), 0.0)), done


@cache
def whole(name: str) -> tuple[str, dict[str, str]]:
    return search(name, {})


@pytest.mark.parametrize("name", some(NAMES, 1))
def test_any_pieces_kept_give_the_same_answer(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two journals of each by default; fifty nightly."""
    monkeypatch.setattr(shares, "SHARE_SIZE", 300)
    answer, pieces = whole(name)
    assert len(pieces) > 2, "there is something to keep"
    dice = random.Random(name)
    for _ in range(examples(2, 50)):
        share = dice.random()
        kept = {one: text for one, text in pieces.items() if dice.random() < share}
        again, done = search(name, kept)
        assert again == answer
        assert set(done) == set(pieces) - set(kept), "what was kept was done again, or more was done"
