"""Trade-offs of a shipped spec: the order preferred, whose score is known, and the front as rows."""

from dataclasses import dataclass
from pathlib import Path

import pytest
from msgspec.structs import replace
from tests.shipped import shipped

from lampwright.app.answering import search_problem
from lampwright.assess.assess import Assessor
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import DECIMALS, Winner
from lampwright.problem.problem import Problem
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import quiet
from lampwright.results.design import Design
from lampwright.results.json_text import from_json, to_json
from lampwright.results.ranking import Front
from lampwright.searching import shares
from lampwright.searching.executors import Executor, ProcessExecutor, SerialExecutor
from lampwright.searching.options import SearchOptions
from lampwright.searching.plan import plan_steps
from lampwright.searching.ranking import MOST_SCORED, RankedDesign, front_of, rank_designs
from lampwright.searching.search import ALL_RULES, Keeper, StepContext, StepResult, take_step
from lampwright.words import Aim

SPEC = Path(__file__).parents[2] / "specs" / "catering_van_night_lamps.toml"


def winners_of(problem: Problem, executor: Executor) -> tuple[Winner, ...]:
    found: list[Winner] = []
    for step in plan_steps(Judge(problem), None):
        findings = StepResult(step)
        take_step(StepContext(Judge(problem), executor, Keeper(), quiet()), findings, decide=False)
        found.extend(findings.winners)
    return tuple(found)


@dataclass(frozen=True)
class Market:
    problem: Problem
    presenter: Presenter
    assessor: Assessor
    winners: tuple[Winner, ...]

    def ranked(
        self, winners: tuple[Winner, ...], prefer: tuple[Aim, ...], most: int = MOST_SCORED
    ) -> tuple[RankedDesign, ...]:
        """These designs in order."""
        return rank_designs(winners, prefer, [self.presenter], [self.assessor], most)


@pytest.fixture(scope="module")
def market() -> Market:
    problem = read_problem(SPEC)
    judge = Judge(problem)
    return Market(
        problem,
        Presenter(judge),
        Assessor(judge),
        winners_of(problem, SerialExecutor(problem, ALL_RULES, lambda: None)),
    )


def front(ranked: tuple[RankedDesign, ...]) -> Front:
    told = front_of([one.design for one in ranked], [one.score for one in ranked], ())
    assert told is not None, "there are designs"
    return told


def figures(design: Design, score: float | None) -> tuple[float, ...]:
    """The five aims as rows tell them, the least the best."""
    margin = -round(design.margin_stops, DECIMALS)
    return design.extra_parts, design.wires, design.conductors, margin, -round(score or 0.0, DECIMALS)


def test_the_shipped_spec_has_a_front_of_several_designs_and_designs_beside_it(market: Market) -> None:
    ranked = market.ranked(market.winners, ())
    told = front(ranked)
    assert (len(told.points), told.compared, told.scored, told.undecided) == (5, 10, 10, 0), "as it teaches"
    assert {point.extra_parts for point in told.points} == {0, 1, 2}, "parts buy something"
    rows = [figures(one.design, one.score) for one in ranked]
    plain = [
        at
        for at, own in enumerate(rows, 1)
        if not any(other != own and all(a <= b for a, b in zip(other, own, strict=True)) for other in rows)
    ]
    groups = [(point.rank, *point.as_good) for point in told.points]
    assert sorted(rank for group in groups for rank in group) == plain, "those no other beats, pair by pair"
    assert [len({rows[rank - 1] for rank in group}) for group in groups] == [1] * len(groups), "equals"
    assert len({rows[group[0] - 1] for group in groups}) == len(groups), "equals are one point"
    for point in told.points:
        one = ranked[point.rank - 1]
        assert (point.margin_stops, point.fault_score) == (one.design.margin_stops, one.score), "its figures"


def test_the_score_is_that_of_the_full_treatment(market: Market) -> None:
    ranked = market.ranked(market.winners, ())
    for one in ranked[:3]:
        netlist, choice = one.winner.netlist, one.winner.passing[0].choice
        care = market.assessor.care(netlist, choice, one.design, copies=2)
        assert one.score == care.faults.score, f"design {one.design.rank}"
        treated = replace(one.design, care=care)
        (point,) = (front_of([treated], [None], ()) or pytest.fail("no front")).points
        assert point.fault_score == one.score, "a treated design brings its own score"


def test_the_fault_score_breaks_ties_before_the_form_does(market: Market) -> None:
    ranked = market.ranked(market.winners, ())
    keys = [
        (*figures(one.design, 0.0)[:2], one.design.joints, *figures(one.design, 0.0)[2:4]) for one in ranked
    ]
    assert keys == sorted(keys), "the order there always was"
    tied = [
        (one, other)
        for one, other, a, b in zip(ranked, ranked[1:], keys, keys[1:], strict=False)
        if a == b and one.score != other.score
    ]
    assert tied, "some designs differ in their faults alone"
    for one, other in tied:
        assert (one.score or 0.0) > (other.score or 0.0), "the better score first"
        assert one.winner.netlist.form != other.winner.netlist.form, "two designs"
    assert any(one.winner.netlist.form > other.winner.netlist.form for one, other in tied), (
        "by form it was the other way"
    )


def test_what_is_preferred_comes_first(market: Market) -> None:
    by_margin = market.ranked(market.winners, ("margin",))
    margins = [round(one.design.margin_stops, DECIMALS) for one in by_margin]
    assert margins == sorted(margins, reverse=True), "falling margin"
    by_faults = market.ranked(market.winners, ("faults", "margin"))
    scores = [round(one.score or 0.0, DECIMALS) for one in by_faults]
    assert scores == sorted(scores, reverse=True), "falling fault score"
    for ranked in (by_margin, by_faults):
        assert [one.design.rank for one in ranked] == list(range(1, 11)), "ranks count up"
        forms = {point.fault_score for point in front(ranked).points}
        assert forms == {point.fault_score for point in front(market.ranked(market.winners, ())).points}, (
            "the front is the same in any order"
        )


@pytest.mark.parametrize("most", [0, 2, 5])
def test_scores_that_are_not_worked_out_stay_unknown(market: Market, most: int) -> None:
    ranked = market.ranked(market.winners, ("faults",), most)
    known = [one.score is not None for one in ranked]
    assert known == [True] * most + [False] * (10 - most), "designs without a score come last"
    told, whole = front(ranked), market.ranked(market.winners, ())
    assert (told.compared, told.scored) == (10, most), "the row says of how many the score is known"
    forms = {point.rank: ranked[point.rank - 1].winner.netlist.form for point in told.points}
    full = {whole[point.rank - 1].winner.netlist.form for point in front(whole).points}
    assert {forms[point.rank] for point in told.points if point.certain} <= full, (
        "certain, and not on the front"
    )
    left = full - set(forms.values())
    assert len(left) <= told.undecided, "a design of the front is neither shown nor counted as undecided"
    for point in told.points:
        assert (point.fault_score is not None) == known[point.rank - 1], "null where not worked out"


def test_one_design_alone_is_not_examined_and_none_has_no_front(market: Market) -> None:
    (alone,) = market.ranked(market.winners[:1], ())
    assert alone.score is None, "the treatment will tell its score"
    told = front((alone,))
    assert [point.rank for point in told.points] == [1], "it is its own front"
    assert front_of([], [], ()) is None, "no designs, no front"


def test_neither_the_order_of_finding_nor_the_number_of_workers_shows(
    market: Market, monkeypatch: pytest.MonkeyPatch
) -> None:
    calm = market.ranked(market.winners, ("margin",))
    turned = market.ranked(market.winners[::-1], ("margin",))
    monkeypatch.setattr(shares, "SHARE_SIZE", 100)
    executor = ProcessExecutor(market.problem, ALL_RULES, lambda: None, 2)
    try:
        crowd = market.ranked(winners_of(market.problem, executor), ("margin",))
    finally:
        executor.close()
    few, other_few = (market.ranked(some, (), 5) for some in (market.winners, market.winners[::-1]))
    assert [one.score for one in few] == [one.score for one in other_few], "others were examined"
    for other in (turned, crowd):
        assert [one.design for one in other] == [one.design for one in calm], (
            "other designs, or another order"
        )
        assert [one.score for one in other] == [one.score for one in calm], "other scores"
        assert front(other) == front(calm), "another front"


def test_the_front_is_written_and_read_back(market: Market) -> None:
    ranking = shipped(SPEC.stem)
    told = front(market.ranked(market.winners, (), 3))
    text = to_json(replace(ranking, front=told))
    read = from_json(text).front
    assert read is not None, "it is there"
    assert to_json(replace(ranking, front=read)) == text, "reading loses nothing that is written"
    assert [point.certain for point in read.points] == [point.certain for point in told.points], "or known"


def test_the_verdict_speaks_of_fewest_parts_in_whatever_order(market: Market) -> None:
    usual = shipped(SPEC.stem)
    other = search_problem(market.problem, SearchOptions(prefer=("margin",)), quiet())
    assert usual.verdict.proved == other.verdict.proved, "what is proved hangs on no order"
    assert usual.designs[0].parts != other.designs[0].parts, "another design comes first"
    for ranking in (usual, other):
        said, turns, _ = ranking.verdict.text.partition(" Design 1 hangs on ")
        assert said == "10 circuits meet the spec; the least needs no extra parts.", "fewest, not first"
        assert bool(turns) == any(one.turns for one in ranking.designs[0].doubts), "each of its own first"
