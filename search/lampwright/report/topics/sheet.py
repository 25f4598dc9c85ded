"""The sheet for the bench in words: what to set, where to hold the meter, what to expect, what it means.

No source: our words.
"""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.report.topics.states import TruthTable
from lampwright.results.design import Design
from lampwright.results.sheet import (
    BenchSheet,
    BenchTests,
    FaultSigns,
    ReadingRow,
    SheetCoupling,
    SheetFuse,
    SheetWire,
    SpanRow,
)
from lampwright.words import listed

SYMBOLS = {"ohm": "Ω", "V": "V"}
DIGITS = {"ohm": 1, "V": 2}
OPEN = "open"
LEAST_IN_WIRES = 0.005
"""What wires take that is worth a word [V]."""
BLOWS = "fuse blows"
ISO = "ISO"
WIRES_KNOWN = "What wires take is as [wiring] has them; the spans have room for it."
WIRES_UNKNOWN = (
    f"What wires take is left out (no [wiring]): 0.02{si.SPACE}V a metre of 1{si.SPACE}mm² at 1{si.SPACE}A."
)
"""Source: IEC 60228, class 5: at most 19.5 ohm a kilometre of 1 mm2 at 20 C."""
ROOM_BESIDE = 60
"""Characters of a table beside another."""


def set_words(reading: ReadingRow, tests: BenchTests) -> str:
    """Say which controls to move from rest; a flasher's contact is held for as long as one reads."""
    rest = dict(tests.rest)
    moved = [f"{name} {position}" for name, position in reading.positions if rest[name] != position]
    held = f" ({_held(reading.phase)})" if reading.phase else ""
    return (", ".join(moved) or "all at rest") + held


def _held(phase: str) -> str:
    words = {"closed": "flasher’s contact held closed", "open": "flasher’s contact held open"}
    return words.get(phase, f"contacts held: {phase}")


def points_words(reading: ReadingRow) -> str:
    """Name the two points, the red lead's first."""
    return f"{reading.node} – {reading.to}"


def expected_words(reading: ReadingRow) -> str:
    """Say what the sound circuit reads."""
    if reading.nominal is None:
        return OPEN
    said = f"{reading.nominal:.{DIGITS[reading.unit]}f}{si.SPACE}{SYMBOLS[reading.unit]}".replace("-", "−")
    wires = si.SPACE.join(("(±", f"{reading.wires_volts:.2f}", "in", "wires)"))
    return f"{said} {wires}" if reading.wires_volts >= LEAST_IN_WIRES else said


def span_words(span: SpanRow, unit: str) -> str:
    """Say a span, whose ends are figures that a meter shows.

    >>> span_words(SpanRow(low=0.0, high=0.05), "V"), span_words(SpanRow(low=13.32, high=13.7), "V")
    ('0 to 0.05', '13.32 to 13.7')
    >>> span_words(SpanRow(low=2.0, high=None), "ohm"), span_words(SpanRow(low=None, high=None), "V")
    ('2 or more', 'fuse blows')
    """
    if span.low is None:
        return BLOWS if unit == "V" else OPEN
    ends = f"{span.low:g} or more" if span.high is None else f"{span.low:g} to {span.high:g}"
    return ends.replace("-", "−")


def coupling_words(coupling: SheetCoupling) -> str:
    """Say how sure the places of contacts are, and what to go by."""
    places = coupling.contacts[0].place_confidence
    if coupling.name.startswith(ISO):
        return f"Places of contacts: {places} confidence. Go by the number moulded beside each."
    where = "numbered here by the clock or from the left"
    return f"Places of contacts: {places} confidence, {where}. Check by function."


def sign_cells(signs: FaultSigns, tests: BenchTests) -> list[str]:
    """What each reading is under some faults, in order; empty where it is as in the sound circuit."""
    units = {one.number: one.unit for one in (*tests.cold, *tests.powered)}
    known = {one.reading: span_words(one.span, units[one.reading]) for one in signs.signs}
    return [known.get(number, "") for number in units]


def shown_faults(tests: BenchTests) -> list[FaultSigns]:
    """The faults that some reading shows."""
    return [one for one in tests.faults if one.signs]


def alike_words(tests: BenchTests, design: Design) -> list[str]:
    """Say which faults of several rows no reading tells apart, and what shows those that none shows."""
    rows = {one.faults for one in tests.faults}
    lines = []
    for some in tests.alike:
        named = tuple(one for one in some if one)
        if len(named) < len(some):
            lines += [f"{one} shows in no reading: {_seen(one, design)}." for one in named]
        elif named not in rows:
            lines.append(f"{listed(named)} look the same.")
    return lines


def _seen(fault: str, design: Design) -> str:
    """Say what the lamps do under a fault, where they do anything else."""
    rows = design.care.faults.faults if design.care else ()
    changes = next((row.changes for row in rows if row.fault == fault), ())
    if not changes:
        return "look at its lamp in every setting"
    return listed([f"{one.lamp} is {one.now}, not {one.was}, with {one.states[0]}" for one in changes[:2]])


def cold_words(tests: BenchTests, source: str) -> str:
    """Say how ohms are read for the spans to hold; source: a battery or a supply."""
    rest = ", ".join(f"{name} {position}" for name, position in tests.rest)
    off = f"{tests.meter_ohms:g}{si.SPACE}Ω and {si.percent(tests.meter_ohms_share)}"
    short = f"A short reads 0: where 0.5{si.SPACE}Ω or less is expected, read again with the lamps out."
    return (
        f"{source.capitalize()} off, lamps fitted and cold (0 to 40{si.SPACE}°C), {rest}; meter within {off},"
        f" its own leads taken off. {short}"
    )


def powered_words(tests: BenchTests) -> str:
    """Say how volts are read for the spans to hold."""
    off = f"{tests.meter_volts:g}{si.SPACE}V and {si.percent(tests.meter_volts_share)}"
    return (
        f"{si.volts(tests.volts)} within {si.percent(tests.supply_share)} at the fuses, meter within {off},"
        " red lead on the first point, black on the second; controls not named as before."
        f" {WIRES_KNOWN if tests.wires_known else WIRES_UNKNOWN}"
    )


def fewest_words(tests: BenchTests) -> str:
    """Say how far it is proved that no fewer readings do."""
    told = "tell apart every fault that any reading at these points does"
    lost = " Some could not be worked out: mind the spans." if tests.unsolved else ""
    few = "fewer may do: the proof ran out of work"
    if tests.proved:
        is_across = any(one.to != tests.cold[0].to for one in tests.powered) if tests.cold else False
        last = ", and volts across a part only where no other reading tells" if is_across else ""
        few = f"no fewer do, given that each point is measured to ground first{last} (proved)"
    return f"These readings {told}; {few}.{lost}"


def sheet_fuse_words(fuse: SheetFuse) -> str:
    """Say a fuse: `fuse 10 A red, for 6.2 A`."""
    size = "none large enough" if fuse.fuse_amps is None else f"{fuse.fuse_amps:g}{si.SPACE}A {fuse.colour}"
    return f"fuse {size}, for {si.amps(fuse.amps)}"


def sheet_wire_rows(wires: Sequence[SheetWire]) -> list[tuple[str, ...]]:
    """Each wire: number, ends, place, length and size, and the colour and pin of its core or room for one."""
    return [
        (
            row.number,
            row.from_node,
            row.to_node,
            f"{'' if row.metres is None else f'{row.metres:g}{si.SPACE}m, '}{row.area_mm2:g}{si.SPACE}mm²",
            f"{row.colour} ({row.pin})" if row.colour else "______",
        )
        for row in wires
    ]


def colour_words(sheet: BenchSheet) -> str:
    """Say where the colours come from, and how sure they are; empty where there is none."""
    sure = dict.fromkeys(row.confidence for row in sheet.wires if row.colour)
    if sheet.coupling is None or not sure:
        return ""
    said = f"{listed(list(sure))} confidence"
    return f"Colours and contacts are those of {sheet.coupling.name} ({said}); the others are yours."


def fits_beside(table: TruthTable) -> bool:
    """Whether a table of states is narrow enough to stand beside the tests."""
    rows = [(*line.setting, *line.cells) for line in table.rows]
    columns = zip((*table.controls, *table.lamps), *rows, strict=True)
    return sum(2 + max(map(len, column)) for column in columns) <= ROOM_BESIDE


def sheet_title(sheet: BenchSheet) -> str:
    """Name the sheet."""
    return f"{sheet.spec.title}: {sheet.subject}"
