"""A word for a lamp and its two phases: taken apart for the cells of the board, and put together again.

>>> joined_word("lit", "off"), joined_word("off", "dim"), joined_word("full", "full")
('flash', 'off/dim', 'full')
>>> halves("counterflash"), halves("nonsense")
(('off', 'lit'), ('nonsense', 'nonsense'))
"""

from lampwright.spec.levels import ANY, FLASHING, STEADY, phase_words

CYCLE = (ANY, "off", "dim", "lit", "full")
"""What a cell goes through; `dark` has a key of its own."""
KEYS = {"a": ANY, "o": "off", "d": "dim", "l": "lit", "f": "full", "k": "dark"}


def halves(word: str) -> tuple[str, ...]:
    """The steady words of a word in the closed and the open phase; what is no word stands in both."""
    known = word in STEADY or word in FLASHING or word.count("/") == 1
    return phase_words(word) if known else (word, word)


def joined_word(closed: str, opened: str) -> str:
    """The word that asks these two, the shortest there is."""
    if closed == opened:
        return closed
    return next((word for word, pair in FLASHING.items() if pair == (closed, opened)), f"{closed}/{opened}")


def next_word(word: str) -> str:
    """The word that a click leads to."""
    return CYCLE[(CYCLE.index(word) + 1) % len(CYCLE)] if word in CYCLE else CYCLE[0]
