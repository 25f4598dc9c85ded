"""Partitions of terminals by wires.

Outside source: Stirling numbers of the second kind, 1 / 1 1 / 1 3 1 / 1 7 6 1 / 1 15 25 10 1,
and Bell numbers 1, 1, 2, 5, 15, 52 (OEIS A008277, A000110, terms from memory; the rows up to
four are also in the project's notes on enumeration).
"""

import pytest

from lampwright.graphs.partitions import Partition, terminal_partitions

STIRLING = {1: [1], 2: [1, 1], 3: [1, 3, 1], 4: [1, 7, 6, 1], 5: [1, 15, 25, 10, 1]}


@pytest.mark.parametrize("terminals", STIRLING)
def test_numbers_are_stirlings(terminals: int) -> None:
    counts = [len(terminal_partitions(terminals, terminals - blocks)) for blocks in range(1, terminals + 1)]
    assert counts == STIRLING[terminals]


def test_lists_by_hand() -> None:
    assert terminal_partitions(0, 0) == (Partition((), 0),)
    assert terminal_partitions(3, 0) == (Partition((0, 1, 2), 3),)
    assert terminal_partitions(3, 2) == (Partition((0, 0, 0), 1),)
    assert [each.block for each in terminal_partitions(4, 2)] == [
        (0, 0, 0, 1),
        (0, 0, 1, 0),
        (0, 0, 1, 1),
        (0, 1, 0, 0),
        (0, 1, 0, 1),
        (0, 1, 1, 0),
        (0, 1, 1, 1),
    ]


def test_strings_grow_by_one_and_are_in_order() -> None:
    for wires in range(6):
        strings = [each.block for each in terminal_partitions(6, wires)]
        assert strings == sorted(set(strings))
        for string in strings:
            assert all(letter <= max((-1, *string[:place])) + 1 for place, letter in enumerate(string))
            assert len(set(string)) == 6 - wires


def test_as_many_wires_as_terminals_leave_nothing() -> None:
    assert terminal_partitions(2, 2) == ()
    assert terminal_partitions(2, 5) == ()


def test_numbers_below_zero_are_refused() -> None:
    with pytest.raises(ValueError, match="cannot be"):
        terminal_partitions(-1, 0)
    with pytest.raises(ValueError, match="cannot be"):
        terminal_partitions(2, -1)
