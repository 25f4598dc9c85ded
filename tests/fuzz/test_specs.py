"""Bent specs: read, counted and searched, or refused in our own words."""

import tempfile
import tomllib
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from tests.fuzz.bending import Document, bent, loosened, torn
from tests.fuzz.probing import fuzzed, is_printable, is_sound, only_ours
from tests.shipped import SPECS

from lampwright.app.answering import search_problem
from lampwright.app.render import ranking_page, result_text, search_text
from lampwright.problem.problem import Problem, prepare
from lampwright.problem.reading import read_document, read_spec
from lampwright.progress.bar import quiet
from lampwright.searching.estimate import count_problem
from lampwright.searching.options import SearchOptions
from lampwright.spec.load import starter_text

TEXTS = [starter_text(), *(path.read_text(encoding="utf-8") for path in SPECS)]
DOCUMENTS = [tomllib.loads(text) for text in TEXTS]
documents, texts = st.sampled_from(DOCUMENTS), st.sampled_from(TEXTS)


def problem_of(document: Document) -> Problem | None:
    return only_ours(lambda: prepare(read_document(document, "bent", "bent.toml")))


@fuzzed(120, 50_000)
@given(bent(documents))
def test_documents_are_read_or_refused(document: Document) -> None:
    problem_of(document)


@fuzzed(80, 30_000)
@given(torn(texts))
def test_texts_are_read_or_refused(text: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "torn.toml"
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        only_ours(lambda: read_spec(path))


@fuzzed(10, 2000)
@given(loosened(documents) | bent(documents))
def test_specs_are_counted(document: Document) -> None:
    problem = problem_of(document)
    report = problem and only_ours(lambda: count_problem(problem, 10**7))
    if report:
        is_sound(report)
        is_printable(result_text(report, as_json=False))


@fuzzed(8, 1000)
@given(loosened(documents) | bent(documents), st.sampled_from((1e-6, 0.05, 0.5)))
def test_specs_are_searched(document: Document, seconds: float) -> None:
    problem = problem_of(document)
    options = SearchOptions(time_limit=seconds, budget=10**6)
    ranking = problem and only_ours(lambda: search_problem(problem, options, quiet()))
    if problem and ranking:
        is_sound(ranking)
        is_printable(search_text(ranking, 80, 1, "results/bent", "bent.toml", None))
        assert ranking_page(ranking, problem.spec)
