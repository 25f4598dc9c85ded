"""A change that the page asks for, as it comes from the browser.

do: which change. name: of the control, lamp or part it is about. key: which of its fields, or what else
is named. at: the row of the board, as `board.row_key` wrote it. value: what was typed or chosen.
No source: our format.
"""

import msgspec

from lampwright.errors import Finding, InputError, one_line

MOST_BYTES = 1024 * 1024 + 64 * 1024
"""A spec of the greatest size there may be, and what goes with it."""
MOST_VALUE = 1024 * 1024


class Change(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One change, or one thing to do."""

    do: str
    name: str = ""
    key: str = ""
    at: str = ""
    value: str = ""


def refused(place: str, said: str, remedy: str) -> InputError:
    """What is raised for a change that cannot be."""
    return InputError([Finding(one_line(place), said, remedy)])


def change_of(body: bytes) -> Change:
    """Read a change. Raises InputError for anything else."""
    try:
        change = msgspec.json.decode(body, type=Change)
    except (msgspec.DecodeError, RecursionError, UnicodeDecodeError):
        raise refused("change", "this is none", "load the page again") from None
    if len(change.value) > MOST_VALUE or max(map(len, (change.do, change.name, change.key))) > 200:
        raise refused("change", "it is too long", "type less")
    if any(0xD800 <= ord(one) < 0xE000 for field in (change.name, change.key, change.value) for one in field):
        raise refused("change", "it has characters that are none", "type it again")
    return change


def number_of(change: Change, unit: str) -> float | int | None:
    """The number typed; None where the field was emptied. Raises InputError for anything else."""
    text = change.value.strip().replace(",", ".")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        raise refused(
            change.key or change.do, f'"{text[:40]}" is no number of {unit}', "write figures, as 13.5"
        ) from None
    if not abs(value) < 1e9:
        raise refused(change.key or change.do, f"{text[:40]} is too large", "write a smaller number")
    return int(value) if value.is_integer() else value
