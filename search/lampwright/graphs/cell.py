"""What is to be listed: numbers of vertices, labelled edges, alike arcs and alike links.

Vertices 0..T-1 are terminals, told apart; T..T+k-1 are internal and interchangeable.
Labelled edges are told apart and come in stars: the edges of a star share a vertex, its
hub. Arcs are directed and alike, links undirected and alike. Parallel edges of any kind
are allowed, loops are not. Two circuits of a cell are the same if and only if a renaming
of the internal vertices carries one onto the other. No source: our definitions.

Vertex pairs (a < b) are numbered in lexicographic order; a set of pairs is a bitmask with
bit i for pair i. With three vertices: bit 0 is {0,1}, bit 1 is {0,2}, bit 2 is {1,2}.
"""

from dataclasses import dataclass
from enum import IntEnum
from math import comb

from lampwright.errors import LampwrightError

MOST_INTERNAL = 6
MOST_VERTICES = 11


class CellError(LampwrightError):
    """A cell that is no cell, or too large to be listed or counted."""


class PathRule(IntEnum):
    """Which circuits of a cell are wanted.

    ALL: every one. USED: every internal vertex has an edge. PATH_USED: moreover every edge
    lies on a simple path, read as undirected, that joins two different terminals.
    """

    ALL = 0
    USED = 1
    PATH_USED = 2


@dataclass(frozen=True)
class Star:
    """Labelled edges that share a vertex.

    edges=1, hub=None: one free edge. hub=v: each edge joins terminal v to some other
    vertex, and several may choose the same one. edges>=2, hub=None: the hub is any vertex;
    edges that all lie on one pair are one choice, whichever end is called the hub. alike: the edges
    share no hub and are not told apart, as links are; but they stand among the labelled edges.
    """

    edges: int
    hub: int | None = None
    alike: bool = False


@dataclass(frozen=True)
class Cell:
    """All circuits with these terminals, internal vertices, stars, and exact numbers of arcs and links."""

    terminals: int
    internal: int
    stars: tuple[Star, ...]
    arcs: int
    links: int

    def __post_init__(self) -> None:
        """Refuse what is no cell.

        Raises CellError.
        """
        if min(self.terminals, self.internal, self.arcs, self.links) < 0:
            raise CellError(f"{self}: a number below zero cannot be; use 0 or more")
        if self.internal > MOST_INTERNAL or self.vertices > MOST_VERTICES:
            raise CellError(
                f"{self}: {self.internal} internal of {self.vertices} vertices are too many to permute and "
                f"to keep as bits; use at most {MOST_INTERNAL} internal and {MOST_VERTICES} in all"
            )
        for star in self.stars:
            if star.edges < 1:
                raise CellError(f"{star}: a star without edges cannot be; use 1 or more")
            if star.alike and star.hub is not None:
                raise CellError(f"{star}: alike edges share no hub; use None")
            if star.hub is not None and not 0 <= star.hub < self.terminals:
                raise CellError(
                    f"{star}: the hub is no terminal; use 0 to {self.terminals - 1}, or None for any vertex"
                )

    @property
    def vertices(self) -> int:
        """The number of vertices, terminals and internal."""
        return self.terminals + self.internal

    @property
    def pairs(self) -> int:
        """The number of vertex pairs."""
        return comb(self.vertices, 2)

    @property
    def parts(self) -> int:
        """The number of edges of every kind."""
        return sum(star.edges for star in self.stars) + self.arcs + self.links
