"""What designs were ranked by, and those among them that no other beats, as text. No source: our layout."""

from collections.abc import Sequence

from lampwright.report.layout import folding, paragraph, right, section, stacked, table
from lampwright.report.topics.parts import to_fit
from lampwright.results.design import Design
from lampwright.results.ranking import Front, FrontPoint
from lampwright.words import Aim, many

MOST_POINTS = 20
MOST_EQUALS = 4
"""So many ranks of equal designs are told."""
UNKNOWN = "not known"


def order_text(front: Front | None, width: int) -> str:
    """Say what the designs are ranked by, where there is more than one."""
    if front is None or front.compared < 2:
        return ""
    first, *others = (_named(aim) for aim in front.preferred)
    said = f"Ranked by {first}, then {', '.join(others[:-1])} and {others[-1]}."
    if front.scored < front.compared:
        said += f" {scored_text(front)} Where the score decides, designs without one come last."
    return paragraph(said, width)


def front_text(front: Front | None, designs: Sequence[Design], width: int) -> str:
    """Draw the front as a table, where it has more than one point."""
    if front is None or len(front.points) < 2:
        return ""
    shown = front.points[:MOST_POINTS]
    more = len(front.points) - len(shown)
    return stacked(
        section("Trade-offs", width, paragraph(beaten_text(front), width)),
        _table(shown, designs, width),
        paragraph(f"{many(more, 'more is', 'more are')} in ranking.json.", width) if more else "",
        *(paragraph(note, width) for note in notes(front)),
    )


def beaten_text(front: Front) -> str:
    """Say what the front is."""
    members = sum(1 + len(point.as_good) for point in front.points)
    parts = "extra parts and helper lamps together" if helpers_differ(front.points) else "extra parts"
    return (
        f"{members:,} of {many(front.compared, 'design')} are beaten by none in {parts},"
        " wires, conductors, margin and fault score together: what one of them gains over another, it pays"
        " for elsewhere; equals stand together. A fault score of 1 would mean that no single fault does"
        " anything."
    )


def helpers_differ(rows: Sequence[FrontPoint] | Sequence[Design]) -> bool:
    """Whether some have more helper lamps than others, so that a column tells how many."""
    return len({one.helper_lamps for one in rows}) > 1


def scored_text(front: Front) -> str:
    """Say of how many designs the fault score is known, and of which."""
    return (
        f"The fault scores of {front.scored:,} of {front.compared:,} designs were worked out: first of those"
        " that no other beats in parts, wires, conductors and margin, then in the order of the ranking."
    )


def notes(front: Front) -> tuple[str, ...]:
    """Say what is not known of the front, and what that leaves open."""
    if front.scored == front.compared:
        return ()
    said = [scored_text(front)]
    if not all(point.certain for point in front.points):
        said.append("At a question mark, a design whose score is not known may yet beat this one.")
    if front.undecided:
        open_ones = many(front.undecided, "design is", "designs are")
        said.append(
            f"{open_ones} not shown and may belong here: beaten in the other four, without a known score."
        )
    return tuple(said)


def marked(point: FrontPoint) -> str:
    """The rank of a point and of its equals, with a question mark where it may yet be beaten."""
    shown = (point.rank, *point.as_good)[:MOST_EQUALS]
    more = ", ..." if len(shown) <= len(point.as_good) else ""
    ranks = ", ".join(str(rank) for rank in shown)
    return f"{ranks}{more}" if point.certain else f"{ranks}{more}?"


def score_text(point: FrontPoint) -> str:
    """The fault score with its three decimals, or that it is not known."""
    return UNKNOWN if point.fault_score is None else f"{point.fault_score:.3f}"


def _named(aim: Aim) -> str:
    return "fault score" if aim == "faults" else aim


def _table(points: Sequence[FrontPoint], designs: Sequence[Design], width: int) -> str:
    helped = helpers_differ(points)
    counts = ("helpers", "extra") if helped else ("extra",)
    columns = right("rank", *counts, "wires", "conductors", "margin", "faults") + folding("to fit")
    rows = [
        (
            marked(point),
            *((f"{point.helper_lamps}",) if helped else ()),
            f"{point.extra_parts}",
            f"{point.wires}",
            f"{point.conductors}",
            f"{point.margin_stops:.2f}",
            score_text(point),
            to_fit(designs[point.rank - 1].parts),
        )
        for point in points
    ]
    return table(columns, rows, width)
