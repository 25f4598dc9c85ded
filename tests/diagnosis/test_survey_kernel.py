"""The survey against a slow plain one: every choice of random circuits, solved by the twin, one by one."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
import pytest
from tests.selection import some
from tests.solve.conftest import SlowJudge

from lampwright.diagnosis.candidate_states import WORD, Cutoff, Known
from lampwright.diagnosis.nearest import Candidate, Nearest
from lampwright.diagnosis.survey import is_countable
from lampwright.diagnosis.survey_kernel import Finds, Memo, Question, survey
from lampwright.judge.judge import Judge
from lampwright.judge.screen import MOST_POINTS, live_parts, scene_of
from lampwright.network.netlist import Netlist, draw
from lampwright.problem.problem import Problem, choice_count, choice_of, fit_of, fitted, prepare
from lampwright.solve.newton import new_workspace
from lampwright.spec.load import parse_spec

ASKING = """
lampwright = 1
title = "Much is asked, so that most of what is tried fails somewhere"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.turn]
kind = "flasher"
feed = "49a"
[controls.lights]
kind = "switch"
feed = "58"
[lamps.stop]
choose = ["P21W", "W16W"]
[lamps.tail]
choose = ["R5W", "R10W"]
[extras]
resistors = { most = 1, series = "E3", ohms = [1.0, 4.7], watts = [5, 10] }
diodes = { most = 1, choose = ["1N4007", "1N5404"] }
[[behaviour]]
when = { turn = "on", lights = "off" }
show = { stop = "flash", tail = "dim/off" }
[[behaviour]]
when = { turn = "off", lights = "on" }
show = { stop = "off", tail = "lit" }
[[same]]
lamps = ["tail", "stop"]
when = { lights = "on" }
within = 0.95
"""
EASIER = (
    ASKING[: ASKING.index("[[same]]")]
    .replace('"flasher"', '"switch"')
    .replace('stop = "flash", tail = "dim/off"', 'stop = "lit"')
    .replace('stop = "off", tail = "lit"', 'tail = "lit"')
)
DARKER = (
    ASKING.replace("[11.8,", "[9.0,")
    .replace('stop = "flash"', 'stop = "full/dark"')
    .replace('stop = "off"', 'stop = "dark"')
)
ALL = Cutoff(-np.inf, 1000, 1, 1000)


@dataclass(frozen=True)
class Fate:
    """What became of one choice: its worst margin, the requirements missed, whether a rating is exceeded."""

    margin: float
    missed: frozenset[int]
    over: bool


def bits(mask: np.ndarray) -> frozenset[int]:
    return frozenset(at for at in range(len(mask) * WORD) if (int(mask[at // WORD]) >> (at % WORD)) & 1)


class Bench:
    """Surveys circuits of one problem that have the same numbers of vertices and extra parts."""

    def __init__(self, problem: Problem, joints: int, diodes: int, resistors: int, slots: int = 256) -> None:
        self.problem, self.diodes, self.resistors, self.joints = problem, diodes, resistors, joints
        self.partition = tuple(range(len(problem.layout.terminals)))
        boundary = Judge(problem).boundary(self.partition, joints)
        assert boundary is not None
        self.fit = fit_of(problem, diodes, resistors)
        self.scene = scene_of(boundary.vertex_node, slots=slots)
        self.memo = Memo(np.zeros((slots, MOST_POINTS)), np.zeros((slots, MOST_POINTS), np.int64))
        self.words = 1 + (len(problem.requirements) - 1) // WORD
        self.known = Known(np.zeros((512, self.words), np.int64), np.zeros(1, np.int64))

    def survey(self, circuits: np.ndarray, cutoff: Cutoff) -> dict[tuple[int, int], Fate]:
        """The candidate_states of the choices that count, by circuit and choice."""
        room = len(circuits) * choice_count(self.fit)
        finds = Finds(
            np.zeros((room, 2), np.int64), np.zeros(room), np.zeros((room, self.words), np.int64),
            np.zeros((room, 2), np.int8),
        )  # fmt: skip
        problem = self.problem
        live = live_parts(circuits, self.fit, self.scene.vertex_node)
        question = Question(
            fit=self.fit, scene=self.scene, asked=problem.requirements.numbered(), demands=problem.demands,
            limits=problem.limits, volts=problem.volts, models=problem.part_options.models,
        )  # fmt: skip
        written, after = survey(
            circuits, live, 0, question, new_workspace(), self.memo, cutoff, self.known, finds
        )
        assert after == len(circuits), "there was room for all"
        return {
            (int(finds.pair[row, 0]), int(finds.pair[row, 1])): Fate(
                float(finds.margin[row]), bits(finds.mask[row]), bool(finds.flags[row, 0])
            )
            for row in range(written)
        }

    def smallest(self) -> set[frozenset[int]]:
        return {bits(mask) for mask in self.known.mask[: self.known.held[0]]}

    def slowly(self, ends: np.ndarray) -> Iterator[Fate]:
        """The fate of every choice of one circuit, by the twin."""
        netlist = Netlist(self.partition, self.joints, ends, self.diodes, self.resistors)
        for number in range(choice_count(self.fit)):
            choice = fitted(self.problem, netlist, choice_of(number, self.fit))
            yield slow_fate(self.problem, SlowJudge(self.problem, draw(netlist, choice, self.problem.layout)))


def slow_fate(problem: Problem, judge: SlowJudge) -> Fate:
    """One margin for every requirement, in the order of their numbers; the least, and those below zero."""
    asked = problem.requirements
    worst, room = np.full(len(asked), 10.0), 10.0
    for volts in problem.spec.supply.volts:
        drops = [judge.point(state, (volts, judge.nominal)) for state in problem.states]
        light = [judge.light(state, drop) for state, drop in zip(problem.states, drops, strict=True)]
        pairs = [
            each
            for state, drop in zip(problem.states, drops, strict=True)
            for each in judge.same(state, drop)
        ]
        now = [light[one.state][one.filament] for one in asked if one.other is None] + pairs
        worst = np.minimum(worst, now)
        room = min(room, *(judge.room(judge.loads(drop)) for drop in drops))
    assert np.abs(worst).min() > 1e-4, "too near to an edge to say"
    assert abs(room) > 1e-4, "too near to a rating to say"
    return Fate(float(worst.min()), frozenset(np.flatnonzero(worst < 0.0).tolist()), room < 0.0)


def random_ends(seed: int, count: int) -> np.ndarray:
    """Stop on 49a and tail on 58, the diode and the resistor about them, every fifth end astray."""
    dice = np.random.default_rng(seed)
    drafts = np.array([[[0, 3], [1, 2], [3, 2], [3, 2]], [[0, 2], [1, 3], [4, 2], [3, 4]],
                       [[3, 2], [1, 2], [0, 3], [0, 3]], [[0, 2], [3, 2], [1, 3], [1, 3]]])  # fmt: skip
    ends = drafts[dice.integers(0, len(drafts), count)]
    return np.where(dice.random(ends.shape) < 0.2, dice.integers(0, 5, ends.shape), ends).astype(np.int8)


@pytest.mark.parametrize("count", some([2, 8], 1))
@pytest.mark.parametrize("text", some([ASKING, DARKER], [DARKER]))
def test_every_choice_fares_as_the_twin_says(text: str, count: int) -> None:
    bench = Bench(prepare(parse_spec(text, "inline")), 2, 1, 1)
    circuits = random_ends(5, count)
    found = bench.survey(circuits, ALL)
    sound = exceeded = 0
    for at, ends in enumerate(circuits):
        for number, slow in enumerate(bench.slowly(ends)):
            fate = found.pop((at, number))
            assert fate.missed == slow.missed, f"{ends.tolist()}, choice {number}: what is missed"
            assert fate.over == slow.over, f"{ends.tolist()}, choice {number}: ratings"
            # lights lie within 4e-5 stops on straight lines between knots; below -10 all is the same
            apart = abs(max(fate.margin, -10.0) - max(slow.margin, -10.0))
            assert apart < 1e-4, f"{ends.tolist()}, choice {number}: margin"
            sound, exceeded = sound + (not slow.over), exceeded + slow.over
    assert not found, "more was found than there is"
    assert min(sound, exceeded) > 3 * count, "both are common"


def test_giving_up_early_loses_nothing_that_counts() -> None:
    problem = prepare(parse_spec(EASIER, "inline"))
    circuits = random_ends(6, 400)
    every = Bench(problem, 2, 1, 1).survey(circuits, ALL)
    bench = Bench(problem, 2, 1, 1)
    near = {pair: fate for pair, fate in every.items() if not (fate.over and fate.missed)}
    missed, least = sorted((len(fate.missed), -fate.margin) for fate in near.values())[40]
    assert -least > -10.0, "that is a margin among others"
    found = bench.survey(circuits, Cutoff(-least, missed, 0, 1000))
    assert len(found) < len(every) / 4, "most are given up"
    for pair, fate in near.items():
        if (len(fate.missed), -fate.margin) < (missed, least - 1e-5):
            assert found[pair] == fate, "a near miss is found, and its fate in full"


def test_no_memory_of_nets_changes_nothing() -> None:
    problem = prepare(parse_spec(ASKING, "inline"))
    circuits = random_ends(7, 60)
    with_memory = Bench(problem, 2, 1, 1).survey(circuits, ALL)
    without = Bench(problem, 2, 1, 1, slots=0).survey(circuits, ALL)
    assert with_memory.keys() == without.keys(), "the same choices"
    for pair, fate in with_memory.items():
        assert fate.missed == without[pair].missed, "the same requirements"
        # another start of the solver ends within its residual of the same point
        assert abs(fate.margin - without[pair].margin) < 1e-6, "the same margin"


def test_the_smallest_sets_missed_are_found_in_any_order() -> None:
    problem = prepare(parse_spec(ASKING, "inline"))
    circuits = random_ends(6, 400)
    every = Bench(problem, 2, 1, 1).survey(circuits, ALL)
    sound = {fate.missed for fate in every.values() if not fate.over}
    smallest = {one for one in sound if not any(other < one for other in sound)}
    assert len(smallest) > 1, "there are several"
    choices = range(choice_count(fit_of(problem, 1, 1)))
    worse_first = sorted(
        range(len(circuits)), key=lambda at: -min(len(every[at, number].missed) for number in choices)
    )
    for order in (circuits, circuits[worse_first]):
        bench = Bench(problem, 2, 1, 1)
        bench.survey(order, Cutoff(9.0, 0, 0, 1000))
        assert bench.smallest() == smallest, "near misses are of no interest here, the sets are"


def test_a_diode_is_no_resistor() -> None:
    """Two circuits drawn alike, one with a diode and one with a resistor, are two near misses."""
    problem = prepare(parse_spec(ASKING, "inline"))
    ends = np.array([[0, 3], [1, 2], [3, 2]], np.int8)
    nearest = Nearest(Judge(problem))
    for diodes in (0, 1):
        nearest.offer([Candidate(Netlist((0, 1, 2), 1, ends, diodes, 1 - diodes), 1, 0.0, 0)])
    assert sorted(near.netlist.diodes for near in nearest.near) == [0, 1], "one was taken for the other"


@pytest.fixture(scope="module")
def wide() -> Problem:
    """Sixteen states and five lamps: eighty requirements, more than one word holds."""
    feeds = ("a", "b", "c", "d")
    lines = [
        "lampwright = 1",
        'title = "Wide"',
        "[supply]",
        "system = 12",
        "volts = [11.8, 13.5, 14.4]",
        "always_live = true",
    ]
    for feed in feeds:
        lines += [f"[controls.{feed}]", 'kind = "switch"', f'feed = "{feed.upper()}"']
    for lamp in range(5):
        lines += [f"[lamps.l{lamp}]", 'choose = ["R5W"]']
    words = np.random.default_rng(9).choice(["off", "dim", "lit"], (16, 5))
    for setting, row in zip(product(("off", "on"), repeat=4), words, strict=True):
        when = ", ".join(f'{feed} = "{at}"' for feed, at in zip(feeds, setting, strict=True))
        show = ", ".join(f'l{lamp} = "{word}"' for lamp, word in enumerate(row))
        lines += ["[[behaviour]]", f"when = {{ {when} }}", f"show = {{ {show} }}"]
    return prepare(parse_spec("\n".join(lines) + "\n", "wide"))


def test_more_requirements_than_one_word_holds(wide: Problem) -> None:
    assert len(wide.requirements) > WORD, "two words are needed"
    assert is_countable(wide), "but one for each state"
    bench = Bench(wide, 1, 0, 0)
    circuits = np.array([[[0, 4], [1, 5], [5, 4], [2, 5], [3, 4]], [[0, 1], [1, 2], [2, 3], [3, 4], [0, 4]]])
    circuits = circuits.astype(np.int8)
    found = bench.survey(circuits, ALL)
    for at, ends in enumerate(circuits):
        for number, slow in enumerate(bench.slowly(ends)):
            assert found[at, number].missed == slow.missed, f"circuit {at}, choice {number}"
