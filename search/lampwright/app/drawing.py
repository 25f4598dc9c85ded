"""A design's schematic as a file of its own: SVG, PNG or PDF, by the file's ending."""

from pathlib import Path
from typing import get_args

from lampwright.app.checking import check_circuit, helped_spec
from lampwright.app.controls import controls_of
from lampwright.app.designs import stored_design
from lampwright.errors import Finding, InputError
from lampwright.network.circuit_file import read_circuit
from lampwright.problem.problem import layout_of
from lampwright.problem.reading import read_spec
from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.picture import PictureKind, render_picture
from lampwright.report.schematic.svg import Schematic, schematic
from lampwright.results.design import Design
from lampwright.spec.model import Spec
from lampwright.store.files import write_bytes

KINDS: dict[str, PictureKind] = {f".{kind}": kind for kind in get_args(PictureKind)}
ENDINGS = "end its name in .svg, .png or .pdf"
REFUSED = "name a file where you may write"


def draw_circuit(spec_path: Path, circuit_path: Path, to: Path, width: int | None) -> None:
    """Draw a circuit file into a picture file. Raises InputError, NoPictureError, StoreError."""
    _expect_place(to, width)
    spec = helped_spec(spec_path, circuit_path)
    circuit = read_circuit(circuit_path, layout_of(spec))
    write_drawing(drawing(check_circuit(spec, circuit, circuit_path.name).design, spec), to, width)


def draw_rank(spec_path: Path, rank: int, out: Path, to: Path, width: int | None) -> None:
    """Draw the design of this rank in a spec's stored result under `out` into a picture file.

    Raises InputError, NoPictureError, StoreError.
    """
    _expect_place(to, width)
    spec = read_spec(spec_path)
    instead = f"draw a circuit of your own: lampwright draw {spec_path} CIRCUIT --to {to}"
    design = stored_design(spec, spec_path, out, rank, instead)
    write_drawing(drawing(design, spec), to, width)


def drawing(design: Design, spec: Spec, ids: bool = True) -> Schematic:
    """The schematic of a design of this spec; without ids where several stand on one page."""
    return schematic(design, feeds_of(design, controls_of(spec)), ids)


def write_drawing(drawn: Schematic, to: Path, width: int | None) -> None:
    """Write a schematic as the file's ending says; a file that is there is replaced, whole or not at all.

    width: pixels, of a PNG alone. Raises InputError, NoPictureError, StoreError.
    """
    _expect_place(to, width)
    write_bytes(to, render_picture(drawn, KINDS[to.suffix.lower()], width), REFUSED)


def _expect_place(to: Path, width: int | None) -> None:
    """Refuse, before any work, a file that is no picture or has no folder."""
    ending = to.suffix.lower()
    if ending not in KINDS:
        said = f"{to.name or '.'} has no ending" if not ending else f'no picture here ends in "{to.suffix}"'
        raise InputError([Finding(str(to), said, ENDINGS)])
    if not to.parent.is_dir():
        said = f"there is no folder {to.parent}"
        raise InputError([Finding(str(to), said, "make it first, or name another")])
    if width is not None and ending != ".png":
        said = f"{width} pixels are asked for, and only a PNG has pixels"
        raise InputError([Finding(str(to), said, "leave the width out, or name a file that ends in .png")])
