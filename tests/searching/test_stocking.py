"""Plans from the parts box, end to end on the shipped spec that teaches it.

The circuit is the one its search finds, written by worker. Judges: `judge_circuit`, which
knows nothing of boxes, for margin and heat; and a look at every pair of copies with every
resistor that will do, in which all sums are made anew from the numbers of the spec.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import pytest

from lampwright.app.checking import judge_circuit
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import MinimalityFilter, Screened, Winner, group_drawings
from lampwright.network.circuit import Circuit, Part
from lampwright.network.netlist import netlist_of
from lampwright.parts.series import preferred_values
from lampwright.problem.problem import Problem, fitted, prepare
from lampwright.results.ranking import StockPlan
from lampwright.searching.stocking import stock_plan
from lampwright.spec.load import parse_spec
from lampwright.spec.model import Spec

TEXT = (Path(__file__).parents[2] / "specs" / "trailer_pair_from_the_box.toml").read_text(encoding="utf-8")
PRICES = 'prices = { P21W = 1.20, "1N5404" = 0.40, resistor = 0.90 }'


def board(rear: str = "R10W", marker: str = "W3W", diode: str = "1N5404", ohms: float = 15.0) -> Circuit:
    """The lamp board: the rear lamp on the brake, and on the lights through diode and resistor."""
    return Circuit(
        (
            Part("rear", "filament", "54", "31", lamp="rear", type=rear),
            Part("marker", "filament", "58", "31", lamp="marker", type=marker),
            Part("D1", "diode", "58", "j1", type=diode),
            Part("R1", "resistor", "j1", "54", ohms=ohms),
        )
    )


@dataclass(frozen=True)
class Found:
    """A spec, its one design, and the plan."""

    spec: Spec
    problem: Problem
    winner: Winner
    plan: StockPlan


def found(*changes: tuple[str, str]) -> Found:
    text = TEXT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    spec = parse_spec(text, "pair")
    problem = prepare(spec)
    judge = Judge(problem)
    minimality = MinimalityFilter(judge)
    netlist = netlist_of(board(), problem.layout)
    (group,) = group_drawings([Screened(netlist, minimality.screen_one(netlist))], judge)
    winner = minimality.outcome(group).winner
    assert winner is not None
    plan = stock_plan((problem,), (winner,), (Presenter(judge).design(winner, 1),))
    assert plan is not None
    return Found(spec, problem, winner, plan)


@pytest.fixture(scope="module")
def shipped() -> Found:
    return found()


def test_the_shipped_plan(shipped: Found) -> None:
    plan = shipped.plan
    assert (plan.status, plan.floor_stops, plan.cost) == ("best", 0.3, 0.4)
    assert [(build.build, build.rank, build.fitted) for build in plan.builds] == [
        ("left", 1, ("rear W16W", "marker W3W", "D1 1N5404", "R1 5.6 ohm 10 W")),
        ("right", 1, ("rear W16W", "marker W5W", "D1 1N5404", "R1 5.6 ohm 10 W")),
    ]
    rows = [(row.item, row.needed, row.from_stock, row.to_buy, row.price, row.cost) for row in plan.items]
    assert rows == [
        ("W16W", 2, 2, 0, None, 0.0),
        ("W3W", 1, 1, 0, None, 0.0),
        ("W5W", 1, 1, 0, None, 0.0),
        ("1N5404", 2, 1, 1, 0.4, 0.4),
        ("5.6 ohm 10 W", 2, 2, 0, None, 0.0),
    ]
    assert plan.text == (
        "Build left and right as design 1: 1 part to buy for 0.40 in all. Proved over 1 design and 6 choices"
        " of types and values: nothing costs less, and nothing at that cost has more than 0.36 stops of"
        " margin in the copy that has least."
    )
    assert plan.remarks == ("In the box, but in no lamp's `choose`, so not tried: T4W.",)


def test_every_copy_passes_the_check(shipped: Found) -> None:
    for build in shipped.plan.builds:
        rear, marker, diode, resistor = (word.partition(" ")[2] for word in build.fitted)
        ohms, _, watts, _ = resistor.split()
        report = judge_circuit(shipped.spec, board(rear, marker, diode, float(ohms)))
        assert report.meets
        # the same kernel on the same numbers: only the order of sums may differ
        assert abs(report.design.margin_stops - build.margin_stops) < 1e-9
        assert build.margin_stops >= 0.3
        assert report.design.ratings.resistors[0].worst <= float(watts)


@dataclass(frozen=True)
class Fit:
    """One copy as the judge below sees it."""

    rear: str
    margin: float
    parts: tuple[str, str, str, tuple[float, float]]


def fits(case: Found) -> Iterator[Fit]:
    """Every choice with every resistor on earth that could do: those of the box, and those to be bought."""
    stock, allowed = case.spec.stock, case.spec.extras.resistors
    assert stock is not None
    assert allowed is not None
    rows = {(row.ohms, row.watts) for row in stock.resistors}
    series = preferred_values("E6", 1.0, 47.0)
    for one in case.winner.passing:
        what = fitted(case.problem, case.winner.netlist, one.choice)
        (rear, marker), (diode,), (ohms,) = what.filaments, what.diodes, what.ohms
        heat = judge_circuit(case.spec, board(rear, marker, diode, ohms)).design.ratings.resistors[0].worst
        bought = {(ohms, watts) for watts in allowed.watts if ohms in series}
        for resistor in sorted(rows | bought):
            if resistor[0] == ohms and resistor[1] >= heat:
                yield Fit(rear, one.margin, (rear, marker, diode, resistor))


def best_pair(case: Found) -> tuple[float, float] | None:
    """Least cost and, at that, greatest least margin of two copies, by looking at every pair."""
    stock = case.spec.stock
    assert stock is not None
    have: Counter[object] = Counter(dict(stock.lamps) | dict(stock.diodes))
    have.update({(row.ohms, row.watts): row.have for row in stock.resistors})
    own = {(row.ohms, row.watts): row.price for row in stock.resistors}
    series = preferred_values("E6", 1.0, 47.0)
    best = None
    for pair in product(list(fits(case)), repeat=2):
        if min(one.margin for one in pair) < stock.least_margin:
            continue
        if stock.alike and pair[0].rear != pair[1].rear:
            continue
        cost = 0.0
        for part, count in Counter(part for one in pair for part in one.parts).items():
            price = dict(stock.prices).get(part) if isinstance(part, str) else None
            if isinstance(part, tuple):
                price = own.get(part) or (stock.resistor_price if part[0] in series else None)
            buy = max(0, count - have[part])
            cost += 0.0 if not buy else float("inf") if price is None else buy * price
        worth = (round(cost, 4), -min(one.margin for one in pair))
        if cost < float("inf") and (best is None or worth < best):
            best = worth
    return None if best is None else (best[0], -best[1])


CHANGES: tuple[tuple[tuple[str, str], ...], ...] = (
    (),
    (
        ("least_margin = 0.3", "least_margin = 0.35"),
        ("ohms = 5.6, watts = 10, have = 2", "ohms = 5.6, watts = 10, have = 1, price = 2.0"),
    ),
    (("least_margin = 0.3", "least_margin = 0.36"),),
    # of the rear lamps only R10W is left, gas-filled or not, and 12 ohm does for both
    (
        ("least_margin = 0.3", "least_margin = 0.05"),
        ("W16W = 2, ", ""),
        ("ohms = 15.0, watts = 5, have = 1", "ohms = 12.0, watts = 5, have = 2"),
    ),
    (('alike  = ["rear"]', ""),),
    (('alike  = ["rear"]', ""), ("ohms = 5.6, watts = 10, have = 2", "ohms = 5.6, watts = 10, have = 1")),
    (("W5W = 1, T4W", "T4W"), ("P21W = 1.20", "R5W = 3.0")),
    (("watts = 10, have = 2", "watts = 10, have = 0"), ("W16W = 2", "W16W = 1")),
    ((", resistor = 0.90", ""),),
    ((PRICES, ""),),
    ((PRICES, ""), ('"1N5404" = 1 }', '"1N5404" = 2 }')),
)


@pytest.mark.parametrize("changes", CHANGES, ids=range(len(CHANGES)))
def test_no_pair_is_better(changes: tuple[tuple[str, str], ...]) -> None:
    case = found(*changes)
    margins = [build.margin_stops for build in case.plan.builds]
    ours = (case.plan.cost, min(margins)) if margins else None
    assert ours == best_pair(case)
    assert (case.plan.status == "none") == (ours is None)


def test_what_is_lacking_does_when_it_is_there() -> None:
    none = found((PRICES, "")).plan
    assert (none.status, none.builds, none.items, none.cost) == ("none", (), (), 0.0)
    assert none.text == (
        "No plan: proved that the box and what may be bought do not reach for left and right, with at least"
        " 0.3 stops of margin, over 1 design and 6 choices of types and values. With 1 × 1N5404 more it"
        " would do, and with no fewer."
    )
    more = ('"1N5404" = 1 }', '"1N5404" = 2 }')
    assert found((PRICES, ""), more).plan.status == "best"


def test_a_resistor_that_would_burn_is_no_resistor() -> None:
    """All 5.6 ohm resistors are of 2 W, and 4.7 ohm cannot be bought: nothing is left for the lamps."""
    cold = (("{ ohms = 5.6, watts = 10, have = 2 },", ""), (", resistor = 0.90", ""))
    case = found(*cold)
    assert case.plan.status == "none"
    assert 5.6 in case.problem.part_options.ohms


def test_a_row_has_a_price_of_its_own() -> None:
    """5.6 ohm is of no E6 series, so the price for all resistors does not buy it."""
    scarce = ("ohms = 5.6, watts = 10, have = 2", "ohms = 5.6, watts = 10, have = 1")
    assert [row.item for row in found(scarce).plan.items if row.to_buy] == [
        "P21W",
        "1N5404",
        "4.7 ohm 25 W",
    ]
    priced = ("ohms = 5.6, watts = 10, have = 2", "ohms = 5.6, watts = 10, have = 1, price = 0.1")
    plan = found(priced).plan
    assert {row.item: row.price for row in plan.items if row.to_buy} == {"1N5404": 0.4, "5.6 ohm 10 W": 0.1}
    assert plan.cost == 0.5


def test_a_floor_beyond_every_design() -> None:
    plan = found(("least_margin = 0.3", "least_margin = 0.7")).plan
    assert plan.status == "none"
    assert plan.text == (
        "No plan: no design has 0.7 stops of margin with any choice of types and values;"
        " the most is 0.36 stops."
    )


def test_without_designs(shipped: Found) -> None:
    plan = stock_plan((shipped.problem,), (), ())
    assert plan is not None
    assert (plan.status, plan.text) == ("none", "No plan: there is no design to build.")


def test_a_stopped_search_proves_nothing(shipped: Found) -> None:
    nothing = stock_plan((shipped.problem,), (), (), ended=False)
    assert nothing is not None
    assert (nothing.status, nothing.text) == ("stopped", "No plan was found before the search stopped.")
    design = Presenter(Judge(shipped.problem)).design(shipped.winner, 1)
    some = stock_plan((shipped.problem,), (shipped.winner,), (design,), ended=False)
    assert some is not None
    assert (some.status, some.builds, some.cost) == ("stopped", shipped.plan.builds, 0.4)
    assert "The search stopped early, so this is the best only over 1 design" in some.text
    assert "roved" not in some.text


def test_without_a_box_there_is_no_plan() -> None:
    problem = prepare(parse_spec(TEXT[: TEXT.index("\n[stock]\n")], "pair"))
    assert stock_plan((problem,), (), ()) is None


def test_one_copy_and_what_was_not_tried() -> None:
    case = found(
        ('builds = ["left", "right"]', ""),
        ('"1N4007" = 4', '"1N4001" = 4'),
        ("{ ohms = 15.0, watts = 5, have = 1 }", "{ ohms = 150.0, watts = 5, have = 1 }"),
        ("[stock]\n", "[wiring]\n[stock]\n"),
    )
    assert case.plan.text.startswith("Build one copy as design 1: nothing to buy.")
    assert case.plan.remarks[1:] == (
        "In the box, but not in `extras.diodes`, so not tried: 1N4001.",
        "In the box, but beyond `extras.resistors`, so not tried: 150 ohm.",
        "Margins here are without the wires; the wiring list has each design's with them.",
    )
