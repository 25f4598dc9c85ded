"""What the lamps do, as truth tables that fold instead of growing.

One column per control, one per lamp. Settings in which the lamps do the same are one row,
and the controls that make no difference there are written as a dash: with two switches
and a lamp that only heeds the first, four settings become two rows. Where the lamps do not
fit the width, they are split over several tables, and each is folded by itself. A folded
table says exactly what the long one says: every setting is in exactly one row. No source: our layout.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import compress, pairwise

from lampwright.report.layout import GAP, TextColumn, paragraph, table
from lampwright.report.si import percent
from lampwright.results.design import LampReading, StateRow
from lampwright.words import many

ANY = "–"
PHASE = "phase"
FAULT = "fault"
NO_FAULT = "none"
STATE = "state"
UNASKED = "any"
"""The spec's word where nothing is asked."""
WIDEST_NAME = 12
LEAST_ROWS = 2

LEGEND = (
    ("lit 92 %", "asked, and kept at every corner; percent of rated light at normal supply"),
    ("(lit 92 %)", "nothing asked"),
    ("!dim 6 %", "asked and missed, at normal supply or at some corner"),
    (ANY, "this control makes no difference"),
)


@dataclass(frozen=True)
class Line:
    """Settings with the same readings: one value per control, or the dash; a cell per lamp; their numbers."""

    setting: tuple[str, ...]
    cells: tuple[str, ...]
    states: tuple[int, ...] = ()


@dataclass(frozen=True)
class TruthTable:
    """The names of the controls (and the phase), the lamps, and the folded lines."""

    controls: tuple[str, ...]
    lamps: tuple[str, ...]
    rows: tuple[Line, ...]


def state_tables(states: Sequence[StateRow], width: int) -> list[str]:
    """Draw the truth tables of a design, as many as the width asks for."""
    if not states:
        return []
    whole = unfolded(states)
    return [_draw(folded(part), width) for part in _split(whole, width)]


def short_tables(states: Sequence[StateRow], width: int, most: int) -> str:
    """Draw the truth tables in a number of lines at most; what is left out is counted below.

    Rows in which something is asked go before the others, whichever come first.
    """
    whole = "\n".join(("\n\n".join(state_tables(states, width)), *_marks(states, width)))
    if len(whole.splitlines()) <= most or not states:
        return whole
    by_lamp = zip(*(state.lamps for state in states), strict=True)
    asked = [any(one.wanted != UNASKED for one in lamp) for lamp in by_lamp]
    tables = [folded(part) for part in _split(_without(unfolded(states), asked), width)]
    while len(tables) > 1 and _room(tables, most) < LEAST_ROWS:
        tables.pop()
    # where a row is wider than the lines it takes several of them
    for rows in range(max(1, _room(tables, most)), 0, -1):
        said = "\n".join((_cut(tables, rows, states, width), *_marks(states, width)))
        if len(said.splitlines()) <= most:
            break
    return said


def _cut(tables: Sequence[TruthTable], rows: int, states: Sequence[StateRow], width: int) -> str:
    """Draw so many rows of each table of these states, and count what is left out of them."""
    shown = [_first(part, rows, states) for part in tables]
    cut = sum(len(whole.rows) - len(part.rows) for whole, part in zip(tables, shown, strict=True))
    more = len(states[0].lamps) - sum(len(part.lamps) for part in shown)
    hidden = [many(count, what) for count, what in ((cut, "row"), (more, "lamp")) if count]
    left_out = [f"… {' and '.join(hidden)} left out; --all shows them"] if hidden else []
    return "\n".join(("\n\n".join(_draw(part, width) for part in shown), *left_out))


def _room(tables: Sequence[TruthTable], most: int) -> int:
    """How many rows each of some tables may have; two lines are for what is left out, and for the marks."""
    headings = sum(1 + max(len(_name(name)) for name in (*one.controls, *one.lamps)) for one in tables)
    return (most - 2 - headings - (len(tables) - 1)) // len(tables)


def _first(part: TruthTable, rows: int, states: Sequence[StateRow]) -> TruthTable:
    """Keep some rows of a table of states, in their order, those first in which most is asked."""
    lamps = [states[line.states[0]].lamps for line in part.rows]
    asked = [sum(one.lamp in part.lamps and one.wanted != UNASKED for one in row) for row in lamps]
    kept = sorted(sorted(range(len(part.rows)), key=lambda at: (-asked[at], at))[:rows])
    return replace(part, rows=tuple(part.rows[at] for at in kept))


def _without(whole: TruthTable, kept: Sequence[bool]) -> TruthTable:
    """Keep some of the lamps, or all where that leaves none."""
    if not any(kept):
        return whole
    rows = tuple(replace(row, cells=tuple(compress(row.cells, kept))) for row in whole.rows)
    return replace(whole, lamps=tuple(compress(whole.lamps, kept)), rows=rows)


def _marks(states: Sequence[StateRow], width: int) -> tuple[str, ...]:
    """Explain the marks that stand in the tables of these states."""
    lamps = [reading for state in states for reading in state.lamps]
    said = [
        ("(in brackets) nothing is asked", any(one.meets and one.wanted == UNASKED for one in lamps)),
        ("! missed", not all(one.meets for one in lamps)),
    ]
    told = "; ".join(text for text, is_there in said if is_there)
    return (paragraph(f"{told}; % of rated light, at normal supply", width),) if told else ()


def does(reading: LampReading) -> str:
    """Say what a lamp does: `lit 98 %`, `off`."""
    return reading.level if reading.is_out else f"{reading.level} {percent(reading.flux)}"


def said_of(states: Sequence[StateRow], chosen: Iterable[str]) -> str:
    """Some of a design's states, named as in a result, in as few words as say exactly which.

    They are folded as the truth tables are: with a switch and a lamp that only heeds it,
    `brake on` stands for all its states, and `always` for every state there is.
    """
    among = set(chosen)
    if not states:
        return ""
    whole = unfolded(states)
    lines = tuple(
        Line(line.setting, ("chosen",) if state.full_name in among else ("",))
        for state, line in zip(states, whole.rows, strict=True)
    )
    short = folded(TruthTable(whole.controls, (), lines))
    return "; ".join(_setting(whole.controls, line.setting) for line in short.rows if line.cells[0])


def _setting(controls: Sequence[str], setting: Sequence[str]) -> str:
    words, phase = [], ""
    for control, value in zip(controls, setting, strict=True):
        if control == PHASE:
            phase = f" ({value})" if value else ""
        elif control == FAULT:
            words += [] if value == ANY else ["no fault" if value == NO_FAULT else value]
        elif value != ANY:
            words.append(value if control == STATE else f"{control} {value}")
    return (", ".join(words) or "always") + phase


def cell(reading: LampReading) -> str:
    """Say what a lamp does and how bright, and whether that was asked and is met."""
    said = reading.level if reading.flux < 0.001 else f"{reading.level} {percent(reading.flux)}"
    if not reading.meets:
        return f"!{said} asked {reading.wanted}"
    return f"({said})" if reading.wanted == UNASKED else said


def unfolded(states: Sequence[StateRow]) -> TruthTable:
    """Make the long table: one row per state and phase, one column where positions are not known."""
    phases, faults = (any(said) for said in zip(*((one.phase, one.damage) for one in states), strict=True))
    rows = [
        Line(
            (
                *(value for _, value in _positions(state)),
                *((state.damage or NO_FAULT,) if faults else ()),
                *((state.phase,) if phases else ()),
            ),
            tuple(cell(reading) for reading in state.lamps),
            (at,),
        )
        for at, state in enumerate(states)
    ]
    names = tuple(name for name, _ in _positions(states[0]))
    lamps = tuple(reading.lamp for reading in states[0].lamps)
    columns = (*names, *((FAULT,) if faults else ()), *((PHASE,) if phases else ()))
    return TruthTable(columns, lamps, tuple(rows))


def _positions(state: StateRow) -> tuple[tuple[str, str], ...]:
    """Give each control with its position; in results of older versions the state as it is called."""
    return state.positions or ((STATE, state.state),)


def folded(whole: TruthTable) -> TruthTable:
    """Fold settings in which the lamps do the same, the last control first."""
    rows = whole.rows
    domains = [frozenset(row.setting[column] for row in rows) for column in range(len(whole.controls))]
    before: tuple[Line, ...] = ()
    while before != rows:
        before = rows
        for column in reversed(range(len(whole.controls))):
            if whole.controls[column] == PHASE:
                # A phase that makes no difference is written like no phase at all.
                rows = _fold(rows, column, domains[column] - {""}, "")
            else:
                rows = _fold(rows, column, domains[column], ANY)
    return replace(whole, rows=rows)


def _fold(rows: tuple[Line, ...], column: int, domain: frozenset[str], folded_to: str) -> tuple[Line, ...]:
    """Fold one column wherever all its values stand beside otherwise equal rows."""
    if len(domain) < 2:
        return rows
    wider = [((*row.setting[:column], folded_to, *row.setting[column + 1 :]), row.cells) for row in rows]
    alike: dict[tuple[tuple[str, ...], tuple[str, ...]], set[str]] = {}
    for key, row in zip(wider, rows, strict=True):
        alike.setdefault(key, set()).add(row.setting[column])
    kept: dict[tuple[tuple[str, ...], tuple[str, ...]], tuple[int, ...]] = {}
    for key, row in zip(wider, rows, strict=True):
        own = key if alike[key] == domain else (row.setting, row.cells)
        kept[own] = (*kept.get(own, ()), *row.states)
    return tuple(Line(setting, cells, tuple(sorted(states))) for (setting, cells), states in kept.items())


def _split(whole: TruthTable, width: int) -> list[TruthTable]:
    """Split the lamps so that each table keeps to the width, in tables of nearly equal size."""
    left = width - sum(
        _wide(name, (row.setting[place] for row in whole.rows)) + GAP
        for place, name in enumerate(whole.controls)
    )
    wide = [
        _wide(lamp, (row.cells[place] for row in whole.rows)) + GAP for place, lamp in enumerate(whole.lamps)
    ]
    tables = 1
    while tables < len(wide) and any(sum(wide[part]) > left + GAP for part in _parts(len(wide), tables)):
        tables += 1
    return [_lamps(whole, part) for part in _parts(len(wide), tables)]


def _parts(count: int, into: int) -> list[slice]:
    """Cut a sequence into a number of nearly equal parts."""
    ends = [count * number // into for number in range(into + 1)]
    return [slice(start, end) for start, end in pairwise(ends)]


def _lamps(whole: TruthTable, part: slice) -> TruthTable:
    """Keep some of the lamps."""
    rows = tuple(replace(row, cells=row.cells[part]) for row in whole.rows)
    return replace(whole, lamps=whole.lamps[part], rows=rows)


def _wide(name: str, entries: Iterable[str]) -> int:
    """Tell how wide a column must be."""
    return max(*(len(line) for line in _name(name)), *(len(entry) for entry in entries))


def _name(name: str) -> list[str]:
    """Cut a long name into lines, at its underscores and hyphens where it has any."""
    lines = [""]
    for piece in name.replace("_", "_\0").replace("-", "-\0").replace(" ", "\0").split("\0"):
        if lines[-1] and len(lines[-1]) + len(piece) > WIDEST_NAME:
            lines.append("")
        lines[-1] += piece
    return [
        line[start : start + WIDEST_NAME]
        for line in lines
        for start in range(0, max(1, len(line)), WIDEST_NAME)
    ]


def _draw(part: TruthTable, width: int) -> str:
    """Draw one table."""
    settings_fold = part.controls[:1] == (STATE,)
    columns = [TextColumn("\n".join(_name(name)), folds=settings_fold) for name in part.controls]
    columns += [TextColumn("\n".join(_name(lamp))) for lamp in part.lamps]
    return table(columns, [(*row.setting, *row.cells) for row in part.rows], width)
