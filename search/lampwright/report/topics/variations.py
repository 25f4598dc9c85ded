"""A design at other supplies and with other choices of parts, each state as a row of the sound design.

They are shown as the design's own states are. What a lamp is asked is held against its light there, as far as
the lines of the sweep tell; what another choice does is kept at every corner, or it would be none.
No source: our words.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from lampwright.report import si
from lampwright.report.topics.trials import AskedBands
from lampwright.results.design import Design, NodeReading, PartReading, PartRow, StateRow
from lampwright.results.trials import StateReading, SupplyPoint

NAMES = ("low", "normal", "high")


class Variation(Struct, frozen=True):
    """A design otherwise supplied or fitted: what is said of it, its states, its parts."""

    said: str
    states: tuple[StateRow, ...]
    parts: tuple[PartRow, ...]


def supplied(design: Design) -> tuple[Variation, ...]:
    """The design at every supply of its sweep, rising; nothing where that was not kept."""
    if design.sweep is None or design.sweep.points is None:
        return ()
    names = dict(zip(design.sweep.volts, NAMES, strict=True))
    return tuple(_at(design, point, names.get(point.supply, "")) for point in design.sweep.points)


def normal_supply(design: Design) -> int:
    """Which of the supplies is the normal one."""
    return design.sweep.supplies.index(design.sweep.volts[1]) if design.sweep else 0


def refitted(design: Design) -> tuple[Variation, ...]:
    """The design with each other choice of parts that was read."""
    return tuple(
        Variation(
            f"{', '.join(changes(design, choice.parts))}: {si.stops(choice.margin_stops)}",
            tuple(_read(state, reading) for state, reading in zip(design.states, choice.states, strict=True)),
            choice.parts,
        )
        for choice in design.choices
        if choice.parts is not None and choice.states is not None
    )


def changes(design: Design, parts: Sequence[PartRow]) -> Iterator[str]:
    """What is fitted otherwise, each lamp once: `side W3W`, `R1 4.7 ohm`."""
    told: dict[str, None] = {}
    for was, now in zip(design.parts, parts, strict=True):
        if (was.type, was.ohms) != (now.type, now.ohms):
            what = now.type if now.ohms is None else si.ohms(now.ohms)
            told[f"{now.lamp or now.ref} {what}"] = None
    yield from told


def _at(design: Design, point: SupplyPoint, name: str) -> Variation:
    said = f"{si.volts(point.supply)} ({name})" if name else si.volts(point.supply)
    if name == NAMES[1]:
        return Variation(said, design.states, design.parts)
    bands = AskedBands(design.sweep, point.supply)
    states = []
    for state, reading in zip(design.states, point.states, strict=True):
        row = _read(state, reading)
        lamps = (replace(lamp, meets=bands.met(lamp, lamp.flux, state.full_name)) for lamp in row.lamps)
        states.append(replace(row, lamps=tuple(lamps)))
    return Variation(said, tuple(states), design.parts)


def _read(sound: StateRow, reading: StateReading) -> StateRow:
    """A reading as the row of its state; what is held by supply or ground is so in both."""
    refs = [part.ref for part in sound.parts]
    across, amps = (dict(zip(refs, values, strict=True)) for values in (reading.across, reading.amps))
    lamps = zip(sound.lamps, reading.flux, reading.levels, reading.kelvin, strict=True)
    return replace(
        sound,
        lamps=tuple(
            replace(
                lamp,
                # a lamp that has failed has no volts, though there are some across its holder
                volts=abs(across[lamp.lamp]) if amps[lamp.lamp] else lamp.volts,
                amps=abs(amps[lamp.lamp]),
                flux=flux,
                level=level,
                kelvin=kelvin,
                margin_stops=None,
            )
            for lamp, flux, level, kelvin in lamps
        ),
        nodes=tuple(
            NodeReading(node=node.node, volts=volts, held=node.held)
            for node, volts in zip(sound.nodes, reading.volts, strict=True)
        ),
        parts=tuple(PartReading(ref=ref, volts=across[ref], amps=amps[ref]) for ref in refs),
    )
