"""Substitutes in a lamp's holder: which types it takes, and an LED either way round."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from lampwright.assess.faults.substitutes import fits_instead
from lampwright.network.circuit import Part
from lampwright.parts.catalogue import lamp_type, lamp_types

if TYPE_CHECKING:
    from tests.assess.conftest import Built

    Builder = Callable[..., Built]

TWO_FEEDS = """
lampwright = 1
title = "A stop lamp and a tail lamp, one holder"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = false
[controls.brake]
kind = "switch"
feed = "54"
[controls.lights]
kind = "switch"
feed = "58"
[lamps.rear]
choose = ["P21/5W"]
filaments = ["stop", "tail"]
common = "31"
[extras]
diodes = { most = 1, choose = ["1N4007"] }
[[behaviour]]
when = { brake = "on" }
show = { stop = "lit" }
[[behaviour]]
when = { lights = "on" }
show = { tail = "lit" }
"""


def filament(ref: str, a: str, b: str) -> Part:
    return Part(ref, "filament", a, b, lamp="rear", type="P21/5W")


def test_which_types_a_holder_takes(sidecar: "Built") -> None:
    # BA15s at 12 V with one filament and BAY15d with two, by the catalogue's rows
    swaps = sum(one.kind == "other type" for one in sidecar.found.faults)
    like = [lamp_type(name, 12) for name in ("P21W", "W2.3W", "P21/5W")]
    assert swaps == sum(sum(fits_instead(k, f) for k in lamp_types()) - 1 for f in like)
    assert fits_instead(lamp_type("R5W", 12), lamp_type("P21W", 12)), "both BA15s"
    assert not fits_instead(lamp_type("R5W", 24), lamp_type("P21W", 12)), "another system"
    assert not fits_instead(lamp_type("P21/4W", 12), lamp_type("P21/5W", 12)), (
        "pins offset to keep them apart"
    )


@pytest.mark.parametrize("ends", [("54", "31"), ("31", "54")])
def test_both_strings_of_an_led_share_the_lamps_contact(ends: tuple[str, str], builder: "Builder") -> None:
    # however the filaments are drawn: the shell is at 31, so the pluses are at 54 and 58, or both at 31
    built = builder(TWO_FEEDS, (filament("stop", *ends), filament("tail", "58", "31")))
    words = {one.fault for one in built.found.faults if one.kind == "LED substitute"}
    assert words == {"LED in rear, plus at 54 and 58", "LED in rear, plus at 31"}
    dark = built.levels_under("LED in rear, plus at 31")
    assert set(dark.values()) == {"off"}
    bright = built.levels_under("LED in rear, plus at 54 and 58")
    assert [bright["brake on", ref] for ref in ("stop", "tail")] == ["full", "off"]


def test_what_leaks_back_through_a_diode_is_no_sneak_path(builder: "Builder") -> None:
    # 58, its tail lamp open, hangs on 54 by a diode that blocks: nanoamperes lift it, a path they are not
    diode = Part("D1", "diode", "58", "54", type="1N4007")
    built = builder(TWO_FEEDS, (filament("stop", "54", "31"), filament("tail", "58", "31"), diode))
    assert built.outcome("tail open").sneak_paths == ()
    paths = {sneak.path for sneak in built.outcome("D1 shorted").sneak_paths}
    assert paths == set(), "shorted, 58 and 54 are one node, and each is live by its neighbour's contact"


def test_an_led_lights_one_way_round_only(reversing: "Built") -> None:
    # by hand: ahead A is plus, astern B: an LED with its plus at A lights ahead and blocks astern
    under = reversing.levels_under("LED in one, plus at A")
    assert under["lever ahead", "one"] == "full"
    assert under["lever astern", "one"] == "off"
    under = reversing.levels_under("LED in one, plus at B")
    assert (under["lever ahead", "one"], under["lever astern", "one"]) == ("off", "full")
