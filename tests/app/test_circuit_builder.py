"""A circuit said in Python is the circuit of its file; solved by itself, it obeys the laws of its parts."""

import copy
import pickle
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

import lampwright as lw
from lampwright.errors import InputError
from lampwright.network.circuit_file import read_circuit
from lampwright.problem.problem import layout_of

SUPPLY = lw.Supply(12, (11.8, 13.5, 14.4))
TELLTALE = lw.Circuit().lamp("x", "W2.3W", "A", "B").lamp("h", "P21W", "B", "31")
EVERY_KIND = (
    lw.Circuit()
    .lamp("rear", "P21/5W", stop=("54", "31"), tail=("58", "31"))
    .diode("D7", "1N5404", "54", "j1")
    .resistor("R2", 4.7, "j1", "j2", watts=10)
    .lamp("front", "R5W", "j2", "31")
    .wire("58", "30")
)


@pytest.fixture(scope="module")
def spec() -> lw.Spec:
    said = (
        lw.Spec("A tell-tale", SUPPLY).switch("a", "A").switch("b", "B").lamp("x", "W2.3W").lamp("h", "P21W")
    )
    said = said.resistors(1)
    return said.when(a="on", b="off", x="lit").when(a="on", b="on", x="off")


def test_a_circuit_said_is_the_circuit_of_its_file(tmp_path: Path) -> None:
    spec = lw.Spec("t", lw.Supply(12, (11.8, 13.5, 14.4), always_live=True))
    spec = spec.switch("brake", "54").switch("lights", "58").lamp("front", "R5W")
    spec = spec.lamp("rear", "P21/5W", filaments=["stop", "tail"]).when(brake="on", stop="lit")
    layout = layout_of(spec.model)
    EVERY_KIND.save(tmp_path / "own.toml")
    assert tomllib.loads(EVERY_KIND.to_toml())["part"][2] == {
        "ref": "D7",
        "kind": "diode",
        "type": "1N5404",
        "from": "54",
        "to": "j1",
    }
    assert EVERY_KIND.under(layout) == read_circuit(tmp_path / "own.toml", layout)
    assert lw.load_circuit(tmp_path / "own.toml") == EVERY_KIND
    assert [part.ref for part in EVERY_KIND.under(layout).parts] == [
        "front",
        "stop",
        "tail",
        "D7",
        "R2",
        "W1",
    ]


ANY: Any = lw
WRONG: list[tuple[Callable[[], object], str]] = [
    (
        lambda: EVERY_KIND.lamp("front", "R5W", "54", "31"),
        'Circuit.lamp: part: the ref "front" stands 2 times; giv',
    ),
    (
        lambda: EVERY_KIND.lamp("x", "R5", "54", "31"),
        'Circuit.lamp: part 7: type: "R5" is no lamp type; nearest: ',
    ),
    (
        lambda: EVERY_KIND.lamp("x", "P21/5W", "54", "31"),
        "Circuit.lamp: x: P21/5W has 2 filaments, and nodes are ",
    ),
    (
        lambda: EVERY_KIND.lamp("x", "R5W"),
        "Circuit.lamp: part 7: from is missing; name the node it joins: 31 for gro",
    ),
    (
        lambda: EVERY_KIND.lamp("x", "R5W", y="54"),
        "Circuit.lamp: y: '54' is no pair of nodes; give two nodes, as (",
    ),
    (
        lambda: EVERY_KIND.diode("D1", "R5W", "54", "31"),
        'Circuit.diode: part 7: type: "R5W" is no diode type; know',
    ),
    (
        lambda: EVERY_KIND.resistor("R1", -1, "54", "31"),
        "Circuit.resistor: part 7: ohms: -1 is no number from 0.001",
    ),
    (
        lambda: EVERY_KIND.wire("54", "54"),
        "Circuit.wire: part 7: both ends are at 54; join two different nodes, or",
    ),
    (
        lambda: EVERY_KIND.fitted({"reer": "R5W"}),
        'Circuit.fitted: types: no such part is called "reer"; did you mean',
    ),
    (lambda: EVERY_KIND.fitted(ohms={"D7": 1}), 'Circuit.fitted: ohms: no such part is called "D7"; use R2'),
    (
        lambda: EVERY_KIND.fitted({"rear": "R5W"}),
        "Circuit.fitted: rear: R5W has 1 filament, and nodes are given for",
    ),
    (lambda: lw.solve(lw.Circuit(), 13.5, live="A"), "solve: the circuit has no lamp; add one, as .lamp("),
    (
        lambda: lw.solve(TELLTALE, 130, live="A"),
        "solve: supply.volts: 130 V is no voltage of a 12 V system; write",
    ),
    (
        lambda: ANY.solve(TELLTALE, "x", live="A"),
        'solve: supply: "x" is text, not a number of volts above 0; give',
    ),
    (
        lambda: lw.solve(TELLTALE, 13.5),
        'solve: live, settings: neither is given; give one: live="54", or settings',
    ),
    (lambda: lw.solve(TELLTALE, 13.5, live="C"), 'solve: C live: no part is at "C"; use A, B or 31'),
    (
        lambda: lw.solve(TELLTALE, 13.5, settings={"s": [("A", "B", "31")]}),
        "solve: s: ('A', 'B', '31') is no pair;",
    ),
    (
        lambda: lw.solve(TELLTALE, 13.5, settings={"s": ["31"]}),
        "solve: its wires join the supply to ground in some",
    ),
    (
        lambda: ANY.solve(5, 13.5, live="A"),
        "circuit: a builtins.int is given; give a lampwright.Circuit, or a file",
    ),
]


@pytest.mark.parametrize(("call", "said"), WRONG, ids=[said[:40] for _, said in WRONG])
def test_what_is_wrong_raises_with_the_call_and_what_would_do(call: Callable[[], object], said: str) -> None:
    with pytest.raises(InputError) as caught:
        call()
    assert str(caught.value).startswith(said)


def test_a_circuit_is_a_value() -> None:
    for copied in (pickle.loads(pickle.dumps(EVERY_KIND)), copy.deepcopy(EVERY_KIND)):
        assert copied == EVERY_KIND
        assert hash(copied) == hash(EVERY_KIND)
    other = EVERY_KIND.fitted(types={"rear": "P21/4W", "D7": "1N4001"}, ohms={"R2": np.float64(10)})
    assert repr(other) == "<circuit of stop P21/4W, tail P21/4W, D7 1N4001, R2 10 Ω, front R5W>"
    assert repr(EVERY_KIND) == "<circuit of stop P21/5W, tail P21/5W, D7 1N5404, R2 4.7 Ω, front R5W>"


def test_what_is_solved_obeys_the_laws_of_its_filaments() -> None:
    x, h = lw.filament("W2.3W"), lw.filament("P21W")
    solved = lw.solve(TELLTALE, SUPPLY, settings={"a": ["A"], "both": ["A", "B"], "none": []})
    frame = solved.to_frame().set_index(["setting", "supply", "lamp"])
    for volts in SUPPLY.volts:
        # by scipy and the law of each filament alone: one current through both
        at = brentq(lambda one, v=volts: float(x.amps(v - one) - h.amps(one)), 1e-6, volts, xtol=1e-12)
        across, big = frame.loc[("a", volts, "x")], frame.loc[("a", volts, "h")]
        assert across.volts == pytest.approx(volts - at, abs=1e-5)
        assert across.amps == pytest.approx(float(x.amps(volts - at)), rel=1e-4)
        assert big.amps == pytest.approx(across.amps, rel=1e-4), "what the one takes the other gives"
        assert across.kelvin == pytest.approx(float(x.kelvin(volts - at)), abs=1.0)
        assert across.flux == pytest.approx(float(x.flux(volts - at)), rel=1e-3)
        assert across.watts == pytest.approx(across.volts * across.amps, rel=1e-12)
        assert (frame.loc[("both", volts, "x")].volts, frame.loc[("none", volts, "h")].amps) == (0.0, 0.0)
    nodes = solved.nodes().to_frame().set_index(["setting", "supply", "node"])
    assert nodes.loc[("a", 13.5, "B")].volts == pytest.approx(frame.loc[("a", 13.5, "h")].volts, abs=1e-6)
    assert dict(nodes.loc[("a", 13.5)].held) == {"A": "live", "31": "ground", "B": "open"}
    parts = solved.parts().to_frame().set_index(["setting", "supply", "part"])
    assert parts.loc[("a", 13.5, "x")].amps == pytest.approx(parts.loc[("a", 13.5, "h")].amps, rel=1e-4)


def test_what_is_solved_is_what_a_check_reads(spec: lw.Spec) -> None:
    circuit = TELLTALE.resistor("R1", 10.0, "B", "31")
    checked = lw.check(spec, circuit)
    solved = lw.solve(circuit, 13.5, settings={"b on": ["B"], "a on": ["A"], "a on, b on": ["A", "B"]})
    for state in solved.designs[0].states:
        other = next(one for one in checked.design.states if one.state == state.positions[0][1])
        for one, two in zip(state.lamps, other.lamps, strict=True):
            assert (one.volts, one.amps, one.flux) == pytest.approx((two.volts, two.amps, two.flux), abs=1e-6)
            assert one.kelvin == two.kelvin


def test_contacts_join_nodes_and_30_is_always_live() -> None:
    circuit = lw.Circuit().lamp("x", "P21W", "30", "A").lamp("y", "R5W", "B", "31")
    frame = lw.solve(circuit, 13.5, settings={"ground": [("A", "31")], "joined": [("A", "B")]}).to_frame()
    x, y = (frame[frame.lamp == one].set_index("setting") for one in "xy")
    assert x.loc["ground"].volts == pytest.approx(13.5)
    assert y.loc["ground"].volts == pytest.approx(0.0, abs=1e-6)
    assert x.loc["joined"].amps == pytest.approx(y.loc["joined"].amps, rel=1e-3)
    assert lw.solve(circuit, 13.5, live="B").to_frame().volts[1] == pytest.approx(13.5)


def test_what_is_solved_draws_itself() -> None:
    solved = lw.solve(TELLTALE, 13.5, live="A")
    assert solved.svg().startswith("<svg")
    assert "<svg" in solved._repr_html_()
    assert "W2.3W" in solved._repr_html_()
    assert repr(solved) == "<solved: 1 setting at 13.5 V>"
    assert str(solved).splitlines()[2].split()[:5] == ["A", "live", "13.5", "x", "W2.3W"]


def test_a_comparison_is_a_check_of_each(spec: lw.Spec) -> None:
    circuit = TELLTALE.resistor("R1", 10.0, "B", "31")
    told = lw.compare(spec, circuit, types={"h": ["P21W", "R5W"]}, ohms={"R1": [100, 10.0]})
    frame = told.to_frame()
    assert list(frame.columns[:4]) == ["h", "R1", "meets", "margin_stops"]
    assert [(row.h, row.R1) for row in frame.itertuples()] == [
        ("P21W", 100.0),
        ("P21W", 10.0),
        ("R5W", 100.0),
        ("R5W", 10.0),
    ]
    for row in frame.itertuples():
        own = (
            lw.Circuit()
            .lamp("x", "W2.3W", "A", "B")
            .lamp("h", row.h, "B", "31")
            .resistor("R1", row.R1, "B", "31")
        )
        checked = lw.check(spec, own)
        assert (row.meets, row.margin_stops) == (checked.meets, checked.design.margin_stops)
        assert (row.tightest, row.corner) == (checked.design.tightest.lamp, checked.design.tightest.corner)
    axes = told.plot()
    lines = {line.get_label(): line for line in axes.get_lines()}
    assert list(lines["h R5W"].get_xdata()) == [10.0, 100.0], "in order of the ohms"
    assert list(lines["h R5W"].get_ydata()) == [frame.margin_stops[3], frame.margin_stops[2]]
    assert axes.get_xlabel() == "R1 [Ω]"
    types = lw.compare(spec, TELLTALE, types={"h": ["P21W", "R5W"]})
    shown = types.plot()
    assert [one.get_text() for one in shown.get_xticklabels()] == ["P21W", "R5W"]
    assert types.plot(shown) is shown, "on the user's own axes"
    assert "P21W" in types._repr_html_()


@pytest.mark.parametrize("said", [{}, {"types": {"x": "R5W"}}, {"ohms": {"R1": []}}])
def test_nothing_to_compare_is_said(said: dict[str, dict[str, list[str]]], spec: lw.Spec) -> None:
    with pytest.raises(InputError, match="there is nothing to compare; give lists, as types="):
        ANY.compare(spec, TELLTALE, **said)


def test_a_circuit_file_may_name_lamps_of_ones_own(tmp_path: Path) -> None:
    lamps, path = tmp_path / "mine.toml", tmp_path / "circuit.toml"
    lamps.write_text("[types.bulb]\nvolts = 12.0\namps = 0.19\nlumens = 19\n", encoding="utf-8")
    path.write_text(
        '[[part]]\nref = "x"\nlamp = "x"\nkind = "filament"\ntype = "bulb"\nfrom = "A"\nto = "31"\n',
        encoding="utf-8",
    )
    (row,) = lw.solve(path, 12.0, live="A", types=lamps, progress=False).lamps().rows
    assert row[5] == pytest.approx(0.19, rel=1e-3), "its rated current at its rated volts"
    assert lw.load_circuit(path, types=lamps).own[0].name == "bulb"
    with pytest.raises(lw.InputError, match="bulb"):
        lw.load_circuit(path)
    spec = lw.Spec("own", supply=lw.Supply(12, (11.8, 13.5, 14.4))).type(
        "bulb", volts=12, amps=0.19, lumens=19
    )
    spec = spec.switch("a", feed="A").lamp("x", ["bulb"]).when(a="on", x="lit")
    told = lw.compare(spec, path, types={"x": ["bulb", "R5W"]}, progress=False)
    assert [row[:2] for row in told.rows] == [("bulb", True), ("R5W", True)], (
        "a file is read with the spec's lamps"
    )
