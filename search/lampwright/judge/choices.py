"""Which choices of types and values make a circuit meet the spec at every corner, and by how much, compiled.

What a choice comes to in one state hangs on the live net alone: the parts on a path from supply to ground,
diodes forward, how they are joined, and what is fitted to them. Choices share live nets, and so do circuits;
each is tried once and remembered by an exact key for as long as its slot is not needed for another. Nominal
parts go first, since they refuse most; corners are tried for what they leave, and first of all the state and
the corner that refused last. Where no margin is asked, those that can be worst do (`judge.net_corners`). Left
out is what blocked diodes let through, which moves a margin by less than `DOUBT`; where that could decide,
`try_corners` does.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.caches import remembered
from lampwright.compiled import ENTRY, INNER
from lampwright.graphs.between import edges_between
from lampwright.judge.all_corners import compare_corners, try_corners
from lampwright.judge.corners import (
    ALL,
    CAP,
    SUPPLIES,
    CornerCircuit,
    Verdicts,
    note_controls,
    note_light,
    note_loads,
)
from lampwright.judge.distinct import distinct_states
from lampwright.judge.fitting import bring_forward, fit_choice
from lampwright.judge.judge import Judge, ShortedError, blank_verdicts
from lampwright.judge.net_corners import DOUBT, MISSED, OPEN, corners_say
from lampwright.judge.tolerances import (
    Tolerances,
    fill_spread,
    new_spread,
    patterns_of,
    set_live_pattern,
    set_pattern,
    tolerances_of,
)
from lampwright.network.netlist import Netlist
from lampwright.problem.demands import Fit, JudgingTables
from lampwright.problem.problem import Choice, Problem, choice_of, fit_of, numbers_of, refilled
from lampwright.solve.enclosures import new_box
from lampwright.solve.lane_newton import Lanes, new_lanes
from lampwright.solve.laws import Bytes, Floats, Ints
from lampwright.solve.newton import ROW, Workspace, bind_live, cold_start, new_workspace, solve_bound

SLOTS = 2**13
"""How many live nets are remembered at once, for each boundary; below 1 MB."""

UNKNOWN, REFUSED, NOMINALLY, SHOWN, MET = 0, 1, 2, 3, 4
"""What is known of a live net: nothing, refused, met with nominal parts, met at every corner, and that with a
margin that is known."""

PRIME = 2**31 - 1


class NetMemory(NamedTuple):
    """What is known of live nets in the states of one boundary.

    place: (states, vertices) as in `places_of`. key: (slots, parts + 1); found: (slots,) as above; margin:
    (slots,) the least margin of lamps alone [stops] where met at every corner; same: (slots,) of lamps that
    match. order: (2, states) the order in which states
    are tried, at the ends of tolerances and nominal. refused_at: (states,) the corner that refused last.
    """

    place: Ints
    key: Ints
    found: Bytes
    margin: Floats
    same: Floats
    order: Ints
    refused_at: Ints


class ChoiceBench(NamedTuple):
    """All that judging choices of one circuit reads; spread, and all from work on, are written over."""

    circuit: CornerCircuit
    fit: Fit
    tolerances: Tolerances
    tables: JudgingTables
    memory: NetMemory
    work: Workspace
    box: Floats
    lanes: Lanes
    scratch: Verdicts


def places_of(vertex_node: Bytes, gates: tuple[Ints, Ints, Ints, Bytes]) -> Ints:
    """Where a part's end is in each state (states, vertices): equal for vertices that are one to the judge.

    Those are the vertices of one node; but one that is fed by a contact whose current is read stands alone.
    """
    place = vertex_node.astype(np.int64)
    vertices = place.shape[1]
    for state, beyond in zip(gates[0], gates[2], strict=True):
        for vertex in range(vertices):
            if (int(beyond) >> vertex) & 1:
                place[state, vertex] = 64 + vertex
    return place


def new_memory(vertex_node: Bytes, gates: tuple[Ints, Ints, Ints, Bytes], parts: int) -> NetMemory:
    """Nothing known yet of circuits of so many parts within this boundary."""
    return NetMemory(
        place=places_of(vertex_node, gates),
        key=np.zeros((SLOTS, parts + 1), np.int64),
        found=np.zeros(SLOTS, np.int8),
        margin=np.zeros(SLOTS),
        same=np.zeros(SLOTS),
        order=np.tile(np.arange(len(vertex_node)), (2, 1)),
        refused_at=np.zeros(len(vertex_node), np.int64),
    )


@njit(**INNER)
def _turn_parts(state: int, ends: Bytes, fit: Fit, place: Ints) -> None:
    """Let parts without a direction go from the lesser place to the greater.

    So one live net is one problem, and comes to the same to the last bit whichever circuit asks first.
    """
    first = fit.lamp_of.shape[0]
    for p in range(ends.shape[1]):
        a, b = ends[0, p, 0], ends[0, p, 1]
        if place[state, a] > place[state, b] and not first <= p < first + fit.diodes:
            ends[0, p, 0], ends[0, p, 1] = b, a


@njit(**INNER)
def _slot_of(
    state: int, choice: int, live: int, ends: Bytes, fit: Fit, work: Workspace, memory: NetMemory
) -> int:
    """The slot of a live net; what is known of another is forgotten."""
    filaments, parts = fit.lamp_of.shape[0], ends.shape[1]
    lamps = fit.sizes.shape[0] - fit.diodes - fit.resistors
    key = memory.key
    slot = state
    for each in range(2):
        same = True
        for p in range(parts + 1):
            word = state
            if p < parts:
                word = 0
                if (live >> p) & 1:
                    a, b = memory.place[state, ends[0, p, 0]], memory.place[state, ends[0, p, 1]]
                    one = work.whole[ROW + p] if p < filaments else fit.digits[choice, lamps + p - filaments]
                    word = ((a * 128 + b) * 4096 + one) + 1
            if each == 0:
                slot = (slot * 1000003 + word) % PRIME
            elif key[slot, p] != word:
                same = False
                key[slot, p] = word
        if each == 0:
            slot %= SLOTS
        elif not same:
            memory.found[slot] = UNKNOWN
    return slot


@njit(**INNER)
def _margin_at(
    state: int,
    supply: int,
    live: int,
    count: int,
    circuit: CornerCircuit,
    tables: JudgingTables,
    work: Workspace,
    scratch: Verdicts,
) -> tuple[float, float]:
    """The least margin [stops] of a live net of so many nodes, bound, its values set; -inf if refused.

    That of lamps alone, and that of lamps that match.
    """
    parts, volts = circuit.ends.shape[1], tables.volts[supply]
    steps, _ = solve_bound(parts, count, volts, tables.models.table, work.reals, work.whole)
    margin, same = note_light(state, supply, int(ALL), tables, work, scratch)
    if (
        steps < 0
        or min(margin, same) < -DOUBT
        or not note_loads(state, supply, live, parts, tables.limits, work, scratch)
        or not note_controls(state, supply, circuit, tables.limits, work, scratch)
    ):
        return -np.inf, -np.inf
    return float(margin), float(same)


@njit(**INNER)
def _least_margin(
    state: int,
    live: int,
    nominal: bool,
    circuit: CornerCircuit,
    tables: JudgingTables,
    work: Workspace,
    scratch: Verdicts,
    refused_at: Ints,
) -> tuple[float, float]:
    """The least margins [stops] of a live net, nominal or at the ends of tolerances; -inf if refused.

    scratch: verdicts to overwrite.
    """
    count = bind_live(circuit.ends, int(0), live, circuit.vertex_node, state, work.whole)
    patterns = 1 if nominal else patterns_of(live, circuit.spread)
    corners = SUPPLIES * patterns
    least, least_same = CAP, CAP
    # the one that refused last, then all in turn: so that the least is the same whatever came before
    for each in range(0 if nominal else -1, corners):
        at = each if each >= 0 else refused_at[state] % corners
        supply, number = at // patterns, at % patterns
        if nominal:
            set_pattern(int(0), circuit.spread, work.reals)
        else:
            set_live_pattern(number, live, circuit.spread, work.reals)
        if number == 0 or each < 0:
            # later patterns start from the one before: parts differ little
            cold_start(count, tables.volts[supply], work.reals)
        margin, same = _margin_at(state, supply, live, count, circuit, tables, work, scratch)
        if margin < -DOUBT:
            if not nominal:
                refused_at[state] = at
            return -np.inf, -np.inf
        if each >= 0:
            least, least_same = min(least, margin), min(least_same, same)
    return least, least_same


@njit(**INNER)
def _look_up(
    state: int,
    choice: int,
    live: int,
    nominal: bool,
    roughly: bool,
    circuit: CornerCircuit,
    fit: Fit,
    tables: JudgingTables,
    work: Workspace,
    box: Floats,
    lanes: Lanes,
    scratch: Verdicts,
    memory: NetMemory,
) -> tuple[float, float]:
    """The least margins [stops] of a fitted choice in a state, worked out if not known; -inf if refused.

    nominal: with nominal parts alone. Then, and where it is roughly asked and shown by bounds, the number
    says no more than whether the state is met.
    """
    _turn_parts(state, circuit.ends, fit, memory.place)
    slot = _slot_of(state, choice, live, circuit.ends, fit, work, memory)
    for known, corners in ((UNKNOWN, False), (NOMINALLY, True), (SHOWN, True)):
        if memory.found[slot] != known or (corners and nominal) or (known == SHOWN and roughly):
            continue
        if corners and roughly:
            said = corners_say(state, live, circuit, tables, work, box, lanes, memory.refused_at)
            if said == MISSED:
                memory.margin[slot] = -np.inf
            if said != OPEN:
                memory.found[slot] = REFUSED if said == MISSED else SHOWN
                break
        margin, same = _least_margin(
            state, live, not corners, circuit, tables, work, scratch, memory.refused_at
        )
        memory.margin[slot] = min(margin, memory.margin[slot]) if corners else margin
        memory.same[slot] = min(same, memory.same[slot]) if corners else same
        memory.found[slot] = REFUSED if margin < -DOUBT else (MET if corners else NOMINALLY)
    return float(memory.margin[slot]), float(memory.same[slot])


@njit(**INNER)
def _judge_choice(
    choice: int,
    lives: Ints,
    roughly: bool,
    circuit: CornerCircuit,
    fit: Fit,
    tables: JudgingTables,
    work: Workspace,
    box: Floats,
    lanes: Lanes,
    scratch: Verdicts,
    memory: NetMemory,
) -> tuple[float, float]:
    """The least margins [stops] of a fitted choice over all states and corners; -inf if refused.

    That of lamps alone, and that of all that is compared. roughly: as in `_look_up`.
    """
    least, compared = CAP, CAP
    for nominal in (True, False):
        order = memory.order[int(nominal)]
        for at in range(order.shape[0]):
            state = order[at]
            margin, same = _look_up(
                state, choice, lives[state], nominal, roughly, circuit, fit, tables, work, box, lanes,
                scratch, memory,
            )  # fmt: skip
            if margin < -DOUBT:
                bring_forward(order, at)
                return -np.inf, -np.inf
            least, compared = min(least, margin), min(compared, same)
    if tables.demands.brighter.shape[0] > 0:
        brighter, failed = compare_corners(lives, circuit, tables, work, bool(False), scratch)
        if failed > 0 or brighter < -DOUBT:
            return -np.inf, -np.inf
        compared = min(compared, brighter)
    return least, compared


@njit(**ENTRY)
def judge_choices(numbers: Ints, first_alone: bool, bench: ChoiceBench, margins: Floats) -> bool:
    """Judge choices of a circuit at every corner; whether one is met in every filling of its lamps.

    numbers: (choices, fillings) numbers of the choices, each in every filling, -1 where there is none.
    margins: likewise, the least margin [stops] of each, or -inf where it is refused. With first_alone the
    first that is met in every filling ends the work, and margins say no more than what is met.
    """
    circuit, fit, tolerances, tables, memory, work, box, lanes, scratch = bench
    vertex_node = circuit.vertex_node
    stack, lives = np.zeros(64, np.int64), np.zeros(vertex_node.shape[0], np.int64)
    first = fit.lamp_of.shape[0]
    for state in range(lives.shape[0]):
        lives[state] = edges_between(
            circuit.ends, int(0), first, first + fit.diodes, vertex_node, state, stack
        )
    found = False
    for row in range(numbers.shape[0]):
        met = True
        for at in range(numbers.shape[1]):
            choice = numbers[row, at]
            if choice < 0 or (first_alone and not met):
                continue
            fit_choice(choice, fit, tables.models, work)
            fill_spread(tolerances, 0, work.whole, work.reals, circuit.spread)
            margin, compared = _judge_choice(
                choice, lives, first_alone, circuit, fit, tables, work, box, lanes, scratch, memory
            )
            if -DOUBT <= min(margin, compared) < DOUBT:
                sure, _ = try_corners(circuit, tables, work, bool(True), scratch)
                margin = max(margin, 0.0) if sure else -np.inf
            margins[row, at] = margin
            met = met and margin >= 0.0
        found = found or met
        if first_alone and found:
            break
    return found


@dataclass(frozen=True)
class JudgedChoice:
    """A choice in every filling that its lamps may have, the likeliest first.

    margins: of each the least over all states and corners [stops]; -inf where the spec is missed.
    """

    choices: tuple[Choice, ...]
    margins: tuple[float, ...]


class _ChoiceNumbers:
    """What circuits with these numbers of diodes and resistors may be fitted with."""

    def __init__(self, problem: Problem, diodes: int, resistors: int) -> None:
        """Number the choices."""
        self.fit = fit_of(problem, diodes, resistors)
        self._problem = problem

    @cached_property
    def variants(self) -> Ints:
        """Of every choice the numbers of all its fillings, likeliest first, (choices, fillings); -1: none."""
        lamps = fit_of(self._problem, 0, 0)
        rows = []
        for number in range(len(lamps.digits)):
            digits = [one.digits for one in refilled(self._problem, choice_of(number, lamps))]
            rows.append(numbers_of(np.array(digits, np.int64), lamps))
        extras = len(self.fit.digits) // len(rows)
        found = np.full((len(rows), extras, max(map(len, rows))), -1, np.int64)
        for number, row in enumerate(rows):
            found[number, :, : len(row)] = row * extras + np.arange(extras)[:, None]
        return found.reshape(-1, found.shape[2])

    @cached_property
    def distinct(self) -> Ints:
        """Those of them that begin with the choice itself: each choice of types and values once."""
        found: Ints = self.variants[self.variants[:, 0] == np.arange(len(self.variants))]
        return found


class ChoiceJudge:
    """Judges the choices of circuits of one problem; remembers what live nets have come to."""

    def __init__(self, judge: Judge) -> None:
        """Judge what this judge judges."""
        self._judge = judge
        self._tolerances = tolerances_of(judge.problem)
        self._work = new_workspace()
        self._lanes = new_lanes()
        self._fitting = remembered(64, self._fit)
        self._memory = remembered(16, self._forget)

    def _fit(self, diodes: int, resistors: int) -> _ChoiceNumbers:
        return _ChoiceNumbers(self._judge.problem, diodes, resistors)

    def _forget(
        self, partition: tuple[int, ...], joints: int, diodes: int, resistors: int
    ) -> ChoiceBench | None:
        """A bench for circuits of one cell, whose memory is empty; None where supply meets ground."""
        problem = self._judge.problem
        boundary = self._judge.boundary(partition, joints)
        if boundary is None:
            return None
        parts = len(problem.layout.filaments) + diodes + resistors
        states = distinct_states(boundary, problem.tables)
        gates = states.gates
        read = gates.state, gates.control, gates.beyond, gates.exact
        ends = np.zeros((1, parts, 2), np.int8)
        return ChoiceBench(
            circuit=CornerCircuit(ends, states.vertex_node, new_spread(parts), read),
            fit=self._fitting(diodes, resistors).fit,
            tolerances=self._tolerances,
            tables=states.tables,
            memory=new_memory(states.vertex_node, read, parts),
            work=self._work,
            box=new_box(),
            lanes=self._lanes,
            scratch=blank_verdicts(problem, parts, boundary.vertex_node.shape[1]),
        )

    def _bench(self, netlist: Netlist) -> ChoiceBench | None:
        """The bench with this circuit on it; None where supply meets ground."""
        bench = self._memory(netlist.partition, netlist.joints, netlist.diodes, netlist.resistors)
        if bench is not None:
            boundary = self._judge.boundary(netlist.partition, netlist.joints)
            assert boundary is not None, "there is a bench"
            bench.circuit.ends[0] = boundary.columns(netlist.ends)
        return bench

    def meets_somehow(self, netlist: Netlist) -> bool:
        """Whether some choice of types and values makes a circuit meet the spec, whatever its lamps hold."""
        bench = self._bench(netlist)
        if bench is None:
            return False
        numbers = self._fitting(netlist.diodes, netlist.resistors).distinct
        return bool(judge_choices(numbers, True, bench, np.full(numbers.shape, -np.inf)))

    def judged(self, netlist: Netlist, numbers: Sequence[int]) -> tuple[JudgedChoice, ...]:
        """Those of these choices that meet the spec in some filling of the lamps, each in all its fillings.

        Raises ShortedError.
        """
        bench = self._bench(netlist)
        if bench is None:
            raise ShortedError
        fitting = self._fitting(netlist.diodes, netlist.resistors)
        asked = fitting.variants[list(dict.fromkeys(fitting.variants[list(numbers), 0].tolist()))]
        margins = np.full(asked.shape, -np.inf)
        judge_choices(asked, False, bench, margins)
        return tuple(
            JudgedChoice(
                tuple(choice_of(number, fitting.fit) for number in asked[row].tolist() if number >= 0),
                tuple(margins[row, asked[row] >= 0].tolist()),
            )
            for row in np.flatnonzero(margins.max(axis=1) >= 0.0)
        )
