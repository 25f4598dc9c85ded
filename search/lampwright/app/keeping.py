"""A search whose result is kept in its folder: the ranking, its tables and its page."""

from pathlib import Path

from lampwright.app.answering import Show, search_into
from lampwright.app.render import ranking_page
from lampwright.errors import Finding, InputError
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import Progress
from lampwright.report.csv_tables import ranking_csv, wiring_csv
from lampwright.results.json_text import from_json, to_json
from lampwright.results.ranking import Ranking
from lampwright.searching.options import SearchOptions
from lampwright.spec.model import Spec
from lampwright.store.files import WIRING, write_result, write_text


def search_and_keep(
    spec: Path,
    options: SearchOptions,
    progress: Progress,
    show: Show = lambda _judge, _winner: None,
) -> Ranking:
    """Search and keep the result under the options' folder; `show` is shown each circuit as it is found."""
    problem = read_problem(spec)
    folder = options.out / problem.spec.name
    ranking = search_into(problem, options, progress, folder, show)
    keep_ranking(ranking, problem.spec, folder)
    return ranking


def keep_ranking(ranking: Ranking, spec: Spec, folder: Path) -> None:
    """Write a ranking, its tables and its page into a folder, made if need be. Raises StoreError."""
    # the page is made of the ranking as it is stored, so that the two never differ by a digit
    text = to_json(ranking)
    write_result(folder, text, ranking_csv(ranking), ranking_page(from_json(text), spec))
    lists = [design.wiring for design in ranking.designs if design.wiring is not None]
    if lists:
        write_text(folder / WIRING, wiring_csv(lists))


def save_ranking(ranking: Ranking, spec: Spec, to: Path) -> None:
    """Write a ranking into a folder, or the one file that an ending asks for.

    Raises InputError for another ending, StoreError where it cannot be written.
    """
    match to.suffix.lower():
        case "":
            keep_ranking(ranking, spec, to)
        case ".json":
            write_text(to, to_json(ranking))
        case ".csv":
            write_text(to, ranking_csv(ranking))
        case ".html":
            write_text(to, ranking_page(from_json(to_json(ranking)), spec))
        case other:
            said, remedy = (
                f'no result here ends in "{other}"',
                "name a folder, or end in .json, .csv or .html",
            )
            raise InputError([Finding(str(to), said, remedy)])
