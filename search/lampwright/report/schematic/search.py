"""A good order of rails and columns where the exact search would take too long.

From the natural order, columns (lamps with their filaments as one) are moved one at a time
and rails swapped in pairs, as long as that lessens crossings, then length. At most `TRIALS`
orders are measured; always the same answer for the same puzzle. No source: plain descent.
"""

from collections.abc import Iterator, Sequence
from itertools import permutations

from lampwright.report.schematic.exact import exact
from lampwright.report.schematic.order import Column, Order, Puzzle, measure, natural, stacked

TRIALS = 6_000

_Blocks = tuple[tuple[Column, ...], ...]


def arrange(puzzle: Puzzle) -> Order:
    """Order rails and columns: exactly where that is quick, else by descent."""
    return exact(puzzle) or descend(puzzle)


def descend(puzzle: Puzzle) -> Order:
    """Improve the natural order step by step."""
    tracks = tuple(range(puzzle.nets))
    blocks = _blocks(puzzle)
    best = _measured(puzzle, tracks, blocks)
    trials = 0
    better = True
    while better and trials < TRIALS:
        better = False
        for new_tracks, new_blocks in _neighbours(puzzle, tracks, blocks):
            trials += 1
            order = _measured(puzzle, new_tracks, new_blocks)
            if (order.crossings, order.length) < (best.crossings, best.length):
                best, tracks, blocks, better = order, new_tracks, new_blocks, True
                break
            if trials >= TRIALS:
                break
    return best


def _blocks(puzzle: Puzzle) -> _Blocks:
    """Keep what must stand side by side together."""
    blocks: dict[tuple[str, int], tuple[Column, ...]] = {}
    for place, column in enumerate(natural(puzzle)):
        group = puzzle.parts[column.parts[0]].group if column.parts else None
        key = ("alone", place) if group is None else ("group", group)
        blocks[key] = (*blocks.get(key, ()), column)
    return tuple(blocks.values())


def _measured(puzzle: Puzzle, tracks: Sequence[int], blocks: _Blocks) -> Order:
    """Measure an order, neighbours set in lines."""
    columns = tuple(column for block in blocks for column in block)
    return stacked(puzzle, measure(puzzle, tracks, columns))


def _neighbours(
    puzzle: Puzzle, tracks: tuple[int, ...], blocks: _Blocks
) -> Iterator[tuple[tuple[int, ...], _Blocks]]:
    """Yield every order one move away."""
    for place in range(len(blocks)):
        rest = (*blocks[:place], *blocks[place + 1 :])
        for target in range(len(blocks)):
            if target != place:
                yield tracks, (*rest[:target], blocks[place], *rest[target:])
    for place, block in enumerate(blocks):
        if 1 < len(block) < 5:
            for turned in permutations(block):
                yield tracks, (*blocks[:place], turned, *blocks[place + 1 :])
    for low in range(puzzle.nets):
        for high in range(low + 1, puzzle.nets):
            if (low < puzzle.fixed) == (high < puzzle.fixed):
                swapped = list(tracks)
                swapped[low], swapped[high] = swapped[high], swapped[low]
                yield tuple(swapped), blocks
