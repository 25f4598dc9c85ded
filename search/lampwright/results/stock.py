"""What to take from the parts box and what to buy, as plain rows.

Rows as in `results.ranking`, whose Ranking holds them. Prices are in the spec's own money.
No source: our format.
"""

from typing import Literal

from lampwright.results.row import Money, Row, Stops, Whole


class StockBuild(Row, frozen=True, kw_only=True):
    """One copy to build: which design, with which types and values, and its margin."""

    build: str
    rank: Whole
    fitted: tuple[str, ...]
    margin_stops: Stops


class StockItem(Row, frozen=True, kw_only=True):
    """One kind of part over all copies: how many are needed, from stock and bought, and the cost.

    `price` of one is null where the spec gives none (then none may be bought).
    """

    item: str
    needed: Whole
    from_stock: Whole
    to_buy: Whole
    price: Money | None
    cost: Money


class StockPlan(Row, frozen=True, kw_only=True):
    """Types and values chosen for every copy from what is at hand, as cheaply as can be.

    `status`: `best` is proved to cost least (and, among those, to have the greatest least
    margin); `none` is proved impossible with this stock, these prices and this floor;
    `stopped` is the best found before the work limit, or among the designs of a search that was
    stopped. `floor_stops` is the least margin allowed; `remarks` say what of the box was not tried.
    """

    status: Literal["best", "none", "stopped"]
    text: str
    floor_stops: Stops
    builds: tuple[StockBuild, ...]
    items: tuple[StockItem, ...]
    cost: Money
    remarks: tuple[str, ...]
