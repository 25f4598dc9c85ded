"""From screened circuits to designs: grouped, part-minimal, judged at every corner.

What is put in order is ordered by numbers, so that chance decides nothing.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, partial

import numpy as np

from lampwright.judge.group import canonical, circuit_key, renumbered, shared_choices
from lampwright.judge.judge import Case, Judge
from lampwright.judge.scene import scene_of, support_of
from lampwright.judge.screen import screen
from lampwright.network.netlist import Netlist
from lampwright.network.reduce import reductions
from lampwright.network.zones import conductors
from lampwright.problem.problem import Choice, Problem, choice_count, choice_of, fit_of, refilled
from lampwright.solve.newton import new_workspace

DECIMALS = 6
"""Margins are compared after rounding to so many decimals of a stop."""


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

    A part has the same number in every drawing.
    """

    netlist: Netlist
    passing: tuple[Passing, ...]
    drawings: tuple[Netlist, ...]
    conductors: int


@dataclass(frozen=True)
class Hinge:
    """A circuit that meets the spec in some fillings of its lamps and misses it in others.

    cases: all of them with the types and values for which most are met, the likeliest first.
    """

    netlist: Netlist
    cases: tuple[Case, ...]
    conductors: int


@dataclass(frozen=True)
class Judged:
    """Whether a circuit needs all its extra parts; its design if it meets the spec, or on what it hangs."""

    minimal: bool = True
    winner: Winner | None = None
    hinge: Hinge | None = None


@dataclass(frozen=True)
class CircuitGroup:
    """All screened drawings of one circuit; the first is the one to build.

    A part has the same number in every drawing, so that a choice is for all of them. Of
    choices that are mirror images of each other there is one.
    """

    drawings: tuple[Netlist, ...]
    choices: tuple[int, ...]
    conductors: int


@dataclass(frozen=True)
class _Drawn:
    """A screened circuit, the orders of its parts that give its key, and its conductors."""

    screened: Screened
    orders: tuple[tuple[int, ...], ...]
    conductors: int

    @property
    def rank(self) -> tuple[int, int, tuple[int, ...]]:
        """What puts drawings of one circuit in order."""
        return self.conductors, self.screened.netlist.joints, self.screened.netlist.form


def fits_coupling(netlist: Netlist, problem: Problem) -> bool:
    """Whether a circuit takes no more conductors through the coupling than the spec allows."""
    most = problem.spec.place.most_conductors
    return most is None or conductors(netlist, problem.zoned) <= most


def group_drawings(screened: Iterable[Screened], judge: Judge) -> tuple[CircuitGroup, ...]:
    """Put drawings of one circuit together, in a fixed order."""
    problem = judge.problem
    by_key: dict[bytes, list[_Drawn]] = {}
    for one in screened:
        found = canonical(one.netlist, problem.layout)
        drawn = _Drawn(one, found.orders, conductors(one.netlist, problem.zoned))
        by_key.setdefault(found.key, []).append(drawn)
    fits = cache(partial(fit_of, problem))
    groups = []
    for same in by_key.values():
        same.sort(key=lambda drawn: drawn.rank)
        first = same[0].screened.netlist
        drawings = tuple(
            renumbered(drawn.screened.netlist, drawn.orders[0], same[0].orders[0]) for drawn in same
        )
        choices = shared_choices(
            [drawn.screened.choices for drawn in same],
            [drawn.orders for drawn in same],
            fits(first.diodes, first.resistors),
        )
        groups.append(CircuitGroup(drawings, choices, same[0].conductors))
    return tuple(sorted(groups, key=lambda group: group.drawings[0].form))


class MinimalityFilter:
    """Winnows groups; remembers which reduced circuits meet the spec."""

    def __init__(self, judge: Judge) -> None:
        """Winnow with this judge."""
        self.judge = judge
        self._meets: dict[bytes, bool] = {}
        self._work = new_workspace()

    def screen_one(self, netlist: Netlist) -> tuple[int, ...]:
        """The choices with which one circuit passes screening."""
        problem = self.judge.problem
        boundary = self.judge.boundary(netlist.partition, netlist.joints)
        if boundary is None:
            return ()
        fit = fit_of(problem, netlist.diodes, netlist.resistors)
        out = np.zeros((max(choice_count(fit), 1), 2), np.int64)
        written, _ = screen(
            netlist.ends[None],
            np.array([support_of(netlist.ends, boundary.vertex_node.shape[1])], np.int64),
            0,
            np.arange(len(problem.states)),
            fit,
            scene_of(boundary.vertex_node, remember=False),
            problem.demands,
            problem.limits,
            problem.volts,
            problem.part_options.models,
            self._work,
            out,
            np.zeros(2, np.int64),
        )
        return tuple(int(number) for number in out[:written, 1])

    def meets_somehow(self, netlist: Netlist) -> bool:
        """Whether some choice of types and values makes this circuit meet the spec."""
        key = circuit_key(netlist, self.judge.problem.layout)
        known = self._meets.get(key)
        if known is None:
            fit = fit_of(self.judge.problem, netlist.diodes, netlist.resistors)
            known = any(self.judge.meets(netlist, choice_of(n, fit)) for n in self.screen_one(netlist))
            self._meets[key] = known
        return known

    def is_minimal(self, netlist: Netlist) -> bool:
        """Whether no extra part can be opened or bridged with the spec still met.

        Bridging may not take more wires between terminals than the spec allows.
        """
        wires = self.judge.problem.spec.bounds.wires
        return not any(
            smaller.netlist.wires <= max(wires, netlist.wires) and self.meets_somehow(smaller.netlist)
            for smaller in reductions(netlist)
        )

    def judged(self, group: CircuitGroup) -> Judged:
        """Judge a group: whether it is minimal, and if so what its choices come to."""
        return self.outcome(group) if self.is_minimal(group.drawings[0]) else Judged(minimal=False)

    def outcome(self, group: CircuitGroup) -> Judged:
        """Judge a group's choices at every corner, each once in all fillings of its lamps."""
        first, problem = group.drawings[0], self.judge.problem
        fit = fit_of(problem, first.diodes, first.resistors)
        passing, hinging = [], []
        for choice in dict.fromkeys(refilled(problem, choice_of(number, fit))[0] for number in group.choices):
            judgement = self.judge.judge(first, choice)
            if judgement.met:
                passing.append(Passing(choice, judgement.margin))
            elif any(case.met for case in judgement.cases):
                hinging.append(judgement.cases)
        if passing:
            passing.sort(key=lambda one: (-round(one.margin, DECIMALS), one.choice.digits))
            winner = Winner(first, tuple(passing), group.drawings[1:], group.conductors)
            return Judged(winner=winner)
        if hinging:
            hinge = Hinge(first, min(hinging, key=_least_doubtful), group.conductors)
            return Judged(hinge=hinge)
        return Judged()


def _least_doubtful(cases: tuple[Case, ...]) -> tuple[int, float, tuple[int, ...]]:
    """What puts cases that hang on a filling in order: most met, then the greatest margin among them."""
    met = [case.margin for case in cases if case.met]
    return -len(met), -round(max(met), DECIMALS), cases[0].choice.digits
