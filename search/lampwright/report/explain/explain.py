"""Why a design does what it does: from its operating points to an explanation, statement by statement.

The parts fall into groups that act on each other; what meets at ground alone does not.
For each group the states that are one operating point are one scene: a flasher in its open
phase is a flasher that is off, and a control whose contact touches nothing of the group
makes no difference to it. Every scene is told from its numbers alone. No source: our
choice of what is worth saying.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from msgspec.structs import replace

from lampwright.report.explain.controls import Controls, Situation, title_of
from lampwright.report.explain.flash import Beats, flashes_of
from lampwright.report.explain.net import RAILS, joined, net_of
from lampwright.report.explain.principles import principles_of
from lampwright.report.explain.scene import View, statements_of
from lampwright.report.explain.words import verb
from lampwright.results.design import Design, PartRow, StateRow
from lampwright.results.explanation import Explanation, Group, Scene
from lampwright.words import listed


@dataclass(frozen=True)
class _Cluster:
    """Parts that act on each other: their terminals, and the controls with a contact at one of these."""

    parts: tuple[PartRow, ...]
    terminals: tuple[str, ...]
    controls: tuple[str, ...]


def explain_design(design: Design, controls: Controls) -> Explanation:
    """Explain a design; its states and the situations of the controls must go together, in order."""
    design = replace(design, states=tuple(_said_off(state) for state in design.states))
    groups = tuple(_group(design, cluster, controls) for cluster in _clusters(design, controls))
    supply = max(
        (node.volts for state in design.states for node in state.nodes if node.held == "live"), default=0.0
    )
    principles = principles_of(groups, supply, controls)
    return Explanation(
        spec=None,
        subject=f"design {design.rank}",
        volts=supply,
        remarks=(),
        principles=principles,
        groups=groups,
    )


def _said_off(state: StateRow) -> StateRow:
    """A state in which a lamp that is dark as well is off: light is what the words are about."""
    lamps = tuple(replace(one, level="off") if one.is_out else one for one in state.lamps)
    return replace(state, lamps=lamps)


def _clusters(design: Design, controls: Controls) -> list[_Cluster]:
    """Group the parts by what joins them, supply and ground left out."""
    parts = [part for part in design.parts if part.kind != "wire"]
    wires = [(part.from_node, part.to_node) for part in design.parts if part.kind == "wire"]
    contacts = [(contact.a, contact.b) for one in controls.situations for contact in one.closed]
    rails = {node for members in joined(wires, RAILS) for node in members if members & set(RAILS)}
    pairs = [
        pair
        for pair in (*wires, *contacts, *((part.from_node, part.to_node) for part in parts))
        if not set(pair) & rails
    ]
    free = {end for part in parts for end in (part.from_node, part.to_node)} - rails
    clusters = []
    for members in joined(pairs, sorted(free)):
        own = tuple(part for part in parts if {part.from_node, part.to_node} & members)
        if own:
            clusters.append(_cluster(own, members, design, controls))
    alone = [part for part in parts if {part.from_node, part.to_node} <= rails]
    clusters += [_cluster((part,), set(), design, controls) for part in alone]
    place = {part.ref: at for at, part in enumerate(parts)}
    return sorted(clusters, key=lambda one: place[one.parts[0].ref])


def _cluster(parts: tuple[PartRow, ...], members: set[str], design: Design, controls: Controls) -> _Cluster:
    touched = members | {end for part in parts for end in (part.from_node, part.to_node)}
    known = [node.node for node in design.states[0].nodes if node.node in touched and node.node != "31"]
    feeds = {feed.terminal for feed in controls.feeds} | {"30"}
    names = dict.fromkeys(
        contact.control
        for one in controls.situations
        for contact in one.closed
        if {contact.a, contact.b} & members
    )
    order = dict.fromkeys(feed.control for feed in controls.feeds)
    return _Cluster(
        parts, tuple(node for node in known if node in feeds), tuple(name for name in order if name in names)
    )


def _group(design: Design, cluster: _Cluster, controls: Controls) -> Group:
    """Explain one group in all its scenes."""
    lamps = tuple(part.ref for part in cluster.parts if part.kind == "filament")
    scenes = tuple(_scene(design, cluster, controls, states) for states in _alike(cluster, design, controls))
    refs = tuple(part.ref for part in cluster.parts)
    flashes = flashes_of(Beats(design.states, cluster.controls, lamps, controls))
    return Group(
        text=_intro(refs, cluster.controls),
        refs=refs,
        controls=cluster.controls,
        scenes=scenes,
        flashes=flashes,
    )


def _intro(refs: Sequence[str], controls: Sequence[str]) -> str:
    """Say what the group is, and which controls matter to it."""
    stand, them = ("stands by itself", "it") if len(refs) == 1 else ("act on each other", "them")
    if not controls:
        return f"{listed(refs)} {stand}; no control matters to {them}."
    return f"{listed(refs)} {stand}; only {listed(controls)} {verb(controls, 'matters', 'matter')} to {them}."


def _alike(cluster: _Cluster, design: Design, controls: Controls) -> list[list[int]]:
    """Put states together that are one operating point for a group: held alike, joined alike."""
    found: dict[tuple[object, ...], list[int]] = {}
    for at, (state, situation) in enumerate(zip(design.states, controls.situations, strict=True)):
        held = tuple(node.held for node in state.nodes if node.node in cluster.terminals)
        inner = [
            (contact.a, contact.b)
            for contact in situation.closed
            if {contact.a, contact.b} <= set(cluster.terminals) - set(RAILS)
        ]
        nets = frozenset(frozenset(one) for one in joined(inner, ()))
        found.setdefault((held, nets), []).append(at)
    return list(found.values())


def _scene(
    design: Design,
    cluster: _Cluster,
    controls: Controls,
    states: Sequence[int],
) -> Scene:
    situations: list[Situation] = [controls.situations[at] for at in states]
    wires = [part for part in design.parts if part.kind == "wire"]
    state = design.states[states[0]]
    view = View(
        net=net_of(cluster.parts, wires, state, situations[0]),
        state=state,
        terminals=cluster.terminals,
        situations=tuple(situations),
        known=controls,
        wires=tuple((wire.from_node, wire.to_node) for wire in wires),
    )
    title = title_of(situations, cluster.controls, controls)
    return Scene(title=title, states=tuple(one.name for one in situations), statements=statements_of(view))
