"""A result as the text a command prints: JSON for programs, tables for people.

Dispatches to `store` and `report`; nothing is computed here. No source: our layout.
"""

import sys

from lampwright.progress.bar import Progress, terminal
from lampwright.report.explain.text import explanation_text
from lampwright.report.lists import catalogue_text, count_text, curves_text
from lampwright.report.text import check_text, ranking_text
from lampwright.results.encode import to_json
from lampwright.results.explanation import Explanation
from lampwright.results.ranking import Catalogue, CheckReport, CountReport, Curves, Ranking


def render_ranking(ranking: Ranking, most: int, as_json: bool) -> str:
    """Write a ranking; as text, with at most so many designs in full."""
    return to_json(ranking) if as_json else ranking_text(ranking, most)


def render_check(report: CheckReport, as_json: bool) -> str:
    """Write what a check found."""
    return to_json(report) if as_json else check_text(report)


def render_explanation(explanation: Explanation, as_json: bool) -> str:
    """Write why a design works as it does."""
    return to_json(explanation) if as_json else explanation_text(explanation)


def render_count(report: CountReport, as_json: bool) -> str:
    """Write how many circuits there are."""
    return to_json(report) if as_json else count_text(report)


def render_catalogue(catalogue: Catalogue, as_json: bool) -> str:
    """Write the catalogue of parts."""
    return to_json(catalogue) if as_json else catalogue_text(catalogue)


def render_curves(curves: Curves, as_json: bool) -> str:
    """Write the curves of one type."""
    return to_json(curves) if as_json else curves_text(curves)


def progress_on_stderr() -> Progress:
    """Give the progress of a command: a bar where a person watches, silence elsewhere."""
    return terminal(sys.stderr)
