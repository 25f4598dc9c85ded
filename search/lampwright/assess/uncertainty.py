"""What a circuit's margin hangs on that the catalogue does not know for sure.

Every figure that may be off is moved to both its ends, in all lamps that share it, and the circuit is
judged again at every corner: rated lumens and watts of each type by the confidence of its row, and
the share of heat that goes through the gas, in all gas-filled lamps at once. What a bulb holds,
where it is not known, the judge tries by itself; here its cases are put side by side.

The worked case: the first design of the caravan spec keeps 0.16 stops if R10W is gas-filled and 0.05 if
it is a vacuum lamp, so what R10W holds costs 0.11. Source: our own method, one figure at a time.
"""

from collections.abc import Callable, Sequence

from lampwright.judge.design_rows import drawn_parts, taken_rows
from lampwright.judge.judge import Case, Judge, Judgement, ShortedError
from lampwright.judge.minimality import DECIMALS, Hinge
from lampwright.network.netlist import Netlist, draw
from lampwright.parts.catalogue import LampType
from lampwright.parts.filament import Filament
from lampwright.parts.tables import constant
from lampwright.parts.uncertainty import revalued, uncertainty_of
from lampwright.problem.problem import Choice, Problem, assumed, fitted, with_filaments
from lampwright.results.care import Doubt, DoubtCase, Figure
from lampwright.results.design import Design
from lampwright.results.ranking import HingeCase, HingeDesign, Hinges
from lampwright.solve.shelf import shelf_of
from lampwright.words import counted, listed

LEAST_COST = 0.02
"""A figure that costs less than this [stops] at either end, and turns nothing, is not worth a line."""

MOST_DOUBTS = 8
"""How many doubts of a design are told of, the dearest."""

MOST_HINGES = 5
"""How many circuits that hang on a filling are told of."""

ALL_GAS = "every gas-filled lamp"
FILLED = {"gas": "gas-filled", "vacuum": "a vacuum lamp"}
Change = Callable[[str, Filament], Filament]


def filling_doubts(problem: Problem, cases: tuple[Case, ...]) -> tuple[Doubt, ...]:
    """One doubt for each type whose filling is not known; the worst of all other lamps' fillings counts."""
    found = []
    for name, _ in assumed(problem, cases[0].choice):
        kind = shelf_of(problem.spec).lamp(name)
        moved = []
        for filling in kind.fillings:
            own = [case for case in cases if (name, filling) in assumed(problem, case.choice)]
            margin, meets = min(case.margin for case in own), all(case.met for case in own)
            moved.append(DoubtCase(value=filling, margin_stops=margin, meets=meets))
        margins = [one.margin_stops for one in moved]
        found.append(
            Doubt(
                figure="filling",
                of=name,
                span="gas or vacuum",
                confidence=kind.filling_confidence,
                cases=tuple(moved),
                cost_stops=max(margins) - min(margins),
                turns=len({case.met for case in cases}) > 1,
            )
        )
    return tuple(found)


class Doubter:
    """Moves the figures of one problem's lamps; keeps the judges of moved figures, for all its circuits."""

    def __init__(self, judge: Judge) -> None:
        """Judge as this judge does, but for the figure that is moved."""
        self.judge, self.problem = judge, judge.problem
        self._judges: dict[tuple[Figure, str, float], Judge] = {}

    def doubts(self, netlist: Netlist, choice: Choice, judgement: Judgement) -> tuple[Doubt, ...]:
        """What the margin hangs on, the most important, what turns the answer first, then the dearest."""
        problem = self.problem
        lamps = len(problem.layout.lamps)
        used = dict.fromkeys(
            types[digit]
            for types, digit in zip(problem.part_options.lamp_types, choice.digits[:lamps], strict=True)
        )
        found = list(filling_doubts(problem, judgement.cases))
        for name in used:
            kind = shelf_of(problem.spec).lamp(name)
            far = uncertainty_of(kind.confidence)
            figures: tuple[tuple[Figure, float], ...] = (
                ("rated lumens", far.lumens),
                ("rated watts", far.watts),
            )
            for figure, span in figures:
                if span:
                    moved = self._moved(figure, kind.name, span, netlist, choice)
                    found.append(_doubt(figure, kind, f"± {100 * span:.0f} %", moved, judgement))
        share = constant("conducted_share_gas_spread")
        moved = self._moved("heat through gas", ALL_GAS, share, netlist, choice)
        said = f"± {100 * share:.0f} % of the rated watts"
        found.append(_doubt("heat through gas", None, said, moved, judgement))
        kept = [one for one in found if one.turns or one.cost_stops >= LEAST_COST]
        kept.sort(key=lambda one: (not one.turns, -round(one.cost_stops, 6), one.figure, one.of))
        return tuple(kept[:MOST_DOUBTS])

    def _moved(
        self, figure: Figure, of: str, span: float, netlist: Netlist, choice: Choice
    ) -> tuple[DoubtCase, ...]:
        """What the judge says with the figure at either end of its span."""
        cases = []
        for moved in (-span, span):
            key = figure, of, moved
            if key not in self._judges:
                judge = Judge(with_filaments(self.problem, _change(figure, of, moved)))
                judge.boundary = self.judge.boundary
                self._judges[key] = judge
            try:
                found = self._judges[key].judge(netlist, choice)
            except ShortedError:
                raise AssertionError("a circuit that was judged does not short its supply") from None
            cases.append(DoubtCase(value=f"{100 * moved:+.0f} %", margin_stops=found.margin, meets=found.met))
        return tuple(cases)


def _change(figure: Figure, of: str, moved: float) -> Change:
    """What becomes of a filament where the figure is off by so much [1]."""

    def changed(name: str, filament: Filament) -> Filament:
        if figure == "heat through gas":
            return revalued(filament, share=moved) if filament.filling == "gas" else filament
        if name != of:
            return filament
        factor = 1.0 + moved
        return (
            revalued(filament, lumens=factor)
            if figure == "rated lumens"
            else revalued(filament, watts=factor)
        )

    return changed


def _doubt(
    figure: Figure, kind: LampType | None, span: str, cases: tuple[DoubtCase, ...], judgement: Judgement
) -> Doubt:
    """A doubt of a type, or of every gas-filled lamp."""
    return Doubt(
        figure=figure,
        of=kind.name if kind else ALL_GAS,
        span=span,
        confidence=kind.confidence if kind else "medium",
        cases=cases,
        cost_stops=max(0.0, judgement.margin - min(one.margin_stops for one in cases)),
        turns=any(one.meets != judgement.met for one in cases),
    )


def hangs_on(problem: Problem, cases: Sequence[Case], circuits: int = 1) -> str:
    """On which fillings it hangs whether circuits meet the spec; nothing where it hangs on none."""
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


def hinge_rows(problems: Sequence[Problem], hinges: Sequence[Hinge], least: int | None) -> Hinges | None:
    """The circuits that hang on a filling with fewer extra parts than any design has (`least`).

    problems: of every way in which the spec can be taken.
    """
    fewest = min((one.netlist.extra_parts for one in hinges), default=None)
    if fewest is None or (least is not None and fewest >= least):
        return None
    chosen = sorted((one for one in hinges if one.netlist.extra_parts == fewest), key=_order)
    designs = tuple(_hinge_design(problems[one.way], one) for one in chosen[:MOST_HINGES])
    texts = list(dict.fromkeys(hangs_on(problems[one.way], one.cases, len(chosen)) for one in chosen))
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
    parts = counted(fewest, "extra part")
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
        takes=taken_rows(problem.spec),
    )
