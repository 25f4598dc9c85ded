"""Care of whole designs: names, rows, repeatability, and what is regulated by what a design does."""

from dataclasses import replace
from pathlib import Path

import pytest

from lampwright.app.checking import judge_circuit
from lampwright.assess.assess import Assessor
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import Judge
from lampwright.network.circuit import Circuit, Part
from lampwright.network.netlist import Netlist, netlist_of
from lampwright.problem.problem import Choice
from lampwright.problem.reading import problem_of_circuit, read_spec
from lampwright.report.topics.care import care_text
from lampwright.results.care import CareReport
from lampwright.results.design import Design
from lampwright.results.json_text import to_json

SPECS = Path(__file__).parents[2] / "specs"


class Case:
    """One shipped spec and one circuit, judged."""

    def __init__(self, name: str, parts: tuple[Part, ...]) -> None:
        spec, circuit = read_spec(SPECS / f"{name}.toml"), Circuit(parts)
        self.design: Design = judge_circuit(spec, circuit).design
        problem = problem_of_circuit(spec, circuit, "circuit")
        ohms = tuple(part.ohms or 0.0 for part in circuit.of_kind("resistor"))
        problem = replace(problem, part_options=replace(problem.part_options, ohms=ohms))
        self.assessor = Assessor(Judge(problem))
        self.netlist: Netlist = netlist_of(circuit, problem.layout)
        self.choice = Choice((*[0] * len(spec.lamps), *range(len(ohms))))

    def care(self, copies: int = 100) -> CareReport:
        return self.assessor.care(self.netlist, self.choice, self.design, copies)


@pytest.fixture(scope="module")
def dimmer() -> Case:
    lamp = Part("rear", "filament", "54", "31", lamp="rear", type="P21W")
    resistor = Part("Rx", "resistor", "54", "58", ohms=5.6, watts=10.0)
    return Case("one_filament_stop_tail", (lamp, resistor))


@pytest.fixture(scope="module")
def star() -> Case:
    ends = {"A": ("j7", "S1"), "B": ("S2", "j7"), "C": ("31", "j7")}
    parts = tuple(Part(ref, "filament", *at, lamp=ref, type="W16W") for ref, at in ends.items())
    return Case("classroom_three_lamps", parts)


def test_builders_own_names_are_kept(dimmer: Case, star: Case) -> None:
    care = dimmer.care()
    assert [row.ref for row in care.endurance.resistors] == ["Rx"]
    assert [cost.ref for cost in care.tolerance.costs] == ["supply", "rear", "Rx"]
    assert {"Rx open", "Rx shorted"} <= {row.fault for row in care.faults.faults}
    blown = next(row for row in star.care().faults.faults if row.fault == "fuse of first (S1) blown")
    assert [path.path for path in blown.sneak_paths] == [("S2", "B", "j7", "A", "S1")]


def test_names_hold_where_a_drawing_turns_a_part_round() -> None:
    # a search's drawing names the lamp from j1 to 31, whichever end comes first inside
    lamp = Part("rear", "filament", "31", "j1", lamp="rear", type="P21W")
    case = Case("one_filament_stop_tail", (lamp, Part("R1", "resistor", "54", "j1", ohms=5.6)))
    judge = case.assessor.judge
    judgement = judge.judge(case.netlist, case.choice)
    drawn = Presenter(judge).judged(case.netlist, case.choice, judgement, 0)
    care = case.assessor.care(case.netlist, case.choice, drawn, 10)
    assert {"LED in rear, plus at j1", "LED in rear, plus at 31"} <= {row.fault for row in care.faults.faults}


def test_a_wattage_that_is_given_is_kept_and_told_to_be_small(dimmer: Case) -> None:
    (heat,) = dimmer.care().endurance.resistors
    # by hand: 5.6 ohms in series with P21W; at some 7.5 V and 1.4 A it gives off 10 W or more
    assert heat.watts == dimmer.design.ratings.resistors[0].worst
    assert (heat.fitted_watts, heat.advised_watts) == (10.0, None)


def test_a_dimmed_lamp_is_regulated_as_such(dimmer: Case) -> None:
    # the last name of a lamp plays no part: what it does in the states is all that is read
    dims, brakes = dimmer.care().regulated
    assert (dims.lamp, dims.does, dims.states) == ("rear", "dims", ("lights on",))
    # dark but for the brake and the lights; feed 54 is the brake's by DIN 72552
    assert (brakes.lamp, brakes.does, brakes.states) == ("rear", "burns with brake", ("brake on",))
    notes = dimmer.care().regulations
    assert {note.subject for note in notes} == {"dims", "burns with brake", "any"}
    assert all(note.source and note.confidence for note in notes)


def test_the_same_rows_every_time(dimmer: Case) -> None:
    first, again = (to_json(dimmer.care()) for _ in range(2))  # type: ignore[arg-type]
    assert first == again


def test_the_score_alone_is_the_reports(star: Case) -> None:
    assert star.assessor.score(star.netlist, star.choice, star.design) == star.care().faults.score


def test_few_types_are_listed_and_all_are_counted(star: Case) -> None:
    faults = star.care().faults
    listed = [row for row in faults.faults if row.kind == "other type"]
    assert len(listed) == 3
    assert faults.types_tried == 33, "eleven other 12 V types of W2.1x9.5d, three lamps"
    assert [row.value for row in listed] == sorted(row.value for row in listed)


def test_the_page_keeps_to_80_columns(dimmer: Case, star: Case) -> None:
    for case in (dimmer, star):
        text = care_text(case.care(), case.design.states, 80)
        assert max(len(line) for line in text.splitlines()) <= 80
