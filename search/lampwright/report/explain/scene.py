"""One scene in statements: feeds, lights, the ways of the current, and who stands idle and why.

Facts are read off the graph of `explain_net`; the sentences are made in `explain_say`, `explain_feeds`
and `explain_power`. No
source: our choice of what is worth saying.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lampwright.report.explain import power as watts
from lampwright.report.explain import say
from lampwright.report.explain.controls import Controls, Situation
from lampwright.report.explain.feeds import feed_fact, feeds
from lampwright.report.explain.net import (
    FLOW,
    GROUND,
    LIVE,
    Edge,
    Net,
    blocking,
    could_pass,
    is_blocking,
    parallel_sets,
    returns_to,
    series_sets,
    streams,
)
from lampwright.report.explain.route import legs_of, one_part, paths_of, refs_of
from lampwright.results.design import LampReading, StateRow
from lampwright.results.explanation import Statement
from lampwright.results.explanation_facts import FilamentFact, Leg, PartFact, Rests, Role

DARK = "off"
RETURNS: dict[Rests, str] = {"live to live": LIVE, "ground to ground": GROUND}


@dataclass(frozen=True)
class View:
    """All that is known of one scene: its graph, its lamps, its terminals, and the pairs that wire joins."""

    net: Net
    state: StateRow
    terminals: tuple[str, ...]
    situations: tuple[Situation, ...]
    known: Controls
    wires: tuple[tuple[str, str], ...]

    def lamp(self, ref: str) -> LampReading:
        """The reading of a filament."""
        return next(reading for reading in self.state.lamps if reading.lamp == ref)

    def is_filament(self, ref: str) -> bool:
        """Whether a part is a filament."""
        return self.net.edge(ref).part.kind == "filament"

    def is_dark(self, ref: str) -> bool:
        """Whether a part is a filament that gives no useful light."""
        return self.is_filament(ref) and self.lamp(ref).level == DARK

    def is_burning(self, ref: str) -> bool:
        """Whether a part is a filament that gives light."""
        return self.is_filament(ref) and self.lamp(ref).level != DARK

    def filament(self, ref: str) -> FilamentFact | None:
        """What a part takes and makes of it, if it is a filament of which all that is known."""
        return watts.filament_fact(self.net.edge(ref), self.lamp(ref)) if self.is_filament(ref) else None


def statements_of(view: View) -> tuple[Statement, ...]:
    """Say all there is to say of one scene."""
    return tuple(_statements(view))


def _statements(view: View) -> Iterator[Statement]:
    held = {node.node: node.held for node in view.net.nodes}
    facts = (feed_fact(name, held[name], view.situations, view.wires) for name in view.terminals)
    yield feeds(tuple(facts), view.known)
    filaments = [edge.ref for edge in view.net.edges if edge.part.kind == "filament"]
    if filaments:
        yield say.lights(tuple(view.lamp(ref) for ref in filaments))
    if not view.net.supply:
        return
    for stream in streams(view.net.flowing):
        yield from _stream(view, stream)
    yield from _straight(view)
    for edge in view.net.edges:
        if is_blocking(edge, view.net):
            yield say.blocks(edge.ref, edge.volts, *_ends(edge), view.known)
        elif not view.net.flows(edge.ref):
            yield _rest(view, edge)


def _stream(view: View, stream: Sequence[Edge]) -> Iterator[Statement]:
    """Say one stream: its way, who shares what and why, who gets what power, and who serves whom."""
    legs = legs_of(stream)
    if legs:
        feeds = tuple(dict.fromkeys(branch.from_node for branch in legs[0].branches))
        yield say.route(feeds, legs, view.net.supply, view.known)
    else:
        yield say.paths(
            paths_of(stream), sum(edge.amps for edge in stream if edge.head == GROUND), view.known
        )
    for refs in parallel_sets(stream):
        yield say.parallel(tuple(fact_of(view.net.edge(ref)) for ref in refs), whole=False)
    for refs in series_sets(stream):
        yield from _series(view, refs)
    if any(len(leg.branches) > 1 for leg in legs) and len(legs) > 1:
        yield say.share(legs, view.net.supply)
        yield from _compared(view, _in_turn(legs))
    yield from _extras(view, stream)
    bright = [view.filament(edge.ref) for edge in stream if view.is_burning(edge.ref)]
    known = tuple(fact for fact in bright if fact is not None)
    if known:
        yield watts.power(known)
    for edge in stream:
        if view.is_dark(edge.ref):
            yield watts.faint(fact_of(edge), view.filament(edge.ref))
    yield from _services(view, legs)


def _series(view: View, refs: Sequence[str]) -> Iterator[Statement]:
    edges = [view.net.edge(ref) for ref in refs]
    rated = [watts.rated_point(edge) for edge in edges if view.is_dark(edge.ref)]
    yield say.series(
        tuple(fact_of(edge) for edge in edges),
        tuple(fact for fact in rated if fact is not None),
    )
    yield from _compared(view, refs)


def _compared(view: View, refs: Sequence[str]) -> Iterator[Statement]:
    """Say why one filament of several takes more of the voltage than another."""
    facts = [view.filament(ref) for ref in refs]
    found = watts.strongest([fact for fact in facts if fact is not None])
    if found is not None:
        yield found


def _in_turn(legs: Sequence[Leg]) -> tuple[str, ...]:
    """The parts that are a leg by themselves, or one branch of it."""
    branches = [branch for leg in legs for branch in leg.branches]
    return tuple(branch.refs[0] for branch in branches if len(branch.refs) == 1)


def _services(view: View, legs: Sequence[Leg]) -> Iterator[Statement]:
    """Say which dark filaments ground, or feed, which burning lamp of a route."""
    for at, leg in enumerate(legs):
        lamp = one_part(leg)
        if not lamp or not view.is_burning(lamp):
            continue
        sides: tuple[tuple[Role, Sequence[Leg]], ...] = (("ground", legs[at + 1 :]), ("feed", legs[:at]))
        for role, others in sides:
            dark = tuple(ref for other in others for ref in _all_dark(view, other))
            if dark:
                yield say.serves(lamp, dark, role)


def _all_dark(view: View, leg: Leg) -> tuple[str, ...]:
    """The dark filaments of a leg whose whole current runs through them, none of its parts alight."""
    dark = [[ref for ref in branch.refs if view.is_dark(ref)] for branch in leg.branches]
    if not all(dark) or any(view.is_burning(ref) for ref in refs_of(leg)):
        return ()
    return tuple(ref for refs in dark for ref in refs)


def _straight(view: View) -> Iterator[Statement]:
    """Say which parts lie side by side straight between live and ground."""
    for refs in parallel_sets(view.net.flowing):
        edges = [view.net.edge(ref) for ref in refs]
        if {edges[0].tail, edges[0].head} == {LIVE, GROUND}:
            yield say.parallel(tuple(fact_of(edge) for edge in edges), whole=True)


def _extras(view: View, stream: Sequence[Edge]) -> Iterator[Statement]:
    """Say what the resistors of a stream take and its diodes pass."""
    alike = {ref: refs for refs in series_sets(stream) for ref in refs}
    for edge in stream:
        if edge.part.kind == "resistor":
            lamps = [ref for ref in alike.get(edge.ref, ()) if view.is_filament(ref)]
            yield say.drop(fact_of(edge), tuple(fact_of(view.net.edge(ref)) for ref in lamps))
        if edge.part.kind == "diode":
            yield say.passes(fact_of(edge), *_ends(edge), view.known)


def _ends(edge: Edge) -> tuple[str, str]:
    return edge.part.from_node, edge.part.to_node


def _rest(view: View, edge: Edge) -> Statement:
    """Say why a part carries no current."""
    ends = edge.part.from_node, edge.part.to_node
    held = {node.node: node.held for node in view.net.nodes}
    opened = tuple(dict.fromkeys(node for node in ends if node in view.terminals and held[node] == "open"))
    blockers = blocking(view.net, edge.ref)
    why = _why(view, edge, blockers)
    between = returns_to(view.net, edge.ref, RETURNS[why]) if why in RETURNS else ()
    facts = say.Resting(
        ref=edge.ref,
        kind=edge.part.kind,
        ends=ends,
        volts=edge.volts,
        amps=edge.amps,
        open=opened,
        blockers=blockers,
        between=between,
    )
    return say.rest(facts, why, view.known)


def _why(view: View, edge: Edge, blockers: Sequence[str]) -> Rests:
    if edge.amps >= FLOW:
        return "trickle"
    if edge.tail == edge.head:
        return "both live" if edge.tail == LIVE else "both ground" if edge.tail == GROUND else "no voltage"
    if not could_pass(view.net, edge.ref, one_way=False):
        return next((why for why, rail in RETURNS.items() if returns_to(view.net, edge.ref, rail)), "no way")
    if blockers and not could_pass(view.net, edge.ref, one_way=True):
        return "blocked"
    return "no voltage" if edge.volts < 0.5 else "trickle"


def fact_of(edge: Edge) -> PartFact:
    """Write down a part that carries current."""
    return PartFact(ref=edge.ref, volts=edge.volts, amps=edge.amps, ohms=edge.ohms)
