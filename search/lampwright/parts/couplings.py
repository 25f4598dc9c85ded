"""Trailer couplings: which contact serves a terminal, the colour of its core, and where it is on the face.

Four are known: ISO 1724 (7 contacts) and ISO 11446 (13) by the pins of `trailer_pins.csv`, the flat four-way
and the seven-way with blades of the United States by those of `us_couplings.csv`. The latter have no contact
for a stop lamp of its own: stop and turn share a filament there. Places are those that one sees looking into
the vehicle's socket, which are those on the wires' side of the trailer's plug; into the plug all is mirrored.

Worked case: `54` is pin 6 of ISO 1724, red, and has no contact in a flat four-way.

Source: S75, S76, S77, S78, S79 for ISO; S81, S82, S107 for the United States; faces COUPLING-FACES, S107.
"""

from dataclasses import dataclass
from functools import cache

from lampwright.parts.tables import DataRow, read_table

ISO_7, ISO_13 = "ISO 1724", "ISO 11446"
COUPLINGS = (ISO_7, ISO_13, "four-way flat", "seven-way blade")
"""Their names."""


@dataclass(frozen=True)
class CouplingPin:
    """One contact of a coupling.

    terminals: those of DIN 72552 that it serves. area_mm2: of its core, None where not said [mm²]. x, y:
    its place, from -1 to 1, rightward and upward [1]. confidence: of function and colour; place_confidence:
    of the place.
    """

    pin: str
    terminals: tuple[str, ...]
    function: str
    colour: str
    area_mm2: float | None
    x: float
    y: float
    confidence: str
    place_confidence: str


@cache
def contacts_of(coupling: str) -> tuple[CouplingPin, ...]:
    """All contacts of one of COUPLINGS, a sequence in order of its pins; areas [mm²]."""
    of_iso = [row for row in read_table("trailer_pins.csv").rows if coupling in _split(row, "standard")]
    others = [row for row in read_table("us_couplings.csv").rows if row.text("coupling") == coupling]
    rows = of_iso or others
    names = "terminal" if of_iso else "terminals"
    return tuple(_contact(coupling, row, _split(row, names), bool(of_iso)) for row in rows)


def contact_for(coupling: str, terminal: str) -> CouplingPin | None:
    """The contact of a coupling that serves a terminal; None where it has none; no unit.

    >>> contact_for(ISO_7, "54").colour, contact_for("four-way flat", "54")
    ('red', None)
    """
    return next((one for one in contacts_of(coupling) if terminal in one.terminals), None)


def _contact(coupling: str, row: DataRow, terminals: tuple[str, ...], has_area: bool) -> CouplingPin:
    faces = read_table("coupling_faces.csv").rows
    pin = row.text("pin")
    face = next(one for one in faces if (one.text("coupling"), one.text("pin")) == (coupling, pin))
    return CouplingPin(
        pin=pin,
        terminals=terminals,
        function=row.text("function"),
        colour=row.text("colour"),
        area_mm2=row.number_or_none("area_mm2") if has_area else None,
        x=face.number("x"),
        y=face.number("y"),
        confidence=row.text("confidence"),
        place_confidence=face.text("confidence"),
    )


def _split(row: DataRow, column: str) -> tuple[str, ...]:
    return tuple(one.strip() for one in row.text(column).split(";") if one.strip())
