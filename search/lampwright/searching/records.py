"""Finished work as text for the journal, and back, exactly."""

import json

import numpy as np
from numpy.typing import NDArray

from lampwright.judge.judge import Case
from lampwright.judge.minimality import Hinge, Judged, Passing, Screened, Winner
from lampwright.judge.ranging import RangeOutcome
from lampwright.network.layout import Placing
from lampwright.problem.problem import Choice
from lampwright.searching.evaluate import CellShare, ShareResult, Tally, placed
from lampwright.searching.shares import Batch, Piece, Product, RangeBatch, RangeOutcomes


def record_name(step: int, number: int, piece: Piece) -> str:
    """The name of a piece's record; number: its place among those of its step."""
    if isinstance(piece, RangeBatch):
        return f"ranged {step} {number}"
    if not isinstance(piece, CellShare):
        return f"judged {step} {number}"
    cell = piece.placing.cell
    wires = ".".join(str(block) for block in piece.placing.partition)
    return f"share {step} {wires} j{cell.internal} d{cell.arcs} r{cell.links} {piece.share}/{piece.shares}"


def product_text(product: Product) -> str:
    """What a piece brought as JSON; floats are written so that they read back exactly."""
    if isinstance(product, ShareResult):
        rows = _share_rows(product)
    elif isinstance(product, RangeOutcomes):
        rows = _outcome_rows(product)
    else:
        rows = _judged_rows(product)
    return json.dumps(rows, separators=(",", ":"))


def read_product(text: str, piece: Piece) -> Product:
    """What this very piece brought, from JSON."""
    if isinstance(piece, CellShare):
        return _share_result(text, piece.placing)
    return _outcomes(text) if isinstance(piece, RangeBatch) else _judgements(text, piece)


def _share_rows(result: ShareResult) -> list[object]:
    t = result.tally
    tally = [
        t.listed,
        list(t.refuted),
        t.plain,
        t.out_of_range,
        t.pairs,
        t.pairs_left,
        t.points,
        t.unconverged,
    ]
    ends = b"".join(one.netlist.ends.tobytes() for one in result.screened)
    return [tally, ends.hex(), [list(one.choices) for one in result.screened], result.open.tobytes().hex()]


def _share_result(text: str, placing: Placing) -> ShareResult:
    (listed, refuted, *rest), passed, choices, still_open = json.loads(text)
    screened = tuple(
        Screened(placed(placing, ends), tuple(numbers))
        for ends, numbers in zip(_ends(passed, placing), choices, strict=True)
    )
    return ShareResult(Tally(listed, tuple(refuted), *rest), screened, _ends(still_open, placing))


def _ends(text: str, placing: Placing) -> NDArray[np.int8]:
    """The vertices (circuits, parts, 2) of circuits of a cell, a byte each, in hexadecimal digits."""
    return np.frombuffer(bytes.fromhex(text), np.int8).reshape(-1, placing.cell.parts, 2)


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


def _outcome_rows(product: RangeOutcomes) -> list[object]:
    return [
        [one.decision, None if one.choice is None else list(one.choice.digits), list(one.ohms)]
        for one in product.outcomes
    ]


def _outcomes(text: str) -> RangeOutcomes:
    return RangeOutcomes(
        tuple(
            RangeOutcome(decision, None if digits is None else Choice(tuple(digits)), tuple(ohms))
            for decision, digits, ohms in json.loads(text)
        )
    )


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
