"""Designs with more helper lamps than the least, told beside those of the least where they are worth it.

A circuit with a helper lamp more is worth telling only where the lamp earns its place: with any one of its
helper lamps opened or bridged it misses the spec, or meets it by less margin. So a lamp that does nothing is
left out, and one that stands beside another for the sake of margin is kept. No source: our method.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace

from lampwright.judge.minimality import (
    DECIMALS,
    CircuitGroup,
    MinimalityFilter,
    Winner,
    circuit_key,
    fits_coupling,
)
from lampwright.network.netlist import Netlist
from lampwright.network.reduce import helper_reductions
from lampwright.searching.evaluate import CheckCancelled, go_on
from lampwright.searching.search import STOPS
from lampwright.searching.ways import WaySearches
from lampwright.spec.model import helper_count

MISSED = -1.0
"""A margin [stops] below that of any circuit that meets its spec."""


def with_more(
    least: WaySearches, more: Sequence[WaySearches], check_cancelled: CheckCancelled = go_on
) -> WaySearches:
    """The searches with the least helper lamps that will do, and beside what they found that of more lamps.

    more: those with one helper lamp more, with two, and so on, as far as they were taken. What
    `check_cancelled` raises leaves out what was not weighed by then, and the whole is stopped.
    """
    added: list[Winner] = []
    weighed = least.whole.kind != "stopped"
    fewer, first = least, len(least.ways)
    with suppress(*STOPS):
        for searches in more:
            weighed = False
            for winner in _lean(searches, fewer, check_cancelled):
                others = tuple(replace(one, way=one.way + first) for one in winner.elsewhere)
                added.append(replace(winner, way=winner.way + first, elsewhere=others))
            fewer, first = searches, first + len(searches.ways)
            weighed = searches.whole.kind != "stopped"
    return replace(least, more=tuple(more), added=tuple(added), weighed=weighed)


def _lean(searches: WaySearches, fewer: WaySearches, check_cancelled: CheckCancelled) -> Iterator[Winner]:
    """The circuits found that need all their helper lamps; fewer: searches of the same with one less."""
    helpers = helper_count(searches.problem.spec)
    most_wires = searches.problem.spec.bounds.wires
    filters = [MinimalityFilter(search.judge) for search in fewer.ways]
    margins: dict[bytes, float] = {}

    def margin(netlist: Netlist) -> float:
        key = circuit_key(netlist, fewer.problem.layout)
        if key not in margins:
            margins[key] = max(_margin(netlist, one) for one in filters)
        return margins[key]

    for winner in searches.whole.winners:
        check_cancelled()
        own = round(winner.passing[0].margin, DECIMALS)
        smaller = (one.netlist for one in helper_reductions(winner.netlist, helpers))
        within: Iterable[Netlist] = (
            one for one in smaller if one.wires <= max(most_wires, winner.netlist.wires)
        )
        if not any(round(margin(one), DECIMALS) >= own for one in within):
            yield winner


def _margin(netlist: Netlist, judged_by: MinimalityFilter) -> float:
    """The greatest margin [stops] with which some choice meets the spec at every corner."""
    if not fits_coupling(netlist, judged_by.judge.problem):
        return MISSED
    choices = judged_by.screen_one(netlist)
    winner = judged_by.outcome(CircuitGroup((netlist,), choices, 0)).winner if choices else None
    return MISSED if winner is None else winner.passing[0].margin
