"""A design as a lesson: under plain names, simulated, explained, graded, with what the spec asks of it.

The names of a spec's lamps may tell what they do, so lamps are L1, L2 and so on, and filaments of one lamp
L3a and L3b, in the order of the spec.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from lampwright.app.checking import judge_circuit
from lampwright.app.controls import controls_of
from lampwright.app.observing import Observer, asking_nothing_of
from lampwright.judge.design_rows import part_of
from lampwright.network.circuit import SUPPLY
from lampwright.network.circuit_file import ordered_circuit
from lampwright.problem.problem import layout_of
from lampwright.problem.reading import helped
from lampwright.report import si
from lampwright.report.explain.controls import Controls
from lampwright.report.explain.explain import explain_design
from lampwright.report.schematic.feed import said_of
from lampwright.results.design import Design, PartRow, StateRow
from lampwright.results.explanation import Explanation
from lampwright.results.ranking import SpecReference
from lampwright.results.worksheet import ClassQuestion, WorksheetCircuit
from lampwright.solve.shelf import shelf_of
from lampwright.spec.model import Spec, filament_names, terminals
from lampwright.teaching.grades import grade_of
from lampwright.teaching.lights import Lights, is_sure
from lampwright.teaching.near_misses import is_joint, same_shape
from lampwright.teaching.order import shuffled
from lampwright.teaching.questions import ANY, Lesson

OPENING = "voltage"
"""The trick that every explanation opens with: what a voltage is."""
MOST_VARIATIONS = 12
"""Near misses that are judged for one that may be drawn."""


@dataclass(frozen=True)
class LessonCase:
    """A circuit for a worksheet; spec: under plain names, asking nothing. wanted: see `questions.draw`."""

    title: SpecReference
    spec: Spec
    names: tuple[tuple[str, str], ...]
    design: Design
    controls: Controls
    explain: tuple[str, ...]
    lesson: Lesson
    grade: int
    wanted: tuple[Lights, ...]

    def circuit(self, number: int, questions: Sequence[ClassQuestion], *, is_drawn: bool) -> WorksheetCircuit:
        """The rows of a worksheet for it."""
        return WorksheetCircuit(
            number=number,
            grade=self.grade,
            is_drawn=is_drawn,
            spec=self.title,
            names=self.names,
            bulbs=bulbs(self.spec, self.design.parts),
            volts=self.spec.supply.volts,
            amps=max(_taken(state, self.design.parts) for state in self.design.states),
            feeds=feed_words(self.spec, self.controls),
            design=self.design,
            questions=tuple(questions),
        )


def case_of(spec: Spec, design: Design, seed: int) -> LessonCase:
    """The first design of a spec as a lesson. Raises InputError for types not in the catalogue."""
    spec = helped(spec, [part_of(row) for row in design.parts])
    plain_of = plain_names(spec)
    lamp_of, names = plain_of.lamps, plain_of.filaments
    plain = asking_nothing_of(
        replace(
            spec,
            lamps=tuple(
                replace(one, name=lamp_of[one.name], filaments=tuple(names[own] for own in one.filaments))
                for one in spec.lamps
            ),
        )
    )
    parts = [
        replace(
            part_of(row),
            ref=names.get(row.ref, row.ref) if row.kind == "filament" else row.ref,
            lamp=lamp_of[row.lamp] if row.lamp else None,
        )
        for row in design.parts
    ]
    title = SpecReference(name=spec.name, title=spec.title, digest=spec.digest)
    circuit = ordered_circuit(parts, layout_of(plain))
    observer = Observer(plain, circuit)
    case = _case(plain, judge_circuit(plain, circuit, spec.name).design, observer, title, seed)
    sound = [state for state in design.states if not state.damage]
    wanted = tuple(map(_wanted, sound, case.lesson.seen.lights))
    called = tuple((new, old) for old, new in names.items())
    return replace(case, names=called, wanted=wanted)


@dataclass(frozen=True)
class PlainNames:
    """The plain names of lamps, and those of filaments, by their own."""

    lamps: Mapping[str, str]
    filaments: Mapping[str, str]


def plain_names(spec: Spec) -> PlainNames:
    """Name the lamps plainly; no name begins as that of a control or a terminal does."""
    taken = {*terminals(spec), *(one.name for one in spec.controls)}
    prefix = next(one for one in ("L", "La", "Lamp") if not any(name.startswith(one) for name in taken))
    lamps = {one.name: f"{prefix}{at}" for at, one in enumerate(spec.lamps, 1)}
    filaments = {
        own: lamps[one.name] + ("" if len(one.filaments) == 1 else "abcd"[at])
        for one in spec.lamps
        for at, own in enumerate(one.filaments)
    }
    return PlainNames(lamps, filaments)


def _case(spec: Spec, design: Design, observer: Observer, title: SpecReference, seed: int) -> LessonCase:
    """A judged circuit as a lesson in which nothing particular is wanted."""
    controls = controls_of(spec)
    told = explain_design(design, controls)
    joints = {end for part in design.parts for end in (part.from_node, part.to_node) if is_joint(end)}
    seen = observer(design.parts)
    if seen is None:
        raise RuntimeError(f"{spec.name}: a design that was found cannot be solved")
    everything = range(len(design.states))
    lesson = Lesson(
        parts=design.parts,
        lamps=filament_names(spec),
        nodes=(*terminals(spec), *sorted(joints)),
        settings=tuple(settings_words(controls, [at], whole=True) for at in everything),
        seen=seen,
        title=lambda some: settings_words(controls, some),
        simulate=observer,
        seed=seed,
    )
    return LessonCase(
        title=title,
        spec=spec,
        names=(),
        design=design,
        controls=controls,
        explain=_paragraphs(told),
        lesson=lesson,
        grade=grade_of(len(design.states), {one.trick for one in told.principles}),
        wanted=seen.lights,
    )


def _paragraphs(told: Explanation) -> tuple[str, ...]:
    return tuple(one.text for one in told.principles if one.trick != OPENING)


def _wanted(state: StateRow, lights: Lights) -> Lights:
    """What a spec asks of the lamps in a state, as it is seen; `any` also where that is not to be told."""
    return tuple(
        light if reading.wanted != ANY and light in ("burns", "dark") else ANY
        for reading, light in zip(state.lamps, lights, strict=True)
    )


def settings_words(controls: Controls, some: Sequence[int], *, whole: bool = False) -> str:
    """Say some settings, by number, and of the controls only what makes a difference, unless whole."""
    names = [name for name, _ in controls.situations[0].setting]
    chosen = {tuple(controls.situations[at].value(name) for name in names) for at in some}
    every = {tuple(one.value(name) for name in names) for one in controls.situations}
    matter = [
        name
        for column, name in enumerate(names)
        if whole
        or any(_without(one, column) in {_without(two, column) for two in chosen} for one in every - chosen)
    ]
    return controls.title([controls.situations[at] for at in some], matter)


def _without(values: tuple[str, ...], column: int) -> tuple[str, ...]:
    return values[:column] + values[column + 1 :]


def bulbs(spec: Spec, parts: Sequence[PartRow]) -> tuple[str, ...]:
    """What a circuit is made of, a line for each lamp and extra part, as it stands on the parts."""
    shelf, lines = shelf_of(spec), []
    for lamp in spec.lamps:
        own = [part for part in parts if part.kind == "filament" and part.lamp == lamp.name]
        rated = [
            f"{si.volts(one.test_volts)} {si.amps(one.watts / one.test_volts)}"
            for one in shelf.lamp(own[0].type or "").filaments
        ]
        named = " and ".join(
            f"{name} {said}" if len(own) > 1 else said
            for name, said in zip(lamp.filaments, rated, strict=True)
        )
        lines.append(f"{lamp.name}: lamp {own[0].type}, {named}")
    lines += [f"{one.ref}: resistor {si.ohms(one.ohms or 0.0)}" for one in parts if one.kind == "resistor"]
    return (*lines, *(f"{one.ref}: diode {one.type}" for one in parts if one.kind == "diode"))


def feed_words(spec: Spec, controls: Controls) -> tuple[str, ...]:
    """What feeds each terminal."""
    live = (f"{SUPPLY}: always live",) if spec.supply.always_live else ()
    return (*(f"{one.terminal}: {said_of(one)} “{one.control}”" for one in controls.feeds), *live)


def _taken(state: StateRow, parts: Sequence[PartRow]) -> float:
    """What the supply gives in a state [A]: what leaves the live nodes."""
    live = {one.node for one in state.nodes if one.held == "live"}
    amps = {one.ref: one.amps for one in state.parts}
    flows = [(one, amps.get(one.ref, 0.0)) for one in parts]
    return sum(amp * ((one.from_node in live) - (one.to_node in live)) for one, amp in flows)


def variation_of(case: LessonCase, most_grade: int) -> LessonCase | None:
    """A near miss of a circuit that is a lesson of its own, to be drawn: safe, sure, each lamp of use.

    The hardest within the grade, of another shape if any is, in which settings and lamps differ most; then
    the seed decides.
    """
    lesson = case.lesson
    fit = [
        (miss, seen)
        for miss, seen in lesson.near
        if seen.is_safe
        and all(map(is_sure, seen.lights))
        and seen.lights != lesson.seen.lights
        and all("burns" in column for column in zip(*seen.lights, strict=True))
    ]
    fit = shuffled(fit, lesson.seed, lambda one: f"variation\n{one[0].what}")
    # the more settings differ, and lamps, the more there is to think about
    fit.sort(key=lambda one: -len(set(one[1].lights)) * len(set(zip(*one[1].lights, strict=True))))
    others = [one for one in fit if not same_shape(one[0].parts, lesson.parts)]
    best: LessonCase | None = None
    for miss, _ in (others or fit)[:MOST_VARIATIONS]:
        circuit = ordered_circuit([part_of(row) for row in miss.parts], layout_of(case.spec))
        design = judge_circuit(case.spec, circuit, case.spec.name).design
        made = _case(case.spec, design, Observer(case.spec, circuit), case.title, lesson.seed)
        if made.grade <= most_grade and (best is None or made.grade > best.grade):
            best = replace(made, names=case.names)
    return best
