"""The table `[wiring]` of the format: lengths and sizes of the wires (our addition).

Apart from `fields.py` only for length. Left out, no wire has a length and no wiring list
is made. No source: the defaults are common practice (half a volt for a signal lamp).
"""

from lampwright.spec.shapes import Entry, Field, ListOf, Number, Table, Text

LENGTH = 2.0
SIZES = (0.5, 0.75, 1.0, 1.5, 2.5)
MOST_DROP = 0.5
CELSIUS = 60.0

_METRES = Number(0.01, 100.0)
_SQUARE_MM = Number(0.0, 100.0, above=True)
_ZONES = Text(
    pattern=r"[A-Za-z0-9_/-]([A-Za-z0-9_/ -]*[A-Za-z0-9_/-])?",
    most=65,
    fault="is no pair of zones",
)

WIRING = Field(
    "wiring",
    Table(
        (
            Field(
                "length",
                _METRES,
                "Metres of a wire, where lengths does not say otherwise [m].",
                "write a number of metres from 0.01 to 100",
                default=LENGTH,
            ),
            Field(
                "lengths",
                Table(
                    others=Entry(
                        _ZONES,
                        _METRES,
                        "Two zones and the metres of a wire between things in them [m].",
                        'write two zones and metres, as "vehicle-trailer" = 4.0',
                        40,
                    )
                ),
                "Metres of a wire by the zones of its ends, through the coupling if they differ [m].",
                'write { "vehicle-vehicle" = 1.5, "vehicle-trailer" = 4.0 }, or leave it out',
            ),
            Field(
                "size",
                _SQUARE_MM,
                "The one cross-section of all wires [mm2].",
                "write a cross-section in mm2, as 0.75, or leave it out",
            ),
            Field(
                "sizes",
                ListOf(_SQUARE_MM, 1, 8, distinct=True, rising=True),
                "Cross-sections to choose from, for each wire the smallest that will do [mm2]"
                " ([0.5, 0.75, 1.0, 1.5, 2.5]).",
                "write rising cross-sections in mm2, as [0.5, 0.75, 1.0], or leave it out",
            ),
            Field(
                "most_drop",
                Number(0.0, 10.0, above=True),
                "Most volts lost in the wires of one lamp, feed and return together [V].",
                "write a number of volts above 0, up to 10",
                default=MOST_DROP,
            ),
            Field(
                "celsius",
                Number(-40.0, 105.0),
                "Temperature of the copper at which its resistance is taken [degrees Celsius].",
                "write a temperature from -40 to 105",
                default=CELSIUS,
            ),
        ),
        least=0,
    ),
    "Lengths and sizes of the wires (our addition).",
    "write [wiring] with length = 2.0 in it, or leave it out",
)
