"""Finished work as text for the journal, and back, exactly."""

import json

import numpy as np

from lampwright.judge.judge import Case
from lampwright.judge.minimality import Hinge, Judged, Passing, Screened, Winner
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice
from lampwright.searching.evaluate import CellShare, ShareResult, Tally
from lampwright.searching.shares import Batch, Piece, Product


def record_name(step: int, number: int, piece: Piece) -> str:
    """The name of a piece's record; number: its place among those of its step."""
    if not isinstance(piece, CellShare):
        return f"judged {step} {number}"
    cell = piece.placing.cell
    wires = ".".join(str(block) for block in piece.placing.partition)
    return f"share {step} {wires} j{cell.internal} d{cell.arcs} r{cell.links} {piece.share}/{piece.shares}"


def product_text(product: Product) -> str:
    """What a piece brought as JSON; floats are written so that they read back exactly."""
    rows = _share_rows(product) if isinstance(product, ShareResult) else _judged_rows(product)
    return json.dumps(rows, separators=(",", ":"))


def read_product(text: str, piece: Piece) -> Product:
    """What this very piece brought, from JSON."""
    return _share_result(text) if isinstance(piece, CellShare) else _judgements(text, piece)


def _embedding(e: Netlist) -> list[object]:
    return [list(e.partition), e.joints, e.ends.tolist(), e.diodes, e.resistors]


def _embedded(row: list[list[int]]) -> Netlist:
    partition, joints, ends, diodes, resistors = row
    placed = np.array(ends, np.int8).reshape(-1, 2)
    return Netlist(tuple(partition), int(joints), placed, int(diodes), int(resistors))  # type: ignore[call-overload]


def _share_rows(result: ShareResult) -> list[object]:
    t = result.tally
    tally = [t.listed, list(t.refuted), t.pairs, t.pairs_left, t.points, t.unconverged]
    return [tally, [[_embedding(one.netlist), list(one.choices)] for one in result.screened]]


def _share_result(text: str) -> ShareResult:
    (listed, refuted, *rest), rows = json.loads(text)
    screened = tuple(Screened(_embedded(row), tuple(choices)) for row, choices in rows)
    return ShareResult(Tally(listed, tuple(refuted), *rest), screened)


def _judged_rows(judged: tuple[Judged, ...]) -> list[object]:
    return [
        [
            one.minimal,
            None if one.winner is None else [[list(p.choice.digits), p.margin] for p in one.winner.passing],
            None
            if one.hinge is None
            else [[list(c.choice.digits), c.met, c.margin] for c in one.hinge.cases],
        ]
        for one in judged
    ]


def _judgements(text: str, groups: Batch) -> tuple[Judged, ...]:
    found = []
    for (minimal, passing, cases), group in zip(json.loads(text), groups, strict=True):
        winner = hinge = None
        if passing is not None:
            kept = tuple(Passing(Choice(tuple(digits)), margin) for digits, margin in passing)
            winner = Winner(group.drawings[0], kept, group.drawings[1:], group.conductors)
        if cases is not None:
            told = tuple(Case(Choice(tuple(digits)), met, margin) for digits, met, margin in cases)
            hinge = Hinge(group.drawings[0], told, group.conductors)
        found.append(Judged(minimal, winner, hinge))
    return tuple(found)
