"""A design of a spec's stored result, or why it cannot be had."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from lampwright.errors import Finding, InputError
from lampwright.parts.tables import part_data_digest
from lampwright.results.design import Design
from lampwright.results.json_text import from_json
from lampwright.results.ranking import Ranking
from lampwright.spec.model import Spec
from lampwright.store.files import RANKING


def stored_ranking(spec: Spec, spec_path: Path, out: Path) -> Ranking:
    """Read the stored result of a spec under `out`.

    Raises InputError, in one line, where there is none, or it is another spec's.
    """
    path = out / spec.name / RANKING
    remedy = f"run: lampwright search {spec_path}"
    try:
        text = path.read_text(encoding="utf-8")
    except OSError:
        raise InputError([Finding(str(path), "there is no stored result of this spec", remedy)]) from None
    except UnicodeDecodeError:
        raise InputError([Finding(str(path), "this is no text in UTF-8, so no ranking", remedy)]) from None
    try:
        ranking = from_json(text, str(path))
    except InputError as error:
        first = error.findings[0]
        raise InputError([Finding(first.place, first.said, remedy)]) from None
    if ranking.spec.digest != spec.digest:
        said = "this is the result of another spec, or of this one before it was changed"
        raise InputError([Finding(str(path), said, remedy)])
    if ranking.part_data != part_data_digest():
        said = "this result was made with other data of the parts"
        raise InputError([Finding(str(path), said, remedy)])
    return ranking


@contextmanager
def agreeing(out: Path, spec_path: Path) -> Iterator[None]:
    """Make something of a stored result, each of whose entries may stand but which may not agree.

    Raises InputError where they do not: a hand has changed the file.
    """
    try:
        yield
    except (ArithmeticError, AttributeError, LookupError, RuntimeError, TypeError, ValueError) as error:
        said = "its entries do not agree with each other"
        place = str(out / spec_path.stem / RANKING)
        raise InputError([Finding(place, said, f"run: lampwright search {spec_path}")]) from error


def design_of_rank(ranking: Ranking, rank: int, instead: str) -> Design:
    """The design of this rank. Raises InputError where there is none; `instead` is what to do without any."""
    designs = len(ranking.designs)
    if rank <= designs:
        return ranking.designs[rank - 1]
    has = "no design" if designs == 0 else f"{designs} design{'s' * (designs > 1)}"
    remedy = f"ask for a rank from 1 to {designs}" if designs else instead
    raise InputError([Finding("--rank", f"{rank} is asked for, and the result has {has}", remedy)])
