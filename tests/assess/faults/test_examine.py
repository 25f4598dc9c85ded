"""Faults against `check` on circuits altered by hand, and against what a person would say.

The hand-derived expectations are written out beside each test; the altered circuits go
through reading, judging and presenting like any circuit a user writes.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from lampwright.network.circuit import Circuit, Part
from lampwright.spec.load import parse_spec
from lampwright.spec.model import Spec

if TYPE_CHECKING:
    from tests.assess.conftest import Built

    Levels = dict[tuple[str, str], str]
    Checker = Callable[[Spec, Circuit], Levels]
    Builder = Callable[..., Built]

NO_COMMON = "common    = "


def moved(circuit: Circuit, **ends: tuple[str, str]) -> Circuit:
    """The circuit with some parts between other nodes."""
    parts = []
    for part in circuit.parts:
        a, b = ends.get(part.ref, (part.from_node, part.to_node))
        parts.append(replace(part, from_node=a, to_node=b))
    return Circuit(tuple(parts))


def unearthed(spec: Spec) -> Spec:
    """The spec with holders that may hang anywhere."""
    lines = (line for line in spec.text.splitlines() if not line.startswith(NO_COMMON))
    return parse_spec("\n".join(lines), "inline")


# An end at a joint that nothing else touches is an open lamp; both filaments' ends at one joint are a
# holder, or a trailer, that has lost its ground; a wire is a bridge.
SIDECAR_BY_HAND = {
    "front open, or its lamp missing": {"front": ("49a", "j1")},
    "side open, or its lamp missing": {"side": ("j1", "54")},
    "stop open": {"stop": ("54", "j1")},
    "tail open": {"tail": ("58", "j1")},
    "lamp rear missing": {"stop": ("54", "j1"), "tail": ("58", "j2")},
    "ground lost at front": {"front": ("49a", "j1")},
    "ground lost at rear": {"stop": ("54", "j1"), "tail": ("58", "j1")},
}
TRAILER_BY_HAND = {
    "left open, or its lamp missing": {"left": ("58L", "j1")},
    "telltale open, or its lamp missing": {"telltale": ("58L", "j1")},
    "ground lost at right": {"right": ("58R", "j1")},
    "ground lost at the trailer": {"left": ("58L", "j1"), "right": ("58R", "j1")},
}


@pytest.mark.parametrize("what", SIDECAR_BY_HAND)
def test_sidecar_faults_are_the_circuits_altered_by_hand(
    what: str, sidecar: "Built", check_levels: "Checker"
) -> None:
    spec = unearthed(sidecar.spec)
    by_hand = check_levels(spec, moved(sidecar.circuit, **SIDECAR_BY_HAND[what]))
    assert sidecar.levels_under(what) == by_hand


@pytest.mark.parametrize("what", TRAILER_BY_HAND)
def test_trailer_faults_are_the_circuits_altered_by_hand(
    what: str, trailer: "Built", check_levels: "Checker"
) -> None:
    by_hand = check_levels(trailer.spec, moved(trailer.circuit, **TRAILER_BY_HAND[what]))
    assert trailer.levels_under(what) == by_hand


@pytest.mark.parametrize(("one", "other"), [("49a", "54"), ("49a", "58"), ("54", "58")])
def test_bridged_feeds_are_wires(one: str, other: str, sidecar: "Built", check_levels: "Checker") -> None:
    wired = Circuit((*sidecar.circuit.parts, Part("W1", "wire", one, other)))
    assert sidecar.levels_under(f"{one} and {other} bridged") == check_levels(sidecar.spec, wired)


def test_a_lamp_of_another_type_is_that_circuit(trailer: "Built", check_levels: "Checker") -> None:
    for other in ("P21W", "R5W", "89"):
        parts = tuple(
            replace(part, type=other) if part.ref == "left" else part for part in trailer.circuit.parts
        )
        assert trailer.levels_under(f"{other} in left for R10W") == check_levels(
            trailer.spec, Circuit(parts)
        ), other


def test_a_blown_fuse_is_the_control_never_switched_on(sidecar: "Built") -> None:
    # with its fuse blown, brake on is brake off: read the sound levels there
    levels, under = sidecar.levels(), sidecar.levels_under("fuse of brake (54) blown")
    pairs = {
        "brake on": "all off",
        "brake on, lights on": "lights on",
        "turn on, brake on (closed)": "turn on (closed)",
        "turn on, brake on, lights on (open)": "turn on, lights on (open)",
    }
    for state, like in pairs.items():
        for lamp in ("front", "side", "stop", "tail"):
            assert under[state, lamp] == levels[like, lamp], f"{lamp} at {state}"


def test_front_open_takes_the_side_lamps_ground(sidecar: "Built") -> None:
    # By hand: with the brake alone, current goes 54 - side - 49a - front - 31. No front: no way
    # to ground, so side is dark; 49a hangs on 54 through side. 36 things are asked (brake row 6,
    # turn row 12, both 12, lights 6); lost are front in its 4 closed phases, and side in brake on
    # (2 settings of the lights) and in the 2 open phases of brake and turn: 28 are left.
    outcome = sidecar.outcome("front open, or its lamp missing")
    dark = {
        (change.lamp, state) for change in outcome.changes for state in change.states if change.now == "off"
    }
    closed = [
        f"turn on{rest} (closed)" for rest in ("", ", lights on", ", brake on", ", brake on, lights on")
    ]
    braked = ["brake on", "brake on, lights on"]
    opened = ["turn on, brake on (open)", "turn on, brake on, lights on (open)"]
    assert dark == {("front", state) for state in closed} | {("side", state) for state in braked + opened}
    assert (outcome.asked, outcome.met) == (36, 28)
    assert {sneak.path for sneak in outcome.sneak_paths} == {("54", "side", "49a")}
    assert {state for sneak in outcome.sneak_paths for state in sneak.states} == set(braked + opened)
    assert outcome.value == pytest.approx(28 / 36 - 0.25, abs=1e-12)


def test_a_rear_lamp_without_ground_feeds_back_through_both_filaments(sidecar: "Built") -> None:
    # By hand: lights alone put 58 at 13.5 V; with the holder's ground gone tail and stop are in
    # series into 54, and on through side and front to 31: stop carries current backward, 54 is
    # live with the brake off, and the small side lamp takes nearly all the volts: it lights.
    outcome = sidecar.outcome("ground lost at rear")
    backward = [s for s in outcome.sneak_paths if s.kind == "reversed" and "lights on" in s.states]
    (one,) = backward
    assert one.path == ("58", "tail", "lost ground", "stop", "54", "side", "49a", "front", "31")
    # two 2.3 W lamps' worth of series resistance more would not halve it: rated 0.170 A at 13.5 V
    assert one.amps is not None
    assert 0.8 * 0.170 < one.amps < 0.170
    live = {s.at for s in outcome.sneak_paths if s.kind == "made live"}
    # 49a never: the cold front lamp holds it down, and takes under a quarter of the supply
    assert live == {"54", "58"}
    assert sidecar.levels_under("ground lost at rear")["lights on", "side"] in ("full", "lit")


def test_ground_lost_at_the_trailer_joins_both_tail_lamps(trailer: "Built") -> None:
    # By hand: the lamps' common node hangs on the live feed through its own lamp; with one feed
    # live all else rises to it, with both live nothing flows: every lamp is off in every state.
    under = trailer.levels_under("ground lost at the trailer")
    assert set(under.values()) == {"off"}
    outcome = trailer.outcome("ground lost at the trailer")
    paths = {sneak.path for sneak in outcome.sneak_paths}
    assert ("58R", "telltale", "58L") in paths
    assert ("58L", "telltale", "58R") in paths
    # asked 9; kept: left off, right off with one feed each, and the telltale off with both
    assert (outcome.asked, outcome.met) == (9, 3)


def test_a_bridge_across_the_supply_blows_a_fuse(reversing: "Built") -> None:
    outcome = reversing.outcome("A and B bridged")
    assert outcome.shorted == ("lever ahead", "lever astern")
    assert (outcome.met, outcome.value) == (0, 0.0)
    assert outcome.changes == (), "nothing else is said of a shorted state"


def test_extra_parts_open_and_shorted(reversing: "Built", check_levels: "Checker") -> None:
    parts = reversing.circuit.parts
    shorted = {"D1": Part("W1", "wire", "A", "j2"), "R1": Part("W1", "wire", "j2", "j1")}
    opened = {"D1": replace(parts[2], to_node="j3"), "R1": replace(parts[3], to_node="j3")}
    for ref in ("D1", "R1"):
        for how, put in (("shorted", shorted), ("open", opened)):
            altered = sorted(
                (put[ref] if part.ref == ref else part for part in parts), key=lambda p: p.kind == "wire"
            )
            by_hand = check_levels(reversing.spec, Circuit(tuple(altered)))
            assert reversing.levels_under(f"{ref} {how}") == by_hand, f"{ref} {how}"
    # by hand: without its blocking diode lamp two burns both ways
    assert reversing.levels_under("D1 shorted")["lever astern", "two"] == "full"
    backward = {s.path for s in reversing.outcome("D1 shorted").sneak_paths if s.kind == "reversed"}
    assert all(path == ("B", "two", "j1", "R1", "j2", "31") for path in backward), (
        "astern B is live, and j2 with A is ground; lamp one is not on the path: it reverses by design"
    )


def test_overload_of_a_control(reversing: "Built") -> None:
    # By hand: P21W takes 25 W / 13.5 V = 1.85 A, at 14.4 V x 1.067^0.541: 1.92 A; R5W 0.38 A: 2.3 A
    # in all, below 2.5 A. A P21W in the holder of two (R5W, BA15s too) takes 1.2 A or more: overload.
    over = reversing.outcome("P21W in two for R5W").overloads
    loads = {one.ref: one for one in over}
    assert loads["lever"].allowed == 2.5
    # the resistor, 4.7 ohms of 5 W, carries over 1.03 A = sqrt(5 W / 4.7 ohm); the diode over its 1 A
    assert loads["R1"].load > 5.0
    assert loads["D1"].load > 1.0
    assert reversing.outcome("R1 open").overloads == ()


def test_the_score_is_the_mean_over_kinds(reversing: "Built") -> None:
    kinds = {one.kind for one in reversing.found.faults}
    means = [np.mean([one.value for one in reversing.found.faults if one.kind == kind]) for kind in kinds]
    assert reversing.found.score == pytest.approx(float(np.mean(means)), abs=1e-12)
    assert 0.0 < reversing.found.score < 1.0
    assert reversing.found.unsolved == 0


def test_every_kind_of_fault_is_tried(reversing: "Built", trailer: "Built", sidecar: "Built") -> None:
    kinds = {one.kind for built in (reversing, trailer, sidecar) for one in built.found.faults}
    assert len(kinds) == 10
    words = [one.fault for one in sidecar.found.faults]
    assert len(set(words)) == len(words), "no two faults read alike"


def test_a_fuse_of_30_darkens_what_hangs_on_it(builder: "Builder") -> None:
    spec = """
lampwright = 1
title = "A lamp on 30 and one on a switch"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = true
[controls.brake]
kind = "switch"
feed = "54"
[lamps.steady]
choose = ["R5W"]
[lamps.stop]
choose = ["P21W"]
[[behaviour]]
when = { brake = "on" }
show = { stop = "lit", steady = "lit" }
"""
    parts = (
        Part("steady", "filament", "30", "31", lamp="steady", type="R5W"),
        Part("stop", "filament", "54", "31", lamp="stop", type="P21W"),
    )
    under = builder(spec, parts).levels_under("fuse of 30 blown")
    assert (under["all off", "steady"], under["brake on", "steady"]) == ("off", "off")
    assert under["brake on", "stop"] == "full", "the switch has a fuse of its own"


COMPARED = """
lampwright = 1
title = "Compared"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls]
lights = { kind = "switch", feed = "58" }
brake = { kind = "switch", feed = "54" }
[lamps]
rear = { choose = ["P21W"] }
one = { choose = ["R5W"] }
other = { choose = ["R5W"] }
[extras]
resistors = { most = 1, series = "E12", ohms = [1.0, 22.0], watts = [50] }
[[behaviour]]
when = { brake = "on" }
show = { rear = "lit" }
[[brighter]]
lamp = "rear"
when = { brake = "on", lights = "on" }
versus = { brake = "off" }
by = 4.0
[[same]]
when = { lights = "on" }
lamps = ["one", "other"]
within = 0.1
"""


def test_a_fault_tells_which_comparisons_no_longer_hold(builder: "Builder") -> None:
    # By hand: what is asked is rear lit in two states, one = other in two, and one comparison: 5. With R1
    # shorted rear is as bright without brake; where rear is open it gives nothing; where `one` is open
    # `other` is bright alone; without the fuse of the lights both are off, which is alike.
    parts = (
        Part("rear", "filament", "54", "31", lamp="rear", type="P21W"),
        Part("one", "filament", "58", "31", lamp="one", type="R5W"),
        Part("other", "filament", "58", "31", lamp="other", type="R5W"),
        Part("R1", "resistor", "58", "54", ohms=10.0),
    )
    built = builder(COMPARED, parts, watts=(50.0,))

    def lost(what: str) -> list[tuple[str, str, tuple[str, ...]]]:
        return [(one.name, one.wanted, one.states) for one in built.outcome(what).lost]

    brighter = ("rear", "at least 4 times as bright as with lights on", ("lights on, brake on",))
    alike = ("one = other", "alike within 10 %", ("lights on", "lights on, brake on"))
    assert lost("R1 shorted") == [brighter]
    assert (built.outcome("R1 shorted").met, built.outcome("R1 shorted").asked) == (4, 5)
    assert lost("rear open, or its lamp missing") == [brighter]
    assert lost("one open, or its lamp missing") == [alike]
    assert built.outcome("one open, or its lamp missing").met == 3
    assert lost("fuse of lights (58) blown") == []
