"""One share of one cell: list it, refute what can be, screen what is left.

Whoever walks circuits does so here: `shares_of` cuts steps and cells into shares, and
`ShareEvaluator.blocks` lists one of them block by block. A share needs nothing from any other, so
shares run in any order, in any process; the results are joined by adding tallies and putting
circuits together.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from lampwright.caches import remembered
from lampwright.graphs.listing import Listing, endpoints, list_blocks, open_listing
from lampwright.graphs.sieve import EdgeSieve, sift
from lampwright.graphs.slots import slots_for
from lampwright.judge.distinct import DistinctStates, distinct_states
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import Screened
from lampwright.judge.ranges import RangeMemory, range_memory
from lampwright.judge.ranging import Ranger
from lampwright.judge.screen import (
    SLOTS,
    Candidates,
    ScreenedStates,
    Screening,
    live_parts,
    scene_of,
    screen,
)
from lampwright.network.layout import Placing
from lampwright.network.netlist import Netlist
from lampwright.problem.demands import Fit
from lampwright.problem.problem import Problem, choice_count, fit_of, fit_of_types
from lampwright.refute.apply import bars_of, refuted_by, sieve_for
from lampwright.refute.demand import Demand, demand_of
from lampwright.refute.rules import PATH, RULES, SAME_NET
from lampwright.searching.plan import Step
from lampwright.solve.boundary import Boundary
from lampwright.solve.newton import new_workspace

ROOM = 4096
"""Rows of (circuit, choice) that screening may write at once, at the least."""

AT_ONCE = 200_000
"""Circuits times choices that the kernel screens before it lets Ctrl-C and the clock have a word."""

RANGE_COST = 10
"""How many operating points take as long as a box that a circuit is refused in, about."""

CheckCancelled = Callable[[], None]
"""Raises when it is time to stop."""


def go_on() -> None:
    """It is never time to stop."""


@dataclass(frozen=True)
class CellShare:
    """CellShare number `share` of `shares` of one cell."""

    placing: Placing
    share: int
    shares: int


def shares_of(steps: Iterable[Step], size: float = np.inf) -> Iterator[CellShare]:
    """Every circuit of these steps once: cell by cell, in shares of about `size` circuits.

    Cells without circuits have no share.
    """
    for step in steps:
        for placing, circuits in step.orbits.items():
            count = 1 + int(circuits // size)
            yield from (CellShare(placing, at, count) for at in range(count if circuits else 0))


@dataclass(frozen=True)
class Tally:
    """What entered and left: circuits listed, refuted by each rule, screened with choices.

    plain: circuits without resistors that were solved. out_of_range: circuits refused for every value of
    their resistors at once. points, unconverged:
    operating points solved, and those without a solution.
    """

    listed: int = 0
    refuted: tuple[int, ...] = (0,) * len(RULES)
    plain: int = 0
    out_of_range: int = 0
    pairs: int = 0
    pairs_left: int = 0
    points: int = 0
    unconverged: int = 0

    def plus(self, other: "Tally") -> "Tally":
        """Both together."""
        return Tally(
            listed=self.listed + other.listed,
            refuted=tuple(a + b for a, b in zip(self.refuted, other.refuted, strict=True)),
            plain=self.plain + other.plain,
            out_of_range=self.out_of_range + other.out_of_range,
            pairs=self.pairs + other.pairs,
            pairs_left=self.pairs_left + other.pairs_left,
            points=self.points + other.points,
            unconverged=self.unconverged + other.unconverged,
        )


@dataclass(frozen=True, eq=False)
class Unrefuted:
    """Of some circuits in a row: how many were listed, how many each rule refuted, and those left.

    ends: (left, parts, 2) vertices. live: (left, states) the parts, as bits, on a live-to-ground path.
    """

    listed: int
    refuted: tuple[int, ...]
    ends: NDArray[np.int8]
    live: NDArray[np.int64]


def no_circuits() -> NDArray[np.int8]:
    """The ends of no circuits, (0, 0, 2)."""
    return np.zeros((0, 0, 2), np.int8)


@dataclass(frozen=True, eq=False)
class ShareResult:
    """What one share brought in.

    open: (circuits, parts, 2) vertices of those that no listed value suits, but that are not refused for
    every value of the range. They are many, and seldom asked for: an array of them costs next to nothing.
    """

    tally: Tally
    screened: tuple[Screened, ...]
    open: NDArray[np.int8] = field(default_factory=no_circuits)


@dataclass(frozen=True, eq=False)
class Prepared:
    """What all shares of one cell need: tables of options, what is refuted, states, choices, memory."""

    listing: Listing
    bars: NDArray[np.int8]
    demand: Demand
    sieve: EdgeSieve
    fit: Fit
    types: Fit
    states: DistinctStates
    scene: ScreenedStates
    boundary: Boundary
    memory: RangeMemory


class ShareEvaluator:
    """Takes shares of cells of one problem, one after another."""

    def __init__(
        self,
        problem: Problem,
        enabled: tuple[bool, ...] = (True,) * len(RULES),
        check_cancelled: CheckCancelled = go_on,
        at_once: int = AT_ONCE,
    ) -> None:
        """Hunt for circuits of this problem; enabled says which refutations may refuse."""
        self.at_once = at_once
        self.problem = problem
        self.check_cancelled = check_cancelled
        self.judge = Judge(problem)
        self.ranger = Ranger(self.judge)
        self.enabled = enabled
        self.work = new_workspace()
        # tables tell what lies between where every part is whole; the other states are looked at afterwards
        between = map(RULES.index, (PATH, SAME_NET))
        self._path, self._same_net = (at + 1 if enabled[at] else 0 for at in between)
        self._whole = np.array([not state.is_damaged for state in problem.states])
        # shares of one cell come in a row: what they all need is worked out once
        self.prepared = remembered(2, self._prepare)

    def _prepare(self, placing: Placing) -> Prepared:
        cell = placing.cell
        boundary = self.judge.boundary(placing.partition, cell.internal)
        if boundary is None:
            raise ValueError(f"{placing.partition}: wires that join supply to ground have no circuits")
        listing = open_listing(cell)
        whole = boundary.vertex_node[self._whole, : boundary.vertices]
        demand = demand_of(self.problem.narrowed_bands, boundary, cell.terminals)
        fit = fit_of(self.problem, cell.arcs, cell.links)
        types = fit_of_types(self.problem, cell.arcs, cell.links) if cell.links else fit
        states = distinct_states(boundary, self.problem.tables)
        nets = listing.most_circuits * len(states.first) * len(self.problem.volts)
        slots = slots_for(nets, SLOTS)
        return Prepared(
            listing=listing,
            bars=bars_of(cell, listing.tables, demand, self.enabled),
            demand=demand,
            sieve=sieve_for(cell, listing.tables, demand.among(self._whole), whole, self.enabled),
            fit=fit,
            types=types,
            states=states,
            scene=scene_of(states.vertex_node, slots=slots),
            boundary=boundary,
            memory=range_memory(types, int(boundary.vertex_node.max()) + 1, slots),
        )

    def blocks(self, share: CellShare) -> Iterator[Unrefuted]:
        """List a share, and leave out what an enabled rule refutes; wires must not short the supply."""
        cell, prepared = share.placing.cell, self.prepared(share.placing)
        for block in list_blocks(cell, share.share, share.shares, bars=prepared.bars, sieve=prepared.sieve):
            sifted = sift(block.options, prepared.sieve, len(cell.stars))
            kept = np.flatnonzero(sifted.number == 0)
            ends, live, number = (
                endpoints(prepared.listing, block.options[kept]),
                sifted.live[kept],
                sifted.number,
            )
            if not self._whole.all():
                live = self._with_damage(prepared, ends, live)
                number[kept] = self._with_damage_refuted(prepared, ends, live)
                left = number[kept] == 0
                ends, live = ends[left], live[left]
            yield Unrefuted(
                listed=len(block.masks) + int(block.cut.sum()),
                refuted=refuted_by(block.cut, number),
                ends=ends,
                live=live,
            )

    def _with_damage(
        self, prepared: Prepared, ends: NDArray[np.int8], whole: NDArray[np.int64]
    ) -> NDArray[np.int64]:
        """The live parts of every state (circuits, states), from those of the states with whole parts."""
        live = np.zeros((len(ends), len(self._whole)), np.int64)
        live[:, self._whole] = whole
        boundary = prepared.boundary
        damaged = np.ascontiguousarray(boundary.vertex_node[~self._whole])
        live[:, ~self._whole] = live_parts(boundary.columns(ends), prepared.fit, damaged)
        return live

    def _with_damage_refuted(
        self, prepared: Prepared, ends: NDArray[np.int8], live: NDArray[np.int64]
    ) -> NDArray[np.int64]:
        """The number of the rule that a circuit breaks in a damaged state, 0 for none, (circuits,)."""
        columns = prepared.boundary.columns(ends)
        number = np.where(prepared.demand.alike(live, columns, self._whole), self._same_net, 0)
        if self._path:
            for state, filament in np.argwhere((prepared.demand.glow == 1) & ~self._whole[:, None]):
                number[(live[:, state] >> filament & 1) == 0] = self._path
        return number

    def take(self, share: CellShare) -> ShareResult:
        """List, refute and screen one share. The cell's wires must not short the supply."""
        order = np.arange(len(self.prepared(share.placing).states.first))
        tally, screened, still_open = Tally(), list[Screened](), list[NDArray[np.int8]]()
        for block in self.blocks(share):
            self.check_cancelled()
            result = self._screen(share.placing, block, order)
            tally = tally.plus(Tally(listed=block.listed, refuted=block.refuted)).plus(result.tally)
            screened.extend(result.screened)
            if len(result.open):
                still_open.append(result.open)
        return ShareResult(
            tally, tuple(screened), np.concatenate(still_open) if still_open else no_circuits()
        )

    def _screen(self, placing: Placing, block: Unrefuted, order: NDArray[np.int64]) -> ShareResult:
        """Refuse what no resistance of the range suits, and solve the rest."""
        possible = self._possible(placing, block)
        result = self.screen_values(placing, possible, order)
        plain = 0 if placing.cell.links else len(block.ends)
        own = Tally(plain=plain, out_of_range=len(block.ends) - len(possible.ends))
        return replace(result, tally=result.tally.plus(own))

    def _possible(self, placing: Placing, block: Unrefuted) -> Unrefuted:
        """Those circuits of a block that are not refused for every value of their resistors at once."""
        prepared = self.prepared(placing)
        if not prepared.fit.resistors:
            return block
        most = max(1, self.at_once // (RANGE_COST * choice_count(prepared.types)))
        left = np.zeros(len(block.ends), np.bool_)
        for first in range(0, len(left), most):
            self.check_cancelled()
            some = slice(first, first + most)
            left[some] = self.ranger.possible(
                block.ends[some],
                block.live[some],
                prepared.boundary,
                prepared.states,
                prepared.types,
                prepared.memory,
            )
        return replace(block, ends=block.ends[left], live=block.live[left])

    def screen_values(self, placing: Placing, block: Unrefuted, order: NDArray[np.int64]) -> ShareResult:
        """Solve every choice of types and listed values for the circuits of a block.

        order: (distinct states,) the order in which they are tried, changed here.
        """
        prepared = self.prepared(placing)
        fit, states, columns = prepared.fit, prepared.states, prepared.boundary.columns(block.ends)
        choices, live = choice_count(fit), block.live[:, states.first]
        out = np.zeros((max(ROOM, choices), 2), np.int64)
        counted = np.zeros(2, np.int64)
        screened: list[Screened] = []
        left = np.ones(len(block.ends), np.bool_)
        pairs_left = first = 0
        while first < len(block.ends):
            self.check_cancelled()
            written, first = screen(
                Candidates(columns[: first + max(1, self.at_once // choices)], live, first),
                fit,
                prepared.scene,
                states.tables,
                self.work,
                Screening(order, out, counted),
            )
            pairs_left += int(written)
            left[out[:written, 0]] = False
            for circuit in np.unique(out[:written, 0]):
                numbers = out[:written, 1][out[:written, 0] == circuit]
                netlist = placed(placing, block.ends[circuit])
                screened.append(Screened(netlist, tuple(numbers.tolist())))
        return ShareResult(
            Tally(
                pairs=len(block.ends) * choices,
                pairs_left=pairs_left,
                points=int(counted[0]),
                unconverged=int(counted[1]),
            ),
            tuple(screened),
            block.ends[left] if fit.resistors else no_circuits(),
        )


def placed(placing: Placing, ends: NDArray[np.int8]) -> Netlist:
    """A listed circuit of a cell as a netlist; ends: (parts, 2)."""
    cell = placing.cell
    return Netlist(placing.partition, cell.internal, ends.copy(), cell.arcs, cell.links)
