"""The model in two stages: first what needs no values, then volts and amps as well.

The first is a few hundred clauses and settles most questions at once; the second is built
only for what the first lets through.
"""

from lampwright.problem.problem import Problem
from lampwright.problem.requirements import Requirement
from lampwright.prove.current_rules import balance, diode_curves, lamp_curves, resistances
from lampwright.prove.formulation import Formulation, ModelRule
from lampwright.prove.level_rules import bands, brighter, matching, ranked, rising
from lampwright.prove.order_rules import across, descending, glowing, monotone, ordered, same_net
from lampwright.prove.partitions import TerminalPartition
from lampwright.prove.placement import ExtraSlots
from lampwright.prove.shape_rules import budget, joints_alike, shared_contact, slots_alike, two_ways

SHAPE = (shared_contact, budget, two_ways, slots_alike, joints_alike)
ORDER = (ordered, descending, glowing, across, monotone, same_net)
VALUES = (ranked, bands, matching, brighter, rising, lamp_curves, resistances, diode_curves, balance)
RULES: tuple[ModelRule, ...] = (*SHAPE, *ORDER, *VALUES)


def order_formulation(
    problem: Problem, requirements: tuple[Requirement, ...], partition: TerminalPartition, extras: ExtraSlots
) -> Formulation:
    """The first stage, at one supply: no value, no volts."""
    return _ordered(problem, requirements, partition, extras, problem.spec.supply.volts[1:2])


def value_formulation(
    problem: Problem, requirements: tuple[Requirement, ...], partition: TerminalPartition, extras: ExtraSlots
) -> Formulation:
    """Both stages, at low and at high supply."""
    formulation = _ordered(problem, requirements, partition, extras, problem.spec.supply.volts[::2])
    for one in VALUES:
        one.build(formulation)
    return formulation


def _ordered(
    problem: Problem,
    requirements: tuple[Requirement, ...],
    partition: TerminalPartition,
    extras: ExtraSlots,
    supplies: tuple[float, ...],
) -> Formulation:
    formulation = Formulation(problem, requirements, partition, extras, supplies)
    for one in (*SHAPE, *ORDER):
        one.build(formulation)
    return formulation


STAGES = (order_formulation, value_formulation)
