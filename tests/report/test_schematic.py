"""Schematics read back as geometry: nothing overlaps, all is there, and it is joined as the design says.

The number of crossings is compared with the least over all orders, tried one by one. No outside
source: the checks use the drawing alone, by `drawing`, which knows nothing of the layout.
"""

import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from itertools import combinations, permutations, product

import pytest
from tests.report.drawing import (
    ROOT,
    SVG,
    Box,
    borders,
    boxes,
    bulbs,
    crosses,
    design_of,
    dots,
    joined,
    passes_through,
    random_circuit,
    shipped,
    tangle,
    wires,
)
from tests.selection import examples, some

from lampwright.report.explain.controls import ControlFeed
from lampwright.report.schematic.arrange import descend, exact
from lampwright.report.schematic.layout import puzzle_of
from lampwright.report.schematic.svg import schematic
from lampwright.results.design import Design, PartRow

TURN, BRAKE = ControlFeed("49a", "turn", "flasher"), ControlFeed("54", "brake", "switch")


def drawn(design: Design, feeds: Sequence[ControlFeed]) -> ET.Element:
    return ET.fromstring(schematic(design, feeds).svg)


def groups(root: ET.Element, kind: str) -> list[ET.Element]:
    return [group for group in root.iter(f"{SVG}g") if (group.get("class") or "").split()[:1] == [kind]]


def is_down(part: ET.Element) -> bool:
    """Whether a part's arrow points down."""
    arrow = next(group for group in part.iter(f"{SVG}g") if group.get("class") == "arrow")
    return "rotate(180)" not in arrow.get("transform", "")


def check_free(root: ET.Element) -> None:
    """Nothing overlaps, no line runs through words or symbols, nothing leaves the sheet."""
    found, lines = boxes(root), wires(root)
    for one, two in combinations(found, 2):
        assert not one.overlaps(two), f"{one} overlaps {two}"
    pieces = [piece for wire in lines for piece in wire.pieces]
    for piece, box in product([*pieces, *borders(root)], found):
        assert not passes_through(piece, box), f"{piece} runs through {box}"
    for one_piece, two_piece in combinations(pieces, 2):
        assert not crosses(one_piece, two_piece), f"{one_piece} crosses {two_piece} without a leap"
    left, top, wide, high = (float(word) for word in (root.get("viewBox") or "").split())
    for box in found:
        assert left <= box.x <= box.x + box.width <= left + wide, f"{box} leaves the sheet"
        assert top <= box.y <= box.y + box.height <= top + high, f"{box} leaves the sheet"
    for piece in (*pieces, *borders(root)):
        assert left <= min(piece[::2]) <= max(piece[::2]) <= left + wide, f"{piece} leaves the sheet"
        assert top <= min(piece[1::2]) <= max(piece[1::2]) <= top + high, f"{piece} leaves the sheet"


def check_envelopes(root: ET.Element) -> None:
    """An envelope holds the symbols of its own lamp, and no others."""
    for envelope in groups(root, "envelope"):
        x, y, wide, high = (float(envelope[0].get(name, "nan")) for name in ("x", "y", "width", "height"))
        around = Box(x, y, wide, high, "envelope")
        for part in groups(root, "part"):
            own = part.get("data-kind") == "filament" and part.get("data-lamp") == envelope.get("data-lamp")
            for box in boxes(part):
                assert box.overlaps(around) == own, f"{box} and {around}"
    lamps = [group.get("data-lamp") for group in groups(root, "envelope")]
    filaments = [p.get("data-lamp") for p in groups(root, "part") if p.get("data-kind") == "filament"]
    assert sorted(map(str, lamps)) == sorted({str(lamp) for lamp in filaments if filaments.count(lamp) > 1})


def check_complete(root: ET.Element, design: Design) -> None:
    """Every part and every net is there once, under its own id."""
    refs = [group.get("data-ref") for group in groups(root, "part")]
    assert sorted(map(str, refs)) == sorted(part.ref for part in design.parts)
    nodes = [group.get("data-node") for group in groups(root, "net")]
    assert len(nodes) == len(set(nodes))
    assert {node for part in design.parts for node in (part.from_node, part.to_node)} <= set(nodes)
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    for part in groups(root, "part"):
        inside = [(element.get("class") or "") for element in part.iter()]
        assert inside.count("arrow") == inside.count("amps") == 1
        assert inside.count("glow") == (part.get("data-kind") == "filament")


def check_joined(root: ET.Element) -> None:
    """Following the lines from part to part gives the nodes of the design, each once; joints bear dots."""
    lines = wires(root)
    number = joined(lines)
    node_of: dict[int, str] = {}

    def settle(wire: int, node: str | None) -> None:
        known = node_of.setdefault(number[wire], str(node))
        assert known == node, f"{known} and {node} are joined"

    for place, wire in enumerate(lines):
        if wire.kind in ("rail", "drop"):
            settle(place, wire.owner.get("data-node"))
    for part in groups(root, "part"):
        own = [place for place, wire in enumerate(lines) if wire.owner is part]
        assert len(own) == 2
        ends = [part.get("data-from"), part.get("data-to")]
        for place, node in zip(own, ends if is_down(part) else ends[::-1], strict=True):
            settle(place, node)
    assert len(set(node_of.values())) == len(node_of), f"a node is in two pieces: {node_of}"
    marked = dots(root)
    for one, two in permutations(lines, 2):
        for x, y in one.ends():
            inside = two.meets(x, y) and all(abs(x - u) + abs(y - v) > 0.5 for u, v in two.ends())
            turns = [piece[:2] for piece in two.pieces[1:]]
            if inside and (x, y) not in turns:
                assert (x, y) in marked, f"no dot where {one.kind} meets {two.kind} at {x}, {y}"


def check(design: Design, feeds: Sequence[ControlFeed]) -> None:
    root = drawn(design, feeds)
    check_free(root)
    check_complete(root, design)
    check_joined(root)
    check_envelopes(root)


def test_shipped_designs() -> None:
    names = set()
    for name, design, feeds in shipped():
        check(design, feeds)
        names.add(name)
    assert len(names) >= 5


@pytest.mark.parametrize("hundred", some(range(8), 1))
def test_random_circuits(hundred: int) -> None:
    for seed in range(100 * hundred, 100 * hundred + examples(30, 100)):
        check(*random_circuit(seed, most_parts=7, most_nets=6))


@pytest.mark.parametrize("hundred", some(range(8), 1))
def test_bulbs(hundred: int) -> None:
    for seed in range(100 * hundred, 100 * hundred + examples(30, 100)):
        check(*bulbs(seed))


@pytest.mark.nightly
@pytest.mark.parametrize("hundred", range(8, 10))
def test_large_random_circuits(hundred: int) -> None:
    for seed in range(100 * hundred, 100 * hundred + examples(30, 100)):
        check(*random_circuit(seed))


def test_beyond_the_exact_search() -> None:
    check(*random_circuit(3, most_parts=examples(20, 40), most_nets=14))


def least_crossings(design: Design, feeds: Sequence[ControlFeed]) -> int:
    """Try every order of rails and of columns, each drop and each part in a column of its own."""
    fed = [feed.terminal for feed in feeds]
    ends = [(part.from_node, part.to_node) for part in design.parts]
    joints = sorted({node for pair in ends for node in pair} - {*fed, "31"})
    columns = [("sky", node, "") for node in fed]
    columns += [
        (part.from_node, part.to_node, part.lamp or "" if part.kind == "filament" else "")
        for part in design.parts
    ]
    lamps = [column[2] for column in columns]
    least = 1000
    rails = [("sky", *a, *b, "31") for a in permutations(fed) for b in permutations(joints)]
    for order in permutations(range(len(columns))):
        row = [columns[place] for place in order]
        spans = {}
        for node in (*fed, *joints):
            at = [place for place, column in enumerate(row) if node in column[:2]]
            if at:
                spans[node] = (at[0], at[-1])
        apart = any(
            lamps.count(lamp) > 1
            and [column[2] for column in row].index(lamp) + lamps.count(lamp) - 1
            != max(place for place, column in enumerate(row) if column[2] == lamp)
            for lamp in set(lamps) - {""}
        )
        if apart:
            continue
        for rail in rails:
            crossings = 0
            for place, (one, two, _) in enumerate(row):
                low, high = sorted((rail.index(one), rail.index(two)))
                between = rail[low + 1 : high]
                crossings += sum(
                    node in spans and spans[node][0] < place < spans[node][1] for node in between
                )
            least = min(least, crossings)
    return least


def test_crossings_are_the_least() -> None:
    """A drawing without crossings has the least; those with some are few, and compared."""
    tangled = 0
    for design, feeds in map(tangle, range(examples(120, 300))):
        leaps = sum(wire.leaps for wire in wires(drawn(design, feeds)))
        if leaps:
            tangled += 1
            assert leaps == least_crossings(design, feeds)
    assert tangled >= 4


def test_descent_comes_near_the_least() -> None:
    """Never below the exact search, and with as few crossings for most small circuits."""
    equal = 0
    for design, feeds in map(tangle, range(60)):
        puzzle = puzzle_of(design.parts, [feed.terminal for feed in feeds])
        best, near = exact(puzzle), descend(puzzle)
        assert best is not None
        assert best.crossings <= near.crossings
        equal += best.crossings == near.crossings
    assert equal >= 50


def test_same_design_same_bytes() -> None:
    """In processes with different seeds of their hashes."""
    code = (
        "from tests.report.drawing import random_circuit;"
        "from lampwright.report.schematic.svg import schematic;"
        "from lampwright.report.schematic.text import schematic_text; one = random_circuit(77);"
        "print(ascii(schematic(*one).svg + schematic_text(*one)))"
    )
    runs = [
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=ROOT,
            env={"PYTHONPATH": str(ROOT / "search"), "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert runs[0] == runs[1] != ""


def test_a_hostile_name_is_only_a_name() -> None:
    name = "\"><script>alert('x')</script>&\x00" + "W" * 80
    parts = [PartRow(ref=name, kind="filament", from_node=name, to_node="31", lamp=name, type=name)]
    text = schematic(design_of(parts), (ControlFeed(name, name, "switch"),)).svg
    root = ET.fromstring(text)
    assert not list(root.iter(f"{SVG}script"))
    check_free(root)
    assert groups(root, "part")[0].get("data-ref") == name.replace("\x00", "\ufffd")


def test_what_a_page_turns_on_is_off() -> None:
    root = drawn(
        design_of([PartRow(ref="a", kind="filament", from_node="49a", to_node="54", lamp="a", type="R5W")]),
        (TURN, BRAKE),
    )
    hidden = {"arrow": ("display", "none"), "glow": ("opacity", "0"), "blade closed": ("display", "none")}
    for class_, (name, value) in hidden.items():
        found = [element for element in root.iter() if element.get("class") == class_]
        assert found
        assert all(element.get(name) == value for element in found)
    assert [element.text or "" for element in root.iter() if element.get("class") == "amps"] == [""]
    assert [group.get("data-kind") for group in groups(root, "feed")] == ["flasher", "switch"]


@pytest.mark.parametrize(("one", "two"), [("49a", "31"), ("31", "49a")])
def test_a_diode_points_the_way_it_conducts(one: str, two: str) -> None:
    root = drawn(
        design_of([PartRow(ref="D1", kind="diode", from_node=one, to_node=two, type="1N5404")]), (TURN,)
    )
    part = groups(root, "part")[0]
    symbol = next(group for group in part if group.get("class") == "symbol")
    words = (symbol[0].get("d") or "").split()
    base, tip = float(words[2]), float(words[words.index("L") + 2])
    assert (tip > base) == is_down(part) == (one == "49a")


def test_filaments_of_one_lamp_share_an_envelope() -> None:
    parts = [
        PartRow(ref="stop", kind="filament", from_node="54", to_node="31", lamp="rear", type="P21/5W"),
        PartRow(ref="front", kind="filament", from_node="49a", to_node="31", lamp="front", type="P21W"),
        PartRow(ref="tail", kind="filament", from_node="49a", to_node="31", lamp="rear", type="P21/5W"),
    ]
    root = drawn(design_of(parts), (TURN, BRAKE))
    (envelope,) = groups(root, "envelope")
    rect = envelope[0]
    left, wide = float(rect.get("x", "nan")), float(rect.get("width", "nan"))
    inside = {
        group.get("data-ref")
        for group in groups(root, "part")
        for circle in group.iter(f"{SVG}circle")
        if left < float(circle.get("cx", "nan")) < left + wide
    }
    assert inside == {"stop", "tail"}


def test_words_beside_parts() -> None:
    parts = [
        PartRow(ref="R1", kind="resistor", from_node="49a", to_node="31", ohms=4.7, watts=25.0),
        PartRow(ref="D1", kind="diode", from_node="49a", to_node="31", type="1N5404"),
        PartRow(ref="side", kind="filament", from_node="49a", to_node="31", lamp="side", type="P21W"),
    ]
    said = {(box.says or "").replace("\u00a0", " ") for box in boxes(drawn(design_of(parts), (TURN,)))}
    assert {"R1", "4.7 Ω", "25 W", "D1", "1N5404", "side", "P21W", "49a", "turn", "flasher"} <= said


def test_title_and_description() -> None:
    root = drawn(
        design_of(
            [PartRow(ref="R1", kind="resistor", from_node="49a", to_node="31", ohms=4.7, watts=25.0)], 3
        ),
        (TURN,),
    )
    named = {element.get("id"): element.text for element in root}
    title, described = (root.get("aria-labelledby") or "").split()
    assert "design 3" in str(named[title])
    assert "R1, resistor 4.7 Ω, 25 W, from 49a to 31" in str(named[described])
