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
import tomllib
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import Any

from lampwright.errors import Finding, InputError
from lampwright.spec.build import build_spec
from lampwright.spec.coherence import coherence_findings
from lampwright.spec.format import VERSION, spec_schema
from lampwright.spec.model import Spec
from lampwright.spec.references import reference_findings
from lampwright.spec.sifting import Sieve
from lampwright.spec.wording import FilePlace, shown

MOST_BYTES = 1024 * 1024
_TOLD_BY_STATES = ("supply", "controls", "lamps", "levels", "behaviour")


def load_spec(path: Path | str) -> Spec:
    """Return the spec in a file; raise InputError with all findings."""
    path = Path(path)
    return _parse(_read(path), path.stem, path.name)


def parse_spec(text: str, name: str) -> Spec:
    """Return the spec in a text; `name` is what its file's stem would be."""
    return _parse(text, name, f"{name}.toml")


def spec_of_document(document: Mapping[str, object], name: str, file: str, text: str) -> Spec:
    """Return the spec of a parsed TOML document; raise InputError with all findings."""
    place = FilePlace(file, opens=True)
    _check_version(document, place)
    sieve = Sieve(_name_findings(name))
    clean = sieve.value(spec_schema(), document, place, "write a spec")
    findings = [*sieve.findings, *reference_findings(clean, place)]
    if not any(_bears_on_states(finding, place) for finding in findings):
        told = {key: clean[key] for key in _TOLD_BY_STATES if key in clean}
        findings += coherence_findings(build_spec(told, name, ""), place)
    if findings:
        raise InputError(findings)
    return build_spec(clean, name, text)


def _read(path: Path) -> str:
    try:
        if path.exists() and not path.is_file():
            raise _one(str(path), "this is no file", "name a spec file, as tail.toml")
        with path.open("rb") as stream:
            content = stream.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise _one(
            str(path), "there is no such file", "name a spec file; lampwright new FILE writes one"
        ) from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise _one(shown(str(path)), f"cannot be read ({why})", "name a spec file you may read") from None
    if len(content) > MOST_BYTES:
        raise _one(path.name, "the file is over 1 MiB", "name a spec file; none needs to be so large")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        said = f"byte 0x{content[error.start]:02x} is not UTF-8"
        raise _one(f"{path.name}: line {line}", said, "save the file as UTF-8 text") from None


def _one(place: str, said: str, remedy: str) -> InputError:
    return InputError([Finding(place, said, remedy)])


def _parse(text: str, name: str, file: str) -> Spec:
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _toml_error(str(error), file) from None
    except (ValueError, RecursionError) as error:
        why = "is nested too deeply" if isinstance(error, RecursionError) else "has a number too long to read"
        raise _one(file, f"the file {why}", "write plain tables, as lampwright new FILE does") from None
    return spec_of_document(document, name, file, text)


def _toml_error(message: str, file: str) -> InputError:
    """Return the error of a file that is no TOML, with the place tomllib names."""
    found = re.fullmatch(r"(.*) \(at (?:line (\d+), column (\d+)|end of document)\)", message, re.DOTALL)
    what, line, column = found.groups() if found else (message, None, None)
    where = f"line {line}, column {column}" if line else "end of the file" if found else "text"
    return _one(f"{file}: {where}", f"this is no TOML ({what})", "mend this line; text stands in quotes")


def _name_findings(name: str) -> list[Finding]:
    if re.fullmatch(r"[\w+-][\w .+-]*", name) and not name.endswith((" ", ".")) and len(name) <= 100:
        return []
    said = f"{shown(name)} cannot name a folder of results"
    return [Finding("file name", said, "name the file with letters, digits, _ and -, as tail.toml")]


def _check_version(document: Mapping[str, Any], place: FilePlace) -> None:
    version = document.get("lampwright")
    if isinstance(version, int) and not isinstance(version, bool) and version != VERSION:
        raise _one(
            place.key("lampwright").text,
            f"{shown(version)} is no version of the format known here",
            f"write lampwright = {VERSION}, or use the program of that version",
        )


def _bears_on_states(finding: Finding, file: FilePlace) -> bool:
    """Whether a finding leaves the states themselves unknown; wrong rows only leave gaps."""
    tables = tuple(file.key(table).text for table in ("supply", "controls", "lamps", "levels"))
    return finding.place.startswith(tables) or finding.place == file.key("behaviour").text


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
