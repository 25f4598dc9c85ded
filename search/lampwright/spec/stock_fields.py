"""The table `[stock]` of the format: the parts box, what may be bought, the copies to build.

Apart from `fields.py` only for length. Left out, nothing is chosen from stock. Types are
compared with the catalogue later; a box may hold what this spec has no use for, so that
one list serves all of a builder's specs. No source: our format.
"""

from lampwright.spec.names import NAME, TYPE
from lampwright.spec.shapes import Entry, Field, ListOf, Number, Table, Whole

ONE_BUILD = ("build",)
LEAST_MARGIN = 0.0
MOST_COUNT = 1000
MOST_TYPES = 200

_COUNT = Whole(0, MOST_COUNT)
_MONEY = Number(0.0, 1e6)
_MONEY_WANT = "write what one costs, as 1.20"


def _counts(what: str, example: str) -> Table:
    """Return the table of types and how many of each there are."""
    want = f"write the type in quotes and how many there are, as {example}"
    return Table(others=Entry(TYPE, _COUNT, f"A {what} type and how many there are.", want, MOST_TYPES))


_RESISTOR = Table(
    (
        Field(
            "ohms",
            Number(0.0, 1e6, above=True),
            "Resistance [ohm]; tried besides the series where `extras.resistors` reaches it.",
            "write a number of ohms, as 4.7",
            required=True,
        ),
        Field(
            "watts",
            Number(0.0, 1000.0, above=True),
            "What it stands [W]; it goes only where its worst heat stays within.",
            "write a number of watts, as 10",
            required=True,
        ),
        Field(
            "have",
            _COUNT,
            "How many there are.",
            f"write a whole number from 0 to {MOST_COUNT}",
            default=0,
        ),
        Field("price", _MONEY, "What one more of this value and wattage costs.", _MONEY_WANT),
    )
)
_PRICES = Table(
    (
        Field(
            "resistor",
            _MONEY,
            "What any resistor of the series and wattages of `extras.resistors` costs.",
            _MONEY_WANT,
        ),
    ),
    Entry(TYPE, _MONEY, "A lamp or diode type and what one costs.", _MONEY_WANT, MOST_TYPES),
)

STOCK = Field(
    "stock",
    Table(
        (
            Field(
                "builds",
                ListOf(NAME, 1, 24, distinct=True),
                "Names of the copies to build, all of the same circuit; one if left out.",
                'write a list of names, as ["left", "right"], or leave it out',
                default=list(ONE_BUILD),
            ),
            Field(
                "least_margin",
                Number(0.0, 10.0),
                "Least margin every copy must have [stops].",
                "write a number of stops from 0 to 10",
                default=LEAST_MARGIN,
            ),
            Field(
                "alike",
                ListOf(NAME, 1, 12, distinct=True),
                "Lamps that must be of one type in all copies; others may differ from copy to copy.",
                'write a list of lamps, as ["rear"], or leave it out',
                default=[],
            ),
            Field(
                "lamps",
                _counts("lamp", '{ "W2.3W" = 4 }'),
                "Lamps in the box, by type.",
                "write { P21W = 4 }, or leave it out",
            ),
            Field(
                "diodes",
                _counts("diode", '{ "1N5404" = 2 }'),
                "Diodes in the box, by type.",
                'write { "1N5404" = 2 }, or leave it out',
            ),
            Field(
                "resistors",
                ListOf(_RESISTOR, 1, MOST_TYPES),
                "Resistors in the box, a row for each value and wattage.",
                "write rows as [{ ohms = 4.7, watts = 10, have = 3 }], or leave it out",
            ),
            Field(
                "prices",
                _PRICES,
                "What may be bought and what one costs, in any one money; what has no price is not bought.",
                "write { P21W = 1.20, resistor = 0.30 }, or leave it out",
            ),
        )
    ),
    "The parts box: types and values are chosen from it for every copy (our addition).",
    "write [stock] with lamps = { P21W = 4 } in it, or leave it out",
)
