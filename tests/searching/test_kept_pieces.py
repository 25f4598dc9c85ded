"""A search that begins with some of its pieces done comes to the same answer, byte for byte.

A kill leaves a journal with whatever pieces were kept by then; here every such journal is drawn at random
from the pieces of a whole run, in this process, so that many can be tried. Kills for real are in
`test_resume`.
"""

import random
from functools import cache

import msgspec
import pytest
from tests.selection import examples, some
from tests.shipped import ROOT

from lampwright.app.answering import assessed
from lampwright.problem.problem import helper_problems
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import quiet
from lampwright.progress.watch import Watch
from lampwright.results.json_text import to_json
from lampwright.results.ranking import Bound
from lampwright.searching import shares
from lampwright.searching.options import SearchOptions
from lampwright.searching.search import BOUND_NAME, Keeper, executor_for, find, plan_search
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


def spared(kept: dict[str, str], pieces: dict[str, str]) -> set[str]:
    """The pieces that a kept bound rules out; where none is kept, they are listed before it is asked for."""
    if BOUND_NAME not in kept or msgspec.json.decode(kept[BOUND_NAME], type=Bound).least_extra_parts == 0:
        return set()
    found = {one for one in pieces if one.startswith("share 0 ")}
    assert not any(one.split()[1:2] == ["0"] for one in pieces.keys() - found), (
        "nothing that it rules out was judged"
    )
    return found


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
        assert set(done) == set(pieces) - set(kept) - spared(kept, pieces), "the rest is done, and once"


def test_a_kept_bound_spares_what_it_rules_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shares, "SHARE_SIZE", 300)
    answer, pieces = whole("stop_tail_coarse_drawer")
    bound = {BOUND_NAME: pieces[BOUND_NAME]}
    ruled_out = spared(bound, pieces)
    assert ruled_out, "the bound rules something out that was listed before it was known"
    for kept in (bound, {one: text for one, text in pieces.items() if one != BOUND_NAME}):
        again, done = search("stop_tail_coarse_drawer", kept)
        assert again == answer
        assert set(done) == set(pieces) - set(kept) - (ruled_out if kept is bound else set())
