"""What a row says of a filament beyond the judge's numbers: its rated point, its type, and how hot it is.

Both follow from the type and the volts, so that rows kept before they had them can be given them.
"""

from collections.abc import Sequence

import numpy as np
from msgspec.structs import replace

from lampwright.network.layout import Layout
from lampwright.parts.catalogue import diode_type, lamp_type
from lampwright.parts.filament import Filament, kelvin_of
from lampwright.results.design import Design, LampReading, PartRow, StateRow
from lampwright.results.doubts import TypeNote


def with_filaments(design: Design, layout: Layout, system: int) -> Design:
    """A design whose filaments have their rated point and temperatures; system: its voltage [V].

    Raises UnknownPart for a type that is not in the catalogue.
    """
    places = {ref: at for slot in layout.lamps for at, ref in enumerate(slot.filaments)}
    known = {
        part.ref: lamp_type(part.type, system).filaments[places[part.ref]]
        for part in design.parts
        if part.kind == "filament" and part.type is not None
    }
    parts = tuple(_rated(part, known.get(part.ref)) for part in design.parts)
    kelvins = {ref: _kelvins(design, ref, filament) for ref, filament in known.items()}
    states = tuple(
        replace(state, lamps=tuple(_warm(one, kelvins, at) for one in state.lamps))
        for at, state in enumerate(design.states)
    )
    return replace(design, parts=parts, states=states, types=type_notes(parts, system))


def type_notes(parts: Sequence[PartRow], system: int) -> tuple[TypeNote, ...]:
    """What the catalogue says of every type used, lamps first, and how sure it is."""
    lamps = dict.fromkeys(part.type for part in parts if part.kind == "filament" and part.type)
    diodes = dict.fromkeys(part.type for part in parts if part.kind == "diode" and part.type)
    notes = []
    for name in lamps:
        lamp = lamp_type(name, system)
        held = " or ".join(lamp.fillings)
        notes.append(
            TypeNote(
                type=name,
                filling=held,
                filling_confidence=lamp.filling_confidence,
                confidence=lamp.confidence,
                source=lamp.source,
            )
        )
    for name in diodes:
        diode = diode_type(name)
        notes.append(
            TypeNote(
                type=name, filling="", filling_confidence="", confidence=diode.confidence, source=diode.source
            )
        )
    return tuple(notes)


def _rated(part: PartRow, filament: Filament | None) -> PartRow:
    if filament is None:
        return part
    return replace(part, test_volts=filament.test_volts, hot_ohms=filament.rated_ohms)


def _kelvins(design: Design, ref: str, filament: Filament) -> tuple[int, ...]:
    """How hot a filament is in every state [K]."""
    volts = [_volts(state, ref) for state in design.states]
    return tuple(round(float(kelvin)) for kelvin in kelvin_of(filament, np.array(volts)))


def _volts(state: StateRow, ref: str) -> float:
    return next(one.volts for one in state.lamps if one.lamp == ref)


def _warm(reading: LampReading, kelvins: dict[str, tuple[int, ...]], at: int) -> LampReading:
    if reading.lamp not in kelvins or reading.kelvin is not None:
        return reading
    return replace(reading, kelvin=kelvins[reading.lamp][at])
