"""One function for each command: what the command line calls, with files in and rows out.

Each imports its job when it is called, so that no command waits for the libraries of another.
"""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from lampwright.searching.options import SearchOptions

if TYPE_CHECKING:
    import click

    from lampwright.app.alone import LoneCircuit
    from lampwright.app.atlas_options import AtlasOptions
    from lampwright.app.fit_options import FitOptions
    from lampwright.app.sheet_options import SheetFiles, SheetOptions
    from lampwright.app.worksheet_options import WorksheetFiles, WorksheetOptions
    from lampwright.progress.bar import Progress
    from lampwright.results.atlas import Atlas
    from lampwright.results.explanation import Explanation
    from lampwright.results.fitting import LampFit
    from lampwright.results.ranking import Catalogue, CheckReport, CountReport, Curves, Ranking
    from lampwright.results.sheet import BenchSheet
    from lampwright.spec.model import OwnLamp


def search_to_disk(spec: Path, options: SearchOptions, progress: "Progress") -> "Ranking":
    """Search and keep the result under the options' folder."""
    from lampwright.app.keeping import search_and_keep

    return search_and_keep(spec, options, progress)


def read_alone(spec: Path) -> None:
    """Raise InputError where a spec cannot be, as it is written; what is wrong with its parts comes later."""
    from lampwright.problem.misread import load_alone

    load_alone(spec)


def check_files(spec: Path, circuit: Path, fits: Sequence[str], save: Path | None) -> "CheckReport":
    """Judge a circuit file against a spec file, with other types fitted; keep that circuit in a file."""
    from lampwright.app.trying import check_file

    return check_file(spec, circuit, fits, save)


def check_stored(spec: Path, rank: int, out: Path, fits: Sequence[str], save: Path | None) -> "CheckReport":
    """The same with the design of this rank in a spec's stored result under `out`."""
    from lampwright.app.trying import check_rank

    return check_rank(spec, rank, out, fits, save)


def explain_file(spec: Path, circuit: Path) -> "Explanation":
    """Explain a circuit file in words."""
    from lampwright.app.explaining import explain_circuit

    return explain_circuit(spec, circuit)


def explain_stored(spec: Path, rank: int | None, out: Path) -> "Explanation":
    """Explain the design of this rank in a spec's stored result under `out`, the first without a rank.

    Where nothing was found and no rank is asked for, explain why not.
    """
    from lampwright.app.explaining import explain_rank

    return explain_rank(spec, rank, out)


def is_circuit(path: Path) -> bool:
    """Whether a file is a circuit's, which needs no spec to be explained and drawn."""
    from lampwright.network.circuit_file import is_circuit

    return is_circuit(path)


def explain_lone(circuit: Path, volts: float | None) -> "LoneCircuit":
    """Work out a circuit file by itself, whose switches are the feeds it names."""
    from lampwright.app.alone import lone_circuit

    return lone_circuit(circuit, volts)


def draw_lone(circuit: Path, to: Path, width: int | None) -> None:
    """Draw a circuit file by itself into a picture file."""
    from lampwright.app.alone import draw_lone

    draw_lone(circuit, to, width)


def draw_file(spec: Path, circuit: Path, to: Path, width: int | None) -> None:
    """Draw a circuit file into a picture file."""
    from lampwright.app.drawing import draw_circuit

    draw_circuit(spec, circuit, to, width)


def draw_stored(spec: Path, rank: int, out: Path, to: Path, width: int | None) -> None:
    """Draw the design of this rank in a spec's stored result under `out` into a picture file."""
    from lampwright.app.drawing import draw_rank

    draw_rank(spec, rank, out, to, width)


def sheet_file(spec: Path, circuit: Path, options: "SheetOptions") -> "SheetFiles":
    """Write the sheet for the bench of a circuit file."""
    from lampwright.app.sheet import write_sheet_of_circuit

    return write_sheet_of_circuit(spec, circuit, options)


def sheet_rows(spec: Path, circuit: Path | None, rank: int, options: "SheetOptions") -> "BenchSheet":
    """The sheet for the bench of a circuit file, or of a stored design, as rows."""
    from lampwright.app.sheet import sheet_of

    return sheet_of(spec, circuit, rank, options)


def sheet_stored(spec: Path, rank: int, options: "SheetOptions") -> "SheetFiles":
    """Write the sheet for the bench of the design of this rank in a spec's stored result."""
    from lampwright.app.sheet import write_sheet_of_rank

    return write_sheet_of_rank(spec, rank, options)


def worksheet_files(
    specs: Sequence[Path], options: "WorksheetOptions", progress: "Progress"
) -> "WorksheetFiles":
    """Write a worksheet about the circuits of some specs, and its key."""
    from lampwright.app.worksheet import write_worksheet

    return write_worksheet(specs, options, progress)


def count_spec(spec: Path, budget: int) -> "CountReport":
    """Count the circuits of a spec without listing them."""
    from lampwright.problem.reading import read_problem
    from lampwright.searching.estimate import count_problem

    return count_problem(read_problem(spec), budget)


def new_spec(path: Path) -> None:
    """Write a spec to start from."""
    from lampwright.spec.load import write_starter

    write_starter(path)


def list_parts(types: Path | None = None) -> "Catalogue":
    """The whole catalogue, and the lamps of a file of the user's own."""
    from lampwright.app.catalogue import whole_catalogue

    return whole_catalogue(_own(types))


def part_curves(name: str, types: Path | None = None) -> "Curves":
    """The curves of every filament of one lamp type, of the catalogue or of a file of the user's own."""
    from lampwright.app.catalogue import curves_of

    return curves_of(name, _own(types))


def _own(types: Path | None) -> "tuple[OwnLamp, ...]":
    from lampwright.solve.shelf import read_types

    return () if types is None else read_types(types)


def fit_lamp(points: Path, options: "FitOptions") -> "LampFit":
    """The lamp that fits measured points."""
    from lampwright.app.lamp_fit import fit_file

    return fit_file(points, options)


def atlas_to_disk(options: "AtlasOptions", progress: "Progress") -> "Atlas":
    """Make an atlas, and keep it in its folder."""
    from lampwright.app.atlas import make_and_keep

    return make_and_keep(options, progress)


def schema_text(which: str) -> str:
    """The JSON Schema of a spec, a circuit, or a result: a ranking, a check, an explanation, an atlas."""
    from lampwright.results.json_text import Which
    from lampwright.results.json_text import schema_text as result_schema
    from lampwright.spec.format import schema_text as spec_schema

    if which == "circuit":
        from lampwright.app.circuit_schema import schema_text as circuit_schema

        return circuit_schema()
    results: dict[str, Which] = {known: known for known in get_args(Which)}
    return result_schema(results[which]) if which in results else spec_schema()


def write_docs(group: "click.Group", to: Path | None) -> Path:
    """Write the documentation as pages into a folder, or into the user's cache; return the first page."""
    from lampwright.manual.pages import keep_pages

    return keep_pages(group, to)
