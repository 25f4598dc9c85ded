"""What a type that was offered and not taken misses by, against checks of the circuit with that type in it.

A row is computed from the search's own choices; here the circuit is put together from the design's rows,
as a builder would, and checked by itself.
"""

import re
from itertools import product
from math import inf, log

import pytest
from msgspec import structs
from tests.shipped import NAMES, ROOT, shipped

from lampwright.app.answering import search_problem
from lampwright.app.checking import judge_circuit
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.assess import not_taken
from lampwright.parts.catalogue import lamp_type
from lampwright.parts.filament import relative_flux_of
from lampwright.problem.problem import layout_of, prepare
from lampwright.problem.reading import helped, read_spec
from lampwright.progress.bar import quiet
from lampwright.results.design import Design
from lampwright.results.ranking import CheckReport, NotTaken, Ranking
from lampwright.searching.options import SearchOptions
from lampwright.spec.load import parse_spec
from lampwright.spec.model import Spec, plain_specs, with_helpers
from lampwright.spec.states import expand_states

CONTACT = """
lampwright = 1
title = "a contact for one ampere"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.brake]
kind = "switch"
feed = "54"
most_amps = 1.0
[lamps.stop]
choose = ["P21W", "R5W"]
[[behaviour]]
when = { brake = "on" }
show = { stop = "lit" }
"""
ALIKE = """
lampwright = 1
title = "two alike"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.a]
kind = "switch"
feed = "A"
[lamps.left]
choose = ["P21W", "1156"]
common = "31"
[lamps.right]
choose = ["P21W"]
common = "31"
[[behaviour]]
when = { a = "on" }
show = { left = "lit", right = "lit" }
[[same]]
lamps = ["left", "right"]
within = 0.05
"""


FULL = """
lampwright = 1
title = "full through another"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.a]
kind = "switch"
feed = "A"
[controls.b]
kind = "switch"
feed = "B"
[lamps.x]
choose = ["R5W"]
[lamps.h]
choose = ["P21W", "R10W"]
[[behaviour]]
when = { a = "on", b = "off" }
show = { x = "full" }
[[behaviour]]
when = { a = "on", b = "on" }
show = { x = "off" }
"""


def searched(text: str) -> tuple[Spec, Ranking]:
    spec = parse_spec(text, "case")
    return spec, search_problem(prepare(spec), SearchOptions(), quiet())


def checked(spec: Spec, design: Design, fitted: tuple[str, ...]) -> CheckReport:
    """Check a design with other types and values, each written behind its part."""
    what = dict(one.removesuffix(" ohm").split(" ", 1) for one in fitted)
    circuit = CircuitBuilder.of_design(design, spec.types)
    resistors = {part.ref for part in circuit.parts if part.kind == "resistor"}
    types = {ref: kind for ref, kind in what.items() if ref not in resistors}
    tried = circuit.fitted(types, {ref: float(what[ref]) for ref in resistors})
    spec = helped(spec, tried.parts)
    return judge_circuit(spec, tried.under(layout_of(spec)))


def choices(design: Design) -> list[tuple[str, ...]]:
    """Every choice that passes in a design, the best first."""
    best = {
        part.lamp or part.ref: part.type or f"{part.ohms:g} ohm"
        for part in design.parts
        if part.kind != "wire"
    }
    return [tuple(f"{ref} {what}" for ref, what in best.items()), *(one.fitted for one in design.choices)]


@pytest.mark.parametrize("name", NAMES)
def test_every_type_is_taken_or_told_of(name: str) -> None:
    ranking = shipped(name)
    spec = with_helpers(read_spec(ROOT / "specs" / f"{name}.toml"), ranking.helper_lamps)
    offered = {f"{lamp.name} {kind}" for lamp in spec.lamps for kind in lamp.choose}
    taken = {what for design in ranking.designs for fitted in choices(design) for what in fitted}
    told = [f"{one.lamp} {one.type}" for one in ranking.not_taken]
    assert len(told) == len(set(told)), "a type is told of twice"
    assert set(told) == (offered - taken if ranking.designs else set())


@pytest.mark.parametrize("name", NAMES)
def test_what_is_told_is_what_a_check_of_that_circuit_finds(name: str) -> None:
    spec, ranking = read_spec(ROOT / "specs" / f"{name}.toml"), shipped(name)
    for one in ranking.not_taken:
        expect_as_checked(spec, one, checked(spec, ranking.designs[one.rank - 1], one.fitted))


def expect_as_checked(spec: Spec, one: NotTaken, report: CheckReport) -> None:
    assert not report.meets, "it would do after all"
    tight, missed = report.design.tightest, one.missed
    if missed is None:
        assert one.over, "it misses nothing and is over no rating"
        assert all(any(said.split(" where ")[0] in line for line in report.failures) for said in one.over)
        return
    assert (missed.lamp, missed.state, missed.corner) == (tight.lamp, tight.state, tight.corner)
    assert missed.margin_stops == pytest.approx(report.design.margin_stops, abs=1e-9)
    if one.gives is None:
        return
    asked = {
        (word, band)
        for way in plain_specs(spec)
        for state in expand_states(way)
        if state.full_name == missed.state
        for filament, word, band in zip(layout_of(spec).filaments, state.words, state.bands, strict=True)
        if filament == missed.lamp and band is not None and word == missed.wanted
    }
    ((_, band),) = asked
    below, above = band.low * 2.0**missed.margin_stops, band.high * 2.0**-missed.margin_stops
    reading = next(
        lamp.flux for row in report.design.states if row.full_name == missed.state for lamp in row.lamps
        if lamp.lamp == missed.lamp
    )  # fmt: skip
    nearer = min((below, above), key=lambda flux: abs(log(flux / reading)) if flux > 0.0 else inf)
    assert one.gives == pytest.approx(nearer, rel=1e-6), "the margin from the edge of the band, by the spec"


@pytest.mark.parametrize(
    "name", ["trailer_feed_telltale", "trailer_pair_from_the_box", "classroom_three_lamps"]
)
def test_nothing_comes_nearer(name: str) -> None:
    """By checking every choice that passes, with the one lamp changed, of every design."""
    spec, ranking = read_spec(ROOT / "specs" / f"{name}.toml"), shipped(name)
    assert ranking.not_taken, "nothing to look at"
    for one in ranking.not_taken:
        margins = []
        for design, place in product(ranking.designs, range(40)):
            if place >= len(choices(design)):
                continue
            fitted = choices(design)[place]
            own = tuple(f"{one.lamp} {one.type}" if what.split()[0] == one.lamp else what for what in fitted)
            margins.append(checked(spec, design, own).design.margin_stops)
        assert one.missed is not None
        assert one.missed.margin_stops == pytest.approx(max(margins), abs=1e-9)


def test_the_work_is_shared_among_the_types(monkeypatch: pytest.MonkeyPatch) -> None:
    text = (ROOT / "specs" / "trailer_pair_from_the_box.toml").read_text(encoding="utf-8")
    _, whole = searched(text)
    (one,) = whole.not_taken
    assert one.tried == one.choices == len(choices(whole.designs[0])), "all there are"
    monkeypatch.setattr(not_taken, "MOST_TRIED", 2)
    _, little = searched(text)
    (two,) = little.not_taken
    assert (two.tried, two.choices) == (2, one.choices)
    monkeypatch.setattr(not_taken, "MOST_TRIED", 0)
    assert searched(text)[1].not_taken[0].tried == 1, "each type is tried once at least"


def test_a_type_that_is_over_a_rating_alone_says_so() -> None:
    spec, ranking = searched(CONTACT)
    (one,) = ranking.not_taken
    assert (one.lamp, one.type, one.missed, one.gives) == ("stop", "P21W", None, None)
    report = checked(spec, ranking.designs[0], one.fitted)
    (over,) = report.design.ratings.over
    assert one.over == (f"brake: {over.worst:.3g} A where 1 A is the most",)


def test_two_lamps_that_must_match_are_told_of_together() -> None:
    spec, ranking = searched(ALIKE)
    (one,) = ranking.not_taken
    assert (one.lamp, one.type, one.gives) == ("left", "1156", None)
    assert one.missed is not None
    assert (one.missed.lamp, one.missed.wanted) == ("left = right", "alike within 5 %")
    expect_as_checked(spec, one, checked(spec, ranking.designs[0], one.fitted))


def test_light_is_told_against_full_light_at_that_supply_and_in_that_filling() -> None:
    """What is full hangs on the supply and on what the bulb holds; both are read from the corner's name."""
    _, ranking = searched(FULL)
    (one,) = ranking.not_taken
    assert one.missed is not None
    assert (one.lamp, one.type, one.missed.lamp, one.missed.wanted) == ("h", "R10W", "x", "full")
    volts = float(re.findall(r"supply ([\d.]+) V", one.missed.corner)[0])
    (filling,) = re.findall(r"R5W (gas-filled|vacuum)", one.missed.corner)
    kind = lamp_type("R5W", 12, "gas" if filling == "gas-filled" else "vacuum")
    full = min(1.0, float(relative_flux_of(kind.filaments[0], volts)))
    assert volts == 11.8, "the judge's worst is at the low supply"
    assert (filling, kind.fillings[0]) == ("gas-filled", "vacuum"), "and in the filling less likely"
    assert one.gives == pytest.approx(0.6 * full * 2.0**one.missed.margin_stops, rel=1e-4)


def test_types_do_not_change_what_is_found() -> None:
    _, ranking = searched(CONTACT)
    _, alone = searched(CONTACT.replace('["P21W", "R5W"]', '["R5W"]'))
    assert [structs.replace(one, trials=()) for one in ranking.designs] == [
        structs.replace(one, trials=()) for one in alone.designs
    ]
    assert alone.not_taken == ()
