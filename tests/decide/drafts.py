"""Small specs and placings for the rules' tests, and whether a model lets a placing pass."""

from collections.abc import Iterator, Sequence

import numpy as np

from lampwright.decide.asked import boards_of, wants_of
from lampwright.decide.bound import extras_of
from lampwright.decide.draft import Draft
from lampwright.decide.figures import Figures
from lampwright.decide.placement import Extras
from lampwright.decide.solver import Answer, new_solver, solve
from lampwright.decide.stages import ORDER, SHAPE, VALUES, OrderRule, Rule, ValueRule
from lampwright.network.embed import Embedding
from lampwright.pipeline.hunt import Hunter, Share
from lampwright.pipeline.plan import plan_steps
from lampwright.rank.judge import Judge
from lampwright.rank.study import Study, choice_of, fit_of, prepare
from lampwright.spec.load import parse_spec

EVERY_RULE: tuple[Rule, ...] = (*SHAPE, *ORDER, *VALUES)
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
) -> Study:
    """A spec of single lamps and switches; rows are the insides of `when` and `show`."""
    text = 'lampwright = 1\ntitle = "Small"\n[supply]\nsystem = 12\nvolts = [11.8, 13.5, 14.4]\n'
    text += "".join(f'[controls.{feed.lower()}]\nkind = "switch"\nfeed = "{feed}"\n' for feed in feeds)
    text += "".join(f"[lamps.{lamp}]\nchoose = [{types}]\n" for lamp in lamps)
    text += f"[extras]\n{extras}\n" if extras else ""
    text += f"[search]\njoints = {joints}\nwires = {wires}\n{more}\n"
    text += "".join(f"[[behaviour]]\nwhen = {{ {when} }}\nshow = {{ {show} }}\n" for when, show in rows)
    return prepare(parse_spec(text, "small"))


def placed(ends: Ends, terminals: int, diodes: int = 0, resistors: int = 0) -> Embedding:
    """A circuit without wires: vertices 0 up are terminals, ground the last, then joints."""
    joints = max(0, max(max(pair) for pair in ends) + 1 - terminals)
    return Embedding(tuple(range(terminals)), joints, np.array(ends, np.int8), diodes, resistors)


def drafts(
    study: Study, rules: Sequence[Rule], supplies: tuple[float, ...] = (), extras: Extras | None = None
) -> Iterator[Draft]:
    """A model with these rules for every board, all wants asked."""
    wants = wants_of(study)
    for board in boards_of(study, wants):
        draft = Draft(
            study, wants, board, extras or extras_of(study), supplies or study.spec.supply.volts[::2]
        )
        figures = Figures(draft)
        for rule in rules:
            build(rule, draft, figures)
        for asked in draft.asked:
            draft.model.add(asked == 1)
        yield draft


def build(rule: Rule, draft: Draft, figures: Figures) -> None:
    values: list[ValueRule] = [one for one in VALUES if one == rule]
    orders: list[OrderRule] = [one for one in (*SHAPE, *ORDER) if one == rule]
    for value in values:
        value.build(figures)
    for order in orders:
        order.build(draft)


def passes(
    study: Study, circuit: Embedding, rules: Sequence[Rule] = EVERY_RULE, extras: Extras | None = None
) -> bool:
    """Whether some board and some naming of the joints lets a circuit pass these rules."""
    return any(
        lets_pass(draft, circuit)
        for draft in drafts(study, rules, extras=extras)
        if draft.board.partition == circuit.partition
    )


def lets_pass(draft: Draft, circuit: Embedding) -> bool:
    """Whether a model lets a circuit pass under some naming of its joints."""
    for literals in draft.placement.fixed(circuit):
        draft.model.clear_assumptions()
        draft.model.add_assumptions(list(literals))
        answer = solve(new_solver(60.0), draft.model)
        assert answer in (Answer.BEST, Answer.NONE), "small models are decided"
        if answer is Answer.BEST:
            return True
    return False


def least_listed(study: Study, most: int | None = None) -> int | None:
    """The fewest extra parts of any listed circuit that meets a spec; no model is asked."""
    judge, hunter = Judge(study), Hunter(study)
    for step in plan_steps(judge, most):
        for placing in step.placings:
            for found in hunter.take(Share(placing, 0, 1)).screened:
                fit = fit_of(study, found.embedding.diodes, found.embedding.resistors)
                if any(judge.meets(found.embedding, choice_of(one, fit)) for one in found.choices):
                    return step.extra_parts
    return None
