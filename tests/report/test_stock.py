"""The plan from the parts box as text and on the page, from plans written by hand.

The page's section is read back by the standard library's reader of HTML.
"""

from html.parser import HTMLParser

import pytest
from msgspec.structs import replace

from lampwright.report.page.templates import rendered
from lampwright.report.topics.stock import stock_text
from lampwright.results.ranking import StockBuild, StockItem, StockPlan
from lampwright.words import money

PLAN = StockPlan(
    status="best",
    text="Build left and right as design 1: 2 parts to buy for 1.70 in all. Proved: nothing costs less.",
    floor_stops=0.3,
    builds=(
        StockBuild(
            build="left", rank=1, fitted=("rear W16W", "D1 1N5404", "R1 5.6 ohm 10 W"), margin_stops=0.4123
        ),
        StockBuild(
            build="right", rank=1, fitted=("rear P21W", "D1 1N5404", "R1 4.7 ohm 10 W"), margin_stops=0.3987
        ),
    ),
    items=(
        StockItem(item="P21W", needed=1, from_stock=0, to_buy=1, price=1.2, cost=1.2),
        StockItem(item="W16W", needed=1, from_stock=1, to_buy=0, price=None, cost=0.0),
        StockItem(item="1N5404", needed=2, from_stock=1, to_buy=1, price=0.5, cost=0.5),
        StockItem(item="4.7 ohm 10 W", needed=1, from_stock=1, to_buy=0, price=0.125, cost=0.0),
        StockItem(item="5.6 ohm 10 W", needed=1, from_stock=1, to_buy=0, price=None, cost=0.0),
    ),
    cost=1.7,
    remarks=("In the box, but not tried: T4W.",),
)
NONE = StockPlan(
    status="none", text="No plan: proved <none>.", floor_stops=0.3, builds=(), items=(), cost=0.0, remarks=()
)
TEXT = """\
── From the parts box ──────────────────────────────────────────────────────────
Build left and right as design 1: 2 parts to buy for 1.70 in all. Proved:
nothing costs less.

copy   design      margin  to fit
────────────────────────────────────────────────────────────────
left        1  0.41 stops  rear W16W, D1 1N5404, R1 5.6 ohm 10 W
right       1  0.40 stops  rear P21W, D1 1N5404, R1 4.7 ohm 10 W

item          needed  from stock  to buy  price  cost
─────────────────────────────────────────────────────
P21W               1           0       1   1.20  1.20
W16W               1           1       0         0.00
1N5404             2           1       1   0.50  0.50
4.7 ohm 10 W       1           1       0  0.125  0.00
5.6 ohm 10 W       1           1       0         0.00
in all             6           4       2         1.70

  - In the box, but not tried: T4W."""


def test_text() -> None:
    assert stock_text(PLAN, 80) == TEXT


def test_text_without_a_plan_is_its_sentence() -> None:
    assert stock_text(NONE, 80).splitlines()[1:] == ["No plan: proved <none>."]


@pytest.mark.parametrize("width", [80, 100])
def test_no_line_is_wider(width: int) -> None:
    long = replace(
        PLAN.builds[0],
        build="a copy of a name as long as may be",
        fitted=tuple(f"a_lamp_of_a_long_name_{n} W16W" for n in range(8)),
    )
    item = replace(PLAN.items[0], item="a type of forty characters, as long as may", cost=123456789.1234)
    text = stock_text(replace(PLAN, builds=(long,), items=(item, *PLAN.items)), width)
    assert max(len(line) for line in text.splitlines()) <= width


def test_money_has_two_decimals_or_more() -> None:
    told = [money(one) for one in (0.0, 1.0, 1.2, 12.34, 0.125, 0.0001, 1000000.0)]
    assert told == ["0.00", "1.00", "1.20", "12.34", "0.125", "0.0001", "1000000.00"]


class Reader(HTMLParser):
    """Reads cells of tables, paragraphs, and the classes of these."""

    def __init__(self) -> None:
        super().__init__()
        self.cells: list[str] = []
        self.paragraphs: list[tuple[str, str]] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open.append(tag)
        if tag in ("td", "th"):
            self.cells.append("")
        if tag == "p":
            self.paragraphs.append((dict(attrs).get("class") or "", ""))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag, "every element is closed in its turn"

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] in ("td", "th"):
            self.cells[-1] += data
        if self.open and self.open[-1] == "p":
            kind, text = self.paragraphs[-1]
            self.paragraphs[-1] = kind, text + data


def section(plan: StockPlan) -> str:
    return str(rendered("stock.html", plan=plan))


def test_page() -> None:
    reader = Reader()
    reader.feed(section(PLAN))
    assert reader.open == []
    assert reader.paragraphs == [("verdict found", PLAN.text), ("note", PLAN.remarks[0])]
    assert reader.cells[4:12] == [
        *("left", "1", "0.41\N{NO-BREAK SPACE}stops", "rear W16W, D1 1N5404, R1 5.6 ohm 10 W"),
        *("right", "1", "0.40\N{NO-BREAK SPACE}stops", "rear P21W, D1 1N5404, R1 4.7 ohm 10 W"),
    ]
    assert reader.cells[18:30] == [
        *("P21W", "1", "0", "1", "1.20", "1.20"),
        *("W16W", "1", "1", "0", "", "0.00"),
    ]
    assert reader.cells[-2:] == ["In all, in the money of the prices", "1.70"]


def test_page_without_a_plan() -> None:
    reader = Reader()
    reader.feed(section(NONE))
    assert (reader.cells, reader.paragraphs) == ([], [("verdict none", "No plan: proved <none>.")])
    assert "&lt;none&gt;" in section(NONE), "names are escaped"


def test_a_stopped_plan_is_not_shown_as_proved() -> None:
    assert '<p class="verdict stopped">' in section(replace(PLAN, status="stopped"))
