"""Why a design does what it does: from its operating points to an explanation, statement by statement.

The parts fall into groups that act on each other; what meets at ground alone does not.
For each group the states that are one operating point are one scene: a flasher in its open
phase is a flasher that is off, and a control whose contact touches nothing of the group
makes no difference to it. Every scene is told from its numbers alone. What a flasher changes is
told as well: the closed phase beside the open one, all else as it is. No source: our
words, and our choice of what is worth saying.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec.structs import replace

from lampwright.report.explain.controls import Controls
from lampwright.report.explain.point import RAILS, OperatingPoint, Pair, flows_of, hanging, joined, on_the_way
from lampwright.report.explain.principles import principles_of
from lampwright.report.explain.statements import lamp_fact, statements_of
from lampwright.report.explain.words import verb
from lampwright.report.glow import glows
from lampwright.results.design import Design, PartRow, StateRow
from lampwright.results.explanation import Explanation, Flash, Group, LampChange, Scene
from lampwright.words import listed


def explain_design(design: Design, controls: Controls) -> Explanation:
    """Explain a design; its states and the situations of the controls must go together, in order."""
    design = replace(design, states=tuple(_said_off(state) for state in design.states))
    groups = tuple(_group(design, own, members, controls) for own, members in _groups(design, controls))
    supply = max(
        (node.volts for state in design.states for node in state.nodes if node.held == "live"), default=0.0
    )
    return Explanation(
        spec=None,
        subject=f"design {design.rank}",
        volts=supply,
        remarks=(),
        principles=principles_of(groups, design, supply, controls),
        groups=groups,
    )


def _said_off(state: StateRow) -> StateRow:
    """A state in which a lamp that is dark as well is off: light is what the words are about."""
    lamps = tuple(replace(one, level="off") if one.is_out else one for one in state.lamps)
    return replace(state, lamps=lamps)


def _ends(parts: Sequence[PartRow]) -> list[Pair]:
    return [(part.from_node, part.to_node) for part in parts]


def _wires(design: Design) -> list[Pair]:
    return _ends([part for part in design.parts if part.kind == "wire"])


def _groups(design: Design, controls: Controls) -> list[tuple[list[PartRow], set[str]]]:
    """Group the parts by what joins them, supply and ground left out: each with the nodes that do.

    A ground that is lost in some state joins what hangs by it.
    """
    parts = [part for part in design.parts if part.kind != "wire"]
    wires = _wires(design)
    contacts = [(a, b) for one in controls.situations for _, a, b in one.closed]
    rails = {node for members in joined(wires, list(RAILS)) for node in members if members & set(RAILS)}
    hung = [hanging(part, wires, one) for part in parts for one in controls.situations if one.hung]
    ends = {part.ref: {part.from_node, part.to_node} - rails for part in parts}
    for one in hung:
        ends[one.ref] |= {one.from_node, one.to_node} - rails
    pairs = [pair for pair in (*wires, *contacts) if not set(pair) & rails]
    pairs += [pair for own in ends.values() for pair in pairwise(sorted(own))]
    free = sorted(set().union(*ends.values()))
    groups = [
        ([part for part in parts if ends[part.ref] & members], members) for members in joined(pairs, free)
    ]
    groups += [([part], set()) for part in parts if not ends[part.ref]]
    return sorted((pair for pair in groups if pair[0]), key=lambda pair: parts.index(pair[0][0]))


def _group(design: Design, parts: Sequence[PartRow], members: set[str], controls: Controls) -> Group:
    """Explain one group in all its scenes: its terminals, and the controls with a contact at one of these."""
    touched = members | {end for pair in _ends(parts) for end in pair}
    fed = {feed.terminal for feed in controls.feeds} | {"30"}
    terminals = tuple(node.node for node in design.states[0].nodes if node.node in touched & fed - {"31"})
    at_work = {name for one in controls.situations for name, a, b in one.closed if {a, b} & members}
    names = tuple(dict.fromkeys(feed.control for feed in controls.feeds if feed.control in at_work))
    lamps = [part.ref for part in parts if part.kind == "filament"]
    refs = tuple(part.ref for part in parts)
    stand, them = ("stands by itself", "it") if len(refs) == 1 else ("act on each other", "them")
    matter = f"only {listed(names)} {verb(names, 'matters', 'matter')}" if names else "no control matters"
    return Group(
        text=f"{listed(refs)} {stand}; {matter} to {them}.",
        refs=refs,
        controls=names,
        scenes=tuple(
            _scene(_point(design, parts, terminals, controls, states), names)
            for states in _alike(design, refs, terminals, controls)
        ),
        flashes=tuple(_flashes(design.states, names, lamps, controls)) if lamps else (),
    )


def _alike(
    design: Design, refs: Sequence[str], terminals: Sequence[str], controls: Controls
) -> list[list[int]]:
    """Put states together that are one operating point for a group: held alike, joined alike."""
    found: dict[tuple[object, ...], list[int]] = {}
    for at, (state, situation) in enumerate(zip(design.states, controls.situations, strict=True)):
        held = tuple(node.held for node in state.nodes if node.node in terminals)
        inner = [(a, b) for _, a, b in situation.closed if {a, b} <= set(terminals) - set(RAILS)]
        nets = frozenset(frozenset(one) for one in joined(inner, ()))
        hung = tuple(some for one in situation.hung if (some := tuple(ref for ref in one if ref in refs)))
        found.setdefault((held, nets, situation.failed, hung), []).append(at)
    return list(found.values())


def _point(
    design: Design,
    parts: Sequence[PartRow],
    terminals: tuple[str, ...],
    controls: Controls,
    states: list[int],
) -> OperatingPoint:
    """The operating point of a group in some states."""
    state = design.states[states[0]]
    situations = tuple(controls.situations[at] for at in states)
    wires = _wires(design)
    left = [part for part in parts if part.ref not in situations[0].failed]
    whole = [hanging(part, wires, situations[0]) for part in left]
    flows = flows_of(whole, wires, state, situations[0])
    return OperatingPoint(
        parts=flows,
        flowing=on_the_way(flows),
        terminals=terminals,
        state=state,
        situations=situations,
        controls=controls,
        wires=tuple(wires),
    )


def _scene(point: OperatingPoint, names: Sequence[str]) -> Scene:
    return Scene(
        title=point.controls.title(point.situations, names),
        states=tuple(one.name for one in point.situations),
        statements=tuple(statements_of(point)),
    )


def _flashes(
    states: Sequence[StateRow], names: Sequence[str], lamps: Sequence[str], controls: Controls
) -> Iterator[Flash]:
    """Say what each flasher does to the lamps in each setting of the other controls that matter."""
    for flasher in names:
        if controls.kind(flasher) != "flasher":
            continue
        others = [name for name in names if name != flasher]
        phases: dict[tuple[str, ...], dict[str, int]] = {}
        for at, one in enumerate(controls.situations):
            if one.damage:
                continue
            phases.setdefault(tuple(map(one.value, others)), {}).setdefault(one.value(flasher), at)
        for places in phases.values():
            closed, opened = places["closed"], places["open"]
            situation = controls.situations[closed]
            rest = f" and {controls.title([situation], others)}" if others else ""
            changes = tuple(_change(states[closed], states[opened], lamp) for lamp in lamps)
            yield Flash(
                text=f"With {flasher} on{rest}: {_changes(changes)}.",
                flasher=flasher,
                setting=f"with {flasher} on{rest}",
                closed=situation.name,
                open=controls.situations[opened].name,
                lamps=changes,
            )


def _change(closed: StateRow, opened: StateRow, lamp: str) -> LampChange:
    facts = [lamp_fact(one) for state in (closed, opened) for one in state.lamps if one.lamp == lamp]
    return LampChange(lamp=lamp, closed=facts[0], open=facts[1])


def _changes(changes: Sequence[LampChange]) -> str:
    """Sort the lamps by what they do from phase to phase."""
    on = [one.lamp for one in changes if one.closed.level != "off" == one.open.level]
    against = [one.lamp for one in changes if one.open.level != "off" == one.closed.level]
    burning = [one for one in changes if "off" not in (one.closed.level, one.open.level)]
    steady = [one.lamp for one in burning if _is_even(one)]
    uneven = [one.lamp for one in burning if not _is_even(one)]
    off = [one for one in changes if one.closed.level == "off" == one.open.level]
    glow = [one.lamp for one in off if glows(one.closed.kelvin) or glows(one.open.kelvin)]
    dark = [one.lamp for one in off if one.lamp not in glow]
    it = "it" if on else "the contact"
    said = (
        (on, "comes on when the contact closes", "come on when the contact closes"),
        (against, f"comes on when {it} opens", f"come on when {it} opens"),
        (steady, "burns on steadily", "burn on steadily"),
        (uneven, "burns in both phases, not equally bright", "burn in both phases, not equally bright"),
        (dark, "stays dark", "stay dark"),
        (glow, "gives no useful light in either phase", "give no useful light in either phase"),
    )
    return "; ".join(f"{listed(lamps)} {verb(lamps, one, more)}" for lamps, one, more in said if lamps)


def _is_even(change: LampChange) -> bool:
    """Whether a lamp is as bright in one phase as in the other, to a tenth."""
    closed, opened = change.closed.flux, change.open.flux
    return abs(closed - opened) <= 0.1 * max(closed, opened)
