"""The contacts of selectors as stars: a common pole, and the throws that it reaches.

Contacts to the supply and to ground stand above the terminals. A terminal that reaches both is a
pole between them; else the supply, or ground, is the pole of all that it reaches. Contacts
between two terminals stand among the parts, the terminal with the most of them the pole.

No source: our choice, after the change-over and rotary switches of IEC 60617.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from lampwright.report.explain.controls import SUPPLY, ControlFeed
from lampwright.report.schematic.layout import GROUND

Pair = tuple[str, str]


class Selector(Struct, frozen=True):
    """A pole of a control and the throws it reaches, in the order of the positions.

    rest: before which throw its open place is, None where no position leaves it open. start: the
    throws it is at in the control's first position. fuse: the rating of its fuse [A], if known.
    """

    control: str
    pole: str
    throws: tuple[str, ...]
    rest: int | None
    start: tuple[str, ...]
    fuse: float | None = None

    @property
    def is_top(self) -> bool:
        """Whether it leads to the supply or to ground, and so stands above the terminals."""
        return any(name in (SUPPLY, GROUND) for name in (self.pole, *self.throws))

    @property
    def is_supplied(self) -> bool:
        """Whether it hangs on the supply."""
        return SUPPLY in (self.pole, *self.throws)

    @property
    def terminals(self) -> tuple[str, ...]:
        """The terminals below one that stands above them."""
        return self.throws if self.pole in (SUPPLY, GROUND) else (self.pole,)


class Head(Struct, frozen=True):
    """A terminal above the parts, and what stands above it: a switch, a flasher, the supply; or a star."""

    terminal: str
    feed: ControlFeed | None = None
    star: Selector | None = None


def drops_of(feeds: Sequence[ControlFeed]) -> tuple[Head, ...]:
    """List the terminals that stand above the parts."""
    plain = [Head(feed.terminal, feed) for feed in feeds if feed.kind != "positions"]
    stars = [star for star in stars_of(feeds) if star.is_top]
    return (*plain, *(Head(terminal, star=star) for star in stars for terminal in star.terminals))


def inner_stars(feeds: Sequence[ControlFeed]) -> tuple[Selector, ...]:
    """List the stars between terminals."""
    return tuple(star for star in stars_of(feeds) if not star.is_top)


def stars_of(feeds: Sequence[ControlFeed]) -> tuple[Selector, ...]:
    """Part the contacts of every selector into stars, control by control.

    >>> ways = (("left", (("30", "L"),)), ("off", ()), ("right", (("30", "R"),)))
    >>> fed = [ControlFeed(name, "turn", "positions", ("30",), positions=ways) for name in ("L", "R")]
    >>> [(star.pole, star.throws, star.rest) for star in stars_of(fed)]
    [('30', ('L', 'R'), 1)]
    """
    own: dict[str, list[ControlFeed]] = {}
    for feed in feeds:
        if feed.kind == "positions":
            own.setdefault(feed.control, []).append(feed)
    fed = [feed.terminal for feed in feeds if feed.kind != "positions"]
    return tuple(star for some in own.values() for star in _stars(some, fed))


def positions_of(feeds: Sequence[ControlFeed], control: str, pair: Pair) -> tuple[str, ...]:
    """Name the positions in which a control joins a pair of terminals, as far as they are told."""
    told = next(feed.positions for feed in feeds if feed.control == control)
    return tuple(name for name, pairs in told if _has(pairs, *pair))


def _stars(feeds: Sequence[ControlFeed], fed: Sequence[str]) -> Iterator[Selector]:
    """Part the contacts of one control; a terminal that is fed by another is rather the pole."""
    positions = [pairs for _, pairs in feeds[0].positions]
    if not positions:
        positions = [(), tuple((feed.terminal, other) for feed in feeds for other in feed.joins)]
    pairs = [tuple(sorted(pair)) for some in positions for pair in some]
    fuses = {feed.terminal: feed.fuse for feed in feeds}
    for pole, throws in _parted([(one, other) for one, other in dict.fromkeys(pairs)], fed):
        closed = [[throw for throw in throws if _has(some, pole, throw)] for some in positions]
        opened = closed.index([]) if [] in closed else None
        before = {throw for some in closed[:opened] for throw in some}
        rated = [fuses.get(name) or 0.0 for name in (pole, *throws)]
        yield Selector(
            control=feeds[0].control,
            pole=pole,
            throws=throws,
            rest=None if opened is None else len(before),
            start=tuple(closed[0]),
            fuse=max(rated) or None if SUPPLY in (pole, *throws) else None,
        )


def _has(pairs: Iterable[Pair], one: str, other: str) -> bool:
    return (one, other) in pairs or (other, one) in pairs


def _parted(pairs: Sequence[Pair], fed: Sequence[str]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Choose poles until every contact hangs on one."""
    ends = (SUPPLY, GROUND)
    reached = {end: [_other(pair, end) for pair in pairs if end in pair] for end in ends}
    both = [name for name in reached[SUPPLY] if name in reached[GROUND]]
    for end in ends:
        rest = tuple(name for name in reached[end] if name not in both)
        if len(rest) == 1:
            yield rest[0], (end,)
        elif rest:
            yield end, rest
    for name in both:
        yield name, (GROUND, SUPPLY)
    left = [pair for pair in pairs if not set(pair) & set(ends)]
    while left:
        count = Counter(end for pair in left for end in pair)
        pole = max(count, key=lambda name: (count[name], name in fed))
        yield pole, tuple(_other(pair, pole) for pair in left if pole in pair)
        left = [pair for pair in left if pole not in pair]


def _other(pair: Pair, end: str) -> str:
    return pair[1] if pair[0] == end else pair[0]
