"""A result as what a command gives: JSON for programs, tables for people, a page for a browser.

Dispatches to `results` and `report`; nothing is computed here. No source: our layout.
"""

import sys

from lampwright.app.explaining import controls_of
from lampwright.progress.bar import Progress, terminal
from lampwright.report.explain.text import explanation_text
from lampwright.report.lists import catalogue_text, count_text, curves_text
from lampwright.report.page.file import page_html
from lampwright.report.text import check_text, ranking_text
from lampwright.results.explanation import Explanation
from lampwright.results.json_text import Result, to_json
from lampwright.results.ranking import Catalogue, CheckReport, CountReport, Curves, Ranking
from lampwright.spec.model import Spec


def result_text(result: Result, as_json: bool, most: int = 1) -> str:
    """Write a result; a ranking as text with at most `most` designs in full."""
    if as_json:
        return to_json(result)
    match result:
        case Ranking():
            return ranking_text(result, most)
        case CheckReport():
            return check_text(result)
        case Explanation():
            return explanation_text(result)
        case CountReport():
            return count_text(result)
        case Catalogue():
            return catalogue_text(result)
        case Curves():
            return curves_text(result)


def ranking_page(ranking: Ranking, spec: Spec) -> str:
    """Write the page of a search of this spec."""
    return page_html(ranking, controls_of(spec), spec.text)


def progress_on_stderr() -> Progress:
    """Give the progress of a command: a bar where a person watches, silence elsewhere."""
    return terminal(sys.stderr)
