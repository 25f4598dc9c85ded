"""From screened circuits to designs: grouped, part-minimal, judged at every corner.

Drawings of one circuit are put together, with the choices of types and values that they share. Series
order and twists at two nodes change the drawing and nothing else. Drawings are one circuit exactly if the
part voltages and terminal potentials they allow are the same. Alike parts have their numbers from a
drawing, so that what is R1 in one may be R2 in another, or in the same one seen in a mirror: 12 and
18 ohm in parallel are 18 and 12 ohm.

What is put in order is ordered by numbers, so that chance decides nothing.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import NamedTuple

import numpy as np

from lampwright.graphs.drawings import Canonical, EdgeNames, LeastForm, edge_names, least_forms, matched
from lampwright.judge.choices import ChoiceJudge, JudgedChoice
from lampwright.judge.judge import Case, Judge
from lampwright.judge.screen import Candidates, Screening, live_parts, scene_of, screen
from lampwright.network.layout import Layout
from lampwright.network.netlist import Netlist
from lampwright.network.reduce import reduced
from lampwright.network.zones import conductors
from lampwright.problem.demands import Fit
from lampwright.problem.problem import (
    Choice,
    Problem,
    choice_count,
    fit_of,
    numbers_of,
)
from lampwright.solve.laws import Ints
from lampwright.solve.newton import new_workspace

DECIMALS = 6
"""Margins are compared after rounding to this number of decimals of a stop."""


@dataclass(frozen=True)
class Screened:
    """A circuit and the numbers of the choices with which it passed screening."""

    netlist: Netlist
    choices: tuple[int, ...]


@dataclass(frozen=True)
class Passing:
    """A choice that meets the spec at every corner, and its margin [stops]."""

    choice: Choice
    margin: float


@dataclass(frozen=True)
class Winner:
    """One design: its circuit, the choices that pass (best first), its other drawings.

    A part has the same number in every drawing. way: the number of the way in which the spec is taken;
    elsewhere: the same circuit as it meets the spec in other ways.
    """

    netlist: Netlist
    passing: tuple[Passing, ...]
    drawings: tuple[Netlist, ...]
    conductors: int
    way: int = 0
    elsewhere: tuple["Winner", ...] = ()


@dataclass(frozen=True)
class Hinge:
    """A circuit that meets the spec in some fillings of its lamps and misses it in others.

    cases: all of them with the types and values for which most are met, the likeliest first. way: the number
    of the way in which the spec is taken.
    """

    netlist: Netlist
    cases: tuple[Case, ...]
    conductors: int
    way: int = 0


@dataclass(frozen=True)
class Judged:
    """Whether a circuit needs all its extra parts; its design if it meets the spec, or on what it hangs."""

    minimal: bool = True
    winner: Winner | None = None
    hinge: Hinge | None = None

    @property
    def is_open(self) -> bool:
        """Whether it needs all its parts and no listed value suits it, whatever its lamps hold."""
        return self.minimal and self.winner is None


@dataclass(frozen=True)
class CircuitGroup:
    """All screened drawings of one circuit; the first is the one to build.

    A part has the same number in every drawing, so that a choice is for all of them. Of
    choices that are mirror images of each other there is one.
    """

    drawings: tuple[Netlist, ...]
    choices: tuple[int, ...]
    conductors: int


class _Drawn(NamedTuple):
    """A screened circuit, its key, the orders of its parts that give it, and its conductors."""

    screened: Screened
    key: bytes
    orders: tuple[tuple[int, ...], ...]
    conductors: int

    @property
    def rank(self) -> tuple[int, int, tuple[int, ...]]:
        """What puts drawings of one circuit in order."""
        return self.conductors, self.screened.netlist.joints, self.screened.netlist.form


def circuit_key(netlist: Netlist, layout: Layout) -> bytes:
    """Equal for two netlists exactly if they are drawings of one circuit."""
    return _least_of(netlist, layout).key


def canonical(netlist: Netlist, layout: Layout) -> Canonical:
    """The key of a netlist's circuit, and the orders of its parts that give it."""
    return _least_of(netlist, layout).canonical


def _least_of(netlist: Netlist, layout: Layout) -> LeastForm:
    return next(_least_forms((netlist,), layout))


def _least_forms(alike: Sequence[Netlist], layout: Layout) -> Iterator[LeastForm]:
    """The least forms of netlists that have partition, joints and numbers of parts in common."""
    first = alike[0]
    names, blocks = _part_names(layout, first.diodes, first.resistors), first.blocks
    ends = np.array([one.ends for one in alike], np.int64)
    before = bytes(first.partition) + b":"
    return least_forms(blocks + first.joints, blocks, ends, names, before)


@lru_cache(maxsize=64)
def _part_names(layout: Layout, diodes: int, resistors: int) -> EdgeNames:
    """What the parts are called: alike ones the same; and which have a direction."""
    filaments = layout.filaments
    helpers = sum(lamp.alike for lamp in layout.lamps)
    told_apart = filaments[: len(filaments) - helpers]
    return edge_names(
        (*told_apart, *("helper lamp",) * helpers, *("diode",) * diodes, *("resistor",) * resistors),
        (False,) * len(filaments) + (True,) * diodes + (False,) * resistors,
    )


def renumbered(netlist: Netlist, order: Sequence[int], first: Sequence[int]) -> Netlist:
    """The netlist with its parts numbered as in the first drawing of its circuit.

    order and first: orders of the parts of both that give the circuit's key.
    """
    ends = netlist.ends[list(_matched(tuple(first), tuple(order)))]
    return Netlist(netlist.partition, netlist.joints, ends, netlist.diodes, netlist.resistors)


_matched = lru_cache(maxsize=4096)(matched)


class _ChoiceImages:
    """The numbers that choices of a fit have when alike parts change places; each change worked out once."""

    def __init__(self, fit: Fit) -> None:
        self._fit = fit
        self.of = cache(self._of)

    def _of(self, parts: tuple[int, ...]) -> Ints:
        """Of every choice the number once the parts stand in this order, (choices,)."""
        fit = self._fit
        filaments, lamps = len(fit.lamp_of), len(fit.sizes) - fit.diodes - fit.resistors
        # only helper lamps change places, and each is one filament
        columns = [int(fit.lamp_of[part]) for part in _first_filaments(parts, fit)]
        columns += [lamps + part - filaments for part in parts[filaments:]]
        return numbers_of(fit.digits[:, columns], fit)


def shared_choices(
    choices: Sequence[Sequence[int]], orders: Sequence[Sequence[tuple[int, ...]]], images: _ChoiceImages
) -> tuple[int, ...]:
    """The choices with which some drawing of a circuit passed, as numbered in the first, rising.

    choices: of each drawing the numbers in its own numbering. orders: of each all that give the
    circuit's key. Of choices that only a symmetry of the circuit tells apart there is one, the
    one with the smallest digits, which is the smallest number.
    """
    first = orders[0][0]
    if len(orders) == len(orders[0]) == 1:
        return tuple(sorted(set(choices[0])))
    found: set[int] = set()
    for passed, own in zip(choices, orders, strict=True):
        numbers = [images.of(_matched(first, order))[list(passed)] for order in own]
        found.update((np.min(numbers, axis=0) if len(own) > 1 else numbers[0]).tolist())
    return tuple(sorted(found))


def _first_filaments(parts: Sequence[int], fit: Fit) -> list[int]:
    """The part that stands for each lamp: the one in the place of its first filament."""
    lamp_of = fit.lamp_of.tolist()
    return [parts[lamp_of.index(lamp)] for lamp in dict.fromkeys(lamp_of)]


def fits_coupling(netlist: Netlist, problem: Problem) -> bool:
    """Whether a circuit takes no more conductors through the coupling than the spec allows."""
    most = problem.spec.place.most_conductors
    return most is None or conductors(netlist, problem.zoned) <= most


def _drawn(screened: Iterable[Screened], problem: Problem) -> Iterator[_Drawn]:
    """Screened circuits with their keys, those of one cell in a row."""
    by_cell: dict[tuple[object, ...], list[Screened]] = {}
    for one in screened:
        own = one.netlist
        by_cell.setdefault((own.partition, own.joints, own.diodes, own.resistors), []).append(one)
    for some in by_cell.values():
        forms = _least_forms([one.netlist for one in some], problem.layout)
        for one, form in zip(some, forms, strict=True):
            yield _Drawn(one, form.key, form.canonical.orders, conductors(one.netlist, problem.zoned))


def group_drawings(
    screened: Iterable[Screened], judge: Judge, check_cancelled: Callable[[], None] = lambda: None
) -> tuple[CircuitGroup, ...]:
    """Put drawings of one circuit together, in a fixed order; what `check_cancelled` raises ends it."""
    problem = judge.problem
    by_key: dict[bytes, list[_Drawn]] = {}
    for drawn in _drawn(screened, problem):
        check_cancelled()
        by_key.setdefault(drawn.key, []).append(drawn)
    images = cache(lambda diodes, resistors: _ChoiceImages(fit_of(problem, diodes, resistors)))
    groups = []
    for same in by_key.values():
        if len(same) > 1:
            same.sort(key=lambda drawn: drawn.rank)
        first = same[0].screened.netlist
        others = (renumbered(one.screened.netlist, one.orders[0], same[0].orders[0]) for one in same[1:])
        choices = shared_choices(
            [drawn.screened.choices for drawn in same],
            [drawn.orders for drawn in same],
            images(first.diodes, first.resistors),
        )
        groups.append(CircuitGroup((first, *others), choices, same[0].conductors))
    return tuple(sorted(groups, key=lambda group: group.drawings[0].form))


class Fact(NamedTuple):
    """Whether some choice of types and values makes a circuit meet the spec; key: its `circuit_key`."""

    key: bytes
    meets: bool


class MinimalityFilter:
    """Winnows groups; remembers which reduced circuits meet the spec, and tells of it."""

    def __init__(self, judge: Judge) -> None:
        """Winnow with this judge."""
        self.judge = judge
        self._choices = ChoiceJudge(judge)
        self._meets: dict[bytes, bool] = {}
        self._news: list[Fact] = []
        self._ways: dict[int, list[int]] = {}
        self._work = new_workspace()

    def screen_one(self, netlist: Netlist) -> tuple[int, ...]:
        """The choices with which one circuit passes screening."""
        problem = self.judge.problem
        boundary = self.judge.boundary(netlist.partition, netlist.joints)
        if boundary is None:
            return ()
        fit = fit_of(problem, netlist.diodes, netlist.resistors)
        out = np.zeros((max(choice_count(fit), 1), 2), np.int64)
        ends = boundary.columns(netlist.ends[None])
        written, _ = screen(
            Candidates(ends, live_parts(ends, fit, boundary.vertex_node), 0),
            fit,
            scene_of(boundary.vertex_node, slots=0),
            problem.tables,
            self._work,
            Screening(np.arange(len(problem.states)), out, np.zeros(2, np.int64)),
        )
        return tuple(int(number) for number in out[:written, 1])

    def meets_somehow(self, netlist: Netlist) -> bool:
        """Whether some choice of types and values makes this circuit meet the spec."""
        return self._meets_by_key(circuit_key(netlist, self.judge.problem.layout), netlist)

    def _meets_by_key(self, key: bytes, netlist: Netlist) -> bool:
        known = self._meets.get(key)
        if known is None:
            known = self._meets[key] = self._choices.meets_somehow(netlist)
            self._news.append(Fact(key, known))
        return known

    def news(self) -> tuple[Fact, ...]:
        """What was found out here since this was asked last."""
        news = tuple(self._news)
        self._news.clear()
        return news

    def hear(self, facts: Iterable[Fact]) -> None:
        """Take what others have found out."""
        self._meets.update(facts)

    def is_minimal(self, netlist: Netlist) -> bool:
        """Whether no extra part can be opened or bridged with the spec still met.

        Bridging may not take more wires between terminals than the spec allows.
        """
        problem = self.judge.problem
        wires = max(problem.spec.bounds.wires, netlist.wires)
        # the way that led to a circuit that does, of the circuit before, often does so again
        ways = self._ways.setdefault(netlist.extra_parts, list(range(2 * netlist.extra_parts)))
        unknown: list[tuple[int, bytes, Netlist]] = []
        for place, way in enumerate(ways):
            smaller = reduced(netlist, way)
            if smaller is None or smaller.wires > wires:
                continue
            key = circuit_key(smaller, problem.layout)
            known = self._meets.get(key)
            if known:
                ways.insert(0, ways.pop(place))
                return False
            if known is None:
                unknown.append((place, key, smaller))
        # what is known costs a hundredth of what is not: nine in ten have a neighbour's circuit among them
        for place, key, smaller in unknown:
            if self._meets_by_key(key, smaller):
                ways.insert(0, ways.pop(place))
                return False
        return True

    def judged(self, group: CircuitGroup) -> Judged:
        """Judge a group: whether it is minimal, and if so what its choices come to."""
        return self.outcome(group) if self.is_minimal(group.drawings[0]) else Judged(minimal=False)

    def outcome(self, group: CircuitGroup) -> Judged:
        """Judge a group's choices at every corner, each once in all fillings of its lamps."""
        first = group.drawings[0]
        found = self._choices.judged(first, group.choices)
        passing = [Passing(one.choices[0], min(one.margins)) for one in found if min(one.margins) >= 0.0]
        if passing:
            passing.sort(key=lambda one: (-round(one.margin, DECIMALS), one.choice.digits))
            return Judged(winner=Winner(first, tuple(passing), group.drawings[1:], group.conductors))
        if found:
            least = min(found, key=_least_doubtful)
            cases = self.judge.judge(first, least.choices[0]).cases
            return Judged(hinge=Hinge(first, cases, group.conductors))
        return Judged()


def _least_doubtful(judged: JudgedChoice) -> tuple[int, float, tuple[int, ...]]:
    """What puts choices that hang on a filling in order: most met, then the greatest margin among them."""
    met = [margin for margin in judged.margins if margin >= 0.0]
    return -len(met), -round(max(met), DECIMALS), judged.choices[0].digits
