"""The readings chosen for a design as rows: what to set, where to measure, what to expect, what it means.

Readings are those of `meter`; which of them to take is the caller's question. Faults that no
reading tells apart, and that look the same beside all others too, are one row.
"""

from collections.abc import Iterator, Sequence

import numpy as np

from lampwright.assess.bench.meter import (
    METER_OHMS,
    METER_OHMS_SHARE,
    METER_VOLTS,
    METER_VOLTS_SHARE,
    OHMS,
    SUPPLY_SHARE,
    Readings,
)
from lampwright.problem.problem import Problem
from lampwright.results.sheet import BenchTests, FaultSigns, ReadingRow, SignRow, SpanRow

SOUND = 0
COLD, POWERED = "C", "P"
"""What the numbers of readings begin with."""


def bench_tests(
    problem: Problem,
    readings: Readings,
    chosen: Sequence[int],
    alike: Sequence[Sequence[int]],
    *,
    proved: bool,
) -> BenchTests:
    """The tests of a design: readings by number, and the sets of causes that none tells apart."""
    numbers = _numbers(readings, chosen)
    rows = {one: _reading(problem, readings, one, number) for one, number in numbers.items()}
    return BenchTests(
        volts=float(problem.volts[1]),
        supply_share=SUPPLY_SHARE,
        meter_volts=METER_VOLTS,
        meter_volts_share=METER_VOLTS_SHARE,
        meter_ohms=METER_OHMS,
        meter_ohms_share=METER_OHMS_SHARE,
        rest=problem.states[readings.rest].setting,
        cold=tuple(row for row in rows.values() if row.unit == "ohm"),
        powered=tuple(row for row in rows.values() if row.unit == "V"),
        faults=tuple(_signs(readings, numbers, group) for group in _groups(len(readings.causes), alike)),
        alike=tuple(tuple(readings.causes[one] for one in some) for some in alike),
        wires_known=problem.spec.wiring is not None,
        proved=proved,
        unsolved=readings.unsolved,
    )


def _numbers(readings: Readings, chosen: Sequence[int]) -> dict[int, str]:
    """What every reading chosen is called."""
    numbers: dict[int, str] = {}
    for letter, is_cold in ((COLD, True), (POWERED, False)):
        own = [one for one in chosen if (readings.readings[one].state == OHMS) is is_cold]
        numbers |= {one: f"{letter}{at}" for at, one in enumerate(own, 1)}
    return numbers


def _reading(problem: Problem, readings: Readings, at: int, number: str) -> ReadingRow:
    reading = readings.readings[at]
    is_cold = reading.state == OHMS
    state = problem.states[readings.rest if is_cold else reading.state]
    return ReadingRow(
        number=number,
        unit="ohm" if is_cold else "V",
        node=readings.names[reading.vertex],
        to=readings.names[reading.to],
        state="" if is_cold else state.full_name,
        phase="" if is_cold else state.phase,
        positions=state.setting,
        nominal=_number(float(readings.nominal[at])),
        span=_span(readings, [SOUND], at),
        wires_volts=float(readings.wires[at]),
    )


def _span(readings: Readings, causes: Sequence[int], at: int) -> SpanRow:
    """The span of a reading under any of some causes."""
    own = list(causes)
    return SpanRow(
        low=_number(float(readings.low[own, at].min())), high=_number(float(readings.high[own, at].max()))
    )


def _number(value: float) -> float | None:
    return None if np.isinf(value) else value


def _groups(causes: int, alike: Sequence[Sequence[int]]) -> Iterator[tuple[int, ...]]:
    """The faults, those together that are in just the same sets of what looks the same."""
    sets = {one: tuple(at for at, some in enumerate(alike) if one in some) for one in range(causes)}
    grouped: dict[object, list[int]] = {}
    for one in range(1, causes):
        grouped.setdefault(sets[one] or one, []).append(one)
    return (tuple(group) for group in grouped.values())


def _signs(readings: Readings, numbers: dict[int, str], group: Sequence[int]) -> FaultSigns:
    """What shows some faults that look the same: the readings whose spans are clear of the sound one's."""
    low, high = readings.low, readings.high
    clear = [
        at
        for at in numbers
        if all(high[one, at] < low[SOUND, at] or low[one, at] > high[SOUND, at] for one in group)
    ]
    return FaultSigns(
        faults=tuple(readings.causes[one] for one in group),
        signs=tuple(SignRow(reading=numbers[at], span=_span(readings, group, at)) for at in clear),
    )
