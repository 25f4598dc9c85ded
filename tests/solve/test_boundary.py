"""What each state makes of the vertices, against rows written out by hand."""

from pathlib import Path

import pytest

from lampwright.solve.boundary import Boundary, boundary_of
from lampwright.spec.load import load_spec, parse_spec
from lampwright.spec.model import Spec, terminals
from lampwright.spec.states import expand_states

SPECS = Path(__file__).parents[2] / "specs"

REVERSING = """
lampwright = 1
title = "A motor switch, as a lamp puzzle: two leads, either way round"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = false
[controls.lever]
kind = "positions"
most_amps = 5.0
positions = { ahead = [["30", "A"], ["31", "B"]], off = [], astern = [["30", "B"], ["31", "A"]] }
[lamps.one]
choose = ["W5W"]
[[behaviour]]
when = { lever = "ahead" }
show = { one = "lit" }
"""

CHAIN = """
lampwright = 1
title = "A second switch is fed through the first"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = true
[controls.main]
kind = "switch"
feed = "15"
most_amps = 10.0
[controls.link]
kind = "positions"
most_amps = 5.0
positions = { open = [], closed = [["15", "58"]] }
[controls.free]
kind = "switch"
feed = "54"
[lamps.one]
choose = ["W5W"]
[[behaviour]]
when = { main = "on" }
show = { one = "lit" }
"""


@pytest.fixture(scope="module")
def sidecar() -> Spec:
    return load_spec(SPECS / "sidecar_side_lamp.toml")


def boundary(spec: Spec, partition: tuple[int, ...], joints: int = 0) -> Boundary | None:
    return boundary_of(spec, expand_states(spec), terminals(spec), partition, joints)


def gate_rows(found: Boundary) -> list[tuple[int, int, int, int]]:
    columns = (found.gates.state, found.gates.control, found.gates.beyond, found.gates.exact)
    return [(int(a), int(b), int(c), int(d)) for a, b, c, d in zip(*columns, strict=True)]


def test_sidecar_states(sidecar: Spec) -> None:
    """Vertices 49a, 54, 58, 31 and one joint; open groups are 2 and up, in that order."""
    assert terminals(sidecar) == ("49a", "54", "58", "31")
    found = boundary(sidecar, (0, 1, 2, 3), joints=1)
    assert found is not None
    wanted = [
        [2, 3, 4, 0, 5],  # all off
        [2, 3, 1, 0, 4],  # lights
        [2, 1, 3, 0, 4],  # brake
        [2, 1, 1, 0, 3],  # brake, lights
        [1, 2, 3, 0, 4],  # turn closed
        [2, 3, 4, 0, 5],  # turn open
        [1, 2, 1, 0, 3],  # turn closed, lights
        [2, 3, 1, 0, 4],  # turn open, lights
        [1, 1, 2, 0, 3],  # turn closed, brake
        [2, 1, 3, 0, 4],  # turn open, brake
        [1, 1, 1, 0, 2],  # turn closed, brake, lights
        [2, 1, 1, 0, 3],  # turn open, brake, lights
    ]
    assert found.vertex_node.tolist() == wanted
    # only turn states how much its contact carries; closed in four states, feeding 49a alone
    assert gate_rows(found) == [(4, 0, 0b1, 1), (6, 0, 0b1, 1), (8, 0, 0b1, 1), (10, 0, 0b1, 1)]


def test_sidecar_states_without_joints(sidecar: Spec) -> None:
    found = boundary(sidecar, (0, 1, 2, 3))
    assert found is not None
    assert found.vertex_node.shape == (12, 4)
    assert found.vertex_node[8].tolist() == [1, 1, 2, 0]


def test_wired_feeds(sidecar: Spec) -> None:
    """49a wired to 54: both live with either, and with both the contacts run side by side."""
    found = boundary(sidecar, (0, 0, 1, 2))
    assert found is not None
    wanted = [
        [2, 3, 0],  # all off
        [2, 1, 0],  # lights
        [1, 2, 0],  # brake
        [1, 1, 0],  # brake, lights
        [1, 2, 0],  # turn closed
        [2, 3, 0],  # turn open
        [1, 1, 0],  # turn closed, lights
        [2, 1, 0],  # turn open, lights
        [1, 2, 0],  # turn closed, brake
        [1, 2, 0],  # turn open, brake
        [1, 1, 0],  # turn closed, brake, lights
        [1, 1, 0],  # turn open, brake, lights
    ]
    assert found.vertex_node.tolist() == wanted
    assert gate_rows(found)[:3] == [(4, 0, 0b1, 1), (6, 0, 0b1, 1), (8, 0, 0b1, 0)], (
        "exact while turn alone feeds the block, a bound while the brake does too"
    )


def test_a_bound_counts_no_other_feed(sidecar: Spec) -> None:
    found = boundary(sidecar, (0, 0, 1, 2))
    assert found is not None
    assert gate_rows(found)[3] == (10, 0, 0b1, 0), "58 has its own contact, and takes nothing through turn's"


@pytest.mark.parametrize("partition", [(0, 1, 2, 0), (0, 1, 2, 1), (0, 1, 2, 2), (0, 0, 1, 0), (0, 0, 0, 0)])
def test_shorted_partitions(partition: tuple[int, ...], sidecar: Spec) -> None:
    assert boundary(sidecar, partition) is None, "a feed wired to ground shorts the supply when it closes"


def test_polarity_reversing() -> None:
    """Terminals A, B, 31: each lead live in one position and grounded in the other."""
    spec = parse_spec(REVERSING, "reversing")
    assert terminals(spec) == ("A", "B", "31")
    found = boundary(spec, (0, 1, 2), joints=1)
    assert found is not None
    assert found.vertex_node.tolist() == [[1, 0, 0, 2], [2, 3, 0, 4], [0, 1, 0, 2]]
    # ahead: its contacts carry what A takes and what B gives; astern: B's, then A's
    assert gate_rows(found) == [(0, 0, 0b01, 1), (0, 0, 0b10, 1), (2, 0, 0b10, 1), (2, 0, 0b01, 1)]
    assert boundary(spec, (0, 0, 1)) is None, "A wired to B joins 30 to 31 in either position"
    assert boundary(spec, (0, 1, 0)) is None, "A wired to 31 is live in one of them"


def test_one_contact_feeds_another() -> None:
    """Terminals 15, 58, 54, 30, 31: main feeds 15, link passes it on to 58."""
    spec = parse_spec(CHAIN, "chain")
    assert terminals(spec) == ("15", "58", "54", "30", "31")
    found = boundary(spec, (0, 1, 2, 3, 4))
    assert found is not None
    wanted = [
        [2, 3, 4, 1, 0],  # all open
        [2, 3, 1, 1, 0],  # free
        [2, 2, 3, 1, 0],  # link: 15 and 58 are one open group
        [2, 2, 1, 1, 0],  # link, free
        [1, 2, 3, 1, 0],  # main
        [1, 2, 1, 1, 0],  # main, free
        [1, 1, 2, 1, 0],  # main, link
        [1, 1, 1, 1, 0],  # main, link, free
    ]
    assert found.vertex_node.tolist() == wanted
    rows = gate_rows(found)
    main = [row for row in rows if row[1] == 0]
    assert main == [(4, 0, 0b01, 1), (5, 0, 0b01, 1), (6, 0, 0b11, 1), (7, 0, 0b11, 1)], (
        "main carries 15, and 58 with it once link is closed"
    )
    assert [row for row in rows if row[1] == 1 and row[0] >= 6] == [(6, 1, 0b10, 1), (7, 1, 0b10, 1)]
    assert {row[1] for row in rows} == {0, 1}, "free states no limit"
    # with nothing live, either side of link will do: both sides' currents are one
    assert [row[2] for row in rows if row[0] in (2, 3)] in ([0b01, 0b01], [0b10, 0b10])
    assert boundary(spec, (0, 1, 2, 3, 3)) is None, "30 wired to 31"


def test_always_live_terminal_wired_to_a_feed() -> None:
    spec = parse_spec(CHAIN, "chain")
    found = boundary(spec, (0, 1, 2, 0, 3))
    assert found is not None
    assert found.vertex_node[0].tolist() == [1, 2, 3, 0], "15 is live through the wire"
    assert (4, 0, 0b1, 0) in gate_rows(found), "main is bridged by the wire: its share is only bounded"
