"""The parts box on the page: the plan's rows as the template writes them. No source: our layout."""

from dataclasses import dataclass

from lampwright.report import si
from lampwright.report.topics.stock import price_of
from lampwright.results.stock import StockPlan
from lampwright.words import money


@dataclass(frozen=True)
class CopyRow:
    """One copy to build, and what goes into it."""

    name: str
    rank: int
    margin: str
    fitted: tuple[str, ...]


@dataclass(frozen=True)
class ItemRow:
    """One kind of part: how many, whence, and what it costs."""

    name: str
    needed: int
    from_stock: int
    to_buy: int
    price: str
    cost: str


@dataclass(frozen=True)
class StockView:
    """The section of the parts box: whether it is proved, its sentence, its two tables, its remarks."""

    status: str
    text: str
    copies: tuple[CopyRow, ...]
    items: tuple[ItemRow, ...]
    cost: str
    remarks: tuple[str, ...]


def stock_view(plan: StockPlan | None) -> StockView | None:
    """The plan as the page shows it; None where the spec has no parts box."""
    if plan is None:
        return None
    return StockView(
        status=plan.status,
        text=plan.text,
        copies=tuple(
            CopyRow(build.build, build.rank, si.stops(build.margin_stops), build.fitted)
            for build in plan.builds
        ),
        items=tuple(
            ItemRow(
                name=item.item,
                needed=item.needed,
                from_stock=item.from_stock,
                to_buy=item.to_buy,
                price=price_of(item),
                cost=money(item.cost),
            )
            for item in plan.items
        ),
        cost=money(plan.cost),
        remarks=plan.remarks,
    )
