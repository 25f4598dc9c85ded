"""An own circuit that is not saved yet, kept beside the spec as `NAME.toml.own.unsaved`.

It is kept after every change, also while its parts make no circuit yet, and so is no circuit file. A page
that is closed, or a program that dies, loses nothing. No source: our rules.
"""

import contextlib

import msgspec

from lampwright.errors import Finding, InputError
from lampwright.network.circuit import Part
from lampwright.store.files import StoreError, write_bytes
from lampwright.workbench.desk import REMEDY, UNSAVED, Desk
from lampwright.workbench.own import MOST_PARTS, OwnCircuit

MOST_BYTES = 2**16


def kept_name(desk: Desk) -> str:
    """The name of the file, which stands beside the spec."""
    return f"{desk.place.name}.own{UNSAVED}"


def keep(own: OwnCircuit, desk: Desk) -> None:
    """Keep the parts, or let go of what was kept once a file has them. Raises StoreError."""
    path = desk.place.with_name(kept_name(desk))
    if not desk.folder.holds(path):
        raise StoreError(Finding(path.name, "a link leads from it out of the folder", "take it away"))
    if own.parts == own.saved:
        with contextlib.suppress(OSError):
            path.unlink(missing_ok=True)
    else:
        write_bytes(path, msgspec.json.encode(own.parts), REMEDY)


def recovered(desk: Desk) -> OwnCircuit:
    """The circuit that was not saved the last time, or none. Raises InputError where it cannot be read."""
    path = desk.place.with_name(kept_name(desk))
    if not path.exists() or not desk.folder.holds(path):
        return OwnCircuit()
    try:
        with path.open("rb") as stream:
            parts = msgspec.json.decode(stream.read(MOST_BYTES), type=tuple[Part, ...])
    except (OSError, msgspec.DecodeError, UnicodeDecodeError):
        said = "what was kept of your own circuit cannot be read"
        raise InputError([Finding(path.name, said, "take the file away")]) from None
    return OwnCircuit(parts=parts[:MOST_PARTS])
