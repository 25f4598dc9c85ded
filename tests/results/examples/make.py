"""Writes the example results beside it: invented rows, to test how results are written and read.

No physics is in them: what a lamp does is made up by a rule below, so that every length
of table and every kind of cell occurs. Run it with the package importable:

    python tests/results/examples/make.py
"""

from itertools import product
from pathlib import Path
from typing import Literal

from msgspec.structs import replace

from lampwright.results.design import (
    Design,
    Drawing,
    LampReading,
    NodeReading,
    OtherChoice,
    PartReading,
    PartRow,
    Rating,
    Ratings,
    StateRow,
    Tightest,
)
from lampwright.results.json_text import to_json
from lampwright.results.ranking import FORMAT, PartCount, Ranking, SearchReport, SpecReference, Stage, Verdict

HERE = Path(__file__).parent
CAUTIONS = (
    "Put a fuse near the battery, and disconnect the battery before work.",
    "Lamps and dropping resistors get hot: keep them away from plastics and cloth.",
    "A lamp dimmed by design may fall under its legal minimum.",
)
LEVELS = (("off", 0.0), ("dim", 0.0623), ("lit", 0.923), ("full", 1.043), ("off", 0.0031))


def reading(lamp: str, kind: int, wanted: str) -> LampReading:
    """Make one cell."""
    level, flux = LEVELS[kind]
    return LampReading(
        lamp=lamp,
        volts=13.5 * flux**0.3,
        amps=1.9 * flux**0.2,
        flux=flux,
        level=level,
        wanted=wanted,
        meets=True,
        margin_stops=None if wanted == "any" else 0.84,
    )


def states(switches: tuple[str, ...], flasher: str, lamps: tuple[str, ...]) -> tuple[StateRow, ...]:
    """Make every setting; lamp k heeds control k modulo the number of controls."""
    names = (*switches, *((flasher,) if flasher else ()))
    rows = []
    for setting in product(("off", "on"), repeat=len(names)):
        flashes = flasher and setting[-1] == "on"
        for phase in ("closed", "open") if flashes else ("",):
            cells = []
            for place, lamp in enumerate(lamps):
                heeds = place % len(names)
                on = setting[heeds] == "on" and not (names[heeds] == flasher and phase == "open")
                kind = (2 if place < 5 else 3) if on else (1 if place == 3 else 4 if place == 4 else 0)
                wanted = "any" if not any(value == "on" for value in setting) else ("lit" if on else "off")
                cells.append(reading(lamp, kind, "any" if place == 3 else wanted))
            pairs = tuple(zip(names, setting, strict=True))
            text = ", ".join(f"{name} {value}" for name, value in pairs if value != "off") or "all off"
            node = NodeReading(node="31", volts=0.0, held="ground")
            part = PartReading(ref="front", volts=13.4, amps=1.8)
            rows.append(
                StateRow(
                    state=text,
                    phase=phase,
                    lamps=tuple(cells),
                    nodes=(node,),
                    parts=(part,),
                    positions=pairs,
                )
            )
    return tuple(rows)


def design(
    rank: int, parts: tuple[PartRow, ...], rows: tuple[StateRow, ...], ratings: Ratings, others: int
) -> Design:
    """Make one design; the margin falls with the rank."""
    extra = sum(part.kind in ("resistor", "diode") for part in parts)
    wires = sum(part.kind == "wire" for part in parts)
    joints = len({node for part in parts for node in (part.from_node, part.to_node) if node.startswith("j")})
    last = rows[-1]
    margin = 0.84 - 0.1 * (rank - 1)
    choices = tuple(
        OtherChoice(fitted=("rear P21/5W", f"side R{5 * n}W"), margin_stops=margin - 0.05 * n)
        for n in range(1, others + 1)
    )
    return Design(
        rank=rank,
        parts=parts,
        extra_parts=extra,
        wires=wires,
        joints=joints,
        conductors=0,
        margin_stops=margin,
        tightest=Tightest(
            state=f"{last.state}, {last.phase}" if last.phase else last.state,
            lamp=last.lamps[0].lamp,
            corner="low supply, high resistance",
        ),
        states=rows,
        ratings=ratings,
        choices=choices,
        also_drawn_as=(Drawing(parts=parts),) * (others // 2),
        care=None,
        wiring=None,
        flashing=None,
        sweep=None,
        trials=(),
    )


def rating(ref: str, worst: float, limit: float | None, unit: Literal["A", "W", "V"]) -> Rating:
    """Make a rating at the worst corner of the example."""
    return Rating(
        ref=ref,
        worst=worst,
        limit=limit,
        unit=unit,
        state="brake on, lights on, turn on",
        corner="high supply, low resistance",
    )


def ranking(
    name: str, title: str, verdict: Verdict, designs: tuple[Design, ...], search: SearchReport
) -> Ranking:
    """Make a ranking."""
    spec = SpecReference(name=name, title=title, digest="5f0c" * 16)
    part_data = "c0ffee" * 10 + "abcd"
    return Ranking(
        format=FORMAT,
        program="0.1.0",
        part_data=part_data,
        spec=spec,
        search=search,
        verdict=verdict,
        designs=designs,
        bound=None,
        shortfall=None,
        stock=None,
        front=None,
        cautions=CAUTIONS,
    )


def one_lamp() -> Ranking:
    """Make the least there is: a switch and a lamp."""
    parts = (PartRow(ref="side", kind="filament", from_node="54", to_node="31", lamp="side", type="R10W"),)
    ratings = Ratings(
        controls=(
            Rating(ref="brake", worst=0.7812, limit=8.0, unit="A", state="brake on", corner="high supply"),
        ),
        resistors=(),
        diodes=(),
        lamps=(Rating(ref="side", worst=14.4, limit=15.0, unit="V", state="brake on", corner="high supply"),),
    )
    search = SearchReport(
        stages=(
            Stage(name="list", claim="every circuit, once", unit="circuits", entered=1, left=1),
            Stage(
                name="solve",
                claim="every state and corner",
                unit="circuits with types chosen",
                entered=5,
                left=5,
            ),
        ),
        part_counts=(PartCount(extra_parts=0, listed=1, orbits=1, complete=True, ruled_out=False),),
        seconds=0.3124,
        unconstrained=(),
        types=("W3W", "R5W", "R10W"),
        values=(),
    )
    verdict = Verdict(
        kind="found",
        text="1 circuit meets the spec, with lamps alone.",
        proved=("no circuit with fewer parts exists",),
    )
    return ranking(
        "one",
        "One lamp on one switch",
        verdict,
        (design(1, parts, states(("brake",), "", ("side",)), ratings, 0),),
        search,
    )


def sidecar_search() -> SearchReport:
    """Make a funnel in two units, and a listing cut short."""
    stages = (
        Stage(
            name="list",
            claim="every circuit up to the limits, once",
            unit="circuits",
            entered=1234567,
            left=1234567,
        ),
        Stage(
            name="refutes a lamp no current can reach",
            claim="a lamp lit lies on a path between live terminals",
            unit="circuits",
            entered=1234567,
            left=345678,
        ),
        Stage(
            name="refutes a short",
            claim="no feed is joined to ground by wire",
            unit="circuits",
            entered=345678,
            left=45678,
        ),
        Stage(
            name="solve",
            claim="every lamp meets its band in every state and corner",
            unit="circuits with types and values chosen",
            entered=2283900,
            left=12,
        ),
        Stage(
            name="part-minimal",
            claim="no extra part can be taken away",
            unit="circuits with types and values chosen",
            entered=12,
            left=7,
        ),
    )
    counts = (
        PartCount(extra_parts=0, listed=1024, orbits=1024, complete=True, ruled_out=False),
        PartCount(extra_parts=1, listed=33210, orbits=33210, complete=True, ruled_out=False),
        PartCount(extra_parts=2, listed=1000000, orbits=1200333, complete=False, ruled_out=False),
    )
    return SearchReport(
        stages=stages,
        part_counts=counts,
        seconds=95.237,
        unconstrained=("brake off, lights off, turn off",),
        types=("P21W", "W2.3W", "W3W", "T4W", "R5W", "R10W", "P21/5W", "1N5404"),
        values=(1.0, 1.5, 2.2, 3.3, 4.7, 6.8, 10.0, 15.0, 22.0, 33.0, 47.0, 68.0, 100.0),
    )


def sidecar() -> Ranking:
    """Make four filaments, three controls, a resistor, a diode and a wire, in seven designs."""
    parts = (
        PartRow(ref="front", kind="filament", from_node="49a", to_node="31", lamp="front", type="P21W"),
        PartRow(ref="side", kind="filament", from_node="54", to_node="j1", lamp="side", type="R5W"),
        PartRow(ref="stop", kind="filament", from_node="54", to_node="31", lamp="rear", type="P21/5W"),
        PartRow(ref="tail", kind="filament", from_node="58", to_node="31", lamp="rear", type="P21/5W"),
        PartRow(ref="r1", kind="resistor", from_node="j1", to_node="31", ohms=4.7, watts=10.0),
        PartRow(ref="d1", kind="diode", from_node="49a", to_node="j1", type="1N5404"),
        PartRow(ref="w1", kind="wire", from_node="58", to_node="54"),
    )
    ratings = Ratings(
        controls=(
            rating("brake", 2.5412, 8.0, "A"),
            rating("lights", 0.4213, None, "A"),
            rating("turn", 1.9, 8.0, "A"),
        ),
        resistors=(rating("r1", 3.212, 10.0, "W"),),
        diodes=(rating("d1", 0.0423, 3.0, "A"),),
        lamps=(rating("front", 14.4, 15.0, "V"), rating("side", 9.123, 15.0, "V")),
    )
    rows = states(("brake", "lights"), "turn", ("front", "side", "stop", "tail"))
    verdict = Verdict(
        kind="found",
        text="7 circuits meet the spec; the least use 2 extra parts, the best keeps 0.84 stops.",
        proved=(
            "no circuit with 0 or 1 extra part meets it, over 8 lamp types, E6 from 1 Ω to 100 Ω, 1 joint",
        ),
    )
    designs = tuple(design(rank, parts, rows if rank == 1 else rows[:2], ratings, 5) for rank in range(1, 8))
    title = "Sidecar: one small side lamp answers both the brake and the indicator"
    return ranking("sidecar", title, verdict, designs, sidecar_search())


def eight_lamps() -> Ranking:
    """Make eight lamps with long names under four controls: 24 rows of states."""
    lamps = (
        "left_front",
        "right_front",
        "left_rear_turn_signal",
        "panel",
        "number_plate",
        "stop",
        "tail",
        "reversing",
    )
    parts = tuple(
        PartRow(ref=lamp, kind="filament", from_node="54", to_node="31", lamp=lamp, type="P21W")
        for lamp in lamps
    )
    ratings = Ratings(
        controls=tuple(
            Rating(ref=name, worst=3.3, limit=8.0, unit="A", state="all on", corner="high supply")
            for name in ("brake", "lights", "reverse", "turn")
        ),
        resistors=(),
        diodes=(),
        lamps=(),
    )
    rows = states(("brake", "lights", "reverse"), "turn", lamps)
    assert len(rows) == 24, "three switches and a flasher with two phases make 24 rows"
    stages = (Stage(name="list", claim="every circuit, once", unit="circuits", entered=9, left=9),)
    uncovered = tuple(
        f"brake {a}, lights {b}, reverse {c}, turn off" for a, b, c in product(("off", "on"), repeat=3)
    )
    search = SearchReport(
        stages=stages,
        part_counts=(PartCount(extra_parts=0, listed=9, orbits=9, complete=True, ruled_out=False),),
        seconds=7300.0,
        unconstrained=uncovered,
        types=("P21W",),
        values=(),
    )
    verdict = Verdict(kind="found", text="1 circuit meets the spec, with lamps alone.", proved=())
    return ranking(
        "eight", "Trailer with eight lamps", verdict, (design(1, parts, rows, ratings, 1),), search
    )


def nothing() -> Ranking:
    """Make the verdict that there is no circuit."""
    verdict = Verdict(
        kind="none",
        text="No circuit of lamps and wire with up to 1 joint meets the spec.",
        proved=("every circuit was listed and tried",),
    )
    return replace(sidecar(), verdict=verdict, designs=())


if __name__ == "__main__":
    for made in (
        one_lamp(),
        sidecar(),
        eight_lamps(),
        replace(nothing(), spec=replace(nothing().spec, name="none")),
    ):
        (HERE / f"{made.spec.name}.json").write_text(to_json(made), encoding="utf-8")
