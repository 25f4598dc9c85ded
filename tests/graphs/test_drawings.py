"""Drawings of one circuit: series order, Whitney twists, and an independent judge.

Outside source: networkx `simple_cycles`. Two circuits are one if and only if, under a
bijection that keeps labels and with undirected edges reversed at will, they have the same
signed simple cycles, the terminals closed by virtual edges. The judge tries every bijection
and every reversal.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, permutations, product

import networkx as nx
import numpy as np
import pytest
from tests.graphs.plain_drawings import plain_form

from lampwright.graphs.cell import Cell, PathRule, Star
from lampwright.graphs.drawings import Canonical, canonical_drawing, drawing_key, matched
from lampwright.graphs.listing import endpoints, list_blocks, open_listing

Pair = tuple[int, int]
Cycle = tuple[int, ...]


@dataclass(frozen=True)
class Drawing:
    """A circuit as drawn; alike edges are adjacent in `labels`."""

    vertices: int
    terminals: int
    edges: tuple[Pair, ...]
    labels: tuple[str, ...]
    directed: tuple[bool, ...]

    def key(self) -> bytes:
        """The key under test."""
        return drawing_key(self.vertices, self.terminals, self.edges, self.labels, self.directed)

    def canonical(self) -> Canonical:
        """The key and the orders under test."""
        return canonical_drawing(self.vertices, self.terminals, self.edges, self.labels, self.directed)


def signed_cycles(drawing: Drawing) -> set[Cycle]:
    """Every simple cycle, both ways round, as a sign per column: virtual edges, then edges."""
    last = drawing.terminals - 1
    columns = [*((last, other) for other in range(last)), *drawing.edges]
    graph: nx.Graph[int] = nx.Graph()
    for number, (tail, head) in enumerate(columns):
        nx.add_path(graph, [tail, -1 - number, head])
    cycles = set()
    for walk in nx.simple_cycles(graph):
        signs = [0] * len(columns)
        for before, at in zip([walk[-1], *walk[:-1]], walk, strict=True):
            if at < 0:
                signs[-1 - at] = 1 if columns[-1 - at][0] == before else -1
        cycles |= {tuple(signs), tuple(-sign for sign in signs)}
    return cycles


def judged(drawing: Drawing) -> tuple[Cycle, ...]:
    """The least set of signed cycles over all bijections and reversals."""
    virtual = max(drawing.terminals - 1, 0)
    cycles = np.array(sorted(signed_cycles(drawing)), dtype=np.int64).reshape(
        -1, virtual + len(drawing.edges)
    )
    groups = [list(group) for _, group in groupby(range(len(drawing.edges)), drawing.labels.__getitem__)]
    flips = list(product(*((1,) if way else (1, -1) for way in drawing.directed)))
    forms = []
    for orders in product(*(permutations(group) for group in groups)):
        columns = [*range(virtual), *(virtual + edge for group in orders for edge in group)]
        for flip in flips:
            turned = cycles[:, columns] * np.array([1] * virtual + list(flip), dtype=np.int64)
            forms.append(tuple(sorted(map(tuple, turned.tolist()))))
    return min(forms)


def drawings_of(cell: Cell, rule: PathRule) -> list[Drawing]:
    """Every listed circuit of a cell; labelled edges are e0, e1, ..."""
    labelled = sum(star.edges for star in cell.stars)
    labels = (*(f"e{n}" for n in range(labelled)), *("arc",) * cell.arcs, *("link",) * cell.links)
    directed = tuple(label == "arc" for label in labels)
    found = []
    for block in list_blocks(cell, rule=rule):
        for ends in endpoints(open_listing(cell), block.options).tolist():
            edges = tuple((a, b) for a, b in ends)
            found.append(Drawing(cell.vertices, cell.terminals, edges, labels, directed))
    return found


@pytest.mark.parametrize(
    ("terminals", "stars", "arcs", "links", "most"),
    [
        (2, 2, 1, 1, 3),
        (2, 1, 1, 2, 3),
        (2, 1, 2, 1, 3),
        (2, 0, 0, 5, 3),
        (3, 1, 1, 1, 2),
        (3, 2, 0, 1, 2),
        (2, 0, 3, 0, 2),
    ],
)
def test_keys_divide_circuits_as_the_signed_cycles_do(
    terminals: int, stars: int, arcs: int, links: int, most: int
) -> None:
    pairs = set()
    for internal in range(most + 1):
        cell = Cell(terminals, internal, (Star(1),) * stars, arcs, links)
        pairs |= {(drawing.key(), judged(drawing)) for drawing in drawings_of(cell, PathRule.PATH_USED)}
    assert len(pairs) == len({key for key, _ in pairs}) == len({form for _, form in pairs})
    assert len(pairs) > 1


@pytest.mark.parametrize("seed", range(4))
def test_the_orders_are_those_of_the_least_form_in_plain_python(seed: int) -> None:
    """And keys are equal where least forms are, of random drawings with loops, parallel and alike edges."""
    rng = np.random.default_rng(seed)
    forms: dict[bytes, object] = {}
    for _ in range(300):
        vertices = int(rng.integers(2, 6))
        terminals = int(rng.integers(1, vertices + 1))
        ends = rng.integers(vertices, size=(6, 2)).tolist()
        labels = ("a", "b", *("arc",) * (2 + seed % 2), *("link",) * (2 - seed % 2))
        directed = tuple(label == "arc" for label in labels)
        drawn = canonical_drawing(vertices, terminals, ends, labels, directed)
        least, orders = plain_form(vertices, terminals, ends, labels, directed)
        assert drawn.orders == orders, f"{terminals} terminals, {ends}"
        assert forms.setdefault(drawn.key, (terminals, least)) == (terminals, least)
    assert len(forms) == len(set(forms.values())) > 100, "one key for each form"


@pytest.mark.parametrize("terminals", [0, 1, 2, 3])
def test_keys_hold_off_the_path_rule_too(terminals: int) -> None:
    cell = Cell(terminals, 4 - terminals, (Star(1),), 1, 2)
    pairs = {(drawing.key(), judged(drawing)) for drawing in drawings_of(cell, PathRule.ALL)}
    assert len(pairs) == len({key for key, _ in pairs}) == len({form for _, form in pairs})


def test_random_larger_multigraphs_against_the_signed_cycles() -> None:
    chance = np.random.default_rng(20)
    pairs = set()
    for _ in range(150):
        # a ring of two bridges has several twists; alike edges and arcs fall anywhere
        ends = [(0, 2), (2, 3), (2, 4), (3, 4), (3, 1), (4, 1), (0, 1)]
        order = chance.permutation(7)
        turned = [tuple(ends[n]) if chance.random() < 0.5 else tuple(ends[n][::-1]) for n in order]
        edges = tuple((a, b) for a, b in turned)
        labels, directed = ("a", "b", "c", "d", "r", "r", "z"), (False,) * 6 + (True,)
        drawing = Drawing(5, 2, edges, labels, directed)
        pairs.add((drawing.key(), judged(drawing)))
    assert 20 < len(pairs) == len({key for key, _ in pairs}) == len({form for _, form in pairs})


def bijections(one: Drawing, other: Drawing) -> set[tuple[int, ...]]:
    """Every bijection that makes two drawings one circuit: for each edge of one, that of the other.

    Cycles are the same, but for the signs of undirected edges.
    """
    virtual = one.terminals - 1
    kept = [True] * virtual + list(one.directed)
    flips = [np.array(flip) for flip in product(*((1,) if way else (1, -1) for way in kept))]
    wanted = signed_cycles(one)
    forms = [{tuple(cycle * flip) for cycle in map(np.array, wanted)} for flip in flips]
    groups = [list(group) for _, group in groupby(range(len(other.edges)), other.labels.__getitem__)]
    found = set()
    for orders in product(*(permutations(group) for group in groups)):
        order = tuple(edge for group in orders for edge in group)
        columns = [*range(virtual), *(virtual + edge for edge in order)]
        if {tuple(cycle[at] for at in columns) for cycle in signed_cycles(other)} in forms:
            found.add(order)
    return found


ALIKE = (
    (3, 2, ("a", "arc", "arc", "link", "link"), ((0, 2), (2, 1), (0, 1), (0, 2), (2, 1))),
    (4, 2, ("a", "arc", "arc", "link", "link"), ((2, 3), (0, 2), (3, 1), (0, 2), (3, 1))),
    (4, 2, ("a", "b", "link", "link", "link"), ((0, 2), (3, 1), (2, 3), (2, 3), (0, 1))),
    (3, 3, ("a", "arc", "arc", "link", "link"), ((0, 1), (1, 2), (0, 2), (0, 1), (1, 2))),
    (4, 2, ("a", "arc", "arc", "arc", "link"), ((0, 2), (2, 3), (3, 1), (0, 3), (2, 1))),
)
"""Vertices, terminals, labels and ends, the ends to be dealt out anew."""


@pytest.mark.parametrize(("vertices", "terminals", "labels", "ends"), ALIKE)
def test_orders_of_one_key_are_all_that_make_drawings_one_circuit(
    vertices: int, terminals: int, labels: tuple[str, ...], ends: tuple[Pair, ...]
) -> None:
    """Series and twists, alike edges and arcs: edges at one place are one edge, and no bijection lacks."""
    chance = np.random.default_rng(5)
    directed = tuple(label == "arc" for label in labels)
    by_key: dict[bytes, list[Drawing]] = {}
    for _ in range(60):
        dealt = [ends[n] if chance.random() < 0.5 else ends[n][::-1] for n in chance.permutation(len(ends))]
        drawing = Drawing(vertices, terminals, tuple(dealt), labels, directed)
        same = by_key.setdefault(drawing.key(), [])
        same.extend([] if drawing in same else [drawing])
    assert any(len(same) > 1 for same in by_key.values()), "some circuit is drawn in two ways"
    for first, *others in by_key.values():
        orders = first.canonical().orders
        for other in (first, *others[:3]):
            found = [matched(orders[0], order) for order in other.canonical().orders]
            assert len(found) == len(set(found)), "each once"
            assert set(found) == bijections(first, other), f"{first} and {other}"


def test_series_order_does_not_matter() -> None:
    one = Drawing(4, 2, ((0, 2), (2, 3), (3, 1)), ("a", "r", "z"), (False, False, True))
    other = Drawing(4, 2, ((2, 3), (3, 1), (0, 2)), ("a", "r", "z"), (False, False, True))
    turned = Drawing(4, 2, ((2, 3), (3, 1), (2, 0)), ("a", "r", "z"), (False, False, True))
    assert one.key() == other.key()
    assert one.key() != turned.key()


def twisted(piece: Sequence[Pair]) -> list[Pair]:
    """The piece that hangs on vertices 0 and 2, turned about: 0 and 2 change places."""
    place = {0: 2, 2: 0}
    return [(place.get(a, a), place.get(b, b)) for a, b in piece]


REST = [(2, 1), (0, 1)]
PIECE = [(0, 3), (0, 4), (3, 4), (3, 2), (4, 2)]
LABELS = tuple("abcdefg")


def whole(piece: Sequence[Pair], directed: tuple[bool, ...]) -> bytes:
    """The key of the piece with the rest."""
    return drawing_key(5, 2, [*piece, *REST], LABELS, directed)


def test_a_whitney_twist_does_not_matter() -> None:
    plain = (False,) * 7
    assert whole(PIECE, plain) == whole(twisted(PIECE), plain)
    moved = [*PIECE[:3], PIECE[4], PIECE[3]]
    assert whole(PIECE, plain) != whole(moved, plain)


@pytest.mark.parametrize("place", range(5))
def test_a_twist_reverses_the_arcs_of_the_turned_piece(place: int) -> None:
    directed = tuple(n == place for n in range(7))
    turned = twisted(PIECE)
    reversed_ = [pair[::-1] if n == place else pair for n, pair in enumerate(turned)]
    assert whole(PIECE, directed) == whole(reversed_, directed)
    assert whole(PIECE, directed) != whole(turned, directed)


def test_an_arc_outside_the_turned_piece_keeps_its_way() -> None:
    directed = tuple(n == 5 for n in range(7))
    assert whole(PIECE, directed) == whole(twisted(PIECE), directed)


def test_different_circuits_differ() -> None:
    series = drawing_key(3, 2, [(0, 2), (2, 1)], ["r", "r"], [False, False])
    parallel = drawing_key(2, 2, [(0, 1), (0, 1)], ["r", "r"], [False, False])
    told_apart = drawing_key(3, 2, [(0, 2), (2, 1)], ["r", "s"], [False, False])
    one_arc = drawing_key(3, 2, [(0, 2), (2, 1)], ["r", "r"], [True, False])
    third_terminal = drawing_key(3, 3, [(0, 2), (2, 1)], ["r", "r"], [False, False])
    assert len({series, parallel, told_apart, one_arc, third_terminal}) == 5


def test_arcs_against_each_other_are_not_arcs_in_line() -> None:
    against = drawing_key(3, 2, [(0, 2), (1, 2)], ["z", "z"], [True, True])
    away = drawing_key(3, 2, [(2, 0), (2, 1)], ["z", "z"], [True, True])
    in_line = drawing_key(3, 2, [(0, 2), (2, 1)], ["z", "z"], [True, True])
    back = drawing_key(3, 2, [(2, 0), (1, 2)], ["z", "z"], [True, True])
    assert against == away, "two arcs in series may change places"
    assert len({against, in_line, back}) == 3


def test_labels_must_match_the_edges() -> None:
    with pytest.raises(ValueError, match="one label an edge"):
        drawing_key(2, 2, [(0, 1)], [], [])
    with pytest.raises(ValueError, match="too many"):
        drawing_key(2, 2, [(0, 1)] * 62, ["r"] * 62, [True] * 62)
