"""Judging a circuit written by hand: every requirement and rating, and what else is worth saying."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from msgspec import structs

from lampwright import __version__
from lampwright.assess.assess import Assessor
from lampwright.assess.resistances import rounded_inward
from lampwright.assess.uncertainty import hangs_on
from lampwright.errors import Finding, InputError
from lampwright.judge.design_rows import HELD_BY, Presenter, drawn_parts, with_filaments
from lampwright.judge.judge import Judge, Judgement, ShortedError
from lampwright.judge.minimality import DECIMALS
from lampwright.judge.ranging import Ranger
from lampwright.network.circuit import Circuit
from lampwright.network.circuit_file import read_parts
from lampwright.network.netlist import Netlist, netlist_of
from lampwright.network.zones import conductors
from lampwright.parts.series import series_tolerance, stock_wattages
from lampwright.parts.tables import part_data_digest
from lampwright.problem.problem import Choice, Problem, assumed, spec_reference, way_problems
from lampwright.problem.reading import helped, problem_of_circuit, read_spec, spelled_as
from lampwright.report.topics.takes import taken_words
from lampwright.results.design import ComparedRow, Design
from lampwright.results.ranking import FORMAT, CheckReport
from lampwright.searching.verdict import CAUTIONS_OF
from lampwright.solve.shelf import with_circuit_types
from lampwright.spec.model import Spec
from lampwright.words import listed

UNSTATED_SERIES = "E12"
"""Whose tolerance a resistor has where the spec allows none."""


def helped_spec(spec_path: Path, circuit_path: Path) -> Spec:
    """The spec of a file, with as many helper lamps as a circuit file has, and its lamps.

    Raises InputError for either.
    """
    spec = read_spec(spec_path)
    spec = replace(spec, types=with_circuit_types(spec.types, circuit_path))
    return spec if spec.extras.lamps is None else helped(spec, read_parts(circuit_path))


def check_circuit(spec: Spec, circuit: Circuit, file: str = "circuit") -> CheckReport:
    """Judge and assess a circuit. Raises InputError as `judge_circuit` does."""
    circuit = spelled_as(spec, circuit)
    judge, report = _in_best_way(spec, circuit, file)
    netlist, choice = netlist_of(circuit, judge.problem.layout), choice_of_parts(judge.problem, circuit)
    design = Assessor(judge).assess(report.design, netlist, choice)
    others = () if report.meets else _other_resistance(judge, netlist, choice, design)
    return structs.replace(report, design=design, remarks=(*report.remarks, *others))


def _other_resistance(judge: Judge, netlist: Netlist, choice: Choice, design: Design) -> tuple[str, ...]:
    """Which resistance would make a circuit meet the spec that it misses, if any of the range does."""
    spec = judge.problem.spec
    crowded = spec.place.most_conductors is not None and design.conductors > spec.place.most_conductors
    if not netlist.resistors or spec.extras.resistors is None or crowded:
        return ()
    ranger = Ranger(judge)
    outcome = ranger.decide(netlist, [choice])
    if outcome.decision == "refused":
        return ("No resistance within the spec's range makes this circuit meet it.",)
    if outcome.choice is None:
        return ()
    refs = [part.ref for part in design.parts if part.kind == "resistor"]
    widths = ranger.widths(netlist, outcome.choice, outcome.ohms)
    spans = [rounded_inward(*width) for width in widths]
    told = [f"{ref} from {span.low:g} to {span.high:g} Ω" for ref, span in zip(refs, spans, strict=True)]
    others = ", each with the others near the middle" if len(told) > 1 else ""
    return (f"It would meet the spec with {listed(told)}{others}.",)


def judge_circuit(spec: Spec, circuit: Circuit, file: str = "circuit") -> CheckReport:
    """Judge a circuit against a spec, and no more: its design is not assessed.

    Raises InputError for types not in the catalogue and where wires short the supply.
    """
    return _in_best_way(spec, spelled_as(spec, circuit), file)[1]


def _in_best_way(spec: Spec, circuit: Circuit, file: str) -> tuple[Judge, CheckReport]:
    """The judge and the report of the way that a circuit meets with most margin, or else misses by least."""
    judges = [Judge(problem) for problem in way_problems(study_of(spec, circuit, file))]
    reports = [(judge, _judged(judge, circuit, file)) for judge in judges]
    judge, report = max(reports, key=lambda one: (one[1].meets, round(one[1].design.margin_stops, DECIMALS)))
    if len(reports) == 1:
        return judge, report
    met = sum(one.meets for _, one in reports)
    ways = f"{len(reports)} ways in which the spec can be taken"
    if met:
        said = f"The circuit meets {met} of the {ways}"
        said += ", and is told in the one with most margin" if met > 1 else ""
    else:
        said = f"The circuit meets none of the {ways}, and is told in the one that it misses by least"
    remark = f"{said}. {'. '.join(taken_words(report.design.takes))}"
    return judge, structs.replace(report, remarks=(remark, *report.remarks))


def _judged(judge: Judge, circuit: Circuit, file: str) -> CheckReport:
    problem, spec = judge.problem, judge.problem.spec
    netlist = netlist_of(circuit, problem.layout)
    choice = choice_of_parts(problem, circuit)
    try:
        judgement = judge.judge(netlist, choice)
    except ShortedError:
        said = "its wires join the supply to ground in some state of the controls"
        raise InputError(
            [Finding(file, said, "take out the wire that joins a live feed to ground")]
        ) from None
    presenter = Presenter(judge)
    crossing = conductors(netlist, problem.zoned)
    design = presenter.judged(netlist, choice, judgement, crossing, circuit)
    design = with_filaments(_as_written(design, circuit), problem.layout, spec)
    failures = (
        *_light_failures(presenter, netlist, judgement, design.compared),
        *_rating_failures(design, judgement),
    )
    most = spec.place.most_conductors
    if most is not None and crossing > most:
        failures = (*failures, f"{crossing} conductors through the coupling, more than {most}")
    return CheckReport(
        format=FORMAT,
        program=__version__,
        part_data=part_data_digest(),
        spec=spec_reference(problem),
        meets=not failures,
        failures=failures,
        remarks=(
            *_remarks(spec, circuit, netlist),
            *_filling_remarks(problem, judgement),
            *_corner_remarks(judgement),
        ),
        design=design,
        cautions=CAUTIONS_OF[design.source],
    )


def study_of(spec: Spec, circuit: Circuit, file: str) -> Problem:
    """The problem of judging one circuit, whose types and values are all that is on offer."""
    problem = problem_of_circuit(spec, circuit, file)
    ohms = tuple(sorted({part.ohms for part in circuit.of_kind("resistor") if part.ohms}))
    watts = problem.part_options.watts or stock_wattages()
    tolerance = problem.part_options.ohms_tolerance or series_tolerance(UNSTATED_SERIES)
    given = [part.watts for part in circuit.of_kind("resistor")]
    limit = max((w for w in given if w), default=max(watts))
    part_options = replace(problem.part_options, ohms=ohms, watts=watts, ohms_tolerance=tolerance)
    return replace(problem, part_options=part_options, limits=problem.limits._replace(watts=limit))


def choice_of_parts(problem: Problem, circuit: Circuit) -> Choice:
    """What is fitted in a circuit, among what its problem offers."""
    names = [diode.name for diode in problem.part_options.diode_types]
    diodes = [names.index(part.type or "") for part in circuit.of_kind("diode")]
    values = [problem.part_options.ohms.index(part.ohms or 0.0) for part in circuit.of_kind("resistor")]
    return Choice((*[0] * len(problem.layout.lamps), *diodes, *values))


def _as_written(design: Design, circuit: Circuit) -> Design:
    """The design with the builder's own names, nodes and wattages."""
    chosen = [row.watts for row in design.parts if row.kind == "resistor"]
    given = [part.watts for part in circuit.of_kind("resistor")]
    watts = tuple(own or found or 0.0 for own, found in zip(given, chosen, strict=True))
    limits = tuple(
        structs.replace(rating, ref=part.ref, limit=own or rating.limit)
        for rating, part, own in zip(
            design.ratings.resistors, circuit.of_kind("resistor"), given, strict=True
        )
    )
    diodes = tuple(
        structs.replace(rating, ref=part.ref)
        for rating, part in zip(design.ratings.diodes, circuit.of_kind("diode"), strict=True)
    )
    ratings = structs.replace(design.ratings, resistors=limits, diodes=diodes)
    return structs.replace(
        design, parts=drawn_parts(circuit, watts), ratings=ratings, wires=len(circuit.of_kind("wire"))
    )


def _light_failures(
    presenter: Presenter, netlist: Netlist, judgement: Judgement, compared: Sequence[ComparedRow]
) -> tuple[str, ...]:
    problem, verdicts = presenter.problem, judgement.verdicts
    lines = []
    for state, lamp in zip(*np.nonzero(verdicts.margin < 0), strict=True):
        name, word = problem.layout.filaments[int(lamp)], problem.states[int(state)].words[int(lamp)]
        corner = presenter.corner_name(int(verdicts.margin_corner[state, lamp]), netlist, judgement)
        missed = f"missed by {-verdicts.margin[state, lamp]:.2f} stops at {corner}"
        lines.append(f'{problem.states[int(state)].full_name}: "{name}" should be {word}: {missed}')
    for one in compared:
        if one.margin_stops < 0.0:
            what = f"{one.lamp} and {one.than} should match" if one.kind == "same" else ""
            what = what or f'"{one.lamp}" should be {one.wanted}'
            lines.append(f"{one.state}: {what}: missed by {-one.margin_stops:.2f} stops at {one.corner}")
    if judgement.unconverged:
        lines.append(f"{judgement.unconverged} operating points could not be solved")
    return tuple(lines)


def _rating_failures(design: Design, judgement: Judgement) -> tuple[str, ...]:
    lines = [
        f"{r.ref}: {r.worst:.3g} {r.unit} is over its {r.limit:g} {r.unit}, in {r.state} at {r.corner}"
        for r in design.ratings.over
    ]
    if not lines and not judgement.met and judgement.margin >= 0 and not judgement.unconverged:
        lines.append("a rating is exceeded at some corner")
    return tuple(lines)


def _filling_remarks(problem: Problem, judgement: Judgement) -> tuple[str, ...]:
    """What the circuit is worth in each filling of its lamps, and on which it hangs."""
    if len(judgement.cases) == 1:
        return ()
    told = []
    for case in judgement.cases:
        held = " and ".join(f"{name} {HELD_BY[filling]}" for name, filling in assumed(problem, case.choice))
        word = "meets the spec with" if case.met else "misses it, margin"
        told.append(f"{held}: {word} {case.margin:.2f} stops")
    hanging = hangs_on(problem, judgement.cases)
    lead = "What these bulbs hold is not known, gas or vacuum; both were tried"
    return (f"{lead}: {'; '.join(told)}", *((f"The circuit {hanging}",) if hanging else ()))


def _corner_remarks(judgement: Judgement) -> tuple[str, ...]:
    """That not every corner was tried, where a net has too many parts for that."""
    if not judgement.verdicts.sampled[0]:
        return ()
    return (
        "So many parts hang together that not every corner of their tolerances was tried: those that the way "
        "they are joined makes worst, and those with one part unlike the others. A margin may be less than "
        "is told here.",
    )


def _remarks(spec: Spec, circuit: Circuit, netlist: Netlist) -> tuple[str, ...]:
    lines = []
    for lamp in spec.lamps:
        used = {part.type for part in circuit.of_kind("filament") if part.lamp == lamp.name}
        if not used <= set(lamp.choose):
            lines.append(
                f"{lamp.name}: {', '.join(sorted(t or '' for t in used))} is not among the spec's choices"
            )
    for kind, allowed, count in (
        ("resistors", spec.extras.resistors.most if spec.extras.resistors else 0, netlist.resistors),
        ("diodes", spec.extras.diodes.most if spec.extras.diodes else 0, netlist.diodes),
        ("joints", spec.bounds.joints, netlist.joints),
        ("wires between terminals", spec.bounds.wires, netlist.wires),
    ):
        if count > allowed:
            lines.append(f"{count} {kind}, where the spec's search allows {allowed}")
    return tuple(lines)
