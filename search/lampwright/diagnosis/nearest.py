"""The circuits that come nearest to a spec: the best few that fail, judged at every corner.

Nearness is the fewest requirements missed; then the worst margin, below ten stops all the same, then what
ranks designs. Candidates come from a survey, whose nominal margin and count of misses can only get worse at
the corners, so whatever it puts behind the last of the few need not be judged. Each circuit is taken with its
best types and values, drawings of one circuit are one, and a circuit is left out when an extra part can be
opened or bridged, or a wire taken away, and it comes as near: the smaller one stands for it.

A circuit that misses nothing and is over a rating, or takes too many conductors, is a near miss too. One
that does both wrong is none, unless that is asked for. One whose diodes join a live feed to ground is none.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from lampwright.diagnosis.candidate_states import SLACK, Cutoff
from lampwright.judge.corners import CAP
from lampwright.judge.judge import Judge, Judgement
from lampwright.judge.minimality import DECIMALS, circuit_key
from lampwright.network.netlist import Netlist
from lampwright.network.reduce import reductions, wired
from lampwright.network.zones import conductors
from lampwright.problem.problem import Choice, Problem, choice_of, filament_models, fit_of

MOST = 5
"""Near misses that are kept."""

MOST_JUDGED = 1_500
"""Choices judged at every corner before the search for nearer ones is given up."""

GROUND_NODE, SUPPLY_NODE = 0, 1
"""As `solve.boundary` numbers them in every state."""

Rank = tuple[int, float]
Order = tuple[int, float, int, int, int, int, int, tuple[int, ...]]


@dataclass(frozen=True)
class Candidate:
    """A choice that a survey found: its nominal margin [stops] and how many requirements it misses."""

    netlist: Netlist
    number: int
    margin: float
    missed: int


@dataclass(frozen=True)
class Near:
    """One near miss: judged, with the requirements it misses by number, and then the comparisons."""

    netlist: Netlist
    choice: Choice
    judgement: Judgement
    conductors: int
    missed: tuple[int, ...]
    sound: bool

    @property
    def order(self) -> Order:
        """What ranks near misses; least first."""
        return _order(self.netlist, self.judgement.margin, len(self.missed), self.conductors)


def _order(netlist: Netlist, margin: float, missed: int, crossing: int) -> Order:
    e = netlist
    margin = -round(max(margin, -CAP), DECIMALS) + 0.0
    return missed, margin, e.extra_parts, e.wires, e.joints, crossing, e.diodes, e.form


def missed_requirements(problem: Problem, judgement: Judgement) -> tuple[int, ...]:
    """The numbers of the requirements that a judged circuit misses at some corner."""
    verdicts = judgement.verdicts
    alone = [one for one in problem.requirements if one.other is None]
    margins = [float(verdicts.margin[one.state, one.filament]) for one in alone]
    margins += [float(margin) for margin in verdicts.same]
    return tuple(number for number, margin in enumerate(margins) if margin < 0.0)


def missed_of_all(problem: Problem, judgement: Judgement) -> tuple[int, ...]:
    """Likewise, and then the comparisons from state to state that it misses, numbered on from the last."""
    compared = np.flatnonzero(judgement.verdicts.brighter < 0.0)
    numbers = (len(problem.requirements) + int(at) for at in compared)
    return (*missed_requirements(problem, judgement), *numbers)


def is_sound(problem: Problem, netlist: Netlist, choice: Choice, judgement: Judgement) -> bool:
    """Whether every rating is kept at every corner."""
    limits, load = problem.limits, judgement.verdicts.load
    diodes = choice.digits[len(problem.layout.lamps) :][: netlist.diodes]
    most = [
        *(limits.lamp_volts[model] + 1e-9 for model in filament_models(problem, choice)),
        *(limits.diode_amps[digit] for digit in diodes),
        *[limits.watts] * netlist.resistors,
    ]
    fine = bool(np.all(load <= most)) and bool(np.all(judgement.verdicts.control <= limits.control_amps))
    return fine and judgement.unconverged == 0


class Nearest:
    """Keeps the best near misses offered so far."""

    def __init__(self, judge: Judge, *, lenient: bool = False, most: int = MOST) -> None:
        """Judge with this judge; lenient: take also what is over a rating and misses requirements."""
        self.judge, self.problem = judge, judge.problem
        self.lenient, self.most = lenient, most
        self.judged, self.met = 0, False
        self._best: dict[bytes, Near] = {}
        self._keys: dict[tuple[int, ...], bytes] = {}
        self._by: dict[float, Judge] = {}
        self._own: dict[bytes, Order] = {}
        self._seen: dict[bool, dict[bytes, Rank]] = {True: {}, False: {}}
        self._fewer_wires: dict[bool, dict[bytes, Rank]] = {True: {}, False: {}}

    @property
    def near(self) -> tuple[Near, ...]:
        """The near misses, nearest first."""
        return tuple(sorted(self._best.values(), key=lambda one: one.order))

    @property
    def gave_up(self) -> bool:
        """Whether more candidates were offered than are judged."""
        return self.judged > MOST_JUDGED

    def cutoff(self, few: int) -> Cutoff:
        """What a survey need not look for; few: how large a set of requirements missed is of interest."""
        if len(self._best) < self.most:
            return Cutoff(-np.inf, len(self.problem.requirements) + 1, int(self.lenient), few)
        last = self.near[-1]
        return Cutoff(max(last.judgement.margin, -CAP), len(last.missed), int(self.lenient), few)

    def offer(self, candidates: Iterable[Candidate]) -> None:
        """Judge candidates that may be among the best, the most promising first."""
        waiting = sorted(candidates, key=lambda one: (one.missed, -max(one.margin, -CAP)))
        for one in waiting:
            if self._may_count(one):
                self.judged += 1
                if self.gave_up:
                    return
                self._judge(one)

    def _may_count(self, one: Candidate) -> bool:
        order = _order(one.netlist, one.margin + SLACK, one.missed, 0)
        if len(self._best) >= self.most and order >= self.near[-1].order:
            return False
        own = self._own.get(self._key(one.netlist))
        return own is None or order < own

    def _judge(self, one: Candidate) -> None:
        problem, netlist = self.problem, one.netlist
        crossing, most = conductors(netlist, problem.zoned), problem.spec.place.most_conductors
        fits = most is None or crossing <= most
        if (not fits and one.missed and not self.lenient) or self._shorts(netlist):
            return
        choice = choice_of(one.number, fit_of(problem, netlist.diodes, netlist.resistors))
        if one.missed and not self.lenient and not self._reaches(one, choice):
            return
        judgement = self.judge.judge(netlist, choice)
        missed = missed_of_all(problem, judgement)
        sound = is_sound(problem, netlist, choice, judgement) and fits
        if sound and not missed:
            self.met = True
        elif sound or not missed or self.lenient:
            self._keep(Near(netlist, choice, judgement, crossing, missed, sound))

    def _reaches(self, one: Candidate, choice: Choice) -> bool:
        """Whether a choice keeps its ratings, and at every corner the margin that it must not fall below."""
        own = self._own.get(self._key(one.netlist))
        orders = [own] if own is not None else []
        if len(self._best) >= self.most:
            orders.append(self.near[-1].order)
        # one that misses less may do so by more
        least = max((-order[1] for order in orders if order[0] == one.missed), default=-CAP)
        return least <= -CAP or self._judge_by(least - SLACK).meets(one.netlist, choice)

    def _judge_by(self, margin: float) -> Judge:
        """A judge who is content with this margin [stops], below zero or not."""
        if margin not in self._by:
            demands = self.problem.demands
            eased = demands._replace(
                low_stops=demands.low_stops + margin,
                high_stops=demands.high_stops - margin,
                same_low=demands.same_low + margin,
                same_high=demands.same_high - margin,
                brighter_by=demands.brighter_by + margin,
            )
            judge = Judge(replace(self.problem, demands=eased))
            judge.boundary = self.judge.boundary
            self._by = {margin: judge}
        return self._by[margin]

    def _key(self, netlist: Netlist) -> bytes:
        form = netlist.diodes, *netlist.form
        if form not in self._keys:
            self._keys[form] = circuit_key(netlist, self.problem.layout)
        return self._keys[form]

    def _keep(self, near: Near) -> None:
        key = self._key(near.netlist)
        rank, seen = near.order[:2], self._seen[near.sound]
        seen[key] = min(rank, seen.get(key, rank))
        if near.netlist.wires < self.problem.spec.bounds.wires:
            fewer = self._fewer_wires[near.sound]
            for more in map(self._key, wired(near.netlist)):
                fewer[more] = min(rank, fewer.get(more, rank))
        self._own[key] = min(near.order, self._own.get(key, near.order))
        if self._has_idle_part(near):
            return
        known = self._best.get(key)
        if known is None or near.order < known.order:
            self._best[key] = near
        for extra in self.near[self.most :]:
            del self._best[self._key(extra.netlist)]

    def _has_idle_part(self, near: Near) -> bool:
        """Whether a smaller circuit, offered before, comes as near; a sound one is not held to an unsound."""
        as_sound = (True,) if near.sound else (True, False)
        keys, own = [self._key(one.netlist) for one in reductions(near.netlist)], self._key(near.netlist)
        ranks = [self._seen[sound][key] for key in keys for sound in as_sound if key in self._seen[sound]]
        ranks += [self._fewer_wires[sound][own] for sound in as_sound if own in self._fewer_wires[sound]]
        return any(rank <= near.order[:2] for rank in ranks)

    def _shorts(self, netlist: Netlist) -> bool:
        """Whether diodes let current pass from the supply straight to ground in some state."""
        boundary = self.judge.boundary(netlist.partition, netlist.joints)
        first = len(netlist.ends) - netlist.extra_parts
        diodes = netlist.ends[first : first + netlist.diodes]
        if boundary is None or not len(diodes):
            return boundary is None
        return any(_reaches(nodes[diodes].tolist()) for nodes in boundary.vertex_node)


def _reaches(diodes: Iterable[tuple[int, int]]) -> bool:
    """Whether diodes, from node to node, lead from the supply to ground."""
    reached, left = {SUPPLY_NODE}, list(diodes)
    while onward := [one for one in left if one[0] in reached]:
        reached |= {to for _, to in onward}
        left = [one for one in left if one not in onward]
    return GROUND_NODE in reached
