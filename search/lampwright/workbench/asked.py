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
from lampwright.spec.states import PhasedSetting, closed_contacts, moments


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
    controls = tuple(_controls(_table(document, "controls")))
    return AskedSpec(
        controls=controls,
        lamps=tuple(_lamps(_table(document, "lamps"))),
        rows=tuple(_rows(document, [control.name for control in controls])),
        always_live=_table(document, "supply").get("always_live") is True,
    )


def _table(holder: object, key: str) -> Mapping[str, Any]:
    inner = holder.get(key) if isinstance(holder, Mapping) else None
    return inner if isinstance(inner, Mapping) else {}


def _texts(said: object) -> tuple[str, ...]:
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
            positions = tuple(_positions(_table(table, "positions")))
            yield Control(name, "positions", None, positions or (Position(OFF, ()),), most)
        else:
            known: ControlKind = "flasher" if kind == "flasher" else "switch"
            yield switch(name, feed if isinstance(feed, str) else "", known, most)


def _positions(table: Mapping[str, Any]) -> Iterator[Position]:
    for name, pairs in table.items():
        some = pairs if isinstance(pairs, list) else ()
        ends = tuple(_texts(pair) for pair in some)
        yield Position(name, tuple((pair[0], pair[1]) for pair in ends if len(pair) == 2))


def _lamps(tables: Mapping[str, Any]) -> Iterator[Lamp]:
    for name, table in tables.items():
        if isinstance(table, Mapping):
            common = table.get("common")
            yield Lamp(
                name,
                _texts(table.get("choose")),
                _texts(table.get("filaments")) or (name,),
                common if isinstance(common, str) else None,
            )


def _rows(document: Mapping[str, Any], controls: Sequence[str]) -> Iterator[BehaviourRow]:
    rows = document.get("behaviour")
    keys = [key for key in FAILURES if key not in controls]
    for number, row in enumerate(rows if isinstance(rows, list) else (), 1):
        when, show = _table(row, "when"), _table(row, "show")
        failed = {key: _texts(when[key]) for key in keys if key in when}
        yield BehaviourRow(
            number=number,
            when=tuple((k, v) for k, v in when.items() if k not in keys and isinstance(v, str)),
            show=tuple((k, v) for k, v in show.items() if isinstance(v, str)),
            failures=Failures(**failed),
        )


@dataclass(frozen=True)
class BoxLine:
    """A type that lies, or may lie, in the builder's box: lamps or diodes, and how many; None: not said."""

    kind: str
    type: str
    have: int | None


def box_of(document: Mapping[str, Any]) -> tuple[BoxLine, ...]:
    """The types that are tried, and those that the box has besides."""
    extras, stock = _table(document, "extras"), _table(document, "stock")
    helpers = _texts(_table(extras, "lamps").get("choose"))
    tried = {
        "lamps": [*(one for lamp in asked_of(document).lamps for one in lamp.choose), *helpers],
        "diodes": _texts(_table(extras, "diodes").get("choose")),
    }
    return tuple(
        BoxLine(kind, one, have if isinstance(have := _table(stock, kind).get(one), int) else None)
        for kind, types in tried.items()
        for one in dict.fromkeys((*types, *_table(stock, kind)))
    )


def positions_of(control: Control) -> tuple[str, ...]:
    """The names of a control's positions."""
    return tuple(one.name for one in control.positions) or (OFF, ON)
