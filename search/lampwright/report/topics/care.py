"""Tolerance, faults, loads and the law as text: what a careful builder reads before soldering.

Faults that do the same are one entry. No source: our layout.
"""

from collections.abc import Iterator, Sequence

from lampwright.report import si
from lampwright.report.layout import (
    TextColumn,
    bullets,
    enough,
    folding,
    heading,
    paragraph,
    right,
    stacked,
    table,
)
from lampwright.report.topics.states import said_of
from lampwright.results.care import (
    Act,
    CareReport,
    Endurance,
    FaultChange,
    FaultLost,
    FaultReport,
    FaultRow,
    Regulated,
    RegulationNote,
    ResistorHeat,
    SneakPath,
    Tolerance,
)
from lampwright.results.design import StateRow
from lampwright.words import many

MOST_FAULTS = 12
MOST_CHANGES = 2
INDENT = "         "
ALL_MET = "No fault does anything."

ACTS_IN_WORDS: dict[Act, str] = {
    "dims": "is dimmed",
    "flashes": "flashes",
    "counterflashes": "flashes out of phase with the flasher",
    "flash varies": "flashes otherwise than with the flasher alone, or not at all",
    "burns with brake": "comes on with the brake",
    "brake varies": "goes out or flashes though the brake is on",
    "steady beside flash": "burns steadily while another lamp flashes",
    "position varies": "goes out or flashes though the position lamps are on",
}


def care_text(care: CareReport, states: Sequence[StateRow], width: int, most: int = MOST_FAULTS) -> str:
    """Write all of it; of the faults those that do most, at most a given number of entries."""
    return stacked(
        tolerance_text(care.tolerance, width),
        faults_text(care.faults, states, width, most),
        endurance_text(care.endurance, width),
        regulated_text(care.regulated, care.regulations, states, width),
    )


def tolerance_text(tolerance: Tolerance, width: int) -> str:
    """Write what every tolerance costs, the yield, and ageing."""
    columns = [TextColumn("tolerance of"), *folding("span"), *right("costs", "margin without")]
    rows = [
        (cost.ref, cost.span, si.stops(cost.cost_stops), si.stops(cost.margin_without))
        for cost in tolerance.costs
    ]
    corners = many(tolerance.corners, "corner")
    first = f"The worst of {corners} keeps {si.stops(tolerance.margin_stops)}. {_dearest(tolerance)}"
    lines = [heading("Tolerance and age", width), paragraph(first, width)]
    last = [
        paragraph(_drawn(tolerance), width),
        paragraph(_aged(tolerance), width),
        *(paragraph(said, width) for said in tolerance.remarks),
    ]
    return "\n".join((*lines, "", table(columns, rows, width), "", *last))


def _dearest(tolerance: Tolerance) -> str:
    """Say which part's tolerance costs most."""
    if not tolerance.costliest:
        return "No part's tolerance by itself costs anything."
    cost = next(cost for cost in tolerance.costs if cost.ref == tolerance.costliest)
    return f"Of the parts, {cost.ref} costs most by its tolerance: {si.stops(cost.cost_stops)}."


def _drawn(tolerance: Tolerance) -> str:
    """Say how many copies of many meet the spec."""
    drawn = tolerance.drawn
    return (
        f"Of {drawn.copies:,} copies drawn at random {drawn.good:,} meet the spec:"
        f" {100 * drawn.share_low:.1f} to {100 * drawn.share_high:.1f} % of all copies,"
        f" with {100 * drawn.confidence_level:g} % confidence. The least of them keeps"
        f" {si.stops(drawn.least_margin)}, the median {si.stops(drawn.median_margin)}."
        f" Seed {drawn.seed}; {drawn.spread}."
    )


def _aged(tolerance: Tolerance) -> str:
    """Say what margin is left at the end of the lamps' life."""
    each = ", ".join(
        f"{'all' if one.ref == 'all' else one.ref} {si.stops(one.margin_stops)}{'' if one.meets else ' (!)'}"
        for one in tolerance.aged
    )
    return (
        f"Margin with a lamp at the end of its life ({100 * tolerance.aged_light:g} % of its light,"
        f" {100 * tolerance.aged_current:g} % of its current): {each}."
    )


def _alike(faults: Sequence[FaultRow]) -> list[list[FaultRow]]:
    """Put faults that do the same together, those that do most first."""
    grouped: dict[tuple[object, ...], list[FaultRow]] = {}
    for row in faults:
        key = (
            row.changes,
            row.lost,
            tuple(p.path for p in row.sneak_paths),
            row.overloads,
            row.shorted,
            row.met,
        )
        grouped.setdefault(key, []).append(row)
    return sorted(grouped.values(), key=lambda rows: rows[0].value)


def faults_text(faults: FaultReport, states: Sequence[StateRow], width: int, most: int) -> str:
    """Write the faults that do most, and count the others."""
    alike = _alike([row for row in faults.faults if row.value < 1.0 or row.changes])
    quiet = sum(row.value >= 1.0 and not row.changes for row in faults.faults)
    said = (
        f"Fault score {faults.score:.2f}: 1 where no fault does anything. Before each fault stands the share"
        " of requirements still met, less 0.5 for an overload or a short, less 0.25 for a sneak path; parts"
        " nominal, at the normal supply, overloads at the high one."
    )
    lines = [heading("Faults, one at a time", width), paragraph(said, width)]
    for rows in alike[:most]:
        lines += _fault(rows, states, width)
    lines.append(paragraph(_rest(faults, alike, most, quiet), width))
    lines.append(paragraph(faults.led_model + ".", width))
    return "\n".join(lines)


def worst_fault(faults: FaultReport, states: Sequence[StateRow]) -> str:
    """Say in a sentence which single fault does most, and the first of what it does."""
    alike = _alike([row for row in faults.faults if row.value < 1.0 or row.changes])
    if not alike:
        return ALL_MET
    row = alike[0][0]
    otherwise = [change for change in row.changes if change.now != change.was] or row.changes
    changes = list(dict.fromkeys(f"{one.lamp} {one.now}, not {one.was}" for one in otherwise))
    does = [said_of(states, row.shorted) and f"a fuse blows with {said_of(states, row.shorted)}"]
    does += [f"{over.ref} overloaded" for over in row.overloads[:1]]
    does += [
        *enough(changes, MOST_CHANGES),
        *(lost_said(one) for one in row.lost[:1]),
        *_sneak_paths(row.sneak_paths[:1], by_way=False),
    ]
    same = len(alike[0]) - 1
    others = f" (and {many(same, 'other')} alike)" if same else ""
    return f"{row.fault}{others}: {'; '.join(filter(None, does))}."


def _rest(faults: FaultReport, alike: Sequence[Sequence[FaultRow]], most: int, quiet: int) -> str:
    """Say what is not shown."""
    hidden = sum(len(rows) for rows in alike[most:])
    said = []
    if hidden:
        said.append(f"{many(hidden, 'more fault does', 'more faults do')} less; all are in the JSON.")
    if quiet:
        said.append(f"{many(quiet, 'fault does', 'faults do')} nothing.")
    if faults.types_tried:
        tried = f"Of {many(faults.types_tried, 'other type')} that the lamps' holders take"
        said.append(f"{tried}, {faults.types_harmless} still meet everything.")
    if faults.unsolved:
        said.append(f"{many(faults.unsolved, 'operating point')} could not be solved.")
    return " ".join(said) or ALL_MET


def _fault(alike: Sequence[FaultRow], states: Sequence[StateRow], width: int) -> list[str]:
    """Write one entry: the faults, then what they do."""
    row = alike[0]
    lines = [paragraph("; ".join(one.fault for one in alike), width, f"  {row.value:.2f}   ")]
    lines += [paragraph(_change(change, states), width, f"{INDENT}") for change in row.changes]
    lines += [
        paragraph(f"{lost_said(one)}: {said_of(states, one.states)}", width, INDENT) for one in row.lost
    ]
    lines += [paragraph(said, width, INDENT) for said in _sneak_paths(row.sneak_paths)]
    for over in row.overloads:
        load, allowed = (si.quantity(value, over.unit, 2) for value in (over.load, over.allowed))
        lines.append(paragraph(f"overload: {over.ref} {load} of {allowed}, {over.state}", width, INDENT))
    if row.shorted:
        said = f"short, a fuse blows: {said_of(states, row.shorted)}"
        lines.append(paragraph(said, width, INDENT))
    return lines


def _change(change: FaultChange, states: Sequence[StateRow]) -> str:
    """Say what one lamp does instead."""
    now = f"{change.now} for {change.was}" if change.now != change.was else f"{change.now}, but much changed"
    return f"{change.lamp} {now}: {said_of(states, change.states)}"


def lost_said(one: FaultLost) -> str:
    """Say what no longer holds of two lamps, or of one in two states."""
    return f"{one.name} no longer {one.wanted}"


def _sneak_paths(paths: Sequence[SneakPath], *, by_way: bool = True) -> Iterator[str]:
    """Name the sneak paths: what is back-fed, and by which way."""
    for path in paths:
        way = f": {' - '.join(path.path)}" * by_way
        if path.volts is not None:
            yield f"sneak path to {path.at}, {si.volts(path.volts)}{way}"
        if path.amps is not None:
            yield f"sneak path backward through {path.at}, {si.amps(path.amps)}{way}"


def endurance_text(endurance: Endurance, width: int) -> str:
    """Write heat, life and contact loads."""
    lines = [heading("Heat, life and contacts", width)]
    for heat in endurance.resistors:
        lines.append(paragraph(_heat(heat), width))
    for diode in endurance.diodes:
        lines.append(
            paragraph(
                f"{diode.ref} {diode.type}: {si.amps(diode.amps)} of {si.amps(diode.most_amps)}, drops"
                f" {si.volts(diode.volts)}, {si.watts(diode.watts)} of {si.watts(diode.most_watts)} of heat",
                width,
            )
        )
    columns = [TextColumn("lamp"), TextColumn("type"), *right("worst volts", "life", "hours")]
    rows = [
        (lamp.ref, lamp.type, si.volts(lamp.volts), _life(lamp.life, lamp.in_range), _hours(lamp.hours))
        for lamp in endurance.lamps
    ]
    lines += ["", table(columns, rows, width), ""]
    loads = "; ".join(
        f"{one.control} {si.amps(one.amps)}"
        + (f" of {si.amps(one.most_amps)}" if one.most_amps is not None else "")
        for one in endurance.contacts
    )
    lines.append(paragraph(f"Contacts once the lamps are hot: {loads}.", width))
    said = (
        "Life is relative to rated, did the lamp burn all its time at its worst volts, by the handbook's"
        " exponent; ~ marks volts outside 80 to 120 % of rated, where it is a trend only."
    )
    lines.append(paragraph(said, width))
    return "\n".join(lines)


def hot_words(endurance: Endurance) -> tuple[str, ...]:
    """Say of every resistor that its heat loads by more than half how hard it works."""
    return tuple(_heat(heat) for heat in endurance.resistors if heat.advised_watts is None)


def _heat(heat: ResistorHeat) -> str:
    """Say how hard a resistor works; there is one wattage, that of the parts."""
    said = f"{heat.ref}, {si.watts(heat.fitted_watts)}: {si.watts(heat.watts)} of heat at worst"
    if heat.advised_watts is not None:
        return f"{said}, half loaded at most"
    share = si.percent(heat.watts / heat.fitted_watts) if heat.fitted_watts else "all"
    return f"{said}, loaded to {share} and hot: more than half, with no larger one on offer"


def _life(life: float | None, in_range: bool) -> str:
    """Write life relative to rated."""
    if life is None:
        return "never lit"
    return f"{'' if in_range else '~'}{si.times(life)}"


def _hours(hours: float | None) -> str:
    """Write hours of life."""
    if hours is None:
        return "not published"
    return ">100,000" if hours >= 1e5 else f"{float(f'{hours:.2g}'):,.0f}"


def regulated_text(
    lamps: Sequence[Regulated], notes: Sequence[RegulationNote], states: Sequence[StateRow], width: int
) -> str:
    """Write what lamps do that codes speak of, act by act, each with what codes say of it."""
    if not lamps:
        return ""
    lines = [heading("Regulated functions", width)]
    lines.append(
        paragraph(
            "Where such a lamp serves as position, side-marker, stop or turn lamp its function is regulated."
            " This is no verdict: check the local code. What codes say, in our own words:",
            width,
        )
    )
    for act, said in ACTS_IN_WORDS.items():
        doing = [lamp for lamp in lamps if lamp.does == act]
        lines += [paragraph(f"{lamp.lamp} {said}: {said_of(states, lamp.states)}.", width) for lamp in doing]
        lines += bullets((_note(note) for note in notes if doing and note.subject == act), width)
    general = [_note(note) for note in notes if note.subject in ("any", "both")]
    if general:
        lines += [paragraph("Whatever a lamp does:", width), *bullets(general, width)]
    return "\n".join(lines)


def _note(note: RegulationNote) -> str:
    """Write one rule: where it stands, for which vehicles, and how sure we are of it."""
    regime = "any code" if note.regime == "any" else note.regime
    place = f"{regime} {note.clause}".strip()
    vehicles = f", {note.vehicles}" if note.vehicles else ""
    return f"{place}{vehicles}: {note.says} ({note.confidence} confidence)"
