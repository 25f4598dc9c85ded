"""Explaining a stored design, or a circuit of the user's own."""

from collections.abc import Callable
from dataclasses import replace
from math import isinf
from pathlib import Path

from msgspec import structs

from lampwright.app.checking import check_circuit, helped_spec
from lampwright.app.controls import controls_of
from lampwright.app.designs import Stored, design_of_rank, refuse_disagreeing, stored_ranking
from lampwright.judge.design_rows import spec_taking, with_filaments
from lampwright.network.circuit import Circuit
from lampwright.network.circuit_file import read_circuit
from lampwright.network.layout import Layout
from lampwright.network.netlist import Fitted, draw, netlist_of
from lampwright.problem.problem import layout_of
from lampwright.problem.reading import helped, read_spec
from lampwright.report.explain.explain import explain_design
from lampwright.report.explain.none import AskedLight, explain_none
from lampwright.report.explain.point import joined
from lampwright.report.explain.principles import OPENING
from lampwright.report.topics.takes import taken_words
from lampwright.results.design import Design
from lampwright.results.explanation import Explanation, Principle, StateName
from lampwright.results.ranking import CheckReport, Ranking, SpecReference
from lampwright.spec.model import Spec, with_helpers
from lampwright.spec.states import expand_states


def explain_circuit(spec_path: Path, circuit_path: Path) -> Explanation:
    """Explain a circuit file. Raises InputError for either file."""
    spec = helped_spec(spec_path, circuit_path)
    circuit = read_circuit(circuit_path, layout_of(spec))
    checked = under_own_names(spec, circuit, circuit_path.name, check_circuit)
    remarks: tuple[str, ...] = ()
    if checked.failures:
        where = f"lampwright check {spec_path} {circuit_path}"
        remarks = (f"Mind that this circuit does not meet the spec. To see where: {where}",)
    remarks = (*_taken(checked.design), *remarks)
    return _titled(explain_design(checked.design, controls_of(spec)), spec, circuit_path.name, remarks)


def explain_rank(spec_path: Path, rank: int | None, out: Path) -> Explanation:
    """Explain the design of this rank in the stored result of a spec.

    Without a rank the first, or, where the search found nothing, why not. Raises InputError where
    there is no such result or design, or the result is another spec's.
    """
    spec = read_spec(spec_path)
    ranking = stored_ranking(spec, spec_path, out)
    if rank is None and ranking.verdict.kind == "none":
        near = ranking.shortfall.near_misses if ranking.shortfall else ()
        refuse_disagreeing([one.design for one in near], Stored(spec, spec_path, out))
        return explain_why_not(ranking, spec)
    instead = f"explain a circuit of your own: lampwright explain {spec_path} CIRCUIT"
    design = design_of_rank(ranking, Stored(spec, spec_path, out), rank or 1, instead)
    subject = f"design {rank or 1} of {len(ranking.designs)}"
    return _titled(_explained(design, helped(spec, design.parts)), spec, subject, _taken(design))


def explain_row(design: Design, spec: Spec) -> Explanation:
    """Explain a design of a search or a check of this spec, as rows."""
    return _titled(_explained(design, spec), spec, f"design {design.rank}", _taken(design))


def _taken(design: Design) -> tuple[str, ...]:
    """Which of the spec's choices a design meets, in a sentence, if there are any."""
    return (f"It takes {'. '.join(taken_words(design.takes))}.",) if design.takes else ()


def explain_why_not(ranking: Ranking, spec: Spec) -> Explanation:
    """Explain why the search for this spec found nothing."""
    spec = with_helpers(spec, ranking.helper_lamps)
    told_of = spec_taking(spec, ranking.shortfall.takes if ranking.shortfall else ())
    asked = tuple(
        AskedLight(
            lamp,
            StateName(state=state.name, phase=state.phase),
            word,
            band.low,
            None if isinf(band.high) else band.high,
        )
        for state in expand_states(told_of)
        for lamp, word, band in zip(layout_of(spec).filaments, state.words, state.bands, strict=True)
        if band is not None
    )
    why = explain_none(_with_filaments(ranking, spec), controls_of(spec), asked)
    reference = SpecReference(name=spec.name, title=spec.title, digest=spec.digest)
    opening = (Principle(trick="voltage", text=OPENING, refs=(), states=()),)
    return Explanation(
        spec=reference,
        subject="no circuit",
        volts=spec.supply.volts[1],
        remarks=(),
        principles=opening,
        groups=(),
        why_not=why,
    )


def _explained(design: Design, spec: Spec) -> Explanation:
    """Explain a design, which may have been stored before rows had all that is told."""
    return explain_design(with_filaments(design, layout_of(spec), spec), controls_of(spec))


def _with_filaments(ranking: Ranking, spec: Spec) -> Ranking:
    """The ranking whose near misses have all that is told."""
    shortfall = ranking.shortfall
    if shortfall is None:
        return ranking
    layout = layout_of(spec)
    near = tuple(
        structs.replace(one, design=with_filaments(one.design, layout, spec)) for one in shortfall.near_misses
    )
    return structs.replace(ranking, shortfall=structs.replace(shortfall, near_misses=near))


def _titled(explanation: Explanation, spec: Spec, subject: str, remarks: tuple[str, ...]) -> Explanation:
    return structs.replace(
        explanation,
        spec=SpecReference(name=spec.name, title=spec.title, digest=spec.digest),
        subject=subject,
        remarks=remarks,
    )


def under_own_names(
    spec: Spec, circuit: Circuit, file: str, judged: Callable[[Spec, Circuit, str], CheckReport]
) -> CheckReport:
    """Judge a circuit as the search would draw it, then give everything the user's own names again."""
    layout = layout_of(spec)
    drawn = _drawn(circuit, layout)
    report = judged(spec, drawn, file)
    parts = [part for part in circuit.parts if part.kind != "wire"]
    ref = {new.ref: old.ref for new, old in zip(drawn.parts, parts, strict=False)}
    joint = {f"j{number}": name for number, name in enumerate(_joints(circuit, layout), 1)}
    rows = tuple(
        structs.replace(
            part,
            ref=ref.get(part.ref, part.ref),
            from_node=joint.get(part.from_node, part.from_node),
            to_node=joint.get(part.to_node, part.to_node),
        )
        for part in report.design.parts
    )
    # joints are not told from the readings of states, and keep their names
    states = tuple(
        structs.replace(
            state, parts=tuple(structs.replace(one, ref=ref.get(one.ref, one.ref)) for one in state.parts)
        )
        for state in report.design.states
    )
    return structs.replace(report, design=structs.replace(report.design, parts=rows, states=states))


def _drawn(circuit: Circuit, layout: Layout) -> Circuit:
    """Draw a circuit as the search does: joints numbered, wires between terminals alone."""
    netlist = netlist_of(circuit, layout)
    what = Fitted(
        tuple(part.type or "" for part in circuit.of_kind("filament")),
        tuple(part.type or "" for part in circuit.of_kind("diode")),
        tuple(part.ohms or 0.0 for part in circuit.of_kind("resistor")),
    )
    watts = [part.watts for part in circuit.of_kind("resistor")]
    parts = draw(netlist, what, layout).parts
    return Circuit(
        tuple(replace(part, watts=watts.pop(0)) if part.kind == "resistor" else part for part in parts)
    )


def _joints(circuit: Circuit, layout: Layout) -> list[str]:
    """The joints of a circuit in the order in which they are numbered; those wired together are one."""
    wires = [(part.from_node, part.to_node) for part in circuit.of_kind("wire")]
    nodes = [end for part in circuit.parts for end in (part.from_node, part.to_node)]
    groups = joined(wires, nodes)
    return sorted(min(members) for members in groups if not members & set(layout.terminals))
