"""What an answer hangs on that the catalogue does not know: rows, and the sentence that says so."""

from collections.abc import Sequence

from lampwright.assess.uncertainty import Doubt
from lampwright.judge.design_rows import Presenter, drawn_parts
from lampwright.judge.judge import Case
from lampwright.judge.minimality import DECIMALS, Hinge
from lampwright.network.netlist import draw
from lampwright.problem.problem import Problem, assumed, fitted
from lampwright.results.design import Design
from lampwright.results.doubts import Doubt as DoubtRow
from lampwright.results.doubts import DoubtCase
from lampwright.results.hinges import HingeCase, HingeDesign, Hinges
from lampwright.words import listed

FILLED = {"gas": "gas-filled", "vacuum": "a vacuum lamp"}
MOST_HINGES = 5
"""How many circuits that hang on a filling are told of."""

MOST_DOUBTS = 8


def doubt_rows(doubts: Sequence[Doubt]) -> tuple[DoubtRow, ...]:
    """The doubts as rows, at most so many."""
    return tuple(_doubt_row(one) for one in doubts[:MOST_DOUBTS])


def _doubt_row(one: Doubt) -> DoubtRow:
    span = "gas or vacuum" if one.figure == "filling" else f"± {100 * one.span:.0f} %"
    if one.figure == "heat through gas":
        span = f"± {100 * one.span:.0f} % of the rated watts"
    cases = tuple(DoubtCase(value=case.value, margin_stops=case.margin, meets=case.met) for case in one.cases)
    return DoubtRow(
        figure=one.figure,
        of=one.of,
        span=span,
        confidence=one.confidence,
        cases=cases,
        cost_stops=one.cost,
        turns=one.turns,
    )


def hangs_on(problem: Problem, cases: Sequence[Case], circuits: int = 1) -> str:
    """On which fillings it hangs whether so many circuits meet the spec; nothing where it hangs on none."""
    holds, fails = ("holds", "fails") if circuits == 1 else ("they hold", "fail")
    met = [dict(assumed(problem, case.choice)) for case in cases if case.met]
    missed = [dict(assumed(problem, case.choice)) for case in cases if not case.met]
    if not met or not missed:
        return ""
    for name in met[0]:
        good, bad = {one[name] for one in met}, {one[name] for one in missed}
        if not good & bad:
            kept, lost = FILLED[min(good)], FILLED[min(bad)]
            return f"{holds} if {name} is {kept}, {fails} if it is {lost}"
    ways = [" and ".join(f"{name} is {FILLED[own]}" for name, own in one.items()) for one in met]
    return f"{holds} if {', or if '.join(ways)}, and {fails} otherwise"


def uncertain(best: Design) -> str:
    """What the best design hangs on besides, in a sentence; nothing where no uncertain figure turns it."""
    turning = [f"{one.figure} of {one.of} ({one.span})" for one in best.doubts if one.turns]
    return f" Design {best.rank} hangs on {listed(turning)}, not known so well." if turning else ""


def hinge_rows(presenter: Presenter, hinges: Sequence[Hinge], least: int | None) -> Hinges | None:
    """The circuits that hang on a filling with fewer extra parts than any design has (`least`)."""
    problem = presenter.problem
    fewest = min((one.netlist.extra_parts for one in hinges), default=None)
    if fewest is None or (least is not None and fewest >= least):
        return None
    chosen = sorted((one for one in hinges if one.netlist.extra_parts == fewest), key=_order)
    designs = tuple(_hinge_design(problem, one) for one in chosen[:MOST_HINGES])
    texts = list(dict.fromkeys(hangs_on(problem, one.cases, len(chosen)) for one in chosen))
    return Hinges(
        text=_hinges_text(texts, len(chosen), fewest),
        circuits=len(chosen),
        extra_parts=fewest,
        designs=designs,
    )


def _order(one: Hinge) -> tuple[object, ...]:
    met = [case.margin for case in one.cases if case.met]
    circuit = one.netlist
    return -len(met), circuit.wires, circuit.joints, -round(max(met), DECIMALS), circuit.form


def _hinges_text(texts: Sequence[str], circuits: int, fewest: int) -> str:
    parts = f"{fewest or 'no'} extra part{'s' * (fewest != 1)}"
    if len(texts) == 1:
        return f"With {parts}, {circuits:,} circuit{'s' * (circuits != 1)} more: {texts[0]}."
    return f"With {parts}, {circuits:,} circuits more hang on what a bulb holds, gas or vacuum."


def _hinge_design(problem: Problem, one: Hinge) -> HingeDesign:
    circuit = one.netlist
    drawn = draw(circuit, fitted(problem, circuit, one.cases[0].choice), problem.layout)
    cases = tuple(
        HingeCase(
            assumes=tuple(f"{name} {filling}" for name, filling in assumed(problem, case.choice)),
            margin_stops=case.margin,
            meets=case.met,
        )
        for case in one.cases
    )
    return HingeDesign(
        text=hangs_on(problem, one.cases),
        extra_parts=circuit.extra_parts,
        wires=circuit.wires,
        joints=circuit.joints,
        conductors=one.conductors,
        parts=drawn_parts(drawn, ()),
        cases=cases,
    )
