"""The parts of the page, filled from the bench as it is; each is put in the place of the one before."""

from collections.abc import Mapping

from lampwright.solve.shelf import Shelf
from lampwright.workbench.board import all_settings
from lampwright.workbench.chosen import code_views, either_views
from lampwright.workbench.compared import brighter_rows, same_rows
from lampwright.workbench.own import nodes_of
from lampwright.workbench.own_kept import kept_name
from lampwright.workbench.placed import placed_view
from lampwright.workbench.templates import drawn, filled
from lampwright.workbench.workbench import Workbench

Parts = Mapping[str, str]


def parts_of(bench: Workbench) -> Parts:
    """Every part of the page by its id."""
    board = bench.board
    shelf = Shelf(_system(board.document), board.spec.types if board.spec else ())
    common = {"bench": bench, "desk": bench.desk, "board": board, "shelf": shelf}
    return {
        "bar": filled("bar.html", **common),
        "files": filled("files.html", **common, names=bench.folder.specs()),
        "ask": filled("ask.html", **common),
        "beside": filled(
            "beside.html",
            **common,
            same=same_rows(board.document),
            brighter=brighter_rows(board.document),
            placed=placed_view(board.document),
            either=either_views(board.document),
            codes=code_views(board.document),
        ),
        "wishes": filled("board.html", **common, settings=all_settings(board.asked)),
        "bounds": filled("bounds.html", **common),
        "run": filled("run.html", **common, drawn=drawn),
        "answer-head": filled("answer.html", **common),
        "own": filled(
            "own.html",
            **common,
            own=bench.own,
            circuits=bench.folder.circuits(),
            kept=kept_name(bench.desk),
            nodes_of=nodes_of,
            drawn=drawn,
        ),
        "text": filled("text.html", **common),
    }


def _system(document: Mapping[str, object]) -> float:
    supply = document.get("supply")
    system = supply.get("system") if isinstance(supply, Mapping) else None
    return float(system) if isinstance(system, int | float) and 1 <= system <= 60 else 12.0
