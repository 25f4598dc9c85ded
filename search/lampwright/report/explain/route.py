"""A stream of current as a route: legs one after another, or, for a bridge, all its paths.

Parts side by side are merged to one branch, branches in a row to one, until a single one is
left between live and ground: then the stream is series-parallel and reads as legs. Where
that fails the current is split over its paths, greatest first, so that the shares of the
paths through a part add up to its current. Source: R. J. Duffin,
Topology of series-parallel networks (1965).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import networkx as nx

from lampwright.report.explain.net import FLOW, GROUND, LIVE, Edge, ways
from lampwright.results.explanation_facts import Branch, Leg, PathFact


@dataclass(frozen=True)
class _Row:
    """Pieces one after another."""

    pieces: "tuple[_Piece, ...]"


@dataclass(frozen=True)
class _Beside:
    """Pieces side by side."""

    pieces: "tuple[_Piece, ...]"


_Piece = Edge | _Row | _Beside


@dataclass(frozen=True)
class _Span:
    """A piece between two nets."""

    tail: str
    head: str
    piece: _Piece


def legs_of(stream: Sequence[Edge]) -> tuple[Leg, ...]:
    """Read a stream as legs; empty where it is a bridge, or nested too deep to be said in one breath."""
    piece = _reduced(stream)
    if piece is None:
        return ()
    legs = [_leg(one) for one in (piece.pieces if isinstance(piece, _Row) else (piece,))]
    known = [leg for leg in legs if leg is not None]
    return tuple(known) if len(known) == len(legs) else ()


def _reduced(stream: Sequence[Edge]) -> _Piece | None:
    """Merge until one piece is left; None where more remain."""
    spans = [_Span(edge.tail, edge.head, edge) for edge in stream]
    before = len(spans) + 1
    while len(spans) < before:
        before = len(spans)
        spans = _chained(_bundled(spans))
    return spans[0].piece if len(spans) == 1 and (spans[0].tail, spans[0].head) == (LIVE, GROUND) else None


def _bundled(spans: list[_Span]) -> list[_Span]:
    """Merge spans between the same two nets."""
    ends: dict[tuple[str, str], list[_Piece]] = {}
    for span in spans:
        inner = span.piece.pieces if isinstance(span.piece, _Beside) else (span.piece,)
        ends.setdefault((span.tail, span.head), []).extend(inner)
    return [
        _Span(tail, head, pieces[0] if len(pieces) == 1 else _Beside(tuple(pieces)))
        for (tail, head), pieces in ends.items()
    ]


def _chained(spans: list[_Span]) -> list[_Span]:
    """Merge two spans that meet at a net where nothing else does."""
    for first in spans:
        after = [span for span in spans if span.tail == first.head]
        into = [span for span in spans if span.head == first.head]
        if first.head != GROUND and len(after) == len(into) == 1:
            second = after[0]
            pieces = [
                inner
                for span in (first, second)
                for inner in (span.piece.pieces if isinstance(span.piece, _Row) else (span.piece,))
            ]
            merged = _Span(first.tail, second.head, _Row(tuple(pieces)))
            return [merged if span is first else span for span in spans if span is not second]
    return spans


def _leg(piece: _Piece) -> Leg | None:
    """Make a leg of a part, or of branches that are parts or rows of parts."""
    branches = []
    volts = 0.0
    for one in piece.pieces if isinstance(piece, _Beside) else (piece,):
        row = one.pieces if isinstance(one, _Row) else (one,)
        edges = [edge for edge in row if isinstance(edge, Edge)]
        if len(edges) < len(row):
            return None
        branches.append(
            Branch(
                refs=tuple(edge.ref for edge in edges),
                from_node=edges[0].from_node,
                to_node=edges[-1].to_node,
                amps=edges[0].amps,
            )
        )
        volts = sum(edge.volts for edge in edges)
    amps = sum(branch.amps for branch in branches)
    return Leg(branches=tuple(branches), volts=volts, amps=amps, ohms=volts / amps)


def paths_of(stream: Sequence[Edge]) -> tuple[PathFact, ...]:
    """Split a stream's current over its paths, the greatest first, until less than a trickle is left."""
    left = {edge.ref: edge.amps for edge in stream}
    by_ref = {edge.ref: edge for edge in stream}
    graph: nx.MultiDiGraph[str] = nx.MultiDiGraph()
    for edge in stream:
        graph.add_edge(edge.tail, edge.head, key=edge.ref)
    every = [tuple(key for _, _, key in way) for way in ways(graph)]
    found = []
    while every:
        refs = max(every, key=lambda path: min(left[ref] for ref in path))
        amps = min(left[ref] for ref in refs)
        if amps < FLOW:
            break
        found.append(PathFact(feed=by_ref[refs[0]].from_node, refs=refs, amps=amps))
        left = {ref: value - amps if ref in refs else value for ref, value in left.items()}
    return tuple(found)


def one_part(leg: Leg) -> str:
    """Give the part a leg consists of; empty where it is more."""
    refs = [ref for branch in leg.branches for ref in branch.refs]
    return refs[0] if len(refs) == 1 else ""


def refs_of(leg: Leg) -> tuple[str, ...]:
    """Give every part of a leg."""
    return tuple(ref for branch in leg.branches for ref in branch.refs)
