"""The narrow drawing read back as geometry: joined as the circuit says, within its width, its words apart.

No outside source: the checks use the drawing alone, by `drawing`, which knows nothing of the layout.
"""

import xml.etree.ElementTree as ET
from collections.abc import Sequence
from itertools import pairwise

import pytest
from tests.report.drawing import (
    SVG,
    borders,
    bulbs,
    crosses,
    joined,
    passes_through,
    random_circuit,
    shipped,
    turned_symbols,
    wires,
)
from tests.selection import some

from lampwright.report.explain.controls import ControlFeed
from lampwright.report.schematic.narrow import TOP, WIDE, narrow_schematic
from lampwright.report.schematic.steps import Need, needs_of, steps
from lampwright.results.design import Design


def drawn(design: Design, feeds: Sequence[ControlFeed]) -> ET.Element:
    return ET.fromstring(narrow_schematic(design, feeds).svg)


def check_joined(root: ET.Element, design: Design, feeds: Sequence[ControlFeed]) -> None:
    """Every end of a part or contact lies on the conductor of its node, and no two nodes share one."""
    found = wires(root)
    number = dict(zip(map(id, found), joined(found), strict=True))
    at: dict[str, set[int]] = {}
    contacts = set()
    for group in root.iter(f"{SVG}g"):
        kind = (group.get("class") or "").split()[0:1]
        own = [wire for wire in found if wire.owner is group or wire.owner in group.iter(f"{SVG}g")]
        if kind == ["part"]:
            arrow = next(one for one in group.iter(f"{SVG}g") if one.get("class") == "arrow")
            ends = [group.get("data-from", ""), group.get("data-to", "")]
            leads = sorted(own, key=lambda wire: wire.pieces[0][0])
            forward = "rotate(-90)" in arrow.get("transform", "")
            for wire, node in zip(leads, ends if forward else ends[::-1], strict=True):
                at.setdefault(node, set()).add(number[id(wire)])
        elif kind == ["feed"]:
            node = group.get("data-node", "")
            way = next(one.get("data-to", "") for one in group.iter(f"{SVG}path") if one.get("data-to"))
            contacts.add((group.get("data-label"), frozenset((node, way))))
            ways = sorted(own, key=lambda wire: wire.pieces[0][0])
            at[f"{node}|{way}"] = {number[id(ways[0])], number[id(ways[-1])]}
    plain = {node: one for node, one in at.items() if "|" not in node}
    assert all(len(one) == 1 for one in plain.values()), "a node is drawn as two conductors"
    assert len({min(one) for one in plain.values()}) == len(plain), "two nodes are drawn as one"
    for pair, outer in at.items():
        if "|" in pair:
            for node in pair.split("|"):
                assert node not in plain or plain[node] <= outer, f"a contact misses {node}"
    wanted = {
        (feed.control, frozenset((feed.terminal, other)))
        for feed in feeds
        if feed.kind != "supply"
        for other in feed.joins
    }
    assert contacts == wanted, "contacts are missing or too many"
    refs = [group.get("data-ref", "") for group in root.iter(f"{SVG}g") if group.get("data-ref")]
    assert sorted(refs) == sorted(part.ref for part in design.parts), "parts are missing"


def check_free(root: ET.Element) -> None:
    """No line crosses another without a leap, and all stays within the width."""
    pieces = [piece for wire in wires(root) for piece in wire.pieces]
    for at, one in enumerate(pieces):
        assert 0.0 <= min(one[0], one[2]) <= max(one[0], one[2]) <= WIDE, f"{one} leaves the sheet"
        for two in pieces[:at]:
            assert not crosses(one, two), f"{one} crosses {two} without a leap"
    symbols = turned_symbols(root)
    assert symbols, "there is a battery at least"
    for at, box in enumerate(symbols):
        assert not any(box.overlaps(other) for other in symbols[:at]), f"{box} overlaps another symbol"
        for wire in wires(root):
            through = wire.kind == "rail" and any(passes_through(piece, box) for piece in wire.pieces)
            assert not through, f"a rail runs through {box}"


# of 53 and 90 a fuse and a contact stand in one step between rails, which has to be wider than others
@pytest.mark.parametrize("seed", some(range(300), (*range(12), 53, 90)))
def test_random_circuits_are_joined_as_they_are(seed: int) -> None:
    design, feeds = random_circuit(seed, most_parts=9)
    loops = any(part.from_node == part.to_node for part in design.parts)
    if not loops:
        root = drawn(design, feeds)
        check_joined(root, design, feeds)
        check_free(root)


def test_steps_are_even_but_where_a_symbol_needs_more() -> None:
    assert steps([], 4, 100.0) == [25.0] * 4
    assert steps([Need(1, 2, 40.0)], 4, 100.0) == [20.0, 40.0, 20.0, 20.0]
    assert steps([Need(0, 2, 60.0), Need(2, 3, 20.0)], 4, 100.0) == [30.0, 30.0, 20.0, 20.0]
    assert steps([Need(0, 1, 150.0), Need(1, 2, 50.0)], 2, 100.0) == [75.0, 25.0], "too little for all"


def test_a_row_needs_its_least_widened_stretch_and_room_for_its_fuse() -> None:
    assert needs_of((2, 0), (), 30.0, 0.0) == [Need(0, 2, 34.0)], "a lamp and two leads, over two steps"
    assert needs_of((0, 3), (1,), 32.0, 36.0) == [Need(1, 3, 41.0), Need(0, 1, 41.0)], (
        "a leap takes 5 each side"
    )
    assert needs_of((1, 1), (), 30.0, 0.0) == [], "a loop has no line"


def test_every_shipped_design_is_joined_as_it_is() -> None:
    for _, design, feeds in shipped():
        root = drawn(design, feeds)
        check_joined(root, design, feeds)
        check_free(root)


def test_words_of_a_row_stay_apart_and_on_the_sheet() -> None:
    for _, design, feeds in shipped():
        rows: dict[float, list[tuple[float, float]]] = {}
        for text in drawn(design, feeds).iter(f"{SVG}text"):
            x, y, wide, _ = (float(word) for word in text.get("data-box", "").split())
            if text.get("text-anchor") != "end":
                rows.setdefault(y, []).append((x, x + wide))
        for spans in rows.values():
            assert all(end <= start for (_, end), (start, _) in pairwise(sorted(spans))), "words overlap"
            assert max(end for _, end in spans) <= WIDE, "words leave the sheet"


def check_bulbs(root: ET.Element, design: Design) -> int:
    """Filaments of one lamp are in one frame that three lines pass, or one says whose bulb it is in."""
    frames = [group for group in root.iter(f"{SVG}g") if group.get("class") == "envelope"]
    pieces = [piece for wire in wires(root) for piece in wire.pieces]
    for frame in frames:
        passed = sum(crosses(piece, border) for piece in pieces for border in borders(frame))
        assert passed == 3, "a bulb of two filaments has three contacts"
    lines = wires(root)
    for rail in lines:
        # rails of the supply begin at the battery
        for end in rail.ends() if rail.kind == "rail" else ():
            meets = end[1] == TOP or any(line.meets(*end) for line in lines if line is not rail)
            assert meets, f"a rail ends in nothing at {end}"
    framed = [frame.get("data-lamp") for frame in frames]
    said = [text.text or "" for text in root.iter(f"{SVG}text")]
    for lamp in {part.lamp for part in design.parts if part.kind == "filament"}:
        own = [part.ref for part in design.parts if part.lamp == lamp and part.kind == "filament"]
        told = [f"same bulb as {ref}" in said for ref in own]
        assert framed.count(lamp) + sum(told) == len(own) - 1, f"{own} are not drawn as one bulb"
    return len(frames)


@pytest.mark.parametrize("hundred", some(range(8), 1))
def test_two_filaments_are_one_bulb(hundred: int) -> None:
    framed = 0
    for seed in range(100 * hundred, 100 * hundred + 100):
        design, feeds = bulbs(seed)
        root = drawn(design, feeds)
        check_joined(root, design, feeds)
        check_free(root)
        framed += check_bulbs(root, design)
    assert framed > 100


def test_a_shipped_bulb_is_one() -> None:
    for name, design, feeds in shipped():
        assert check_bulbs(drawn(design, feeds), design) == (name == "sidecar_side_lamp")


def crossed_words(root: ET.Element) -> list[str]:
    """The words above a row's line that a rail runs through."""
    rails = [
        (float(x), float(top), float(bottom))
        for one in root.iter(f"{SVG}path")
        if one.get("class") == "rail"
        for _, x, top, _, bottom in [one.get("d", "").split()]
    ]
    found = []
    for group in root.iter(f"{SVG}g"):
        if (group.get("class") or "").split()[0:1] not in (["part"], ["feed"]):
            continue
        for text in (one for one in group.iter(f"{SVG}text") if one.get("class") in ("name", "note", "amps")):
            x, y, wide, high = (float(word) for word in text.get("data-box", "").split())
            if any(x < at < x + wide and top < y + high and bottom > y for at, top, bottom in rails):
                found.append(text.text or "amps")
    return found


def test_no_rail_runs_through_words_where_there_is_room() -> None:
    for name, design, feeds in shipped():
        if name == "handcart_tail_or_stop":
            assert crossed_words(drawn(design, feeds)) == []
            return
    pytest.fail("the spec is not shipped")
