"""Small specs and placings for the rules' tests, and whether a model lets a placing pass."""

from collections.abc import Iterator, Sequence

import numpy as np

from lampwright.judge.judge import Judge
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Problem, choice_of, fit_of, prepare
from lampwright.prove.bound import extras_of
from lampwright.prove.formulation import Formulation, ModelRule
from lampwright.prove.partitions import joined_requirements, partitions_of
from lampwright.prove.placement import ExtraSlots
from lampwright.prove.solver import Answer, new_solver, solve
from lampwright.prove.stages import ORDER, SHAPE, VALUES
from lampwright.searching.evaluate import CellShare, ShareEvaluator
from lampwright.searching.plan import plan_steps
from lampwright.spec.load import parse_spec

EVERY_RULE: tuple[ModelRule, ...] = (*SHAPE, *ORDER, *VALUES)
Ends = Sequence[tuple[int, int]]


def study_of(
    rows: Sequence[tuple[str, str]],
    lamps: Sequence[str] = ("a",),
    feeds: Sequence[str] = ("A",),
    types: str = '"P21W"',
    extras: str = "",
    joints: int = 1,
    wires: int = 0,
    more: str = "",
) -> Problem:
    """A spec of single lamps and switches; rows are the insides of `when` and `show`."""
    text = 'lampwright = 1\ntitle = "Small"\n[supply]\nsystem = 12\nvolts = [11.8, 13.5, 14.4]\n'
    text += "".join(f'[controls.{feed.lower()}]\nkind = "switch"\nfeed = "{feed}"\n' for feed in feeds)
    text += "".join(f"[lamps.{lamp}]\nchoose = [{types}]\n" for lamp in lamps)
    text += f"[extras]\n{extras}\n" if extras else ""
    text += f"[search]\njoints = {joints}\nwires = {wires}\n{more}\n"
    text += "".join(f"[[behaviour]]\nwhen = {{ {when} }}\nshow = {{ {show} }}\n" for when, show in rows)
    return prepare(parse_spec(text, "small"))


def placed(ends: Ends, terminals: int, diodes: int = 0, resistors: int = 0) -> Netlist:
    """A circuit without wires: vertices 0 up are terminals, ground the last, then joints."""
    joints = max(0, max(max(pair) for pair in ends) + 1 - terminals)
    return Netlist(tuple(range(terminals)), joints, np.array(ends, np.int8), diodes, resistors)


def formulations(
    problem: Problem,
    rules: Sequence[ModelRule],
    supplies: tuple[float, ...] = (),
    extras: ExtraSlots | None = None,
) -> Iterator[Formulation]:
    """A model with these rules for every partition, all requirements asked."""
    requirements = joined_requirements(problem)
    for partition in partitions_of(problem, requirements):
        formulation = Formulation(
            problem,
            requirements,
            partition,
            extras or extras_of(problem),
            supplies or problem.spec.supply.volts[::2],
        )
        for rule in rules:
            rule.build(formulation)
        for asked in formulation.asked:
            formulation.model.add(asked == 1)
        yield formulation


def passes(
    problem: Problem,
    circuit: Netlist,
    rules: Sequence[ModelRule] = EVERY_RULE,
    extras: ExtraSlots | None = None,
) -> bool:
    """Whether some partition and some naming of the joints lets a circuit pass these rules."""
    return any(
        lets_pass(formulation, circuit)
        for formulation in formulations(problem, rules, extras=extras)
        if formulation.partition.block_of == circuit.partition
    )


def lets_pass(formulation: Formulation, circuit: Netlist) -> bool:
    """Whether a model lets a circuit pass under some naming of its joints."""
    for literals in formulation.placement.fixed(circuit):
        formulation.model.clear_assumptions()
        formulation.model.add_assumptions(list(literals))
        answer = solve(new_solver(60.0), formulation.model)
        assert answer in (Answer.BEST, Answer.NONE), "small models are decided"
        if answer is Answer.BEST:
            return True
    return False


def least_listed(problem: Problem, most: int | None = None) -> int | None:
    """The fewest extra parts of any listed circuit that meets a spec; no model is asked."""
    judge, evaluator = Judge(problem), ShareEvaluator(problem)
    for step in plan_steps(judge, most):
        for placing in step.orbits:
            for found in evaluator.take(CellShare(placing, 0, 1)).screened:
                fit = fit_of(problem, found.netlist.diodes, found.netlist.resistors)
                if any(judge.meets(found.netlist, choice_of(one, fit)) for one in found.choices):
                    return step.extra_parts
    return None
