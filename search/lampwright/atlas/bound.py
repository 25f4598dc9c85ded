"""How far an atlas goes: its feeds, the most lamps, joints and diodes, the types, the levels, the supply.

Lamps are all alike here: an atlas asks nothing of a lamp, it looks at what each one shows. So the spec of
a size has helper lamps alone, every one with the same types on offer; of a type whose filling is not known
the likelier filling counts. No source: our definitions.
"""

from dataclasses import dataclass
from itertools import permutations

import numpy as np

from lampwright.graphs.cell import Cell, Star
from lampwright.problem.problem import Problem, prepare
from lampwright.solve.laws import Ints
from lampwright.spec.levels import DEFAULT_LEVELS
from lampwright.spec.model import (
    BehaviourRow,
    Bounds,
    Diodes,
    Extras,
    Lamp,
    Spec,
    Supply,
    Zones,
    switch,
)

FEEDS = "ABC"
"""Names of the feeds; each hangs on a switch of its own, called as the feed is."""
TYPES = ("P21W", "R10W", "R5W", "W2.3W")
DIODE = "1N5404"
VOLTS = (11.8, 13.5, 14.4)


@dataclass(frozen=True)
class AtlasBound:
    """What an atlas is taken over; volts: low, normal and high supply [V]."""

    feeds: int = 2
    lamps: int = 4
    always_live: bool = False
    joints: int = 2
    diodes: int = 0
    types: tuple[str, ...] = TYPES
    diode: str = DIODE
    system: float = 12.0
    volts: tuple[float, float, float] = VOLTS

    @property
    def feed_names(self) -> str:
        """The names of the feeds, a letter each."""
        return FEEDS[: self.feeds]

    @property
    def terminals(self) -> int:
        """How many named terminals there are: the feeds, ground, and the supply where it may be used."""
        return self.feeds + 1 + self.always_live

    @property
    def settings(self) -> int:
        """How many settings the switches have."""
        return 1 << self.feeds

    @property
    def sizes(self) -> tuple["Size", ...]:
        """Every number of lamps with every number of diodes, fewest diodes first."""
        return tuple(
            Size(lamps, diodes) for diodes in range(self.diodes + 1) for lamps in range(1, self.lamps + 1)
        )

    def cells(self, size: "Size") -> tuple[Cell, ...]:
        """The cells of a size, fewest joints first."""
        stars = (Star(size.lamps, alike=True),)
        return tuple(Cell(self.terminals, joints, stars, size.diodes, 0) for joints in range(self.joints + 1))


@dataclass(frozen=True, order=True)
class Size:
    """So many lamps with so many diodes."""

    lamps: int
    diodes: int

    @property
    def parts(self) -> int:
        """Lamps and diodes together."""
        return self.lamps + self.diodes


def spec_of(bound: AtlasBound, size: Size, behaviour: tuple[BehaviourRow, ...] = ()) -> Spec:
    """The spec of circuits of a size; without behaviour it asks nothing, in every setting."""
    diodes = Diodes(size.diodes, (bound.diode,)) if size.diodes else None
    names = [f"l{number}" for number in range(1, size.lamps + 1)]
    return Spec(
        name="atlas",
        title="what lamps and wire can show",
        supply=Supply(bound.system, bound.volts, bound.always_live),
        controls=tuple(switch(name, name) for name in bound.feed_names),
        lamps=tuple(Lamp(name, bound.types, (name,)) for name in names),
        extras=Extras(None, diodes),
        bounds=Bounds(bound.joints, 0),
        levels=DEFAULT_LEVELS,
        behaviour=behaviour or (BehaviourRow(1, (), ()),),
        same=(),
        place=Zones((), None),
        digest="",
        text="",
    )


def problem_of(bound: AtlasBound, size: Size) -> Problem:
    """The problem of a size. Raises UnknownPart for a type that is in no catalogue."""
    return prepare(spec_of(bound, size))


def setting_numbers(problem: Problem) -> Ints:
    """The number of every state's setting, (states,): feed number f that is on counts 2**f."""
    names = [control.name for control in problem.spec.controls]
    return np.array(
        [sum(1 << names.index(name) for name, at in state.setting if at == "on") for state in problem.states]
    )


def feed_renamings(feeds: int) -> tuple[tuple[int, ...], ...]:
    """Every way to rename the feeds; the identity first."""
    return tuple(permutations(range(feeds)))
