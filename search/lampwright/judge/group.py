"""Drawings of one circuit, put together, and the choices of types and values that they share.

Series order and twists at two nodes change the drawing and nothing else. Drawings are
one circuit just if the part voltages and terminal potentials they allow are the same.
Alike parts have their numbers from a drawing, so that what is R1 in one may be R2 in
another, or in the same one seen in a mirror: 12 and 18 ohm in parallel are 18 and 12 ohm.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from lampwright.graphs.drawings import Canonical, canonical_drawing, matched
from lampwright.network.layout import Layout
from lampwright.network.netlist import Netlist
from lampwright.problem.fit import Fit
from lampwright.problem.problem import numbers_of


def circuit_key(netlist: Netlist, layout: Layout) -> bytes:
    """Equal for two netlists just if they are drawings of one circuit."""
    return canonical(netlist, layout).key


def canonical(netlist: Netlist, layout: Layout) -> Canonical:
    """The key of an netlist's circuit, and the orders of its parts that give it."""
    filaments = len(layout.filaments)
    labels = [*layout.filaments, *["diode"] * netlist.diodes, *["resistor"] * netlist.resistors]
    directed = [*[False] * filaments, *[True] * netlist.diodes, *[False] * netlist.resistors]
    edges = [(int(a), int(b)) for a, b in netlist.ends]
    drawn = canonical_drawing(netlist.blocks + netlist.joints, netlist.blocks, edges, labels, directed)
    return replace(drawn, key=bytes(netlist.partition) + b":" + drawn.key)


def renumbered(netlist: Netlist, order: Sequence[int], first: Sequence[int]) -> Netlist:
    """The netlist with its parts numbered as in the first drawing of its circuit.

    order and first: orders of the parts of both that give the circuit's key.
    """
    return replace(netlist, ends=netlist.ends[list(matched(first, order))])


def shared_choices(
    choices: Sequence[Sequence[int]], orders: Sequence[Sequence[Sequence[int]]], fit: Fit
) -> tuple[int, ...]:
    """The choices with which some drawing of a circuit passed, as numbered in the first, rising.

    choices: of each drawing the numbers in its own numbering. orders: of each all that give the
    circuit's key. Of choices that only a symmetry of the circuit tells apart there is one, the
    one with the smallest digits, which is the smallest number.
    """
    filaments, lamps = len(fit.lamp_of), len(fit.sizes) - fit.diodes - fit.resistors
    found = []
    for passed, own in zip(choices, orders, strict=True):
        digits = fit.digits[list(passed)]
        images = []
        for order in own:
            extras = [part - filaments for part in matched(orders[0][0], order)[filaments:]]
            columns = [*range(lamps), *(lamps + extra for extra in extras)]
            images.append(numbers_of(digits[:, columns], fit))
        found.append(np.min(images, axis=0))
    return tuple(int(number) for number in np.unique(np.concatenate(found)))
