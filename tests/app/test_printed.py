"""Every drawing and every choice that a ranking prints, written out as a circuit file, passes check.

The judge is `check`, which knows nothing of how a circuit was found or drawn. Which choices are mirror
images of each other is judged by the voltages of resistors in the parts' places, from Kirchhoff's laws solved
by numpy, and not by the shape of the circuit.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace
from tests.selection import some
from tests.shipped import NONE, shipped

from lampwright.app.trying import check_file
from lampwright.assess.assess import Assessor
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import CircuitGroup, MinimalityFilter, Winner, group_drawings
from lampwright.network.circuit import Circuit, Part
from lampwright.network.circuit_file import circuit_text
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice as Digits
from lampwright.problem.problem import Problem, choice_count, choice_of, fit_of
from lampwright.problem.reading import read_problem
from lampwright.results.design import Design, OtherChoice, PartRow
from lampwright.searching.evaluate import CellShare, ShareEvaluator
from lampwright.searching.plan import plan_steps

SPECS = [
    path for path in sorted((Path(__file__).parents[2] / "specs").glob("*.toml")) if path.stem not in NONE
]
SEEDS = range(5)
GROUPS, PRINTED = 8, 12
SOLVED = 1e-4
"""Stops and amperes: what the solver leaves open, and what blocked diodes let through."""

LOOSE = """
lampwright = 1
title = "One lamp behind two resistors and two diodes, on a lever"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.lever]
kind = "positions"
positions = {{ ahead = [["30", "A"], ["31", "B"]], off = [], aside = {aside} }}
[lamps.one]
choose = ["{lamp}"]
[extras]
resistors = {{ most = 2, series = "E3", ohms = [{low}, {high}] }}
diodes = {{ most = 2, choose = ["1N5404", "1N4007"] }}
[search]
joints = 2
wires = 0
[levels]
off = 0.0004
dim = [0.0005, 0.8]
lit = 0.9
full = 0.95
[[behaviour]]
when = {{ lever = "ahead" }}
show = {{ one = "dim" }}
[[behaviour]]
when = {{ lever = "aside" }}
show = {{ one = "{aside_word}" }}
"""
ASIDE = ('[["30", "B"], ["31", "A"]]', '[["30", "B"]]', '[["30", "A"], ["30", "B"]]')
"""With both ends turned about; by the other feed; by both feeds."""


@pytest.fixture(autouse=True)
def untreated(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave out faults, heat and flashing, which take long and decide nothing here."""
    monkeypatch.setattr(Assessor, "assess", lambda _self, design, _embedding, _choice: design)


@dataclass(frozen=True)
class Printed:
    """A circuit that a ranking prints, and the margin it is said to have [stops]."""

    name: str
    choice: int
    parts: tuple[PartRow, ...]
    margin: float


def with_choice(parts: tuple[PartRow, ...], choice: OtherChoice) -> tuple[PartRow, ...]:
    """The parts with the types and values of a choice, read from its words."""
    said = dict(words.split(" ", 1) for words in choice.fitted)
    rows = []
    for row in parts:
        words = said.get(row.lamp or row.ref)
        assert (words is None) == (row.kind == "wire"), f"{row.ref}: {words}"
        if row.kind == "resistor":
            value = re.fullmatch(r"(\S+) ohm", words or "")
            assert value is not None, words
            rows.append(replace(row, ohms=float(value[1]), watts=None))
        else:
            rows.append(replace(row, type=words))
    return tuple(rows)


def printed(design: Design) -> Iterator[Printed]:
    """All that is printed of one design: its drawings, and each with every choice."""
    drawings = (design.parts, *(drawing.parts for drawing in design.also_drawn_as))
    for number, parts in enumerate(drawings):
        name = f"design {design.rank}, drawing {number}"
        yield Printed(name, 0, parts, design.margin_stops)
        for at, choice in enumerate(design.choices, 1):
            said = f"{name} with {', '.join(choice.fitted)}"
            yield Printed(said, at, with_choice(parts, choice), choice.margin_stops)


Amps = dict[tuple[str, str], float]


def amps_of(spec: Path, one: Printed, folder: Path) -> Amps:
    """Check a printed circuit as a builder would, from a file; the size of every current [A]."""
    rows = [
        Part(
            ref=r.ref,
            kind=r.kind,
            from_node=r.from_node,
            to_node=r.to_node,
            lamp=r.lamp,
            type=r.type,
            ohms=r.ohms,
            watts=r.watts,
        )
        for r in one.parts
    ]
    own = folder / "own.toml"
    own.write_text(circuit_text(Circuit(tuple(rows))), encoding="utf-8")
    report = check_file(spec, own)
    assert report.meets, f"{one.name}: {report.failures}"
    assert abs(report.design.margin_stops - one.margin) < SOLVED, f"{one.name}: the margin it is said to have"
    return {(row.state, part.ref): abs(part.amps) for row in report.design.states for part in row.parts}


def check_printed(spec: Path, every: list[Printed], folder: Path) -> None:
    """Check circuits of one design; a part carries the same in each drawing with the same choice."""
    by_choice: dict[int, Amps] = {}
    for one in every:
        amps = amps_of(spec, one, folder)
        first = by_choice.setdefault(one.choice, amps)
        assert amps.keys() == first.keys(), one.name
        for key in amps:
            assert abs(amps[key] - first[key]) < SOLVED, f"{one.name}: {key} is another part"


KINDS = ("catering_van_night_lamps", "sidecar_side_lamp")


@pytest.mark.parametrize(
    "path",
    some(SPECS, [path for path in SPECS if path.stem in KINDS]),
    ids=lambda path: path.stem,
)
def test_all_that_is_printed_of_a_shipped_spec_passes_check(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # other tests of the run are given this answer, so it must be whole
    monkeypatch.undo()
    designs = shipped(path.stem).designs
    assert designs, "there is something to check"
    for design in designs:
        check_printed(path, list(printed(design)), tmp_path)
    if path.stem == "catering_van_night_lamps":
        two = [design for design in designs if sum(row.kind == "resistor" for row in design.parts) == 2]
        assert any(design.also_drawn_as for design in two), "two alike parts, drawn in two ways"


@dataclass(frozen=True)
class Loose:
    """A spec that asks for little, with all its circuits of two alike parts and more."""

    path: Path
    problem: Problem
    groups: tuple[CircuitGroup, ...]


@pytest.fixture(scope="module", params=some(SEEDS, 1))
def loose(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Loose:
    chance = np.random.default_rng(request.param)
    aside = int(chance.integers(3))
    low = chance.choice([4.0, 10.0, 20.0])
    text = LOOSE.format(
        aside=ASIDE[aside],
        aside_word="dim" if aside == 2 else chance.choice(["dim", "any"]),
        lamp=chance.choice(["R5W", "W5W", "T4W"]),
        low=low,
        high=low * 4,
    )
    path = tmp_path_factory.mktemp("loose") / "loose.toml"
    path.write_text(text, encoding="utf-8")
    problem = read_problem(path)
    evaluator = ShareEvaluator(problem)
    groups: list[CircuitGroup] = []
    for step in plan_steps(evaluator.judge, 4)[2:]:
        screened = [
            one for placing in step.orbits for one in evaluator.take(CellShare(placing, 0, 1)).screened
        ]
        found = group_drawings(screened, evaluator.judge)
        several = [g for g in found if len(g.drawings) > 1]
        groups += [several[at] for at in chance.permutation(len(several))[:GROUPS]]
    return Loose(path, problem, tuple(groups))


def winners(loose: Loose) -> Iterator[Winner]:
    minimality = MinimalityFilter(Judge(loose.problem))
    for group in loose.groups:
        winner = minimality.outcome(group).winner
        if winner is not None:
            yield winner


def test_all_that_is_printed_of_a_random_spec_passes_check(loose: Loose, tmp_path: Path) -> None:
    """Two resistors, two diodes of different types, or both; the circuits need not need their parts."""
    chance = np.random.default_rng(3)
    presenter = Presenter(Judge(loose.problem))
    seen = set()
    for number, winner in enumerate(winners(loose), 1):
        seen.add((winner.netlist.diodes, winner.netlist.resistors))
        every = list(printed(presenter.design(winner, number)))
        few = chance.permutation(len(every))[:PRINTED]
        check_printed(loose.path, [every[at] for at in sorted(few)], tmp_path)
    assert (2, 2) in seen, "both at once"


Floats = np.ndarray[tuple[int, ...], np.dtype[np.float64]]


def moved(choice: Digits, diodes: tuple[int, ...], resistors: tuple[int, ...]) -> Digits:
    """The choice with the types and values of alike parts changed about; one lamp goes before them."""
    types, values = choice.digits[1 : 1 + len(diodes)], choice.digits[1 + len(diodes) :]
    return Digits((choice.digits[0], *(types[n] for n in diodes), *(values[n] for n in resistors)))


def drops(circuit: Netlist, siemens: Floats, held: Floats) -> Floats:
    """The volts across resistors of so many siemens in the parts' places, the terminals held at some volts.

    A diode's from its anode, the others' without sign.
    """
    incidence = np.zeros((len(circuit.ends), circuit.blocks + circuit.joints))
    for part, (tail, head) in enumerate(circuit.ends):
        incidence[part, tail] += 1
        incidence[part, head] -= 1
    laplacian = incidence.T @ (siemens[:, None] * incidence)
    inner = slice(circuit.blocks, None)
    joints = np.linalg.solve(laplacian[inner, inner], -laplacian[inner, : circuit.blocks] @ held)
    volts = incidence @ np.concatenate([held, joints])
    return np.array([v if 1 <= at <= circuit.diodes else abs(v) for at, v in enumerate(volts)])


def is_symmetry(circuit: Netlist, order: list[int]) -> bool:
    """Whether changing parts about changes nothing: tried with values at random, which meet by no chance."""
    chance = np.random.default_rng(11)
    for _ in range(4):
        siemens = chance.uniform(0.5, 2.0, len(circuit.ends))
        held = chance.uniform(-1.0, 1.0, circuit.blocks)
        changed = drops(circuit, siemens[order], held)
        if not np.allclose(drops(circuit, siemens, held)[order], changed, rtol=0, atol=1e-9):
            return False
    return True


def test_of_choices_in_a_mirror_there_is_one_and_no_other_is_lost(loose: Loose) -> None:
    judge = Judge(loose.problem)
    mirrored = 0
    for winner in winners(loose):
        circuit = winner.netlist
        fit = fit_of(loose.problem, circuit.diodes, circuit.resistors)
        symmetries = [
            (d, r)
            for d in permutations(range(circuit.diodes))
            for r in permutations(range(circuit.resistors))
            if is_symmetry(circuit, [0, *(1 + n for n in d), *(1 + circuit.diodes + n for n in r)])
        ]
        mirrored += len(symmetries) > 1
        every = (choice_of(number, fit) for number in range(choice_count(fit)))
        # of a lamp that may hold gas or vacuum one choice is told, judged in both: that of the first filling
        passing = [choice for choice in every if choice.digits[0] == 0 and judge.meets(circuit, choice)]
        least = {min((moved(c, d, r) for d, r in symmetries), key=lambda c: c.digits) for c in passing}
        told = [one.choice for one in winner.passing]
        assert len(told) == len(set(told)), "each once"
        assert set(told) == least, f"{circuit.form}: {symmetries}"
    assert mirrored, "some circuit is its own mirror image"
