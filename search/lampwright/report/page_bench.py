"""What the page's script needs to answer a switch: every state of every drawn design, in words.

The words are written here, so that the script finds and shows and never formats. No source: our format.
"""

from collections.abc import Sequence

from jinja2.utils import htmlsafe_json_dumps
from markupsafe import Markup

from lampwright.report import si
from lampwright.report.explain_controls import Controls, Situation
from lampwright.report.page_views import bench_controls
from lampwright.store.design import Design, LampReading, NodeReading, PartReading, StateRow

LEAST_AMPS = 0.001
"""Current below which a path counts as dead: what leaks through a blocking diode is far less."""

Cell = list["str | float"]


def bench_json(designs: Sequence[Design], controls: Controls) -> Markup:
    """Write the states of these designs as JSON that is safe inside HTML."""
    names = [control.name for control in bench_controls(controls)]
    told = {
        "controls": [
            {"name": one.name, "kind": one.kind, "positions": list(one.positions)}
            for one in bench_controls(controls)
        ],
        "states": [_situation(one, names) for one in controls.situations],
        "designs": [_design(design) for design in designs],
    }
    return htmlsafe_json_dumps(told, ensure_ascii=False, separators=(",", ":"))


def first_state(design: Design) -> int:
    """Choose the state to open with: most of what is asked to burn burns; steady before flashing."""
    lit = [sum(lamp.wanted != "any" and lamp.level != "off" for lamp in row.lamps) for row in design.states]
    burning = [sum(lamp.level != "off" for lamp in row.lamps) for row in design.states]
    order = [
        (count, not row.phase, all_, -at)
        for at, (count, row, all_) in enumerate(zip(lit, design.states, burning, strict=True))
    ]
    return -max(order)[-1]


def does(reading: LampReading) -> str:
    """Say what a lamp does: `lit 98 %`, `off`."""
    return reading.level if reading.level == "off" else f"{reading.level} {si.percent(reading.flux)}"


def glow(reading: LampReading) -> float:
    """Give the opacity of a lamp's glow: none while off, else the square root of its light."""
    return 0.0 if reading.level == "off" else round(min(1.0, max(0.15, reading.flux**0.5)), 2)


def _situation(one: Situation, names: Sequence[str]) -> dict[str, object]:
    phases = dict(one.phases)
    setting = dict(one.setting)
    return {
        "setting": [setting[name] for name in names],
        "phases": [phases.get(name, "") for name in names],
        "closed": [[contact.control, contact.a, contact.b] for contact in one.closed],
    }


def _design(design: Design) -> dict[str, object]:
    return {
        "rank": design.rank,
        "lamps": [reading.lamp for reading in design.states[0].lamps],
        "parts": [reading.ref for reading in design.states[0].parts],
        "nodes": [reading.node for reading in design.states[0].nodes],
        "states": [_state(row) for row in design.states],
    }


def _state(row: StateRow) -> dict[str, list[Cell]]:
    return {
        "lamps": [_lamp(reading) for reading in row.lamps],
        "parts": [_part(reading) for reading in row.parts],
        "nodes": [_node(reading) for reading in row.nodes],
    }


def _lamp(reading: LampReading) -> Cell:
    """What it does, how it glows, its volts and amps, and what is asked of it."""
    asked = "" if reading.wanted == "any" else f"{reading.wanted}: {'kept' if reading.meets else 'missed'}"
    amps = "0" + si.SPACE + "A" if reading.amps < LEAST_AMPS else si.amps(reading.amps)
    return [does(reading), glow(reading), _volts(reading.volts), amps, asked]


def _part(reading: PartReading) -> Cell:
    """Which way the current runs (1 from `from` to `to`, -1 back, 0 not at all), and how much."""
    if abs(reading.amps) < LEAST_AMPS:
        return [0, ""]
    return [1 if reading.amps > 0 else -1, si.amps(abs(reading.amps))]


def _node(reading: NodeReading) -> Cell:
    """The potential, and what holds it."""
    return [_volts(reading.volts), reading.held]


def _volts(value: float) -> str:
    return si.volts(value) if abs(value) >= 0.0005 else si.volts(0.0)
