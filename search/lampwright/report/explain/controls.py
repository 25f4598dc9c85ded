"""What the explanation is told of the controls, and how settings of them read in words. No source: our words.

`report` knows no spec: whoever asks for an explanation says which control feeds which
terminal, and what every state's contacts join.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import Literal

from lampwright.results.explanation import StateName
from lampwright.words import listed

ControlKind = Literal["switch", "flasher", "positions", "supply"]
SUPPLY = "30"
LOST_GROUND = "lost ground of "
"""What a node is named by at which filaments hang together: this, and they."""
PHASES = {"off": "off", "closed": "in its closed phase", "open": "in its open phase"}


@dataclass(frozen=True)
class ControlFeed:
    """A terminal, and the control that feeds it; a terminal of no control has none and is a rail.

    joins: the terminals that its contacts join it to, in any position; `30` is the supply. fuse:
    the rating of its fuse [A], if known. positions: those of its control, with the pairs of
    terminals that each joins, where that is told.
    """

    terminal: str
    control: str
    kind: ControlKind
    joins: tuple[str, ...] = (SUPPLY,)
    fuse: float | None = None
    positions: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()

    @property
    def is_supplied(self) -> bool:
        """Whether its contacts ever join it to the supply."""
        return SUPPLY in self.joins


@dataclass(frozen=True)
class Situation:
    """A state in full: every control's position, each running flasher's phase, the closed contacts.

    closed: for each contact whose it is, and the two terminals it joins. damage: what has failed, in words;
    failed: the filaments that are open then; blown: the controls whose fuse is; hung: for every lost
    ground the filaments that hang together by it.
    """

    name: StateName
    setting: tuple[tuple[str, str], ...]
    phases: tuple[tuple[str, str], ...]
    closed: tuple[tuple[str, str, str], ...]
    damage: str = ""
    failed: tuple[str, ...] = ()
    blown: tuple[str, ...] = ()
    hung: tuple[tuple[str, ...], ...] = ()

    @property
    def loose(self) -> tuple[str, ...]:
        """The filaments whose ground is lost."""
        return tuple(ref for group in self.hung for ref in group)

    def value(self, control: str) -> str:
        """The position of a control; for a flasher that is on, its phase."""
        return dict(self.phases).get(control) or dict(self.setting)[control]


@dataclass(frozen=True)
class Controls:
    """The terminals the controls feed, and one situation per state of the design, in its order."""

    feeds: tuple[ControlFeed, ...]
    situations: tuple[Situation, ...]

    def kind(self, control: str) -> ControlKind:
        """Tell what kind of control one is."""
        return next(feed.kind for feed in self.feeds if feed.control == control)

    def place(self, node: str) -> str:
        """Name a node as one would in the workshop: `feed 54`, `terminal L`, `ground`, `joint j1`."""
        if node == "31":
            return "ground"
        if node.startswith(LOST_GROUND):
            return f"the {node}"
        named = [feed for feed in self.feeds if feed.terminal == node]
        if not named:
            return f"feed {node}" if node == SUPPLY else f"joint {node}"
        return f"terminal {node}" if any(feed.kind == "positions" for feed in named) else f"feed {node}"

    def title(self, situations: Sequence[Situation], names: Sequence[str]) -> str:
        """Name a set of situations by the controls that matter: `brake on, turn off or in its open phase`.

        Where the values do not combine freely, the combinations are named one by one; so is what has failed.
        """
        damages = list(dict.fromkeys(one.damage for one in situations))
        if len(damages) > 1:
            apart = ([one for one in situations if one.damage == damage] for damage in damages)
            return "; or ".join(self.title(some, names) for some in apart)
        combos = list(dict.fromkeys(tuple(one.value(name) for name in names) for one in situations))
        values = [list(dict.fromkeys(combo[at] for combo in combos)) for at in range(len(names))]
        damage = f", {damages[0]}" if damages and damages[0] else ""
        if set(product(*values)) == set(combos):
            return self._values(names, values) + damage
        return "; or ".join(self._values(names, [[value] for value in combo]) for combo in combos) + damage

    def _values(self, names: Sequence[str], values: Sequence[Sequence[str]]) -> str:
        """Say the values of some controls, one or several of each."""
        return ", ".join(
            f"{name} {listed([PHASES[one] for one in some] if self.kind(name) == 'flasher' else some, 'or')}"
            for name, some in zip(names, values, strict=True)
        )
