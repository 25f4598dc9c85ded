"""Rules of what a circuit is, whatever it is asked: contacts, counts, and no circuit twice."""

from itertools import pairwise, permutations

from ortools.sat.python import cp_model

from lampwright.prove.formulation import Formulation, rule
from lampwright.prove.logic import Literal, flipped, given, implies
from lampwright.prove.placement import PlacedPart, Placement
from lampwright.solve.laws import DIODE

MOST_ALIKE = 3
"""With more joints than this only neighbours in number are compared, which leaves some circuits twice."""


@rule(
    "shared contact",
    "the filaments of a lamp with a common end share that node, the fixed one if it is fixed",
)
def shared_contact(formulation: Formulation) -> None:
    """Put every such filament on its lamp's common vertex."""
    placement, partition = formulation.placement, formulation.partition
    first = 0
    for lamp in formulation.problem.layout.lamps:
        pieces = placement.filaments[first : first + len(lamp.filaments)]
        first += len(lamp.filaments)
        if lamp.common is not None:
            hub = partition.block_of[formulation.problem.layout.terminals.index(lamp.common)]
            _meet_at(formulation.model, placement, pieces, {hub: True})
        elif lamp.shared and len(pieces) > 1:
            hubs = {
                v: formulation.model.new_bool_var(f"hub {lamp.lamp}@{v}") for v in range(partition.vertices)
            }
            formulation.model.add_exactly_one(hubs.values())
            _meet_at(formulation.model, placement, pieces, {**hubs})


def _meet_at(
    model: cp_model.CpModel, placement: Placement, pieces: tuple[PlacedPart, ...], hubs: dict[int, Literal]
) -> None:
    for vertex, hub in hubs.items():
        for piece in pieces:
            implies(model, (hub,), placement.touches(piece, vertex))


@rule("budget", "no more diodes, resistors and extra parts than the spec, or the question, allows")
def budget(formulation: Formulation) -> None:
    """Count the slots that are taken."""
    placement = formulation.placement
    taken = [take for slot in placement.slots for take in slot.takes]
    if placement.extras.most < len(placement.slots):
        formulation.model.add(sum(taken) <= placement.extras.most)


@rule("two ways", "every part lies on a simple path between two terminals, so a joint has two neighbours")
def two_ways(formulation: Formulation) -> None:
    """Ask a second neighbour of every joint that has one."""
    placement, partition = formulation.placement, formulation.partition
    for joint in range(partition.blocks, partition.vertices):
        lies = {
            other: [
                take
                for piece in placement.pieces
                for pair, take in piece.options
                if set(pair) == {joint, other}
            ]
            for other in range(partition.vertices)
            if other != joint
        }
        for other, takes in lies.items():
            rest = [take for another, some in lies.items() if another != other for take in some]
            for take in takes:
                implies(formulation.model, (take,), rest)


@rule("slots alike", "diodes are alike, and so are resistors: they stand in order of where they lie")
def slots_alike(formulation: Formulation) -> None:
    """Let no slot lie before the one ahead of it; empty ones come last."""
    for first, second in pairwise(formulation.placement.slots):
        if first.kind == second.kind:
            for at, take in enumerate(second.takes):
                implies(formulation.model, (take,), first.takes[: at + 1])


@rule("joints alike", "of all ways to number the joints of a circuit one is kept, the greatest")
def joints_alike(formulation: Formulation) -> None:
    """Keep a placement only if no renaming of joints makes it greater."""
    partition = formulation.partition
    joints = range(partition.blocks, partition.vertices)
    if partition.joints <= MOST_ALIKE:
        renamings = [dict(zip(joints, names, strict=True)) for names in permutations(joints)][1:]
    else:
        renamings = [{a: b, b: a} for a, b in pairwise(joints)]
    for renaming in renamings:
        _keep_greatest(formulation, renaming)


def _keep_greatest(formulation: Formulation, renaming: dict[int, int]) -> None:
    model = formulation.model
    equal: Literal = True
    for places, images in _compared(formulation.placement, renaming):
        if [one.index for one in places] == [one.index for one in images]:
            continue
        so_far, equal = equal, model.new_bool_var("")
        here, there = sum(places), sum(images)
        given(model, (so_far, flipped(equal)), here >= there + 1)
        given(model, (equal,), here == there)
        implies(model, (equal,), (so_far,))


def _compared(
    placement: Placement, renaming: dict[int, int]
) -> list[tuple[list[cp_model.IntVar], list[cp_model.IntVar]]]:
    """What lies on each pair, and what lies on its image: filament by filament, then all slots of a kind."""
    slots = [
        [one for one in placement.slots if one.kind == kind]
        for kind in sorted({s.kind for s in placement.slots})
    ]
    rows = []
    for alike in [*([one] for one in placement.filaments), *slots]:
        directed = alike[0].kind == DIODE
        number = {pair: at for at, pair in enumerate(alike[0].pairs)}
        for at, (a, b) in enumerate(alike[0].pairs):
            image = renaming.get(a, a), renaming.get(b, b)
            to = number[image if directed or image[0] < image[1] else (image[1], image[0])]
            rows.append(([one.takes[at] for one in alike], [one.takes[to] for one in alike]))
    return rows
