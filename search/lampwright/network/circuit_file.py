"""Circuit files: `[[part]]` rows in TOML, read with every finding, and written.

A file may bring lamps of its own besides, [types.NAME] as in a spec.

[[part]]
ref = "side"
kind = "filament"
lamp = "side"
type = "W2.3W"
from = "54"
to = "49a"
"""

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import cast

from lampwright.errors import FilePlace, Finding, InputError
from lampwright.network.circuit import Circuit, Kind, Part
from lampwright.network.layout import Layout
from lampwright.toml_file import read_toml, row_lines

KINDS = ("filament", "resistor", "diode", "wire")
KEYS = ("ref", "kind", "lamp", "type", "ohms", "watts", "from", "to")
NEEDS = {"filament": ("ref", "type"), "resistor": ("ohms",), "diode": ("type",), "wire": ()}
MOST_BYTES = 2**20
MOST_NAME = 64
LIMITS = {"ohms": (0.001, 1e6), "watts": (0.001, 1000.0)}
"""From the least resistor that is one to the greatest that does anything; specs have the same."""
MOST_EXTRAS = 12
MOST_JOINTS = 10
MOST_NODES = 15
JOINT = re.compile(r"j[1-9][0-9]?")


@dataclass
class _Reader:
    """Reads rows and gathers findings; layout None: of the circuit's surroundings nothing is known yet."""

    file: FilePlace
    layout: Layout | None
    findings: list[Finding] = field(default_factory=list)

    def blame(self, place: FilePlace, said: str, remedy: str) -> None:
        self.findings.append(Finding(place, said, remedy))

    def tell(self, key: str, said: str, remedy: str) -> None:
        self.blame(self.file.key(key), said, remedy)

    def word(self, row: dict[str, object], key: str, place: FilePlace) -> str | None:
        value = row.get(key)
        if isinstance(value, str) and (len(value) > MOST_NAME or not value.isprintable()):
            self.blame(
                place.key(key), f"{value[:MOST_NAME]!r} is no name of one line", "write a short, plain one"
            )
            return None
        if value is None or isinstance(value, str):
            return value
        self.blame(place.key(key), f"{value!r} is no text", "write it in quotes")
        return None

    def number(self, row: dict[str, object], key: str, place: FilePlace) -> float | None:
        value = row.get(key)
        if value is None:
            return None
        least, most = LIMITS[key]
        if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
            number = f"{value!r}"[:MOST_NAME]
            remedy = "write it in plain figures, as 4.7"
            self.blame(place.key(key), f"{number} is no number from {least:g} to {most:,.0f}", remedy)
            return None
        return float(value)

    def node(self, row: dict[str, object], key: str, place: FilePlace) -> str:
        name = self.word(row, key, place)
        terminals = self.layout.terminals if self.layout else ("31 for ground, a feed",)
        known = ", ".join(terminals)
        if not name:
            self.blame(place, f"{key} is missing", f"name the node it joins: {known}, or a joint j1, j2, ...")
            return ""
        if self.layout and name not in terminals and not JOINT.fullmatch(name):
            self.blame(
                place.key(key), f'"{name}" is no node', f"use a terminal ({known}) or a joint j1, j2, ..."
            )
        return name

    def part(self, row: object, place: FilePlace) -> Part | None:
        if not isinstance(row, dict):
            self.blame(place, f"{row!r} is no part", "write a [[part]] table")
            return None
        before = len(self.findings)
        for key in row:
            if key not in KEYS:
                near = difflib.get_close_matches(key, KEYS, 1)
                hint = f'did you mean "{near[0]}"' if near else f"use {', '.join(KEYS)}"
                self.blame(place.key(key), "is no key of a part", hint)
        kind = self.word(row, "kind", place)
        if kind not in KINDS:
            self.blame(
                place.key("kind"), f"{row.get('kind')!r} is no kind of part", f"use {', '.join(KINDS)}"
            )
            return None
        for key in NEEDS[kind]:
            if key not in row:
                self.blame(place, f"a {kind} has no {key}", f"add {key} = ...")
        part = Part(
            ref=self.word(row, "ref", place) or "",
            kind=cast(Kind, kind),
            from_node=self.node(row, "from", place),
            to_node=self.node(row, "to", place),
            lamp=self.word(row, "lamp", place),
            type=self.word(row, "type", place),
            ohms=self.number(row, "ohms", place),
            watts=self.number(row, "watts", place),
        )
        if part.from_node == part.to_node and part.from_node:
            self.blame(
                place, f"both ends are at {part.to_node}", "join two different nodes, or leave the part out"
            )
        return part if len(self.findings) == before else None


def read_circuit(path: Path, layout: Layout) -> Circuit:
    """Read a circuit for this layout, parts in order: filaments as in the spec, diodes, resistors, wires.

    Raises InputError with every finding.
    """
    text = _read(path)
    return _circuit_of(read_toml(text, path.name), FilePlace(path.name, lines=row_lines(text)), layout)


def read_parts(path: Path) -> tuple[Part, ...]:
    """Read the parts of a circuit file as they stand there, whatever its spec.

    Raises InputError with every finding.
    """
    text = _read(path)
    reader = _Reader(FilePlace(path.name, lines=row_lines(text)), None)
    parts = _parts(read_toml(text, path.name), reader)
    if reader.findings:
        raise InputError(reader.findings)
    return tuple(parts)


def is_circuit(path: Path) -> bool:
    """Whether a file is a circuit's and not a spec's, by what it says; not where it cannot be read."""
    try:
        return "part" in read_toml(_read(path), path.name)
    except InputError:
        return False


def _read(path: Path) -> str:
    try:
        if path.exists() and not path.is_file():
            raise InputError([Finding(str(path), "this is no file", "name a circuit file")])
        with path.open("rb") as stream:
            raw = stream.read(MOST_BYTES + 1)
        if len(raw) > MOST_BYTES:
            raise InputError(
                [Finding(path.name, "is larger than 1 MiB", "give a circuit file of [[part]] rows")]
            )
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError([Finding(path.name, "is not UTF-8 text", "save it as UTF-8")]) from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise InputError([Finding(str(path), f"cannot be read ({why})", "name a circuit file")]) from None


def parse_circuit(data: Mapping[str, object], file: str, layout: Layout) -> Circuit:
    """Make a circuit of the file's content. Raises InputError with every finding."""
    return _circuit_of(data, FilePlace(file), layout)


def _circuit_of(data: Mapping[str, object], file: FilePlace, layout: Layout) -> Circuit:
    reader = _Reader(file, layout)
    parts = _parts(data, reader)
    if not reader.findings:
        _check_filaments(parts, layout, reader)
        _check_refs(parts, layout.filaments, reader)
        if not reader.findings:
            _check_lamps({part.ref: part for part in parts if part.kind == "filament"}, layout, reader)
        _check_size(parts, layout.terminals, reader)
    if reader.findings:
        raise InputError(reader.findings)
    return ordered_circuit(parts, layout)


def ordered_circuit(parts: Sequence[Part], layout: Layout) -> Circuit:
    """The circuit of sound parts: filaments as in the layout, diodes, resistors, wires, each with a name."""
    order = {name: at for at, name in enumerate(layout.filaments)}
    filaments = sorted((p for p in parts if p.kind == "filament"), key=lambda part: order[part.ref])
    rest = [
        _named(p, n)
        for kind in ("diode", "resistor", "wire")
        for n, p in enumerate((q for q in parts if q.kind == kind), 1)
    ]
    lamp_of = dict(zip(layout.filaments, layout.lamp_of, strict=True))
    drawn = [
        Part(
            ref=p.ref, kind=p.kind, from_node=p.from_node, to_node=p.to_node, lamp=lamp_of[p.ref], type=p.type
        )
        for p in filaments
    ]
    return Circuit((*drawn, *rest))


def _parts(data: Mapping[str, object], reader: _Reader) -> list[Part]:
    for key in data:
        # lamps of the circuit's own are read by who keeps the shelf of lamps
        if key not in ("part", "types", "lampwright", "title"):
            reader.tell(key, "is no key of a circuit file", "use [[part]] rows")
    rows = data.get("part")
    if not isinstance(rows, list) or not rows:
        reader.tell("part", "there is none", "write one [[part]] table for each part")
        raise InputError(reader.findings)
    found = [reader.part(row, reader.file.key("part").row(number)) for number, row in enumerate(rows, 1)]
    return [part for part in found if part is not None]


def _named(part: Part, number: int) -> Part:
    letter = {"diode": "D", "resistor": "R", "wire": "W"}[part.kind]
    ref = part.ref or f"{letter}{number}"
    return Part(
        ref=ref,
        kind=part.kind,
        from_node=part.from_node,
        to_node=part.to_node,
        lamp=None,
        type=part.type,
        ohms=part.ohms,
        watts=part.watts,
    )


def _check_filaments(parts: list[Part], layout: Layout, reader: _Reader) -> None:
    filaments = [part for part in parts if part.kind == "filament"]
    seen = [part.ref for part in filaments]
    for name in dict.fromkeys(seen):
        if name not in layout.filaments:
            known = ", ".join(layout.filaments)
            reader.tell("part", f'the spec has no filament "{name}"', f"use {known}")
        elif seen.count(name) > 1:
            reader.tell("part", f'the filament "{name}" stands twice', "keep one")
    for name in layout.filaments:
        if name not in seen:
            reader.tell("part", f'the filament "{name}" of the spec is missing', "add its [[part]]")


def _check_refs(parts: list[Part], told: tuple[str, ...], reader: _Reader) -> None:
    """Blame names that parts share; of those `told` it has been said already."""
    refs = [part.ref for part in parts if part.ref]
    for ref in dict.fromkeys(refs):
        if refs.count(ref) > 1 and ref not in told:
            reader.tell(
                "part",
                f'the ref "{ref}" stands {refs.count(ref)} times',
                "give each part its own",
            )


def _check_lamps(by_ref: dict[str, Part], layout: Layout, reader: _Reader) -> None:
    for lamp in layout.lamps:
        own = [by_ref[name] for name in lamp.filaments]
        if len({part.type for part in own}) > 1:
            reader.tell(lamp.lamp, "its filaments have different types", "a lamp is of one type")
        common = set.intersection(*({part.from_node, part.to_node} for part in own))
        if lamp.common is not None and lamp.common not in common:
            said = f"not every filament has an end at {lamp.common}, the lamp's common terminal in the spec"
            reader.tell(lamp.lamp, said, f"join one end of each to {lamp.common}")
        elif lamp.shared and not common:
            reader.tell(
                lamp.lamp,
                "its filaments have no node in common",
                "its cap joins one end of each: give both a common node",
            )
        for part in own:
            if part.lamp is not None and part.lamp != lamp.lamp:
                reader.tell(
                    part.ref,
                    f'belongs to the lamp "{lamp.lamp}", not "{part.lamp}"',
                    f'write lamp = "{lamp.lamp}"',
                )


def _check_size(parts: list[Part], terminals: tuple[str, ...], reader: _Reader) -> None:
    extras = sum(part.kind in ("diode", "resistor") for part in parts)
    joints = {node for part in parts for node in (part.from_node, part.to_node) if JOINT.fullmatch(node)}
    if extras > MOST_EXTRAS:
        reader.tell("part", f"there are {extras} resistors and diodes", f"use at most {MOST_EXTRAS}")
    if len(joints) > MOST_JOINTS:
        reader.tell("part", f"there are {len(joints)} joints", f"use at most {MOST_JOINTS}")
    nodes = len(joints) + len(terminals)
    if nodes > MOST_NODES:
        reader.tell(
            "part",
            f"there are {nodes} terminals and joints",
            f"use at most {MOST_NODES} in all",
        )


def placed_circuit(parts: Sequence[Part], file: str, layout: Layout) -> Circuit:
    """Make a circuit of parts as if a file had them. Raises InputError with every finding."""
    return parse_circuit({"part": [_row_of(part) for part in parts]}, file, layout)


def check_parts(parts: Sequence[Part], file: str) -> None:
    """Hold parts against what any circuit must be. Raises InputError with every finding."""
    reader = _Reader(FilePlace(file), None)
    for number, part in enumerate(parts, 1):
        reader.part(_row_of(part), reader.file.key("part").row(number))
    _check_refs(list(parts), (), reader)
    if not reader.findings:
        nodes = dict.fromkeys(end for part in parts for end in (part.from_node, part.to_node))
        _check_size(list(parts), tuple(node for node in nodes if not JOINT.fullmatch(node)), reader)
    if reader.findings:
        raise InputError(reader.findings)


def _row_of(part: Part) -> dict[str, object]:  # as a TOML reader gives it
    """A part as its [[part]] table, without what it does not have."""
    row = {**asdict(part), "from": part.from_node, "to": part.to_node}
    return {key: row[key] for key in KEYS if row[key] not in (None, "")}


def circuit_text(circuit: Circuit) -> str:
    """The circuit as the text of a circuit file."""
    import tomlkit  # most commands only read

    document = tomlkit.document()
    rows = tomlkit.aot()
    for part in circuit.parts:
        rows.append(tomlkit.item(_row_of(part)))
    document.append("part", rows)
    return tomlkit.dumps(document)
