"""How far the resistors of a design may stray, and circuits that need a value that is not listed.

Each resistor is moved with the others as they are, and everything between the ends is shown to work, by
`judge.ranging`. A value that no series has is made of two that it has, in series or in parallel: two
resistors of one tolerance make a resistance of no greater tolerance.

Worked case: 5.7 ohm of E6 is 4.7 and 1.0 in series, or 6.8 and 33 in parallel (5.64).
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement
from typing import Literal

from lampwright.judge.design_rows import drawn_parts, taken_rows
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import CircuitGroup
from lampwright.judge.ranging import Ranger
from lampwright.network.netlist import Netlist, draw
from lampwright.parts.series import preferred_values
from lampwright.problem.problem import Choice, fitted
from lampwright.results.design import ResistorRange
from lampwright.results.ranking import NonstandardDesign, NonstandardResistor, Nonstandards
from lampwright.words import counted, listed

MOST_SHOWN = 3
"""Circuits with values that are not listed that are shown."""

DIGITS = 3
"""Ends of a range are rounded inward to so many digits, where that leaves something between."""

Joined = Literal["alone", "series", "parallel", "specially"]


@dataclass(frozen=True)
class OhmSpan:
    """From where to where [ohm]."""

    low: float
    high: float


@dataclass(frozen=True)
class MadeOf:
    """One value [ohm] alone, or two joined; none where a resistor must be made specially."""

    values: tuple[float, ...] = ()
    joined: Joined = "specially"

    @property
    def ohms(self) -> float:
        """What they come to [ohm]."""
        if self.joined == "parallel":
            return 1.0 / sum(1.0 / ohms for ohms in self.values)
        return sum(self.values)


def rounded_inward(low: float, high: float) -> OhmSpan:
    """Both ends [ohm] rounded towards each other, to as few digits as leave something between; scalars.

    >>> rounded_inward(8.2041, 13.987), rounded_inward(8.2041, 8.2063)
    (OhmSpan(low=8.21, high=13.9), OhmSpan(low=8.205, high=8.206))
    """
    for digits in (DIGITS, DIGITS + 1):
        least, most = _rounded(low, digits, math.ceil), _rounded(high, digits, math.floor)
        if least < most:
            return OhmSpan(least, most)
    return OhmSpan(low, high)


def _rounded(ohms: float, digits: int, way: Callable[[float], int]) -> float:
    scale = 10.0 ** (digits - 1 - math.floor(math.log10(ohms)))
    return way(round(ohms * scale, 6)) / scale


def resistor_ranges(
    ranger: Ranger, netlist: Netlist, choice: Choice, refs: Sequence[str]
) -> tuple[ResistorRange, ...]:
    """How far each resistor of a circuit that meets the spec may stray; refs: their names."""
    problem = ranger.problem
    asked = problem.spec.extras.resistors
    values = fitted(problem, netlist, choice).ohms
    if asked is None or not values:
        return ()
    rows = []
    for ref, ohms, ends in zip(refs, values, ranger.widths(netlist, choice, values), strict=True):
        span = rounded_inward(*ends)
        whole = ends[0] <= asked.ohms[0] and ends[1] >= asked.ohms[1]
        low, high = min(span.low, ohms), max(span.high, ohms)
        rows.append(ResistorRange(ref=ref, ohms=ohms, low=low, high=high, whole=whole))
    return tuple(rows)


def made_from(values: Sequence[float], low: float, high: float) -> MadeOf:
    """One of the values [ohm] that lies between low and high, or two of them joined; none where none do.

    One alone before two; of equals, what lies nearest to the middle of the range as a ratio.

    >>> made_from((1.0, 4.7, 6.8), 5.5, 6.0)
    MadeOf(values=(4.7, 1.0), joined='series')
    """
    middle = math.sqrt(low * high)
    ways = [MadeOf((one,), "alone") for one in values]
    for pair in combinations_with_replacement(sorted(values, reverse=True), 2):
        ways += [MadeOf(pair, "series"), MadeOf(pair, "parallel")]
    fitting = [way for way in ways if low <= way.ohms <= high]
    return min(fitting, key=lambda way: (len(way.values), abs(math.log(way.ohms / middle))), default=MadeOf())


@dataclass(frozen=True)
class WorkingOhms:
    """A circuit, its types, and ohms with which it works; writer: of its problem."""

    writer: "NonstandardWriter"
    group: CircuitGroup
    choice: Choice
    ohms: tuple[float, ...]


def nonstandard_rows(found: Sequence[WorkingOhms], least: int | None) -> Nonstandards | None:
    """Those with fewer extra parts than any design has (`least`), each with types and ohms that work."""
    fewest = min((one.group.drawings[0].extra_parts for one in found), default=None)
    if fewest is None or (least is not None and fewest >= least):
        return None
    chosen = [one for one in found if one.group.drawings[0].extra_parts == fewest]
    chosen.sort(key=_order)
    designs = tuple(one.writer.design(one.group, one.choice, one.ohms) for one in chosen[:MOST_SHOWN])
    parts = counted(fewest, "extra part")
    many = f"{len(chosen):,} circuit{'s' * (len(chosen) != 1)}"
    meets = "meets" if len(chosen) == 1 else "meet"
    text = f"With {parts}, {many} {meets} the spec with a resistance that is not listed: {designs[0].text}."
    return Nonstandards(text=text, circuits=len(chosen), extra_parts=fewest, designs=designs)


class NonstandardWriter:
    """Writes circuits that need resistances which are not listed."""

    def __init__(self, judge: Judge) -> None:
        """Write circuits of this judge's problem."""
        self.problem, self.ranger = judge.problem, Ranger(judge)
        asked = judge.problem.spec.extras.resistors
        low, high = (1.0, 1.0) if asked is None else asked.ohms
        # parts of a pair may lie outside the range that their sum lies in
        self.values = () if asked is None else preferred_values(asked.series, low / 10.0, high * 10.0)

    def design(self, group: CircuitGroup, choice: Choice, ohms: tuple[float, ...]) -> NonstandardDesign:
        """One circuit, its resistances made of listed values where two of them will do."""
        problem, netlist = self.problem, group.drawings[0]
        values = list(ohms)
        made: list[MadeOf] = []
        # one after another, so that each is made with those before it as they will be
        for at in range(netlist.resistors):
            span = rounded_inward(*self.ranger.widths(netlist, choice, values)[at])
            made.append(made_from(self.values, span.low, span.high))
            if made[-1].values:
                values[at] = made[-1].ohms
        ends = [rounded_inward(*one) for one in self.ranger.widths(netlist, choice, values)]
        names = fitted(problem, netlist, choice)
        drawn = draw(netlist, replace(names, ohms=tuple(values)), problem.layout)
        rows = drawn_parts(drawn, ())
        refs = [part.ref for part in rows if part.kind == "resistor"]
        resistors = tuple(
            NonstandardResistor(
                ref=ref, low=span.low, high=span.high, ohms=ohms, made_of=way.values, joined=way.joined
            )
            for ref, span, ohms, way in zip(refs, ends, values, made, strict=True)
        )
        return NonstandardDesign(
            text=listed([_told(one) for one in resistors]),
            extra_parts=netlist.extra_parts,
            wires=netlist.wires,
            joints=netlist.joints,
            conductors=group.conductors,
            margin_stops=self.ranger.judged(netlist, choice, values).margin,
            parts=rows,
            resistors=resistors,
            takes=taken_rows(problem.spec),
        )


def _order(one: WorkingOhms) -> tuple[object, ...]:
    netlist = one.group.drawings[0]
    return netlist.wires, netlist.joints, netlist.form


def _told(one: NonstandardResistor) -> str:
    said = f"{one.ref} from {one.low:g} to {one.high:g} Ω"
    if one.joined == "specially":
        return f"{said} (no two of the series make it)"
    if one.joined == "alone":
        return f"{said} ({one.ohms:g})"
    sign = "and" if one.joined == "series" else "beside"
    return f"{said} ({f' {sign} '.join(f'{ohms:g}' for ohms in one.made_of)} in {one.joined})"
