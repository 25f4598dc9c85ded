"""What lists and judges goes as soon as nobody has it, with its arrays, and not when Python looks for rings.

Source: none; rings are found by Python's own collector (`gc`).
"""

import gc
from collections.abc import Iterator
from weakref import ref

import pytest

from lampwright.app.toy import CIRCUIT, TOY
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import MinimalityFilter
from lampwright.network.netlist import netlist_of
from lampwright.problem.problem import Problem, prepare
from lampwright.searching.evaluate import ShareEvaluator, shares_of
from lampwright.searching.plan import plan_steps
from lampwright.spec.load import parse_spec


@pytest.fixture
def no_collector() -> Iterator[None]:
    gc.collect()
    gc.disable()
    yield
    gc.enable()


@pytest.fixture(scope="module")
def problem() -> Problem:
    return prepare(parse_spec(TOY, "toy"))


@pytest.mark.usefixtures("no_collector")
def test_an_evaluator_goes_with_what_it_prepared(problem: Problem) -> None:
    evaluator = ShareEvaluator(problem)
    for share in list(shares_of(plan_steps(evaluator.judge, None)))[:3]:
        evaluator.take(share)
    seen = ref(evaluator), ref(evaluator.judge), ref(evaluator.ranger)
    del evaluator
    assert [one() for one in seen] == [None, None, None]


@pytest.mark.usefixtures("no_collector")
def test_what_judges_choices_goes_with_its_memory(problem: Problem) -> None:
    judging = MinimalityFilter(Judge(problem))
    judging.screen_one(netlist_of(CIRCUIT, problem.layout))
    seen = ref(judging), ref(judging.judge), ref(judging._choices)
    del judging
    assert [one() for one in seen] == [None, None, None]
