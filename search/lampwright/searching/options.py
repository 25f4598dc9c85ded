"""What a user may ask of a search besides its spec, such as the aims by which designs are ranked.

The first aim in which two designs differ decides. No source: our choice; fewest parts
come first because the search rises by them, and its proofs speak of them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from lampwright.errors import Finding, InputError
from lampwright.words import Aim

DEFAULT_ORDER: tuple[Aim, ...] = ("extra parts", "wires", "joints", "conductors", "margin", "faults")

BUDGET = 50_000_000


def completed(prefer: Iterable[Aim]) -> tuple[Aim, ...]:
    """All aims: those preferred first, the others behind them in the order they always had.

    >>> completed(("margin",))
    ('margin', 'extra parts', 'wires', 'joints', 'conductors', 'faults')
    """
    return tuple(dict.fromkeys((*prefer, *DEFAULT_ORDER)))


@dataclass(frozen=True)
class SearchOptions:
    """How, and how far, to search.

    out: folder under which the result folder, named like the spec, is made.
    most: most designs to rank.
    workers: number of processes.
    extra_parts: most resistors and diodes together; None as the spec says.
    time_limit: stop after this number of seconds, keeping what was found; None without end.
    fresh: forget what an earlier run of the same search has stored.
    budget: refuse a search of more circuits than this.
    scheduler: address of a Dask scheduler whose workers do the work; None for this machine.
    bound: prove a least number of extra parts first, and list from there; without it all is listed.
    more_lamps: list circuits with up to so many helper lamps more than the least, too.
    prefer: the aims by which designs are ranked, the first that differs deciding; those not named follow.
    """

    out: Path = Path("results")
    most: int = 5
    workers: int = 1
    extra_parts: int | None = None
    time_limit: float | None = None
    fresh: bool = False
    budget: int = BUDGET
    scheduler: str | None = None
    prefer: tuple[Aim, ...] = DEFAULT_ORDER
    bound: bool = True
    more_lamps: int = 0


AIM_OF_WORD: dict[str, Aim] = {aim.replace(" ", "-"): aim for aim in DEFAULT_ORDER}
AIM_WORDS = tuple(AIM_OF_WORD)


def aims_of(words: str) -> tuple[Aim, ...]:
    """All aims in the order that `margin,extra-parts` asks for; raises InputError with every wrong word.

    >>> aims_of("margin,extra-parts")
    ('margin', 'extra parts', 'wires', 'joints', 'conductors', 'faults')
    """
    read = [word.strip() for word in words.split(",")]
    wrong = [f'"{word}" is no aim' for word in dict.fromkeys(read) if word not in AIM_OF_WORD]
    wrong += [f'"{word}" stands {read.count(word)} times' for word in AIM_WORDS if read.count(word) > 1]
    if wrong:
        remedy = f"use some of {', '.join(AIM_WORDS)}, each once, with commas between"
        raise InputError([Finding("--prefer", " and ".join(wrong), remedy)])
    return completed(AIM_OF_WORD[word] for word in read)
