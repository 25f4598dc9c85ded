"""Finished work as text for the journal, and back, exactly."""

import json

import numpy as np

from lampwright.judge.judge import Case
from lampwright.judge.minimality import Group, Hinge, Passing, Screened, Winner
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice
from lampwright.searching.batches import Judged
from lampwright.searching.evaluate import Share, ShareResult, Tally


def share_name(step: int, share: Share) -> str:
    """The name of a share's record."""
    cell = share.placing.cell
    wires = ".".join(str(block) for block in share.placing.partition)
    return f"share {step} {wires} j{cell.internal} d{cell.arcs} r{cell.links} {share.share}/{share.shares}"


def judged_name(step: int, number: int) -> str:
    """The name of a batch of judged groups."""
    return f"judged {step} {number}"


def _embedding(e: Netlist) -> list[object]:
    return [list(e.partition), e.joints, e.ends.tolist(), e.diodes, e.resistors]


def _embedded(row: list[list[int]]) -> Netlist:
    partition, joints, ends, diodes, resistors = row
    placed = np.array(ends, np.int8).reshape(-1, 2)
    return Netlist(tuple(partition), int(joints), placed, int(diodes), int(resistors))  # type: ignore[call-overload]


def share_result_text(result: ShareResult) -> str:
    """A result as JSON."""
    t = result.tally
    tally = [t.listed, list(t.refuted), t.pairs, t.pairs_left, t.points, t.unconverged]
    rows = [[_embedding(one.netlist), list(one.choices)] for one in result.screened]
    return json.dumps([tally, rows], separators=(",", ":"))


def read_share_result(text: str) -> ShareResult:
    """A result from JSON."""
    (listed, refuted, *rest), rows = json.loads(text)
    screened = tuple(Screened(_embedded(row), tuple(choices)) for row, choices in rows)
    return ShareResult(Tally(listed, tuple(refuted), *rest), screened)


def judged_text(judged: tuple[Judged, ...]) -> str:
    """A batch of judged groups as JSON; floats are written so that they read back exactly."""
    rows = [
        [
            one.minimal,
            None if one.winner is None else [[list(p.choice.digits), p.margin] for p in one.winner.passing],
            None
            if one.hinge is None
            else [[list(c.choice.digits), c.met, c.margin] for c in one.hinge.cases],
        ]
        for one in judged
    ]
    return json.dumps(rows, separators=(",", ":"))


def read_judged(text: str, groups: tuple[Group, ...]) -> tuple[Judged, ...]:
    """A batch from JSON; groups are the very groups that were judged."""
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
