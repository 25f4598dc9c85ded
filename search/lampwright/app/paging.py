"""The page of a run: a ranking and its spec, turned into what `report` needs to know of them."""

from lampwright.app.explaining import controls_of
from lampwright.report.page.file import page_html
from lampwright.results.ranking import Ranking
from lampwright.spec.model import Spec


def ranking_page(ranking: Ranking, spec: Spec) -> str:
    """Write the page of a search of this spec."""
    return page_html(ranking, controls_of(spec), spec.text)
