"""A search starts at its bound, and comes to the same designs as one that lists everything.

No source: our own claim, checked by listing what the bound rules out.
"""

from pathlib import Path

import pytest
from msgspec.structs import replace
from tests.selection import some

from lampwright.app.answering import find_designs, found_only
from lampwright.diagnosis import diagnose as helping
from lampwright.diagnosis.diagnose import STOPPED, SearchedWay, why_none
from lampwright.errors import InputError
from lampwright.judge.judge import Judge
from lampwright.problem.problem import Problem
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import quiet
from lampwright.searching.options import SearchOptions
from lampwright.searching.plan import Step, plan_steps
from lampwright.searching.search import BOUND_NAME, Keeper, find_bound, find_circuits, kept_bound
from lampwright.searching.ways import WaySearches

SPECS = Path(__file__).parents[2] / "specs"
WITH_EXTRAS = ("one_filament_stop_tail", "trailer_pair_from_the_box", "catering_van_night_lamps")


class StopError(Exception):
    """The time is up."""


def steps_of(problem: Problem) -> tuple[Step, ...]:
    return plan_steps(Judge(problem), None)


def alone(problem: Problem, options: SearchOptions) -> WaySearches:
    """The search of a spec that leaves no choice."""
    return WaySearches(problem, (find_circuits(problem, options, quiet()),))


@pytest.mark.parametrize("name", some(WITH_EXTRAS, 1))
def test_the_bound_takes_no_design_away(name: str) -> None:
    problem = read_problem(SPECS / f"{name}.toml")
    bounded = found_only(alone(problem, SearchOptions()), 0.0)
    whole = found_only(alone(problem, SearchOptions(bound=False)), 0.0)
    assert whole.bound is None, "it was told to do without"
    assert bounded.designs == whole.designs, "the bound changed the designs"
    assert bounded.bound is not None, "extra parts are allowed, so there is a bound"
    least = bounded.bound.least_extra_parts
    ruled_out = [count.extra_parts for count in bounded.search.part_counts if count.ruled_out]
    assert ruled_out == list(range(least)), "all below the bound is ruled out, and nothing else"


@pytest.mark.parametrize("name", some(["catering_van_night_lamps", "sidecar_side_lamp"], 1))
def test_what_a_circuit_without_extra_parts_shows_is_what_the_model_proves(
    monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    problem = read_problem(SPECS / f"{name}.toml")
    proved = find_bound(problem, steps_of(problem))
    monkeypatch.setattr("lampwright.prove.bound.bound_of", lambda *_: pytest.fail("asked all the same"))
    found = find_circuits(problem, SearchOptions(), quiet())
    assert found.winners[0].netlist.extra_parts == 0, "this one shows that none is needed"
    assert found.bound == proved, "the two say different things"


def test_the_verdict_quotes_the_bound() -> None:
    problem = read_problem(SPECS / "one_filament_stop_tail.toml")
    proved = found_only(alone(problem, SearchOptions()), 0.0).verdict.proved
    assert proved[0].startswith("No circuit with fewer than 1 extra part can meet the spec"), f"{proved[0]}"


def test_who_asks_only_whether_there_is_a_design_does_without_where_there_is_little_to_list() -> None:
    problem = read_problem(SPECS / "one_filament_stop_tail.toml")
    quick = find_designs(problem, SearchOptions(), quiet())
    whole = found_only(alone(problem, SearchOptions(bound=False)), 0.0)
    assert quick.bound is None, "thirteen circuits are sooner listed than bounded"
    assert (quick.designs, quick.verdict) == (whole.designs, whole.verdict), "the answer is another"


def test_a_search_over_its_budget_may_be_within_it_above_the_bound() -> None:
    problem = read_problem(SPECS / "one_filament_stop_tail.toml")
    found = find_designs(problem, SearchOptions(budget=10), quiet())
    assert found.verdict.kind == "found", "ten of the thirteen circuits are to be listed"
    with pytest.raises(InputError, match="13 circuits"):
        find_designs(problem, SearchOptions(budget=10, bound=False), quiet())


def test_a_kept_bound_is_not_asked_for_again(monkeypatch: pytest.MonkeyPatch) -> None:
    problem, kept = read_problem(SPECS / "one_filament_stop_tail.toml"), dict[str, str]()
    keeper = Keeper(kept, kept.__setitem__)
    first = kept_bound(problem, steps_of(problem), keeper)
    assert list(kept) == [BOUND_NAME], "it was not kept"
    monkeypatch.setattr("lampwright.searching.search.find_bound", lambda *_: pytest.fail("asked again"))
    assert kept_bound(problem, steps_of(problem), keeper) == first, "it did not come back as it was"


def test_without_extra_parts_there_is_no_bound() -> None:
    problem = read_problem(SPECS / "no_such_circuit.toml")
    assert find_bound(problem, steps_of(problem)) is None, "nothing to bound"


@pytest.mark.parametrize(
    ("stage", "conflict_is_kept"),
    [("survey_problem", False), ("suggestions_of", True)],
    ids=["early", "late"],
)
def test_a_stop_keeps_the_verdict_and_says_what_is_left_out(
    monkeypatch: pytest.MonkeyPatch, stage: str, conflict_is_kept: bool
) -> None:
    def stop(*_given: object, **_named: object) -> None:
        raise StopError

    problem = read_problem(SPECS / "no_such_circuit.toml")
    monkeypatch.setattr(helping, stage, stop)
    said = why_none(
        ways=[SearchedWay(Judge(problem), None)],
        steps=steps_of(problem),
        most_extra=None,
        progress=quiet(),
        check_cancelled=lambda: None,
        stops=(StopError,),
    )
    assert (said.conflict is not None) == conflict_is_kept, "what was found before the stop"
    assert "stopped" in (said.looked_at if said == STOPPED else said.tried[0]), "it does not say so"
    assert replace(said, suggestions=()) == said, "nothing is suggested"
