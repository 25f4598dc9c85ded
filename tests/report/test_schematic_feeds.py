"""Where contacts lead, what fuses are rated at, and the marks of what has failed, in drawings read back.

No outside source: the checks use the drawing alone.
"""

import xml.etree.ElementTree as ET

from tests.report.drawing import NEAR, SVG, boxes, design_of
from tests.report.test_schematic import BRAKE, TURN, check_free, drawn, groups

from lampwright.report.explain.controls import ControlFeed
from lampwright.report.schematic.space import text_width
from lampwright.results.design import PartRow


def supply_line(root: ET.Element) -> tuple[float, float]:
    """How far the supply rail reaches: from the battery to its last feed."""
    group = groups(root, "supply")[0]
    d = next(element.get("d") or "" for element in group if " H " in (element.get("d") or ""))
    words = d.split()
    return float(words[1]), float(words[words.index("H") + 1])


def line_of(feed: ET.Element) -> float:
    """Where a feed stands."""
    circles = [circle for circle in feed.iter(f"{SVG}circle") if circle.get("fill") == "none"]
    return float(circles[-1].get("cx", "nan"))


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
    found = {str(one.get("data-node")): one for one in groups(root, "feed")}
    assert {node: ways(one) for node, one in found.items()} == {
        "54": ["30"],
        "A": ["30", "31"],
        "K": ["31"],
        "X": ["A"],
    }
    fused = {node for node, one in found.items() if any(part.get("class") == "fused" for part in one)}
    assert fused == {"54", "A"}, "a contact to ground alone has no fuse and does not hang on the supply"
    _, reach = supply_line(root)
    supplied = [line_of(found[node]) for node in fused]
    assert reach == max(supplied)
    assert all(line_of(found[node]) not in supplied for node in ("K", "X"))
    said = {node: {box.says for box in boxes(one)} for node, one in found.items()}
    assert "selector to ground" in said["K"]
    assert "selector to A" in said["X"]
    assert "selector to + or 31" in said["A"]


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
