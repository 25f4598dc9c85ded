"""How long and how easily a design's parts work: heat of parts, life of lamps, loads of contacts.

A resistor stands with the wattage that it was given for its worst heat (`problem.wattage`). A diode's heat
is its worst current times its forward drop there, that of the weakest diode its data sheet lets pass;
beside it stands what the sheet itself allows: the average current at the greatest drop. A lamp's
life goes as a high power of its volts.

Source: derating as in `parts.series`; life exponents IES-HB, as `parts.filament` has them.
"""

from math import log

from lampwright.parts.catalogue import LampType
from lampwright.parts.diode import DiodeType, diode_volts, thermal_volts
from lampwright.parts.filament import Filament, relative_life
from lampwright.parts.series import is_cool
from lampwright.results.care import ContactLoad, DiodeHeat, Endurance, LampLife, ResistorHeat
from lampwright.results.design import Rating, Ratings
from lampwright.solve.laws import Floats
from lampwright.spec.model import Spec

LIFE_RANGE = (0.8, 1.2)
"""Volts relative to the test voltage within which the handbook's exponent holds."""

CORNERS = "all corners"
NOMINAL = "high supply, nominal parts"


def endurance(
    ratings: Ratings,
    kinds: tuple[LampType, ...],
    diodes: tuple[DiodeType, ...],
    spec: Spec,
    control_amps: Floats,
) -> Endurance:
    """The rows of one design; control_amps: (controls,) at the high supply [A], parts nominal."""
    filaments = [(kind.name, filament) for kind in kinds for filament in kind.filaments]
    return Endurance(
        resistors=tuple(
            ResistorHeat(
                ref=rating.ref,
                watts=rating.worst,
                fitted_watts=rating.limit or 0.0,
                advised_watts=rating.limit if is_cool(rating.worst, rating.limit or 0.0) else None,
            )
            for rating in ratings.resistors
        ),
        diodes=tuple(
            diode_heat(rating.ref, kind, rating.worst)
            for rating, kind in zip(ratings.diodes, diodes, strict=True)
        ),
        lamps=tuple(
            lamp_life(rating.ref, name, filament, rating.worst)
            for rating, (name, filament) in zip(ratings.lamps, filaments, strict=True)
        ),
        contacts=_contacts(ratings.controls, spec, control_amps),
    )


def diode_heat(ref: str, diode: DiodeType, amps: float) -> DiodeHeat:
    """Heat of a diode that carries amps [A] forward, the weakest of its type."""
    shift = diode.emission * thermal_volts() * log(diode.spread)
    drop = diode_volts(diode, amps) + shift if amps > 0.0 else 0.0
    return DiodeHeat(
        ref=ref,
        type=diode.name,
        amps=amps,
        most_amps=diode.max_amps,
        volts=drop,
        watts=amps * drop,
        most_watts=diode.max_amps * diode.forward_volts_max,
    )


def lamp_life(ref: str, kind: str, filament: Filament, volts: float) -> LampLife:
    """Life of a filament of a type that burns at volts [V] all the time."""
    relative = float(relative_life(filament, volts)) if volts > 0.0 else None
    known = relative is not None and filament.life_hours is not None
    low, high = (share * filament.test_volts for share in LIFE_RANGE)
    return LampLife(
        ref=ref,
        type=kind,
        volts=volts,
        life=relative,
        hours=(relative or 0.0) * (filament.life_hours or 0.0) if known else None,
        in_range=low <= volts <= high,
    )


def _contacts(controls: tuple[Rating, ...], spec: Spec, control_amps: Floats) -> tuple[ContactLoad, ...]:
    """Over all corners where the spec states a limit, else with nominal parts."""
    judged = {rating.ref: rating for rating in controls}
    return tuple(
        ContactLoad(
            control=control.name, amps=judged[control.name].worst, most_amps=control.most_amps, corner=CORNERS
        )
        if control.name in judged
        else ContactLoad(control=control.name, amps=float(amps), most_amps=None, corner=NOMINAL)
        for control, amps in zip(spec.controls, control_amps, strict=True)
    )
