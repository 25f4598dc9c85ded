"""What is wrong with a spec as it is written, and with the lamps that it names: told without the solver.

So a slip in a file waits for no library, and on the first run for no compiler.
"""

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from lampwright.errors import FilePlace, Finding, InputError
from lampwright.parts.catalogue import LampType, diode_type
from lampwright.parts.tables import UnknownPart
from lampwright.solve.shelf import Shelf, same_type
from lampwright.spec.load import load_spec, read_text
from lampwright.spec.model import Lamp, Spec
from lampwright.toml_file import read_toml


def load_alone(path: Path) -> Spec:
    """Load a spec; where that cannot be, its types are held against the catalogue too.

    Raises InputError with the findings of both.
    """
    try:
        return load_spec(path)
    except InputError as error:
        raise InputError([*error.findings, *types_misread(_document(path), path.name)]) from None


def _document(path: Path) -> Mapping[str, Any]:
    """What a file says, if it is TOML at all."""
    try:
        return read_toml(read_text(path), path.name)
    except InputError:
        return {}


def types_misread(document: Mapping[str, Any], file: str) -> list[Finding]:
    """Types that do not fit, in a document that is no spec for other reasons."""
    try:
        system = document["supply"]["system"]
        offered = [
            Lamp(name, tuple(lamp["choose"]), tuple(lamp.get("filaments", [name])))
            for name, lamp in document["lamps"].items()
            if isinstance(lamp["choose"], list) and all(isinstance(kind, str) for kind in lamp["choose"])
        ]
    except (KeyError, TypeError, AttributeError):
        return []
    plain = isinstance(system, int | float) and 1.0 <= system <= 60.0
    if not plain or "types" in document or "types_from" in document:
        return []
    shelf = Shelf(system)
    return [
        finding
        for lamp in offered
        for finding in lamp_findings(lamp, shelf, FilePlace(file).key("lamps", lamp.name))
    ]


def known_types(names: Sequence[str], shelf: Shelf) -> list[LampType]:
    """The types of those names that have one."""
    found = []
    for name in names:
        with suppress(UnknownPart):
            found.append(shelf.lamp(name))
    return found


def named_twice(kinds: Sequence[LampType], place: FilePlace) -> list[Finding]:
    """Findings for types that are others again, under another spelling."""
    return [
        Finding(place, f'"{kind.name}" is {before.name} again', "keep one of the two")
        for at, kind in enumerate(kinds)
        for before in kinds[:at]
        if same_type(before, kind)
    ]


def unknown_lamps(choose: Sequence[str], shelf: Shelf, place: FilePlace) -> list[Finding]:
    """Findings for lamp types that are not on the shelf."""
    return _unknown(choose, shelf.lamp, place, "lamps")


def unknown_diodes(choose: Sequence[str], place: FilePlace) -> list[Finding]:
    """Findings for diode types that are not in the catalogue."""
    return _unknown(choose, diode_type, place, "diodes")


def _unknown(
    names: Sequence[str], look_up: Callable[[str], object], place: FilePlace, kind: str
) -> list[Finding]:
    findings = []
    for name in names:
        try:
            look_up(name)
        except UnknownPart as error:
            findings.append(Finding(place, str(error), f"`lampwright parts` lists the {kind}"))
    return findings


def lamp_findings(lamp: Lamp, shelf: Shelf, place: FilePlace) -> list[Finding]:
    """What of a lamp's types is not on the shelf, or does not fit its filaments."""
    findings = unknown_lamps(lamp.choose, shelf, place.key("choose"))
    known = known_types(lamp.choose, shelf)
    findings += named_twice(known, place.key("choose"))
    for kind in known:
        if len(kind.filaments) != len(lamp.filaments):
            has = f"{len(kind.filaments)} filament{'s' * (len(kind.filaments) > 1)}"
            said = f"{kind.name} has {has}, but the spec has {len(lamp.filaments)}"
            remedy = 'name both, major first: filaments = ["stop", "tail"]'
            if lamp.is_helper:
                said, remedy = (
                    f"{kind.name} has {has}, and a helper lamp one",
                    "choose types with one filament",
                )
            elif lamp.filaments == (lamp.name,):
                said = f"{kind.name} has {has}, and `filaments` is forgotten"
            elif len(kind.filaments) == 1:
                remedy = "leave `filaments` out"
            findings.append(Finding(place.key("choose"), said, remedy))
    if len({kind.shared_contact for kind in known if len(kind.filaments) > 1}) > 1:
        said = "some of these types share a contact between filaments and some have four leads"
        findings.append(Finding(place.key("choose"), said, "keep to one kind of cap, or write two specs"))
    return findings
