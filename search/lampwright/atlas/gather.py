"""What circuits of one size show, gathered: every set of functions that lamps of one circuit show together.

A behaviour is a set of different functions of the feeds, one lamp for each; all other lamps of the circuit
are helpers, whatever they show. It is written up to renaming of the feeds, as the least of its images. A lamp
that is off in every setting shows something only by itself (`NEVER`), since beside others it is a helper.
So what lamps of one circuit show is every subset of their functions. No source: our definitions.

Of the circuits that show a behaviour, their number is kept and the one with the greatest margin: that of the
lamp with the least. Of two lamps that show one function the better counts.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from lampwright.atlas.bound import feed_renamings
from lampwright.atlas.showing import UNCLEAR
from lampwright.solve.laws import Ints

NEVER = 0
DECIMALS = 6
"""Margins are compared rounded, so that no last bit decides."""

Functions = tuple[int, ...]
"""Numbers of functions, rising; bit s of a number is whether a lamp is lit in setting s."""


@dataclass(frozen=True, eq=False)
class ShowingCircuit:
    """Where a circuit is among those of a size, and its fit: joints, circuit, types of the lamps.

    feeds: what its feeds are to be called. lamps: for each function of the behaviour the lamp that shows it.
    stops: its margin.
    """

    joints: int
    circuit: int
    feeds: tuple[int, ...]
    fit: tuple[int, ...]
    lamps: tuple[int, ...]
    stops: float


@dataclass
class Showing:
    """The best circuit found so far for a behaviour, and all circuits (joints, circuit) that show it."""

    best: ShowingCircuit
    circuits: set[tuple[int, int]] = field(default_factory=set)


Gathered = dict[Functions, Showing]


@cache
def renamed(function: int, feeds: tuple[int, ...]) -> int:
    """A function when feed f is called feeds[f].

    >>> renamed(0b0010, (1, 0))  # lit with the first alone, then with the second alone
    4
    """
    moved = 0
    for setting in range(2 ** len(feeds)):
        image = sum(1 << to for at, to in enumerate(feeds) if setting >> at & 1)
        moved |= (function >> setting & 1) << image
    return moved


@dataclass(frozen=True)
class LeastImage:
    """The least image of a set of functions under renaming of the feeds.

    feeds: that renaming. places: of each function the place that it had.
    """

    functions: Functions
    feeds: tuple[int, ...]
    places: tuple[int, ...]


@cache
def least_image(functions: Functions, feeds: int) -> LeastImage:
    """The least image of a set of functions of so many feeds.

    >>> least_image((0b1100, 0b1000), 2)  # B, and both
    LeastImage(functions=(8, 10), feeds=(1, 0), places=(1, 0))
    """
    images = [
        (sorted((renamed(one, names), at) for at, one in enumerate(functions)), names)
        for names in feed_renamings(feeds)
    ]
    least, names = min(images)
    return LeastImage(tuple(one for one, _ in least), names, tuple(at for _, at in least))


def behaviours_of(shown: Functions) -> Iterator[Functions]:
    """Every behaviour that lamps showing these functions, some perhaps `NEVER`, show together."""
    if NEVER in shown:
        yield (NEVER,)
    lit = [one for one in shown if one != NEVER]
    for size in range(1, len(lit) + 1):
        yield from combinations(lit, size)


@dataclass(frozen=True, eq=False)
class Lot:
    """Some circuits in a row, from number `first` on among those with so many joints; fits: (fits, lamps)."""

    fits: Ints
    feeds: int
    joints: int
    first: int


@dataclass(frozen=True, eq=False)
class _Alike:
    """Fitted circuits of a lot whose lamps show the same functions.

    profile: (lamps,) these, rising. rows: (n,) circuit times fits plus fit. order: (n, lamps) lamps as they
    stand in the profile; stops: likewise, their margins.
    """

    profile: NDArray[np.int16]
    rows: Ints
    order: Ints
    stops: NDArray[np.float32]


def gather(found: Gathered, functions: NDArray[np.int16], stops: NDArray[np.float32], lot: Lot) -> None:
    """Add to what is found what the circuits of a lot show.

    functions, stops: (circuits, fits, lamps); a function `UNCLEAR` is none.
    """
    for alike in _profiles(functions, stops):
        shown = tuple(sorted({int(one) for one in alike.profile if one != UNCLEAR}))
        for behaviour in behaviours_of(shown):
            _add(found, alike, behaviour, lot)


def _profiles(functions: NDArray[np.int16], stops: NDArray[np.float32]) -> Iterator[_Alike]:
    """Fitted circuits put together by what their lamps show, whichever lamp shows what."""
    rows = functions.reshape(-1, functions.shape[2])
    clear = np.flatnonzero((rows != UNCLEAR).any(axis=1))
    order = np.argsort(rows[clear], axis=1, kind="stable")
    own = np.take_along_axis(stops.reshape(rows.shape)[clear], order, axis=1)
    profiles, which = np.unique(np.take_along_axis(rows[clear], order, axis=1), axis=0, return_inverse=True)
    by_profile = np.argsort(which.reshape(-1), kind="stable")
    parts = np.split(by_profile, np.cumsum(np.bincount(which.reshape(-1), minlength=len(profiles)))[:-1])
    for profile, some in zip(profiles, parts, strict=False):
        yield _Alike(profile, clear[some], order[some], own[some])


def _add(found: Gathered, alike: _Alike, behaviour: Functions, lot: Lot) -> None:
    """Note that these fitted circuits show a behaviour."""
    columns = [np.flatnonzero(alike.profile == one) for one in behaviour]
    each = np.stack([alike.stops[:, some].max(axis=1) for some in columns], axis=1)
    margins = np.round(each.min(axis=1).astype(np.float64), DECIMALS)
    best = int(margins.argmax())
    circuits = alike.rows // len(lot.fits) + lot.first
    image = least_image(behaviour, lot.feeds)
    lamps = [int(alike.order[best, some[int(alike.stops[best, some].argmax())]]) for some in columns]
    place = ShowingCircuit(
        joints=lot.joints,
        circuit=int(circuits[best]),
        feeds=image.feeds,
        fit=tuple(int(digit) for digit in lot.fits[alike.rows[best] % len(lot.fits)]),
        lamps=tuple(lamps[at] for at in image.places),
        stops=float(margins[best]),
    )
    known = found.setdefault(image.functions, Showing(place))
    if _rank(place) < _rank(known.best):
        known.best = place
    known.circuits.update((lot.joints, int(one)) for one in np.unique(circuits))


def _rank(place: ShowingCircuit) -> tuple[float, int, int, tuple[int, ...]]:
    return (-place.stops, place.joints, place.circuit, place.fit)
