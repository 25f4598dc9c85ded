"""Fuses, wires and coupling of the sheet for the bench: none is left out, every fuse protects its wire."""

import pytest
from tests.sheets import FOUND, sheet_of
from tests.shipped import shipped

from lampwright.parts.couplings import COUPLINGS, contacts_of
from lampwright.parts.wires import blade_fuses, continuous_amps
from lampwright.results.sheet import BenchSheet, SheetCoupling

OVER = 1.35
"""Nominal lamps take no less than this below what all take at the end of their tolerances."""


def fuses_of(sheet: BenchSheet) -> dict[str, float]:
    """The rating of every fuse [A], by what it is for."""
    return {one.of: one.fuse_amps for one in sheet.fuses if one.fuse_amps is not None}


@pytest.mark.parametrize("name", FOUND)
def test_a_fuse_carries_its_load_and_protects_its_wires(name: str) -> None:
    sheet = sheet_of(name)
    ratings = {fuse.amps for fuse in blade_fuses()}
    assert sheet.fuses[0].of == "main"
    for one in sheet.fuses:
        assert one.fuse_amps in ratings
        assert one.amps <= 0.75 * (one.fuse_amps or 0.0), f"{one.of} is loaded to three quarters at most"
    assert fuses_of(sheet)["main"] == max(fuses_of(sheet).values()), "none behind the main fuse is larger"
    for wire in sheet.wires:
        assert continuous_amps(wire.area_mm2) >= (wire.fuse_amps or 0.0), f"wire {wire.number}"


@pytest.mark.parametrize("name", FOUND)
def test_loads_are_no_less_than_the_stored_ones(name: str) -> None:
    sheet, design = sheet_of(name), shipped(name).designs[0]
    sound = [row for row in design.states if not row.damage]
    fed = {one.of: one.amps for one in sheet.fuses}
    ends = {part.ref: (part.from_node, part.to_node) for part in design.parts}
    taken = []
    for row in sound:
        live = {node.node for node in row.nodes if node.held == "live"}
        parts = [(ends[one.ref], one.amps) for one in row.parts]
        out = sum(amps * ((a in live) - (b in live)) for (a, b), amps in parts)
        taken.append(out)
    assert max(taken) <= fed["main"] <= OVER * max(taken), "at high supply, with lamps that take most"


@pytest.mark.parametrize("name", FOUND)
def test_every_end_of_a_part_has_a_wire_or_is_where_wires_meet(name: str) -> None:
    sheet = sheet_of(name)
    numbers = {wire.number for wire in sheet.wires}
    assert len(numbers) == len(sheet.wires), "a number is given once"
    assert {lead.wire for lead in sheet.leads} <= numbers
    links = [part for part in sheet.design.parts if part.kind == "wire"]
    if links:
        return
    tags = {(lead.ref, lead.node) for lead in sheet.leads}
    bare = [
        node
        for part in sheet.design.parts
        for node in (part.from_node, part.to_node)
        if (part.ref, node) not in tags
    ]
    assert all(node.startswith("j") for node in bare), "at a terminal every part has its own wire"
    assert len(bare) == len(set(bare)), "at a joint all but one part have"


@pytest.mark.parametrize("name", FOUND)
def test_wires_lead_from_the_battery_to_every_terminal(name: str) -> None:
    sheet = sheet_of(name)
    reached = {"battery +"}
    for wire in sheet.wires:
        if wire.from_node in reached or wire.from_node.startswith("fuse "):
            reached.add(wire.to_node)
        if wire.to_node == "fuses":
            reached |= {f"fuse {one.of}" for one in sheet.fuses}
    controls = {feed for of in fuses_of(sheet) if of != "main" for feed in of.split(", ")}
    assert controls <= reached, "every fused terminal hangs on the battery"


def coupling_of(sheet: BenchSheet) -> SheetCoupling:
    assert sheet.coupling is not None
    return sheet.coupling


def test_the_coupling_is_that_of_the_terminals() -> None:
    coupling = coupling_of(sheet_of("trailer_feed_telltale"))
    used = {one.pin: (one.colour, one.terminal, one.wires) for one in coupling.contacts if one.wires}
    assert coupling.name == "ISO 1724"
    assert coupling.zones == "vehicle–trailer"
    assert used == {
        "3": ("white", "31", ("5",)),
        "5": ("brown", "58R", ("4",)),
        "7": ("black", "58L", ("2",)),
    }
    assert coupling.without == ()


def test_another_coupling_says_what_it_has_no_contact_for() -> None:
    sheet = sheet_of("trailer_pair_from_the_box", "four-way flat")
    coupling = coupling_of(sheet)
    lost = {wire.from_node for wire in sheet.wires if wire.number in coupling.without}
    assert lost == {"54"}, "stop and turn share a contact there"
    assert {wire.colour for wire in sheet.wires if wire.from_node == "58"} == {"brown"}
    assert sheet_of("trailer_pair_from_the_box").coupling is None, "nothing goes through one unless asked"


@pytest.mark.parametrize("name", COUPLINGS)
def test_no_two_contacts_are_in_one_place(name: str) -> None:
    contacts = contacts_of(name)
    assert len(contacts) == {"ISO 1724": 7, "ISO 11446": 13, "four-way flat": 4, "seven-way blade": 7}[name]
    assert len({(one.x, one.y) for one in contacts}) == len(contacts)
    assert all(one.x**2 + one.y**2 < 1.0 for one in contacts), "inside the face"
    terminals = [terminal for one in contacts for terminal in one.terminals]
    assert len(terminals) == len(set(terminals)), "a terminal has one contact"
