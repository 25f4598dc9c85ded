"""A resistor has one wattage, wherever it is drawn, listed, bought or told of, and its heat loads it by half.

The rule is written out here a second time, over the rows of the shipped specs.
"""

import re
from collections.abc import Iterator

import pytest
from tests.shipped import NAMES, SPECS, shipped

from lampwright.problem.reading import read_spec
from lampwright.report.schematic.svg import schematic
from lampwright.report.text import design_text
from lampwright.report.topics.parts import purchases
from lampwright.results.design import Design, PartRow
from lampwright.results.json_text import as_written
from lampwright.spec.model import Spec

WITH_RESISTORS = ("caravan_unmarked_bulbs", "catering_van_night_lamps", "one_filament_stop_tail",
                  "stop_tail_coarse_drawer", "trailer_pair_from_the_box")  # fmt: skip


def designs_of(name: str) -> Iterator[Design]:
    ranking = as_written(shipped(name))
    yield from ranking.designs
    if ranking.shortfall:
        yield from (near.design for near in ranking.shortfall.near_misses)
        yield from (one.design for one in ranking.shortfall.suggestions if "series" not in one.change)


def resistors(design: Design) -> list[PartRow]:
    return [part for part in design.parts if part.kind == "resistor"]


def test_these_specs_have_designs_with_resistors() -> None:
    assert set(WITH_RESISTORS) == {name for name in NAMES if any(map(resistors, designs_of(name)))} - {
        "no_such_circuit"
    }


@pytest.mark.parametrize("name", WITH_RESISTORS)
def test_one_wattage_everywhere(name: str) -> None:
    for design in designs_of(name):
        said = design_text(design, "Design", 80, 12)
        drawn = schematic(design, ()).svg
        for part, rating in zip(resistors(design), design.ratings.resistors, strict=True):
            assert rating.limit == part.watts, "it is rated otherwise than it is fitted"
            watts = f"{part.watts:g} W"
            told = re.findall(rf"\b{part.ref} +(?:[\d.]+ m?W of|resistor [\d.]+ k?Ω,) ([\d.]+ W)", said)
            assert len(told) >= 2, "the text does not tell it"
            assert set(told) == {watts}, "the text has another wattage"
            assert drawn.replace("\u00a0", " ").count(f">{watts}<") >= 1, "it is drawn with another wattage"
            assert any(f"Ω, {watts}" in what.replace("\u00a0", " ") for _, what, _ in purchases(design.parts))
        if design.care:
            heats = design.care.endurance.resistors
            assert [heat.fitted_watts for heat in heats] == [part.watts for part in resistors(design)]
            assert {heat.advised_watts for heat in heats} <= {None, *(heat.fitted_watts for heat in heats)}
            assert all(f"{heat.ref}, {heat.fitted_watts:g} W: " in said for heat in heats)


@pytest.mark.parametrize("name", WITH_RESISTORS)
def test_it_is_the_least_that_its_heat_loads_by_half(name: str) -> None:
    spec = read_spec(next(path for path in SPECS if path.stem == name))
    for design in designs_of(name):
        for part, rating in zip(resistors(design), design.ratings.resistors, strict=True):
            offered = offered_watts(spec, part.ohms or 0.0, rating.worst)
            cool = [watts for watts in offered if 2.0 * rating.worst <= watts]
            assert part.watts == (min(cool) if cool else max(offered)), f"{part.ref}: {rating.worst} W"


def offered_watts(spec: Spec, ohms: float, heat: float) -> set[float]:
    """What may be fitted: of the box, where a row of it bears the heat, and else what the spec lists."""
    assert spec.extras.resistors is not None
    boxed = {row.watts for row in spec.stock.resistors if row.ohms == ohms} if spec.stock else set()
    return {watts for watts in boxed if watts >= heat} or set(spec.extras.resistors.watts)


def test_the_plan_takes_what_the_design_has() -> None:
    ranking = shipped("trailer_pair_from_the_box")
    assert ranking.stock is not None
    (drawn,) = resistors(ranking.designs[0])
    assert all(f"R1 {drawn.ohms:g} ohm {drawn.watts:g} W" in build.fitted for build in ranking.stock.builds)
