"""The model in two stages: first what needs no values, then volts and amps as well.

The first is a few hundred clauses and settles most questions at once; the second is built
only for what the first lets through.
"""

from collections.abc import Callable

from lampwright.problem.problem import Problem
from lampwright.problem.requirements import Requirement
from lampwright.prove.current_rules import balance, diode_curves, lamp_curves, resistances
from lampwright.prove.formulation import Formulation, ModelRule
from lampwright.prove.level_rules import bands, brighter, matching, ranked, rising
from lampwright.prove.order_rules import across, descending, glowing, monotone, ordered, same_net
from lampwright.prove.partitions import TerminalPartition
from lampwright.prove.placement import ExtraSlots
from lampwright.prove.shape_rules import budget, joints_alike, shared_contact, slots_alike, two_ways
from lampwright.prove.solver import go_on

SHAPE = (shared_contact, budget, two_ways, slots_alike, joints_alike)
ORDER = (ordered, descending, glowing, across, monotone, same_net)
VALUES = (ranked, bands, matching, brighter, rising, lamp_curves, resistances, diode_curves, balance)
RULES: tuple[ModelRule, ...] = (*SHAPE, *ORDER, *VALUES)


def order_formulation(
    problem: Problem,
    requirements: tuple[Requirement, ...],
    partition: TerminalPartition,
    extras: ExtraSlots,
    check_cancelled: Callable[[], None] = go_on,
) -> Formulation:
    """The first stage, at one supply: no value, no volts. What `check_cancelled` raises ends it."""
    supplies = problem.spec.supply.volts[1:2]
    return _built(Formulation(problem, requirements, partition, extras, supplies, check_cancelled), ())


def value_formulation(
    problem: Problem,
    requirements: tuple[Requirement, ...],
    partition: TerminalPartition,
    extras: ExtraSlots,
    check_cancelled: Callable[[], None] = go_on,
) -> Formulation:
    """Both stages, at low and at high supply. What `check_cancelled` raises ends it."""
    supplies = problem.spec.supply.volts[::2]
    return _built(Formulation(problem, requirements, partition, extras, supplies, check_cancelled), VALUES)


def _built(formulation: Formulation, further: tuple[ModelRule, ...]) -> Formulation:
    for one in (*SHAPE, *ORDER, *further):
        formulation.check_cancelled()
        one.build(formulation)
    return formulation


STAGES = (order_formulation, value_formulation)
