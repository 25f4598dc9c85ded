"""Whether the entries of a stored design agree with each other and with its spec, before they are used.

A stored result is read against its schema, so that each entry may stand by itself; but a hand that changes
the file may name a lamp in one place and not in another. What follows from a design, its drawing, its
explanation, its sheet, takes such names on trust.
"""

from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.errors import InputError
from lampwright.judge.design_rows import spec_taking
from lampwright.network.circuit import Circuit
from lampwright.network.netlist import number_nodes
from lampwright.problem.problem import layout_of
from lampwright.problem.reading import helped
from lampwright.results.design import Design, StateRow
from lampwright.spec.model import Spec
from lampwright.spec.states import State, expand_states


def disagreement(design: Design, spec: Spec) -> str:
    """The first thing in which a design of a spec disagrees with itself or with the spec, or nothing."""
    try:
        built = CircuitBuilder.of_design(design, spec.types)
        own = helped(spec, built.parts)
        circuit = built.under(layout_of(own))
    except InputError as error:
        return error.findings[0].said
    if design.takes and spec_taking(own, design.takes) is own:
        return "it takes choices that the spec does not leave"
    states, asked = design.states, expand_states(spec_taking(own, design.takes))
    if len(states) != len(asked):
        return f"it has {len(states)} states, where the spec has {len(asked)}"
    if len({row.positions == () for row in states}) > 1:
        return "some of its states have positions and others have none"
    said = [_of_state(row, state, circuit, own) for row, state in zip(states, asked, strict=True)]
    return next((one for one in (*said, _of_ratings(design, own)) if one), "")


def _of_state(row: StateRow, state: State, circuit: Circuit, spec: Spec) -> str:
    """What a state's row names otherwise than the spec and the circuit do, or nothing."""
    layout = layout_of(spec)
    held = {node.held for node in row.nodes if node.node == "31"} <= {"ground", "open"}
    agrees = (
        (row.state, row.phase) == (state.name, state.phase)
        and row.positions in ((), state.setting)
        and tuple(lamp.lamp for lamp in row.lamps) == layout.filaments
        and tuple(node.node for node in row.nodes)
        == tuple(node.name for node in number_nodes(circuit, layout))
        and tuple(part.ref for part in row.parts)
        == tuple(part.ref for part in circuit.parts if part.kind != "wire")
    )
    if not (agrees and held):
        return f"its state {state.full_name} is told otherwise than the spec has it"
    most = max(spec.supply.volts)
    volts = [abs(one.volts) for rows in (row.lamps, row.nodes, row.parts) for one in rows]
    # so written that what is not a number is not within
    within = all(size <= most for size in volts)
    return "" if within else f"volts of its state {state.full_name} are not from 0 to {most:g}"


def _of_ratings(design: Design, spec: Spec) -> str:
    """What ratings name that the circuit has not, or nothing."""
    refs = {kind: {part.ref for part in design.parts if part.kind == kind} for kind in ("resistor", "diode")}
    for rows, known in (
        (design.ratings.controls, {control.name for control in spec.controls}),
        (design.ratings.resistors, refs["resistor"]),
        (design.ratings.diodes, refs["diode"]),
    ):
        if not {row.ref for row in rows} <= known:
            return "its ratings are of other parts than it has"
    return ""
