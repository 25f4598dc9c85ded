"""What lies in the builder's box and what may be bought, [stock]: what a document says, and its changes.

No source: our format.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lampwright.workbench.asked import asked_of, table_in, tables_of, texts_of
from lampwright.workbench.change import Change, number_of, refused
from lampwright.workbench.toml_edit import Document, Edit, inline, one_a_line, put, put_key, table_of

RESISTOR = "resistor"
FIRST = {"ohms": 10, "watts": 5, "have": 1}
"""A resistor of the box before it is said which."""


@dataclass(frozen=True)
class BoxLine:
    """A type that lies, or may lie, in the builder's box: lamps or diodes, and how many; None: not said."""

    kind: str
    type: str
    have: int | None


@dataclass(frozen=True)
class BoxResistor:
    """A row of resistors in the box, by its number, with what it says."""

    number: int
    said: Mapping[str, Any]


@dataclass(frozen=True)
class BoxView:
    """The box: its types, resistors, the copies to build, their least margin, and what each type costs.

    is_there: the document has a box. takes_resistors: circuits may have any. prices: of every type
    and of a resistor; "" where it has none.
    """

    is_there: bool
    takes_resistors: bool
    lines: tuple[BoxLine, ...]
    resistors: tuple[BoxResistor, ...]
    copies: tuple[str, ...]
    margin: Any
    prices: tuple[tuple[str, Any], ...]


def box_of(document: Mapping[str, Any]) -> BoxView:
    """The types that are tried, and those that the box has besides, with all that is said of the box."""
    extras, stock = table_in(document, "extras"), table_in(document, "stock")
    helpers = texts_of(table_in(extras, "lamps").get("choose"))
    tried = {
        "lamps": [*(one for lamp in asked_of(document).lamps for one in lamp.choose), *helpers],
        "diodes": texts_of(table_in(extras, "diodes").get("choose")),
    }
    lines = tuple(
        BoxLine(kind, one, have if isinstance(have := table_in(stock, kind).get(one), int) else None)
        for kind, types in tried.items()
        for one in dict.fromkeys((*types, *table_in(stock, kind)))
    )
    prices = table_in(stock, "prices")
    fitted = [one.type for one in lines] + [RESISTOR] * ("resistors" in extras)
    return BoxView(
        is_there="stock" in document,
        takes_resistors="resistors" in extras,
        lines=lines,
        resistors=tuple(
            BoxResistor(number, row if isinstance(row, Mapping) else {})
            for number, row in enumerate(tables_of(stock, "resistors"), 1)
        ),
        copies=texts_of(stock.get("builds")),
        margin=stock.get("least_margin", ""),
        prices=tuple((name, prices.get(name, "")) for name in dict.fromkeys((*fitted, *prices))),
    )


def edit_box(document: Document, change: Change) -> None:
    """How many of a type are in the box: key is `lamps` or `diodes`; with no number it is not in the box."""
    if change.key not in ("lamps", "diodes"):
        raise refused("stock", f"there is no {change.key}", "load the page again")
    _put_in_box(document, change.key, change.name, number_of(change, "parts"))


def _put_in_box(document: Document, key: str, name: str, value: float | None) -> None:
    stock: Any = document.get("stock", {})
    own = stock.get(key) if isinstance(stock, Mapping) else None
    if isinstance(own, Mapping) and (value is not None or len(own) > 1 or name not in own):
        put(document, ("stock", key, name), value)
    else:
        put(document, ("stock", key), None if value is None else {name: value})


def edit_price(document: Document, change: Change) -> None:
    """What one part of a type costs; with no number none may be bought."""
    _put_in_box(document, "prices", change.name, number_of(change, "money"))


def edit_copies(document: Document, change: Change) -> None:
    """The copies to build, with commas between them; none: one without a name."""
    names = [one.strip() for one in change.value.split(",") if one.strip()]
    put(document, ("stock", "builds"), names or None)


def edit_margin(document: Document, change: Change) -> None:
    """The least margin that every copy must have [stops]."""
    put(document, ("stock", "least_margin"), number_of(change, "stops"))


def add_resistor(document: Document, _change: Change) -> None:
    """A resistor more in the box."""
    stock = table_of(document, "stock")
    if isinstance(stock.get("resistors"), list):
        stock["resistors"].append(inline(FIRST))
    else:
        stock["resistors"] = one_a_line([FIRST])


def edit_resistor(document: Document, change: Change) -> None:
    """A figure of a resistor of the box, at its number."""
    if change.key not in FIRST:
        raise refused("resistors", f"a resistor has no {change.key}", "load the page again")
    put_key(_row(document, change.at), change.key, number_of(change, change.key))


def remove_resistor(document: Document, change: Change) -> None:
    """Take a resistor out of the box, and their list with the last."""
    _row(document, change.at)
    rows: Any = table_of(document, "stock")["resistors"]
    del rows[int(change.at) - 1]
    if not rows:
        put(document, ("stock", "resistors"), None)


def _row(document: Document, number: str) -> Any:
    rows = table_of(document, "stock").get("resistors")
    if isinstance(rows, list) and number.isdecimal() and 0 < int(number) <= len(rows):
        return rows[int(number) - 1]
    raise refused("resistors", "there is no such resistor any more", "look at the page as it is now")


EDITS: Mapping[str, Edit] = {
    "box": edit_box,
    "price": edit_price,
    "copies": edit_copies,
    "margin": edit_margin,
    "resistor": edit_resistor,
    "resistor.add": add_resistor,
    "resistor.remove": remove_resistor,
}
