"""When the time is over, whatever is under way ends, and what was found is told; stopped is never none.

No clock: what looks at it is played, and says at once that the time is over, or after so many looks.
"""

from collections.abc import Callable
from typing import Any

import pytest
from tests.shipped import ROOT

from lampwright.app.answering import LATE, assessed, search_problem
from lampwright.app.render import ranking_page, search_text
from lampwright.problem.problem import Problem, helper_problems, way_problems
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import quiet
from lampwright.progress.watch import Watch
from lampwright.prove.bound import bound_of
from lampwright.prove.conflict import conflict_of
from lampwright.results.json_text import from_json, to_json
from lampwright.searching.options import SearchOptions
from lampwright.searching.search import Keeper, StoppedError, executor_for, find, plan_search
from lampwright.searching.ways import WaySearches

OVER = Watch(-1.0)


def problem_of(name: str) -> Problem:
    return helper_problems(read_problem(ROOT / "specs" / f"{name}.toml"))[-1]


def after(looks: int) -> Callable[[], None]:
    """What raises at the look after so many."""
    left = iter(range(looks))

    def check_cancelled() -> None:
        if next(left, None) is None:
            raise StoppedError

    return check_cancelled


@pytest.mark.parametrize("ask", [lambda *end: bound_of(end[0], None, *end[1:]), conflict_of])
def test_a_question_to_the_model_ends_with_the_time(ask: Callable[..., Any]) -> None:
    problem = problem_of("no_such_circuit")
    for looks in (0, 1):
        with pytest.raises(StoppedError):
            ask(problem, 10.0, after(looks))


def test_a_bound_that_time_ended_is_not_kept_and_is_no_answer() -> None:
    kept: dict[str, str] = {}
    search = plan_search(problem_of("stop_tail_coarse_drawer"), SearchOptions())
    with executor_for(search, OVER) as executor:
        found = find(search, executor, Keeper(add=kept.__setitem__), quiet())
    assert (found.kind, kept) == ("stopped", {})
    assert not any(step.finished or step.ruled_out for step in found.taken)


@pytest.mark.parametrize("name", ["no_such_circuit", "sea_cock_telltale", "burnt_out_telltale"])
def test_a_search_without_any_time_is_stopped(name: str) -> None:
    """With extra parts, in several ways, with failures: it says so, and never that there is none."""
    ranking = search_problem(
        read_problem(ROOT / "specs" / f"{name}.toml"), SearchOptions(time_limit=1e-9), quiet()
    )
    assert ranking.verdict.kind == "stopped"
    assert ranking.verdict.text.startswith("The search was stopped before its end: nothing found so far.")


@pytest.mark.parametrize("looks", [0, 1, 2, 3, 5, 8, 13, 40])
def test_wherever_time_ends_it_nothing_is_proved_none(looks: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """In two ways, the first of which has no circuit by itself."""
    check = after(looks)
    monkeypatch.setattr("lampwright.searching.search.cancel_check", lambda _watch: check)
    monkeypatch.setattr("lampwright.app.answering.cancel_check", lambda _watch: check)
    problem = read_problem(ROOT / "specs" / "no_such_circuit.toml")
    ranking = search_problem(problem, SearchOptions(bound=looks % 2 == 0), quiet())
    if ranking.verdict.kind == "none":
        assert all(count.complete or count.ruled_out for count in ranking.search.part_counts)
    else:
        assert ranking.verdict.kind == "stopped"


@pytest.mark.parametrize(
    "name", ["catering_van_night_lamps", "one_filament_stop_tail", "trailer_pair_from_the_box"]
)
def test_what_was_found_is_told_without_its_assessment(name: str) -> None:
    """One design at the least, in text, JSON and on the page; the verdict says what is left out."""
    problem = problem_of(name)
    searches = []
    for one in way_problems(problem):
        search = plan_search(one, SearchOptions())
        with executor_for(search, Watch()) as executor:
            searches.append(find(search, executor, Keeper(), quiet()))
    ranking = assessed(WaySearches(problem, tuple(searches)), 1.0, OVER)
    assert ranking.verdict.kind == "found"
    assert LATE in ranking.verdict.text
    assert [design.care for design in ranking.designs] == [None]
    assert ranking.stock is None or ranking.stock.status == "stopped"
    stored = from_json(to_json(ranking))
    assert LATE in search_text(stored, 80, 0, "results/x", "x.toml", ROOT / "specs" / f"{name}.toml").replace(
        "\n", " "
    )
    assert LATE in ranking_page(stored, problem.spec)
