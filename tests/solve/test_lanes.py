"""Vectors of eight do in every lane what numpy does: operators, choice, bits, tables."""

import numpy as np
from numba import njit

from lampwright.solve.lanes import (
    LANES,
    as_reals,
    begin_of,
    bits_of,
    choose,
    cut_off,
    four_at,
    from_bits,
    least,
    load,
    mask_of,
    most,
    signed_as,
    size_of,
    spread,
    store,
)

DRAW = np.random.default_rng(8)
A, B = DRAW.uniform(-3.0, 3.0, LANES), DRAW.uniform(-3.0, 3.0, LANES)
WHOLE = DRAW.integers(-50, 50, LANES)
TABLE = DRAW.uniform(size=200)


@njit
def do_all(a, b, whole, table, out):  # type: ignore[no-untyped-def]
    a_at, b_at, out_at = begin_of(a), begin_of(b), begin_of(out)
    x, y, k = load(a_at, 0), load(b_at, 0), load(begin_of(whole), 0)
    store(out_at, 0, x + y)
    store(out_at, 8, x - y)
    store(out_at, 16, x * y)
    store(out_at, 24, x / y)
    store(out_at, 32, 2.0 - x)
    store(out_at, 40, size_of(x))
    store(out_at, 48, signed_as(x, y))
    store(out_at, 56, least(x, y))
    store(out_at, 64, most(x, 0.5))
    store(out_at, 72, choose((x < y) & (x > -1.0) | (y >= 2.0), x, y))
    store(out_at, 80, as_reals(cut_off(x)))
    store(out_at, 88, from_bits((bits_of(x) >> 45) << 45))
    store(out_at, 96, as_reals(most((k + 3) - 2 * 1, 0) & 7))
    store(out_at, 104, spread(1.5))
    for at, column in enumerate(four_at(begin_of(table), least(most(k, 0), 49) << 2)):
        store(out_at, 112 + 8 * at, column)
    return mask_of(x <= y)


def test_every_operation() -> None:
    out = np.zeros((18, LANES))
    mask = do_all(A, B, WHOLE, TABLE, out.ravel())
    assert mask == sum(1 << int(lane) for lane in np.flatnonzero(A <= B))
    rows = 4 * np.clip(WHOLE, 0, 49)
    wanted = [
        A + B, A - B, A * B, A / B, 2.0 - A, np.abs(A), np.copysign(A, B), np.minimum(A, B),
        np.maximum(A, 0.5), np.where((A < B) & (A > -1.0) | (B >= 2.0), A, B), np.trunc(A),
        ((A.view(np.int64) >> 45) << 45).view(np.float64), np.maximum(WHOLE + 1, 0) & 7, np.full(LANES, 1.5),
        *(TABLE[rows + at] for at in range(4)),
    ]  # fmt: skip
    for number, (got, want) in enumerate(zip(out, wanted, strict=True)):
        assert got.tolist() == want.tolist(), f"operation {number}"


def test_operators_of_plain_numbers_stay() -> None:
    @njit
    def plain(a, b):  # type: ignore[no-untyped-def]
        return (a << 2) - 1, a / b + b, b < a

    assert plain(3, 0.5) == (11, 6.5, True)
