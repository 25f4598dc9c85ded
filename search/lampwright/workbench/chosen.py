"""Choices that a spec leaves open, [[either]] and [[code]]: what a document says of them, and its changes.

No source: our format.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lampwright.spec.levels import ANY
from lampwright.spec.model import OFF, SOUND, BehaviourRow
from lampwright.workbench.asked import (
    AskedSpec,
    asked_of,
    positions_of,
    row_asked,
    setting_asked,
    table_in,
    tables_of,
    texts_of,
)
from lampwright.workbench.change import Change, refused
from lampwright.workbench.toml_edit import (
    Document,
    Edit,
    inline,
    new_row,
    one_a_line,
    put_inside,
    remove_row,
    row_at,
)

WORDS = ("off", "lit")
"""What lamps of a code show where it does not say."""
OFFERED = ("dark", "off", "dim", "lit", "full")


@dataclass(frozen=True)
class AlternativeRow:
    """A row of an alternative: its key for changes, the settings meant, what it shows, what has failed."""

    key: str
    when: Mapping[str, str]
    show: Mapping[str, str]
    failures: str


@dataclass(frozen=True)
class EitherView:
    """A choice: alternatives, each of rows that hold together."""

    number: int
    alternatives: tuple[tuple[AlternativeRow, ...], ...]


@dataclass(frozen=True)
class CodeView:
    """Lamps that tell settings apart: those of a control, or the ones listed, in words."""

    number: int
    lamps: tuple[str, ...]
    words: tuple[str, ...]
    control: str
    listed: tuple[str, ...]
    when: Mapping[str, str]
    may_be_blank: bool


def either_views(document: Mapping[str, Any]) -> tuple[EitherView, ...]:
    """The choices of alternatives."""
    controls = [control.name for control in asked_of(document).controls]
    found = []
    for number, either in enumerate(tables_of(document, "either"), 1):
        options = tables_of(either, "rows") if isinstance(either, Mapping) else ()
        alternatives = tuple(
            tuple(
                _alternative(f"{i},{j}", row_asked(j, row, controls))
                for j, row in enumerate(option if isinstance(option, list) else [option], 1)
            )
            for i, option in enumerate(options, 1)
        )
        found.append(EitherView(number, alternatives))
    return tuple(found)


def _alternative(key: str, row: BehaviourRow) -> AlternativeRow:
    failures = "" if row.failures == SOUND else str(row.failures)
    return AlternativeRow(key, dict(row.when), dict(row.show), failures)


def code_views(document: Mapping[str, Any]) -> tuple[CodeView, ...]:
    """The codes."""
    controls = [control.name for control in asked_of(document).controls]
    found = []
    for number, code in enumerate(tables_of(document, "code"), 1):
        table = code if isinstance(code, Mapping) else {}
        settings = [
            setting_asked(one, controls) for one in tables_of(table, "tell_apart") if isinstance(one, Mapping)
        ]
        control = table.get("control")
        found.append(
            CodeView(
                number=number,
                lamps=texts_of(table.get("lamps")),
                words=texts_of(table.get("words")) or WORDS,
                control=control if isinstance(control, str) else "",
                listed=tuple(", ".join(f"{name} {position}" for name, position in one) for one in settings),
                when=dict(setting_asked(table_in(table, "when"), controls)),
                may_be_blank=table.get("blank") is not False,
            )
        )
    return tuple(found)


def add_choice(document: Document, change: Change) -> None:
    """A new choice of the first lamps: key is `either` or `code`. Raises InputError for want of things."""
    asked = asked_of(document)
    if not asked.filaments or not asked.controls:
        raise refused("choice", "there is no lamp or no feed yet", "add them first")
    when = _first_on(asked)
    if change.key == "code":
        new_row(document, "code", {"lamps": asked.filaments[:1], "control": asked.controls[0].name})
        return
    shown = [{name: "lit"} for name in asked.filaments[:2]]
    shown = shown if len(shown) > 1 else [{asked.filaments[0]: word} for word in ("lit", "off")]
    new_row(document, "either", {"rows": one_a_line([{"when": when, "show": show} for show in shown])})


def _first_on(asked: AskedSpec) -> dict[str, str]:
    """The first control in its first position that is not off."""
    control = asked.controls[0]
    return {control.name: next((one for one in positions_of(control) if one != OFF), OFF)}


def edit_code(document: Document, change: Change) -> None:
    """A field of the code at its number: key names it, and which word or control of it."""
    row = row_at(document, "code", change.at)
    field, _, of = change.key.partition(" ")
    match field:
        case "more" | "less":
            lamps = [one for one in texts_of(row.get("lamps")) if one != change.value]
            row["lamps"] = inline([*lamps, change.value] if field == "more" else lamps)
        case "control":
            row.pop("tell_apart", None)
            row["control"] = inline(change.value)
        case "word":
            said = set(texts_of(row.get("words")) or WORDS)
            said = said | {of} if change.value == "true" else said - {of}
            row["words"] = inline([word for word in OFFERED if word in said])
        case "blank":
            row["blank"] = inline(change.value == "true")
        case "when":
            put_inside(row, "when", of, change.value or None)
        case _:
            raise refused("code", f"it has no {change.key}", "load the page again")


def edit_either(document: Document, change: Change) -> None:
    """What an alternative asks: key is its row, name a lamp or control, value the word or position."""
    rows = row_at(document, "either", change.at).get("rows")
    i, j = _numbers(change.key)
    option = rows[i - 1] if isinstance(rows, list) and 0 < i <= len(rows) else None
    inner = option[j - 1] if isinstance(option, list) and 0 < j <= len(option) else option
    if not isinstance(inner, Mapping):
        raise refused("either", "there is no such alternative any more", "look at the page as it is now")
    if change.name in asked_of(document).filaments:
        put_inside(inner, "show", change.name, None if change.value == ANY else change.value)
    else:
        put_inside(inner, "when", change.name, change.value or None)


def _numbers(key: str) -> tuple[int, ...]:
    words = key.split(",")
    return tuple(map(int, words)) if len(words) == 2 and all(map(str.isdecimal, words)) else (0, 0)


def more_alternatives(document: Document, change: Change) -> None:
    """Another alternative in a choice, of the settings of the one before."""
    either, asked = row_at(document, "either", change.at), asked_of(document)
    before = either_views(document)[int(change.at) - 1].alternatives
    when = before[-1][-1].when if before and before[-1] else _first_on(asked)
    either["rows"].append(inline({"when": when, "show": {asked.filaments[0]: "lit"}}))


def fewer_alternatives(document: Document, change: Change) -> None:
    """One alternative less in a choice: that of this number."""
    rows = row_at(document, "either", change.at).get("rows")
    if not change.value.isdecimal() or not 0 < int(change.value) <= len(rows):
        raise refused("either", "there is no such alternative any more", "look at the page as it is now")
    del rows[int(change.value) - 1]


def remove_choice(document: Document, change: Change) -> None:
    """Take a choice away: name is its table, at its number."""
    if change.name not in ("either", "code"):
        raise refused("choice", "there is none of this kind", "load the page again")
    remove_row(document, change.name, change.at)


EDITS: Mapping[str, Edit] = {
    "choice.add": add_choice,
    "choice.remove": remove_choice,
    "code.edit": edit_code,
    "either.edit": edit_either,
    "either.more": more_alternatives,
    "either.less": fewer_alternatives,
}
