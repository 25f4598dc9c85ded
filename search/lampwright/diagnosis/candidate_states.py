"""What becomes of the choices that a survey takes through the states, compiled.

The fate of a choice: its worst margin so far, the requirements missed so far as a mask, whether a
rating is exceeded. It lives on while it may be a near miss, or while what it misses includes
none of the sets that some sound choice is known to miss in the end.

The worked case: with the sets {0} and {1, 2} known, a choice that has missed 1 and 3 is of
interest still; when it misses 2 as well it is not.
"""

from typing import NamedTuple

from numba import njit

from lampwright.compiled import INNER
from lampwright.judge.corners import CAP
from lampwright.problem.demands import Numbered
from lampwright.solve.laws import Bytes, Floats, Ints

WORD = 62
"""Requirements to a word of a mask."""

SLACK = 1e-6
"""Stops forgiven, so that rounding never marks as missed what the judge calls met."""

OVER = 1 << 61
"""The bit of a point's failures that says: a rating is exceeded, or the point has no solution."""


class Cutoff(NamedTuple):
    """What a choice must beat to count.

    missed: the most requirements missed by a near miss; margin [stops]: the least that it has with so many.
    lenient: 1 where choices over a rating may miss requirements as well. few: a set of
    requirements missed is of interest up to this size.
    """

    margin: float
    missed: int
    lenient: int
    few: int


class Known(NamedTuple):
    """The smallest masks of requirements missed by sound choices; held: (1,) how many there are.

    mask: (room, words). None of them includes another.
    """

    mask: Ints
    held: Ints


class CandidateStates(NamedTuple):
    """What became of the choices of one circuit.

    worst: (choices,) [stops]. mask: (choices, words), missed: (choices,) their bits. over,
    fresh, alive: (choices,); fresh: what is missed includes no known set so far.
    """

    worst: Floats
    mask: Ints
    missed: Ints
    over: Bytes
    fresh: Bytes
    alive: Bytes


class StateSieve(NamedTuple):
    """What choices must beat, what is known to be missed, and what has become of the choices so far."""

    cutoff: Cutoff
    known: Known
    states: CandidateStates


@njit(**INNER)
def _mark(failed: int, state: int, asked: Numbered, mask: Ints) -> int:
    """Add a point's failures to a mask (words,); how many bits are new."""
    filaments = asked.cell.shape[1]
    fresh = 0
    left = failed & (OVER - 1)
    at = 0
    while left:
        if left & 1:
            cell = (
                asked.cell[state, at]
                if at < filaments
                else asked.first_same + asked.same_from[state] + at - filaments
            )
            bit = 1 << (cell % WORD)
            if mask[cell // WORD] & bit == 0:
                mask[cell // WORD] |= bit
                fresh += 1
        left >>= 1
        at += 1
    return fresh


@njit(**INNER)
def _includes(mask: Ints, other: Ints) -> bool:
    """Whether a mask has all bits of another."""
    lacking = 0
    for word in range(mask.shape[0]):
        lacking |= other[word] & ~mask[word]
    return bool(lacking == 0)


@njit(**INNER)
def is_dominated(mask: Ints, known: Known) -> bool:
    """Whether a mask includes one that is known."""
    at = 0
    while at < known.held[0] and not _includes(mask, known.mask[at]):
        at += 1
    return bool(at < known.held[0])


@njit(**INNER)
def learn(mask: Ints, known: Known) -> bool:
    """Keep a mask that includes no known one, dropping those that include it; whether there was room."""
    left = 0
    for at in range(known.held[0]):
        if not _includes(known.mask[at], mask):
            known.mask[left] = known.mask[at]
            left += 1
    known.held[0] = left
    if left == known.mask.shape[0]:
        return False
    known.mask[left] = mask
    known.held[0] = left + 1
    return True


@njit(**INNER)
def is_near(choice: int, cutoff: Cutoff, candidate_states: CandidateStates) -> bool:
    """Whether a choice may still be a near miss."""
    if candidate_states.over[choice] == 1 and candidate_states.missed[choice] > 0 and cutoff.lenient == 0:
        return False
    worst = max(candidate_states.worst[choice], -CAP)
    is_level = candidate_states.missed[choice] == cutoff.missed and worst >= cutoff.margin - SLACK
    return bool(candidate_states.missed[choice] < cutoff.missed or is_level)


@njit(**INNER)
def begin(known: Known, candidate_states: CandidateStates) -> None:
    """Nothing is known of any choice."""
    candidate_states.alive[:] = 1
    candidate_states.worst[:] = CAP
    candidate_states.mask[:] = 0
    candidate_states.missed[:] = 0
    candidate_states.over[:] = 0
    candidate_states.fresh[:] = 0 if is_dominated(candidate_states.mask[0], known) else 1


@njit(**INNER)
def fold(choice: int, margin: float, failed: int, state: int, asked: Numbered, sieve: StateSieve) -> None:
    """Add what one point brought to the fate of a choice."""
    known, candidate_states = sieve.known, sieve.states
    candidate_states.worst[choice] = min(candidate_states.worst[choice], margin)
    if failed & OVER:
        candidate_states.over[choice] = 1
        candidate_states.fresh[choice] = 0
    more = _mark(failed, state, asked, candidate_states.mask[choice]) if failed else 0
    candidate_states.missed[choice] += more
    if more > 0 and candidate_states.fresh[choice] == 1:
        few = candidate_states.missed[choice] <= sieve.cutoff.few
        candidate_states.fresh[choice] = (
            1 if few and not is_dominated(candidate_states.mask[choice], known) else 0
        )
