"""Which way a live net's volts move with the value of each part, told from how it is joined alone, compiled.

So the corners at which a figure can be worst are few: a part that moves it one way, whatever the values of
the others, is at its worst at one known end; only parts that may move it either way are tried at both.

Why. Let p lie between nodes a and b, f between c and d, and let the two rails count as one node, as their
potentials are given. More of p's value lets more current through it, the way its volts drive it. What that
does to the volts of f is the transfer resistance of the two, at the parts' differential conductances, which
are all positive; and its sign is that of (sum of the products of all spanning forests of two trees that hold
a, c and b, d) less (the same of a, d and b, c). Where no forest of the one kind exists, the sign is known
whatever the values; and such a forest exists exactly if there are paths from a to c and from b to d that
share no node. Which way its volts drive p is told in the same way with the rails apart, from chord
conductances, which are positive as well. What leaks from nodes to ground moves nothing by more than the
judge's `TIE`.

Worked case: two lamps in a row. More of the one's current: less volts across it, more across the other.

Source: the forests of two trees, Kirchhoff (1847) and Maxwell (1873), after Seshu and Reed, Linear Graphs and
Electrical Networks (1961) ch. 7 (MEMORY); parts that can move a figure one way only are Duffin's confluent
edges, Bull. AMS 65 (1959) (MEMORY).
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.solve.laws import DIODE, FILAMENT, Bytes, Ints
from lampwright.solve.newton import HEAD, KIND, MOST_NODES, TAIL

EITHER = 2
"""The sign of what may be positive or negative."""

MOST_OPEN = 6
"""Parts that may move a figure either way and are tried at both ends in every way, at most."""

MOST_WALKED = 2000
"""Steps of a walk after which two paths are taken to exist."""

NODES = MOST_NODES + 1
"""The nodes of a net and one more, for what is behind a contact."""


class Figures(NamedTuple):
    """Parts (bit sets) of which figures are looked at.

    asked: filaments that must shine. least, most: of filaments the least and the greatest volts; of others
    both alike, the load.
    """

    asked: int
    least: int
    most: int


@njit(**INNER)
def _reaches(start: int, end: int, without: int, adjacent: Ints) -> bool:
    """Whether a node reaches another when some (bit set) are taken out."""
    seen = fringe = 1 << start
    while fringe:
        grown = node = 0
        while fringe:
            if fringe & 1:
                grown |= adjacent[node]
            fringe >>= 1
            node += 1
        fringe = grown & ~seen & ~without
        seen |= fringe
    return bool((seen >> end) & 1)


@njit(**ENTRY)
def can_part(a: int, c: int, b: int, d: int, adjacent: Ints) -> bool:
    """Whether there may be paths from a to c and from b to d that share no node; nodes, adjacent bit sets.

    Where looking takes too long it says that there may.
    """
    if a in (b, d) or c in (b, d):
        return False
    path = 1 << a
    if not _reaches(b, d, path, adjacent):
        return False
    if a == c:
        return True
    stack, left = np.zeros(NODES, np.int64), np.zeros(NODES, np.int64)
    stack[0], left[0], depth = a, adjacent[a] & ~(1 << b) & ~(1 << d) & ~path, 0
    for _ in range(MOST_WALKED):
        if left[depth] == 0:
            path &= ~(1 << stack[depth])
            depth -= 1
            if depth < 0:
                return False
            continue
        node = 0
        while (left[depth] >> node) & 1 == 0:
            node += 1
        left[depth] &= ~(1 << node)
        if not _reaches(b, d, path | (1 << node), adjacent):
            continue
        if node == c:
            return True
        if not _reaches(node, c, path | (1 << b) | (1 << d), adjacent):
            continue
        depth += 1
        path |= 1 << node
        stack[depth], left[depth] = node, adjacent[node] & ~path & ~(1 << b) & ~(1 << d)
    return True


@njit(**INNER)
def _sign(a: int, b: int, c: int, d: int, adjacent: Ints) -> int:
    """The sign of what current from b to a through its own part does to the volts from c to d, or EITHER."""
    up, down = can_part(a, c, b, d, adjacent), can_part(a, d, b, c, adjacent)
    if up and down:
        return EITHER
    return int(up) - int(down)


@njit(**INNER)
def _join(net: int, parts: int, is_one_rail: bool, behind: int, ends: Bytes, whole: Ints) -> Ints:
    """The neighbours (bit sets) of each node, (NODES,), by the parts of a net (bit set) that is bound.

    is_one_rail: the supply counts as ground. behind: the vertices (bit set) of the node of their own that is
    behind a contact, the last.
    """
    adjacent = np.zeros(NODES, np.int64)
    for p in range(parts):
        if (net >> p) & 1:
            a = node_of(p, int(0), is_one_rail, behind, ends, whole)
            b = node_of(p, int(1), is_one_rail, behind, ends, whole)
            if a != b:
                adjacent[a] |= 1 << b
                adjacent[b] |= 1 << a
    return adjacent


@njit(**INNER)
def node_of(part: int, side: int, is_one_rail: bool, behind: int, ends: Bytes, whole: Ints) -> int:
    """The node at an end of a part that is bound; as `_join` has it."""
    if (behind >> ends[0, part, side]) & 1:
        return NODES - 1
    node = int(whole[(TAIL if side == 0 else HEAD) + part])
    return 0 if node == 1 and is_one_rail else node


@njit(**ENTRY)
def drives_of(net: int, ends: Bytes, whole: Ints) -> Ints:
    """The sign of the volts across each part of a net (bit set) that is bound, (parts,), or EITHER."""
    parts = ends.shape[1]
    adjacent, signs = _join(net, parts, bool(False), int(0), ends, whole), np.zeros(parts, np.int64)
    for p in range(parts):
        if (net >> p) & 1:
            signs[p] = _sign(whole[TAIL + p], whole[HEAD + p], int(1), int(0), adjacent)
    return signs


@njit(**ENTRY)
def effects_on(part: int, behind: int, net: int, drives: Ints, ends: Bytes, whole: Ints) -> Ints:
    """The sign of what more of each part's value does to the volts across a part, (parts,), or EITHER.

    With part below zero: to the current through a contact, whose vertices are `behind` (bit set).
    """
    parts, own = ends.shape[1], behind if part < 0 else 0
    adjacent, signs = _join(net, parts, bool(True), own, ends, whole), np.zeros(parts, np.int64)
    c = NODES - 1 if part < 0 else node_of(part, int(0), bool(True), int(0), ends, whole)
    d = 0 if part < 0 else node_of(part, int(1), bool(True), int(0), ends, whole)
    for p in range(parts):
        if (net >> p) & 1 == 0:
            continue
        a, b = (
            node_of(p, int(0), bool(True), own, ends, whole),
            node_of(p, int(1), bool(True), own, ends, whole),
        )
        moved = _sign(a, b, c, d, adjacent) if a != b else 0
        if moved == 0 or drives[p] == 0:
            signs[p] = 0
        elif moved == EITHER or drives[p] == EITHER:
            signs[p] = EITHER
        else:
            signs[p] = -moved * drives[p]
    return signs


@njit(**INNER)
def _add_ends(signs: Ints, way: int, varied: Ints, out: Ints, count: int) -> tuple[int, bool]:
    """Add the patterns at which a figure may be greatest (way 1) or least (-1); their number, whether all.

    signs: (parts,) as of `effects_on`. varied: (bits,) the parts that have a bit in a pattern, in order.
    """
    base, left, undecided = 0, 0, np.zeros(varied.shape[0], np.int64)
    for bit in range(varied.shape[0]):
        sign = signs[varied[bit]]
        if sign == EITHER:
            undecided[left] = bit
            left += 1
        elif sign == way:
            base |= 1 << bit
    whole = left <= MOST_OPEN
    for number in range(1 << left if whole else 2 + 2 * left):
        pattern = base
        for at in range(left):
            # too many for every way: all weak, all strong, and each one unlike the others
            up = (number >> at) & 1 if whole else (number & 1) ^ int(number // 2 == at + 1)
            pattern |= up << undecided[at]
        out[count] = pattern
        count += 1
    return count, whole


@njit(**ENTRY)
def worst_patterns(
    net: int, varied: Ints, gates: Ints, figures: Figures, ends: Bytes, whole: Ints
) -> tuple[Ints, bool]:
    """The patterns (count,) of a net's parts, rising, at which its figures can be worst; whether all.

    net: parts (bit set), bound in `whole`. varied: (bits,) those with a tolerance, one bit of a pattern each.
    gates: (gates,) vertices (bit sets) behind contacts whose current is read. Where the volts of a filament
    that must shine may be driven either way, the least size of them is not known to be at one of these.
    """
    drives, parts = drives_of(net, ends, whole), ends.shape[1]
    out = np.zeros((2 << MOST_OPEN + 2) * (parts + gates.shape[0]) + 64, np.int64)
    count, complete = 0, True
    for part in range(parts):
        if (net >> part) & 1 == 0:
            continue
        least, most = (figures.least >> part) & 1, (figures.most >> part) & 1
        if least == most == 0:
            continue
        signs = effects_on(part, int(0), net, drives, ends, whole)
        kind = whole[KIND + part]
        if kind == FILAMENT and drives[part] == EITHER and (figures.asked >> part) & 1:
            complete = False
        if kind == DIODE:
            # its current is greatest where its volts are but for its own value
            signs[part] = 1
        elif kind != FILAMENT:
            # watts have their peak in between
            signs[part] = EITHER
        for way in (1, -1):
            if kind == DIODE and way == -1:
                continue
            # volts that are driven one way are greatest in size where they are most that way
            wanted = most if drives[part] == way else least
            if kind == FILAMENT and drives[part] != EITHER and not wanted:
                continue
            count, fine = _add_ends(signs, way, varied, out, count)
            complete = complete and fine
    for gate in range(gates.shape[0]):
        signs = effects_on(int(-1), gates[gate], net, drives, ends, whole)
        for way in (1, -1):
            count, fine = _add_ends(signs, way, varied, out, count)
            complete = complete and fine
    return np.unique(out[:count]), complete
