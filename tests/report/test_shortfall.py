"""What is said where nothing was found: of the shipped spec without a circuit, and of rows made up."""

import os
from collections.abc import Callable, Iterator
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from unittest.mock import patch

import pytest
from msgspec.structs import replace

from lampwright.app.controls import controls_of
from lampwright.diagnosis.shortfall import shortfall_of
from lampwright.diagnosis.survey import survey_problem
from lampwright.judge.judge import Judge
from lampwright.problem.reading import read_problem
from lampwright.report.explain.explain import explain_design
from lampwright.report.page.design import near_html
from lampwright.report.page.templates import rendered
from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.narrow import narrow_schematic
from lampwright.report.schematic.svg import schematic
from lampwright.report.topics.shortfall import missed_rows, shortfall_text
from lampwright.results.design import StateRow
from lampwright.results.explanation import Explanation
from lampwright.results.json_text import from_json
from lampwright.results.shortfall import Missed, NearMiss, Shortfall, Suggestion
from lampwright.searching.plan import plan_steps

GOLD = Path(__file__).parent / "gold"
EXAMPLES = Path(__file__).parents[1] / "results" / "examples"
SPEC = Path(__file__).parents[2] / "specs" / "no_such_circuit.toml"
STUDY = read_problem(SPEC)
SIDECAR = from_json((EXAMPLES / "sidecar.json").read_text(encoding="utf-8")).designs[0]


@cache
def none() -> Shortfall:
    judge = Judge(STUDY)
    steps = plan_steps(judge, None)
    return shortfall_of(judge, steps, survey_problem(STUDY, steps))


def full_name(row: StateRow) -> str:
    return f"{row.state} ({row.phase})" if row.phase else row.state


def made_up() -> Shortfall:
    """Every kind of row, with numbers invented; the circuit is that of an example."""
    braking = [full_name(row) for row in SIDECAR.states if "brake on" in row.state]
    missed = tuple(
        Missed(lamp="side", state=name, wanted="lit", margin_stops=-0.25 - at, corner=f"corner {at}")
        for at, name in enumerate(braking)
    )
    weak = "normal supply 13.5 V, all parts weak"
    others = (
        Missed(lamp="front", state=braking[0], wanted="off", margin_stops=-0.1, corner=weak),
        Missed(lamp="stop", state=braking[0], wanted="lit", margin_stops=-0.05, corner=weak),
    )
    missed = (*reversed(missed), *others)
    over = ("brake: 9.1 A where 8 A is the most, in brake on at high supply 14.4 V, nominal parts",)
    brake = replace(SIDECAR.ratings.controls[0], ref="brake", worst=9.1, limit=8.0, unit="A")
    loaded = replace(SIDECAR, ratings=replace(SIDECAR.ratings, controls=(brake,)))
    first = NearMiss(design=replace(loaded, rank=1, margin_stops=-11.25), missed=missed, over=over)
    second = NearMiss(design=replace(loaded, rank=2, margin_stops=0.5), missed=(), over=over)
    wider = Suggestion(
        kind="wider band",
        change="call `side` lit from 0.2 on",
        spec_text='[levels]\nlit = [0.2, "inf"]\n',
        margin_stops=0.123,
        design=SIDECAR,
        verified="searched: 18 circuits, with up to 0 extra parts, judged at every corner",
    )
    tried = ("other type: 5 types for `side`: nothing passes", "one more wire: not tried: too much work")
    return Shortfall(
        conflict=None,
        looked_at="All 18 circuits of the search.",
        near_misses=(first, second),
        suggestions=(wider,),
        tried=tried,
    )


TEXTS: dict[str, Callable[[], Shortfall]] = {
    "shortfall_no_such_circuit.txt": none,
    "shortfall_made_up.txt": made_up,
}


@pytest.mark.parametrize("name", TEXTS)
def test_as_accepted(name: str) -> None:
    text = shortfall_text(TEXTS[name](), 80) + "\n"
    if os.environ.get("LAMPWRIGHT_ACCEPT"):
        (GOLD / name).write_text(text, encoding="utf-8")
    assert text == (GOLD / name).read_text(encoding="utf-8"), (
        "the text changed; gold/README.md says what to do"
    )


@pytest.mark.parametrize("width", [60, 80, 100])
@pytest.mark.parametrize("name", TEXTS)
def test_the_width_is_kept(name: str, width: int) -> None:
    lines = shortfall_text(TEXTS[name](), width).splitlines()
    assert max(len(line) for line in lines) <= width, "wider than asked"
    assert all(line == line.rstrip() for line in lines), "spaces at the end of a line"


def test_what_helps_comes_before_the_conflict_and_that_before_the_circuits() -> None:
    text = shortfall_text(replace(made_up(), conflict=none().conflict), 80)
    places = [
        text.index(said)
        for said in (
            "would help",
            "Changes tried",
            "What conflicts",
            "What comes nearest",
            "The nearest circuit",
        )
    ]
    assert places == sorted(places), "another order"


def test_nothing_looked_at_says_so_and_no_more() -> None:
    text = shortfall_text(
        Shortfall(conflict=None, looked_at="None: too many.", near_misses=(), suggestions=(), tried=()), 80
    )
    assert text.splitlines()[1:] == ["Looked at: None: too many."], text


class Reader(HTMLParser):
    """Collects the elements and the text of a section, and checks that elements are closed in order."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.opened: list[str] = []
        self.elements: list[str] = []
        self.text = ""
        self.feed(html)
        assert self.opened == [], "something is left open"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        del attrs
        self.opened.append(tag)
        self.elements.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.opened.pop() == tag, f"{tag} closes what it did not open"

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        del attrs
        self.elements.append(tag)

    def handle_data(self, data: str) -> None:
        self.text += data


SILENT = Explanation(spec=None, subject="", volts=13.5, remarks=(), principles=(), groups=())
"""What is made up has no readings that could be explained."""


def section(shortfall: Shortfall) -> Reader:
    near = shortfall.near_misses[:1]
    html = str(rendered("shortfall.html", told=shortfall))
    if shortfall.suggestions:
        html += str(rendered("help.html", told=shortfall, spec_text=STUDY.spec.text))
    for one in near:
        controls = controls_of(STUDY.spec)
        feeds = feeds_of(one.design, controls)
        drawn = schematic(one.design, feeds), narrow_schematic(one.design, feeds)
        told = SILENT if one.design.parts == SIDECAR.parts else explain_design(one.design, controls)
        with patch("lampwright.report.page.design.explain_design", return_value=told):
            html += str(near_html(one, drawn, controls))
    return Reader(html)


def said_of(shortfall: Shortfall) -> Iterator[str]:
    if shortfall.conflict:
        yield shortfall.conflict.text
        yield from shortfall.conflict.checked
    yield shortfall.looked_at
    for near in shortfall.near_misses[:1]:
        yield from (part.ref for part in near.design.parts)
        yield from near.over
        yield from ("".join(row[:4]) for row in missed_rows(near))
    for one in shortfall.suggestions:
        yield from (one.change, one.spec_text.strip(), one.verified)
    yield from shortfall.tried


@pytest.mark.parametrize("name", TEXTS)
def test_the_page_says_all_that_the_rows_say(name: str) -> None:
    read = section(TEXTS[name]())
    flat = " ".join(read.text.split())
    for said in said_of(TEXTS[name]()):
        for line in said.replace("`", "").splitlines():
            assert " ".join(line.split()) in flat, f"missing: {said}"
    assert read.elements.count("article") == 1, "one circuit is drawn"


def test_names_are_escaped_on_the_page() -> None:
    shortfall = none()
    assert shortfall.conflict is not None, "it has one"
    evil = "<script>alert(1)</script>"
    row = replace(shortfall.conflict.requirements[0], lamp=evil, state=evil)
    conflict = replace(shortfall.conflict, text=evil, requirements=(row,), checked=(evil,))
    near = shortfall.near_misses[0]
    last = near.design.parts[-1].ref
    parts = tuple(replace(part, ref=evil) if part.ref == last else part for part in near.design.parts)
    states = tuple(
        replace(
            state,
            lamps=tuple(replace(one, lamp=evil) if one.lamp == last else one for one in state.lamps),
            parts=tuple(replace(one, ref=evil) if one.ref == last else one for one in state.parts),
        )
        for state in near.design.states
    )
    near = replace(near, design=replace(near.design, parts=parts, states=states), over=(evil,))
    told = replace(shortfall, conflict=conflict, looked_at=evil, near_misses=(near,), tried=(evil,))
    read = section(told)
    assert "script" not in read.elements, "a name became an element"
    assert read.text.count(evil) >= 8, "the names are shown as they are"
