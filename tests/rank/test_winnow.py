"""Minimality found in two ways, grouping of drawings, and the order of designs."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from lampwright.network.embed import Embedding
from lampwright.network.reduce import reductions
from lampwright.pipeline.hunt import Hunter, Share
from lampwright.pipeline.plan import plan_steps
from lampwright.pipeline.reading import read_study
from lampwright.rank.group import circuit_key
from lampwright.rank.judge import Judge
from lampwright.rank.study import Study, choice_of, fit_of, numbers_of
from lampwright.rank.winnow import Screened, Winnower, group_drawings

SPECS = Path(__file__).parents[2] / "specs"


@pytest.fixture(scope="module")
def sidecar() -> Study:
    return read_study(SPECS / "sidecar_side_lamp.toml")


def screened_in(study: Study, extra: int) -> list[Screened]:
    hunter = Hunter(study)
    step = plan_steps(hunter.judge, extra)[extra]
    return [one for p in step.placings for one in hunter.take(Share(p, 0, 1)).screened]


def test_minimality_by_simulation_agrees_with_looking_up_the_smaller_circuits(sidecar: Study) -> None:
    hunter = Hunter(sidecar)
    winnower = Winnower(hunter.judge)
    smaller = group_drawings(screened_in(sidecar, 0), hunter.judge)
    passing = {
        circuit_key(group.drawings[0], sidecar.layout)
        for group in smaller
        if winnower.outcome(group).winner is not None
    }
    one_more = group_drawings(screened_in(sidecar, 1), hunter.judge)
    assert len(one_more) > 10, "there is something to compare"
    for group in one_more:
        first = group.drawings[0]
        wires = sidecar.spec.bounds.wires
        looked_up = any(
            circuit_key(r.embedding, sidecar.layout) in passing
            for r in reductions(first)
            if r.embedding.wires <= wires
        )
        assert winnower.is_minimal(first) == (not looked_up), f"{first.form}"


def test_all_choices_of_a_circuit_screen_alike_one_by_one_and_in_the_hunt(sidecar: Study) -> None:
    hunter = Hunter(sidecar)
    winnower = Winnower(hunter.judge)
    for one in screened_in(sidecar, 1)[:40]:
        assert winnower.screen_one(one.embedding) == one.choices, f"{one.embedding.form}"


def test_screening_loses_nothing_that_the_judge_keeps(sidecar: Study) -> None:
    hunter = Hunter(sidecar)
    winnower = Winnower(hunter.judge)
    fit = fit_of(sidecar, 0, 0)
    rng = np.random.default_rng(7)
    kept = 0
    for _ in range(300):
        ends = [sorted(rng.choice(4, 2, replace=False)) for _ in range(2)] + [
            [3, rng.integers(3)] for _ in range(2)
        ]
        one = Embedding((0, 1, 2, 3), 0, np.array(ends, np.int8), 0, 0)
        passed = set(winnower.screen_one(one))
        for number in range(len(fit.digits)):
            if hunter.judge.meets(one, choice_of(number, fit)):
                kept += 1
                assert number in passed, f"{one.form} with choice {number}"
    one = Embedding((0, 1, 2, 3), 0, np.array([[0, 3], [0, 1], [3, 1], [3, 2]], np.int8), 0, 0)
    # five types, two of which may hold gas or vacuum
    assert len(winnower.screen_one(one)) == 7, "the shipped design passes with each of its lamps"


def test_series_order_is_one_circuit_and_other_ends_are_not(sidecar: Study) -> None:
    def with_resistor(ends: list[list[int]]) -> Embedding:
        return Embedding((0, 1, 2, 3), 1, np.array(ends, np.int8), 0, 1)

    rear = [[3, 1], [3, 2]]
    one = with_resistor([[0, 3], [0, 4], *rear, [4, 1]])
    turned = with_resistor([[0, 3], [4, 1], *rear, [0, 4]])
    other = with_resistor([[0, 3], [0, 4], *rear, [4, 2]])
    keys = [circuit_key(e, sidecar.layout) for e in (one, turned, other)]
    assert keys[0] == keys[1], "lamp and resistor in series, in either order"
    assert keys[0] != keys[2], "another terminal is another circuit"
    hunter = Hunter(sidecar)
    groups = group_drawings([Screened(one, (3,)), Screened(turned, (3,))], hunter.judge)
    assert len(groups) == 1, "one group"
    assert (groups[0].choices, groups[0].conductors) == ((3,), 0)
    assert [drawn.form for drawn in groups[0].drawings] == sorted([one.form, turned.form])


def with_two(front: list[int], *resistors: list[int]) -> Embedding:
    """The sidecar's lamps and two resistors, with a joint 4."""
    ends = [front, [0, 1], [3, 1], [3, 2], *resistors]
    return Embedding((0, 1, 2, 3), 1, np.array(ends, np.int8), 0, 2)


def numbers(study: Study, *values: tuple[int, int]) -> tuple[int, ...]:
    """The numbers of choices with the first type of each lamp and these digits of two resistors."""
    fit, lamps = fit_of(study, 0, 2), [0] * len(study.layout.lamps)
    digits = np.array([[*lamps, *pair] for pair in values], np.int64)
    return tuple(int(number) for number in numbers_of(digits, fit))


def test_a_choice_found_in_one_drawing_is_carried_to_the_first(sidecar: Study) -> None:
    first, other = with_two([0, 4], [4, 1], [4, 3]), with_two([0, 4], [4, 3], [4, 1])
    mine, theirs = numbers(sidecar, (2, 5), (5, 2))
    judge = Judge(sidecar)
    (one,) = group_drawings([Screened(other, (theirs,)), Screened(first, (mine,))], judge)
    assert one.choices == (mine,), "one choice, written in two ways"
    (two,) = group_drawings([Screened(other, (mine,)), Screened(first, (mine,))], judge)
    assert two.choices == (mine, theirs), "two choices, written in one way"
    ends = [drawn.ends.tolist() for drawn in two.drawings]
    assert ends[0] == ends[1] == first.ends.tolist(), "and the parts are numbered alike"


@pytest.mark.parametrize(
    ("what", "circuit", "alike"),
    [
        ("in parallel", with_two([0, 4], [4, 3], [3, 4]), True),
        ("in series, with the lamp between", with_two([4, 5], [0, 4], [5, 3]), True),
        ("to two terminals", with_two([0, 4], [4, 3], [4, 1]), False),
    ],
)
def test_mirror_images_of_a_choice_are_one(
    sidecar: Study, what: str, circuit: Embedding, alike: bool
) -> None:
    circuit = replace(circuit, joints=int(circuit.ends.max()) - 3)
    small, mirrored, equal = numbers(sidecar, (2, 5), (5, 2), (3, 3))
    (group,) = group_drawings([Screened(circuit, (small, equal, mirrored))], Judge(sidecar))
    assert group.choices == ((small, equal) if alike else (small, equal, mirrored)), what


def test_a_diode_in_a_resistors_place_is_another_circuit_and_the_order_is_fixed(sidecar: Study) -> None:
    ends = np.array([[0, 3]] * 5, np.int8)
    both = [Screened(Embedding((0, 1, 2, 3), 0, ends, diodes, 1 - diodes), (0,)) for diodes in (0, 1)]
    for came in (both, both[::-1]):
        groups = group_drawings(came, Judge(sidecar))
        found = [group.drawings[0].diodes for group in groups]
        assert found == [0, 1], "whichever the workers brought first"
