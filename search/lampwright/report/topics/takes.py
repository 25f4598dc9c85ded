"""Which of a spec's choices a design meets, in words. No source: our layout."""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.results.design import OtherWay, Taken

OTHER_WAYS = "The same circuit meets the spec in other ways too:"


def taken_words(takes: Sequence[Taken]) -> list[str]:
    """What is taken, a text for each choice of the spec.

    >>> shown = (("1", "lit"), ("2", "off"))
    >>> taken_words([Taken(of="code 1", when=f"gear {n}", show=f"a {word}") for n, word in shown])
    ['code 1: a lit with gear 1; a off with gear 2']
    """
    said: dict[str, list[str]] = {}
    for one in takes:
        said.setdefault(one.of, []).append(f"{one.show} with {one.when}" if one.when else one.show)
    return [f"{of}: {'; '.join(rows)}" for of, rows in said.items()]


def other_way_words(ways: Sequence[OtherWay]) -> list[str]:
    """The other ways in which a circuit meets the spec, with what to fit for each."""
    told = []
    for one in ways:
        margin = f"{si.stops(one.margin_stops)} of margin with {', '.join(one.fitted)}"
        told.append(f"{'. '.join(taken_words(one.takes))}: {margin}")
    return told
