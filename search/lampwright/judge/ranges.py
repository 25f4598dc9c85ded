"""Whole ranges of resistance at once: which circuits no value suits, and which value suits a circuit.

A box gives every resistor a range of ohms. A corner that is missed for every value in a box refuses the box.
A box that is not refused is cut in two at the geometric middle of its widest side, until each piece is
refused, or the middle of one meets every corner, or a piece is `NARROWEST` wide and still neither.

A corner is a state at one of the three supplies, with each filling that the lamps may have, and with every
part at nominal or every part that carries current at an end of its tolerance. Refusing needs one corner only,
so boxes are tried at nominal parts and at the corners that refused lately; the middle of a box is tried at
all of them.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.graphs.slots import slot_of_words
from lampwright.judge.enclosed import MISSED
from lampwright.judge.range_corners import (
    MOST_BOXES,
    TRIED,
    RangedCircuits,
    RangeScratch,
    code_of,
    is_met,
    judge_corner,
    remember,
)
from lampwright.problem.demands import Fit, JudgingTables
from lampwright.solve.enclosures import new_box
from lampwright.solve.laws import Bytes, Floats, Ints
from lampwright.solve.newton import Workspace

NARROWEST = 1.001
"""A piece whose ends differ by less than this factor is not cut further."""

MOST_PIECES = 4000
"""Pieces of one circuit with one choice of types that are looked at; what is left then is undecided."""

REFUSED, WORKS, UNDECIDED = 0, 1, 2

LATELY = 12
"""Corners that refused lately, which are tried first."""

DEEPEST = 400
"""Pieces that wait at most."""

FINEST = 1.0001
"""The ends of a range that works are told to this factor."""


class RangeMemory(NamedTuple):
    """What the whole range does to live nets that were met before, in one cell and with one fit.

    key: (slots, 2) exact keys of a live net, its state and supply. known, refused: (slots,) cases (bit sets)
    that were tried, and that every value misses. No slots where nothing is kept.
    """

    key: Ints
    known: Ints
    refused: Ints


SLOTS = 2**16
MOST_CASES = 62
MOST_FILAMENTS, MOST_EXTRAS, HIGHEST_NODE = 7, 5, 15
"""Live nets of more are not remembered: their keys would not fit into two words."""

NO_MEMORY = RangeMemory(np.zeros((0, 2), np.int64), np.zeros(0, np.int64), np.zeros(0, np.int64))


def range_memory(fit: Fit, nodes: int, slots: int = SLOTS) -> RangeMemory:
    """Memory for circuits of this fit whose nodes are numbered below `nodes`: so many slots, or none."""
    filaments, extras = len(fit.lamp_of), fit.diodes + fit.resistors
    fits = (
        len(fit.digits) <= MOST_CASES
        and filaments <= MOST_FILAMENTS
        and extras <= MOST_EXTRAS
        and nodes <= HIGHEST_NODE + 1
    )
    if not fits:
        return NO_MEMORY
    known, refused = np.zeros((2, slots), np.int64)
    return RangeMemory(np.full((slots, 2), -1, np.int64), known, refused)


def range_scratch(work: Workspace, resistors: int) -> RangeScratch:
    """Memory for circuits with so many resistors."""
    return RangeScratch(
        work=work,
        fitted=np.full(2, -1, np.int64),
        box=new_box(),
        corners=np.full(LATELY, -1, np.int64),
        stack=np.zeros((DEEPEST, resistors, 2)),
        found=np.zeros(resistors),
    )


@njit(**INNER)
def _is_refused(
    ohms: Floats,
    circuit: int,
    circuits: RangedCircuits,
    tables: JudgingTables,
    scratch: RangeScratch,
) -> bool:
    """Whether a corner that refused lately, or one of nominal parts, is missed for every value in the box."""
    states, cases = circuits.vertex_node.shape[0], circuits.fit.digits.shape[0]
    for at in range(scratch.corners.shape[0]):
        code = scratch.corners[at]
        if code < 0:
            break
        if judge_corner(code, int(0), ohms, circuit, circuits, tables, scratch) == MISSED:
            remember(code, scratch.corners)
            return True
    for case in range(cases):
        for supply in TRIED:
            for state in range(states):
                code = code_of(int(0), case, state, supply, circuits)
                # those that refused lately were tried already
                if np.any(scratch.corners == code):
                    continue
                if judge_corner(code, int(0), ohms, circuit, circuits, tables, scratch) == MISSED:
                    remember(code, scratch.corners)
                    return True
    return False


@njit(**INNER)
def net_key(
    circuit: int,
    corner: int,
    ends: Bytes,
    lives: Ints,
    vertex_node: Bytes,
    filaments: int,
    diodes: int,
    slots: int,
) -> tuple[int, int, int]:
    """The two words of a circuit's live net in the state and supply of a corner, and their slot."""
    states = vertex_node.shape[0]
    state = corner // 3 % states
    live = int(lives[circuit, state])
    lamps, extras = 0, corner % (3 * states) + 1
    for p in range(ends.shape[1]):
        code = 0
        if (live >> p) & 1:
            a = int(vertex_node[state, ends[circuit, p, 0]])
            b = int(vertex_node[state, ends[circuit, p, 1]])
            is_arc = filaments <= p < filaments + diodes
            code = 16 * a + b if a < b or is_arc else 16 * b + a
        if p < filaments:
            lamps = lamps * 256 + code
        else:
            extras = extras * 256 + code
    slot = slot_of_words(lamps, extras, slots)
    return lamps, extras, int(slot)


@njit(**INNER)
def _net_slot(circuit: int, corner: int, circuits: RangedCircuits, memory: RangeMemory) -> int:
    """The slot for a circuit's live net in the state and supply of a corner; claimed if it is another's."""
    key, fit = memory.key, circuits.fit
    lamps, extras, slot = net_key(
        circuit, corner, circuits.ends, circuits.live, circuits.vertex_node, fit.lamp_of.shape[0], fit.diodes,
        key.shape[0],
    )  # fmt: skip
    if key[slot, 0] != lamps or key[slot, 1] != extras:
        key[slot, 0], key[slot, 1] = lamps, extras
        memory.known[slot] = memory.refused[slot] = 0
    return int(slot)


@njit(**INNER)
def _missing(
    corner: int,
    first: int,
    asked: int,
    whole_range: Floats,
    circuit: int,
    circuits: RangedCircuits,
    tables: JudgingTables,
    scratch: RangeScratch,
    memory: RangeMemory,
) -> int:
    """Those of the cases asked (bit set, from case `first` on) that miss one corner for every value."""
    slot, known, refused = -1, 0, 0
    if memory.key.shape[0] > 0:
        slot = _net_slot(circuit, corner, circuits, memory)
        known, refused = memory.known[slot], memory.refused[slot]
    for bit in range(min(MOST_CASES, circuits.fit.digits.shape[0] - first)):
        if (asked & ~known) >> bit & 1:
            code = code_of(int(0), first + bit, corner // 3, corner % 3, circuits)
            if judge_corner(code, int(0), whole_range, circuit, circuits, tables, scratch) == MISSED:
                refused |= 1 << bit
            known |= 1 << bit
    if slot >= 0:
        memory.known[slot], memory.refused[slot] = known, refused
    return refused & asked


@njit(**ENTRY)
def refuse_whole(
    whole_range: Floats,
    circuits: RangedCircuits,
    tables: JudgingTables,
    scratch: RangeScratch,
    memory: RangeMemory,
    order: Ints,
    left: Bytes,
) -> None:
    """Strike out every circuit that one box with the whole range refuses in every case, at nominal parts.

    whole_range: (resistors, 2) [ohm]. order: (3 * states,) states and supplies as 3 * state + supply in the
    order they are tried; one that refuses moves to the front. left: (circuits,), 1 where some case is not
    refused, filled here.
    """
    cases = circuits.fit.digits.shape[0]
    for circuit in range(circuits.ends.shape[0]):
        scratch.fitted[0] = -1
        left[circuit] = 0
        for first in range(0, cases, MOST_CASES):
            asked = (1 << min(MOST_CASES, cases - first)) - 1
            for at in range(order.shape[0]):
                corner = order[at]
                missed = _missing(
                    corner, first, asked, whole_range, circuit, circuits, tables, scratch, memory
                )
                asked &= ~missed
                if asked == 0:
                    for k in range(at, 0, -1):
                        order[k] = order[k - 1]
                    order[0] = corner
                    break
            if asked != 0:
                left[circuit] = 1
                break


@njit(**ENTRY)
def decide(
    whole_range: Floats,
    circuit: int,
    circuits: RangedCircuits,
    tables: JudgingTables,
    scratch: RangeScratch,
) -> tuple[int, int]:
    """Whether any ohms of the range meet every case of a circuit, and the pieces looked at.

    whole_range: (resistors, 2) [ohm]. Returns REFUSED, WORKS or UNDECIDED first; ohms that work stand in
    scratch.found.
    """
    scratch.fitted[0], scratch.fitted[1] = -1, MOST_BOXES
    # what refused another circuit must not decide which pieces are cut here
    scratch.corners[:] = -1
    stack, middle = scratch.stack, np.zeros(whole_range.shape)
    for r in range(whole_range.shape[0]):
        for side in range(2):
            stack[0, r, side] = whole_range[r, side]
    depth, pieces, left_over = 1, 0, False
    while depth > 0:
        depth -= 1
        pieces += 1
        if pieces > MOST_PIECES:
            return UNDECIDED, pieces
        piece = stack[depth].copy()
        if _is_refused(piece, circuit, circuits, tables, scratch):
            continue
        widest = 0
        for r in range(piece.shape[0]):
            middle[r, 0] = middle[r, 1] = np.sqrt(piece[r, 0] * piece[r, 1])
            if piece[r, 1] / piece[r, 0] > piece[widest, 1] / piece[widest, 0]:
                widest = r
        if is_met(middle, circuit, circuits, tables, scratch):
            for r in range(piece.shape[0]):
                scratch.found[r] = middle[r, 0]
            return WORKS, pieces
        if piece[widest, 1] / piece[widest, 0] < NARROWEST or depth + 2 > stack.shape[0]:
            left_over = True
            continue
        for r in range(piece.shape[0]):
            for side in range(2):
                stack[depth, r, side] = stack[depth + 1, r, side] = piece[r, side]
        stack[depth, widest, 1] = stack[depth + 1, widest, 0] = middle[widest, 0]
        depth += 2
    return (UNDECIDED if left_over else REFUSED), pieces


@njit(**ENTRY)
def widest_range(
    resistor: int,
    ohms: Floats,
    limits: tuple[float, float],
    circuits: RangedCircuits,
    tables: JudgingTables,
    scratch: RangeScratch,
) -> tuple[float, float]:
    """How far one resistor of the first circuit may go from ohms (resistors,) that work [ohm].

    All between is shown to work, with the others as they are. limits: the least and most that are asked
    about [ohm]. Steps grow while boxes are met and shrink where one is not.
    """
    scratch.fitted[0], scratch.fitted[1] = -1, MOST_BOXES
    box = np.empty((ohms.shape[0], 2))
    ends = np.array([ohms[resistor], ohms[resistor]])
    for side in range(2):
        step = 1.1
        while ends[side] != limits[side] and step > FINEST:
            for r in range(ohms.shape[0]):
                box[r, 0] = box[r, 1] = ohms[r]
            beyond = max(ends[0] / step, limits[0]) if side == 0 else min(ends[1] * step, limits[1])
            box[resistor, side], box[resistor, 1 - side] = beyond, ends[side]
            if is_met(box, int(0), circuits, tables, scratch):
                ends[side] = beyond
                step = step * step
            else:
                step = np.sqrt(step)
    return ends[0], ends[1]
