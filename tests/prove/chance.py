"""Specs and circuits by chance, from a seed: for what must hold of every one of them."""

import random
from dataclasses import dataclass
from itertools import product

import networkx as nx
import numpy as np

from lampwright.errors import InputError
from lampwright.judge.judge import Judge, ShortedError
from lampwright.network.layout import partitions
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice, Problem, prepare
from lampwright.spec.load import parse_spec

TYPES = ("P21W", "R5W", "R10W", "W2.3W", "W3W", "H21W")
WORDS = ("off", "dim", "lit", "full")
EVERY_WORD = ("dark", *WORDS)
DARK_WORDS = ("dark", "off")
Words = list[list[str | None]]


@dataclass(frozen=True)
class Kit:
    """All of a spec but its behaviour. lamps: name, types, filaments, fixed common or not.

    selector: whether one joins a terminal of its own to the first feed, to ground or to nothing.
    more: other tables, as text.
    """

    feeds: tuple[str, ...]
    lamps: tuple[tuple[str, tuple[str, ...], tuple[str, ...], bool], ...]
    diodes: int
    resistors: int
    joints: int
    wires: int
    always_live: bool
    selector: bool = False
    more: str = ""

    @property
    def filaments(self) -> tuple[str, ...]:
        return tuple(name for _, _, filaments, _ in self.lamps for name in filaments)

    @property
    def settings(self) -> list[tuple[str, ...]]:
        return list(product(("on", "off"), repeat=len(self.feeds)))

    def problem(self, words: Words) -> Problem | None:
        """The spec that asks these words, by setting and filament; None if it is none."""
        try:
            return prepare(parse_spec(self._text(words), "chance"))
        except InputError:
            return None

    def _text(self, words: Words) -> str:
        live = "true" if self.always_live else "false"
        lines = [
            "lampwright = 1",
            'title = "Chance"',
            "[supply]",
            "system = 12",
            "volts = [11.8, 13.5, 14.4]",
        ]
        lines.append(f"always_live = {live}")
        for feed in self.feeds:
            lines += [f"[controls.{feed.lower()}]", 'kind = "switch"', f'feed = "{feed}"']
        if self.selector:
            positions = f'{{ feed = [["{self.feeds[0]}", "Z"]], earth = [["31", "Z"]], none = [] }}'
            lines += ["[controls.way]", 'kind = "positions"', f"positions = {positions}"]
        for name, types, filaments, common in self.lamps:
            lines += [f"[lamps.{name}]", f"choose = {list(types)}".replace("'", '"')]
            lines += [f"filaments = {list(filaments)}".replace("'", '"')] if len(filaments) > 1 else []
            lines += ['common = "31"'] if common else []
        lines += ["[extras]"] if self.diodes or self.resistors else []
        if self.diodes:
            lines.append(f'diodes = {{ most = {self.diodes}, choose = ["1N5404"] }}')
        if self.resistors:
            lines.append(
                f'resistors = {{ most = {self.resistors}, series = "E3", ohms = [1.0, 47.0], watts = [50] }}'
            )
        lines += ["[search]", f"joints = {self.joints}", f"wires = {self.wires}"]
        for setting, row in zip(self.settings, words, strict=True):
            # a spec that asks for light where nothing is live is refused as it is read
            known = DARK_WORDS if not self.always_live and "on" not in setting else EVERY_WORD
            words_of = zip(self.filaments, row, strict=True)
            show = [f'{name} = "{word}"' for name, word in words_of if word in known]
            when = [f'{feed.lower()} = "{at}"' for feed, at in zip(self.feeds, setting, strict=True)]
            if show:
                lines += [
                    "[[behaviour]]",
                    f"when = {{ {', '.join(when)} }}",
                    f"show = {{ {', '.join(show)} }}",
                ]
        return "\n".join(lines) + f"\n{self.more}\n"


def some_kit(dice: random.Random, most_lamps: int = 3) -> Kit:
    lamps: list[tuple[str, tuple[str, ...], tuple[str, ...], bool]] = []
    for n in range(dice.randint(1, most_lamps)):
        if dice.random() < 0.2:
            lamps.append((f"l{n}", ("P21/5W",), (f"m{n}", f"n{n}"), dice.random() < 0.5))
        else:
            lamps.append((f"l{n}", tuple(dice.sample(TYPES, dice.choice([1, 1, 2]))), (f"l{n}",), False))
    diodes, resistors, joints = (dice.choice([0, 1, 1, 2]) for _ in range(3))
    feeds = ("A", "B", "C")[: dice.choice([1, 2, 2, 3])]
    wires = dice.choice([0, 0, 1])
    return Kit(feeds, tuple(lamps), diodes, resistors, joints, wires, dice.random() < 0.2)


def some_words(dice: random.Random, kit: Kit, words: tuple[str, ...] = WORDS) -> Words:
    return [[dice.choice((None, None, *words)) for _ in kit.filaments] for _ in kit.settings]


def row_of(
    lamp: str, when: dict[str, str], than: str, versus: dict[str, str], by: float, failed: str = ""
) -> str:
    """A row of `brighter` as text."""
    told, other = (", ".join(f'{name} = "{at}"' for name, at in one.items()) for one in (when, versus))
    told = ", ".join(filter(None, (told, failed)))
    lines = f'[[brighter]]\nlamp = "{lamp}"\nthan = "{than}"\nwhen = {{ {told} }}\nby = {by:.6g}\n'
    return lines + (f"versus = {{ {other} }}\n" if other else "")


def some_comparisons(dice: random.Random, kit: Kit) -> str:
    """Rows of `brighter` by chance as text: of lamps with each other, and of one in two settings."""
    feeds, rows = [feed.lower() for feed in kit.feeds], ""
    for _ in range(dice.randint(1, 3)):
        lamp, than = dice.choices(kit.filaments, k=2)
        when, versus = (dict(zip(feeds, dice.choice(kit.settings), strict=True)) for _ in range(2))
        if lamp != than or when != versus:
            rows += row_of(lamp, when, than, versus, dice.choice((1.2, 2.0, 10.0)))
    return rows


@dataclass(frozen=True)
class Solved:
    """A spec that a circuit meets, with this choice of types and values."""

    problem: Problem
    circuit: Netlist
    choice: Choice


def some_solved(dice: random.Random) -> Solved | None:
    """A circuit by chance and a spec that asks what it does; None if chance gave none."""
    kit = some_kit(dice)
    problems = {word: kit.problem([[word] * len(kit.filaments)] * len(kit.settings)) for word in EVERY_WORD}
    found = {word: problem for word, problem in problems.items() if problem is not None}
    if len(found) < len(EVERY_WORD):
        return None
    problem = found["off"]
    circuit = some_circuit(dice, kit, problem)
    if circuit is None or not obeys_path_rule(circuit):
        return None
    part_options = problem.part_options
    digits = [dice.randrange(len(types)) for types in part_options.lamp_types] + [0] * circuit.diodes
    choice = Choice((*digits, *(dice.randrange(len(part_options.ohms)) for _ in range(circuit.resistors))))
    try:
        margins = {word: Judge(one).judge(circuit, choice).verdicts.margin for word, one in found.items()}
    except ShortedError:
        return None
    words: Words = []
    for setting in kit.settings:
        wanted = {feed.lower(): at for feed, at in zip(kit.feeds, setting, strict=True)}
        state = next(at for at, one in enumerate(problem.states) if dict(one.setting) == wanted)
        row = [[w for w in EVERY_WORD if margins[w][state, f] > 1e-3] for f in range(len(kit.filaments))]
        words.append([dice.choice(met) if met else None for met in row])
    asked = kit.problem(words)
    if asked is None or not Judge(asked).meets(circuit, choice):
        return None
    return Solved(asked, circuit, choice)


def some_circuit(dice: random.Random, kit: Kit, problem: Problem) -> Netlist | None:
    """Parts laid anywhere; joints that nothing touches are left out."""
    partition = dice.choice(list(partitions(problem.layout, kit.wires)))
    blocks = max(partition) + 1
    vertices = range(blocks + kit.joints)
    if len(vertices) < 2:
        return None
    ends: list[tuple[int, ...]] = []
    for lamp in problem.layout.lamps:
        hub = partition[problem.layout.terminals.index(lamp.common)] if lamp.common else dice.choice(vertices)
        for _ in lamp.filaments:
            if len(lamp.filaments) == 1:
                ends.append(tuple(dice.sample(vertices, 2)))
            else:
                ends.append((hub, dice.choice([v for v in vertices if v != hub])))
    diodes, resistors = dice.randint(0, kit.diodes), dice.randint(0, kit.resistors)
    ends += [tuple(dice.sample(vertices, 2)) for _ in range(diodes + resistors)]
    used = sorted({v for pair in ends for v in pair if v >= blocks})
    number = {v: v for v in range(blocks)} | {v: blocks + at for at, v in enumerate(used)}
    table = np.array([[number[v] for v in pair] for pair in ends], np.int8)
    return Netlist(partition, len(used), table, diodes, resistors)


def obeys_path_rule(circuit: Netlist) -> bool:
    """Every part in a block with an extra vertex that is joined to all terminals."""
    graph: nx.Graph[int] = nx.Graph((int(a), int(b)) for a, b in circuit.ends)
    graph.add_edges_from((-1, block) for block in range(circuit.blocks))
    blocks = [frozenset(block) for block in nx.biconnected_components(graph)]
    return all(any(block.issuperset((-1, int(a), int(b))) for block in blocks) for a, b in circuit.ends)
