"""A result as what a command gives: JSON for programs, tables for people, a page for a browser.

Dispatches to `results` and `report`, each imported when it is needed; nothing is computed here. No
source: our layout.
"""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from lampwright.errors import InputError
from lampwright.progress.bar import Progress, terminal
from lampwright.results.atlas import Atlas
from lampwright.results.explanation import Explanation
from lampwright.results.fitting import LampFit
from lampwright.results.json_text import Result, as_written, to_json
from lampwright.results.ranking import Catalogue, CheckReport, CountReport, Curves, Ranking
from lampwright.results.sheet import BenchSheet

if TYPE_CHECKING:
    from lampwright.report.explain.controls import Controls
    from lampwright.spec.model import Spec


def search_text(
    ranking: Ranking, width: int, most: int, folder: str, again: str, spec: Path | None = None
) -> str:
    """Write a ranking on one screen; with all there is, and so many designs in full, where `most` is not 0.

    folder: where it is kept; again: what a command is given to speak of it again. spec: the file, whose
    selectors are drawn if it is still the same.
    """
    told = as_written(ranking)
    if most:
        from lampwright.report.text import ranking_text

        return ranking_text(told, most, width)
    from lampwright.report.brief import Kept, brief_text

    return brief_text(told, width, Kept(folder, again, _controls(ranking, spec)))


def _controls(ranking: Ranking, path: Path | None) -> "Controls | None":
    from lampwright.app.controls import controls_of
    from lampwright.problem.reading import read_spec

    try:
        spec = None if path is None else read_spec(path)
    except InputError:
        # it was read before the search, and what was found counts for more
        return None
    return None if spec is None or spec.digest != ranking.spec.digest else controls_of(spec)


def result_text(result: Result, as_json: bool) -> str:
    """Write a result; a ranking on one screen."""
    if as_json:
        return to_json(result)
    if isinstance(result, CheckReport):
        result = as_written(result)
    match result:
        case Ranking():
            return search_text(result, width=80, most=0, folder="", again="")
        case CheckReport():
            from lampwright.report.text import check_text

            return check_text(result)
        case Explanation():
            from lampwright.report.explain.text import explanation_text

            return explanation_text(result)
        case CountReport():
            from lampwright.report.lists import count_text

            return count_text(result)
        case Catalogue():
            from lampwright.report.lists import catalogue_text

            return catalogue_text(result)
        case Atlas():
            return atlas_text(result, "", 80)
        case LampFit():
            from lampwright.report.fitting import fit_text

            return fit_text(result)
        case Curves():
            from lampwright.report.lists import curves_text

            return curves_text(result)
        case BenchSheet():
            # a sheet is a page; its rows have no other text
            return to_json(result)


def atlas_text(atlas: Atlas, folder: str, width: int) -> str:
    """Write an atlas on one screen; folder: where it is kept."""
    from lampwright.report.atlas import atlas_text as written

    return written(atlas, folder, width)


def ranking_page(ranking: Ranking, spec: "Spec") -> str:
    """Write the page of a search of this spec."""
    from lampwright.app.controls import controls_of
    from lampwright.report.page.file import page_html

    return page_html(ranking, controls_of(spec), spec.text)


def progress_on_stderr() -> Progress:
    """Give the progress of a command: a bar where a person watches, silence elsewhere."""
    return terminal(sys.stderr)
