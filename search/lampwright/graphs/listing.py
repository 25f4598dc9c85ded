"""Every circuit of a cell, each class once, in blocks of constant memory.

An odometer runs over the coordinates (stars, then arcs, then links) along the choices of
`representatives`, so that only canonical tuples are met and no set of seen circuits is
kept; the last coordinate is a tight loop that looks the support up in the rule's table.
The walk's whole state is a few small arrays, so it stops when a block is full and goes on
from there. The smallest case: two terminals and one free edge, one circuit.

A caller may bar options of stars. Circuits behind a barred option are not written: how many
they are is worked out by `completions`, once for all shares, by share 0. Of the others those that
fail a sieve are counted and not written.

Work is split by residue class (the habit of geng, McKay's generator of graphs): share r
of m takes the canonical choices of all stars whose ordinal, in the order of generation, is
r mod m; shares are disjoint and their union is the whole. A cell without stars has one
such choice, the empty one. No source for the code.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.graphs.cell import Cell, CellError, PathRule
from lampwright.graphs.completions import MOST_PAIRS, count_completions, new_answers
from lampwright.graphs.options import OptionTable, most_choices, option_tables
from lampwright.graphs.pathrule import MOST_TABLE_PAIRS, obeys, rule_table
from lampwright.graphs.representatives import OptionChoices, least_choices
from lampwright.graphs.sieve import EdgeSieve, fill_support, no_sieve, slot_of

MOST_VISITS = 2**23
"""Circuits that are looked at before a block is handed out, full or not."""


@dataclass(frozen=True, eq=False)
class Block:
    """Some circuits: options (circuit, coordinate) and the pairs each covers (circuit).

    cut (number): how many circuits lay behind options barred with that number or failed the sieve
    under it, since the block before.
    """

    options: npt.NDArray[np.int32]
    masks: npt.NDArray[np.int64]
    cut: npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Listing:
    """A cell with the option tables that decode its circuits: one per star, then arcs, then links.

    choices: which options may follow each other, in the first `walked` tables: links, where there are
    none, are left out.
    """

    cell: Cell
    tables: tuple[OptionTable, ...]
    walked: int
    choices: OptionChoices

    @property
    def most_circuits(self) -> int:
        """No fewer than it has: renamings of internal vertices told apart, and what no path uses."""
        return most_choices(self.tables)


@lru_cache(maxsize=2)
def open_listing(cell: Cell) -> Listing:
    """The option tables of a cell."""
    tables = option_tables(cell)
    walked = len(tables) - (1 if cell.links == 0 and cell.arcs else 0)
    return Listing(cell, tables, walked, least_choices(tables[:walked]))


def endpoints(listing: Listing, options: npt.NDArray[np.int32]) -> npt.NDArray[np.int8]:
    """The two ends of every part, as (circuit, part, 2): star edges in order, arcs (tail, head), links."""
    ends = [table.ends[options[:, place]] for place, table in enumerate(listing.tables)]
    return np.concatenate(ends, axis=1)


def list_blocks(
    cell: Cell,
    share: int = 0,
    shares: int = 1,
    size: int = 65536,
    rule: PathRule = PathRule.PATH_USED,
    bars: npt.NDArray[np.int8] | None = None,
    sieve: EdgeSieve | None = None,
) -> Iterator[Block]:
    """The circuits of a cell that obey the rule, one of each class, at most `size` to a block.

    bars (star, option): 0, or a number from 1 on: circuits with that option are not
    written but counted under it. sieve: of this cell; circuits that fail it with arcs read as
    undirected are not written but counted, and the others are still to be sifted. Blocks may be
    empty where circuits were cut, or where a long stretch has none that obey.

    >>> from lampwright.graphs.cell import Star
    >>> [block.options.tolist() for block in list_blocks(Cell(2, 1, (Star(1),), 0, 1))]
    [[[1, 0, 2], [2, 0, 1]]]
    """
    if not 0 <= share < shares or size < 1:
        raise ValueError(f"share {share} of {shares} in blocks of {size} cannot be; use 0 <= share < shares")
    if not cell.stars and share:
        return
    listing = open_listing(cell)
    small = cell.pairs <= MOST_TABLE_PAIRS
    table = rule_table(cell.terminals, cell.internal, rule) if small else np.zeros(0, dtype=np.bool_)
    state = np.zeros((3, listing.walked), dtype=np.int64)
    counters = np.array([0, 0, len(cell.stars), share, shares], dtype=np.int64)
    sizes = np.array([cell.terminals, cell.vertices, int(rule)], dtype=np.int64)
    if bars is None:
        bars = np.zeros((len(cell.stars), 0), dtype=np.int8)
    elif cell.pairs > MOST_PAIRS:
        raise CellError(
            f"{cell}: what lies behind bars on {cell.pairs} pairs cannot be counted; use {MOST_PAIRS}"
        )
    sieve = no_sieve() if sieve is None else sieve
    cut = np.zeros(1 + max(bars.max(initial=0), sieve.numbers[:2].max()), dtype=np.int64)
    questions = 2 * listing.most_circuits if share == 0 and bars.any() else 0
    answers = new_answers(questions)
    while True:
        options = np.zeros((size, len(listing.tables)), dtype=np.int32)
        masks = np.empty(size, dtype=np.int64)
        cut[:] = 0
        count = _walk(
            listing.choices, (table, sizes), (*state, counters), (bars, answers, cut), sieve, options, masks
        )
        if count or cut.any() or counters[0] >= 0:
            yield Block(options[:count], masks[:count], cut.copy())
        if counters[0] < 0:
            return


@njit(**ENTRY)
def _walk(choices, rule, place, barred, sieve, options, masks):  # type: ignore[no-untyped-def]
    """Fill the block from where the walk left off; return how many circuits were written.

    rule: its table by support, or empty; then terminals, vertices, rule. place: per coordinate
    the entry it stands on, its node, and the pairs covered before it; then counters: the coordinate at
    work (-1: done), the ordinal of the next choice of stars, the number of stars, share, shares.
    barred: bars, what is remembered of completions, and cut: what lay behind bars or failed the
    sieve, added to.
    """
    # the inner loops get few flat arrays
    start, stop, option, mask, after = choices
    (table, sizes), (cursor, node, covered, counters), (bars, answers, cut) = rule, place, barred
    coordinate, pair_of, supports, numbers = sieve.coordinate, sieve.pair_of, sieve.supports, sieve.numbers
    pair, stack = np.zeros(len(coordinate), dtype=np.int64), np.zeros(64, dtype=np.int64)
    level, ordinal, stars, share, shares = counters
    last, count, visits = len(cursor) - 1, int(0), 0
    row = np.zeros(len(cursor), dtype=np.int32)
    for at in range(min(level, last)):
        row[at] = option[cursor[at]]
    while level >= 0 and count < len(masks) and visits < MOST_VISITS:
        entry, end = cursor[level], stop[node[level]]
        if level == last:
            visits += end - entry
            for edge in range(len(pair)):
                pair[edge] = pair_of[edge, row[coordinate[edge]]]
            entry, count = _leaf(
                entry, end, covered[last], option, mask, table, sizes, row, pair, len(sieve.low_end),
                supports, numbers, cut, count, options, masks,
            )  # fmt: skip
            cursor[last] = entry
            if entry < end:
                if count < len(masks):
                    fill_support(covered[last] | mask[entry], sieve, stack)
                continue
        if entry == end:
            level -= 1
            cursor[max(level, 0)] += 1
            continue
        bar = bars[level, option[entry]] if level < stars and bars.shape[1] > 0 else 0
        if bar > 0 and share == 0:
            cut[bar] += count_completions(
                after[entry], covered[level] | mask[entry], start, stop, mask, after, table, sizes, answers
            )
        if bar == 0 and level == stars - 1:
            ordinal += 1
        if bar > 0 or (level == stars - 1 and (ordinal - 1) % shares != share):
            cursor[level] += 1
            continue
        row[level] = option[entry]
        level += 1
        node[level], covered[level] = after[entry], covered[level - 1] | mask[entry]
        cursor[level] = start[node[level]]
    counters[0], counters[1] = level, ordinal
    return count


@njit(**INNER)
def _leaf(  # type: ignore[no-untyped-def]
    entry, end, before, option, mask, table, sizes, row, pair, pairs, supports, numbers,
    cut, count, options, masks,
):  # fmt: skip
    """Run the last coordinate from `entry` to `end`; return the entry it stopped at and the new count.

    It stops early where the block is full, and at a support that the sieve has not met.
    """
    last = len(row) - 1
    while entry < end:
        support = before | mask[entry]
        passes = table[support] if len(table) > 0 else obeys(support, sizes[0], sizes[1], sizes[2])
        if passes:
            if count == len(masks):
                return entry, count
            number = 0
            if len(supports) > 0:
                slot = slot_of(support, supports, pairs)
                if supports[slot, 0] != support + 1:
                    return entry, count
                number = supports[slot, 1] * numbers[1]
                for edge in range(len(pair)):
                    if (supports[slot, 2 + edge] >> pair[edge]) & 1 == 0:
                        number = numbers[0]
                        break
            if number == 0:
                for place in range(last):
                    options[count, place] = row[place]
                options[count, last] = option[entry]
                masks[count] = support
                count += 1
            else:
                cut[number] += 1
        entry += 1
    return entry, count
