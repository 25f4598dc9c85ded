"""A drawing read back from its SVG: boxes, lines, and what is joined to what. Knows nothing of the layout."""

import re
import tomllib
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

from tests.shipped import SPECS
from tests.shipped import shipped as ranking_of

from lampwright.app.controls import controls_of
from lampwright.problem.reading import read_spec
from lampwright.report.explain.controls import ControlFeed, Controls
from lampwright.results.design import Design, PartKind, PartRow, Ratings, Tightest

ROOT = Path(__file__).parents[2]
SVG = "{http://www.w3.org/2000/svg}"
NEAR = 0.06
"""Places are written to a tenth of a pixel: two that are one differ by rounding alone."""

CONTROLS = (
    ControlFeed("49a", "turn", "flasher"),
    ControlFeed("54", "brake", "switch"),
    ControlFeed("58", "lights", "switch"),
    ControlFeed("30", "supply", "supply"),
    ControlFeed("L", "reverse", "positions"),
    ControlFeed("A", "way", "positions", ("30", "31"), 7.5),
    ControlFeed("K", "key", "positions", ("31",)),
    ControlFeed("X", "cross", "positions", ("A", "31", "30"), 30.0),
)


@dataclass(frozen=True)
class Box:
    """A rectangle, and what stands in it."""

    x: float
    y: float
    width: float
    height: float
    says: str

    def overlaps(self, other: "Box") -> bool:
        return (
            self.x < other.x + other.width - NEAR
            and other.x < self.x + self.width - NEAR
            and self.y < other.y + other.height - NEAR
            and other.y < self.y + self.height - NEAR
        )


@dataclass(frozen=True)
class Wire:
    """A conductor: its kind, the group it belongs to, its straight pieces, how often it leaps."""

    kind: str
    owner: ET.Element
    pieces: tuple[tuple[float, float, float, float], ...]
    leaps: int

    def ends(self) -> tuple[tuple[float, float], tuple[float, float]]:
        return self.pieces[0][:2], self.pieces[-1][2:]

    def meets(self, x: float, y: float) -> bool:
        return any(on_piece(piece, x, y) for piece in self.pieces)


def on_piece(piece: tuple[float, float, float, float], x: float, y: float) -> bool:
    """Whether a point lies on a level or upright piece."""
    left, right = sorted((piece[0], piece[2]))
    top, bottom = sorted((piece[1], piece[3]))
    return left - NEAR <= x <= right + NEAR and top - NEAR <= y <= bottom + NEAR


def design_of(parts: Sequence[PartRow], rank: int = 1) -> Design:
    """Make a design of parts alone."""
    rest = Ratings(controls=(), resistors=(), diodes=(), lamps=())
    return Design(
        rank=rank,
        parts=tuple(parts),
        extra_parts=0,
        wires=0,
        joints=0,
        conductors=0,
        margin_stops=1.0,
        tightest=Tightest(state="", lamp="", corner=""),
        states=(),
        ratings=rest,
        choices=(),
        also_drawn_as=(),
        care=None,
        wiring=None,
        flashing=None,
        sweep=None,
        trials=(),
    )


def shipped() -> Iterator[tuple[str, Design, tuple[ControlFeed, ...]]]:
    """Yield every design of every shipped result, and its controls as its spec has them."""
    for path in SPECS:
        spec = tomllib.loads(path.read_text(encoding="utf-8"))
        feeds = [
            ControlFeed(said["feed"], name, said["kind"])
            for name, said in spec["controls"].items()
            if "feed" in said
        ]
        if spec["supply"].get("always_live"):
            feeds.append(ControlFeed("30", "supply", "supply"))
        for design in ranking_of(path.stem).designs:
            yield path.stem, design_of(design.parts, design.rank), tuple(feeds)


def random_circuit(
    seed: int, most_parts: int = 12, most_nets: int = 8
) -> tuple[Design, tuple[ControlFeed, ...]]:
    """Make a circuit of random parts: loops, dangling ends, lamps of two filaments and all."""
    rng = Random(seed)
    feeds = tuple(rng.sample(CONTROLS, rng.randint(1, min(4, most_nets - 1))))
    joints = rng.randint(0, most_nets - 1 - len(feeds))
    nodes = [*(feed.terminal for feed in feeds), *(f"j{n + 1}" for n in range(joints)), "31"]
    kinds: tuple[PartKind, ...] = ("filament", "filament", "filament", "resistor", "diode", "wire")
    parts = []
    for n in range(rng.randint(1, most_parts)):
        ends = rng.sample(nodes, 2) if rng.random() > 0.05 else [rng.choice(nodes)] * 2
        kind = rng.choice(kinds)
        lamp = f"lamp{n - n % 2}" if rng.random() < 0.4 else f"lamp{n}"
        parts.append(
            PartRow(
                ref=f"{kind[0].upper()}{n}",
                kind=kind,
                from_node=ends[0],
                to_node=ends[1],
                lamp=lamp if kind == "filament" else None,
                type={"filament": "P21/5W", "diode": "1N5404"}.get(kind),
                ohms=4.7 if kind == "resistor" else None,
                watts=25.0 if kind == "resistor" else None,
            )
        )
    return design_of(parts), feeds


def tangle(seed: int) -> tuple[Design, tuple[ControlFeed, ...]]:
    """Make a small circuit that more often needs crossings: lamps of two or three filaments, nothing else."""
    rng = Random(seed)
    feeds = CONTROLS[: rng.randint(1, 3)]
    nodes = [*(feed.terminal for feed in feeds), "j1", "j2", "j3", "31"][:6]
    count = 7 - len(feeds)
    lamps = [f"lamp{n // (2 if count < 6 else 3)}" for n in range(count)]
    parts = []
    for n, lamp in enumerate(lamps):
        one, two = rng.sample(nodes, 2)
        parts.append(PartRow(ref=f"F{n}", kind="filament", from_node=one, to_node=two, lamp=lamp))
    return design_of(parts), feeds


def bulbs(seed: int) -> tuple[Design, tuple[ControlFeed, ...]]:
    """Make a circuit of bulbs as they are made, the two filaments of each joined at one pin, among others."""
    rng = Random(seed)
    feeds = tuple(rng.sample(CONTROLS[:4], rng.randint(1, 3)))
    nodes = [*(feed.terminal for feed in feeds), *(f"j{n + 1}" for n in range(rng.randint(0, 2))), "31"]
    parts = []
    for n in range(rng.randint(1, 4)):
        pin = rng.choice([*nodes, "31"])
        others = [node for node in nodes if node != pin]
        for name in ("minor", "major")[: rng.choice((1, 2, 2))]:
            ends = rng.sample([pin, rng.choice(others)], 2)
            lamp, kind = f"lamp{n}", "P21/5W"
            parts.append(
                PartRow(
                    ref=f"{name}{n}",
                    kind="filament",
                    from_node=ends[0],
                    to_node=ends[1],
                    lamp=lamp,
                    type=kind,
                )
            )
    for n in range(rng.randint(0, 3)):
        one, other = rng.sample(nodes, 2)
        parts.append(PartRow(ref=f"D{n}", kind="diode", from_node=one, to_node=other, type="1N5404"))
    return design_of(rng.sample(parts, len(parts))), feeds


def boxes(root: ET.Element) -> list[Box]:
    """List the boxes of all words and symbols."""
    found = []
    for element in root.iter():
        said = element.get("data-box")
        if said is not None:
            x, y, width, height = (float(word) for word in said.split())
            found.append(Box(x, y, width, height, element.text or element.get("class") or ""))
    return found


def turned_symbols(root: ET.Element) -> list[Box]:
    """List the boxes of the symbols that stand in a group moved and turned by a quarter."""
    found = []
    for group in root.iter(f"{SVG}g"):
        turned = re.fullmatch(r"translate\((\S+) (\S+)\) rotate\(-90\)", group.get("transform", ""))
        if turned is None:
            continue
        for symbol in group.iterfind(f"{SVG}g[@class='symbol']"):
            x, y, wide, high = (float(word) for word in symbol.get("data-box", "").split())
            found.append(Box(float(turned[1]) + y, float(turned[2]) - x - wide, high, wide, "symbol"))
    return found


def wires(root: ET.Element) -> list[Wire]:
    """List the conductors of nets and parts."""
    found = []
    for group in root.iter(f"{SVG}g"):
        for element in group.findall(f"{SVG}path"):
            if element.get("class") in ("rail", "drop", "lead"):
                pieces, leaps = _pieces(element.get("d", ""))
                found.append(Wire(element.get("class", ""), group, pieces, leaps))
    return found


def _pieces(d: str) -> tuple[tuple[tuple[float, float, float, float], ...], int]:
    """Take a path of M, H, V and A apart into straight pieces and leaps."""
    x = y = 0.0
    pieces = []
    leaps = 0
    for step in re.findall(r"[MHVA][^MHVA]*", d):
        numbers = [float(word) for word in step[1:].split()]
        before = (x, y)
        match step[0]:
            case "M" | "A":
                x, y = numbers[-2:]
            case "H":
                x = numbers[0]
            case "V":
                y = numbers[0]
        leaps += step[0] == "A"
        if step[0] in "HV":
            pieces.append((*before, x, y))
    return tuple(pieces), leaps


def borders(root: ET.Element) -> list[tuple[float, float, float, float]]:
    """List the sides of the envelopes."""
    found = []
    for rect in root.iter(f"{SVG}rect"):
        x, y, wide, high = (float(rect.get(name, "nan")) for name in ("x", "y", "width", "height"))
        found += [
            (x, y, x + wide, y),
            (x, y + high, x + wide, y + high),
            (x, y, x, y + high),
            (x + wide, y, x + wide, y + high),
        ]
    return found


def passes_through(piece: tuple[float, float, float, float], box: Box) -> bool:
    """Whether a level or upright piece enters a box."""
    left, right = sorted((piece[0], piece[2]))
    top, bottom = sorted((piece[1], piece[3]))
    thin = Box(left - 2 * NEAR, top - 2 * NEAR, right - left + 4 * NEAR, bottom - top + 4 * NEAR, "line")
    inner = Box(box.x + 0.2, box.y + 0.2, box.width - 0.4, box.height - 0.4, box.says)
    return thin.overlaps(inner)


def crosses(one: tuple[float, float, float, float], two: tuple[float, float, float, float]) -> bool:
    """Whether two pieces cross inside both, neither ending there."""
    for level, upright in ((one, two), (two, one)):
        if abs(level[1] - level[3]) < NEAR and abs(upright[0] - upright[2]) < NEAR:
            left, right = sorted((level[0], level[2]))
            top, bottom = sorted((upright[1], upright[3]))
            if left + NEAR < upright[0] < right - NEAR and top + NEAR < level[1] < bottom - NEAR:
                return True
    return False


def dots(root: ET.Element) -> set[tuple[float, float]]:
    """List where dots are."""
    return {
        (float(dot.get("cx", "nan")), float(dot.get("cy", "nan")))
        for dot in root.iter(f"{SVG}circle")
        if dot.get("class") == "dot"
    }


def joined(found: Sequence[Wire]) -> list[int]:
    """Number the conductors so that those joined bear one number: an end of one lies on the other."""
    number = list(range(len(found)))
    for one in range(len(found)):
        for two in range(len(found)):
            if found[one].owner is found[two].owner and found[one].kind == "lead":
                continue
            if any(found[two].meets(x, y) for x, y in found[one].ends()):
                low, high = sorted((number[one], number[two]))
                number = [low if known == high else known for known in number]
    return number


def shipped_drawings(name: str) -> Iterator[tuple[Design, Controls]]:
    """Every design of a shipped spec, or near miss, with what feeds its terminals."""
    ranking = ranking_of(name)
    controls = controls_of(read_spec(ROOT / "specs" / f"{name}.toml"))
    near = ranking.shortfall.near_misses if ranking.shortfall else ()
    for design in (*ranking.designs, *(one.design for one in near)):
        yield design, controls
