"""What an explanation says in words: no number that the facts do not hold, no name in the wrong place."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

import networkx as nx
from msgspec.structs import fields
from tests.report.test_explain.filaments import DRAPER

from lampwright.report.explain.text import explanation_text
from lampwright.results import explanation as row
from lampwright.results.design import Design, StateRow
from lampwright.results.explanation import FeedFact, FilamentFact, StateName
from lampwright.results.row import Row
from lampwright.spec.states import Contact, expand_states

NUMBER = re.compile(r"(?<![\w.,])(\d[\d,]*(?:\.\d+)?) (m?)(V|A|W|Ω|%|K|times)")


def numbers(fact: object) -> Iterator[float]:
    """Every number a statement's facts hold, and what is made of them in its text: ratios, means."""
    if isinstance(fact, float | int):
        yield float(fact)
    elif isinstance(fact, tuple):
        for one in fact:
            yield from numbers(one)
    elif isinstance(fact, Row):
        for field in fields(fact):
            yield from numbers(getattr(fact, field.name))


def found_in(said: row.Statement) -> list[FilamentFact]:
    """The filaments of which a statement tells all."""
    match said:
        case row.Power():
            return list(said.filaments)
        case row.Compared():
            return [said.more, said.less]
        case row.Faint():
            return [said.filament] if said.filament else []
    return []


def check_text(said: row.Statement) -> None:
    """No number in a text that the facts do not hold."""
    held = list(numbers(said))
    if isinstance(said, row.Series):
        held += [said.volts / len(said.parts), said.volts / said.amps / len(said.parts)]
    filaments = found_in(said)
    held += [fact.rated.volts * fact.rated.amps for fact in filaments]
    held += [fact.watts / fact.rated.volts / fact.rated.amps for fact in filaments]
    held += [fact.amps / fact.rated.amps for fact in filaments]
    if isinstance(said, row.Compared):
        held += [said.more.ohms / said.less.ohms, said.more.rated.ohms / said.less.rated.ohms]
    text = said.text.replace("\u00a0", " ")
    assert ("less than 0.01 V" in text) <= any(one < 0.005 for one in held), text
    assert ("less than 0.1 %" in text) <= any(one < 0.001 for one in held), text
    for value, prefix, unit in NUMBER.findall(re.sub("less than 0.01 V|less than 0.1 %", "", text)):
        value = value.replace(",", "")
        size = float(value) * (1e-3 if prefix else 1.0) * (0.01 if unit == "%" else 1.0)
        digit = 10.0 ** -len(value.partition(".")[2]) * size / float(value) if float(value) else 0.1
        close = [one for one in held if abs(one - size) <= max(0.51 * digit, 0.051 * size)]
        assert close, f"{said.text}: {value} {prefix}{unit} is none of {held}"


FRACTIONS = {
    "half": 2, "a third": 3, "a quarter": 4, "a fifth": 5, "a sixth": 6, "a seventh": 7,
    "an eighth": 8, "a ninth": 9, "a tenth": 10, "an eleventh": 11, "a twelfth": 12,
}  # fmt: skip


def check_fraction(said: row.Faint) -> None:
    """A fraction in words is within a twentieth of the ratio of the two currents."""
    word = re.search(r"about ((?:an? )?[a-z]+) of its", said.text)
    if word and said.filament:
        assert abs(said.part.amps / said.filament.rated.amps * FRACTIONS[word[1]] - 1.0) <= 0.051, said.text


def states_of(case: Any, names: tuple[StateName, ...]) -> Iterator[StateRow]:
    rows = {(state.state, state.phase): state for state in case.design.states}
    return (rows[(name.state, name.phase)] for name in names)


def scenes(case: Any) -> Iterator[row.Scene]:
    return (scene for group in case.explanation.groups for scene in group.scenes)


def in_words(text: str) -> set[str]:
    """The names of a list in a sentence."""
    return set(re.split(r", | and ", text)) - {""}


def test_no_number_stands_in_a_text_that_its_facts_do_not_hold(cases: Any) -> None:
    for case in cases:
        for scene in scenes(case):
            for said in scene.statements:
                check_text(said)
                if isinstance(said, row.Faint):
                    check_fraction(said)


def test_every_part_is_in_one_group_and_every_state_in_one_scene_of_it(cases: Any) -> None:
    for case in cases:
        refs = [ref for group in case.explanation.groups for ref in group.refs]
        assert sorted(refs) == sorted(p.ref for p in case.design.parts if p.kind != "wire"), refs
        states = sorted((state.state, state.phase) for state in case.design.states)
        for group in case.explanation.groups:
            named = [(name.state, name.phase) for scene in group.scenes for name in scene.states]
            assert sorted(named) == states, f"{group.refs}: a state is missing or told twice"


def joins(terminal: str, rail: str, pairs: Iterable[set[str]]) -> bool:
    """Whether these pairs of terminals join one to a rail."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from((terminal, rail))
    graph.add_edges_from((min(pair), max(pair)) for pair in pairs)
    return nx.has_path(graph, terminal, rail)


def check_ways(feed: FeedFact, closed: Iterable[Contact], wires: list[set[str]], title: str) -> None:
    """A terminal is held by the controls said and by no fewer; what wire alone holds, by none."""
    rail = {"live": "30", "ground": "31"}.get(feed.held)
    pairs = {
        control: [{one.a, one.b} for one in closed if one.control == control] for control in feed.controls
    }
    if rail is None or joins(feed.terminal, rail, wires):
        assert not feed.controls, f"{title}: {feed}: no control does that"
        assert not feed.ways, f"{title}: {feed}: no control does that"
        return
    held = [
        way
        for way in feed.ways
        if joins(feed.terminal, rail, [*wires, *(pair for name in way for pair in pairs[name])])
    ]
    assert held, f"{title}: {feed}: none of these does that"
    for way in held:
        for spare in way:
            fewer = [pair for name in way if name != spare for pair in pairs[name]]
            assert not joins(feed.terminal, rail, [*wires, *fewer]), f"{title}: {feed}: without {spare} too"


def test_feeds_are_held_as_said_and_by_whom(cases: Any) -> None:
    for case in cases:
        contacts = {(state.name, state.phase): state.contacts for state in expand_states(case.spec)}
        wires = [{part.from_node, part.to_node} for part in case.design.parts if part.kind == "wire"]
        for scene in scenes(case):
            said = scene.statements[0]
            assert isinstance(said, row.Feeds), "a scene begins with its feeds"
            for state in states_of(case, scene.states):
                held = {node.node: node.held for node in state.nodes}
                closed = contacts[(state.state, state.phase)]
                for feed in said.feeds:
                    assert feed.held == held[feed.terminal], f"{scene.title}: {feed}"
                    check_ways(feed, closed, wires, scene.title)
            live = any(feed.held == "live" for feed in said.feeds)
            assert said.text.startswith("Nothing is live") != live, said.text


def test_lamps_burn_or_are_dark_as_said(cases: Any) -> None:
    for case in cases:
        for scene in scenes(case):
            for said in scene.statements:
                if not isinstance(said, row.Lights):
                    continue
                for state in states_of(case, scene.states):
                    reading = {lamp.lamp: lamp for lamp in state.lamps}
                    for lamp in said.lamps:
                        assert lamp.level == reading[lamp.lamp].level, f"{scene.title}: {lamp}"
                        assert abs(lamp.flux - reading[lamp.lamp].flux) <= 1e-6, f"{scene.title}: {lamp}"
                off = {lamp.lamp: lamp.kelvin or 0 for lamp in said.lamps if lamp.level == "off"}
                dark = re.findall(r"(?:^|; )([^;]*) (?:is|are) dark", said.text)
                glow = re.findall(r"(?:^|; )([^;]*) gives? no useful light", said.text)
                assert in_words(", ".join(dark)) == {ref for ref in off if off[ref] < DRAPER}, said.text
                assert in_words(", ".join(glow)) == {ref for ref in off if off[ref] >= DRAPER}, said.text


def check_flash(said: row.Flash, design: Design) -> None:
    """Hold a flash against its two states, and its words against its facts."""
    rows = {(state.state, state.phase): state for state in design.states}
    for change in said.lamps:
        for fact, name in ((change.closed, said.closed), (change.open, said.open)):
            reading = next(r for r in rows[(name.state, name.phase)].lamps if r.lamp == change.lamp)
            assert fact.level == reading.level, f"{fact}"
            assert abs(fact.flux - reading.flux) <= 1e-6, f"{fact}"
    dark = {one.lamp: (one.closed.level == "off", one.open.level == "off") for one in said.lamps}
    for clause in said.text.removesuffix(".").partition(": ")[2].split("; "):
        names, does = re.split(r" (?=comes? on|burns? |stays? |gives? no)", clause, maxsplit=1)
        if "stay" in does:
            cool = [
                (one.closed.kelvin or 0, one.open.kelvin or 0)
                for one in said.lamps
                if one.lamp in in_words(names)
            ]
            assert all(max(pair) < DRAPER for pair in cool), f"{said.text} Not dark."
        with_contact, against = "contact closes" in does, "opens" in does
        wanted = (
            (False, True)
            if with_contact
            else (True, False)
            if against
            else ("burn" not in does, "burn" not in does)
        )
        assert all(dark[name] == wanted for name in in_words(names)), said.text


def test_flashing_is_as_said(cases: Any) -> None:
    flashes = [(flash, case.design) for case in cases for g in case.explanation.groups for flash in g.flashes]
    assert len(flashes) > 100, "too few to mean anything"
    for flash, design in flashes:
        check_flash(flash, design)


def test_a_principle_is_named_only_where_it_occurs(cases: Any) -> None:
    seen: Counter[str] = Counter()
    shows = {
        "series": row.Series | row.Share,
        "meeting": row.Share,
        "lent ground": row.Serves,
        "lent feed": row.Serves,
        "both live": row.Rest,
        "resistor": row.Drop,
        "diode": row.Passes | row.Blocks,
    }
    for case in cases:
        for principle in case.explanation.principles:
            seen[principle.trick] += 1
            if principle.trick not in shows:
                continue
            where = [scene for scene in scenes(case) if set(scene.states) & set(principle.states)]
            said = [
                one for scene in where for one in scene.statements if isinstance(one, shows[principle.trick])
            ]
            assert said, f"{principle.text} shows nowhere"
            assert any(ref in one.text for ref in principle.refs for one in said), principle.text
    tricks = {*shows, "voltage", "flasher", "plain", "both ways"}
    assert set(seen) == tricks, f"these never occurred, so were not tried: {tricks - set(seen)}"


def test_a_filament_of_both_ways_carries_current_as_it_is_said(cases: Any) -> None:
    seen = 0
    for case in cases:
        signs = {
            part.ref: {reading.amps > 0 for state in case.design.states for reading in state.parts
                       if reading.ref == part.ref and abs(reading.amps) >= 1e-3}
            for part in case.design.parts if part.kind == "filament"
        }  # fmt: skip
        turning = {ref for ref, ways in signs.items() if len(ways) == 2}
        told = [one for one in case.explanation.principles if one.trick == "both ways"]
        assert {ref for one in told for ref in one.refs} == turning, "another filament, or one left out"
        for ref in turning:
            seen += 1
            ways = r"from (?:\w+ )?(\w+) to (?:\w+ )?(\w+) \((.+?\)?)\)"
            said = re.search(rf"Through {ref} it runs {ways} and {ways}\.", told[0].text)
            assert said, told[0].text
            (part,) = (one for one in case.design.parts if one.ref == ref)
            for a, b, name in (said.groups()[:3], said.groups()[3:]):
                (state,) = (one for one in case.design.states if one.full_name == name)
                (amps,) = (one.amps for one in state.parts if one.ref == ref)
                ends = (part.from_node, part.to_node) if amps > 0 else (part.to_node, part.from_node)
                assert (a, b) == tuple("ground" if end == "31" else end for end in ends), told[0].text
    assert seen > 5, "never tried"


def test_diodes_are_said_to_do_what_they_do(cases: Any) -> None:
    seen: Counter[str] = Counter()
    for case in cases:
        said = [one for scene in scenes(case) for one in scene.statements]
        passing = {one.part.ref for one in said if isinstance(one, row.Passes)}
        blocking = {one.ref for one in said if isinstance(one, row.Blocks)}
        for principle in case.explanation.principles:
            if principle.trick == "diode":
                does = principle.text.partition(". Here ")[2].removesuffix(".")
                first, passes, rest = does.partition(" pass")
                held = re.match(r"^(?:.* in some states, and )?(.*) holds? ", does)
                named = first if passes and " and hold" in rest else held[1] if held else ""
                assert in_words(first if passes else "") == passing, principle.text
                assert in_words(named) == blocking, principle.text
                kind = "pass" if not blocking else "block" if not passing else "both"
                seen["some pass, others block" if kind == "both" and passing != blocking else kind] += 1
    assert len(seen) == 4, f"not all sentences occur: {seen}"


def test_lines_keep_to_80_columns(cases: Any) -> None:
    for case in cases:
        lines = explanation_text(case.explanation).splitlines()
        assert max(len(line) for line in lines) <= 80, "wider than a terminal"
        assert all(line == line.rstrip() for line in lines), "spaces at the end of a line"
