"""States of the format's own example, written out by hand; phases, names, coverage, levels.

Source: the example spec of the format's first statement (`specs/sidecar_side_lamp.toml`),
its rows read by hand. No outside source besides.
"""

from pathlib import Path

import pytest

from lampwright.spec.levels import DEFAULT_LEVELS, level_name, phase_word
from lampwright.spec.load import load_spec, parse_spec
from lampwright.spec.model import AskedBand
from lampwright.spec.states import SameCheck, State, count_states, expand_states, uncovered

# name, phase, closed feeds, words of front, side, stop, tail, covered. Controls: turn, brake, lights.
BY_HAND = """
all off                        |        |           | any any any any                     | no
lights on                      |        | 58        | any any any lit                     | yes
brake on                       |        | 54        | off lit lit any                     | yes
brake on, lights on            |        | 54 58     | off lit lit lit                     | yes
turn on                        | closed | 49a       | flash flash off any                 | yes
turn on                        | open   |           | flash flash off any                 | yes
turn on, lights on             | closed | 49a 58    | flash flash off lit                 | yes
turn on, lights on             | open   | 58        | flash flash off lit                 | yes
turn on, brake on              | closed | 49a 54    | flash counterflash lit any          | yes
turn on, brake on              | open   | 54        | flash counterflash lit any          | yes
turn on, brake on, lights on   | closed | 49a 54 58 | flash counterflash lit lit          | yes
turn on, brake on, lights on   | open   | 54 58     | flash counterflash lit lit          | yes
"""
BANDS = {"off": AskedBand(high=0.005), "lit": AskedBand(low=0.25), "any": None}
OF_PHASE = {
    "closed": {"flash": "lit", "counterflash": "off"},
    "open": {"flash": "off", "counterflash": "lit"},
    "": {},
}


def as_line(state: State) -> tuple[str, ...]:
    feeds = " ".join(contact.b for contact in state.contacts)
    return (state.name, state.phase, feeds, " ".join(state.words), "yes" if state.covered else "no")


def test_example_by_hand(specs: Path) -> None:
    states = expand_states(load_spec(specs / "sidecar_side_lamp.toml"))
    wanted = [tuple(cell.strip() for cell in line.split("|")) for line in BY_HAND.strip().splitlines()]
    assert [as_line(state) for state in states] == wanted
    assert states[4].setting == (("turn", "on"), ("brake", "off"), ("lights", "off"))
    assert all(contact.a == "30" for state in states for contact in state.contacts)
    assert [contact.control for contact in states[10].contacts] == ["turn", "brake", "lights"]


def test_example_bands_by_phase(specs: Path) -> None:
    for state in expand_states(load_spec(specs / "sidecar_side_lamp.toml")):
        steady = [OF_PHASE[state.phase].get(word, word) for word in state.words]
        assert list(state.bands) == [BANDS[word] for word in steady]


def test_uncovered_leaves_out_the_dead_setting(sound: str) -> None:
    spec = parse_spec(
        sound.replace('when = { brake = "on" }', 'when = { brake = "on", turn = "on" }'), "tail"
    )
    assert uncovered(spec) == ("brake on",)
    live = sound.replace("system = 12", "system = 12\nalways_live = true")
    assert uncovered(parse_spec(live, "tail")) == ("all off",)


def test_rows_add_up_to_the_common_band(sound: str) -> None:
    """Lit in every phase and full with the brake: the words of both rows, the narrower band."""
    text = sound + '[[behaviour]]\nwhen = { turn = "on", brake = "on" }\nshow = { stop = "full/lit" }\n'
    closed, opened = expand_states(parse_spec(text, "tail"))[-2:]
    assert (closed.words[1], closed.bands[1]) == ("lit + full/lit", AskedBand(low=0.25, of_full=0.60))
    assert (opened.phase, opened.bands[1]) == ("open", AskedBand(low=0.25))


def test_a_pair_may_ask_for_dark_in_one_phase(sound: str) -> None:
    """At most so many kelvin while closed, nothing of the kind while open; [levels] moves it."""
    text = sound.replace('"flash"', '"dark/lit"').replace("[supply]", "[supply]\nalways_live = true")
    off, on, *rest = expand_states(parse_spec(text, "tail"))
    assert (off.bands[0], on.bands[0]) == (None, None)
    assert [(state.phase, state.bands[0]) for state in rest] == [
        ("closed", AskedBand(kelvin=798.0)),
        ("open", AskedBand(low=0.25)),
    ] * 2
    moved = text.replace("[[behaviour]]", "[levels]\ndark = 1000\n[[behaviour]]", 1)
    assert expand_states(parse_spec(moved, "tail"))[2].bands[0] == AskedBand(kelvin=1000.0)


def test_dark_and_off_together_keep_both_edges(sound: str) -> None:
    """One is of the filament's temperature and one of its light, so neither stands for the other."""
    text = sound.replace('"flash"', '"dark"')
    text += '[[behaviour]]\nwhen = { turn = "on" }\nshow = { left = "off/dark" }\n'
    closed, opened = expand_states(parse_spec(text, "tail"))[2:4]
    assert (closed.words[0], closed.bands[0]) == ("dark + off/dark", AskedBand(high=0.005, kelvin=798.0))
    assert (opened.phase, opened.bands[0]) == ("open", AskedBand(kelvin=798.0))


def test_two_flashers_have_their_own_phases(sound: str) -> None:
    text = sound.replace('when = { turn = "on" }', 'when = { turn = "on", hazard = "off" }')
    text = text.replace("[lamps.left]", '[controls.hazard]\nkind = "flasher"\nfeed = "H"\n[lamps.left]')
    spec = parse_spec(text, "tail")
    states = expand_states(spec)
    both = [state for state in states if state.name == "turn on, hazard on"]
    assert [state.phase for state in both] == [
        "turn closed, hazard closed",
        "turn closed, hazard open",
        "turn open, hazard closed",
        "turn open, hazard open",
    ]
    assert [" ".join(c.b for c in state.contacts) for state in both] == ["49a H", "49a", "H", ""]
    assert len(states) == count_states(spec.controls) == 3 * 2 * 3


def test_positions_and_full_names(sound: str) -> None:
    """Two controls whose short names run into each other are written with equals signs."""
    rev = '[controls."a b"]\nkind = "positions"\npositions = { c = [["30", "X"], ["31", "Y"]], off = [] }\n'
    spec = parse_spec(sound.replace("[lamps.left]", rev + "[lamps.left]"), "tail")
    states = expand_states(spec)
    assert [state.name for state in states[:2]] == ["a b c", "all off"]
    assert [(c.control, c.a, c.b) for c in states[0].contacts] == [("a b", "30", "X"), ("a b", "31", "Y")]
    other = '[controls.a]\nkind = "positions"\npositions = { "b c" = [], off = [["54", "Z"]] }\n'
    spec = parse_spec(sound.replace("[lamps.left]", rev + other + "[lamps.left]"), "tail")
    names = [state.name for state in expand_states(spec)]
    assert names[0] == "turn = off, brake = off, a b = c, a = b c"


def test_same_is_every_two_of_its_lamps(sound: str) -> None:
    same = '[[same]]\nlamps = ["tail", "left", "stop"]\nwhen = { brake = "on" }\nwithin = 0.1\n'
    states = expand_states(parse_spec(sound + same, "tail"))
    assert states[0].same == ()
    assert states[1].same == (SameCheck(2, 0, 0.1), SameCheck(2, 1, 0.1), SameCheck(0, 1, 0.1))


@pytest.mark.parametrize(
    ("flux", "word"),
    [
        (0.0, "off"),
        (0.005, "off"),
        (0.007, "between"),
        (0.01, "dim"),
        (0.15, "dim"),
        (0.2, "between"),
        (0.25, "lit"),
        (0.59, "lit"),
        (0.6, "full"),
        (1.3, "full"),
    ],
)
def test_level_names(flux: float, word: str) -> None:
    """The format's default bands: off to 0.005, dim 0.01 to 0.15, lit from 0.25, full from 0.60."""
    assert level_name(DEFAULT_LEVELS, flux) == word


def test_words_by_phase() -> None:
    words = ("flash", "counterflash", "lit/dim", "any/off", "full", "dark/full")
    assert [phase_word(word, "closed") for word in words] == ["lit", "off", "lit", "any", "full", "dark"]
    assert [phase_word(word, "open") for word in words] == ["off", "lit", "dim", "off", "full", "full"]


@pytest.mark.parametrize(
    ("flux", "full_light", "word"),
    [(0.37, 0.62, "lit"), (0.38, 0.62, "full"), (0.59, 1.3, "lit"), (0.6, 1.3, "full"), (0.14, 0.23, "full")],
)
def test_full_is_named_by_the_supply_there_is(flux: float, full_light: float, word: str) -> None:
    """0.60 of what the lamp gives straight across the supply (0.372 of 0.62), of rated light at most."""
    assert level_name(DEFAULT_LEVELS, flux, full_light) == word
