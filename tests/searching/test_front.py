"""The front against its definition, against published counts, and with scores that are not known."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import permutations, product
from math import factorial
from typing import NamedTuple, get_args

import numpy as np
import pytest

from lampwright.judge.minimality import Passing, Winner
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice
from lampwright.results.design import Design, Ratings, Tightest
from lampwright.searching import front
from lampwright.searching.front import Comparison
from lampwright.searching.options import DEFAULT_ORDER, completed
from lampwright.searching.ranking import RankedDesign, in_order
from lampwright.words import Aim

SCORES = (0.0, 0.25, 0.5, 0.75, 1.0)


class Standing(NamedTuple):
    """One design in the five aims: counts, margin [stops], fault score or None where not known."""

    extra_parts: int
    wires: int
    conductors: int
    margin: float
    score: float | None


def row(one: Standing, joints: int = 0) -> Design:
    """A design's row with these figures; all else is made up."""
    return Design(
        rank=0,
        parts=(),
        extra_parts=one.extra_parts,
        wires=one.wires,
        joints=joints,
        conductors=one.conductors,
        margin_stops=one.margin,
        tightest=Tightest(state="", lamp="", corner=""),
        states=(),
        ratings=Ratings(controls=(), resistors=(), diodes=(), lamps=()),
        choices=(),
        also_drawn_as=(),
        care=None,
        wiring=None,
        flashing=None,
        sweep=None,
        trials=(),
    )


def compare(standings: Sequence[Standing]) -> Comparison:
    """Compare designs with these figures."""
    return front.compare([row(one) for one in standings], [one.score for one in standings])


def worth_scoring(standings: Sequence[Standing], most: int) -> tuple[int, ...]:
    """Whose scores are worth working out."""
    return front.worth_scoring([row(one) for one in standings], most)


def vector(one: Standing, score: float) -> tuple[float, ...]:
    """All five aims, the least the best."""
    return one.extra_parts, one.wires, one.conductors, -one.margin, -score


def dominates(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Pareto dominance, word for word: no component is worse, and one is better.

    Source: M. Ehrgott, Multicriteria Optimization, 2nd ed., Springer 2005, chapter 2 (from
    memory); the same in H. T. Kung, F. Luccio, F. P. Preparata, "On finding the maxima of
    a set of vectors", J. ACM 22 (1975) 469 (from memory).
    """
    pairs = tuple(zip(one, other, strict=True))
    return all(a <= b for a, b in pairs) and any(a < b for a, b in pairs)


def plain_front(vectors: list[tuple[float, ...]]) -> set[int]:
    return {at for at, own in enumerate(vectors) if not any(dominates(one, own) for one in vectors)}


def drawn(rng: np.random.Generator, count: int, unknown: int) -> list[Standing]:
    """Designs with few values each, so that ties of every kind occur; the first have no score."""
    few = rng.integers(0, 3, (count, 4))
    return [
        Standing(int(a), int(b), int(c), m / 2, None if at < unknown else float(rng.choice(SCORES)))
        for at, (a, b, c, m) in enumerate(few)
    ]


@pytest.mark.parametrize("seed", range(60))
def test_with_every_score_known_it_is_the_definitions_front(seed: int) -> None:
    rng = np.random.default_rng(seed)
    designs = drawn(rng, int(rng.integers(1, 25)), 0)
    found = compare(designs)
    assert set(found.members) == plain_front([vector(one, one.score or 0.0) for one in designs]), f"{designs}"
    assert all(found.certain), "all is known"
    assert found.undecided == (), "all is known"


@pytest.mark.parametrize("seed", range(60))
def test_unknown_scores_leave_open_exactly_what_they_can_change(seed: int) -> None:
    """Every way of filling in the unknown scores is tried, with a value at, below and above each known."""
    rng = np.random.default_rng(1000 + seed)
    unknown = int(rng.integers(1, 4))
    designs = drawn(rng, int(rng.integers(unknown, 12)), unknown)
    fronts = []
    for filled in product((0.0, 0.1, 0.25, 0.3, 0.5, 0.6, 0.75, 0.9, 1.0), repeat=unknown):
        scores = [*filled, *(one.score or 0.0 for one in designs[unknown:])]
        fronts.append(plain_front([vector(one, score) for one, score in zip(designs, scores, strict=True)]))
    found = compare(designs)
    told = {*found.members, *found.undecided}
    assert told == set.union(*fronts), f"what may be on the front: {designs}"
    sure = {at for at, certain in zip(found.members, found.certain, strict=True) if certain}
    assert sure == set.intersection(*fronts) - set(found.undecided), f"what is on it for certain: {designs}"
    for at in found.undecided:
        others = [vector(one, 0.0) for one in designs]
        assert designs[at].score is None, "only an unknown score is undecided"
        assert any(dominates(one, others[at]) for one in others), "and only where the other aims are beaten"


def standing(aims: dict[str, float]) -> Standing:
    """A design with values in some aims, the same as all others in the rest; the less the better."""
    parts, wires, conductors = (int(aims.get(name, 0)) for name in NAMES[:3])
    return Standing(parts, wires, conductors, 9.0 - aims.get("margin", 0), 1.0 - aims.get("score", 0) / 10)


NAMES = ("extra_parts", "wires", "conductors", "margin", "score")
PAIRS = [(one, other) for at, one in enumerate(NAMES) for other in NAMES[:at]]


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_maxima_of_all_permutations_are_harmonic_numbers(one: str, other: str) -> None:
    """In two aims, the fronts of all orders of n designs hold n! H(n) designs together.

    Source: OEIS A000254 (unsigned Stirling numbers of the first kind): 1, 3, 11, 50, 274;
    that these count maxima: J. L. Bentley, H. T. Kung, M. Schkolnick, C. D. Thompson, "On
    the average number of maxima in a set of vectors", J. ACM 25 (1978) 536. From memory.
    """
    for n, published in ((1, 1), (2, 3), (3, 11), (4, 50), (5, 274)):
        total = sum(
            len(compare([standing({one: at, other: own[at]}) for at in range(n)]).members)
            for own in permutations(range(n))
        )
        assert total == published, f"{n} designs in {one} and {other}"


def average_maxima(n: int, aims: int) -> Fraction:
    """How many of n designs are on the front on the average over all orders: M(n, d) = sum of M(k, d-1)/k.

    Source: Bentley and others, as above; M(n, 1) = 1.
    """
    return (
        Fraction(1)
        if aims == 1
        else sum((average_maxima(k, aims - 1) / k for k in range(1, n + 1)), Fraction())
    )


@pytest.mark.parametrize("names", [NAMES[:3], NAMES[2:]])
def test_maxima_in_three_aims_are_as_many_as_published(names: tuple[str, ...]) -> None:
    n = 4
    total = sum(
        len(
            compare(
                [standing(dict(zip(names, row, strict=True))) for row in zip(range(n), a, b, strict=True)]
            ).members
        )
        for a in permutations(range(n))
        for b in permutations(range(n))
    )
    assert total == average_maxima(n, 3) * factorial(n) ** 2, "the average of M(4, 3) is exact"


def test_equals_all_stand_on_the_front() -> None:
    twin = Standing(1, 0, 2, 1.0, 0.5)
    worse = Standing(1, 0, 2, 1.0, 0.4)
    assert compare([twin, worse, twin]).members == (0, 2), "neither of two equals beats the other"


def test_margins_that_differ_beyond_the_decimals_are_equal() -> None:
    one, other = Standing(0, 0, 0, 1.0, 0.5), Standing(0, 0, 0, 1.0 + 4e-7, 0.5)
    assert compare([one, other]).members == (0, 1), "the seventh decimal decides nothing"
    assert compare([one, Standing(0, 0, 0, 1.000002, 0.5)]).members == (1,), "the sixth does"


def test_only_a_perfect_score_beats_an_unknown_one() -> None:
    unknown = Standing(2, 0, 0, 1.0, None)
    perfect, fair = Standing(1, 0, 0, 1.0, 1.0), Standing(1, 0, 0, 1.0, 0.99)
    assert compare([unknown, perfect]).undecided == (), "no score is above 1"
    assert compare([unknown, fair]).undecided == (0,), "a better score would do"
    assert compare([unknown, Standing(0, 0, 0, 0.9, 0.2)]).members == (0, 1), "it has the most margin"


def test_scores_go_first_to_those_that_nothing_else_beats() -> None:
    designs = [Standing(n % 3, 0, 0, margin, None) for n, margin in enumerate((1.0, 1.5, 1.2, 0.5, 2.0, 2.0))]
    # extra parts 0, 1, 2, 0, 1, 2: the first beats the fourth, and the fifth beats all of one part and more
    assert worth_scoring(designs, 6) == (0, 4, 1, 2, 3, 5)
    assert worth_scoring(designs, 3) == (0, 4, 1)
    assert worth_scoring([], 3) == ()


def ranked(
    parts: int, wires: int, joints: int, conductors: int, *, margin: float, score: float | None = None
) -> RankedDesign:
    """A design with such counts; what it does not need is made up."""
    partition = tuple(range(4 - wires)) + (0,) * wires
    ends = np.array([[0, 1]] * (2 + parts), np.int8)
    winner = Winner(
        Netlist(partition, joints, ends, 0, parts), (Passing(Choice((0,)), margin),), (), conductors
    )
    return RankedDesign(winner, row(Standing(parts, wires, conductors, margin, score), joints), score)


def test_without_a_preference_the_order_is_the_one_it_always_was() -> None:
    rng = np.random.default_rng(3)
    some = [
        ranked(*(int(n) for n in rng.integers(0, 3, 4)), margin=float(rng.integers(0, 3))) for _ in range(60)
    ]
    key = [
        (d.extra_parts, d.wires, d.joints, d.conductors, -d.margin_stops)
        for d in (one.design for one in in_order(some, ()))
    ]
    assert key == sorted(key), "extra parts, wires, joints, conductors, margin"
    assert sorted(map(id, in_order(some, ()))) == sorted(map(id, some)), "each once"


def test_the_fault_score_breaks_a_tie() -> None:
    tied = [
        ranked(1, 0, 0, 2, margin=margin, score=score) for margin, score in ((1.0, 0.2), (1.0000001, 0.6))
    ]
    unknown, more = ranked(1, 0, 0, 2, margin=1.0), ranked(1, 0, 0, 2, margin=1.1)
    assert in_order([*tied, unknown], ()) == (tied[1], tied[0], unknown), "no score comes last"
    assert in_order([tied[0], more], ()) == (more, tied[0]), "margin goes before"


@pytest.mark.parametrize("aim", DEFAULT_ORDER)
def test_the_aim_preferred_decides_first(aim: Aim) -> None:
    counts = ("extra parts", "wires", "joints", "conductors")
    own = ranked(
        *(1 if name == aim else 2 for name in counts),
        margin=0.9 if aim == "margin" else 0.5,
        score=0.9 if aim == "faults" else 0.5,
    )
    rival = ranked(
        *(2 if name == aim else 0 for name in counts),
        margin=0.5 if aim == "margin" else 0.95,
        score=0.5 if aim == "faults" else 0.95,
    )
    assert in_order([rival, own], (aim,)) == (own, rival), "the rival is better in every aim but this"


def test_the_other_aims_follow_as_they_always_did() -> None:
    assert completed(("faults", "wires")) == (
        "faults", "wires", "extra parts", "joints", "conductors", "margin"
    )  # fmt: skip
    assert completed(DEFAULT_ORDER) == DEFAULT_ORDER
    assert get_args(Aim) == DEFAULT_ORDER, "every aim has its place"
