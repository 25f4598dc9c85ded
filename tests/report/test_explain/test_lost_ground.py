"""Scenes with a lost ground: the currents said are those of the plain twin, with a node for that ground.

Which currents there must be is worked out by hand beside each case.
"""

from pathlib import Path

import pytest

from lampwright.app.explaining import explain_circuit
from lampwright.parts.catalogue import lamp_type
from lampwright.results import explanation as row
from lampwright.results.explanation import Scene
from lampwright.solve.twin import TwinPart, operating_point

SPEC = """
lampwright = 1
title = "Trailer with a ground that may be lost"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls]
lights = { kind = "switch", feed = "58" }
brake = { kind = "switch", feed = "54" }
[lamps]
left = { choose = ["R5W"] }
right = { choose = ["R5W"] }
stop = { choose = ["P21W"] }
dash = { choose = ["W3W"] }
[place]
supply = "car"
trailer = ["left", "right", "stop"]
[[behaviour]]
when = { lights = "on" }
show = { left = "lit" }
[[behaviour]]
when = { ground_lost = "trailer" }
show = { left = "any" }
[[behaviour]]
when = { ground_lost = ["left", "right"] }
show = { left = "any" }
"""
LAMPS = {"left": ("R5W", "58"), "right": ("R5W", "58"), "stop": ("P21W", "54"), "dash": ("W3W", "54")}
PART = """
[[part]]
ref = "{name}"
kind = "filament"
lamp = "{name}"
type = "{type}"
from = "{feed}"
to = "31"
"""


@pytest.fixture(scope="module")
def scenes(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Scene]:
    folder: Path = tmp_path_factory.mktemp("lost")
    circuit = "".join(PART.format(name=name, type=kind, feed=feed) for name, (kind, feed) in LAMPS.items())
    (folder / "spec.toml").write_text(SPEC)
    (folder / "circuit.toml").write_text(circuit)
    (group,) = explain_circuit(folder / "spec.toml", folder / "circuit.toml").groups
    return {scene.title: scene for scene in group.scenes}


def said(scene: Scene) -> str:
    return " ".join(statement.text for statement in scene.statements)


def test_currents_through_a_lost_ground_are_those_of_the_twin(scenes: dict[str, Scene]) -> None:
    # By hand: lights alone feed left and right; their ground is lost, and the only way on is back through
    # stop to feed 54, which is open, and from there through dash to ground.
    scene = scenes["lights on, brake off, ground lost at trailer"]
    (route,) = (one for one in scene.statements if isinstance(one, row.Route))
    told = {branch.refs: branch.amps for leg in route.legs for branch in leg.branches}
    nodes = {"left": (1, 2), "right": (1, 2), "stop": (2, 3), "dash": (3, 0)}
    filaments = {name: lamp_type(LAMPS[name][0], 12.0).filaments[0] for name in nodes}
    point = operating_point([TwinPart(*nodes[name], filaments[name]) for name in nodes], 4, 13.5)
    assert point.converged
    amps = dict(zip(nodes, (abs(float(one)) for one in point.amps), strict=True))
    assert told == {(name,): pytest.approx(amps[name], rel=2e-3) for name in nodes}
    assert "left, right and stop have lost their ground and hang together by it." in said(scene)
    assert "to the lost ground of left, right and stop" in said(scene)


def test_between_live_ends_nothing_flows_through_a_lost_ground(scenes: dict[str, Scene]) -> None:
    text = said(scenes["lights on, brake on, ground lost at trailer"])
    assert "left is dark: its way leads only from feed 58 to feed 54, and both are live." in text
    assert "stop is dark: its way leads only from feed 58 to feed 54, and both are live." in text


def test_each_lamp_may_lose_a_ground_of_its_own(scenes: dict[str, Scene]) -> None:
    start = "lights on, brake on, ground lost at left"
    (text,) = (said(one) for title, one in scenes.items() if title.startswith(start))
    assert "left has lost its ground; right has lost its ground." in text
    assert "left is dark: it lies on no way from a live feed to ground." in text
    assert "stop and dash burn at " in text


def test_every_state_has_its_words(scenes: dict[str, Scene]) -> None:
    told = [state for scene in scenes.values() for state in scene.states]
    assert len(told) == len(set(told)) == 12
