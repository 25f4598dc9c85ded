"""How hard and how long a design's parts work, as rows."""

from lampwright.assess.endurance import advised_watts, diode_heat, life_at
from lampwright.parts.catalogue import LampType
from lampwright.parts.diode import DiodeType
from lampwright.results.care import ContactLoad, DiodeHeat, Endurance, LampLife, ResistorHeat
from lampwright.results.design import Rating, Ratings
from lampwright.solve.laws import Floats
from lampwright.spec.model import Spec

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
    filaments = [(kind, filament) for kind in kinds for filament in kind.filaments]
    lamps = []
    for rating, (kind, filament) in zip(ratings.lamps, filaments, strict=True):
        life = life_at(filament, rating.worst)
        relative = life.relative if rating.worst > 0.0 else None
        hours = life.hours if rating.worst > 0.0 else None
        lamps.append(
            LampLife(
                ref=rating.ref,
                type=kind.name,
                volts=rating.worst,
                life=relative,
                hours=hours,
                in_range=life.in_range,
            )
        )
    return Endurance(
        resistors=tuple(_resistor(rating) for rating in ratings.resistors),
        diodes=tuple(_diode(rating, kind) for rating, kind in zip(ratings.diodes, diodes, strict=True)),
        lamps=tuple(lamps),
        contacts=_contacts(ratings, spec, control_amps),
    )


def _resistor(rating: Rating) -> ResistorHeat:
    return ResistorHeat(
        ref=rating.ref,
        watts=rating.worst,
        fitted_watts=rating.limit or 0.0,
        advised_watts=advised_watts(rating.worst),
    )


def _diode(rating: Rating, kind: DiodeType) -> DiodeHeat:
    heat = diode_heat(kind, rating.worst)
    return DiodeHeat(
        ref=rating.ref,
        type=kind.name,
        amps=rating.worst,
        most_amps=kind.max_amps,
        volts=heat.drop,
        watts=heat.watts,
        most_watts=heat.limit,
    )


def _contacts(ratings: Ratings, spec: Spec, control_amps: Floats) -> tuple[ContactLoad, ...]:
    """Over all corners where the spec states a limit, else with nominal parts."""
    judged = {rating.ref: rating for rating in ratings.controls}
    return tuple(
        ContactLoad(
            control=control.name, amps=judged[control.name].worst, most_amps=control.most_amps, corner=CORNERS
        )
        if control.name in judged
        else ContactLoad(control=control.name, amps=float(amps), most_amps=None, corner=NOMINAL)
        for control, amps in zip(spec.controls, control_amps, strict=True)
    )
