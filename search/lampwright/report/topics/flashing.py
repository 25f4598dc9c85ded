"""How a design flashes, as text: who keeps up with the flasher, and what contacts close onto.

Rates named: 60 to 120 flashes a minute (UN R48 6.5.9, clause from memory; UK inspection
manual, S63). No source for the layout.
"""

from collections.abc import Iterable, Iterator

from lampwright.report import si
from lampwright.report.layout import TextColumn, bullets, folding, heading, join, paragraph, right, table
from lampwright.results.care import Flashing, FlashLamp, FlashPhase
from lampwright.words import listed

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
        lead = "Cold filaments at the contacts: "
        parts.append(paragraph(f"{inrush_words(flashing)}.", width, lead))
    return join(parts)


def inrush_words(flashing: Flashing) -> str:
    """What each control closes onto while the filaments are cold, and once they are warm."""
    return "; ".join(
        f"{row.control}: {si.amps(row.cold_amps)} as it closes, {si.amps(row.settled_amps)} once warm"
        for row in flashing.inrush
    )


def flash_rows(flashing: Flashing) -> list[tuple[str, ...]]:
    """Each lamp that must change with the flasher or is late: asked, with, rate, and when it is as asked."""
    return [
        (
            row.lamp,
            row.word,
            row.setting,
            f"{row.flashes_per_minute:g} a minute",
            "yes" if row.keeps_up else "NO",
            _after(row.closed),
            _after(row.open),
        )
        for row in flashing.lamps
        if row.word not in STEADY or not row.keeps_up
    ]


def _after(phase: FlashPhase | None) -> str:
    """Say how long into a phase a lamp is as asked; nothing is asked where there is no phase."""
    if phase is None:
        return "nothing asked"
    if phase.seconds_to_band is None:
        return f"not in time ({si.percent(phase.final_flux)} at the end)"
    return f"after {1000.0 * phase.seconds_to_band:.0f}{si.SPACE}ms"


def late_words(flashing: Flashing) -> str:
    """Say in a sentence which lamps do not keep up with the flasher; nothing where no lamp is asked to."""
    if not flashing.lamps:
        return ""
    late = tuple(_late([row for row in flashing.lamps if not row.keeps_up]))
    if not late:
        return f"Every lamp keeps up at {_rates(flashing)} flashes a minute."
    more = f"; and {len(late) - 1} more" if late[1:] else ""
    return f"Not in time: {late[0]}{more}."


def _rates(flashing: Flashing) -> str:
    return listed([f"{rate:g}" for rate in sorted({row.flashes_per_minute for row in flashing.lamps})])


def _verdict(flashing: Flashing, width: int) -> str:
    told = _rates(flashing)
    late = [row for row in flashing.lamps if not row.keeps_up]
    share = f"contact closed {si.percent(flashing.on_share)} of the time"
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
    columns = [*folding("setting"), TextColumn("lamp"), TextColumn("asked")]
    columns += right("closed: there after", "open: there after")
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
