"""Where contacts lead, what fuses are rated at, and the marks of what has failed, in drawings read back.

No outside source: the checks use the drawing alone.
"""

import xml.etree.ElementTree as ET

from tests.report import reading
from tests.report.drawing import NEAR, SVG, boxes, crosses, design_of, wires
from tests.report.test_schematic import BRAKE, TURN, check_free, check_joined, drawn, groups

from lampwright.report.explain.controls import ControlFeed
from lampwright.report.schematic.space import SUPPLY_RAIL, text_width
from lampwright.results.design import PartRow


def supply_line(root: ET.Element) -> tuple[float, float]:
    """How far the supply rail reaches: from the battery to its last feed."""
    group = groups(root, "supply")[0]
    d = next(element.get("d") or "" for element in group if " H " in (element.get("d") or ""))
    words = d.split()
    return float(words[1]), float(words[words.index("H") + 1])


def fuse_leads(feed: ET.Element) -> list[tuple[float, float]]:
    """Where a feed is joined to the supply rail."""
    begun = [(element.get("d") or "").split()[:3] for element in feed.iter(f"{SVG}path")]
    return [(float(x), float(y)) for _, x, y in begun if float(y) == SUPPLY_RAIL]


def ways(feed: ET.Element) -> list[str]:
    return [str(one.get("data-to")) for one in feed.iter() if one.get("class") == "blade closed"]


def test_a_contact_leads_where_its_control_joins_it() -> None:
    feeds = (
        ControlFeed("54", "brake", "switch"),
        ControlFeed("A", "way", "positions", ("31", "30")),
        ControlFeed("K", "key", "positions", ("31",)),
        ControlFeed("X", "cross", "positions", ("A",)),
    )
    parts = [
        PartRow(ref=f"l{n}", kind="filament", from_node=one.terminal, to_node="31", lamp=f"l{n}")
        for n, one in enumerate(feeds)
    ]
    root = drawn(design_of(parts), feeds)
    check_free(root)
    assert sorted((str(one.get("data-node")), ways(one)) for one in groups(root, "feed")) == [
        ("54", ["30"]),
        ("A", ["31", "30"]),
        ("A", ["X"]),
        ("K", ["31"]),
    ]
    found = {str(one.get("data-node")): one for one in groups(root, "feed")[:3]}
    fused = {node for node, one in found.items() if any(part.get("class") == "fused" for part in one)}
    assert fused == {"54", "A"}, "a contact to ground alone has no fuse and does not hang on the supply"
    _, reach = supply_line(root)
    ends = [piece[0] for group in groups(root, "feed") for piece in fuse_leads(group)]
    assert reach == max(ends), "the supply rail ends at its last fuse"
    said = {node: {box.says for box in boxes(one)} for node, one in found.items()}
    assert {"key", "selector", "K"} <= said["K"]
    assert {"way", "selector", "A"} <= said["A"]


def test_a_known_fuse_bears_its_rating() -> None:
    parts = [PartRow(ref="a", kind="filament", from_node="49a", to_node="54", lamp="a", type="R5W")]
    root = drawn(design_of(parts), (ControlFeed("49a", "turn", "flasher", fuse=7.5), BRAKE))
    check_free(root)
    ratings = [
        (one.text or "").replace("\u00a0", " ") for one in root.iter() if one.get("class") == "note rating"
    ]
    assert ratings == ["7.5 A"]


def test_what_marks_a_failure_is_hidden_and_has_room() -> None:
    parts = [
        PartRow(ref="a", kind="filament", from_node="49a", to_node="31", lamp="a", type="R5W"),
        PartRow(ref="R1", kind="resistor", from_node="49a", to_node="54", ohms=4.7),
        PartRow(ref="W1", kind="wire", from_node="54", to_node="31"),
    ]
    root = drawn(design_of(parts), (TURN, BRAKE))
    marks = [element for element in root.iter() if element.get("class") in ("cross", "cut")]
    assert all(element.get("display") == "none" for element in marks)
    assert [element.get("class") for element in marks].count("cut") == 1, "one part hangs on ground"
    for part in groups(root, "part"):
        slots = [element for element in part.iter() if element.get("class") == "fault"]
        assert len(slots) == (part.get("data-kind") != "wire")
        for slot in slots:
            wide = float((slot.get("data-box") or "").split()[2])
            assert wide >= text_width("no ground") - NEAR, "the longest word would not fit"
            assert not slot.text


def test_a_jumper_bridges_what_should_not_be_joined() -> None:
    parts = [
        PartRow(ref="a", kind="filament", from_node="49a", to_node="31", lamp="a", type="R5W"),
        PartRow(ref="R1", kind="resistor", from_node="54", to_node="31", ohms=4.7),
    ]
    root = drawn(design_of(parts), (TURN, BRAKE))
    jumpers = [group for group in root.iter(f"{SVG}g") if group.get("class") == "jumper"]
    assert all(group.get("display") == "none" for group in jumpers)
    assert [(one.get("data-one"), one.get("data-other")) for one in jumpers].count((None, None)) == 2
    (between,) = [one for one in jumpers if one.get("data-one")]
    found = reading.strokes_of(root).pieces
    ends = [(float(dot.get("cx", "nan")), float(dot.get("cy", "nan"))) for dot in between[1:]]
    for node, end in zip((between.get("data-one"), between.get("data-other")), ends, strict=True):
        (net,) = [one for one in groups(root, "net") if one.get("data-node") == node]
        assert any(reading.on(piece, *end) for piece in found)
        assert any(wire.owner is net and wire.meets(*end) for wire in wires(root)), "it ends on its terminal"


def test_two_filaments_leave_their_bulb_by_one_pin() -> None:
    parts = [
        PartRow(ref="stop", kind="filament", from_node="54", to_node="31", lamp="rear", type="P21/5W"),
        PartRow(ref="tail", kind="filament", from_node="49a", to_node="31", lamp="rear", type="P21/5W"),
    ]
    root = drawn(design_of(parts), (TURN, BRAKE))
    check_free(root)
    check_joined(root)
    (rect,) = list(root.iter(f"{SVG}rect"))
    left, top, wide, high = (float(rect.get(name, "nan")) for name in ("x", "y", "width", "height"))
    bottom = (left, top + high, left + wide, top + high)
    crossing = [wire for wire in wires(root) if any(crosses(piece, bottom) for piece in wire.pieces)]
    assert len(crossing) == 1, "one lead to ground"
