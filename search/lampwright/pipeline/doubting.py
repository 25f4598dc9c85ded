"""What an answer hangs on that the catalogue does not know: rows, and the sentence that says so."""

from collections.abc import Sequence

from lampwright.network.embed import draw
from lampwright.pipeline.present import Presenter, drawn_parts
from lampwright.rank.doubts import Doubt
from lampwright.rank.judge import Case
from lampwright.rank.study import Study, assumed, fitted
from lampwright.rank.winnow import DECIMALS, Hinge
from lampwright.report.explain_words import listed
from lampwright.store.design import Design
from lampwright.store.doubt_rows import Doubt as DoubtRow
from lampwright.store.doubt_rows import DoubtCase
from lampwright.store.hinge_rows import HingeCase, HingeDesign, Hinges

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
    cases = tuple(DoubtCase(case.value, case.margin, case.met) for case in one.cases)
    return DoubtRow(one.figure, one.of, span, one.confidence, cases, one.cost, one.turns)


def hangs_on(study: Study, cases: Sequence[Case], circuits: int = 1) -> str:
    """On which fillings it hangs whether so many circuits meet the spec; nothing where it hangs on none."""
    holds, fails = ("holds", "fails") if circuits == 1 else ("they hold", "fail")
    met = [dict(assumed(study, case.choice)) for case in cases if case.met]
    missed = [dict(assumed(study, case.choice)) for case in cases if not case.met]
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
    study = presenter.study
    fewest = min((one.embedding.extra_parts for one in hinges), default=None)
    if fewest is None or (least is not None and fewest >= least):
        return None
    chosen = sorted((one for one in hinges if one.embedding.extra_parts == fewest), key=_order)
    designs = tuple(_hinge_design(study, one) for one in chosen[:MOST_HINGES])
    texts = list(dict.fromkeys(hangs_on(study, one.cases, len(chosen)) for one in chosen))
    return Hinges(_hinges_text(texts, len(chosen), fewest), len(chosen), fewest, designs)


def _order(one: Hinge) -> tuple[object, ...]:
    met = [case.margin for case in one.cases if case.met]
    circuit = one.embedding
    return -len(met), circuit.wires, circuit.joints, -round(max(met), DECIMALS), circuit.form


def _hinges_text(texts: Sequence[str], circuits: int, fewest: int) -> str:
    parts = f"{fewest or 'no'} extra part{'s' * (fewest != 1)}"
    if len(texts) == 1:
        return f"With {parts}, {circuits:,} circuit{'s' * (circuits != 1)} more: {texts[0]}."
    return f"With {parts}, {circuits:,} circuits more hang on what a bulb holds, gas or vacuum."


def _hinge_design(study: Study, one: Hinge) -> HingeDesign:
    circuit = one.embedding
    drawn = draw(circuit, fitted(study, circuit, one.cases[0].choice), study.layout)
    cases = tuple(
        HingeCase(
            tuple(f"{name} {filling}" for name, filling in assumed(study, case.choice)), case.margin, case.met
        )
        for case in one.cases
    )
    return HingeDesign(
        hangs_on(study, one.cases),
        circuit.extra_parts,
        circuit.wires,
        circuit.joints,
        one.conductors,
        drawn_parts(drawn, ()),
        cases,
    )
