"""How many circuits begin with a given prefix, without listing them.

What may follow a prefix depends on the subgroup that fixes it (a node of the choices) and,
through the rule, on the pairs it covers. So the number is a sum over the entries of the
node, each leading to a smaller question of the same kind, and every question is answered
once: dynamic programming over (node, covered pairs), remembered in a table with open
addressing. At the root it is the number of all circuits of the cell. No source: our method.
"""

import numpy as np
import numpy.typing as npt
from numba import njit

from lampwright.compiled import INNER
from lampwright.graphs.pathrule import obeys
from lampwright.graphs.slots import slots_for

SLOTS = 2**21
MOST_PAIRS = 45
"""Prefixes over more pairs than this are not counted: the key would not fit its word."""

Ints = npt.NDArray[np.int64]


def new_answers(questions: int) -> Ints:
    """Room for the answers to at most so many questions: (slots, 2), key plus one and number."""
    return np.zeros((slots_for(questions, SLOTS), 2), dtype=np.int64)


@njit(**INNER)
def _slot(key, answers):  # type: ignore[no-untyped-def]
    """Where a key stands or may stand; -1 where the table is too full to look further."""
    slots = answers.shape[0]
    # plain Python's own integers do not overflow
    at = (int(key) * 7046029254386353131) & (slots - 1)
    for _ in range(64):
        if answers[at, 0] == 0 or answers[at, 0] == key + 1:
            return at
        at = (at + 1) & (slots - 1)
    return -1


@njit(**INNER)
def count_completions(node, covered, start, stop, mask, after, table, sizes, answers):  # type: ignore[no-untyped-def]
    """The circuits that go on from a node with these pairs covered and obey the rule.

    start, stop, mask, after: the choices. table: the rule by support, or empty. sizes:
    terminals, vertices, rule. answers: what is remembered.
    """
    key = (np.int64(node) << np.int64(46)) | covered
    at = _slot(key, answers)
    if at >= 0 and answers[at, 0] == key + 1:
        return answers[at, 1]
    total = 0
    for entry in range(start[node], stop[node]):
        support = covered | mask[entry]
        if after[entry] >= 0:
            total += count_completions(after[entry], support, start, stop, mask, after, table, sizes, answers)
        elif table[support] if len(table) > 0 else obeys(support, sizes[0], sizes[1], sizes[2]):
            total += 1
    at = _slot(key, answers)
    if at >= 0:
        answers[at, 0] = key + 1
        answers[at, 1] = total
    return total
