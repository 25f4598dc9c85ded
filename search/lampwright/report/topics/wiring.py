"""The wiring list as a table for the bench. No source: our layout."""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.report.layout import (
    TextColumn,
    bullets,
    folding,
    hanging,
    paragraph,
    right,
    section,
    stacked,
    table,
)
from lampwright.results.wiring import FeedFuseRow, SpliceRow, TerminalRow, WireRow, WiringList
from lampwright.words import many


def wiring_text(wiring: WiringList, width: int) -> str:
    """Write the wiring list: the margin, the wires, what lamps lose, fuses, splices, what to look at."""
    return stacked(
        section("Wiring", width, *_summary(wiring, width)),
        "\n".join(bullets((f"! {warning}" for warning in wiring.warnings), width, "")),
        _wires(wiring.wires, width),
        "\n".join((*_lamps(wiring, width), *_fuses(wiring.fuses, width), *_places(wiring, width))),
        "\n".join(bullets(wiring.notes, width)),
    )


def wiring_said(wiring: WiringList) -> str:
    """Count the wires, and say what the judge says with them in place."""
    if wiring.margin_stops is None:
        return "The circuit with its wires is too large to solve."
    counted = f"{many(len(wiring.wires), 'wire')}, {si.quantity(wiring.metres, 'm', 3)} in all."
    return f"{counted} {in_place(wiring)}"


def in_place(wiring: WiringList) -> str:
    """Say whether the circuit meets the spec with its wires in place, and by how much."""
    meets = "meets" if wiring.meets else "does not meet"
    margin = si.stops(wiring.margin_stops or 0.0)
    return f"With its wires in place the circuit {meets} the spec: {margin} of margin."


def wire_rows(wires: Sequence[WireRow]) -> list[tuple[str, ...]]:
    """Each wire to cut: its number, ends, place, length, size, load and loss, and room for a colour."""
    return [
        (
            f"{row.number}",
            f"{row.from_node} — {row.to_node}",
            ", ".join(said for said in (row.zone, f"pin {row.pin}" if row.pin else "") if said),
            f"{row.metres:g}{si.SPACE}m",
            f"{row.area_mm2:g}{si.SPACE}mm² (AWG {row.awg})",
            si.amps(row.amps),
            si.volts(round(row.drop_volts, 4)),
            "______",
        )
        for row in wires
    ]


def fuse_words(row: FeedFuseRow) -> str:
    """Which fuse a feed takes, and for how much."""
    none = "no blade fuse is large enough"
    size = none if row.fuse_amps is None else f"{row.fuse_amps:g}{si.SPACE}A, {row.colour}"
    return f"{row.feed}: {size}, for {si.amps(row.amps)}"


def splice_words(row: SpliceRow) -> str:
    """Which wires meet at a splice."""
    return f"{row.at}{_in(row.zone)}: wires {', '.join(f'{wire}' for wire in row.wires)}"


def terminal_words(row: TerminalRow) -> str:
    """What the number of a terminal means."""
    return f"{row.terminal}: {row.meaning} (DIN 72552)"


def _summary(wiring: WiringList, width: int) -> list[str]:
    if wiring.margin_stops is None:
        return []
    counted = (
        many(len(wiring.wires), "wire"),
        f"{si.quantity(wiring.metres, 'm', 3)} in all",
        many(len(wiring.splices), "splice"),
        many(sum(len(row.wires) for row in wiring.couplings), "coupling contact"),
        many(len(wiring.fuses), "fuse"),
    )
    return [paragraph(", ".join(counted) + ".", width), paragraph(in_place(wiring), width)]


def _wires(wires: Sequence[WireRow], width: int) -> str:
    if not wires:
        return ""
    placed = any(wire.zone for wire in wires)
    columns = right("wire") + folding("from", "to") + (folding("zone") + right("pin") if placed else [])
    columns += [*right("A", "m", "mm²", "AWG", "V lost"), TextColumn("colour")]
    rows = []
    for wire in wires:
        row = [str(wire.number), wire.from_node, wire.to_node]
        row += [wire.zone, wire.pin] if placed else []
        row += [f"{wire.amps:.2f}", f"{wire.metres:g}", f"{wire.area_mm2:g}", str(wire.awg)]
        rows.append([*row, f"{wire.drop_volts:.2f}", wire.colour])
    return table(columns, rows, width)


def _lamps(wiring: WiringList, width: int) -> list[str]:
    if not wiring.lamps:
        return []
    said = (
        f"{'' if row.within else '!'}{row.lamp} {row.drop_volts:.2f} V ({_list(row.wires)})"
        for row in wiring.lamps
    )
    end = f"; at most {wiring.most_drop_volts:g} V wanted"
    return [paragraph("; ".join(said) + end, width, "Lost in wires  ")]


def _fuses(fuses: Sequence[FeedFuseRow], width: int) -> list[str]:
    lines = []
    for row in fuses:
        size = "none large enough" if row.fuse_amps is None else f"{row.fuse_amps:g} A {row.colour}"
        lines.append(f"{row.feed}: {size}, for {row.amps:.2f} A; its wires carry {row.carries_amps:g} A")
    return hanging(f"{'Fuses':<15}", lines, width)


def _places(wiring: WiringList, width: int) -> list[str]:
    splices = (f"at {row.at}{_in(row.zone)}: {_list(row.wires)}" for row in wiring.splices)
    couplings = (f"{row.zones}: {_list(row.wires)}" for row in wiring.couplings)
    terminals = (terminal_words(row) for row in wiring.terminals)
    places = (("Splices", splices), ("Couplings", couplings), ("Terminals", terminals))
    return [line for title, texts in places for line in hanging(f"{title:<15}", texts, width)]


def _in(zone: str) -> str:
    return f", {zone}" if zone else ""


def _list(wires: Sequence[int]) -> str:
    return f"wire{'s' * (len(wires) != 1)} {', '.join(str(wire) for wire in wires)}"
