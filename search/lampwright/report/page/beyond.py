"""What only treated designs have, as rows for the page: the wiring list, and how it flashes.

No source: our layout.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from lampwright.report import si
from lampwright.results.flashing import Flashing, FlashLamp, FlashPhase
from lampwright.results.wiring import WireRow, WiringList

STEADY = ("dark", "off", "dim", "lit", "full", "any")


@dataclass(frozen=True)
class WireView:
    """One wire to cut."""

    number: int
    ends: str
    place: str
    amps: str
    metres: str
    size: str
    lost: str


@dataclass(frozen=True)
class WiringView:
    """The wiring list: in a sentence, wires, fuses, splices, warnings and notes."""

    said: str
    warnings: tuple[str, ...]
    wires: tuple[WireView, ...]
    fuses: tuple[str, ...]
    splices: tuple[str, ...]
    terminals: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class FlashRow:
    """One lamp at one rate: what is asked, whether it keeps up, and after how long in each phase."""

    setting: str
    lamp: str
    asked: str
    rate: str
    keeps_up: str
    closed: str
    opened: str


@dataclass(frozen=True)
class FlashingView:
    """How the lamps follow the flasher, and what contacts close onto."""

    title: str
    said: str
    rows: tuple[FlashRow, ...]
    inrush: tuple[str, ...]


def wiring_view(wiring: WiringList | None) -> WiringView | None:
    """Write the wiring list, if there is one."""
    if wiring is None:
        return None
    return WiringView(
        said=_wiring_said(wiring),
        warnings=wiring.warnings,
        wires=tuple(_wire(row) for row in wiring.wires),
        fuses=tuple(
            f"{row.feed}: {_fuse(row.fuse_amps, row.colour)}, for {si.amps(row.amps)}" for row in wiring.fuses
        ),
        splices=tuple(
            f"{row.at}{f', {row.zone}' if row.zone else ''}: wires {_numbers(row.wires)}"
            for row in wiring.splices
        ),
        terminals=tuple(f"{row.terminal}: {row.meaning} (DIN 72552)" for row in wiring.terminals),
        notes=wiring.notes,
    )


def _wiring_said(wiring: WiringList) -> str:
    if wiring.margin_stops is None:
        return "The circuit with its wires is too large to solve."
    meets = "meets" if wiring.meets else "does not meet"
    return (
        f"{si.many(len(wiring.wires), 'wire')}, {si.quantity(wiring.metres, 'm', 3)} in all. With its wires"
        f" in place the circuit {meets} the spec: {si.stops(wiring.margin_stops)} of margin."
    )


def _wire(row: WireRow) -> WireView:
    place = ", ".join(said for said in (row.zone, f"pin {row.pin}" if row.pin else "") if said)
    size = f"{row.area_mm2:g}{si.SPACE}mm² (AWG {row.awg})"
    return WireView(
        number=row.number,
        ends=f"{row.from_node} — {row.to_node}",
        place=place,
        amps=si.amps(row.amps),
        metres=f"{row.metres:g}{si.SPACE}m",
        size=size,
        lost=si.volts(round(row.drop_volts, 4)),
    )


def _fuse(size: float | None, colour: str) -> str:
    return "no blade fuse is large enough" if size is None else f"{size:g}{si.SPACE}A, {colour}"


def _numbers(wires: Sequence[int]) -> str:
    return ", ".join(f"{wire}" for wire in wires)


def flashing_view(flashing: Flashing | None) -> FlashingView | None:
    """Write how a design flashes, if that was worked out and there is anything to say."""
    if flashing is None or not (flashing.lamps or flashing.inrush):
        return None
    late = [row for row in flashing.lamps if not row.keeps_up]
    rows = [row for row in flashing.lamps if row.word not in STEADY or not row.keeps_up]
    said = (
        "Every lamp keeps up."
        if not late
        else "Not every lamp keeps up; where it does not, the table says so."
    )
    share = f"{100.0 * flashing.on_share:.0f}{si.SPACE}%"
    return FlashingView(
        "In time with the flasher" if flashing.lamps else "Cold filaments",
        f"With the filaments’ own warm-up and cool-down, contact closed {share} of the time. {said}"
        if flashing.lamps
        else "",
        tuple(_flash_row(row) for row in rows),
        tuple(
            f"{row.control}: {si.amps(row.cold_amps)} as it closes, {si.amps(row.settled_amps)} once warm"
            for row in flashing.inrush
        ),
    )


def _flash_row(row: FlashLamp) -> FlashRow:
    return FlashRow(
        setting=row.setting,
        lamp=row.lamp,
        asked=row.word,
        rate=f"{row.flashes_per_minute:g} a minute",
        keeps_up="yes" if row.keeps_up else "NO",
        closed=_after(row.closed),
        opened=_after(row.open),
    )


def _after(phase: FlashPhase | None) -> str:
    """Say how long into a phase a lamp is as asked; nothing is asked where there is no phase."""
    if phase is None:
        return "nothing asked"
    if phase.seconds_to_band is None:
        return f"not in time ({si.percent(phase.final_flux)} at the end)"
    return f"after {1000.0 * phase.seconds_to_band:.0f}{si.SPACE}ms"
