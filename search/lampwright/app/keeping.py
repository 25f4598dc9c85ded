"""A search whose result is kept in its folder: the ranking, its tables and its page."""

from pathlib import Path

from lampwright.app.answering import search_into
from lampwright.app.render import ranking_page
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import Progress
from lampwright.report.csv_tables import ranking_csv, wiring_csv
from lampwright.results.json_text import from_json, to_json
from lampwright.results.ranking import Ranking
from lampwright.searching.options import SearchOptions
from lampwright.store.files import WIRING, write_result, write_text


def search_and_keep(spec: Path, options: SearchOptions, progress: Progress) -> Ranking:
    """Search and keep the result under the options' folder."""
    problem = read_problem(spec)
    folder = options.out / problem.spec.name
    ranking = search_into(problem, options, progress, folder)
    # the page is made of the ranking as it is stored, so that the two never differ by a digit
    stored = from_json(to_json(ranking))
    write_result(folder, ranking, ranking_csv(ranking), ranking_page(stored, problem.spec))
    lists = [design.wiring for design in ranking.designs if design.wiring is not None]
    if lists:
        write_text(folder / WIRING, wiring_csv(lists))
    return ranking
