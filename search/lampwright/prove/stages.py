"""The model in two stages: first what needs no values, then volts and amps as well.

The first is a few hundred clauses and settles most questions at once; the second is built
only for what the first lets through.
"""

from typing import Protocol

from lampwright.problem.problem import Problem
from lampwright.prove.current_rules import Balance, DiodeCurves, LampCurves, Resistances
from lampwright.prove.formulation import Formulation
from lampwright.prove.level_rules import Bands, Matching, Ranked, Rising
from lampwright.prove.order_rules import Across, Descending, Glowing, Monotone, Ordered, SameNet
from lampwright.prove.placement import Extras
from lampwright.prove.quantities import BranchQuantities
from lampwright.prove.requirements import TerminalPartition, Want
from lampwright.prove.shape_rules import Budget, JointsAlike, SharedContact, SlotsAlike, TwoWays


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

    def build(self, formulation: Formulation) -> None:
        """Add its constraints."""


class ValueRule(Rule, Protocol):
    """A rule of volts and amps."""

    def build(self, quantities: BranchQuantities) -> None:
        """Add its constraints."""


SHAPE: tuple[OrderRule, ...] = (SharedContact(), Budget(), TwoWays(), SlotsAlike(), JointsAlike())
ORDER: tuple[OrderRule, ...] = (Ordered(), Descending(), Glowing(), Across(), Monotone(), SameNet())
VALUES: tuple[ValueRule, ...] = (
    Ranked(), Bands(), Matching(), Rising(), LampCurves(), Resistances(), DiodeCurves(), Balance()
)  # fmt: skip
RULES: tuple[Rule, ...] = (*SHAPE, *ORDER, *VALUES)


def order_formulation(
    problem: Problem, wants: tuple[Want, ...], partition: TerminalPartition, extras: Extras
) -> Formulation:
    """The first stage, at one supply: no value, no volts."""
    return _ordered(problem, wants, partition, extras, problem.spec.supply.volts[1:2])


def value_formulation(
    problem: Problem, wants: tuple[Want, ...], partition: TerminalPartition, extras: Extras
) -> Formulation:
    """Both stages, at low and at high supply."""
    formulation = _ordered(problem, wants, partition, extras, problem.spec.supply.volts[::2])
    quantities = BranchQuantities(formulation)
    for rule in VALUES:
        rule.build(quantities)
    return formulation


def _ordered(
    problem: Problem,
    wants: tuple[Want, ...],
    partition: TerminalPartition,
    extras: Extras,
    supplies: tuple[float, ...],
) -> Formulation:
    formulation = Formulation(problem, wants, partition, extras, supplies)
    for rule in (*SHAPE, *ORDER):
        rule.build(formulation)
    return formulation


STAGES = (order_formulation, value_formulation)
