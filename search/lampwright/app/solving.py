"""A circuit solved by itself, with no spec: what every filament and node does in some settings.

The circuit is judged against a spec made for it that asks nothing, by the very judge of a search, once
for each supply; what is told are its readings with nominal parts.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lampwright.app.alone import asking_nothing
from lampwright.app.checking import judge_circuit
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.app.frozen_table import frozen
from lampwright.app.notebook import FoundDesign, as_found_design
from lampwright.app.notebook_table import Entry, Table
from lampwright.app.spec_builder import SupplyVolts
from lampwright.errors import FilePlace, Finding, InputError
from lampwright.network.circuit_file import ordered_circuit
from lampwright.problem.problem import layout_of
from lampwright.results.design import StateRow
from lampwright.spec.model import GROUND, SUPPLY, Control, Position, Supply
from lampwright.spec.references import reference_findings
from lampwright.spec.wording import is_no, offered

Joins = Mapping[str, Iterable[str | Sequence[str]]]
"""By name of a setting: nodes that are live, or pairs of nodes that contacts join."""
CONTROL = "setting"
PLACE = FilePlace("solve")


@dataclass(frozen=True)
class Solved:
    """A circuit's operating points: by setting and supply, every filament, node and part.

    designs: the readings at each supply, in order of `volts` [V].
    """

    volts: tuple[float, ...]
    designs: tuple[FoundDesign, ...]

    def lamps(self) -> Table:
        """Volts, amps, watts, relative flux and kelvin: a row per setting, supply and filament."""
        types = {part.ref: part.type for part in self.designs[0].parts}
        rows = (
            (
                *head,
                one.lamp,
                types[one.lamp],
                one.volts,
                one.amps,
                one.volts * one.amps,
                one.flux,
                one.kelvin,
            )
            for head, state in self._states()
            for one in state.lamps
        )
        return Table(
            (CONTROL, "supply", "lamp", "type", "volts", "amps", "watts", "flux", "kelvin"), tuple(rows)
        )

    def nodes(self) -> Table:
        """Potential of every node [V], and what holds it: the supply, ground or nothing."""
        rows = (
            (*head, one.node, one.volts, one.held) for head, state in self._states() for one in state.nodes
        )
        return Table((CONTROL, "supply", "node", "volts", "held"), tuple(rows))

    def parts(self) -> Table:
        """Volts and amps of every part but wires, counted from its first node to its second."""
        rows = (
            (*head, one.ref, one.volts, one.amps) for head, state in self._states() for one in state.parts
        )
        return Table((CONTROL, "supply", "part", "volts", "amps"), tuple(rows))

    def to_frame(self) -> Any:
        """The lamps as a pandas DataFrame. Raises NoLibraryError where there is no pandas."""
        return self.lamps().to_frame()

    def svg(self) -> str:
        """The schematic, as the text of an SVG."""
        return self.designs[0].svg()

    def __str__(self) -> str:
        """Write what the lamps do."""
        return str(self.lamps())

    def __repr__(self) -> str:
        """Say what was solved."""
        count = len(self.designs[0].states)
        volts = ", ".join(f"{one:g} V" for one in self.volts)
        return f"<solved: {count} setting{'s' * (count > 1)} at {volts}>"

    def _repr_html_(self) -> str:
        return self.designs[0]._bare_svg() + self.lamps()._repr_html_()

    def _states(self) -> Iterable[tuple[tuple[Entry, Entry], StateRow]]:
        for at, state in enumerate(self.designs[0].states):
            for volts, design in zip(self.volts, self.designs, strict=True):
                yield (state.positions[0][1], volts), design.states[at]


def solve_circuit(
    circuit: CircuitBuilder,
    supply: float | SupplyVolts,
    live: str | Iterable[str] | None,
    settings: Joins | None,
    system: float,
) -> Solved:
    """Solve a circuit in some settings at some supplies. Raises InputError with every finding."""
    if isinstance(supply, SupplyVolts):
        volts, system = tuple(supply.volts), supply.system
    else:
        volts = (_number(supply),)
    if not any(part.kind == "filament" for part in circuit.parts):
        said, remedy = "the circuit has no lamp", 'add one, as .lamp("x", "P21W", "A", "31")'
        raise InputError([Finding("solve", said, remedy)])
    clean = {"supply": {"system": system, "volts": list(volts)}}
    findings = list(reference_findings(clean, PLACE))
    joins = _pairs(circuit, live, settings, findings)
    if findings:
        raise InputError(findings)
    positions = tuple(Position(name, pairs) for name, pairs in joins.items())
    controls = (Control(CONTROL, "positions", None, positions, None),)
    designs = []
    for one in volts:
        held = Supply(system, (one, one, one), _names(circuit, SUPPLY))
        spec = asking_nothing(circuit.parts, held, controls, circuit.own)
        report = judge_circuit(spec, ordered_circuit(circuit.parts, layout_of(spec)), "solve")
        designs.append(as_found_design(report.design, spec))
    return Solved(volts, tuple(designs))


def _number(supply: object) -> float:
    value = frozen(supply)
    if isinstance(value, bool) or not isinstance(value, int | float) or not value > 0:
        remedy = "give volts, as 13.5, or Supply(12, (11.8, 13.5, 14.4))"
        raise InputError([Finding("solve: supply", is_no(value, "a number of volts above 0"), remedy)])
    return float(value)


def _pairs(
    circuit: CircuitBuilder,
    live: str | Iterable[str] | None,
    settings: Joins | None,
    findings: list[Finding],
) -> dict[str, tuple[tuple[str, str], ...]]:
    """The pairs of nodes that are joined, by setting; what is wrong goes to the findings."""
    if (live is None) == (settings is None):
        said = "neither is given" if live is None else "both are given"
        remedy = 'give one: live="54", or settings={"brake": ["54"], "both": ["54", "58"]}'
        findings.append(Finding("solve: live, settings", said, remedy))
        return {}
    every: dict[str, Iterable[str | Sequence[str]]] = dict(settings or {})
    if live is not None:
        nodes_live = _several(live)
        every = {f"{', '.join(map(str, nodes_live))} live": nodes_live}
    nodes = tuple(dict.fromkeys(end for part in circuit.parts for end in (part.from_node, part.to_node)))
    joins = {}
    for setting, some in every.items():
        joined = [(SUPPLY, one) if isinstance(one, str) else tuple(one) for one in _several(some)]
        for pair in joined:
            unknown = [end for end in pair if end not in (*nodes, SUPPLY, GROUND)]
            if len(pair) != 2:
                remedy = 'give nodes, or pairs as ("31", "A")'
                findings.append(Finding(f"solve: {setting}", f"{pair} is no pair", remedy))
            elif unknown:
                said = f'no part is at "{unknown[0]}"'
                findings.append(Finding(f"solve: {setting}", said, offered(unknown[0], nodes)))
        joins[setting] = () if findings else tuple((one[0], one[1]) for one in joined if one[0] != one[1])
    return joins


def _several(said: Iterable[str | Sequence[str]]) -> tuple[str | Sequence[str], ...]:
    """What is said; a node alone as one of one."""
    return (said,) if isinstance(said, str) else tuple(said)


def _names(circuit: CircuitBuilder, node: str) -> bool:
    return any(node in (part.from_node, part.to_node) for part in circuit.parts)
