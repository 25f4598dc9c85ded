"""Lessons and worksheets of shipped specs, and what their circuits do told a second way.

The second way is the plain twin of the solver (scipy, `solve/twin.py`), with nodes joined here, and the eye's
edges: 798 K, the Draper point, for a glow, and the specs' quarter of rated light for burning.
"""

import re
from collections.abc import Mapping, Sequence
from functools import cache

from tests.sheets import spec_of
from tests.shipped import shipped

from lampwright.app.lessons import LessonCase, case_of
from lampwright.app.worksheet import WorksheetPages, pages_of, worksheet_of
from lampwright.parts.catalogue import diode_types
from lampwright.parts.diode import DiodeType
from lampwright.parts.filament import Filament, kelvin_of, relative_flux_of
from lampwright.results.design import Design, PartRow
from lampwright.results.ranking import SpecReference
from lampwright.results.worksheet import Worksheet, WorksheetCircuit
from lampwright.solve.shelf import Shelf, shelf_of
from lampwright.solve.twin import TwinPart, operating_point
from lampwright.spec.states import expand_states

LESSONS = (
    "lesson_1_two_in_a_row",
    "lesson_2_both_ends_live",
    "lesson_3_a_filament_as_ground",
    "lesson_4_one_or_the_other",
    "lesson_5_neither",
)
NAMES = (*LESSONS, "sidecar_side_lamp", "parking_light_selector", "one_filament_stop_tail")
SEEN = 798.0
WORDS = {"burns": "burns", "burn": "burns", "glows faintly": "glows", "glow faintly": "glows"}
DARK = ("is dark", "are dark")


@cache
def case_for(name: str, seed: int = 1) -> LessonCase:
    """The first design of a shipped spec as a lesson."""
    return case_of(spec_of(name), shipped(name).designs[0], seed)


@cache
def worksheet(names: tuple[str, ...], seed: int = 1, grade: int = 3) -> Worksheet:
    """A worksheet of some shipped specs."""
    return worksheet_of([case_for(name, seed) for name in names], seed, grade)


@cache
def pages(names: tuple[str, ...], seed: int = 1, grade: int = 3) -> WorksheetPages:
    """Its two pages."""
    return pages_of(worksheet(names, seed, grade), [case_for(name, seed) for name in names], "A4")


def design_of(circuit: WorksheetCircuit) -> Design:
    """The circuit that is asked about, or that is to be drawn."""
    assert circuit.design is not None
    return circuit.design


def title_of(circuit: WorksheetCircuit) -> SpecReference:
    """The spec that it is of."""
    assert circuit.spec is not None
    return circuit.spec


def twin_lights(
    case: LessonCase, parts: Sequence[PartRow], setting: int, volts: float, failed: str = ""
) -> dict[str, str]:
    """What every lamp does in a setting at a supply [V], by the plain twin; failed: an open filament."""
    state = expand_states(case.spec)[setting]
    joined = [(one.a, one.b) for one in state.contacts]
    joined += [(one.from_node, one.to_node) for one in parts if one.kind == "wire"]
    root: dict[str, str] = {}

    def net(node: str) -> str:
        while root.get(node, node) != node:
            node = root[node]
        return node

    for a, b in joined:
        a, b = net(a), net(b)
        if a != b:
            low, high = sorted((a, b), key=lambda one: one not in ("30", "31"))
            assert {a, b} != {"30", "31"}, "a short"
            root[high] = low
    number = {"31": 0, "30": 1}
    shelf = shelf_of(case.spec)
    whole = [one for one in parts if one.kind != "wire" and one.ref != failed]
    twins = []
    for part in whole:
        ends = [number.setdefault(net(node), len(number)) for node in (part.from_node, part.to_node)]
        twins.append(TwinPart(ends[0], ends[1], _model(case, shelf, part)))
    point = operating_point(twins, len(number), volts)
    assert point.converged
    lights = {failed: "dark"} if failed else {}
    for part, twin in zip(whole, twins, strict=True):
        if isinstance(twin.model, Filament):
            across = abs(point.potentials[twin.tail] - point.potentials[twin.head])
            flux = float(relative_flux_of(twin.model, across))
            burns = "burns" if flux >= case.spec.levels.lit.low else "glows"
            lights[part.ref] = burns if float(kelvin_of(twin.model, across)) > SEEN else "dark"
    return lights


def _model(case: LessonCase, shelf: Shelf, part: PartRow) -> Filament | DiodeType | float:
    if part.kind == "resistor":
        return part.ohms or 0.0
    if part.kind == "diode":
        return next(one for one in diode_types() if one.name == part.type)
    lamp = next(one for one in case.spec.lamps if one.name == part.lamp)
    return shelf.lamp(part.type or "").filaments[lamp.filaments.index(part.ref)]


def always(
    case: LessonCase, parts: Sequence[PartRow], setting: int, failed: str = ""
) -> list[dict[str, str]]:
    """The same at each of the spec's supplies, and halfway between them."""
    low, normal, high = case.spec.supply.volts
    every = (low, (low + normal) / 2.0, normal, (normal + high) / 2.0, high)
    return [twin_lights(case, parts, setting, volts, failed) for volts in every]


def said_lights(text: str) -> Mapping[str, str]:
    """Read what an answer says of each lamp."""
    lights = {}
    for clause in text.rstrip(".").split("; "):
        does = next(
            one for one in (*sorted(WORDS, key=len, reverse=True), *DARK) if clause.endswith(f" {one}")
        )
        for lamp in re.split(r", | and ", clause.removesuffix(f" {does}")):
            lights[lamp] = WORDS.get(does, "dark")
    return lights
