"""What holds each terminal, and which controls do that: the least sets of them, each of which suffices.

A terminal is live by itself where wire alone joins it to the supply; else by the contacts of a
control, or of several in a row. No source: our words.
"""

from collections.abc import Sequence
from itertools import combinations

from lampwright.report.explain.controls import Controls, Situation
from lampwright.report.explain.point import OperatingPoint, Pair, joined
from lampwright.report.explain.words import verb
from lampwright.results import explanation as row
from lampwright.results.explanation import FeedFact
from lampwright.words import listed

RAILS = {"live": "30", "ground": "31"}


def feeds(point: OperatingPoint) -> row.Feeds:
    """Say what is live, at ground and open, and by which control."""
    known = point.controls
    facts = tuple(_fact(point, name) for name in point.terminals)
    live = [_live(fact, known) for fact in facts if fact.held == "live"]
    if not live:
        return row.Feeds(text="Nothing is live, so no current flows.", feeds=facts)
    said = [listed(live)]
    ground = [known.place(fact.terminal) for fact in facts if fact.held == "ground"]
    opened = [_own(fact.terminal, known) for fact in facts if fact.held == "open"]
    if ground:
        said.append(f"{listed(ground)} {verb(ground, 'is', 'are')} at ground")
    if opened:
        said.append(f"{listed(opened)} {verb(opened, 'is', 'are')} open")
    return row.Feeds(text="; ".join(said) + "." + _lost(point), feeds=facts)


def _lost(point: OperatingPoint) -> str:
    """Say whose ground is lost, of the parts that are told of."""
    refs = [one.ref for one in point.parts]
    groups = [[ref for ref in group if ref in refs] for group in point.situations[0].hung]
    several = [
        f"{listed(some)} have lost their ground and hang together by it" for some in groups if len(some) > 1
    ]
    alone = [f"{some[0]} has lost its ground" for some in groups if len(some) == 1]
    return f" {'; '.join((*several, *alone))}." if several or alone else ""


def _fact(point: OperatingPoint, terminal: str) -> FeedFact:
    """Tell what holds a terminal."""
    held = point.held(terminal)
    found: list[tuple[str, ...]] = []
    if held != "open":
        found = [way for one in point.situations for way in _ways(terminal, RAILS[held], one, point.wires)]
    ways = tuple(dict.fromkeys(found)) if () not in found else ()
    controls = tuple(dict.fromkeys(name for way in ways for name in way))
    return FeedFact(terminal=terminal, held=held, controls=controls, ways=ways)


def _ways(terminal: str, rail: str, situation: Situation, wires: Sequence[Pair]) -> list[tuple[str, ...]]:
    """The least sets of controls whose closed contacts join a terminal to a rail; the empty set for wire."""
    names = list(dict.fromkeys(control for control, _, _ in situation.closed))
    found: list[tuple[str, ...]] = []
    for count in range(len(names) + 1):
        for some in combinations(names, count):
            contacts = [(a, b) for control, a, b in situation.closed if control in some]
            net = next(net for net in joined([*wires, *contacts], (terminal, rail)) if terminal in net)
            if rail in net and not any(set(known) <= set(some) for known in found):
                found.append(some)
    return found


def _live(fact: FeedFact, known: Controls) -> str:
    """Say who makes a terminal live."""
    where = known.place(fact.terminal)
    if not fact.ways:
        return f"{where} is always live"
    if all(len(way) == 1 for way in fact.ways):
        return f"{listed([way[0] for way in fact.ways], 'or')} makes {where} live"
    if len(fact.ways) == 1:
        return f"{listed(fact.ways[0])} together make {where} live"
    ways = [f"{listed(way)} together" if len(way) > 1 else f"{way[0]} alone" for way in fact.ways]
    return f"{', or '.join(ways)}, make {where} live"


def _own(terminal: str, known: Controls) -> str:
    """Name a terminal with its own controls."""
    own = list(dict.fromkeys(feed.control for feed in known.feeds if feed.terminal == terminal))
    return f"{known.place(terminal)} ({listed(own)})" if own else known.place(terminal)
