"""Circuits that a student may take for the right one, each one slip away from it.

An end is moved, two parts are exchanged, two stand side by side in place of in a row, or a diode is
turned. What each does is simulated before anything is said of it. No source: our choice of slips.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from msgspec.structs import replace

from lampwright.results.design import PartRow

Parts = tuple[PartRow, ...]
GROUND, SUPPLY = "31", "30"


@dataclass(frozen=True)
class NearCircuit:
    """Another circuit of the same parts; what: the slip, in words."""

    what: str
    parts: Parts


def place(node: str) -> str:
    """Name a node as the student's page does.

    >>> place("31"), place("S1")
    ('ground', 'S1')
    """
    return "ground" if node == GROUND else node


def near_misses(parts: Parts, nodes: Sequence[str]) -> Iterator[NearCircuit]:
    """Every circuit one slip away, each once, the parts joined to some of these nodes; wires stay.

    Filaments of one lamp keep the node that they share.
    """
    met = {_form(parts)}
    for one in (*_moved(parts, nodes), *_exchanged(parts), *_abreast(parts), *_turned(parts)):
        form = _form(one.parts)
        if form not in met and not _hangs_loose(one.parts, nodes):
            met.add(form)
            yield one


def _moved(parts: Parts, nodes: Sequence[str]) -> Iterator[NearCircuit]:
    for at, part in enumerate(parts):
        if part.kind == "wire":
            continue
        kept = _shared(parts, part)
        for ends in (
            *((part.from_node, node) for node in nodes if part.to_node not in kept),
            *((node, part.to_node) for node in nodes if part.from_node not in kept),
        ):
            if ends[0] != ends[1] and ends != (part.from_node, part.to_node):
                new = replace(part, from_node=ends[0], to_node=ends[1])
                what = f"{part.ref} from {place(ends[0])} to {place(ends[1])}"
                yield NearCircuit(what, (*parts[:at], new, *parts[at + 1 :]))


def _shared(parts: Parts, part: PartRow) -> set[str]:
    """The nodes that a filament has in common with another of its lamp."""
    others = [one for one in parts if one.lamp and one.lamp == part.lamp and one.ref != part.ref]
    return {node for one in others for node in (one.from_node, one.to_node)} & {part.from_node, part.to_node}


def _exchanged(parts: Parts) -> Iterator[NearCircuit]:
    for a, b in combinations(range(len(parts)), 2):
        one, other = parts[a], parts[b]
        if "wire" in (one.kind, other.kind) or _shared(parts, one) or _shared(parts, other):
            continue
        changed = list(parts)
        changed[a] = replace(one, from_node=other.from_node, to_node=other.to_node)
        changed[b] = replace(other, from_node=one.from_node, to_node=one.to_node)
        yield NearCircuit(f"{one.ref} and {other.ref} exchanged", tuple(changed))


def _abreast(parts: Parts) -> Iterator[NearCircuit]:
    """Two parts that meet alone at a joint or feed, both between their outer ends instead."""
    for a, b in combinations(range(len(parts)), 2):
        one, other = parts[a], parts[b]
        common = {one.from_node, one.to_node} & {other.from_node, other.to_node}
        outer = [
            node for part in (one, other) for node in (part.from_node, part.to_node) if node not in common
        ]
        if (
            "wire" in (one.kind, other.kind)
            or len(common) != 1
            or common & {GROUND, SUPPLY}
            or outer[0] == outer[1]
        ):
            continue
        if _shared(parts, one) or _shared(parts, other):
            continue
        changed = list(parts)
        changed[a] = replace(one, from_node=outer[0], to_node=outer[1])
        changed[b] = replace(other, from_node=outer[0], to_node=outer[1])
        yield NearCircuit(
            f"{one.ref} and {other.ref} side by side from {place(outer[0])} to {place(outer[1])}",
            tuple(changed),
        )


def _turned(parts: Parts) -> Iterator[NearCircuit]:
    for at, part in enumerate(parts):
        if part.kind == "diode":
            new = replace(part, from_node=part.to_node, to_node=part.from_node)
            yield NearCircuit(f"{part.ref} the other way round", (*parts[:at], new, *parts[at + 1 :]))


def _form(parts: Parts) -> frozenset[tuple[str, object]]:
    """What parts join what; a diode has a direction."""
    ends = (
        (
            one.ref,
            (one.from_node, one.to_node) if one.kind == "diode" else frozenset((one.from_node, one.to_node)),
        )
        for one in parts
    )
    return frozenset(ends)


def _hangs_loose(parts: Parts, nodes: Sequence[str]) -> bool:
    """Whether a joint, which is no terminal, has a single part, or a terminal was invented."""
    count = Counter(node for part in parts for node in (part.from_node, part.to_node))
    return any(node not in nodes or (is_joint(node) and many < 2) for node, many in count.items())


def is_joint(node: str) -> bool:
    """Whether a node is a joint, as `j1`."""
    return node[:1] == "j" and node[1:].isdigit()


def same_shape(one: Parts, other: Parts) -> bool:
    """Whether two circuits may be one but for names: lamps, feeds and joints called otherwise.

    What is refused here is surely another circuit; the supply and ground keep their names.
    """
    return _shape(one) == _shape(other)


def _shape(parts: Parts) -> tuple[object, ...]:
    """What renaming does not change: of every part the kind, and how its ends are met, twice refined."""
    colour: dict[str, object] = {}
    for part in parts:
        for node in (part.from_node, part.to_node):
            colour[node] = node if node in (GROUND, SUPPLY) else "joint" if is_joint(node) else "feed"
    for _ in range(3):
        colour = {
            node: (own, tuple(sorted(repr((one.kind, colour[_far(one, node)])) for one in _at(parts, node))))
            for node, own in colour.items()
        }
    return tuple(
        sorted(
            repr((one.kind, sorted(repr(colour[node]) for node in (one.from_node, one.to_node))))
            for one in parts
        )
    )


def _at(parts: Parts, node: str) -> list[PartRow]:
    return [one for one in parts if node in (one.from_node, one.to_node)]


def _far(part: PartRow, node: str) -> str:
    return part.to_node if node == part.from_node else part.from_node
