"""What a circuit's margin hangs on that the catalogue does not know for sure.

Every figure that may be off is moved to both its ends, in all lamps that share it, and the circuit is
judged again at every corner: rated lumens and watts of each type by the confidence of its row, and
the share of heat that goes through the gas, in all gas-filled lamps at once. What a bulb holds,
where it is not known, the judge tries by itself; here its cases are put side by side.

The worked case: the first design of the caravan spec keeps 0.16 stops if R10W is gas-filled and 0.05 if
it is a vacuum lamp, so what R10W holds costs 0.11. Source: our own method, one figure at a time.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from lampwright.judge.judge import Case, Judge, Judgement, ShortedError
from lampwright.network.netlist import Netlist
from lampwright.parts.catalogue import LampType, lamp_type
from lampwright.parts.conduction import Filling
from lampwright.parts.filament import Filament
from lampwright.parts.tables import constant
from lampwright.parts.uncertainty import revalued, uncertainty_of
from lampwright.problem.problem import Choice, Problem, assumed, with_filaments

Figure = Literal["filling", "rated lumens", "rated watts", "heat through gas"]

LEAST_COST = 0.02
"""A figure that costs less than so many stops at either end, and turns nothing, is not worth a line."""

ALL_GAS = "every gas-filled lamp"


@dataclass(frozen=True)
class Moved:
    """A figure taken to be so, and what the judge then says."""

    value: str
    margin: float
    met: bool


@dataclass(frozen=True)
class Doubt:
    """A figure that is not certain: of what, how far it may be off [1], and the cases tried.

    cost: by how many stops the worst case is below the best known. turns: some cases meet the
    spec and others miss it.
    """

    figure: Figure
    of: str
    span: float
    confidence: str
    cases: tuple[Moved, ...]
    cost: float
    turns: bool


def filling_doubts(problem: Problem, cases: tuple[Case, ...]) -> tuple[Doubt, ...]:
    """One doubt for each type whose filling is not known; the worst of all other lamps' fillings counts."""
    found = []
    for name, _ in assumed(problem, cases[0].choice):
        kind = lamp_type(name, problem.spec.supply.system)
        moved = [_with(problem, cases, name, filling) for filling in kind.fillings]
        margins = [one.margin for one in moved]
        turns = len({case.met for case in cases}) > 1
        cost = max(margins) - min(margins)
        found.append(
            Doubt(
                figure="filling",
                of=name,
                span=0.0,
                confidence=kind.filling_confidence,
                cases=tuple(moved),
                cost=cost,
                turns=turns,
            )
        )
    return tuple(found)


def _with(problem: Problem, cases: tuple[Case, ...], name: str, filling: Filling) -> Moved:
    own = [case for case in cases if (name, filling) in assumed(problem, case.choice)]
    return Moved(filling, min(case.margin for case in own), all(case.met for case in own))


class Doubter:
    """Moves the figures of one problem's lamps; keeps the judges of moved figures, for all its circuits."""

    def __init__(self, judge: Judge) -> None:
        """Judge as this judge does, but for the figure that is moved."""
        self.judge, self.problem = judge, judge.problem
        self._judges: dict[tuple[Figure, str, float], Judge] = {}

    def doubts(self, netlist: Netlist, choice: Choice, judgement: Judgement) -> tuple[Doubt, ...]:
        """What the margin hangs on, what turns the answer first, then the dearest."""
        problem = self.problem
        lamps = len(problem.layout.lamps)
        used = dict.fromkeys(
            types[digit]
            for types, digit in zip(problem.part_options.lamp_types, choice.digits[:lamps], strict=True)
        )
        found = list(filling_doubts(problem, judgement.cases))
        for name in used:
            kind = lamp_type(name, problem.spec.supply.system)
            far = uncertainty_of(kind.confidence)
            figures: tuple[tuple[Figure, float], ...] = (
                ("rated lumens", far.lumens),
                ("rated watts", far.watts),
            )
            for figure, span in figures:
                if span:
                    found.append(
                        self._doubt(
                            figure=figure,
                            kind=kind,
                            span=span,
                            netlist=netlist,
                            choice=choice,
                            judgement=judgement,
                        )
                    )
        found.append(self._gas(netlist, choice, judgement))
        kept = [one for one in found if one.turns or one.cost >= LEAST_COST]
        return tuple(sorted(kept, key=lambda one: (not one.turns, -round(one.cost, 6), one.figure, one.of)))

    def _doubt(
        self,
        figure: Figure,
        kind: LampType,
        span: float,
        netlist: Netlist,
        choice: Choice,
        judgement: Judgement,
    ) -> Doubt:
        def change(factor: float) -> Callable[[str, Filament], Filament]:
            def moved(name: str, filament: Filament) -> Filament:
                if name != kind.name:
                    return filament
                return (
                    revalued(filament, lumens=factor)
                    if figure == "rated lumens"
                    else revalued(filament, watts=factor)
                )

            return moved

        cases = tuple(
            self._try(
                figure=figure,
                of=kind.name,
                moved=sign * span,
                change=change(1.0 + sign * span),
                netlist=netlist,
                choice=choice,
            )
            for sign in (-1.0, 1.0)
        )
        return _doubt_of(
            figure=figure,
            of=kind.name,
            span=span,
            confidence=kind.confidence,
            cases=cases,
            judgement=judgement,
        )

    def _gas(self, netlist: Netlist, choice: Choice, judgement: Judgement) -> Doubt:
        span = constant("conducted_share_gas_spread")

        def change(share: float) -> Callable[[str, Filament], Filament]:
            return lambda _, filament: (
                revalued(filament, share=share) if filament.filling == "gas" else filament
            )

        cases = tuple(
            self._try(
                figure="heat through gas",
                of=ALL_GAS,
                moved=share,
                change=change(share),
                netlist=netlist,
                choice=choice,
            )
            for share in (-span, span)
        )
        return _doubt_of(
            figure="heat through gas",
            of=ALL_GAS,
            span=span,
            confidence="medium",
            cases=cases,
            judgement=judgement,
        )

    def _try(
        self,
        figure: Figure,
        of: str,
        moved: float,
        change: Callable[[str, Filament], Filament],
        netlist: Netlist,
        choice: Choice,
    ) -> Moved:
        key = figure, of, moved
        if key not in self._judges:
            judge = Judge(with_filaments(self.problem, change))
            judge.boundary = self.judge.boundary
            self._judges[key] = judge
        try:
            found = self._judges[key].judge(netlist, choice)
        except ShortedError:
            raise AssertionError("a circuit that was judged does not short its supply") from None
        return Moved(f"{100 * moved:+.0f} %", found.margin, found.met)


def _doubt_of(
    figure: Figure, of: str, span: float, confidence: str, cases: tuple[Moved, ...], judgement: Judgement
) -> Doubt:
    cost = max(0.0, judgement.margin - min(one.margin for one in cases))
    turns = any(one.met != judgement.met for one in cases)
    return Doubt(figure=figure, of=of, span=span, confidence=confidence, cases=cases, cost=cost, turns=turns)
