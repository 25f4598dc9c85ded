"""A design of a spec's stored result, or why it cannot be had."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from lampwright.app.agreement import disagreement
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
        # a device or a pipe is no result, and may have no end
        if not path.is_file():
            raise FileNotFoundError(path)
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


def stored_design(spec: Spec, spec_path: Path, out: Path, rank: int, instead: str) -> Design:
    """The design of this rank in a spec's stored result under `out`; `instead` is what to do without any.

    Raises InputError as `stored_ranking` and `design_of_rank` do.
    """
    return design_of_rank(stored_ranking(spec, spec_path, out), Stored(spec, spec_path, out), rank, instead)


@dataclass(frozen=True)
class Stored:
    """Where a result is stored: of which spec, which is in this file, in which folder of results."""

    spec: Spec
    spec_path: Path
    out: Path


def design_of_rank(ranking: Ranking, stored: Stored, rank: int, instead: str) -> Design:
    """The design of this rank of a stored ranking.

    Raises InputError where there is none, and where its entries do not agree: a hand has changed the file.
    """
    designs = len(ranking.designs)
    if rank > designs:
        has = "no design" if designs == 0 else f"{designs} design{'s' * (designs > 1)}"
        remedy = f"ask for a rank from 1 to {designs}" if designs else instead
        raise InputError([Finding("--rank", f"{rank} is asked for, and the result has {has}", remedy)])
    design = ranking.designs[rank - 1]
    refuse_disagreeing([design], stored)
    return design


def refuse_disagreeing(designs: Sequence[Design], stored: Stored) -> None:
    """Raise InputError for the first design of a stored result whose entries do not agree."""
    for why in filter(None, (disagreement(design, stored.spec) for design in designs)):
        said = f"its entries do not agree with each other ({why})"
        place = str(stored.out / stored.spec.name / RANKING)
        raise InputError([Finding(place, said, f"run: lampwright search {stored.spec_path}")])
