"""Drawings for the terminal: two checked by eye, and for many that they fit and leave nothing out.

No source: the two drawings were read against their circuits by hand.
"""

import re

from tests.report.drawing import design_of, random_circuit, shipped
from tests.selection import examples

from lampwright.report.explain.controls import ControlFeed
from lampwright.report.schematic.text import schematic_text
from lampwright.results.design import PartRow

TURN, BRAKE = ControlFeed("49a", "turn", "flasher"), ControlFeed("54", "brake", "switch")

SIDE = """\
battery + ─┬───────────────────┐
           ╱ turn              ╱ brake
           │ flasher           │ switch
           ○ 49a               ○ 54
           │                   │
           ├──────────┐        │
           │          │        │
           │          ⊗ side   │
           │          │ W2.3W  │
           │          │        │
           │          └────────┤
           │                   │
           ⊗ front             ▯ R1
           │ P21W              │ 4.7 Ω
           │                   │ 25 W
           │                   │
31 ground ─┴───────────────────┘
"""

BRIDGE = """\
           ○ a
           │
           ├─────────┬─────────┐
           │         │         │
           ▼ D1      ▲ D2      │ W1
           │ 1N5404  │ 1N5404  │ wire
           │         │         │
           │         └ j1 ─────┘
           │
31 ground ─┘
"""

PARKING = """\
battery + ─┐
           │
           │
           ○ 30
           │
           ├──────────┐
           │          │
           ╱ parking  ╱ parking
           │ left     │ right
           │          │
           ○ L        ○ R
           │          │
           ⊗ left     ⊗ right
           │ R5W      │ R5W
           │          │
31 ground ─┴──────────┘
"""


def test_a_lamp_between_feeds() -> None:
    parts = [
        PartRow(ref="front", kind="filament", from_node="49a", to_node="31", lamp="front", type="P21W"),
        PartRow(ref="side", kind="filament", from_node="49a", to_node="54", lamp="side", type="W2.3W"),
        PartRow(ref="R1", kind="resistor", from_node="54", to_node="31", ohms=4.7, watts=25.0),
    ]
    assert schematic_text(design_of(parts), (TURN, BRAKE)) == SIDE


def test_diodes_point_and_terminals_stand_for_feeds() -> None:
    parts = [
        PartRow(ref="D1", kind="diode", from_node="a", to_node="31", type="1N5404"),
        PartRow(ref="D2", kind="diode", from_node="j1", to_node="a", type="1N5404"),
        PartRow(ref="W1", kind="wire", from_node="a", to_node="j1"),
    ]
    assert schematic_text(design_of(parts)) == BRIDGE


def test_every_drawing_fits_and_names_every_part() -> None:
    circuits = [(design, feeds) for _, design, feeds in shipped()]
    circuits += [random_circuit(seed, most_parts=8, most_nets=6) for seed in range(examples(50, 150))]
    for design, feeds in circuits:
        text = schematic_text(design, feeds)
        assert max(len(line) for line in text.splitlines()) <= 80
        assert all(line == line.rstrip() for line in text.splitlines())
        for part in design.parts:
            assert part.ref in text


def many_lamps(count: int) -> list[PartRow]:
    return [
        PartRow(ref=f"lamp{n}", kind="filament", from_node="49a", to_node="j1", lamp=f"lamp{n}", type="P21W")
        for n in range(count)
    ]


def test_what_is_wide_is_drawn_with_numbers() -> None:
    lines = schematic_text(design_of(many_lamps(12)), (TURN,)).splitlines()
    row = next(line for line in lines if "⊗" in line)
    assert re.findall(r"⊗ (\d+)", row) == [str(n) for n in range(1, 13)]
    told = " ".join(lines[lines.index("") :])
    assert "49a: turn, flasher" in told
    assert all(f"{n + 1}: lamp{n}, lamp P21W" in told for n in range(12))
    assert max(map(len, lines)) <= 80


def test_what_is_too_wide_is_listed() -> None:
    lines = schematic_text(design_of(many_lamps(24)), (TURN,)).splitlines()
    assert lines[0] == "49a: turn, flasher"
    assert lines[1] == "49a — lamp0, lamp P21W  — j1"
    assert len(lines) == 25


def test_a_list_says_what_is_one_bulb() -> None:
    lamps = many_lamps(24)
    lamps += [
        PartRow(ref=name, kind="filament", from_node="49a", to_node="31", lamp="rear", type="P21/5W")
        for name in ("stop", "tail")
    ]
    assert schematic_text(design_of(lamps), (TURN,)).splitlines()[-1] == "rear: one bulb of stop and tail"


def test_a_selector_hangs_on_its_pole() -> None:
    ways = (("left", (("30", "L"),)), ("off", ()), ("right", (("30", "R"),)))
    feeds = [ControlFeed(name, "parking", "positions", positions=ways) for name in ("L", "R")]
    parts = [
        PartRow(ref="left", kind="filament", from_node="L", to_node="31", lamp="left", type="R5W"),
        PartRow(ref="right", kind="filament", from_node="R", to_node="31", lamp="right", type="R5W"),
    ]
    assert schematic_text(design_of(parts), feeds) == PARKING
