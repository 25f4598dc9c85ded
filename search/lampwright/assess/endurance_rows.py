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
        lamps.append(LampLife(rating.ref, kind.name, rating.worst, relative, hours, life.in_range))
    return Endurance(
        tuple(_resistor(rating) for rating in ratings.resistors),
        tuple(_diode(rating, kind) for rating, kind in zip(ratings.diodes, diodes, strict=True)),
        tuple(lamps),
        _contacts(ratings, spec, control_amps),
    )


def _resistor(rating: Rating) -> ResistorHeat:
    return ResistorHeat(rating.ref, rating.worst, rating.limit or 0.0, advised_watts(rating.worst))


def _diode(rating: Rating, kind: DiodeType) -> DiodeHeat:
    heat = diode_heat(kind, rating.worst)
    return DiodeHeat(rating.ref, kind.name, rating.worst, kind.max_amps, heat.drop, heat.watts, heat.limit)


def _contacts(ratings: Ratings, spec: Spec, control_amps: Floats) -> tuple[ContactLoad, ...]:
    """Over all corners where the spec states a limit, else with nominal parts."""
    judged = {rating.ref: rating for rating in ratings.controls}
    return tuple(
        ContactLoad(control.name, judged[control.name].worst, control.most_amps, CORNERS)
        if control.name in judged
        else ContactLoad(control.name, float(amps), None, NOMINAL)
        for control, amps in zip(spec.controls, control_amps, strict=True)
    )
