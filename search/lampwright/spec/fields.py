"""The spec format, version 1, written down once: every key, its shape, meaning and remedy.

The loader's structural checks and the JSON Schema are both read off `SPEC`. A key marked
"our addition" is not in the first statement of the format.
"""

from lampwright.spec.level_fields import LEVELS
from lampwright.spec.levels import FLASHING, STEADY
from lampwright.spec.names import NAME, TYPE
from lampwright.spec.shapes import (
    Either,
    Entry,
    Field,
    Flag,
    ListOf,
    Number,
    OneOf,
    Table,
    Tagged,
    Text,
    Whole,
)
from lampwright.spec.stock_fields import STOCK
from lampwright.spec.wiring_fields import WIRING

VERSION = 1

_WORDS = (*STEADY, *FLASHING)
_STEADY = "|".join(STEADY)

_TITLE = Text(
    pattern=r"[^\x00-\x20\x7f-\x9f]([^\x00-\x1f\x7f-\x9f]*[^\x00-\x20\x7f-\x9f])?",
    most=200,
    fault="is no title of one line",
)
_WORD = Text(
    pattern=f"{_STEADY}|{'|'.join(FLASHING)}|({_STEADY})/({_STEADY})",
    most=16,
    fault="is no word for a lamp",
    near=_WORDS,
)
_WORD_WANT = "use dark, off, dim, lit, full, any, flash or counterflash, or a pair as lit/dim"
_TERMINAL_WANT = 'write a terminal\'s name in quotes, as "54" or "49a"'
_POSITION_WANT = 'write one of the control\'s positions in quotes, as "off" or "on"'
_CHOOSE = ListOf(TYPE, 1, 32, distinct=True)

_WHEN = Table(others=Entry(NAME, NAME, "The control and its position.", _POSITION_WANT, 12), least=0)
_WHEN_FIELD = Field(
    "when",
    _WHEN,
    "The settings meant; a control not named means every setting.",
    'write { brake = "on" }',
    default={},
)

_SUPPLY = Table(
    (
        Field("system", OneOf((6, 12, 24)), "System voltage [V].", "write 6, 12 or 24", required=True),
        Field(
            "volts",
            ListOf(Number(0.0, 60.0, above=True), 3, 3, rising=True),
            "Low, normal and high voltage at the feeds [V]; the circuit must work at all three.",
            "write three rising numbers of volts, [low, normal, high]",
            required=True,
        ),
        Field(
            "always_live",
            Flag(),
            'Whether a terminal "30", live in every state, may be used.',
            "write true or false",
            default=False,
        ),
    )
)

_MOST_AMPS = Field(
    "most_amps",
    Number(0.0, 1000.0, above=True),
    "What its contacts and fuse carry [A]; no limit is checked if left out.",
    "write a number of amps above 0, or leave it out",
)
_FEED = Field(
    "feed", NAME, "The terminal joined to the supply while it is on (closed).", _TERMINAL_WANT, required=True
)
_PAIR = ListOf(NAME, 2, 2, distinct=True)
_POSITIONS = Field(
    "positions",
    Table(
        others=Entry(
            NAME,
            ListOf(_PAIR, 0, 16, distinct=True),
            "The pairs of terminals joined in this position; [] for none.",
            'write a list of terminal pairs, as [["30", "L"], ["31", "A"]], or []',
            12,
        ),
        least=2,
    ),
    "Each position and the terminal pairs its contacts join.",
    'write at least two positions, as { left = [["30", "L"]], off = [] }',
    required=True,
)
_CONTROL = Tagged(
    Field(
        "kind",
        OneOf(("switch", "flasher", "positions")),
        "switch: on or off; flasher: off, or on in two phases; positions: the general form.",
        "write switch, flasher or positions",
        required=True,
    ),
    (
        ("switch", Table((_FEED, _MOST_AMPS))),
        ("flasher", Table((_FEED, _MOST_AMPS))),
        ("positions", Table((_POSITIONS, _MOST_AMPS))),
    ),
)

_LAMP = Table(
    (
        Field(
            "choose",
            _CHOOSE,
            "Catalogue types the builder would fit; the search tries them all.",
            'write a list of lamp types, as ["P21W"]',
            required=True,
        ),
        Field(
            "filaments",
            ListOf(NAME, 1, 2, distinct=True),
            "Names of the filaments, major first; the lamp's own name if left out.",
            'write one or two names, as ["stop", "tail"]',
        ),
        Field(
            "common",
            NAME,
            "The terminal at which the holder fixes one end; leave out where the holder is insulated.",
            _TERMINAL_WANT,
        ),
    )
)

_RESISTORS = Table(
    (
        Field("most", Whole(0, 6), "How many at most.", "write a whole number from 0 to 6", required=True),
        Field(
            "series",
            OneOf(("E3", "E6", "E12", "E24")),
            "Preferred values (IEC 60063).",
            "write E3, E6, E12 or E24",
            default="E6",
        ),
        Field(
            "ohms",
            ListOf(Number(0.0, 1e6, above=True), 2, 2, rising=True),
            "Least and greatest resistance tried [ohm].",
            "write two rising numbers of ohms, [least, greatest]",
            default=[1.0, 100.0],
        ),
        Field(
            "watts",
            ListOf(Number(0.0, 1000.0, above=True), 1, 16, distinct=True),
            "Wattages that can be fitted [W].",
            "write a list of wattages, as [5, 10, 25]",
            default=[5, 10, 25],
        ),
        Field(
            "tolerance",
            Number(0.0, 0.5),
            "Tolerance as a fraction, in place of the series' own (our addition).",
            "write a fraction from 0 to 0.5, as 0.05, or leave it out",
        ),
    )
)
_DIODES = Table(
    (
        Field("most", Whole(0, 6), "How many at most.", "write a whole number from 0 to 6", required=True),
        Field(
            "choose",
            _CHOOSE,
            "Catalogue types the builder would fit.",
            'write a list of diode types, as ["1N5404"]',
            required=True,
        ),
    )
)
_EXTRAS = Table(
    (
        Field("resistors", _RESISTORS, "Resistors that may be used.", "write { most = 1 }"),
        Field("diodes", _DIODES, "Diodes that may be used.", 'write { most = 1, choose = ["1N5404"] }'),
    )
)

_SEARCH = Table(
    (
        Field(
            "joints",
            Whole(0, 4),
            "Most internal nodes beyond the named terminals.",
            "write a whole number from 0 to 4",
            default=1,
        ),
        Field(
            "wires",
            Whole(0, 6),
            "Most links between two named terminals.",
            "write a whole number from 0 to 6",
            default=0,
        ),
    )
)

_ROW = Table(
    (
        _WHEN_FIELD,
        Field(
            "show",
            Table(others=Entry(NAME, _WORD, "The filament and the word for it.", _WORD_WANT, 24)),
            "What each lamp does; a lamp not named may do anything.",
            'write { front = "lit", rear = "off" }',
            required=True,
        ),
    )
)
_SAME = Table(
    (
        Field(
            "lamps",
            ListOf(NAME, 2, 12, distinct=True),
            "Filaments whose flux must agree, each two of them.",
            'write at least two lamps, as ["left", "right"]',
            required=True,
        ),
        _WHEN_FIELD,
        Field(
            "within",
            Number(0.0, 1.0, above=True, below=True),
            "The ratio of their flux lies within 1 ± this.",
            "write a fraction between 0 and 1, as 0.1",
            required=True,
        ),
    )
)
_PLACE = Table(
    (
        Field(
            "most_conductors",
            Whole(0, 100),
            "Most conductors through the coupling between zones.",
            "write a whole number from 0 to 100",
        ),
    ),
    Entry(
        NAME,
        Either(NAME, ListOf(NAME, 1, 32, distinct=True)),
        'A thing (lamp, control, "supply") and its zone, or a zone and a list of things.',
        'write front = "trailer", or trailer = ["front", "rear"]',
        40,
    ),
)

SPEC = Table(
    (
        Field(
            "lampwright", OneOf((VERSION,)), "Version of this format.", "write lampwright = 1", required=True
        ),
        Field(
            "title", _TITLE, "What the circuit is for, in one line.", "write one line of text", required=True
        ),
        Field("supply", _SUPPLY, "The supply.", "write a table [supply]", required=True),
        Field(
            "controls",
            Table(others=Entry(NAME, _CONTROL, "One control.", "write a table [controls.brake]", 12)),
            "Switches and flashers, by name.",
            "write at least one table, as [controls.brake]",
            required=True,
        ),
        Field(
            "lamps",
            Table(others=Entry(NAME, _LAMP, "One lamp.", "write a table [lamps.front]", 12)),
            "Lamps, by name.",
            "write at least one table, as [lamps.front]",
            required=True,
        ),
        Field(
            "extras",
            _EXTRAS,
            "What may be used besides lamps and wire.",
            "write resistors = { most = 1 } in it, or leave it out",
        ),
        Field("search", _SEARCH, "How far the listing goes.", "write joints = 1 in it, or leave it out"),
        LEVELS,
        Field(
            "behaviour",
            ListOf(_ROW, 1, 200),
            "What the lamps do, row by row.",
            "write at least one row [[behaviour]]",
            required=True,
        ),
        Field(
            "same",
            ListOf(_SAME, 1, 50),
            "Lamps that must be equally bright.",
            "write rows [[same]], or leave it out",
        ),
        Field(
            "place",
            _PLACE,
            "Which thing is in which zone.",
            'write trailer = ["left"] in it, or leave it out',
        ),
        WIRING,
        STOCK,
    ),
    least=0,
)
