"""Findings of the file and of the catalogue come together, each with place and remedy."""

import re
from pathlib import Path

import pytest

from lampwright.errors import InputError
from lampwright.parts.tables import constant
from lampwright.problem.reading import read_spec
from lampwright.spec.levels import DEFAULT_LEVELS

TELLTALE = (Path(__file__).parents[2] / "specs" / "trailer_feed_telltale.toml").read_text(encoding="utf-8")
DIODE = '\n[extras]\ndiodes = { most = 1, choose = ["1N9"] }\n'
EMPTY = '\n[extras]\nresistors = { most = 1, series = "E3", ohms = [1.1, 2.0] }\n'
MANY = '\n[extras]\nresistors = { most = 1, series = "E24", ohms = [0.001, 1000000.0] }\n'
TWO = 'choose = ["P21/5W"]'


def findings(tmp_path: Path, text: str) -> list[str]:
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_spec(path)
    return [str(finding) for finding in caught.value.findings]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("R10W", "R11W", 'own.toml: lamps.left.choose: "R11W" is no lamp type for 12 V; nearest: R10W'),
        ("system = 12", "system = 6", "no lamp type for 6 V"),
        ("[search]", f"{DIODE}\n[search]", 'own.toml: extras.diodes.choose: "1N9" is no diode'),
        ("[search]", f"{EMPTY}\n[search]", "extras.resistors.ohms: E3 has no value from 1.1 to 2 ohm; widen"),
        (
            "[search]",
            "[stock]\nlamps = { P21 = 1 }\n[search]",
            'own.toml: stock.lamps: "P21" is no lamp type for 12 V; nearest: P21W',
        ),
        (
            "[search]",
            '[stock]\ndiodes = { "1N4504" = 1 }\n[search]',
            'own.toml: stock.diodes: "1N4504" is no diode type; nearest: 1N5404',
        ),
        (
            "[search]",
            "[stock]\nprices = { R11W = 1 }\n[search]",
            'own.toml: stock.prices: "R11W" is no lamp type for 12 V or diode type, nor the word resistor; '
            "nearest: ",
        ),
        (
            '"W2.3W"',
            '"W2.3W@24"',
            '"W2.3W@24" is no lamp type for 24 V (made for 12 V); write "W2.3W"; `lamp',
        ),
        (
            '["W2.3W", "W3W"]',
            '["W2.3W", "w2.3w@12"]',
            'lamps.telltale.choose: "w2.3w@12" is W2.3W again; keep one',
        ),
        (
            "[search]",
            '[stock]\nlamps = { W3W = 1, "W3W@12" = 2 }\n[search]',
            'own.toml: stock.lamps: "W3W@12" is W3W again; keep one of the two',
        ),
        ("[search]", f"{MANY}\n[search]", "values are more than a search can try for each circuit; narrow"),
    ],
)
def test_what_the_catalogue_cannot_serve(tmp_path: Path, old: str, new: str, said: str) -> None:
    found = findings(tmp_path, TELLTALE.replace(old, new))
    assert any(said in line for line in found), found


def test_a_box_may_hold_what_the_spec_has_no_use_for(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    box = '[stock]\nlamps = { T4W = 6 }\ndiodes = { "1N4001" = 2 }\nprices = { W16W = 2 }\n'
    path.write_text(TELLTALE + box, encoding="utf-8")
    assert read_spec(path).stock is not None


def test_a_value_from_the_box_is_a_value(tmp_path: Path) -> None:
    """A range without a value of the series is fine where the box has one in it."""
    path = tmp_path / "own.toml"
    box = "[stock]\nresistors = [{ ohms = 1.3, watts = 5, have = 1 }]\n"
    path.write_text(f"{TELLTALE}{EMPTY}{box}", encoding="utf-8")
    assert read_spec(path).stock is not None


def test_a_lamp_of_two_filaments_needs_two_names(tmp_path: Path) -> None:
    at = TELLTALE.index("choose")
    text = TELLTALE[:at] + TWO + TELLTALE[TELLTALE.index("\n", at) :]
    found = findings(tmp_path, text)
    assert any("P21/5W has 2 filaments, and `filaments` is forgotten; name both" in line for line in found), (
        found
    )


def test_findings_of_file_and_catalogue_come_together(tmp_path: Path) -> None:
    found = findings(tmp_path, TELLTALE.replace("R10W", "R11W").replace('"lit"', '"litt"', 1))
    assert any('"litt" is no word for a lamp' in line for line in found), "the file's own"
    assert any('"R11W" is no lamp type' in line for line in found), "and the catalogue's"


def without_line(finding: str) -> str:
    return re.sub(r" \(line \d+\)", "", finding)


WORDS_OUT_OF_REACH = [
    # the supply, the types of `left`, its word with the flasher on, the levels, what is said
    (9.0, ["P21W"], "lit", "", [("lit", "lit", "25", "9 V P21W gives 22 %")]),
    (9.0, ["W2.3W", "P21W"], "lit", "", [("lit", "lit", "25", "9 V the best type, P21W, gives 22 %")]),
    (9.4, ["W2.3W", "P21W"], "lit", "", []),
    (9.4, ["W2.3W"], "lit", "", [("lit", "lit", "25", "9.4 V W2.3W gives 24.1 %")]),
    (9.4, ["R10W"], "lit", "", []),
    (9.2, ["R10W"], "lit", "", [("lit", "lit", "25", "9.2 V R10W gives 24.5 %")]),
    (9.0, ["P21W"], "flash", "", [("flash", "lit", "25", "9 V P21W gives 22 %")]),
    (9.0, ["P21W"], "counterflash", "", [("counterflash", "lit", "25", "9 V P21W gives 22 %")]),
    (9.0, ["P21W"], "dim/lit", "", [("dim/lit", "lit", "25", "9 V P21W gives 22 %")]),
    (9.0, ["P21W"], "dim/full", "", []),
    (9.0, ["P21W"], "dark/off", "", []),
    (9.0, ["P21W"], "full", "full = 1.0\n", []),
    (9.0, ["P21W"], "full", "full = 1.5\n", [("full", "full", "33.07", "9 V P21W gives 22 %")]),
    (13.5, ["P21W"], "lit", "lit = 1.0\nfull = 1.0\n", []),
]


def reaching(low: float, types: list[str], word: str, levels: str) -> str:
    """A flasher and two lamps; the word stands in a row for the flasher alone."""
    return (
        'lampwright = 1\ntitle = "t"\n[supply]\nsystem = 12\nalways_live = true\n'
        f"volts = [{low}, 13.6, 14.4]\n"
        '[controls.turn]\nkind = "flasher"\nfeed = "49a"\n'
        f"[lamps.left]\nchoose = {types}\n[lamps.rear]\n"
        'choose = ["P21/5W"]\nfilaments = ["stop", "tail"]\n'
        + (f"[levels]\n{levels}" if levels else "")
        + '[[behaviour]]\nwhen = { turn = "off" }\nshow = { left = "any" }\n'
        + f'[[behaviour]]\nwhen = {{ turn = "on" }}\nshow = {{ left = "{word}" }}\n'
    )


@pytest.mark.parametrize(("low", "types", "word", "levels", "said"), WORDS_OUT_OF_REACH)
def test_a_word_out_of_reach_is_told_with_its_figure(
    tmp_path: Path, low: float, types: list[str], word: str, levels: str, said: list[tuple[str, ...]]
) -> None:
    """Light against volts is checked in tests/published; here, that the better type and filling count."""
    text = reaching(low, types, word, levels)
    wanted = [
        f'own.toml: behaviour 2: show.left: "{written}" asks for at least {asked} % of rated light, but'
        f" straight across the low supply of {given}; choose a type for this voltage, raise the low supply,"
        f" or let {steady} begin lower in [levels]"
        for written, steady, asked, given in said
    ]
    if wanted:
        assert [without_line(line) for line in findings(tmp_path, text)] == wanted
    else:
        path = tmp_path / "own.toml"
        path.write_text(text, encoding="utf-8")
        assert len(read_spec(path).behaviour) == 2


def test_each_lamp_and_word_out_of_reach_is_told_once(tmp_path: Path) -> None:
    """Two rows ask it of one lamp and one of them of another; the minor filament has a figure of its own."""
    rows = '[[behaviour]]\nwhen = { turn = "on" }\nshow = { left = "lit", tail = "lit", stop = "full" }\n'
    found = findings(tmp_path, reaching(9.0, ["P21W"], "flash", "").replace('"flash"', '"lit"') + rows)
    assert [without_line(line).split("; ")[0] for line in found] == [
        'own.toml: behaviour 2: show.left: "lit" asks for at least 25 % of rated light, but straight across'
        " the low supply of 9 V P21W gives 22 %",
        'own.toml: behaviour 3: show.tail: "lit" asks for at least 25 % of rated light, but straight across'
        " the low supply of 9 V P21/5W gives 15.9 %",
    ]


def test_a_word_out_of_reach_stands_beside_a_type_unknown(tmp_path: Path) -> None:
    """Where one type of a lamp is unknown it might reach, and nothing is said of the word."""
    text = reaching(9.0, ["P21W"], "lit", "").replace('"P21/5W"]', '"P21/5X"]')
    found = findings(tmp_path, text)
    assert ['"P21/5X" is no lamp type' in found[0], '"lit" asks for' in found[1], len(found)] == [
        True,
        True,
        2,
    ]
    alone = findings(tmp_path, reaching(9.0, ["P21W", "P22W"], "lit", ""))
    assert len(alone) == 1, alone
    assert '"P22W" is no lamp type' in alone[0]


def test_dark_is_below_the_first_glow() -> None:
    """The Draper point, 525 C or 798 K (S45): the format's own copy of it is the catalogue's."""
    assert DEFAULT_LEVELS.dark == constant("glow_kelvin") == 525.0 + 273.0


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("W5W LED", "an LED"),
        ("PY21W/LED", "an LED"),
        ("LW2", "an LED"),
        ("H4", "a headlamp"),
        ("h7", "a headlamp"),
        ("H11B", "a headlamp"),
        ("HB4", "a headlamp"),
        ("9006", "a headlamp"),
        ("D2S", "a gas discharge lamp"),
    ],
)
def test_a_lamp_that_is_none_of_the_model_is_told_what_it_is(tmp_path: Path, name: str, said: str) -> None:
    assert findings(tmp_path, TELLTALE.replace("W2.3W", name)) == [
        f'own.toml: lamps.telltale.choose: "{name}" is no lamp type here (it is {said}, and filament lamps of'
        " signals, dials and benches alone are modelled); choose one of those; `lampwright parts` lists the"
        " lamps"
    ]


def test_forgotten_filaments_are_told(tmp_path: Path) -> None:
    """Also where rows name them, which no lamp then has."""
    text = TELLTALE.replace('choose = ["W2.3W", "W3W"]', 'choose = ["P21/5W"]')
    said = (
        "own.toml: lamps.telltale.choose: P21/5W has 2 filaments, and `filaments` is forgotten;"
        ' name both, major first: filaments = ["stop", "tail"]'
    )
    assert findings(tmp_path, text) == [said]
    found = findings(tmp_path, text.replace('telltale = "lit"', 'tail = "lit"'))
    assert said in found
    assert any('"tail" is no lamp of this spec' in line for line in found)


def test_any_spelling_of_a_type_will_do(tmp_path: Path) -> None:
    """As in `lampwright parts`: small letters or capitals; the name stays as it is written."""
    path = tmp_path / "own.toml"
    path.write_text(TELLTALE.replace('"W2.3W"', '"w2.3w"'), encoding="utf-8")
    assert read_spec(path).lamps[-1].choose == ("w2.3w", "W3W")


def test_a_word_out_of_reach_is_told_with_its_line(tmp_path: Path) -> None:
    text = reaching(9.0, ["P21W"], "lit", "")
    lines = [at for at, line in enumerate(text.splitlines(), 1) if line == "[[behaviour]]"]
    (found,) = findings(tmp_path, text)
    assert found.startswith(f"own.toml: behaviour 2 (line {lines[1]}): show.left: ")


OWN = '[types.bulb]\nvolts = 12.0\namps = 0.19\nlumens = 19\nfilling = "vacuum"\n'


def test_a_lamp_of_ones_own_is_chosen(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(TELLTALE.replace('"W2.3W"', '"bulb"') + OWN, encoding="utf-8")
    spec = read_spec(path)
    (bulb,) = spec.types
    assert (bulb.name, bulb.filaments[0].volts, bulb.filaments[0].watts) == ("bulb", 12.0, 12.0 * 0.19)
    assert spec.lamps[-1].choose == ("bulb", "W3W")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("bulb", "P21W", 'own.toml: types.P21W: "P21W" is the name of a lamp of the catalogue; name it'),
        (
            "lumens = 19",
            "lumens = 900",
            "own.toml: types.bulb: no filament gives this light (478 lm/W radiat",
        ),
    ],
)
def test_a_lamp_of_ones_own_that_cannot_be(tmp_path: Path, old: str, new: str, said: str) -> None:
    (found,) = findings(tmp_path, TELLTALE + OWN.replace(old, new))
    assert found.startswith(said)


def test_lamps_of_a_file_are_the_specs_own(tmp_path: Path) -> None:
    """And what the file says is in the digest, so that no journal outlives a change of it."""
    path, lamps = tmp_path / "own.toml", tmp_path / "lamps" / "mine.toml"
    lamps.parent.mkdir()
    text = TELLTALE.replace('"W2.3W"', '"bulb"').replace(
        "[supply]", 'types_from = "lamps/mine.toml"\n[supply]'
    )
    path.write_text(text, encoding="utf-8")
    lamps.write_text(OWN, encoding="utf-8")
    spec = read_spec(path)
    path.write_text(TELLTALE.replace('"W2.3W"', '"bulb"') + OWN, encoding="utf-8")
    assert read_spec(path).types == spec.types
    assert read_spec(path).digest == spec.digest, "the same lamps, whichever file says them"
    path.write_text(text, encoding="utf-8")
    lamps.write_text(OWN.replace("19\n", "20\n"), encoding="utf-8")
    assert read_spec(path).digest != spec.digest


@pytest.mark.parametrize(
    ("named", "lamps", "said"),
    [
        ("none.toml", OWN, 'own.toml: types_from: there is no file "none.toml" beside the spec; write the'),
        ("../mine.toml", OWN, """own.toml: types_from: "../mine.toml" is above the spec's folder; put the"""),
        ("mine.toml", "[types\n", "mine.toml: line 1"),
        ("mine.toml", "", "mine.toml: it is empty; write tables [types.NAME]"),
        ("mine.toml", OWN + "[lamps.x]\n", 'mine.toml: lamps: "lamps" is no key here; use types'),
        (
            "mine.toml",
            "\n" + OWN.replace("volts = 12.0\n", ""),
            "mine.toml: types.bulb.volts (line 2): is missing; write",
        ),
        (
            "mine.toml",
            OWN + "watts = 2\n",
            "mine.toml: types.bulb (line 1): watts and amps are given; keep one",
        ),
        (
            "mine.toml",
            OWN.replace("lumens = 19", "lumens = 900"),
            "mine.toml: types.bulb (line 1): no filament gives",
        ),
        ("mine.toml", OWN.replace("bulb", "own"), 'own.toml: types.own: "own" stands in mine.toml as well'),
    ],
)
def test_what_is_wrong_with_a_file_of_lamps(tmp_path: Path, named: str, lamps: str, said: str) -> None:
    (tmp_path / "mine.toml").write_text(lamps, encoding="utf-8")
    text = TELLTALE.replace("[supply]", f'types_from = "{named}"\n[supply]')
    if '"own" stands' in said:
        text += OWN.replace("bulb", "own")
    found = findings(tmp_path, text)
    assert any(line.startswith(said) for line in found), found


def test_a_box_calls_a_lamp_as_its_choice_does(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    box = '[stock]\nlamps = { "r5w" = 2, T4W = 1 }\nprices = { "R10W@12" = 2 }\n'
    path.write_text(TELLTALE + box, encoding="utf-8")
    stock = read_spec(path).stock
    assert stock is not None
    assert stock.lamps == (("R5W", 2), ("T4W", 1))
    assert stock.prices == (("R10W", 2.0),)


def test_more_failures_than_can_be_held_are_refused(tmp_path: Path) -> None:
    names = [f"l{n}" for n in range(12)]
    lamps = "".join(f'[lamps.{name}]\nchoose = ["R5W"]\n' for name in names)
    rows = "".join(
        f'[[behaviour]]\nwhen = {{ lights = "on", failed = "{name}" }}\nshow = {{ {name} = "off" }}\n'
        for name in names
    )
    head = 'lampwright = 1\ntitle = "many"\n[supply]\nsystem = 12\nvolts = [11.8, 13.5, 14.4]\n'
    control = '[controls.lights]\nkind = "switch"\nfeed = "58"\n'
    path = tmp_path / "many.toml"
    for count, refused in ((12, True), (6, False)):
        kept = rows.split("[[behaviour]]")[1 : count + 1]
        text = f"{head}{control}{lamps}[search]\njoints = 4\n"
        path.write_text(text + "".join(f"[[behaviour]]{row}" for row in kept), encoding="utf-8")
        if refused:
            with pytest.raises(
                InputError, match="rows name too many different failures for circuits with 6 nodes"
            ):
                read_spec(path)
        else:
            assert len(read_spec(path).behaviour) == count
