"""How a design flashes, as text: who keeps up with the flasher, and what contacts close onto.

Rates named: 60 to 120 flashes a minute (UN R48 6.5.9, clause from memory; UK inspection
manual, S63). No source for the layout.
"""

from collections.abc import Iterable, Iterator

from lampwright.report import si
from lampwright.report.layout import Column, bullets, heading, join, paragraph, table
from lampwright.results.flashing import Flashing, FlashLamp, FlashPhase

STEADY = ("dark", "off", "dim", "lit", "full", "any")


def flashing_text(flashing: Flashing, width: int) -> str:
    """Write how a design flashes; only the inrush where no lamp is asked to flash."""
    parts = []
    if flashing.lamps:
        parts += [
            heading("Flashing, with the filaments' own warm-up and cool-down", width),
            _verdict(flashing, width),
        ]
        parts.append(_table(flashing, width))
    if flashing.inrush:
        lines = [
            f"{r.control}: {si.amps(r.cold_amps)} as it closes, {si.amps(r.settled_amps)} once warm"
            for r in flashing.inrush
        ]
        parts.append(paragraph("; ".join(lines) + ".", width, "Cold filaments at the contacts: "))
    return join(parts)


def _verdict(flashing: Flashing, width: int) -> str:
    rates = sorted({row.flashes_per_minute for row in flashing.lamps})
    told = (
        " and ".join((", ".join(f"{rate:g}" for rate in rates[:-1]), f"{rates[-1]:g}"))
        if rates[1:]
        else f"{rates[0]:g}"
    )
    late = [row for row in flashing.lamps if not row.keeps_up]
    share = f"contact closed {flashing.on_share:.0%} of the time".replace("%", " %")
    if not late:
        return paragraph(f"Every lamp keeps up at {told} flashes a minute, {share}.", width)
    lines = bullets(_late(late), width)
    return "\n".join(
        (paragraph(f"Not every lamp keeps up at {told} flashes a minute, {share}:", width), *lines)
    )


def _grouped(rows: Iterable[tuple[tuple[str, ...], str]]) -> Iterator[tuple[str, ...]]:
    """Put rows that differ in their setting alone together, under the first setting."""
    settings: dict[tuple[str, ...], list[str]] = {}
    for told, setting in rows:
        settings.setdefault(told, []).append(setting)
    for told, where in settings.items():
        more = f" and {len(where) - 1} more" if where[1:] else ""
        yield f"{where[0]}{more}", *told


def _late(late: list[FlashLamp]) -> Iterator[str]:
    told = (((row.lamp, row.word, f"{row.flashes_per_minute:g}", _ended(row)), row.setting) for row in late)
    for setting, lamp, word, rate, ended in _grouped(told):
        yield f"{lamp} ({word}) at {rate} a minute, {setting}: {ended}"


def _ended(row: FlashLamp) -> str:
    return " and ".join(
        f"at {si.percent(phase.final_flux)} when the {name} phase ends"
        for name, phase in (("closed", row.closed), ("open", row.open))
        if phase is not None and phase.seconds_to_band is None
    )


def _table(flashing: Flashing, width: int) -> str:
    columns = (
        Column("setting", folds=True), Column("lamp"), Column("asked"),
        Column("closed: there after", "right"), Column("open: there after", "right"),
    )  # fmt: skip
    return table(columns, _rows(flashing), width)


def _rows(flashing: Flashing) -> Iterator[tuple[str, ...]]:
    """One row per lamp that must change with the flasher, times of the fastest rate."""
    fastest = max(row.flashes_per_minute for row in flashing.lamps)
    return _grouped(
        ((row.lamp, row.word, _time(row.closed), _time(row.open)), row.setting)
        for row in flashing.lamps
        if row.flashes_per_minute == fastest and row.word not in STEADY
    )


def _time(phase: FlashPhase | None) -> str:
    if phase is None:
        return ""
    if phase.seconds_to_band is None:
        return "not in time"
    return f"{1000 * phase.seconds_to_band:.0f} ms"
