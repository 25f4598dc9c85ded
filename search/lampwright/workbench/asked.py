"""What a document asks, as far as it can be read: a board is shown of a spec that is not finished, or wrong.

Whatever has not its shape is passed over here; that it is wrong the findings say, which come from reading
the same text as the commands do. No source: our rules.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lampwright.spec.model import (
    FAILURES,
    OFF,
    ON,
    SUPPLY,
    BehaviourRow,
    Control,
    ControlKind,
    Failures,
    Lamp,
    Position,
    switch,
)
from lampwright.spec.states import PhasedSetting, Setting, closed_contacts, moments

TableSaid = Mapping[str, Any]
"""What a table of a document says, whatever that is."""


@dataclass(frozen=True)
class AskedSpec:
    """The controls, lamps and rows of a document; rows keep their numbers."""

    controls: tuple[Control, ...]
    lamps: tuple[Lamp, ...]
    rows: tuple[BehaviourRow, ...]
    always_live: bool

    @property
    def filaments(self) -> tuple[str, ...]:
        """The names that rows use, major filament first."""
        return tuple(dict.fromkeys(name for lamp in self.lamps for name in lamp.filaments))

    def is_dead(self, moment: PhasedSetting) -> bool:
        """Whether nothing is live at a moment, so that nothing need be asked."""
        contacts = closed_contacts(self.controls, moment)
        return not self.always_live and not any(SUPPLY in (one.a, one.b) for one in contacts)

    def moments(self) -> tuple[PhasedSetting, ...]:
        """Every setting of the sound circuit with its phases."""
        return tuple(moments(self.controls))


def asked_of(document: Mapping[str, Any]) -> AskedSpec:
    """Read what can be read of a document."""
    controls = tuple(_controls(table_in(document, "controls")))
    return AskedSpec(
        controls=controls,
        lamps=tuple(_lamps(table_in(document, "lamps"))),
        rows=tuple(_rows(document, [control.name for control in controls])),
        always_live=table_in(document, "supply").get("always_live") is True,
    )


def table_in(holder: object, key: str) -> TableSaid:
    """The table under a key, empty where there is none."""
    inner = holder.get(key) if isinstance(holder, Mapping) else None
    return inner if isinstance(inner, Mapping) else {}


def texts_of(said: object) -> tuple[str, ...]:
    """The texts in a list, or one alone; what is none is left out."""
    some = (said,) if isinstance(said, str) else said if isinstance(said, list) else ()
    return tuple(one for one in some if isinstance(one, str))


def _controls(tables: Mapping[str, Any]) -> Iterator[Control]:
    for name, table in tables.items():
        if not isinstance(table, Mapping):
            continue
        amps = table.get("most_amps")
        most = float(amps) if isinstance(amps, int | float) and not isinstance(amps, bool) else None
        kind, feed = table.get("kind"), table.get("feed")
        if kind == "positions":
            positions = tuple(_positions(table_in(table, "positions")))
            yield Control(name, "positions", None, positions or (Position(OFF, ()),), most)
        else:
            known: ControlKind = "flasher" if kind == "flasher" else "switch"
            yield switch(name, feed if isinstance(feed, str) else "", known, most)


def _positions(table: Mapping[str, Any]) -> Iterator[Position]:
    for name, pairs in table.items():
        some = pairs if isinstance(pairs, list) else ()
        ends = tuple(texts_of(pair) for pair in some)
        yield Position(name, tuple((pair[0], pair[1]) for pair in ends if len(pair) == 2))


def _lamps(tables: Mapping[str, Any]) -> Iterator[Lamp]:
    for name, table in tables.items():
        if isinstance(table, Mapping):
            common = table.get("common")
            yield Lamp(
                name,
                texts_of(table.get("choose")),
                texts_of(table.get("filaments")) or (name,),
                common if isinstance(common, str) else None,
            )


def tables_of(document: Mapping[str, Any], key: str) -> tuple[object, ...]:
    """The rows of a list of tables, whatever they hold; none where it is no list."""
    rows = document.get(key)
    return tuple(rows) if isinstance(rows, list) else ()


def _rows(document: Mapping[str, Any], controls: Sequence[str]) -> Iterator[BehaviourRow]:
    for number, row in enumerate(tables_of(document, "behaviour"), 1):
        yield row_asked(number, row, controls)


def row_asked(number: int, row: object, controls: Sequence[str]) -> BehaviourRow:
    """A row of behaviour, or of an alternative, as far as it can be read."""
    when, show = table_in(row, "when"), table_in(row, "show")
    return BehaviourRow(
        number=number,
        when=setting_asked(when, controls),
        show=tuple((k, v) for k, v in show.items() if isinstance(v, str)),
        failures=failures_asked(when, controls),
    )


def setting_asked(when: Mapping[str, Any], controls: Sequence[str]) -> Setting:
    """The controls that a `when` names, with their positions."""
    keys = [key for key in FAILURES if key not in controls]
    return tuple((k, v) for k, v in when.items() if k not in keys and isinstance(v, str))


def failures_asked(when: Mapping[str, Any], controls: Sequence[str]) -> Failures:
    """What has failed by a `when`."""
    return Failures(**{key: texts_of(when[key]) for key in FAILURES if key not in controls and key in when})


def positions_of(control: Control) -> tuple[str, ...]:
    """The names of a control's positions."""
    return tuple(one.name for one in control.positions) or (OFF, ON)
