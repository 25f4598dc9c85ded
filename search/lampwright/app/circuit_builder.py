"""A circuit said in Python: every call gives a new circuit, held against what a circuit file must be.

>>> circuit = CircuitBuilder().lamp("x", "W2.3W", "A", "B").resistor("R1", 4.7, "B", "31")
>>> circuit
<circuit of x W2.3W, R1 4.7 Ω>
>>> circuit.fitted(types={"x": "R5W"}, ohms={"R1": 10})
<circuit of x R5W, R1 10 Ω>
>>> circuit.wire("A", "A")
Traceback (most recent call last):
lampwright.errors.InputError: Circuit.wire: part 3: both ends are at A; join two different nodes, ...
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Self

from lampwright.app.frozen_table import frozen
from lampwright.app.public import named
from lampwright.errors import FilePlace, Finding, InputError
from lampwright.judge.design_rows import part_of
from lampwright.network.circuit import Circuit, Part
from lampwright.network.circuit_file import check_parts, circuit_text, placed_circuit, read_parts
from lampwright.network.layout import Layout
from lampwright.parts.catalogue import diode_types
from lampwright.parts.tables import UnknownPart
from lampwright.report import si
from lampwright.results.design import Design
from lampwright.solve.shelf import AT, NO_SYSTEM, Shelf, with_circuit_types
from lampwright.spec.model import OwnLamp
from lampwright.spec.wording import offered
from lampwright.store.files import write_bytes

REMEDY = "name a file where you may write"


@named("Circuit")
@dataclass(frozen=True, repr=False)
class CircuitBuilder:
    """Parts between named nodes: "31" is ground, feeds have the spec's names, any others are joints.

    Against a spec joints are called j1, j2, ... Each call gives a new circuit; parts of one name are
    refused. own: lamps of the user's own that parts may name, as a spec's `model.types` has them.
    Raises InputError, with its place and what would do, for whatever no circuit can have.
    """

    parts: tuple[Part, ...] = ()
    own: tuple[OwnLamp, ...] = ()

    def __post_init__(self) -> None:
        """Hold the parts against each other and the catalogue."""
        object.__setattr__(self, "parts", tuple(self.parts))
        check_parts(self.parts, "Circuit")
        shelf = Shelf(NO_SYSTEM, self.own)
        findings = [one for number, part in enumerate(self.parts, 1) for one in _unknown(part, number, shelf)]
        findings = findings or _miscounted(self.parts, shelf)
        if findings:
            raise InputError(findings)

    @classmethod
    def load(cls, path: Path | str, own: tuple[OwnLamp, ...] = ()) -> Self:
        """Read a circuit file, of any spec; own: lamps it may name besides those that it brings.

        Raises InputError with every finding.
        """
        return cls(read_parts(Path(path)), with_circuit_types(own, Path(path)))

    @classmethod
    def of_design(cls, design: Design, own: tuple[OwnLamp, ...] = ()) -> Self:
        """The circuit of a design; own: lamps of the user's own that it may have."""
        return cls(tuple(part_of(row) for row in design.parts), own)

    def lamp(
        self,
        name: str,
        type: str,
        start: str = "",
        end: str = "",
        **filaments: Sequence[str],
    ) -> Self:
        """A lamp of a catalogue type between two nodes.

        One with filaments of their own names gives the nodes of each: `stop=("54", "31")`.
        """
        ends = {name: (start, end), **filaments} if start or end or not filaments else filaments
        parts = [
            Part(ref, "filament", *_two(f"lamp: {ref}", nodes), lamp=name, type=type)
            for ref, nodes in ends.items()
        ]
        return self._with("lamp", parts)

    def diode(self, name: str, type: str, start: str, end: str) -> Self:
        """A diode of a catalogue type, conducting from start to end."""
        return self._with("diode", [Part(name, "diode", start, end, type=type)])

    def resistor(self, name: str, ohms: float, start: str, end: str, *, watts: float | None = None) -> Self:
        """A resistor [ohm]; watts: what it stands, without it the one that its heat asks for [W]."""
        return self._with(
            "resistor", [Part(name, "resistor", start, end, ohms=frozen(ohms), watts=frozen(watts))]
        )

    def wire(self, start: str, end: str, name: str = "") -> Self:
        """A wire between two nodes."""
        return self._with("wire", [Part(name, "wire", start, end)])

    def fitted(self, types: Mapping[str, str] | None = None, ohms: Mapping[str, float] | None = None) -> Self:
        """The same circuit with other types of lamps and diodes, or other resistors [ohm], by name.

        What another resistor stands is chosen anew. Raises InputError for a name that no such part has.
        """
        findings = [
            *_strangers("types", types or {}, self._names("filament", "diode")),
            *_strangers("ohms", ohms or {}, self._names("resistor")),
        ]
        if findings:
            raise InputError(findings)
        new, values = dict(types or {}), frozen(ohms or {})
        parts = tuple(
            replace(
                part,
                type=new.get(part.lamp or "", new.get(part.ref, part.type)),
                ohms=values.get(part.ref, part.ohms),
                watts=None if part.ref in values else part.watts,
            )
            for part in self.parts
        )
        return self._checked("fitted", parts)

    def under(self, layout: Layout) -> Circuit:
        """The circuit of a spec with this layout. Raises InputError with every finding."""
        return placed_circuit(self.parts, "circuit", layout)

    def to_toml(self) -> str:
        """The text of a circuit file that says the same, with the lamps of the user's own that it has."""
        used = {(part.type or "").partition(AT)[0].upper() for part in self.parts}
        own = [one for one in self.own if one.name.upper() in used]
        from lampwright.app.toml_text import types_text  # most commands only read

        text = circuit_text(Circuit(self.parts))
        return f"{text}\n{types_text(own)}" if own else text

    def save(self, path: Path | str) -> None:
        """Write a circuit file in the place of one that is there. Raises StoreError where it cannot be."""
        write_bytes(Path(path), self.to_toml().encode("utf-8"), REMEDY)

    def __str__(self) -> str:
        """Write the circuit as its file."""
        return self.to_toml()

    def __repr__(self) -> str:
        """Name the parts."""
        told = [
            f"{part.ref} {part.type or si.ohms(part.ohms or 0.0)}".replace(si.SPACE, " ")
            for part in self.parts
            if part.kind != "wire"
        ]
        return f"<circuit of {', '.join(told) or 'nothing yet'}>"

    def _with(self, call: str, parts: Iterable[Part]) -> Self:
        return self._checked(call, (*self.parts, *parts))

    def _checked(self, call: str, parts: tuple[Part, ...]) -> Self:
        try:
            return replace(self, parts=parts)
        except InputError as error:
            raise InputError([one.of(f"Circuit.{call}") for one in error.findings]) from None

    def _names(self, *kinds: str) -> tuple[str, ...]:
        """The names of parts of these kinds, a lamp's before its filaments'."""
        named = (name for part in self.parts if part.kind in kinds for name in (part.lamp, part.ref))
        return tuple(dict.fromkeys(name for name in named if name))


def _two(place: str, nodes: object) -> tuple[str, str]:
    if isinstance(nodes, Sequence) and not isinstance(nodes, str) and len(nodes) == 2:
        return nodes[0], nodes[1]
    raise InputError(
        [Finding(f"Circuit.{place}", f"{nodes!r} is no pair of nodes", 'give two nodes, as ("54", "31")')]
    )


def _strangers(place: str, said: Mapping[str, object], known: tuple[str, ...]) -> list[Finding]:
    none = "leave it out: there is none"
    return [
        Finding(
            f"Circuit.fitted: {place}",
            f'no such part is called "{name}"',
            offered(name, known) if known else none,
        )
        for name in said
        if name not in known
    ]


def _unknown(part: Part, number: int, shelf: Shelf) -> list[Finding]:
    """A type that no catalogue has, for any supply."""
    if part.type is None:
        return []
    error = None
    if part.kind == "filament":
        error = None if shelf.at_any_volts(part.type) else shelf.unknown(part.type)
    elif part.type not in (known := tuple(one.name for one in diode_types())):
        error = UnknownPart("diode type", part.type, known)
    place = FilePlace("Circuit").key("part").row(number).key("type")
    return [] if error is None else [Finding(place, str(error), "`lampwright parts` lists them")]


def _miscounted(parts: Sequence[Part], shelf: Shelf) -> list[Finding]:
    """Lamps that have not the filaments of their type."""
    counts = Counter((part.lamp, part.type or "") for part in parts if part.lamp and part.kind == "filament")
    findings = []
    for (lamp, kind), count in counts.items():
        has = len(shelf.at_any_volts(kind)[0].filaments)
        if has != count:
            said = f"{kind} has {has} filament{'s' * (has > 1)}, and nodes are given for {count}"
            remedy = "take a type with as many filaments, or give the nodes of each"
            findings.append(Finding(FilePlace("Circuit").key(lamp), said, remedy))
    return findings
