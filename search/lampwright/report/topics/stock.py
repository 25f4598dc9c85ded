"""The plan from the parts box as text: what to do, what goes where, what to take and what to buy.

No source: our layout.
"""

from lampwright.report import si
from lampwright.report.layout import bullets, folding, paragraph, right, section, stacked, table
from lampwright.results.ranking import StockPlan
from lampwright.words import money


def stock_text(plan: StockPlan, width: int) -> str:
    """Write the plan: its sentence first, then the copies, the parts, and what was not tried."""
    return stacked(
        section("From the parts box", width, paragraph(plan.text, width)),
        _copies(plan, width),
        _items(plan, width),
        "\n".join(bullets(plan.remarks, width)),
    )


def copy_rows(plan: StockPlan) -> list[tuple[str, ...]]:
    """Each copy to build, and what goes into it."""
    return [
        (build.build, f"{build.rank}", si.stops(build.margin_stops), ", ".join(build.fitted))
        for build in plan.builds
    ]


def item_rows(plan: StockPlan) -> list[tuple[str, ...]]:
    """Each kind of part: how many, whence, and what it costs; no price where it cannot be bought."""
    return [
        (
            item.item,
            *(f"{count}" for count in (item.needed, item.from_stock, item.to_buy)),
            "" if item.price is None else money(item.price),
            money(item.cost),
        )
        for item in plan.items
    ]


def _copies(plan: StockPlan, width: int) -> str:
    columns = [*folding("copy"), *right("design", "margin"), *folding("to fit")]
    return table(columns, copy_rows(plan), width) if plan.builds else ""


def _items(plan: StockPlan, width: int) -> str:
    if not plan.items:
        return ""
    columns = [*folding("item"), *right("needed", "from stock", "to buy", "price", "cost")]
    needed, stocked, bought = (
        str(sum(counts))
        for counts in zip(*((i.needed, i.from_stock, i.to_buy) for i in plan.items), strict=True)
    )
    return table(
        columns, [*item_rows(plan), ("in all", needed, stocked, bought, "", money(plan.cost))], width
    )
