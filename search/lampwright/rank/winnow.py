"""From screened circuits to designs: grouped, part-minimal, judged at every corner.

What is put in order is ordered by numbers, so that chance decides nothing.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from lampwright.network.embed import Embedding
from lampwright.network.reduce import reductions
from lampwright.network.zones import conductors
from lampwright.rank.group import circuit_key
from lampwright.rank.judge import Judge
from lampwright.rank.scene import scene_of, support_of
from lampwright.rank.screen import screen
from lampwright.rank.study import Choice, choice_count, choice_of, fit_of
from lampwright.solve.newton import new_workspace

DECIMALS = 6
"""Margins are compared after rounding to so many decimals of a stop."""


@dataclass(frozen=True)
class Screened:
    """A circuit and the numbers of the choices with which it passed screening."""

    embedding: Embedding
    choices: tuple[int, ...]


@dataclass(frozen=True)
class Passing:
    """A choice that meets the spec at every corner, and its margin [stops]."""

    choice: Choice
    margin: float


@dataclass(frozen=True)
class Winner:
    """One design: its circuit, the choices that pass (best first), its other drawings."""

    embedding: Embedding
    passing: tuple[Passing, ...]
    drawings: tuple[Embedding, ...]
    conductors: int


@dataclass(frozen=True)
class Group:
    """All screened drawings of one circuit; the first is the one to build."""

    drawings: tuple[Embedding, ...]
    choices: tuple[int, ...]
    conductors: int


def group_drawings(screened: Iterable[Screened], judge: Judge) -> tuple[Group, ...]:
    """Put drawings of one circuit together, in a fixed order."""
    layout, zoned = judge.study.layout, judge.study.zoned
    by_key: dict[bytes, list[tuple[int, Embedding]]] = {}
    choices: dict[bytes, set[int]] = {}
    for one in screened:
        key = circuit_key(one.embedding, layout)
        by_key.setdefault(key, []).append((conductors(one.embedding, zoned), one.embedding))
        choices.setdefault(key, set()).update(one.choices)
    groups = []
    for key, drawn in by_key.items():
        drawn.sort(key=lambda pair: (pair[0], pair[1].joints, pair[1].form))
        groups.append(Group(tuple(e for _, e in drawn), tuple(sorted(choices[key])), drawn[0][0]))
    return tuple(sorted(groups, key=lambda group: group.drawings[0].form))


class Winnower:
    """Winnows groups; remembers which reduced circuits meet the spec."""

    def __init__(self, judge: Judge) -> None:
        """Winnow with this judge."""
        self.judge = judge
        self._meets: dict[bytes, bool] = {}
        self._work = new_workspace()

    def screen_one(self, embedding: Embedding) -> tuple[int, ...]:
        """The choices with which one circuit passes screening."""
        study = self.judge.study
        boundary = self.judge.boundary(embedding.partition, embedding.joints)
        if boundary is None:
            return ()
        fit = fit_of(study, embedding.diodes, embedding.resistors)
        out = np.zeros((max(choice_count(fit), 1), 2), np.int64)
        written, _ = screen(
            embedding.ends[None],
            np.array([support_of(embedding.ends, boundary.vertex_node.shape[1])], np.int64),
            0,
            np.arange(len(study.states)),
            fit,
            scene_of(boundary.vertex_node, remember=False),
            study.demands,
            study.limits,
            study.volts,
            study.shelf.models,
            self._work,
            out,
            np.zeros(2, np.int64),
        )
        return tuple(int(number) for number in out[:written, 1])

    def meets_somehow(self, embedding: Embedding) -> bool:
        """Whether some choice of types and values makes this circuit meet the spec."""
        key = circuit_key(embedding, self.judge.study.layout)
        known = self._meets.get(key)
        if known is None:
            fit = fit_of(self.judge.study, embedding.diodes, embedding.resistors)
            known = any(self.judge.meets(embedding, choice_of(n, fit)) for n in self.screen_one(embedding))
            self._meets[key] = known
        return known

    def is_minimal(self, embedding: Embedding) -> bool:
        """Whether no extra part can be opened or bridged with the spec still met.

        Bridging may not take more wires between terminals than the spec allows.
        """
        wires = self.judge.study.spec.bounds.wires
        return not any(
            smaller.embedding.wires <= max(wires, embedding.wires) and self.meets_somehow(smaller.embedding)
            for smaller in reductions(embedding)
        )

    def winner(self, group: Group) -> Winner | None:
        """Judge a group's choices at every corner; None where none passes."""
        first = group.drawings[0]
        fit = fit_of(self.judge.study, first.diodes, first.resistors)
        passing = []
        for number in group.choices:
            choice = choice_of(number, fit)
            judgement = self.judge.judge(first, choice)
            if judgement.met:
                passing.append(Passing(choice, judgement.margin))
        if not passing:
            return None
        passing.sort(key=lambda one: (-round(one.margin, DECIMALS), one.choice.digits))
        return Winner(first, tuple(passing), group.drawings[1:], group.conductors)
