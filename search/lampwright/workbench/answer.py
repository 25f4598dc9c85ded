"""The stored answer to the spec on the desk: the page that a search writes, and what would help."""

import re
import tomllib
from dataclasses import dataclass
from typing import Any

from lampwright.app.designs import stored_ranking
from lampwright.app.render import ranking_page
from lampwright.errors import InputError
from lampwright.results.ranking import Ranking
from lampwright.spec.model import Spec
from lampwright.store.journal import is_unfinished
from lampwright.workbench.change import refused
from lampwright.workbench.folder import Folder
from lampwright.workbench.toml_edit import Document, put, rows_of

POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">')


@dataclass(frozen=True)
class StoredAnswer:
    """What is stored of a spec. goes_on: a run was stopped, or ended, before its answer."""

    ranking: Ranking | None
    goes_on: bool

    @property
    def kind(self) -> str:
        """The verdict's kind; nothing without an answer."""
        return self.ranking.verdict.kind if self.ranking else ""


def answer_to(spec: Spec, folder: Folder) -> StoredAnswer:
    """The stored answer to a spec, if it is of this very spec."""
    out = folder.root / folder.results
    if not folder.holds(out / spec.name):
        return StoredAnswer(None, goes_on=False)
    try:
        ranking = stored_ranking(spec, folder.root / f"{spec.name}.toml", out)
    except InputError:
        ranking = None
    goes_on = ranking.verdict.kind == "stopped" if ranking else is_unfinished(out / spec.name)
    return StoredAnswer(ranking, goes_on)


@dataclass(frozen=True)
class AnswerPage:
    """The page of an answer, and the policy that it was written with."""

    html: str
    policy: str


def page_of(ranking: Ranking, spec: Spec) -> AnswerPage:
    """Write the page of an answer, to stand within the bench."""
    html = ranking_page(ranking, spec)
    found = POLICY.search(html)
    policy = found[1] if found else "default-src 'none'"
    return AnswerPage(html, f"{policy}; frame-ancestors 'self'")


def take_suggestion(document: Document, ranking: Ranking, number: int) -> None:
    """Write the lines of a suggestion into a document. Raises InputError where there is none."""
    suggestions = ranking.shortfall.suggestions if ranking.shortfall else ()
    if not 0 <= number < len(suggestions):
        raise refused("suggestion", "there is none of this number now", "look at the answer as it is")
    one = suggestions[number]
    said: dict[str, Any] = tomllib.loads(one.spec_text)
    if one.row is not None:
        [wanted] = said.pop("behaviour")
        place = rows_of(document, "behaviour")[one.row - 1]
        for lamp, word in wanted["show"].items():
            if place["show"].get(lamp) != word:
                place["show"][lamp] = word
    if one.kind == "insulated holder":
        for name in said.get("lamps", {}):
            put(document, ("lamps", name, "common"), None)
    _write(document, said, ())


def _write(document: Document, said: dict[str, Any], above: tuple[str, ...]) -> None:
    for key, value in said.items():
        # an inline table stands under a table: it is a value
        if isinstance(value, dict) and (not above or above[0] in ("lamps", "controls")) and len(above) < 2:
            _write(document, value, (*above, key))
        else:
            put(document, (*above, key), value)
