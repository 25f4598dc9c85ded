"""A circuit of one's own on the bench: a table of parts, judged and solved anew after every change.

It is what a circuit file says, and is saved as one. The readings are those of the judge at one supply, for a
spec that asks nothing; a part that is broken is open. What solves is imported when there is a circuit: the
first paint waits for none of it. No source: our rules.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from lampwright.errors import Finding, InputError
from lampwright.network.circuit import GROUND, Part
from lampwright.network.circuit_file import read_parts
from lampwright.problem.problem import layout_of
from lampwright.problem.reading import helped
from lampwright.report import si
from lampwright.report.topics.states import does
from lampwright.results.design import Design, StateRow
from lampwright.results.ranking import CheckReport, Ranking
from lampwright.spec.levels import ANY
from lampwright.spec.model import BehaviourRow, Failures, Spec, filament_names, terminals
from lampwright.spec.states import expand_states
from lampwright.workbench.change import Change, number_of, refused

FILE = "own circuit"
MOST_PARTS = 24
MOST_BACK = 200
"""Changes that can be taken back."""
LEAST_AMPS = 0.001
Parts = tuple[Part, ...]
LETTERS = {"resistor": "R", "diode": "D", "wire": "W"}


@dataclass(frozen=True)
class PartCurrent:
    """How much a part carries, in words, and which way: 1 from its first node to its second, -1 back."""

    ref: str
    way: int
    amps: str


@dataclass(frozen=True)
class ShownLamp:
    """What a lamp does in words, how bright it is shown, and its volts and amps."""

    ref: str
    does: str
    glow: float
    volts: str
    amps: str


@dataclass(frozen=True)
class OwnView:
    """What is shown of the circuit. findings: why it cannot be solved; then there is nothing else.

    said: the setting shown; closed: its closed contacts, each as `control=terminal=terminal`.
    """

    findings: tuple[Finding, ...] = ()
    picture: str = ""
    lamps: tuple[ShownLamp, ...] = ()
    currents: tuple[PartCurrent, ...] = ()
    settings: tuple[str, ...] = ()
    report: CheckReport | None = None
    said: str = ""
    closed: tuple[str, ...] = ()


@dataclass
class OwnCircuit:
    """The parts on the bench. broken: the name of the part that is open; setting: the state that is shown.

    volts: of the supply, None for the normal ones of the spec. named: the file it was last to be saved as.
    saved: the parts as a file has them.
    """

    parts: Parts = ()
    broken: str = ""
    setting: str = ""
    volts: float | None = None
    named: str = ""
    saved: Parts = ()
    _back: list[Parts] = field(default_factory=list, repr=False)
    _forth: list[Parts] = field(default_factory=list, repr=False)
    _view: tuple[object, OwnView] | None = field(default=None, repr=False)

    def begin(self, spec: Spec, ranking: Ranking | None, rank: str) -> None:
        """Lay out the parts of the design of a rank, or without one every lamp from a feed to ground."""
        from lampwright.app.circuit_builder import CircuitBuilder

        if rank:
            designs = ranking.designs if ranking else ()
            if not rank.isdecimal() or not 1 <= int(rank) <= len(designs):
                raise refused("design", "there is none of this rank", "choose one of the answer")
            design = designs[int(rank) - 1]
            self._lay(CircuitBuilder.of_design(design, spec.types).parts)
        else:
            feed = terminals(spec)[0]
            filaments = ((lamp, ref) for lamp in spec.lamps for ref in lamp.filaments)
            lay = (Part(ref, "filament", feed, GROUND, lamp.name, lamp.choose[0]) for lamp, ref in filaments)
            self._lay(tuple(lay))

    def open(self, path: Path, name: str) -> None:
        """Lay out the parts of a circuit file. Raises InputError."""
        parts = read_parts(path)
        if len(parts) > MOST_PARTS:
            raise refused(name, f"it has {len(parts)} parts", f"there may be {MOST_PARTS} here")
        self._lay(parts)
        self.saved, self.named = parts, name

    @property
    def can_go_back(self) -> bool:
        """Whether a change can be taken back."""
        return bool(self._back)

    @property
    def can_go_forth(self) -> bool:
        """Whether a change that was taken back can be made again."""
        return bool(self._forth)

    def _lay(self, parts: Parts) -> None:
        """Other parts; those before can be had back."""
        if parts != self.parts:
            self._back = [*self._back[-MOST_BACK + 1 :], self.parts]
            self._forth.clear()
            self.parts = parts
        if self.broken not in {part.ref for part in parts}:
            self.broken = ""

    def _swap(self, source: list[Parts], target: list[Parts]) -> None:
        if source:
            target.append(self.parts)
            self.parts = source.pop()

    def change(self, change: Change) -> None:
        """Do one thing to the circuit; `name` is the part. Raises InputError for what cannot be."""
        match change.do:
            case "own.undo":
                self._swap(self._back, self._forth)
            case "own.redo":
                self._swap(self._forth, self._back)
            case "own.add":
                self._add(change.key)
            case "own.remove":
                self._lay(tuple(part for part in self.parts if part.ref != change.name))
            case "own.edit":
                self._edit(change)
            case "own.break":
                self.broken = "" if self.broken == change.name else change.name
            case "own.at":
                self.setting = change.value
            case "own.volts":
                self.volts = _volts(change)
            case _:
                raise refused("own circuit", f"there is no {change.do[:40]}", "load the page again")

    def _add(self, kind: str) -> None:
        if kind not in LETTERS or len(self.parts) >= MOST_PARTS:
            raise refused("part", "this cannot be added", f"there may be {MOST_PARTS} parts")
        refs = {part.ref for part in self.parts}
        ref = next(f"{LETTERS[kind]}{n}" for n in range(1, 100) if f"{LETTERS[kind]}{n}" not in refs)
        first = self.parts[0].from_node if self.parts else "j1"
        if kind == "resistor":
            part = Part(ref, "resistor", first, GROUND, ohms=10.0, watts=5.0)
        elif kind == "diode":
            part = Part(ref, "diode", first, GROUND, type="1N5404")
        else:
            part = Part(ref, "wire", first, "j1")
        self._lay((*self.parts, part))

    def _edit(self, change: Change) -> None:
        own = next((part for part in self.parts if part.ref == change.name), None)
        if own is None:
            raise refused("part", "there is none of this name", "look at the page as it is now")
        value = change.value.strip()
        match change.key:
            case "from":
                self._put(own, replace(own, from_node=value))
            case "to":
                self._put(own, replace(own, to_node=value))
            case "ohms":
                self._put(own, replace(own, ohms=float(number_of(change, "ohms") or 0.0)))
            case "type" if own.kind == "filament":
                # one lamp is of one type, whichever of its filaments is asked
                is_own = [part.kind == "filament" and part.lamp == own.lamp for part in self.parts]
                fitted = zip(self.parts, is_own, strict=True)
                self._lay(tuple(replace(part, type=value) if is_it else part for part, is_it in fitted))
            case "type":
                self._put(own, replace(own, type=value))
            case _:
                raise refused("part", f"a part has no {change.key}", "load the page again")

    def _put(self, old: Part, new: Part) -> None:
        self._lay(tuple(new if part == old else part for part in self.parts))

    def save(self, to: Path, name: str, spec: Spec) -> None:
        """Write it as a circuit file, called `name` on the page. Raises InputError, StoreError."""
        from lampwright.app.circuit_builder import CircuitBuilder

        self.named = name
        CircuitBuilder(self.parts, spec.types).save(to)
        self.saved = read_parts(to)
        self.parts = self.saved

    def is_in(self, path: Path, name: str) -> bool:
        """Whether a file has just what was opened from it or saved in it, and may be written over."""
        try:
            return name == self.named and bool(self.saved) and read_parts(path) == self.saved
        except InputError:
            return False

    def view(self, spec: Spec) -> OwnView:
        """The circuit drawn, judged, and solved in the setting chosen."""
        key = (self.parts, self.broken, self.setting, self.volts, spec.digest)
        if self._view is None or self._view[0] != key:
            self._view = key, self._seen(spec)
        return self._view[1]

    def _seen(self, spec: Spec) -> OwnView:
        from lampwright.app.checking import judge_circuit
        from lampwright.app.circuit_builder import CircuitBuilder
        from lampwright.app.drawing import drawing

        try:
            whole = helped(spec, self.parts)
            circuit = CircuitBuilder(self.parts, spec.types).under(layout_of(whole))
            report = judge_circuit(whole, circuit, FILE)
            is_plain = not self.broken and self.volts is None
            solved = report.design if is_plain else self._solved(whole)
        except InputError as error:
            return OwnView(findings=error.findings)
        failed = self._failed(whole)
        states = [state for state in solved.states if state.failed == failed and not state.fuse_blown]
        names = tuple(dict.fromkeys(state.full_name for state in states))
        shown = next((one for one in states if one.full_name == self.setting), states[-1])
        return OwnView(
            picture=drawing(report.design, whole, ids=False).svg,
            lamps=tuple(_lights(shown)),
            currents=tuple(_currents(shown)),
            settings=names,
            report=report,
            said=shown.full_name,
            closed=tuple(_closed(whole, shown)),
        )

    def _failed(self, spec: Spec) -> tuple[str, ...]:
        return (self.broken,) if self.broken in filament_names(spec) else ()

    def _solved(self, spec: Spec) -> Design:
        """The circuit at one supply, under a spec that asks nothing, with the broken part open."""
        from lampwright.app.checking import judge_circuit
        from lampwright.app.circuit_builder import CircuitBuilder

        failed = self._failed(spec)
        parts = tuple(part for part in self.parts if failed or part.ref != self.broken)
        volts = spec.supply.volts[1] if self.volts is None else self.volts
        nothing = BehaviourRow(1, (), ((filament_names(spec)[0], ANY),), Failures(failed=failed))
        asking = replace(
            spec,
            supply=replace(spec.supply, volts=(volts, volts, volts)),
            behaviour=(nothing,),
            same=(),
            brighter=(),
        )
        circuit = CircuitBuilder(parts, spec.types).under(layout_of(spec))
        return judge_circuit(asking, circuit, FILE).design


def _volts(change: Change) -> float | None:
    volts = number_of(change, "volts")
    if volts is not None and not 0 < volts <= 60:
        raise refused("supply", f"{volts:g} V is no supply here", "write volts above 0, up to 60")
    return None if volts is None else float(volts)


def _lights(state: StateRow) -> Iterator[ShownLamp]:
    for one in state.lamps:
        glow = 0.0 if one.is_out else round(min(1.0, max(0.15, one.flux**0.5)), 2)
        yield ShownLamp(one.lamp, does(one), glow, si.volts(one.volts), si.amps(one.amps))


def _closed(spec: Spec, shown: StateRow) -> Iterator[str]:
    """The contacts that are closed in a state."""
    for state in expand_states(spec):
        if (state.setting, state.phase) == (shown.positions, shown.phase) and not state.failures:
            yield from (f"{one.control}={one.a}={one.b}" for one in state.contacts)


def _currents(state: StateRow) -> Iterator[PartCurrent]:
    for one in state.parts:
        way = 0 if abs(one.amps) < LEAST_AMPS else (1 if one.amps > 0 else -1)
        yield PartCurrent(one.ref, way, si.amps(abs(one.amps)) if way else "")


def nodes_of(spec: Spec, parts: Sequence[Part]) -> tuple[str, ...]:
    """The nodes to choose from: the spec's terminals, the circuit's, and one joint more."""
    used = [end for part in parts for end in (part.from_node, part.to_node)]
    joints = [f"j{n}" for n in range(1, 10)]
    free = next(joint for joint in joints if joint not in used)
    return tuple(dict.fromkeys((*terminals(spec), *used, free)))
