"""Changed specs are what their lines say: the loader, reading a file with the lines typed in, agrees."""

from dataclasses import replace
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lampwright.spec import revise
from lampwright.spec.levels import DEFAULT_LEVELS
from lampwright.spec.load import parse_spec
from lampwright.spec.model import Band, Diodes, Levels, Resistors, Spec
from lampwright.spec.revise import Revision, settled, two_digits, weaker_words, words_used

TEXT = """
lampwright = 1
title = "Everything once"

[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = true

[controls."turn left"]
kind = "flasher"
feed = "L"
most_amps = 4.0

[controls.brake]
kind = "switch"
feed = "54"

[lamps."rear/left"]
choose = ["P21/5W"]
filaments = ["stop", "tail"]
common = "31"

[lamps.side]
choose = ["R5W", "R10W"]
common = "31"

[[behaviour]]
when = { "turn left" = "on", brake = "off" }
show = { stop = "flash", side = "lit/dim" }

[[behaviour]]
when = { brake = "on" }
show = { tail = "full" }
"""


@pytest.fixture
def spec() -> Spec:
    return parse_spec(TEXT, "case")


def alike(revision: Revision, changed: str) -> None:
    """The revision's spec is that of the changed text, but for what only a file has."""
    loaded = parse_spec(changed, "case")
    assert revision.spec == replace(loaded, text="", digest="")
    for line in revision.text.splitlines():
        assert line.startswith("#") or line.split("  #")[0] in changed, line


def after(text: str, old: str, new: str) -> str:
    assert text.count(old) == 1
    return text.replace(old, new)


def test_types(spec: Spec) -> None:
    revision = revise.with_types(spec, spec.lamps[1], ("R5W", "R10W", "T4W"))
    alike(revision, after(TEXT, '["R5W", "R10W"]', '["R5W", "R10W", "T4W"]'))


def test_an_insulated_holder(spec: Spec) -> None:
    revision = revise.insulated(spec, spec.lamps[0])
    alike(
        revision, after(TEXT, 'filaments = ["stop", "tail"]\ncommon = "31"', 'filaments = ["stop", "tail"]')
    )
    assert revision.text.startswith(
        '[lamps."rear/left"]\nchoose = ["P21/5W"]\nfilaments = ["stop", "tail"]\n'
    )
    assert "common =" not in revision.text


def test_an_insulated_holder_keeps_its_colour() -> None:
    coloured = parse_spec(TEXT.replace('common = "31"', 'common = "31"\ncolour = "red"', 1), "case")
    revision = revise.insulated(coloured, coloured.lamps[0])
    assert 'colour = "red"\n' in revision.text
    assert revision.spec.lamps[0].colour == "red"


def test_volts(spec: Spec) -> None:
    alike(revise.with_volts(spec, 12.3, 14.1), after(TEXT, "[11.8, 13.5, 14.4]", "[12.3, 13.5, 14.1]"))


def test_amps(spec: Spec) -> None:
    revision = revise.with_most_amps(spec, "turn left", 5.5)
    alike(revision, after(TEXT, "most_amps = 4.0", "most_amps = 5.5"))
    assert revision.text.startswith('[controls."turn left"]\n')


def test_resistors_and_diodes(spec: Spec) -> None:
    resistors = Resistors(2, "E24", (0.68, 47.0), (5.0, 10.0), 0.01)
    line = 'resistors = { most = 2, series = "E24", ohms = [0.68, 47], watts = [5, 10], tolerance = 0.01 }'
    alike(revise.with_resistors(spec, resistors), f"{TEXT}\n[extras]\n{line}\n")
    line = 'diodes = { most = 1, choose = ["1N5404", "1N4001"] }'
    alike(revise.with_diodes(spec, Diodes(1, ("1N5404", "1N4001"))), f"{TEXT}\n[extras]\n{line}\n")


def test_joints_and_wires(spec: Spec) -> None:
    alike(revise.with_joints(spec, 2), f"{TEXT}\n[search]\njoints = 2\n")
    alike(revise.with_wires(spec, 1), f"{TEXT}\n[search]\nwires = 1\n")


def test_levels(spec: Spec) -> None:
    levels = Levels(Band(0.0, 0.0071), Band(0.01, 0.18), Band(0.2, 3.0), Band(0.57, inf))
    lines = "[levels]\noff = 0.0071\ndim = [0.01, 0.18]\nlit = [0.2, 3]\nfull = 0.57\n"
    alike(revise.with_levels(spec, levels), f"{TEXT}\n{lines}")
    only = replace(DEFAULT_LEVELS, full=Band(0.57, inf))
    assert revise.with_levels(spec, only).text == "[levels]\nfull = 0.57\n"


def test_a_word(spec: Spec) -> None:
    revision = revise.with_word(spec, spec.behaviour[0], "stop", "lit/any")
    alike(revision, after(TEXT, 'stop = "flash"', 'stop = "lit/any"'))
    assert revision.text.startswith("[[behaviour]]  # in place of row 1\n")
    assert revision.row == 1
    assert revise.with_volts(spec, 12.0, 14.0).row is None


def test_words_used(spec: Spec) -> None:
    # flash is lit and off; lit/dim is lit and dim; full is said itself
    assert words_used(spec) == ("off", "dim", "lit", "full")
    assert words_used(replace(spec, behaviour=spec.behaviour[:1])) == ("off", "dim", "lit")
    assert words_used(replace(spec, behaviour=spec.behaviour[1:])) == ("full",)


def test_weaker_words_of_pairs() -> None:
    assert weaker_words("counterflash") == ("off/any", "any/lit", "any")
    assert weaker_words("dim/any") == ("any",)


def test_two_digits_is_every_such_number() -> None:
    # by hand: 0.95 to 1.2 in hundredths to one, in tenths from there
    assert two_digits(0.95, 1.2) == (0.95, 0.96, 0.97, 0.98, 0.99, 1.0, 1.1, 1.2)
    assert two_digits(0.951, 0.959) == ()


FLUX = st.sampled_from(two_digits(0.001, 2.0))
WORDS = st.lists(st.sampled_from(revise.WORDS), unique=True)


@given(FLUX, FLUX, FLUX, FLUX, FLUX, WORDS)
def test_settled_levels_keep_the_words_in_use_and_follow_each_other(
    off: float, low: float, high: float, lit: float, full: float, used: list[str]
) -> None:
    if low >= high:
        return
    levels = Levels(Band(0.0, off), Band(low, high), Band(lit, inf), Band(full, inf))
    found = settled(levels, used)
    if found is None:
        return
    for word in used:
        assert getattr(found, word) == getattr(levels, word), word
    # the format's own rule is the judge
    lines = revise.with_levels(parse_spec(TEXT, "case"), found).text
    assert parse_spec(f"{TEXT}\n{lines}", "case").levels == found


@given(FLUX, FLUX)
def test_levels_settle_wherever_only_off_and_lit_are_used(off: float, lit: float) -> None:
    levels = replace(DEFAULT_LEVELS, off=Band(0.0, off), lit=Band(lit, inf))
    # between the two there must be room for a dim that nobody asks for
    assert (settled(levels, ("off", "lit")) is not None) == (off < lit)
