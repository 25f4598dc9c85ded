"""The model in two stages: first what needs no values, then volts and amps as well.

The first is a few hundred clauses and settles most questions at once; the second is built
only for what the first lets through.
"""

from typing import Protocol

from lampwright.decide.asked import Board, Want
from lampwright.decide.current_rules import Balance, DiodeCurves, LampCurves, Resistances
from lampwright.decide.draft import Draft
from lampwright.decide.figures import Figures
from lampwright.decide.level_rules import Bands, Matching, Ranked, Rising
from lampwright.decide.order_rules import Across, Descending, Glowing, Monotone, Ordered, SameNet
from lampwright.decide.placement import Extras
from lampwright.decide.shape_rules import Budget, JointsAlike, SharedContact, SlotsAlike, TwoWays
from lampwright.rank.study import Study


class Rule(Protocol):
    """A family of conditions that every circuit meeting a spec satisfies."""

    @property
    def name(self) -> str:
        """What reports call it."""

    @property
    def claim(self) -> str:
        """What it says of every such circuit."""


class OrderRule(Rule, Protocol):
    """A rule that needs no values."""

    def build(self, draft: Draft) -> None:
        """Add its constraints."""


class ValueRule(Rule, Protocol):
    """A rule of volts and amps."""

    def build(self, figures: Figures) -> None:
        """Add its constraints."""


SHAPE: tuple[OrderRule, ...] = (SharedContact(), Budget(), TwoWays(), SlotsAlike(), JointsAlike())
ORDER: tuple[OrderRule, ...] = (Ordered(), Descending(), Glowing(), Across(), Monotone(), SameNet())
VALUES: tuple[ValueRule, ...] = (
    Ranked(), Bands(), Matching(), Rising(), LampCurves(), Resistances(), DiodeCurves(), Balance()
)  # fmt: skip
RULES: tuple[Rule, ...] = (*SHAPE, *ORDER, *VALUES)


def order_draft(study: Study, wants: tuple[Want, ...], board: Board, extras: Extras) -> Draft:
    """The first stage, at one supply: no value, no volts."""
    return _ordered(study, wants, board, extras, study.spec.supply.volts[1:2])


def value_draft(study: Study, wants: tuple[Want, ...], board: Board, extras: Extras) -> Draft:
    """Both stages, at low and at high supply."""
    draft = _ordered(study, wants, board, extras, study.spec.supply.volts[::2])
    figures = Figures(draft)
    for rule in VALUES:
        rule.build(figures)
    return draft


def _ordered(
    study: Study, wants: tuple[Want, ...], board: Board, extras: Extras, supplies: tuple[float, ...]
) -> Draft:
    draft = Draft(study, wants, board, extras, supplies)
    for rule in (*SHAPE, *ORDER):
        rule.build(draft)
    return draft


STAGES = (order_draft, value_draft)
