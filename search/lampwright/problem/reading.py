"""Reading a spec: the file's own findings and those of the catalogue, together."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from lampwright.errors import FilePlace, Finding, InputError
from lampwright.network.circuit import Circuit, Part
from lampwright.parts.catalogue import diode_types
from lampwright.parts.tables import UnknownPart
from lampwright.parts.wires import wire_sizes
from lampwright.problem.misread import (
    known_types,
    lamp_findings,
    load_alone,
    named_twice,
    types_misread,
    unknown_diodes,
    unknown_lamps,
)
from lampwright.problem.problem import Problem, prepare
from lampwright.problem.reaching import fainter_findings, reach_findings, unlike_findings
from lampwright.results.design import PartRow
from lampwright.solve.boundary import MOST_COLUMNS, columns_needed
from lampwright.solve.part_options import resistor_values
from lampwright.solve.shelf import own_findings, read_types, same_type, shelf_of
from lampwright.spec.load import spec_of_document
from lampwright.spec.model import (
    HELPER,
    Diodes,
    Extras,
    Lamp,
    Spec,
    filament_names,
    plain_specs,
    terminals,
    with_helpers,
)
from lampwright.spec.states import expand_states
from lampwright.spec.ways import origin_place
from lampwright.toml_file import read_toml, row_lines

MOST_EXTRA_PARTS = 8
MOST_VALUES = 200
MOST_PARTS_SOLVED = 20


def read_spec(path: Path) -> Spec:
    """Load a spec and check its types against the catalogue.

    Raises InputError with the findings of both, even where the spec is wrong otherwise.
    """
    return _fit_for_search(load_alone(path), path.name, path.parent)


def read_document(
    document: Mapping[str, Any], name: str, file: str, text: str = "", folder: Path | None = None
) -> Spec:
    """The spec of a TOML document, checked as `read_spec` checks a file; places begin with `file`.

    text: what the document was read from, so that findings name lines. folder: where a file of lamps
    that it names is looked for. Raises InputError.
    """
    try:
        spec = spec_of_document(document, name, file, text, folder)
    except InputError as error:
        raise InputError([*error.findings, *types_misread(document, file)]) from None
    return _fit_for_search(spec, file, folder)


def _fit_for_search(spec: Spec, name: str, folder: Path | None) -> Spec:
    file = FilePlace(name, lines=row_lines(spec.text))
    findings = own_findings(spec.types, file.key("types"))
    named = read_toml(spec.text, name).get("types_from") if findings and folder else None
    if folder and named:
        read_types(folder / named, named)  # what cannot be of its lamps is told there
    findings = findings or [*part_findings(spec, file), *_asked_in_vain(spec, file)]
    if not findings and spec.ways:
        spec, findings = _ways_within_reach(spec, file)
    if findings:
        raise InputError(findings)
    return _spelled_alike(spec)


def _asked_in_vain(spec: Spec, file: FilePlace) -> list[Finding]:
    """What no circuit of these parts can do, and what is more than can be held."""
    return [
        *reach_findings(spec, file),
        *unlike_findings(spec, file),
        *fainter_findings(spec, file),
        *_damage_findings(spec, file, len(terminals(spec)) + spec.bounds.joints),
    ]


def _ways_within_reach(spec: Spec, file: FilePlace) -> tuple[Spec, list[Finding]]:
    """The spec with those of its ways that the parts on offer can do, or what is wrong with the first."""
    asked = [_asked_in_vain(one, file) for one in plain_specs(spec)]
    kept = tuple(rows for rows, wrong in zip(spec.ways, asked, strict=True) if not wrong)
    if kept:
        return replace(spec, ways=kept), []
    origin, why = spec.ways[0][0].origin, asked[0][0]
    assert origin is not None, "rows of ways are of a choice"
    said = f"no choice can be; of the first: {why.said}"
    return spec, [replace(why, at=origin_place(origin, file), said=said)]


def _spelled_alike(spec: Spec) -> Spec:
    """The spec with one spelling for each lamp, where it has P21W and p21w, or P21W@12: that of the first."""
    alike = _first_spelling(spec, [name for lamp in spec.lamps for name in lamp.choose])
    lamps = tuple(replace(one, choose=tuple(map(alike, one.choose))) for one in spec.lamps)
    if spec.stock is None:
        return replace(spec, lamps=lamps)
    boxed = tuple((alike(name), have) for name, have in spec.stock.lamps)
    prices = tuple((alike(name), price) for name, price in spec.stock.prices)
    return replace(spec, lamps=lamps, stock=replace(spec.stock, lamps=boxed, prices=prices))


def spelled_as(spec: Spec, circuit: Circuit) -> Circuit:
    """The circuit with one spelling for each lamp: the spec's, where that offers it, or its own first."""
    chosen = [name for lamp in spec.lamps for name in lamp.choose]
    own = [part.type or "" for part in circuit.of_kind("filament")]
    alike = _first_spelling(spec, [*chosen, *own])
    return Circuit(
        tuple(
            replace(part, type=alike(part.type)) if part.kind == "filament" and part.type else part
            for part in circuit.parts
        )
    )


def _first_spelling(spec: Spec, names: Sequence[str]) -> Callable[[str], str]:
    """What gives a name as the same lamp is first called among these; any other as it is."""
    shelf = shelf_of(spec)
    kinds = known_types(names, shelf)

    def alike(name: str) -> str:
        own = known_types([name], shelf)
        return next((one.name for one in kinds if own and same_type(one, own[0])), name)

    return alike


def _damage_findings(spec: Spec, file: FilePlace, nodes: int) -> list[Finding]:
    """What rows name as failed, where it is more than can be held for circuits of so many nodes."""
    if columns_needed(expand_states(spec), len(filament_names(spec)), nodes) <= MOST_COLUMNS:
        return []
    said = f"rows name too many different failures for circuits with {nodes} nodes"
    remedy = (
        f"name fewer: one more than fail in different rows, times the nodes, may be {MOST_COLUMNS} at most"
    )
    return [Finding(file.key("behaviour"), said, remedy)]


def read_problem(path: Path) -> Problem:
    """A spec ready for judging. Raises InputError."""
    return prepare(read_spec(path))


def part_findings(spec: Spec, file: FilePlace) -> list[Finding]:
    """What of a spec does not fit the catalogue, or is beyond what a search can hold."""
    findings: list[Finding] = []
    for lamp in spec.lamps:
        findings += lamp_findings(lamp, shelf_of(spec), file.key("lamps", lamp.name))
    diodes, resistors, lamps = spec.extras.diodes, spec.extras.resistors, spec.extras.lamps
    if lamps is not None:
        any_of_them = Lamp(HELPER, lamps.choose, (HELPER,), is_helper=True)
        findings += lamp_findings(any_of_them, shelf_of(spec), file.key("extras", "lamps"))
    findings += unknown_diodes(diodes.choose if diodes else (), file.key("extras", "diodes", "choose"))
    if resistors is not None and resistors.most:
        count = len(resistor_values(resistors, spec.stock))
        place = file.key("extras", "resistors")
        if count == 0:
            said = f"{resistors.series} has no value from {resistors.ohms[0]:g} to {resistors.ohms[1]:g} ohm"
            findings.append(Finding(place.key("ohms"), said, "widen the range or take a finer series"))
        if count > MOST_VALUES:
            said = f"{count} values are more than a search can try for each circuit"
            findings.append(
                Finding(place, said, f"narrow the range or take a coarser series: at most {MOST_VALUES}")
            )
    extra = (diodes.most if diodes else 0) + (resistors.most if resistors else 0)
    if extra > MOST_EXTRA_PARTS:
        said = f"{extra} resistors and diodes are more than can be searched"
        findings.append(Finding(file.key("extras"), said, f"ask for at most {MOST_EXTRA_PARTS} in all"))
    findings += _wire_findings(spec, file.key("wiring"))
    findings += _stock_findings(spec, file.key("stock"))
    filaments = sum(len(lamp.filaments) for lamp in spec.lamps if not lamp.is_helper)
    filaments += lamps.most if lamps else 0
    if filaments + extra > MOST_PARTS_SOLVED:
        said = f"{filaments} filaments and {extra} resistors and diodes are more than can be solved"
        findings.append(Finding(file.key("lamps"), said, f"ask for at most {MOST_PARTS_SOLVED} parts in all"))
    return findings


def _wire_findings(spec: Spec, place: FilePlace) -> list[Finding]:
    known = ", ".join(f"{area:g}" for area in wire_sizes())
    return [
        Finding(place, f"{area:g} mm2 is no wire known here", f"use sizes of {known}")
        for area in (spec.wiring.sizes if spec.wiring else ())
        if area not in wire_sizes()
    ]


def _stock_findings(spec: Spec, place: FilePlace) -> list[Finding]:
    """Types of the parts box that no catalogue has; those the spec has no use for are fine."""
    if spec.stock is None:
        return []
    shelf, stock = shelf_of(spec), spec.stock
    boxed = [name for name, _ in stock.lamps]
    findings = unknown_lamps(boxed, shelf, place.key("lamps"))
    findings += named_twice(known_types(boxed, shelf), place.key("lamps"))
    findings += unknown_diodes([name for name, _ in stock.diodes], place.key("diodes"))
    diodes = [diode.name for diode in diode_types()]
    kind = f"lamp type for {shelf.system:g} V or diode type, nor the word resistor"
    lamps = [name for name, _ in stock.prices if name not in diodes]
    findings += [
        Finding(
            place.key("prices"),
            str(UnknownPart(kind, name, (*shelf.names(), *diodes))),
            "`lampwright parts` lists both",
        )
        for name in lamps
        if not known_types([name], shelf)
    ]
    findings += named_twice(known_types(lamps, shelf), place.key("prices"))
    return findings


def helped(spec: Spec, parts: Sequence[Part | PartRow]) -> Spec:
    """The spec with as many helper lamps as a circuit of these parts has filaments beyond the spec's own.

    They are called what the circuit calls them, but for what the spec's own lamps are called.
    """
    if spec.extras.lamps is None:
        return spec
    plain = with_helpers(spec, 0)
    own = filament_names(plain)
    names = [part.ref for part in parts if part.kind == "filament" and part.ref not in own]
    taken = {*(lamp.name for lamp in plain.lamps), ""}
    is_clear = len(set(names)) == len(names) and not taken & set(names)
    return with_helpers(spec, len(names), names if is_clear else ())


def problem_of_circuit(spec: Spec, circuit: Circuit, file: str) -> Problem:
    """A problem in which just this circuit's types and values are on the part_options.

    Raises InputError for types that are not in the catalogue.
    """
    types = {part.lamp: part.type or "" for part in circuit.of_kind("filament")}
    lamps = tuple(replace(lamp, choose=(types[lamp.name],)) for lamp in spec.lamps)
    diodes = tuple(dict.fromkeys(part.type or "" for part in circuit.of_kind("diode")))
    fitted_diodes = Diodes(len(circuit.of_kind("diode")), diodes) if diodes else None
    extras = Extras(spec.extras.resistors, fitted_diodes, spec.extras.lamps)
    fitted = replace(spec, lamps=lamps, extras=extras)
    place = FilePlace(file)
    findings = part_findings(replace(fitted, extras=Extras(None, extras.diodes)), place)
    nodes = {*terminals(spec), *(end for part in circuit.parts for end in (part.from_node, part.to_node))}
    findings += _damage_findings(spec, place, len(nodes))
    if findings:
        raise InputError(findings)
    return prepare(fitted)
