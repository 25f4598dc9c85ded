"""How far resistors may stray, and circuits that need a value no series has.

The outside judge is `check` on the circuit with the values named, and arithmetic by hand: 4.7 and 1 ohm in
series are 5.7 ohm, 10 and 10 in parallel 5.
"""

import re
from pathlib import Path

import pytest

from lampwright.app.answering import search_problem
from lampwright.app.checking import check_circuit
from lampwright.assess.resistances import MadeOf, OhmSpan, made_from, rounded_inward
from lampwright.network.circuit import Circuit, Part
from lampwright.problem.problem import prepare
from lampwright.progress.bar import quiet
from lampwright.results.ranking import Ranking
from lampwright.searching.options import SearchOptions
from lampwright.spec.load import parse_spec
from lampwright.spec.model import Spec

SHIPPED = Path(__file__).parents[2] / "specs" / "one_filament_stop_tail.toml"
E12 = 'series = "E12"'
COARSE = 'series = "E3", tolerance = 0.05'


@pytest.fixture(scope="module")
def text() -> str:
    return SHIPPED.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def coarse(text: str) -> Spec:
    """The shipped spec with 1, 2.2, 4.7, 10, 22 and 47 ohm on offer; the lamp needs some 5.6."""
    return parse_spec(text.replace(E12, COARSE), "coarse")


@pytest.fixture(scope="module")
def ranking(coarse: Spec) -> Ranking:
    return search_problem(prepare(coarse), SearchOptions(), quiet())


def meets(spec: Spec, ohms: float) -> bool:
    """Whether the one-resistor circuit meets a spec with these ohms, by the judge of written circuits."""
    lamp = Part("rear", "filament", "54", "31", lamp="rear", type="P21W")
    resistor = Part("R1", "resistor", "58", "54", ohms=ohms, watts=25.0)
    return check_circuit(spec, Circuit((lamp, resistor)), "by_hand.toml").meets


def test_what_no_listed_value_suits_is_told_with_its_range_and_how_to_make_it(ranking: Ranking) -> None:
    assert ranking.verdict.kind == "none"
    found = ranking.nonstandard
    assert found is not None
    assert (found.circuits, found.extra_parts) == (1, 1)
    (design,) = found.designs
    (resistor,) = design.resistors
    assert resistor.made_of == (4.7, 1.0)
    assert resistor.joined == "series"
    assert resistor.ohms == pytest.approx(5.7)
    assert resistor.low < 5.7 < resistor.high


def test_a_range_ends_where_the_written_circuit_starts_to_fail(ranking: Ranking, coarse: Spec) -> None:
    assert ranking.nonstandard is not None
    (resistor,) = ranking.nonstandard.designs[0].resistors
    assert meets(coarse, 5.7)
    assert meets(coarse, resistor.low)
    assert meets(coarse, resistor.high)
    assert not meets(coarse, resistor.low / 1.01)
    assert not meets(coarse, resistor.high * 1.01)


def test_a_design_says_how_far_its_resistor_may_stray(text: str) -> None:
    spec = parse_spec(text, "shipped")
    (design,) = search_problem(prepare(spec), SearchOptions(), quiet()).designs
    (row,) = design.resistors
    assert (row.ref, row.ohms, row.whole) == ("R1", 5.6, False)
    assert meets(spec, row.low)
    assert meets(spec, row.high)
    assert not meets(spec, row.low / 1.01)
    assert not meets(spec, row.high * 1.01)


def test_a_written_circuit_that_misses_is_told_which_resistance_would_do(coarse: Spec) -> None:
    lamp = Part("rear", "filament", "54", "31", lamp="rear", type="P21W")
    near = Circuit((lamp, Part("R1", "resistor", "58", "54", ohms=4.7, watts=25.0)))
    (said,) = (one for one in check_circuit(coarse, near, "near.toml").remarks if "would meet" in one)
    assert said.startswith("It would meet the spec with R1 from 4.8")
    far = Circuit((lamp, Part("R1", "resistor", "54", "31", ohms=4.7)))
    remarks = check_circuit(coarse, far, "far.toml").remarks
    assert "No resistance within the spec's range makes this circuit meet it." in remarks


def test_none_is_said_of_every_resistance(text: str) -> None:
    spec = parse_spec(text.replace(E12, COARSE).replace("[1.0, 47.0]", "[10.0, 47.0]"), "high")
    ranking = search_problem(prepare(spec), SearchOptions(bound=False), quiet())
    assert ranking.verdict.kind == "none"
    assert ranking.nonstandard is None
    (one,) = (count for count in ranking.search.part_counts if count.extra_parts == 1)
    assert (one.decided, one.undecided) == (True, 0)
    last = ranking.verdict.proved[-1]
    assert "for every resistance from 10 to 47 Ω" in last
    assert "values between" not in last


CROWDED = """
[place]
vehicle = ["supply", "lights", "brake"]
trailer = ["rear"]
most_conductors = 0
"""


@pytest.mark.parametrize(
    ("resistors", "more"),
    [(COARSE, ""), (f"{COARSE}, most = 2", ""), (COARSE, CROWDED), ('series = "E12"', CROWDED)],
)
def test_every_listed_circuit_is_accounted_for_once(text: str, resistors: str, more: str) -> None:
    """What refuted, refused, solved, crowded and undecided circuits come to is what was listed."""
    changed = text.replace("most = 1, " if "most" in resistors else "", "").replace(E12, resistors) + more
    ranking = search_problem(prepare(parse_spec(changed, "case")), SearchOptions(bound=False), quiet())
    lines = [line for line in ranking.verdict.proved if line.startswith("None of them")]
    assert lines, "some step has no design"
    for count, line in zip(ranking.search.part_counts, lines, strict=False):
        told = re.findall(r"([\d,]+) (?:refuted|for every|solved|with more|not decided)", line)
        needing = ranking.nonstandard.circuits if ranking.nonstandard and count.decided else 0
        needing *= count.extra_parts == 1
        assert sum(int(one.replace(",", "")) for one in told) + needing == count.listed, line


@pytest.mark.parametrize(
    ("low", "high", "wanted"),
    [
        (5.5, 6.0, MadeOf((4.7, 1.0), "series")),
        (4.9, 5.1, MadeOf((10.0, 10.0), "parallel")),
        (4.0, 5.0, MadeOf((4.7,), "alone")),
        (3.0, 3.1, MadeOf()),
    ],
)
def test_values_are_made_of_one_or_two(low: float, high: float, wanted: MadeOf) -> None:
    made = made_from((1.0, 2.2, 4.7, 10.0), low, high)
    assert made == wanted
    if made.values:
        assert low <= made.ohms <= high


def test_ends_are_rounded_towards_each_other() -> None:
    assert rounded_inward(8.2041, 13.987) == OhmSpan(8.21, 13.9)
    assert rounded_inward(99.96, 100.04) == OhmSpan(99.96, 100.0)
    assert rounded_inward(8.2, 12.0) == OhmSpan(8.2, 12.0)
