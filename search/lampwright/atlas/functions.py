"""Boolean functions of the feeds in words: the shortest sum of products, and the trade's name if it has one.

A function is the set of settings in which a lamp is lit, as the bits of a number; in setting s feed f is on
where bit f of s is. Source: Quine, The problem of simplifying truth functions, 1952, from memory, for prime
implicants; NAND, NOR and the like are logic's common names.

>>> function_words(0b1000, 2), function_words(0b0110, 2), function_words(0b0001, 2)
('A and B', 'A or B, not both', 'neither A nor B')
>>> function_name(0b0110, 2), settings_words(0b0110, 2)
('XOR', ('A', 'B'))
"""

from collections.abc import Iterator
from itertools import combinations, product

from lampwright.atlas.bound import FEEDS

Term = tuple[tuple[int, bool], ...]
"""A product: feeds, each on or off."""

NO_FEED = "none"
PHRASES = {
    0b0000_0110: "A or B, not both",
    0b0000_1001: "A and B alike",
    0b0000_0001: "neither A nor B",
    0b0000_0111: "not both A and B",
}
"""Two feeds' functions that people say otherwise."""
NAMES = {
    1: {0b01: "NOT"},
    2: {0b1000: "AND", 0b1110: "OR", 0b0110: "XOR", 0b1001: "XNOR", 0b0001: "NOR", 0b0111: "NAND"},
    3: {
        0b1000_0000: "AND", 0b1111_1110: "OR", 0b0000_0001: "NOR", 0b0111_1111: "NAND",
        0b1001_0110: "odd parity", 0b0110_1001: "even parity",
        0b1110_1000: "majority", 0b0001_0111: "minority",
        0b0001_0110: "one of three", 0b0110_1000: "two of three",
        0b1000_0001: "all alike", 0b0111_1110: "not all alike",
    },
}  # fmt: skip


def function_words(function: int, feeds: int) -> str:
    """What a function of at most three feeds says, in words."""
    if function == 0:
        return "never"
    if function == 2**2**feeds - 1:
        return "always"
    if feeds == 2 and function in PHRASES:
        return PHRASES[function]
    terms = [_term_words(term) for term in _least_cover(function, feeds)]
    if len(terms) > 1:
        terms = [f"({term})" if " and " in term else term for term in terms]
    return " or ".join(terms)


def function_name(function: int, feeds: int) -> str:
    """The name that logic has for a function, "" where it has none."""
    return NAMES.get(feeds, {}).get(function, "")


def settings_words(function: int, feeds: int) -> tuple[str, ...]:
    """The settings in which a lamp with this function is lit, each by the feeds that are on."""
    return tuple(setting_words(at, feeds) for at in range(2**feeds) if function >> at & 1)


def setting_words(setting: int, feeds: int) -> str:
    """The feeds that are on in a setting, `none` where none is."""
    return "".join(FEEDS[feed] for feed in range(feeds) if setting >> feed & 1) or NO_FEED


def lit_without_feeds(function: int) -> bool:
    """Whether a lamp is lit while no feed is live: for that it needs a terminal that is always live."""
    return bool(function & 1)


def _term_words(term: Term) -> str:
    return " and ".join(FEEDS[feed] if on else f"not {FEEDS[feed]}" for feed, on in term)


def _covers(term: Term, setting: int) -> bool:
    return all((setting >> feed & 1) == on for feed, on in term)


def _implicants(function: int, feeds: int) -> Iterator[Term]:
    """Every product that is true in settings of the function alone, those of fewest feeds first."""
    for size in range(1, feeds + 1):
        for chosen in combinations(range(feeds), size):
            for values in product((True, False), repeat=size):
                term = tuple(zip(chosen, values, strict=True))
                if all(function >> at & 1 for at in range(2**feeds) if _covers(term, at)):
                    yield term


def _least_cover(function: int, feeds: int) -> tuple[Term, ...]:
    """The fewest products that together are the function, of these the first, which name few feeds."""
    wanted = {at for at in range(2**feeds) if function >> at & 1}
    terms = list(_implicants(function, feeds))
    for size in range(1, len(wanted) + 1):
        for some in combinations(terms, size):
            if all(any(_covers(term, at) for term in some) for at in wanted):
                return some
    raise AssertionError(f"{function} has no cover")
