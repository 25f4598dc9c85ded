"""From a spec file to a `Spec`, or to every finding at once; and the commented spec to start from.

The file is read as TOML; its values are sifted against the format; names, terminals and
numbers are compared with each other; rows and contacts are looked at state by state. All
findings of all these are raised together, except that a file which is no TOML, or of
another version, can tell nothing further.

The spec that `lampwright new FILE` writes is `starter.toml` beside this module: valid as it
stands, with every table of the format. Its lines that begin with `#` and no space are optional
tables, ready for use.
"""

import re
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import Any

from lampwright.errors import FilePlace, Finding, InputError, shown
from lampwright.spec.build import build_spec, own_lamp
from lampwright.spec.coherence import coherence_findings
from lampwright.spec.format import VERSION, spec_schema
from lampwright.spec.model import OwnLamp, Spec
from lampwright.spec.references import own_lamp_findings, reference_findings
from lampwright.spec.sifting import Sieve
from lampwright.spec.ways import Ways, expand_ways, slots_of
from lampwright.toml_file import read_toml, row_lines, table_lines

MOST_BYTES = 1024 * 1024
SPEC_FILE = "a spec file, as tail.toml"
TYPES_FILE = "a file of lamps, as mylamps.toml"
FILE_NAME = "file name"
_TOLD_BY_STATES = ("supply", "controls", "lamps", "levels", "behaviour")


def load_spec(path: Path | str) -> Spec:
    """Return the spec in a file; raise InputError with all findings."""
    path = Path(path)
    text = read_text(path)
    return spec_of_document(read_toml(text, path.name), path.stem, path.name, text, path.parent)


def parse_spec(text: str, name: str) -> Spec:
    """Return the spec in a text; `name` is what its file's stem would be."""
    file = f"{name}.toml"
    return spec_of_document(read_toml(text, file), name, file, text)


def load_types(path: Path | str, *, beside_parts: bool = False) -> tuple[OwnLamp, ...]:
    """Return the lamps in a file of lamps of the user's own; raise InputError with all findings.

    beside_parts: in a circuit file, which may have none, and of which nothing else is looked at.
    """
    path = Path(path)
    clean, findings = _sifted_types(path, path.name, beside_parts=beside_parts)
    if findings:
        raise InputError(findings)
    return tuple(own_lamp(name, table) for name, table in clean.items())


def types_place(path: Path, file: str = "") -> FilePlace:
    """Return the place of lamps in a file, with the lines they begin on; file: what messages call it."""
    return FilePlace(file or path.name, ("types",), table_lines(read_text(path, TYPES_FILE)))


def spec_of_document(
    document: Mapping[str, object], name: str, file: str, text: str, folder: Path | None = None
) -> Spec:
    """Return the spec of a parsed TOML document; raise InputError with all findings.

    folder: where a file of lamps that it names is looked for.
    """
    place = FilePlace(file, lines=row_lines(text))
    _check_version(document, place)
    sieve = Sieve(_name_findings(name))
    clean = sieve.value(spec_schema(), document, place, "write a spec")
    findings = [
        *sieve.findings,
        *reference_findings(clean, place, sieve.findings),
        *_add_types(clean, place, folder),
    ]
    ways = Ways()
    if not any(_bears_on_states(finding, place) for finding in findings):
        told = {key: clean[key] for key in _TOLD_BY_STATES if key in clean}
        told["behaviour"] = [
            None if any(place.key("behaviour").row(n).key("when").holds(one) for one in findings) else row
            for n, row in enumerate(clean.get("behaviour", ()), 1)
        ]
        if "brighter" in clean and not any(map(place.key("brighter").holds, findings)):
            told["brighter"] = clean["brighter"]
        plain = build_spec(told, name, "")
        findings += coherence_findings(plain, place)
        if not findings:
            ways = expand_ways(plain, slots_of(clean), place)
            findings += [ways.finding] if ways.finding else []
    if findings:
        raise InputError(findings)
    return build_spec(clean, name, text, ways.rows)


def _add_types(clean: dict[str, Any], place: FilePlace, folder: Path | None) -> list[Finding]:
    """Put the lamps of the file that a document names to its own, and return what is wrong with them."""
    named = clean.pop("types_from", None)
    if named is None:
        return []
    at = place.key("types_from")
    if folder is None or ".." in Path(named).parts:
        why = "is above the spec's folder" if folder else "cannot be found, since this spec is no file"
        return [Finding(at, f"{shown(named)} {why}", "put the file of lamps beside the spec")]
    if not (folder / named).exists():
        said = f"there is no file {shown(named)} beside the spec"
        return [Finding(at, said, "write the lamps to it as [types.NAME], or leave types_from out")]
    try:
        more, findings = _sifted_types(folder / named, named)
    except InputError as error:
        return list(error.findings)
    own = clean.get("types", {})
    findings += [
        Finding(place.key("types", name), f"{shown(name)} stands in {named} as well", "keep one of the two")
        for name in own
        if name in more
    ]
    clean["types"] = {**own, **more}
    return findings


def _sifted_types(
    path: Path, file: str, *, beside_parts: bool = False
) -> tuple[dict[str, Any], list[Finding]]:
    """Return the sifted tables of a file of lamps, or of lamps beside parts, and the findings."""
    try:
        text = read_text(path, TYPES_FILE)
        document, place = read_toml(text, file), FilePlace(file, lines=table_lines(text))
    except InputError:
        if beside_parts:  # who reads the parts says what is wrong
            return {}, []
        raise
    if beside_parts:
        if "types" not in document:
            return {}, []
        document = {"types": document["types"]}
    schema = spec_schema()["properties"]["types"]
    whole = {
        **{"type": "object", "properties": {"types": schema}, "required": ["types"], "minProperties": 1},
        "additionalProperties": False,
    }
    sieve = Sieve()
    clean = sieve.value(whole, document, place, "write tables [types.NAME]") or {}
    types = clean.get("types", {})
    findings = [*sieve.findings, *own_lamp_findings(types, place.key("types"))]
    return types, findings


def read_text(path: Path, kind: str = SPEC_FILE) -> str:
    """Return the text of a file of this kind, as a message names it; raise InputError where it has none."""
    try:
        if path.exists() and not path.is_file():
            raise _one(str(path), "this is no file", f"name {kind}")
        with path.open("rb") as stream:
            content = stream.read(MOST_BYTES + 1)
    except FileNotFoundError:
        made = "; lampwright new FILE writes one" if kind == SPEC_FILE else ""
        remedy = f"name {kind.partition(',')[0]}{made}"
        raise _one(str(path), "there is no such file", remedy) from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise _one(shown(str(path)), f"cannot be read ({why})", "name a file you may read") from None
    if len(content) > MOST_BYTES:
        raise _one(path.name, "the file is over 1 MiB", f"name {kind}; none needs to be so large")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        said = f"byte 0x{content[error.start]:02x} is not UTF-8"
        raise _one(f"{path.name}: line {line}", said, "save the file as UTF-8 text") from None


def _one(place: FilePlace | str, said: str, remedy: str) -> InputError:
    return InputError([Finding(place, said, remedy)])


def _name_findings(name: str) -> list[Finding]:
    if re.fullmatch(r"[\w+-][\w .+-]*", name) and not name.endswith((" ", ".")) and len(name) <= 100:
        return []
    said = f"{shown(name)} cannot name a folder of results"
    return [Finding(FILE_NAME, said, "name the file with letters, digits, _ and -, as tail.toml")]


def _check_version(document: Mapping[str, Any], place: FilePlace) -> None:
    version = document.get("lampwright")
    if isinstance(version, int) and not isinstance(version, bool) and version != VERSION:
        raise _one(
            place.key("lampwright"),
            f"{shown(version)} is no version of the format known here",
            f"write lampwright = {VERSION}, or use the program of that version",
        )


def _bears_on_states(finding: Finding, file: FilePlace) -> bool:
    """Whether a finding leaves the states themselves unknown; wrong rows only leave gaps."""
    tables = map(file.key, ("supply", "controls", "lamps", "levels"))
    return finding.at == file.key("behaviour") or any(table.holds(finding) for table in tables)


def starter_text() -> str:
    """Return the text of the starting spec."""
    return (resources.files("lampwright.spec") / "starter.toml").read_text(encoding="utf-8")


def write_starter(path: Path | str) -> Path:
    """Write the starting spec to a new file and return its path; never overwrite one."""
    path = Path(path)
    place = ascii(str(path))[1:-1]
    try:
        with path.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(starter_text())
    except FileExistsError:
        said = "there is a file of this name already"
        raise _one(place, said, "name another file, or remove that one") from None
    except (OSError, ValueError) as error:
        said = f"cannot be written ({getattr(error, 'strerror', None) or error})"
        raise _one(place, said, "name a file in a folder you may write to") from None
    return path
