"""Lamps that are compared, [[same]] and [[brighter]]: what a document says of them, and its changes.

What has not its shape is passed over here, as on the board: the findings say it. No source: our format.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lampwright.spec.model import OFF, Failures
from lampwright.spec.states import Setting
from lampwright.workbench.asked import (
    asked_of,
    failures_asked,
    positions_of,
    setting_asked,
    table_in,
    tables_of,
    texts_of,
)
from lampwright.workbench.change import Change, number_of, refused
from lampwright.workbench.toml_edit import Document, Edit, inline, new_row, put_inside, remove_row, row_at

PERCENT = 100.0
DIGITS = 6


@dataclass(frozen=True)
class ComparedLamps:
    """A row of comparison: lamps that must be alike, or the brighter one first; share [%] or how many times.

    when, versus: the controls named, with their positions; failures: what has failed, in words.
    """

    number: int
    lamps: tuple[str, ...]
    by: float | None
    when: Mapping[str, str]
    versus: Mapping[str, str]
    failures: str


def same_rows(document: Mapping[str, Any]) -> tuple[ComparedLamps, ...]:
    """The rows of lamps that must be equally bright."""
    return tuple(
        _compared(document, number, row, texts_of(table.get("lamps")), _number(table, "within", PERCENT))
        for number, row in enumerate(tables_of(document, "same"), 1)
        for table in (row if isinstance(row, Mapping) else {},)
    )


def brighter_rows(document: Mapping[str, Any]) -> tuple[ComparedLamps, ...]:
    """The rows of a lamp that must be brighter; with itself where it stands alone."""
    return tuple(
        _compared(document, number, row, lamps, _number(table, "by"))
        for number, row in enumerate(tables_of(document, "brighter"), 1)
        for table in (row if isinstance(row, Mapping) else {},)
        for lamps in ((*texts_of(table.get("lamp")), *texts_of(table.get("than"))),)
    )


def _compared(
    document: Mapping[str, Any], number: int, row: object, lamps: tuple[str, ...], by: float | None
) -> ComparedLamps:
    controls = [control.name for control in asked_of(document).controls]
    when, versus = table_in(row, "when"), table_in(row, "versus")
    failed = (failures_asked(when, controls), failures_asked(versus, controls))
    said = [str(one) for one in failed if one != Failures()]
    return ComparedLamps(
        number,
        lamps,
        by,
        dict(setting_asked(when, controls)),
        dict(setting_asked(versus, controls)),
        "; compared with ".join(said),
    )


def _number(table: Mapping[str, Any], key: str, scale: float = 1.0) -> float | None:
    said = table.get(key)
    if isinstance(said, bool) or not isinstance(said, int | float):
        return None
    return round(said * scale, DIGITS)


def add_comparison(document: Document, change: Change) -> None:
    """A new comparison of the first lamps: key is its table. Raises InputError where there are too few."""
    asked = asked_of(document)
    lamps = list(asked.filaments[:2])
    if change.key == "same" and len(lamps) == 2:
        new_row(document, "same", {"lamps": lamps, "within": 0.1})
    elif change.key == "brighter" and len(lamps) == 2:
        new_row(document, "brighter", {"lamp": lamps[0], "than": lamps[1], "by": 2})
    elif change.key == "brighter" and lamps and asked.controls:
        control = asked.controls[0]
        other = next((one for one in positions_of(control) if one != OFF), OFF)
        settings: dict[str, Setting] = {"when": ((control.name, other),), "versus": ((control.name, OFF),)}
        said = {"lamp": lamps[0], **{key: dict(pairs) for key, pairs in settings.items()}, "by": 2}
        new_row(document, "brighter", said)
    else:
        raise refused("comparison", "there are no two lamps yet", "add lamps first")


def edit_comparison(document: Document, change: Change) -> None:
    """A field of a comparison: name is its table, at its number, key the field and which control of it."""
    if change.name not in ("same", "brighter"):
        raise refused("comparison", "there is none of this kind", "load the page again")
    row = row_at(document, change.name, change.at)
    field, _, control = change.key.partition(" ")
    match (change.name, field):
        case (_, "when") | ("brighter", "versus"):
            put_inside(row, field, control, change.value or None)
        case ("same", "more" | "less"):
            lamps = [one for one in texts_of(row.get("lamps")) if one != change.value]
            row["lamps"] = inline([*lamps, change.value] if field == "more" else lamps)
        case ("same", "within"):
            row["within"] = inline(round((number_of(change, "percent") or 0) / PERCENT, DIGITS))
        case ("brighter", "by"):
            row["by"] = inline(number_of(change, "times") or 0)
        case ("brighter", "lamp"):
            row["lamp"] = inline(change.value)
        case ("brighter", "than") if change.value:
            row["than"] = inline(change.value)
        case ("brighter", "than"):
            row.pop("than", None)
        case _:
            raise refused("comparison", f"it has no {change.key}", "load the page again")


def remove_comparison(document: Document, change: Change) -> None:
    """Take a comparison away: name is its table, at its number."""
    if change.name not in ("same", "brighter"):
        raise refused("comparison", "there is none of this kind", "load the page again")
    remove_row(document, change.name, change.at)


EDITS: Mapping[str, Edit] = {
    "compare.add": add_comparison,
    "compare.edit": edit_comparison,
    "compare.remove": remove_comparison,
}
