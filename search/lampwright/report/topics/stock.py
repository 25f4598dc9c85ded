"""The plan from the parts box as text: what to do, what goes where, what to take and what to buy.

No source: our layout.
"""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.report.layout import Column, bullets, heading, join, paragraph, table
from lampwright.results.stock import StockBuild, StockItem, StockPlan
from lampwright.words import money


def stock_text(plan: StockPlan, width: int) -> str:
    """Write the plan: its sentence first, then the copies, the parts, and what was not tried."""
    return join(
        (
            "\n".join((heading("From the parts box", width), paragraph(plan.text, width))),
            _builds(plan.builds, width),
            _items(plan, width),
            "\n".join(bullets(plan.remarks, width)),
        )
    ).rstrip("\n")


def price_of(item: StockItem) -> str:
    """Write what one costs; nothing where it cannot be bought."""
    return "" if item.price is None else money(item.price)


def _builds(builds: Sequence[StockBuild], width: int) -> str:
    columns = [
        Column("copy", folds=True),
        Column("design", "right"),
        Column("margin", "right"),
        Column("to fit", folds=True),
    ]
    rows = [
        (build.build, str(build.rank), si.stops(build.margin_stops), ", ".join(build.fitted))
        for build in builds
    ]
    return table(columns, rows, width) if rows else ""


def _items(plan: StockPlan, width: int) -> str:
    if not plan.items:
        return ""
    columns = [Column("item", folds=True)]
    columns += [Column(name, "right") for name in ("needed", "from stock", "to buy", "price", "cost")]
    rows = [
        (
            item.item,
            f"{item.needed}",
            f"{item.from_stock}",
            f"{item.to_buy}",
            price_of(item),
            money(item.cost),
        )
        for item in plan.items
    ]
    needed, stocked, bought = (
        str(sum(counts))
        for counts in zip(*((i.needed, i.from_stock, i.to_buy) for i in plan.items), strict=True)
    )
    return table(columns, [*rows, ("in all", needed, stocked, bought, "", money(plan.cost))], width)
