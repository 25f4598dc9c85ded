"""Every text drawing, read from its characters, is the circuit it was made of, and its frames are its bulbs.

No outside source: the reader, `text_reading`, knows what characters mean and nothing of how they were set.
"""

from collections import Counter
from collections.abc import Sequence

import pytest
from tests.report.drawing import CONTROLS, bulbs, design_of, random_circuit, shipped_drawings, tangle
from tests.report.selectors import random_selectors
from tests.report.test_schematic_read import circuit_of, signatures
from tests.report.text_reading import Told, read_text
from tests.selection import examples, some
from tests.shipped import NAMES

from lampwright.report.explain.controls import ControlFeed
from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.layout import shared_lamps
from lampwright.report.schematic.text import schematic_text
from lampwright.results.design import Design, PartRow

WIDE = 100_000


def check(design: Design, feeds: Sequence[ControlFeed], width: int = WIDE) -> Told:
    told = read_text(schematic_text(design, feeds, width))
    wanted = circuit_of(design, feeds)
    assert told.drawn.parts.keys() == wanted.parts.keys()
    for one, other in zip(signatures(told.drawn), signatures(wanted), strict=True):
        assert one - other == other - one == Counter()
    lamps = {
        tuple(sorted(part.ref for part in design.parts if part.lamp == lamp))
        for lamp in shared_lamps(design.parts)
    }
    assert {one.parts for one in told.bulbs} == lamps, "a frame is a bulb"
    return told


@pytest.mark.parametrize("name", NAMES)
def test_shipped_designs_read_as_what_they_are(name: str) -> None:
    for design, controls in shipped_drawings(name):
        check(design, feeds_of(design, controls))


@pytest.mark.parametrize("hundred", some(range(8), 1))
def test_selectors_read_as_what_they_are(hundred: int) -> None:
    for seed in range(100 * hundred, 100 * hundred + examples(30, 100)):
        design, controls = random_selectors(seed)
        check(design, feeds_of(design, controls))


@pytest.mark.parametrize("hundred", some(range(8), 1))
def test_random_circuits_read_as_what_they_are(hundred: int) -> None:
    for seed in range(100 * hundred, 100 * hundred + examples(30, 100)):
        check(*random_circuit(seed, most_parts=9))
        check(*tangle(seed))


@pytest.mark.parametrize("hundred", some(range(8), 1))
def test_a_bulb_leaves_its_frame_by_its_three_contacts(hundred: int) -> None:
    for seed in range(100 * hundred, 100 * hundred + examples(30, 100)):
        for one in check(*bulbs(seed)).bulbs:
            # where one filament stands below the other, the rail between them may run through the frame
            assert one.rows > 1 or one.lines == len(one.parts) + 1, "the pin that filaments share is one"


@pytest.mark.parametrize("width", [WIDE, 48])
@pytest.mark.parametrize("net", ["31", "54", "j1"])
def test_a_filament_bridged_by_a_net_is_joined_to_nothing_else(net: str, width: int) -> None:
    """Its line comes back above or below the frame: on it, the bulb's name would be read as a net's."""
    feeds = CONTROLS[1:3]
    ends = (("stop", net, net), ("tail", "58", net), ("other", "58", "j1"), ("fourth", "54", "31"))
    for several in (ends[:2], ends[:3], ends):
        parts = [
            PartRow(
                ref=ref,
                kind="filament",
                from_node=one,
                to_node=two,
                lamp="rear" if ref in ("stop", "tail") else f"lamp {ref}",
                type="P21/5W",
            )
            for ref, one, two in several
        ]
        told = check(design_of(parts), feeds, width)
        assert len(told.bulbs) == 1


@pytest.mark.parametrize("seed", some(range(400), range(68, 80)))
def test_drawings_with_numbers_read_as_what_they_are(seed: int) -> None:
    for design, feeds in (random_circuit(seed, most_parts=12, most_nets=6), bulbs(seed)):
        if "31 ground" in schematic_text(design, feeds, width=80):
            check(design, feeds, width=80)
