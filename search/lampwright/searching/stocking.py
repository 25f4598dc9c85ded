"""From designs and a parts box to a plan in rows and words: what to build of what, from stock or bought.

What is chosen among is what the search kept: the ranked designs, each with every choice of
types and values that passes at all corners. A resistor must have the wattage that its worst heat
asks for, so a choice is judged once more where its circuit has one. Bought can be what has
a price; of resistors, the series and the wattages of the spec at the one price for all, and
any row of the box that has a price of its own.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from lampwright.judge.design_rows import taken_rows
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import DECIMALS, Passing, Winner
from lampwright.parts.series import preferred_values
from lampwright.problem.problem import Problem
from lampwright.problem.wattage import fitted_wattage
from lampwright.prove.stock import WORK, Box, Copy, Plan, Way, least_missing, plan_builds
from lampwright.prove.stock_model import Item, Place
from lampwright.results.design import Design
from lampwright.results.ranking import StockBuild, StockItem, StockPlan, copies_named, what_to_build
from lampwright.spec.model import PartsBox
from lampwright.words import listed, many

MONEY = 10_000
"""Prices are counted in this many parts of the spec's money; they have no more decimals."""

STOPS: int = 10**DECIMALS
"""Margins are counted in this many parts of a stop."""


@dataclass(frozen=True)
class _Part:
    """One kind of part: its name, how many there are and what one more costs; a resistor's ohms and watts."""

    name: str
    item: Item
    ohms: float = 0.0
    watts: float = 0.0


@dataclass(frozen=True)
class _Fitting:
    """One design of the ranking, and choices for its copies: of enough margin, alike where they must be."""

    rank: int
    winner: Winner
    passing: tuple[Passing, ...]


def stock_plan(
    problems: Sequence[Problem],
    winners: Sequence[Winner],
    designs: Sequence[Design],
    *,
    ended: bool = True,
    most_work: float = WORK,
) -> StockPlan | None:
    """The plan for the parts box of a spec; None where it has none.

    All copies take the spec in one way, where it leaves a choice.

    problems: of every way in which the spec can be taken, those of more helper lamps last. winners and
    designs: the ranking, best first. ended: whether the search came to its end; otherwise there may be
    designs that were not found, and nothing is proved. most_work: that each of the questions may take, in
    the solver's own count.
    """
    stock = problems[0].spec.stock
    if stock is None:
        return None
    return _Planner(problems, stock, winners, designs).plan(min(WORK, most_work), ended=ended)


class _Planner:
    """Puts one ranking and one parts box to the solver, and its answer into rows."""

    def __init__(
        self,
        problems: Sequence[Problem],
        stock: PartsBox,
        winners: Sequence[Winner],
        designs: Sequence[Design],
    ) -> None:
        # that of the most lamps offers all types
        self.problem, self.stock = problems[-1], stock
        self.judges = [Judge(one) for one in problems]
        self.parts = tuple(_parts(self.problem, stock))
        self.number = {part.name: at for at, part in enumerate(self.parts)}
        self.fittings = tuple(
            fitting
            for winner, design in zip(winners, designs, strict=True)
            for way in (winner, *winner.elsewhere)
            for fitting in self._fittings(way, design.rank)
        )
        self.winners = winners

    def _fittings(self, winner: Winner, rank: int) -> Iterator[_Fitting]:
        """A design once for every set of types of the lamps that must be alike: copies do not mix these."""
        alike = [at for at, lamp in enumerate(self.problem.spec.lamps) if lamp.name in self.stock.alike]
        sets: dict[tuple[int, ...], list[Passing]] = {}
        for one in winner.passing:
            if _in_parts(one.margin) >= _in_parts(self.stock.least_margin):
                sets.setdefault(tuple(one.choice.digits[at] for at in alike), []).append(one)
        for passing in sets.values():
            yield _Fitting(rank, winner, tuple(passing))

    def plan(self, work: float, *, ended: bool) -> StockPlan:
        """The rows of the answer."""
        box = Box(
            tuple(part.item for part in self.parts),
            tuple(tuple(self._ways(one)) for one in self.fittings),
            len(self.stock.builds),
        )
        plan = plan_builds(box, work)
        if not ended:
            plan = replace(plan, status="stopped")
        lacking = least_missing(box, work) if plan.status == "none" else Plan("none", 0, ())
        items = self._items(plan)
        copies = zip(self.stock.builds, plan.copies, strict=bool(plan.copies))
        builds = tuple(self._build(name, copy, plan.design) for name, copy in copies)
        return StockPlan(
            status=plan.status,
            text=self._text(plan.status, builds, items, lacking, ended=ended),
            floor_stops=self.stock.least_margin,
            builds=builds,
            items=items,
            cost=sum(round(item.cost * MONEY) for item in items) / MONEY,
            remarks=tuple(_remarks(self.problem, self.stock)),
        )

    def _text(
        self,
        status: Literal["best", "none", "stopped"],
        builds: Sequence[StockBuild],
        items: Sequence[StockItem],
        lacking: Plan,
        *,
        ended: bool,
    ) -> str:
        """What to build, what to buy, and how far that is the best; ended: as in `stock_plan`."""
        if not builds and status == "stopped":
            return f"No plan was found before the {'work allowed was done' if ended else 'search stopped'}."
        return (
            f"{what_to_build(builds, items)} {self._how_far(status, builds, ended=ended)}"
            if builds
            else (self._why_none(lacking))
        )

    @property
    def _over(self) -> str:
        """How many designs and choices had the least margin asked for."""
        designs = many(len({one.rank for one in self.fittings}), "design")
        return f"{designs} and {many(self._number_of_ways, 'choice')} of types and values"

    @property
    def _number_of_ways(self) -> int:
        return sum(len(one.passing) for one in self.fittings)

    def _how_far(
        self, status: Literal["best", "none", "stopped"], builds: Sequence[StockBuild], *, ended: bool
    ) -> str:
        margin = f"{min(build.margin_stops for build in builds):.2f} stops"
        if not ended:
            over = f"only over {self._over}, with {margin} of margin"
            return f"The search stopped early, so this is the best {over}."
        if status == "stopped":
            return f"The work allowed was done before this was proved the best; the least margin is {margin}."
        return (
            f"Proved over {self._over}: nothing costs less, and nothing at that cost has more than {margin}"
            " of margin in the copy that has least."
        )

    def _why_none(self, lacking: Plan) -> str:
        """Why there is no plan; lacking: what is to be added for one, where that is known."""
        floor = f"{self.stock.least_margin:g} stops"
        most = max((one.margin for winner in self.winners for one in winner.passing), default=None)
        if most is None:
            return "No plan: there is no design to build."
        if not self._number_of_ways:
            return (
                f"No plan: no design has {floor} of margin with any choice of types and values; "
                f"the most is {most:.2f} stops."
            )
        missing = tuple(self._missing(lacking)) if lacking.status == "best" else ()
        floor = f", with at least {floor} of margin" if self.stock.least_margin else ""
        lack = f" With {listed(missing)} more it would do, and with no fewer." if missing else ""
        return (
            f"No plan: proved that the box and what may be bought do not reach for "
            f"{copies_named(self.stock.builds)}{floor}, over {self._over}.{lack}"
        )

    def _ways(self, fitting: _Fitting) -> Iterator[Way]:
        for one in fitting.passing:
            yield Way(_in_parts(one.margin), tuple(self._places(fitting.winner, one)))

    def _places(self, winner: Winner, one: Passing) -> Iterator[Place]:
        """What a choice takes: a lamp for each lamp, a diode for each, a resistor that stands its heat."""
        problem, netlist = self.judges[winner.way].problem, winner.netlist
        lamps, first = len(problem.layout.lamps), len(problem.layout.lamps) + netlist.diodes
        for types, digit in zip(problem.part_options.lamp_types, one.choice.digits[:lamps], strict=True):
            yield (self.number[types[digit]],)
        for digit in one.choice.digits[lamps:first]:
            yield (self.number[problem.part_options.diode_types[digit].name],)
        if netlist.resistors:
            heats = self.judges[winner.way].judge(netlist, one.choice).verdicts.load[-netlist.resistors :]
            for digit, heat in zip(one.choice.digits[first:], heats, strict=True):
                ohms = problem.part_options.ohms[digit]
                least = fitted_wattage(problem, ohms, float(heat))
                yield tuple(
                    at for at, part in enumerate(self.parts) if part.ohms == ohms and part.watts >= least
                )

    def _build(self, build: str, copy: Copy, design: int) -> StockBuild:
        fitting = self.fittings[design]
        spec = self.judges[fitting.winner.way].problem.spec
        lamps = [lamp.name for lamp in spec.lamps]
        diodes = [f"D{n + 1}" for n in range(fitting.winner.netlist.diodes)]
        resistors = [f"R{n + 1}" for n in range(fitting.winner.netlist.resistors)]
        fitted = zip([*lamps, *diodes, *resistors], copy.items, strict=True)
        return StockBuild(
            build=build,
            rank=fitting.rank,
            fitted=tuple(f"{ref} {self.parts[item].name}" for ref, item in fitted),
            margin_stops=fitting.passing[copy.way].margin,
            takes=taken_rows(spec),
        )

    def _items(self, plan: Plan) -> tuple[StockItem, ...]:
        used = Counter(item for copy in plan.copies for item in copy.items)
        rows = []
        for at, part in enumerate(self.parts):
            if used[at]:
                buy, price = max(0, used[at] - part.item.have), part.item.price
                cost = buy * (price or 0) / MONEY
                shown = None if price is None else price / MONEY
                rows.append(
                    StockItem(
                        item=part.name,
                        needed=used[at],
                        from_stock=used[at] - buy,
                        to_buy=buy,
                        price=shown,
                        cost=cost,
                    )
                )
        return tuple(rows)

    def _missing(self, plan: Plan) -> Iterator[str]:
        for row in self._items(plan):
            if row.to_buy and row.price is None:
                yield f"{row.to_buy} × {row.item}"


def resistor_name(ohms: float, watts: float) -> str:
    """A resistor as a kind of part."""
    return f"{ohms:g} ohm {watts:g} W"


def _parts(problem: Problem, stock: PartsBox) -> Iterator[_Part]:
    """Every kind of part that a choice can take: lamps, diodes, resistors by ohms and watts."""
    prices = dict(stock.prices)
    lamps = dict.fromkeys(name for types in problem.part_options.lamp_types for name in types)
    diodes = dict.fromkeys(diode.name for diode in problem.part_options.diode_types)
    for names, have in ((lamps, dict(stock.lamps)), (diodes, dict(stock.diodes))):
        for name in names:
            yield _Part(name, Item(have.get(name, 0), _money(prices.get(name))))
    allowed = problem.spec.extras.resistors
    if allowed is None:
        return
    series = preferred_values(allowed.series, *allowed.ohms)
    rows = {(row.ohms, row.watts): row for row in stock.resistors if row.ohms in problem.part_options.ohms}
    offered = [(ohms, watts) for ohms in problem.part_options.ohms for watts in problem.part_options.watts]
    for ohms, watts in sorted({*rows, *offered}):
        row = rows.get((ohms, watts))
        price = row.price if row else None
        if price is None and ohms in series and watts in problem.part_options.watts:
            price = stock.resistor_price
        item = Item(row.have if row else 0, _money(price))
        yield _Part(resistor_name(ohms, watts), item, ohms, watts)


def _in_parts(stops: float) -> int:
    return round(stops * STOPS)


def _money(price: float | None) -> int | None:
    return None if price is None else round(price * MONEY)


def _remarks(problem: Problem, stock: PartsBox) -> Iterator[str]:
    """What of the box was not tried, and what the margins leave out."""
    lamps = {name for types in problem.part_options.lamp_types for name in types}
    unused = [name for name, _ in stock.lamps if name not in lamps]
    if unused:
        yield f"In the box, but in no lamp's `choose`, so not tried: {', '.join(unused)}."
    diodes = {diode.name for diode in problem.part_options.diode_types}
    unused = [name for name, _ in stock.diodes if name not in diodes]
    if unused:
        yield f"In the box, but not in `extras.diodes`, so not tried: {', '.join(unused)}."
    values = dict.fromkeys(row.ohms for row in stock.resistors if row.ohms not in problem.part_options.ohms)
    if values:
        said = ", ".join(f"{ohms:g} ohm" for ohms in values)
        yield f"In the box, but beyond `extras.resistors`, so not tried: {said}."
    if problem.spec.wiring is not None:
        yield "Margins here are without the wires; the wiring list has each design's with them."
