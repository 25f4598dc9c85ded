"""A circuit by itself, with no spec: each feed that it names has a switch of the feed's name.

The circuit is judged against a spec made for it that asks nothing, by the very judge of a search; what is
told are its readings with nominal parts at one supply.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from msgspec.structs import replace

from lampwright.app.checking import judge_circuit
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.app.controls import controls_of
from lampwright.app.drawing import drawing, write_drawing
from lampwright.app.explaining import under_own_names
from lampwright.errors import Finding, InputError
from lampwright.network.circuit import Part
from lampwright.network.circuit_file import JOINT, ordered_circuit, read_parts
from lampwright.problem.problem import layout_of
from lampwright.report.explain.explain import explain_design
from lampwright.report.layout import join
from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.text import schematic_text
from lampwright.report.topics.states import state_tables
from lampwright.results.design import Design
from lampwright.results.explanation import Explanation
from lampwright.solve.shelf import NO_SYSTEM, Shelf, with_circuit_types
from lampwright.spec.levels import DEFAULT_LEVELS
from lampwright.spec.model import (
    GROUND,
    SUPPLY,
    BehaviourRow,
    Bounds,
    Control,
    Extras,
    Lamp,
    OwnLamp,
    Spec,
    Supply,
    Zones,
    switch,
)

USUAL = 12.0
MOST_FEEDS = 8
"""So many feeds have 256 settings; nobody reads more."""


@dataclass(frozen=True)
class LoneCircuit:
    """A circuit in every setting of its feeds, and the spec, asking nothing, that it was judged by."""

    file: str
    spec: Spec
    design: Design

    def explanation(self) -> Explanation:
        """Why it does what it does."""
        told = explain_design(self.design, controls_of(self.spec))
        return replace(told, subject=self.file)

    def picture(self, width: int) -> str:
        """Its drawing, and what every lamp does in every setting, as text."""
        controls = controls_of(self.spec)
        drawn = schematic_text(self.design, feeds_of(self.design, controls), width).rstrip("\n")
        # a level is in brackets where it is not asked, and here nothing is
        said = [
            replace(state, lamps=tuple(replace(one, wanted=one.level) for one in state.lamps))
            for state in self.design.states
        ]
        return join((drawn, *state_tables(said, width)))


def lone_circuit(path: Path, volts: float | None) -> LoneCircuit:
    """Work out a circuit file by itself at these volts, or at those of its lamps. Raises InputError."""
    parts, own = read_parts(path), with_circuit_types((), path)
    try:
        built = CircuitBuilder(parts, own)
    except InputError as error:
        raise InputError([one.of(path.name) for one in error.findings]) from None
    lamps = [part for part in built.parts if part.kind == "filament"]
    if not lamps:
        raise InputError([Finding(path.name, "the circuit has no lamp", "add a [[part]] of one")])
    nodes = dict.fromkeys(end for part in built.parts for end in (part.from_node, part.to_node))
    feeds = [node for node in nodes if node not in (SUPPLY, GROUND) and not JOINT.fullmatch(node)]
    if not feeds and SUPPLY not in nodes:
        remedy = "join a part to a feed, as S1 or 54, or to 30, which is always live"
        raise InputError([Finding(path.name, "no part is at a feed, so nothing is ever live", remedy)])
    if len(feeds) > MOST_FEEDS:
        said = f"there are {len(feeds)} feeds ({', '.join(feeds)})"
        remedy = f"leave some out, for at most {MOST_FEEDS}; or write a spec, and name it first"
        raise InputError([Finding(path.name, said, remedy)])
    system = _system(lamps, own)
    shelf = Shelf(system, own)
    rated = min(shelf.lamp(part.type or "").filaments[0].test_volts for part in lamps)
    normal = rated if volts is None else volts
    supply = Supply(system, (normal, normal, normal), SUPPLY in nodes)
    spec = asking_nothing(built.parts, supply, tuple(switch(feed, feed) for feed in feeds), own)
    circuit = ordered_circuit(built.parts, layout_of(spec))
    return LoneCircuit(path.name, spec, under_own_names(spec, circuit, path.name, judge_circuit).design)


def draw_lone(path: Path, to: Path, width: int | None) -> None:
    """Draw a circuit file by itself into a picture file. Raises InputError, NoPictureError, StoreError."""
    lone = lone_circuit(path, None)
    write_drawing(drawing(lone.design, lone.spec), to, width)


def _system(lamps: Sequence[Part], own: tuple[OwnLamp, ...]) -> float:
    """For which volts lamps named without any are made: the usual 12 V if all can be, else what all can."""
    shelf = Shelf(NO_SYSTEM, own)
    made = [
        {float(one.system) for one in shelf.at_any_volts(part.type or "")}
        for part in lamps
        if "@" not in (part.type or "")
    ]
    common = set.intersection(*made) if made else {USUAL}
    return USUAL if USUAL in common or not common else min(common)


def asking_nothing(
    parts: Sequence[Part], supply: Supply, controls: tuple[Control, ...], own: tuple[OwnLamp, ...] = ()
) -> Spec:
    """The spec of some parts and controls that asks nothing; own: lamps of the user's own."""
    lamps: dict[str, list[str]] = {}
    types: dict[str, str] = {}
    for part in parts:
        if part.kind == "filament":
            lamps.setdefault(part.lamp or part.ref, []).append(part.ref)
            types[part.lamp or part.ref] = part.type or ""
    return Spec(
        name="solved",
        title="a circuit by itself",
        supply=supply,
        controls=controls,
        lamps=tuple(Lamp(name, (types[name],), tuple(refs)) for name, refs in lamps.items()),
        extras=Extras(None, None),
        bounds=Bounds(joints=10, wires=0),
        levels=DEFAULT_LEVELS,
        behaviour=(BehaviourRow(1, (), ()),),
        same=(),
        place=Zones((), None),
        digest="",
        text="",
        types=own,
    )
