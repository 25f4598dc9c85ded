"""One circuit of an atlas, named, judged against the behaviour that it shows, and explained."""

from dataclasses import replace
from typing import NamedTuple

from lampwright.app.checking import judge_circuit
from lampwright.app.explaining import explain_row
from lampwright.atlas.bound import AtlasBound, spec_of
from lampwright.atlas.functions import setting_words
from lampwright.atlas.gather import Functions
from lampwright.atlas.picking import Pick
from lampwright.network.circuit import Circuit
from lampwright.network.netlist import Fitted, Netlist, draw
from lampwright.problem.problem import layout_of
from lampwright.report.explain.principles import OPENING
from lampwright.results.atlas import AtlasOption
from lampwright.results.design import Design
from lampwright.spec.model import BehaviourRow, Lamp, Spec

SHOWN = ("x", "y", "z", "u", "v", "w", "s", "t")
"""Names of the lamps that show a behaviour; helper lamps h1, h2, ..."""


class JudgedPick(NamedTuple):
    """A circuit to tell of: its row, and the design that the judge made of it."""

    option: AtlasOption
    design: Design


def judged_pick(bound: AtlasBound, form: Functions, pick: Pick) -> JudgedPick:
    """Judge and explain the circuit of a pick, over the supplies at which it shows the behaviour."""
    spec = asking(bound, form, pick)
    report = judge_circuit(spec, named_circuit(bound, spec, pick), "atlas")
    told = explain_row(report.design, spec)
    best = pick.showing.best
    option = AtlasOption(
        lamps=pick.size.lamps,
        diodes=pick.size.diodes,
        circuits=pick.circuits,
        held_circuits=pick.held_circuits,
        holds=pick.holds,
        margin_stops=best.stops,
        judged_stops=report.design.margin_stops,
        joints=best.joints,
        shown_by=SHOWN[: len(form)],
        parts=report.design.parts,
        why=tuple(one.text for one in told.principles if one.text != OPENING),
    )
    return JudgedPick(option, report.design)


def asking(bound: AtlasBound, form: Functions, pick: Pick) -> Spec:
    """The spec that asks a behaviour, row by row, of the first lamps of a pick's circuit."""
    names = lamp_names(len(form), pick.size.lamps)
    rows = tuple(
        BehaviourRow(
            number=1 + setting,
            when=_when(bound, setting),
            show=tuple(
                (name, "lit" if one >> setting & 1 else "off") for name, one in zip(names, form, strict=False)
            ),
        )
        for setting in range(bound.settings)
    )
    volts = bound.volts if pick.holds else (bound.volts[1],) * 3
    spec = spec_of(replace(bound, volts=volts), pick.size, rows)
    return replace(spec, lamps=tuple(Lamp(name, bound.types, (name,)) for name in names))


def lamp_names(shown: int, lamps: int) -> tuple[str, ...]:
    """Names of so many lamps, of which the first show something."""
    return (*SHOWN[:shown], *(f"h{number}" for number in range(1, lamps - shown + 1)))


def _when(bound: AtlasBound, setting: int) -> tuple[tuple[str, str], ...]:
    on = setting_words(setting, bound.feeds)
    return tuple((name, "on" if name in on else "off") for name in bound.feed_names)


def named_circuit(bound: AtlasBound, spec: Spec, pick: Pick) -> Circuit:
    """The circuit of a pick, feeds renamed, lamps in the spec's order."""
    best = pick.showing.best
    ends = pick.survey.circuits[best.joints].ends[best.circuit].copy()
    for side in (0, 1):
        is_feed = ends[:, side] < bound.feeds
        ends[is_feed, side] = [best.feeds[vertex] for vertex in ends[is_feed, side]]
    helpers = [at for at in range(pick.size.lamps) if at not in best.lamps]
    order = [*best.lamps, *helpers]
    types = tuple(bound.types[best.fit[at]] for at in order)
    ends = ends[[*order, *range(pick.size.lamps, pick.size.parts)]]
    netlist = Netlist(tuple(range(bound.terminals)), best.joints, ends, pick.size.diodes, 0)
    return draw(netlist, Fitted(types, (bound.diode,) * pick.size.diodes, ()), layout_of(spec))
