"""A drawing measured out: where every post, level and selector stands, and the lines between them, in pixels.

Each post has a strip of its own, as wide as its symbol and its words; each gap with symbols has
rows for the current, the symbol and the names of nets. Nothing of one strip or row reaches into another.

No source: our layout.
"""

from collections.abc import Mapping, Sequence

from lampwright.report.explain.controls import SUPPLY, ControlFeed
from lampwright.report.schematic.fan import BESIDE, Fan, fan_at, half_of, turn_of
from lampwright.report.schematic.feed import (
    KINDS,
    said_of,
)
from lampwright.report.schematic.layout import (
    GROUND,
    DrawnPart,
    Post,
    Rail,
    Skeleton,
    Throw,
    ThrowPosts,
    lay_out,
    shared_lamps,
)
from lampwright.report.schematic.space import (
    AMPS,
    BATTERY,
    FEED_WRONG,
    LEFT,
    LEFT_OF_FEED,
    LEFT_OF_WIRE,
    MARGIN,
    NEAR,
    PLAIN,
    TALL,
    THIN,
    TITLED,
    WITH_FANS,
    WORDS,
    WRONG,
    fit,
    text_width,
    title_of,
    words_of,
)
from lampwright.report.schematic.stars import Head, Selector, drops_of, inner_stars
from lampwright.report.schematic.symbols import path
from lampwright.results.design import Design, PartRow

HOP = 6.0
FAN_ROW, FAN_ROW_UP = 66.0, 58.0
"""In a gap, from its top: the middle of a fan below its pole's rail, and of one above it."""


def laid_out(design: Design, drops: Sequence[Head], stars: Sequence[Selector]) -> Skeleton:
    """Lay out a design below what stands above its terminals, with the selectors between terminals."""
    several = [drop.star for drop in drops if drop.star is not None and len(drop.star.terminals) > 1]
    kin = [f"{several.index(drop.star)}" if drop.star in several else None for drop in drops]
    throws = [
        Throw(star=n, ref=star.control, from_node=star.pole, to_node=name)
        for n, star in enumerate(stars)
        for name in star.throws
    ]
    return lay_out(design.parts, [drop.terminal for drop in drops], kin, throws)


class Measured:
    """What of a drawing is known before it is drawn."""

    def __init__(self, design: Design, feeds: Sequence[ControlFeed]) -> None:
        """Measure out: each post's line, its right edge, where a loop comes back; the heights of levels."""
        self.design = design
        self.feeds = feeds
        self.drops = drops_of(feeds)
        self.stars = inner_stars(feeds)
        self.drawn = drawn = laid_out(design, self.drops, self.stars)
        self.lamps = shared_lamps(design.parts)
        self.prefix = f"d{design.rank}"
        self.rows = WITH_FANS if any(drop.star for drop in self.drops) else PLAIN
        self.titled = {envelope.upper for envelope in drawn.envelopes}
        self.levels = [self.rows.end + THIN - 6.0]
        for gap in range(drawn.ground):
            tall = TALL + TITLED * (gap in self.titled)
            self.levels.append(self.levels[-1] + (tall if gap in drawn.gaps else THIN))
        self.lines: list[float] = []
        self.backs: list[float] = []
        self.rights: list[float] = []
        edge = MARGIN + BATTERY
        for place, post in enumerate(drawn.posts):
            left, right = self._room(place, post)
            self.lines.append(edge + left)
            self.backs.append(edge + left + right + 6.0)
            edge = self.lines[-1] + right + 8.0
            if any(placed.is_loop for placed in post.parts):
                edge = self.backs[-1] + 8.0
            edge = max([edge, *self._fan_words(place)])
            self.rights.append(edge)
        self.width = edge + MARGIN
        self.height = self.levels[-1] + 34.0
        self.fans = [(fan, self._fan_at(fan)) for fan in drawn.fans]
        self.joints = {rail.node: self._joined(rail) for rail in drawn.rails}

    def _tops(self) -> dict[Selector, dict[str, int]]:
        """The posts of the terminals below each selector that stands above them."""
        found: dict[Selector, dict[str, int]] = {}
        for place, post in enumerate(self.drawn.posts):
            star = None if post.feed is None else self.drops[post.feed].star
            if star is not None and post.feed is not None:
                found.setdefault(star, {})[self.drops[post.feed].terminal] = place
        return found

    def _fan_words(self, place: int) -> list[float]:
        """How far the words of the fans that end at a post reach."""
        fans = [(self.stars[fan.star], fan.posts) for fan in self.drawn.fans]
        fans += [(star, tuple(posts.values())) for star, posts in self._tops().items() if len(posts) > 1]
        return [
            (self.lines[posts[0]] + self.lines[place]) / 2.0
            + max(20.0 + text_width(fit(word)) for word in (star.control, KINDS["positions"], "99.9 A"))
            for star, posts in fans
            if posts[-1] == place
        ]

    def _fan_at(self, fan: ThrowPosts) -> Fan:
        """Set the fan of a selector between terminals."""
        y = self.row(fan.throws[0], FAN_ROW if fan.down else FAN_ROW_UP)
        lines = {one.part.to_node: self.lines[at] for at, one in zip(fan.posts, fan.throws, strict=True)}
        return fan_at(self.stars[fan.star], y, fan.down, lines)

    def _room(self, place: int, post: Post) -> tuple[float, float]:
        """Tell how much room a post needs left and right of its line."""
        left, right = 0.0, [8.0]
        if post.feed is not None:
            left, right = self._room_of_drop(place, self.drops[post.feed])
        for fan in self.drawn.fans:
            if fan.posts[0] == place:
                left = max(left, half_of(self.stars[fan.star], len(fan.posts)) + BESIDE)
        for placed in post.parts:
            if isinstance(placed.part, Throw):
                left = max(left, LEFT_OF_WIRE)
                continue
            is_wire = placed.part.kind == "wire"
            left = max(left, LEFT_OF_WIRE if is_wire else LEFT)
            right.append(NEAR + text_width(AMPS if is_wire else WRONG))
            right += [
                (NEAR if is_wire else WORDS) + text_width(word) for word in self.words_beside(placed.part)
            ]
        envelopes = [title_of(one.lamp, one.type) for one in self.drawn.envelopes if one.first == place]
        rails = [fit(rail.node) for rail in self.drawn.rails if rail.first == place and not rail.fed]
        right += [NEAR + text_width(word) for word in (*envelopes, *rails)]
        return left, max(right)

    def _room_of_drop(self, place: int, drop: Head) -> tuple[float, list[float]]:
        """Tell how much room what stands above a post needs left of its line, and right of it at least."""
        right = [16.0 + text_width(fit(word)) for word in (drop.terminal, FEED_WRONG)]
        if drop.feed is not None:
            said = (drop.feed.control, said_of(drop.feed))
            return LEFT_OF_FEED, right + [16.0 + text_width(fit(word)) for word in said]
        star = drop.star
        assert star is not None
        half = half_of(star, len(star.throws))
        if len(star.terminals) == 1:
            named = (star.control, KINDS["positions"], FEED_WRONG)
            return half + BESIDE, right + [half + 16.0 + text_width(fit(word)) for word in named]
        is_first = min(self._tops()[star].values()) == place
        return (half + BESIDE if is_first else LEFT_OF_WIRE), right

    def words_beside(self, part: PartRow) -> tuple[str, ...]:
        """Say what stands beside a part."""
        return words_of(part, part.kind == "filament" and part.lamp in self.lamps)

    def row(self, placed: DrawnPart, row: float) -> float:
        """The height of a row of the gap a part stands in: of its symbol, its arrow, or what is wrong."""
        return self.levels[placed.gap] + row + TITLED * (placed.gap in self.titled)

    def top_at(self, star: Selector, posts: Mapping[str, int]) -> Fan:
        """Set the fan of a selector that stands above its terminals."""
        lines = {name: self.lines[place] for name, place in posts.items()}
        is_down = star.pole in (SUPPLY, GROUND)
        at = lines if is_down else dict.fromkeys(star.throws, lines[star.pole])
        return fan_at(star, self.rows.contact, is_down, at)

    def inside(self, place: int, placed: DrawnPart, level: int) -> float | None:
        """Give the line of the pin of its bulb that a part's end at a level is joined to, if it is."""
        for one in self.drawn.envelopes:
            if one.is_inside(place, placed, level):
                return self.lines[one.first]
        return None

    def is_used(self, rail: Rail) -> bool:
        """Whether anything but one feed ends at a rail."""
        return len(self.joints[rail.node]) > 1 or any(
            placed.meets(rail.node) for post in self.drawn.posts for placed in post.parts
        )

    def to_pole(self, fan: Fan, rail: Rail) -> str:
        """Write the path between a rail and the pole that hangs on it."""
        y = self.levels[rail.level]
        top, bottom = sorted((y, fan.pole))
        over = [
            other.level
            for other in self.drawn.rails
            if top < self.levels[other.level] < bottom
            if (ends := [x for x, _ in self.joints[other.node]]) and min(ends) < fan.x < max(ends)
        ]
        return self.upright(fan.x, top, bottom, over)

    def to_throw(self, fan: Fan, rail: Rail, post: Post, ends: Mapping[str, float]) -> str:
        """Write the path from a throw to its rail: turned to the post's line, then leaping over rails."""
        x, y = ends[rail.node], self.levels[rail.level]
        turn = turn_of(fan, ends, rail.node)
        begin = fan.far if turn is None else turn
        top, bottom = sorted((begin, y))
        hops = [level for level in post.hops if top < self.levels[level] < bottom]
        upright = self.upright(x, top, bottom, hops)
        if turn is None:
            return upright
        at = fan.throws[rail.node]
        if not fan.down:
            return f"{upright} {path('H', at, 'V', fan.far)}"
        return f"{path('M', at, fan.far, 'V', turn, 'H', x)} {upright.removeprefix(path('M', x, turn))}"

    def _joined(self, rail: Rail) -> list[tuple[float, int]]:
        """List where posts meet a rail, and how many branches leave it up or down there."""
        found: dict[float, int] = {}
        for place, post in enumerate(self.drawn.posts):
            x = self.lines[place]
            if post.feed is not None and self.drops[post.feed].terminal == rail.node:
                found[x] = found.get(x, 0) + 1
            for placed in post.parts:
                is_pole = isinstance(placed.part, Throw) and placed.part.from_node == rail.node
                is_inside = self.inside(place, placed, rail.level) is not None
                if placed.meets(rail.node) and not is_pole and not is_inside:
                    found[x] = found.get(x, 0) + 1
                if placed.is_loop and placed.part.from_node == rail.node:
                    found[self.backs[place]] = 1
        for inner, fan in self.fans:
            if self.stars[inner.star].pole == rail.node:
                found[fan.x] = found.get(fan.x, 0) + 1
        return sorted(found.items())

    def upright(self, x: float, top: float, bottom: float, hops: Sequence[int]) -> str:
        """Write the path of an upright line that leaps over rails."""
        steps: list[str | float] = ["M", x, top]
        for y in sorted(self.levels[level] for level in hops):
            steps += ["V", y - HOP, "A", HOP, HOP, "0 0 1", x, y + HOP]
        return path(*steps, "V", bottom)
