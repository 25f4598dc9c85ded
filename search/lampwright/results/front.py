"""Trade-offs among designs, as plain rows.

Rows as in `results.ranking`, whose Ranking holds them. No source: our format.
"""

from typing import Literal

from lampwright.results.row import Row, Score, Stops, Whole

Aim = Literal["extra parts", "wires", "joints", "conductors", "margin", "faults"]


class FrontPoint(Row, frozen=True, kw_only=True):
    """A design that no other beats: none is at least as good in every aim and better in one.

    `fault_score` is null where the design's faults were not worked out. `certain` is false where
    a design whose score is not known may yet beat it.
    """

    rank: Whole
    extra_parts: Whole
    wires: Whole
    conductors: Whole
    margin_stops: Stops
    fault_score: Score | None
    certain: bool


class Front(Row, frozen=True, kw_only=True):
    """The Pareto front over extra parts, wires, conductors, margin and fault score.

    `preferred` is the order of aims by which the designs are ranked; `compared` designs were compared,
    each with the types and values of its greatest margin, and of `scored` of them the fault score is
    known. `undecided` designs without a score are beaten in the other four aims and not among the
    points: only a score better than that of every design that beats them so would put them there.
    """

    preferred: tuple[Aim, ...]
    compared: Whole
    scored: Whole
    undecided: Whole
    points: tuple[FrontPoint, ...]
