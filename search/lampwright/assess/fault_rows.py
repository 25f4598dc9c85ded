"""What faults do to a design, as rows."""

from typing import Literal

from lampwright.assess.alterations import Circuitry
from lampwright.assess.faults import FaultAnalysis, Outcome, Overload
from lampwright.parts.diode import DiodeType
from lampwright.problem.problem import Problem
from lampwright.results.care import FaultChange, FaultOverload, FaultReport, FaultRow, SneakPath

WORST_TYPES = 3


class FaultWriter:
    """Writes the faults of one design."""

    def __init__(self, problem: Problem, circuit: Circuitry, states: tuple[str, ...], led: DiodeType) -> None:
        """Take the names of states, with phases."""
        self.problem, self.circuit, self.states, self.led = problem, circuit, states, led

    def report(self, found: FaultAnalysis) -> FaultReport:
        """All faults but other types; of those the worst few that do anything."""
        types = [one for one in found.outcomes if one.fault.kind == "other type"]
        does = [one for one in types if one.value < 1.0 or one.changes]
        shown = sorted(does, key=lambda one: one.value)[:WORST_TYPES]
        rest = [one for one in found.outcomes if one.fault.kind != "other type"]
        return FaultReport(
            score=found.score,
            faults=tuple(self._row(one) for one in (*rest, *shown)),
            types_tried=len(types),
            types_harmless=sum(one.value >= 1.0 for one in types),
            unsolved=found.unsolved,
            led_model=self._led_model(),
        )

    def _led_model(self) -> str:
        led = self.led
        threshold = led.forward_volts_max - led.max_amps * led.series_ohms
        return (
            f"LED substitute: {led.max_amps * 1000:.0f} mA at {led.forward_volts_max:g} V, a string with"
            f" {threshold:.1f} V across it there and {led.series_ohms:.0f} ohms in series, blocks backward;"
            f" on above a tenth of that current; source {led.source}, {led.confidence} confidence"
        )

    def _row(self, one: Outcome) -> FaultRow:
        lamps = self.problem.layout.filaments
        changes = tuple(
            FaultChange(
                lamp=lamps[change.filament], was=change.was, now=change.now, states=self._named(change.states)
            )
            for change in one.changes
        )
        return FaultRow(
            kind=one.fault.kind,
            fault=one.fault.what,
            met=one.met,
            asked=one.asked,
            value=one.value,
            changes=changes,
            sneak_paths=self._sneaks(one),
            overloads=tuple(self._overload(over) for over in one.overloads),
            shorted=self._named(one.shorted),
        )

    def _named(self, states: tuple[int, ...]) -> tuple[str, ...]:
        return tuple(self.states[state] for state in states)

    def _sneaks(self, one: Outcome) -> tuple[SneakPath, ...]:
        """One row for each path, with the states in which it carries and the worst of them."""
        by_path: dict[tuple[str, int, tuple[str, ...]], list[int]] = {}
        for number, sneak in enumerate(one.sneaks):
            by_path.setdefault((sneak.kind, sneak.at, sneak.path), []).append(number)
        rows = []
        for numbers in by_path.values():
            first = one.sneaks[numbers[0]]
            worst = max(one.sneaks[number].size for number in numbers)
            backward = first.kind == "reversed"
            rows.append(
                SneakPath(
                    kind=first.kind,
                    at=self.circuit.refs[first.at] if backward else self.circuit.nodes[first.at],
                    path=first.path,
                    amps=worst if backward else None,
                    volts=None if backward else worst,
                    states=self._named(tuple(one.sneaks[number].state for number in numbers)),
                )
            )
        return tuple(rows)

    def _overload(self, over: Overload) -> FaultOverload:
        unit: Literal["A", "W", "V"] = "A"
        ref = self.problem.spec.controls[over.at].name if over.is_control else self.circuit.refs[over.at]
        if not over.is_control:
            diodes = self.circuit.extras[: self.circuit.netlist.diodes]
            unit = "V" if over.at not in self.circuit.extras else "A" if over.at in diodes else "W"
        return FaultOverload(
            ref=ref, load=over.load, allowed=over.limit, unit=unit, state=self.states[over.state]
        )
