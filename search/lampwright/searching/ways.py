"""The searches of all ways in which a spec can be taken, as one answer.

A spec that leaves a choice is met by a circuit that meets one of its ways, each of which is a plain spec
with a search of its own: every circuit is tried once for each way. What is said of all holds for all: no
circuit only where no way has one, fewer extra parts ruled out only where they are in every way. A circuit
that meets several ways is one design, in the way in which it has the greatest margin. No source: our method.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial, reduce
from typing import TypeVar

from msgspec import structs

from lampwright.judge.minimality import DECIMALS, Winner, circuit_key
from lampwright.network.layout import Layout
from lampwright.problem.problem import Problem, way_problems
from lampwright.results.ranking import Bound
from lampwright.searching.evaluate import CheckCancelled, Tally, go_on
from lampwright.searching.options import SearchOptions
from lampwright.searching.search import Search, StepResult, plan_searches
from lampwright.spec.model import helper_count

Circuit = TypeVar("Circuit")


@dataclass(frozen=True)
class WaySearches:
    """The searches of every way in which a problem's spec can be taken; one where it leaves no choice.

    more: the same with one helper lamp more, with two, and so on, where they were asked for; added: what
    these found that is worth telling, its ways numbered as in `every`; weighed: whether all was weighed.
    """

    problem: Problem
    ways: tuple[Search, ...]
    more: tuple["WaySearches", ...] = ()
    added: tuple[Winner, ...] = ()
    weighed: bool = True

    @property
    def every(self) -> tuple[Search, ...]:
        """The searches of all ways, and then those of more helper lamps."""
        return *self.ways, *(search for searches in self.more for search in searches.ways)

    @property
    def winners(self) -> tuple[Winner, ...]:
        """Every circuit that is worth telling."""
        return *self.whole.winners, *self.added

    @property
    def is_stopped(self) -> bool:
        """Whether any of them was stopped before its end."""
        return self.whole.kind == "stopped" or not self.weighed

    @property
    def helpers(self) -> int:
        """How many helper lamps its circuits have at the least."""
        return helper_count(self.problem.spec)

    @cached_property
    def whole(self) -> Search:
        """What they come to together, as one search; what was found says in which way."""
        return joined(self.ways)

    def taken(self, seek: Callable[[Search, int], Search]) -> "WaySearches":
        """Take every search in turn, until one is stopped; seek: takes one, and is told its number."""
        found: list[Search] = []
        for way, search in enumerate(self.ways):
            is_over = found != [] and found[-1].kind == "stopped"
            found.append(search if is_over else seek(search, way))
        return WaySearches(self.problem, tuple(found))


def plan_ways(
    problem: Problem, options: SearchOptions, check_cancelled: CheckCancelled = go_on
) -> WaySearches:
    """The searches of every way of a problem's spec. Raises InputError where all are over budget together."""
    return WaySearches(problem, plan_searches(way_problems(problem), options, check_cancelled))


def joined(searches: Sequence[Search]) -> Search:
    """What the searches of all ways come to together, as one search; what was found says in which way."""
    if len(searches) == 1:
        return searches[0]
    first, ways = searches[0], len(searches)
    steps = [[one.taken[at] for one in searches if at < len(one.taken)] for at in range(len(first.steps))]
    taken = tuple(_together(done, ways, first.problem.layout) for done in steps if done)
    return replace(first, bound=_weakest([one.bound for one in searches]), taken=taken)


def _weakest(bounds: Sequence[Bound | None]) -> Bound | None:
    """What bounds of several ways prove of all of them; None where one has none."""
    known = [bound for bound in bounds if bound is not None]
    if len(known) < len(bounds):
        return None
    reaching = [bound for bound in known if not bound.none_at_all]
    least = min(reaching or known, key=lambda bound: bound.least_extra_parts)
    return structs.replace(least, ended=all(bound.ended for bound in known))


def _together(done: Sequence[StepResult], ways: int, layout: Layout) -> StepResult:
    """One step of all ways, of which those that were begun are given in their order."""
    ruled_out = [one.ruled_out for one in done]
    is_ruled_out = len(done) == ways and all(ruled_out)
    key = partial(circuit_key, layout=layout)
    found = [replace(one, way=way) for way, step in enumerate(done) for one in step.winners]
    hinges = [replace(one, way=way) for way, step in enumerate(done) for one in step.hinges]
    others = [replace(one, way=way) for way, step in enumerate(done) for one in step.nonstandard]
    circuits: dict[bytes, list[Winner]] = {}
    for one in found:
        circuits.setdefault(key(one.netlist), []).append(one)
    return StepResult(
        step=done[0].step,
        tally=reduce(Tally.plus, (one.tally for one in done)),
        screened=sum(one.screened for one in done),
        within_coupling=sum(one.within_coupling for one in done),
        grouped=sum(one.grouped for one in done),
        minimal=sum(one.minimal for one in done),
        winners=tuple(_best(same) for same in circuits.values()),
        hinges=_others_than(circuits, ((key(one.netlist), one) for one in hinges)),
        decided=all(one.decided for one in done if not one.ruled_out) and not is_ruled_out,
        crowded=sum(one.crowded for one in done),
        refused_in_range=sum(one.refused_in_range for one in done),
        undecided=sum(one.undecided for one in done),
        nonstandard=_others_than(circuits, ((key(one.group.drawings[0]), one) for one in others)),
        finished=len(done) == ways and all(one.finished for one in done),
        ruled_out=is_ruled_out,
        times=ways if is_ruled_out else ways - sum(ruled_out),
    )


def _best(same: Sequence[Winner]) -> Winner:
    """One circuit as it is found in several ways: that of the greatest margin, with the others behind it."""
    first, *others = sorted(same, key=lambda one: (-round(one.passing[0].margin, DECIMALS), one.way))
    return replace(first, elsewhere=tuple(others))


def _others_than(found: Mapping[bytes, object], some: Iterable[tuple[bytes, Circuit]]) -> tuple[Circuit, ...]:
    """Those that are no circuit that was found, each circuit once, with its key before it."""
    left: dict[bytes, Circuit] = {}
    for key, one in some:
        if key not in found:
            left.setdefault(key, one)
    return tuple(left.values())
