"""States in which parts have failed: the circuit with those parts taken out, solved by the plain twin.

The twin gets a list of parts of its own: what is open is left out, what has lost its ground ends at a node of
its own, contacts behind a blown fuse are open. It shares the parts with the program, and no line of what
makes states of rows, of boundaries and refutation, or of solving.
"""

import random
from dataclasses import dataclass
from itertools import product

import numpy as np
import pytest
from tests.selection import some

from lampwright.errors import InputError
from lampwright.graphs.listing import endpoints, list_blocks, open_listing
from lampwright.judge.judge import Judge
from lampwright.network.layout import Placing
from lampwright.network.netlist import Netlist
from lampwright.parts.catalogue import diode_type
from lampwright.parts.diode import DiodeType
from lampwright.parts.filament import Filament, relative_flux_of
from lampwright.problem.problem import Choice, Problem, choice_of, filament_models, fit_of, prepare
from lampwright.searching.evaluate import CellShare, ShareEvaluator, placed
from lampwright.searching.plan import plan_steps
from lampwright.solve.twin import TwinPart, operating_point
from lampwright.spec.load import parse_spec
from lampwright.spec.model import FAILURES

TYPES = ("P21W", "R5W", "W3W")
VOLTS = (11.8, 13.5, 14.4)
BANDS = {"off": (0.0, 0.005), "dim": (0.01, 0.15), "lit": (0.25, np.inf)}
DAMAGES: tuple[dict[str, tuple[str, ...]], ...] = (
    {},
    {"failed": ("x",)},
    {"failed": ("y",)},
    {"failed": ("x", "y")},
    {"ground_lost": ("x",)},
    {"ground_lost": ("rear",)},
    {"ground_lost": ("rear",), "failed": ("x",)},
    {"ground_lost": ("x", "y")},
    {"fuse_blown": ("a",)},
    {"fuse_blown": ("30",), "failed": ("z",)},
)
Row = tuple[dict[str, str], dict[str, tuple[str, ...]], dict[str, str]]
"""Positions, what has failed, words."""


@dataclass(frozen=True)
class Chance:
    """A spec by chance, as text and as the rows it was made of, with more tables as text.

    live: whether terminal 30 may be used.
    """

    rows: tuple[Row, ...]
    live: bool
    extras: str
    joints: int
    more: str = ""

    @property
    def text(self) -> str:
        lines = [
            'lampwright = 1\ntitle = "Chance"\n[supply]\nsystem = 12\nvolts = [11.8, 13.5, 14.4]',
            f"always_live = {str(self.live).lower()}",
            '[controls]\na = { kind = "switch", feed = "A" }\nb = { kind = "switch", feed = "B" }\n[lamps]',
            'x = { choose = ["P21W", "R5W"] }\ny = { choose = ["R5W"] }\nz = { choose = ["W3W"] }',
            f'{self.extras}\n[search]\njoints = {self.joints}\n[place]\nsupply = "front"\nrear = ["x", "y"]',
        ]
        for setting, failed, words in self.rows:
            when = [f'{name} = "{at}"' for name, at in setting.items()]
            when += [f"{key} = {list(names)}".replace("'", '"') for key, names in failed.items()]
            show = ", ".join(f'{name} = "{word}"' for name, word in words.items())
            lines.append(f"[[behaviour]]\nwhen = {{ {', '.join(when)} }}\nshow = {{ {show} }}")
        return "\n".join(lines) + f"\n{self.more}\n"


EXTRAS = (
    "",
    '[extras]\nresistors = { most = 1, series = "E3", ohms = [4.7, 22.0], watts = [100] }',
    '[extras]\ndiodes = { most = 1, choose = ["1N5404"] }',
)


def some_chance(dice: random.Random) -> Chance:
    rows: list[Row] = []
    for failed in dice.sample(DAMAGES, 4):
        setting = dice.choice(({"a": "on", "b": "off"}, {"b": "on"}, {"a": "on", "b": "on"}, {"a": "on"}))
        words = {name: dice.choice(tuple(BANDS)) for name in ("x", "y", "z") if dice.random() < 0.4}
        if words:
            rows.append((setting, failed, words))
    live = any("30" in failed.get("fuse_blown", ()) for _, failed, _ in rows) or dice.random() < 0.3
    return Chance(tuple(rows), live, dice.choice(EXTRAS), dice.choice((0, 1)))


def filaments_of(problem: Problem, choice: Choice) -> list[Filament]:
    return [problem.part_options.filaments[model] for model in filament_models(problem, choice)]


Damage = dict[str, tuple[str, ...]]


def twin_parts(
    problem: Problem, netlist: Netlist, choice: Choice, setting: dict[str, str], failed: Damage
) -> tuple[list[TwinPart | None], int]:
    """The parts between nodes of one damaged state, None where one is open; and how many nodes there are."""
    names, blocks = problem.layout.terminals, netlist.partition
    vertices = netlist.blocks + netlist.joints
    blown = failed.get("fuse_blown", ())
    node = dict.fromkeys(range(vertices), -1)
    node[blocks[names.index("31")]] = 0
    live = [f for c, f in (("a", "A"), ("b", "B")) if setting[c] == "on" and c not in blown]
    live += ["30"] if "30" in names and "30" not in blown else []
    for name in live:
        node[blocks[names.index(name)]] = 1
    count = 2
    for vertex in range(vertices):
        if node[vertex] < 0:
            node[vertex], count = count, count + 1
    ground = blocks[names.index("31")]
    lost: dict[str, int] = {}
    for place in failed.get("ground_lost", ()):
        members = ("x", "y") if place == "rear" else (place,)
        for name in members:
            lost.setdefault(name, count)
        count += 1
    models: list[Filament | DiodeType | float] = [*filaments_of(problem, choice)]
    models += [diode_type("1N5404")] * netlist.diodes
    models += [problem.part_options.ohms[digit] for digit in choice.digits[3 + netlist.diodes :]]
    parts: list[TwinPart | None] = []
    for at, ((a, b), model) in enumerate(zip(netlist.ends.tolist(), models, strict=True)):
        lamp = "xyz"[at] if at < 3 else ""
        if lamp in failed.get("failed", ()):
            parts.append(None)
            continue
        ends = [lost[lamp] if lamp in lost and end == ground else node[end] for end in (a, b)]
        parts.append(TwinPart(ends[0], ends[1], model))
    return parts, count


def solved(parts: list[TwinPart | None], count: int, volts: float) -> np.ndarray:
    """The volts across every part [V], 0 where one is open."""
    left = [part for part in parts if part is not None and part.tail != part.head]
    point = operating_point(left, count, volts)
    assert point.converged
    return np.array(
        [0.0 if one is None else point.potentials[one.tail] - point.potentials[one.head] for one in parts]
    )


def small_cells(problem: Problem, most: int) -> list[Placing]:
    steps = plan_steps(Judge(problem), None)
    found = [(circuits, placing) for step in steps for placing, circuits in step.orbits.items()]
    return [placing for circuits, placing in found if 0 < circuits <= most]


def circuits_of(placing: Placing) -> list[Netlist]:
    """Every circuit of a cell, listed without any rule."""
    listing = open_listing(placing.cell)
    blocks = [endpoints(listing, block.options) for block in list_blocks(placing.cell)]
    return [placed(placing, ends) for block in blocks for ends in block]


def told_by(chance: Chance) -> list[tuple[dict[str, str], Damage, dict[str, str]]]:
    """Every setting of every row with what it asks, expanded here anew."""
    found = []
    for a, b in product(("off", "on"), repeat=2):
        for setting, failed, words in chance.rows:
            if all({"a": a, "b": b}[name] == at for name, at in setting.items()):
                found.append(({"a": a, "b": b}, failed, words))
    return found


@pytest.mark.parametrize("seed", some(range(40), 4))
def test_a_damaged_state_is_the_circuit_with_the_parts_taken_out(seed: int) -> None:
    dice = random.Random(seed)
    problem = _readable(dice)[1]
    judge, seen = Judge(problem), 0
    for placing in small_cells(problem, 20_000)[-3:]:
        fit = fit_of(problem, placing.cell.arcs, placing.cell.links)
        for netlist in dice.sample(circuits_of(placing), 6):
            choice = choice_of(dice.randrange(len(fit.digits)), fit)
            verdicts = judge.judge_case(netlist, choice).verdicts
            for at, state in enumerate(problem.states):
                damage = {key: getattr(state.failures, key) for key in FAILURES}
                parts, count = twin_parts(problem, netlist, choice, dict(state.setting), damage)
                # what hangs in the air behind a diode stands anywhere up to its knee
                whole = [one is None or not isinstance(one.model, DiodeType) for one in parts]
                volts = solved(parts, count, VOLTS[1])[whole]
                assert verdicts.volts[at][whole] == pytest.approx(volts, abs=2e-3), (
                    f"{state.full_name}\n{netlist}"
                )
                seen += bool(state.failures)
    assert seen > 10, "there are damaged states"


# of the first eight, 102 and 105 take as long as all others
@pytest.mark.parametrize("seed", some(range(100, 180), [101, 104]))
def test_what_passes_is_what_the_twin_passes(seed: int) -> None:
    dice = random.Random(seed)
    chance, problem = _readable(dice)
    evaluator = ShareEvaluator(problem)
    for placing in small_cells(problem, 150)[-2:]:
        fit = fit_of(problem, placing.cell.arcs, placing.cell.links)
        result = evaluator.take(CellShare(placing, 0, 1))
        found = {(str(one.netlist.ends.tolist()), n) for one in result.screened for n in one.choices}
        for netlist in circuits_of(placing):
            for number in range(len(fit.digits)):
                stops = least_stops(chance, problem, netlist, choice_of(number, fit))
                if abs(stops) > 1e-3:
                    passed = (str(netlist.ends.tolist()), number) in found
                    assert passed == (stops > 0), f"{stops} stops\n{netlist}\n{chance.text}"


def least_stops(chance: Chance, problem: Problem, netlist: Netlist, choice: Choice) -> float:
    """By how many stops the circuit keeps, or misses, what it is asked for by worst, with nominal parts."""
    least = np.inf
    filaments = filaments_of(problem, choice)
    for (setting, failed, words), volts in product(told_by(chance), VOLTS):
        parts, count = twin_parts(problem, netlist, choice, setting, failed)
        across = solved(parts, count, volts)
        for name, word in words.items():
            at = "xyz".index(name)
            flux = np.log2(max(float(relative_flux_of(filaments[at], abs(across[at]))), 1e-9))
            low, high = (np.log2(edge) if edge else -np.inf for edge in BANDS[word])
            least = min(least, flux - low, high - flux)
    return least


def _readable(dice: random.Random) -> tuple[Chance, Problem]:
    """The next spec by chance that can be read, and that names a failure."""
    while True:
        chance = some_chance(dice)
        try:
            problem = prepare(parse_spec(chance.text, "chance"))
        except InputError:
            continue
        if any(state.is_damaged for state in problem.states):
            return chance, problem
