"""Every state at other supplies and with other choices of parts: held to the judge and to Kirchhoff's law.

Source: none; the rows of a design were made by the judge, the readings by a solver call of their own.
"""

import pytest
from msgspec.structs import asdict
from tests.report.test_page.bench import run_of
from tests.shipped import shipped

from lampwright.app.checking import judge_circuit
from lampwright.assess.assess import TRIED
from lampwright.assess.readings import MOST_READ
from lampwright.network.circuit import Part
from lampwright.network.circuit_file import ordered_circuit
from lampwright.problem.problem import layout_of
from lampwright.results.design import Design, PartRow, StateRow
from lampwright.results.trials import StateReading, SupplyPoint

NAMES = ("burnt_out_telltale", "trailer_feed_telltale", "recovery_alternating_pair")


def check_alike(reading: StateReading, state: StateRow) -> None:
    """A reading and the design's own row of a state say the same."""
    assert reading.state == state.full_name
    assert reading.levels == tuple(lamp.level for lamp in state.lamps)
    assert reading.kelvin == pytest.approx([lamp.kelvin for lamp in state.lamps], abs=1)
    # both were solved until currents balance to some 1e-9 A
    assert reading.flux == pytest.approx([lamp.flux for lamp in state.lamps], rel=1e-3, abs=1e-9)
    assert reading.volts == pytest.approx([node.volts for node in state.nodes], abs=1e-4)
    assert reading.across == pytest.approx([part.volts for part in state.parts], abs=1e-4)
    assert reading.amps == pytest.approx([part.amps for part in state.parts], abs=1e-5)


@pytest.mark.parametrize("name", NAMES)
def test_at_the_normal_supply_a_design_reads_as_its_states(name: str) -> None:
    for design in shipped(name).designs[:5]:
        assert design.sweep is not None
        (normal,) = (one for one in points_of(design) if one.supply == design.sweep.volts[1])
        for reading, state in zip(normal.states, design.states, strict=True):
            check_alike(reading, state)


@pytest.mark.parametrize("name", NAMES)
def test_currents_balance_at_every_joint_and_supply(name: str) -> None:
    design = shipped(name).designs[0]
    assert design.sweep is not None
    assert [one.supply for one in points_of(design)] == list(design.sweep.supplies)
    refs = [part.ref for part in design.parts if part.kind != "wire"]
    joints = {end for part in design.parts for end in (part.from_node, part.to_node) if end.startswith("j")}
    for point in points_of(design):
        for reading in point.states:
            amps = dict(zip(refs, reading.amps, strict=True))
            for joint in joints:
                assert abs(sum(signed(part, joint) * amps[part.ref] for part in design.parts)) < 1e-5


def points_of(design: Design) -> tuple[SupplyPoint, ...]:
    assert design.sweep is not None
    assert design.sweep.points is not None
    return design.sweep.points


def signed(part: PartRow, joint: str) -> int:
    """1 where a part's current leaves a joint, -1 where it comes in."""
    return (part.from_node == joint) - (part.to_node == joint)


def test_more_volts_give_more_light() -> None:
    design = shipped("recovery_alternating_pair").designs[0]
    assert design.sweep is not None
    for at in range(len(design.states)):
        for lamp in range(len(design.states[0].lamps)):
            light = [point.states[at].flux[lamp] for point in points_of(design)]
            assert light == sorted(light), "a lamp across the supply dims as it rises"


def test_another_choice_reads_as_when_it_is_judged_alone() -> None:
    run = run_of("sidecar_side_lamp")
    design, layout = run.ranking.designs[0], layout_of(run.spec)
    read = [choice for choice in design.choices if choice.states]
    assert 1 <= len(read) == min(MOST_READ, len(design.choices)), "the first few are read, and no others"
    for choice in read:
        parts = [
            Part(**{key: value for key, value in asdict(row).items() if key in Part.__dataclass_fields__})
            for row in choice.parts or ()
        ]
        told = judge_circuit(run.spec, ordered_circuit(parts, layout)).design
        assert told is not None
        assert told.margin_stops == pytest.approx(choice.margin_stops, abs=1e-6)
        assert choice.states is not None
        assert choice.parts is not None
        for reading, state in zip(choice.states, told.states, strict=True):
            check_alike(reading, state)
        assert [part.lumens for part in choice.parts if part.kind == "filament"] == [
            part.lumens for part in told.parts if part.kind == "filament"
        ]


def test_only_the_first_designs_are_read() -> None:
    designs = shipped("trailer_feed_telltale").designs
    for design in designs:
        told = bool(design.sweep and design.sweep.points)
        assert told == (design.rank <= TRIED)
