"""Judging a circuit file or a stored design, with other types and values in it, and keeping that."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from lampwright.app.checking import check_circuit, helped_spec
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.app.designs import stored_design
from lampwright.errors import Finding, InputError
from lampwright.network.circuit_file import read_circuit
from lampwright.problem.problem import layout_of
from lampwright.problem.reading import helped, read_spec
from lampwright.results.ranking import CheckReport
from lampwright.spec.model import Spec

OPTION = "--fit"


def check_file(
    spec_path: Path, circuit_path: Path, fits: Sequence[str] = (), save: Path | None = None
) -> CheckReport:
    """Judge a circuit file against a spec file, with these fitted, as `side=R5W` or `R1=4.7`.

    save: where to write what is judged as a circuit file. Raises InputError, StoreError.
    """
    spec = helped_spec(spec_path, circuit_path)
    circuit = read_circuit(circuit_path, layout_of(spec))
    return _judged(spec, CircuitBuilder(circuit.parts, spec.types), circuit_path.name, fits, save)


def check_rank(
    spec_path: Path, rank: int, out: Path, fits: Sequence[str] = (), save: Path | None = None
) -> CheckReport:
    """The same with the design of this rank in a spec's stored result under `out`."""
    spec = read_spec(spec_path)
    instead = f"check a circuit of your own: lampwright check {spec_path} CIRCUIT"
    design = stored_design(spec, spec_path, out, rank, instead)
    circuit = CircuitBuilder.of_design(design, spec.types)
    return _judged(helped(spec, circuit.parts), circuit, f"design {rank}", fits, save)


def _judged(
    spec: Spec, circuit: CircuitBuilder, name: str, fits: Sequence[str], save: Path | None
) -> CheckReport:
    tried = _with(circuit, fits)
    report = check_circuit(spec, tried.under(layout_of(spec)), name)
    if save is not None:
        tried.save(save)
    return report


def _with(circuit: CircuitBuilder, fits: Sequence[str]) -> CircuitBuilder:
    """The circuit with what is asked for fitted. Raises InputError with all that cannot be."""
    resistors = {part.ref for part in circuit.parts if part.kind == "resistor"}
    types: dict[str, str] = {}
    ohms: dict[str, float] = {}
    findings = []
    for fit in fits:
        name, _, what = (word.strip() for word in fit.partition("="))
        if not name or not what:
            findings.append(
                Finding(OPTION, f'"{fit}" fits nothing', "write PART=WHAT, as side=R5W or R1=4.7")
            )
        elif name in (*types, *ohms):
            findings.append(Finding(OPTION, f"{name} is fitted twice", "keep one"))
        elif name not in resistors:
            types[name] = what
        else:
            try:
                ohms[name] = float(what)
            except ValueError:
                findings.append(Finding(OPTION, f'"{what}" is no number of ohms', f"write {name}=4.7"))
    if findings:
        raise InputError(findings)
    try:
        return circuit.fitted(types, ohms) if fits else circuit
    except InputError as error:
        raise InputError([replace(one, at=OPTION) for one in error.findings]) from None
