"""The sheet for the bench of a stored design, or of a circuit of the user's own: how to build and try it."""

from pathlib import Path
from typing import Literal, get_args

from lampwright import __version__
from lampwright.app.checking import check_circuit, choice_of_parts, helped_spec, study_of
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.app.controls import controls_of
from lampwright.app.designs import stored_design
from lampwright.app.sheet_options import SheetFiles, SheetOptions
from lampwright.assess.bench.building import building_of
from lampwright.assess.bench.meter import OHMS, readings_of
from lampwright.assess.bench.rows import bench_tests
from lampwright.assess.faults.examine import FaultFinder
from lampwright.assess.faults.listing import circuitry_of
from lampwright.errors import Finding, InputError
from lampwright.judge.design_rows import spec_taking
from lampwright.network.circuit import Circuit
from lampwright.network.circuit_file import read_circuit
from lampwright.network.netlist import netlist_of
from lampwright.parts.tables import part_data_digest
from lampwright.problem.problem import layout_of, spec_reference
from lampwright.problem.reading import helped, read_spec, spelled_as
from lampwright.prove.telling import fewest_telling
from lampwright.report.page.sheet import sheet_page
from lampwright.report.paper import printed
from lampwright.report.schematic.picture import NoPictureError
from lampwright.results.design import Design
from lampwright.results.sheet import BenchSheet
from lampwright.searching.verdict import CAUTIONS_OF
from lampwright.spec.model import Spec
from lampwright.store.files import ready_folder, write_bytes

Ending = Literal["html", "pdf"]
ENDINGS = "end its name in .html or .pdf"
REFUSED = "name a file where you may write"
BURNT = "A lamp that has burnt is hot at once: let it cool before you touch it, and before ohms are read."
BENCH_CAUTIONS = {
    "battery": (
        "No power before the cold test is passed; a supply that limits its current is kinder than a battery.",
        BURNT,
        *CAUTIONS_OF["battery"],
    ),
    "supply": (
        "No power before the cold test is passed; set the supply to limit its current.",
        BURNT,
        *CAUTIONS_OF["supply"],
    ),
}
"""What holds at the bench, by what the design is fed by."""


def write_sheet_of_circuit(spec_path: Path, circuit_path: Path, options: SheetOptions) -> SheetFiles:
    """Write the sheet of a circuit file. Raises InputError for either file, NoPictureError, StoreError."""
    expect_place(options.to, "a sheet")
    spec, sheet = _of_circuit(spec_path, circuit_path, options)
    return _written(sheet, spec, f"sheet-{circuit_path.stem}", options)


def write_sheet_of_rank(spec_path: Path, rank: int, options: SheetOptions) -> SheetFiles:
    """Write the sheet of the design of this rank in a spec's stored result. Raises as the other does."""
    expect_place(options.to, "a sheet")
    spec, sheet = _of_rank(spec_path, rank, options)
    return _written(sheet, spec, "sheet" if rank == 1 else f"sheet-{rank}", options)


def sheet_of(spec_path: Path, circuit_path: Path | None, rank: int, options: SheetOptions) -> BenchSheet:
    """The sheet of a circuit file, or of a stored design, as rows. Raises as the others do."""
    if circuit_path is not None:
        return _of_circuit(spec_path, circuit_path, options)[1]
    return _of_rank(spec_path, rank, options)[1]


def _of_circuit(spec_path: Path, circuit_path: Path, options: SheetOptions) -> tuple[Spec, BenchSheet]:
    spec = helped_spec(spec_path, circuit_path)
    circuit = read_circuit(circuit_path, layout_of(spec))
    design = check_circuit(spec, circuit, circuit_path.name).design
    return spec, bench_sheet(spec, circuit, design, circuit_path.name, options.coupling)


def _of_rank(spec_path: Path, rank: int, options: SheetOptions) -> tuple[Spec, BenchSheet]:
    spec = read_spec(spec_path)
    instead = f"make the sheet of a circuit of your own: lampwright sheet {spec_path} CIRCUIT"
    design = stored_design(spec, spec_path, options.out, rank, instead)
    return spec, sheet_of_design(spec, design, options.coupling)


def sheet_of_design(spec: Spec, design: Design, coupling: str | None = None) -> BenchSheet:
    """The sheet of a design of a spec's ranking."""
    built = CircuitBuilder.of_design(design, spec.types)
    spec = helped(spec, built.parts)
    return bench_sheet(spec, built.under(layout_of(spec)), design, f"design {design.rank}", coupling)


def bench_sheet(
    spec: Spec, circuit: Circuit, design: Design, subject: str, coupling: str | None = None
) -> BenchSheet:
    """All that the sheet tells of a design of a spec; its circuit is the design's.

    coupling: one of `parts.couplings.COUPLINGS`, or None for the smaller one of ISO that will do.
    """
    circuit = spelled_as(spec, circuit)
    problem = study_of(spec_taking(spec, design.takes), circuit, subject)
    netlist, choice = netlist_of(circuit, problem.layout), choice_of_parts(problem, circuit)
    finder = FaultFinder(problem.sound)
    found = readings_of(finder, netlist, choice, design)
    settings = [(f"state {one.state}",) * (one.state != OHMS) for one in found.readings]
    # every node is measured to ground before power, whatever that tells
    first = [at for at, one in enumerate(found.readings) if one.state == OHMS and one.to == found.ground]
    across = frozenset(
        at for at, one in enumerate(found.readings) if one.state != OHMS and one.to != found.ground
    )
    telling = fewest_telling(found.low, found.high, settings, first, across)
    built = building_of(finder, circuitry_of(problem.sound, netlist, choice, design.parts), design, coupling)
    return BenchSheet(
        program=__version__,
        part_data=part_data_digest(),
        spec=spec_reference(problem),
        subject=subject,
        source=built.source,
        design=design,
        fuses=built.fuses,
        wires=built.wires,
        leads=built.leads,
        supply_leads=built.supply_leads,
        coupling=built.coupling,
        tests=bench_tests(problem.sound, found, telling.chosen, telling.alike, proved=telling.proved),
        cautions=BENCH_CAUTIONS[built.source],
    )


def _written(sheet: BenchSheet, spec: Spec, name: str, options: SheetOptions) -> SheetFiles:
    """Write a sheet to where it is wanted; a file that is there is replaced, whole or not at all."""
    page = sheet_page(sheet, controls_of(spec), options.paper)
    if options.to is not None:
        content = printed(page) if ending_of(options.to) == "pdf" else page.encode("utf-8")
        write_bytes(options.to, content, REFUSED)
        return SheetFiles((options.to,), "")
    folder = options.out / spec.name
    ready_folder(folder)
    files = [folder / f"{name}.html"]
    write_bytes(files[0], page.encode("utf-8"))
    try:
        content = printed(page)
    except NoPictureError as error:
        return SheetFiles(tuple(files), str(error))
    files.append(folder / f"{name}.pdf")
    write_bytes(files[1], content)
    return SheetFiles(tuple(files), "")


def ending_of(to: Path) -> str:
    """What a file's name ends in, in small letters and without the dot."""
    return to.suffix.lower().removeprefix(".")


def expect_place(to: Path | None, what: str) -> None:
    """Refuse, before any work, a file that is neither page nor PDF, or has no folder. what: it is to be."""
    if to is None:
        return
    if ending_of(to) not in get_args(Ending):
        raise InputError([Finding(str(to), f"{what} is a page or a PDF", ENDINGS)])
    if not to.parent.is_dir():
        said = f"there is no folder {to.parent}"
        raise InputError([Finding(str(to), said, "make it first, or name another")])
