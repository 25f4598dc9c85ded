"""The catalogue: lamp and diode types by name.

A lamp's row gives volts, watts or amps, and lumens or candlepower of each filament, and
whether its bulb holds gas or vacuum; the physics (`filament`) gives the rest. Where the
filling is not known the row says both, the likelier first, and the lamp can be had as either.
Three families: UN R37 categories at their test voltage; SAE trade numbers at their design
voltage, whose system is 6 V from 6 to 7.5 V and 12 V from 12 to 14.4 V; and small screw bulbs
for teaching, E10, at the volts and amps stamped on their caps, the volts being their system.

Where a row names the lamp whose filament it has (`filament_as`), temperature comes from
that lamp at this one's volts: amber glass absorbs, so its lumens do not tell; and lamps
marked at 12 V without photometry (7440, 7443) are the 13.5 V lamp run at 12 V. Such a
row keeps its own volts and amps; its lumens, where blank, are the other lamp's at 12 V.

Source: UN-R37, S1, S2; SAE-J573 and the pages named row by row; E10 row by row; diodes S51, S52, S54.
"""

from collections.abc import Container
from dataclasses import dataclass
from functools import cache
from math import pi
from typing import Literal

from lampwright.parts.conduction import Filling, conducted_share
from lampwright.parts.diode import DiodeType
from lampwright.parts.filament import (
    Filament,
    Place,
    kelvin_of,
    rated_kelvin,
    relative_flux_of,
)
from lampwright.parts.tables import DataRow, UnknownPart, constant, read_table

Family = Literal["R37", "SAE", "E10", "own"]
SYSTEMS = (6, 12, 24)
FAMILIES: dict[str, Family] = {"category": "R37", "trade_no": "SAE", "bulb": "E10"}
"""The family of a row, by the first column of its file."""
FILLINGS: tuple[Filling, ...] = ("gas", "vacuum")
PERCENT = 0.01


@dataclass(frozen=True)
class LampType:
    """A type of lamp, made for one system voltage.

    name: as it was asked for. model: the name it stands under. system: 6, 12 or 24 [V]; of a bulb
    marked otherwise, and of a lamp of the user's own, its rated volts. filaments: major first.
    shared_contact: two filaments joined at one contact inside the lamp. filling: what these
    filaments burn in. fillings: what it may be, the likelier first; more than one where it is not
    known. source, confidence, filling_status, filling_confidence: as the data row says.
    """

    name: str
    model: str
    family: Family
    system: float
    cap: str
    filaments: tuple[Filament, ...]
    shared_contact: bool
    colour: str
    filling: Filling
    fillings: tuple[Filling, ...]
    filling_status: str
    filling_confidence: str
    source: str
    confidence: str

    @property
    def has_led(self) -> bool:
        """Whether LED substitutes are sold for its holder, as far as is known: for lamps of vehicles."""
        return self.family in ("R37", "SAE")


@dataclass(frozen=True)
class _Rated:
    """One filament as printed, before physics; volts, watts, lumens, fractions, hours."""

    volts: float
    watts: float
    lumens: float | None
    watts_tolerance: float
    flux_tolerance: float
    life_hours: float | None


def _r37_rated(row: DataRow, place: str) -> _Rated | None:
    watts = row.number_or_none(f"nominal_W_{place}")
    if watts is None:
        return None
    return _Rated(
        volts=row.number("test_V"),
        watts=watts,
        lumens=row.number_or_none(f"flux_lm_{place}"),
        watts_tolerance=row.number(f"objective_W_max_{place}") / watts - 1.0,
        flux_tolerance=row.number(f"flux_tol_pct_{place}") * PERCENT,
        life_hours=None,
    )


def _sae_rated(row: DataRow, place: str) -> _Rated | None:
    volts = row.number_or_none(f"design_V_{place}")
    if volts is None:
        return None
    candles = row.number_or_none(f"MSCD_{place}")
    return _Rated(
        volts=volts,
        watts=volts * row.number(f"design_A_{place}"),
        lumens=None if candles is None else 4.0 * pi * candles,
        watts_tolerance=row.number("amps_tol_pct") * PERCENT,
        flux_tolerance=row.number("flux_tol_pct") * PERCENT,
        life_hours=row.number_or_none(f"life_h_{place}"),
    )


def _e10_rated(row: DataRow, place: str) -> _Rated | None:
    if place == "minor":
        return None
    volts = row.number("marked_V")
    return _Rated(
        volts=volts,
        watts=volts * row.number("marked_A"),
        lumens=row.number("lumens"),
        watts_tolerance=row.number("amps_tol_pct") * PERCENT,
        flux_tolerance=row.number("flux_tol_pct") * PERCENT,
        life_hours=None,
    )


RATED = {"R37": _r37_rated, "SAE": _sae_rated, "E10": _e10_rated}


def _filament(rated: _Rated, place: Place, filling: Filling, same_as: Filament | None) -> Filament:
    lumens, share = rated.lumens, conducted_share(filling, rated.volts)
    if same_as is not None:
        kelvin = float(kelvin_of(same_as, rated.volts))
        if lumens is None:
            lumens = same_as.lumens * float(relative_flux_of(same_as, rated.volts))
    elif lumens is not None:
        kelvin = rated_kelvin(lumens, rated.watts, share)
    else:
        raise ValueError("a row needs lumens or filament_as")
    return Filament(
        place=place,
        test_volts=rated.volts,
        watts=rated.watts,
        lumens=lumens,
        rated_kelvin=kelvin,
        filling=filling,
        conducted_share=share,
        watts_tolerance=rated.watts_tolerance,
        flux_tolerance=rated.flux_tolerance,
        life_hours=rated.life_hours,
        life_exponent=constant(f"life_exponent_{filling}"),
    )


def _filaments(ratings: list[_Rated], filling: Filling, same_as: LampType | None) -> tuple[Filament, ...]:
    places: tuple[Place, ...] = ("single",) if len(ratings) == 1 else ("major", "minor")
    siblings = [None] * len(ratings) if same_as is None else same_as.filaments
    return tuple(_filament(r, p, filling, s) for r, p, s in zip(ratings, places, siblings, strict=True))


def _fillings(row: DataRow) -> tuple[Filling, ...]:
    said = row.text("filling").split("/")
    return tuple(name for name in FILLINGS if name in said[:1]) + tuple(
        name for name in FILLINGS if name in said[1:]
    )


def _lamp_of(row: DataRow, filling: Filling, same_as: LampType | None) -> LampType:
    family = _family(row)
    ratings = [rated for place in ("major", "minor") if (rated := RATED[family](row, place))]
    return LampType(
        name=_name(row),
        model=_name(row),
        family=family,
        system=_system(row),
        cap=_cap(row),
        filaments=_filaments(ratings, filling, same_as),
        shared_contact=row.text("shared_contact") == "yes",
        colour=row.text("colour"),
        filling=filling,
        fillings=_fillings(row),
        filling_status=row.text("filling_status"),
        filling_confidence=row.text("filling_confidence"),
        source=row.text("source"),
        confidence=row.text("confidence"),
    )


def _family(row: DataRow) -> Family:
    return FAMILIES[row.names[0]]


def _name(row: DataRow) -> str:
    return row.cells[0]


def _cap(row: DataRow) -> str:
    return row.text("base" if _family(row) == "SAE" else "cap")


def _system(row: DataRow) -> float:
    """System voltage [V] of a row; SAE lamps by their design volts."""
    match _family(row):
        case "R37":
            return int(row.text("system_V"))
        case "SAE":
            return 6 if row.number("design_V_major") < 9.0 else 12
    marked = row.number("marked_V")
    return int(marked) if marked.is_integer() else marked


@cache
def _rows() -> tuple[DataRow, ...]:
    files = ("lamps_r37.csv", "lamps_sae.csv", "lamps_e10.csv")
    return tuple(row for name in files for row in read_table(name).rows)


@cache
def _lamp(row: DataRow, filling: Filling) -> LampType:
    same_as = None
    if row.text("filament_as"):
        same_as = lamp_type(row.text("filament_as"), _system(row), filling)
    return _lamp_of(row, filling, same_as)


def lamp_names(system: float | None = None) -> tuple[str, ...]:
    """Names of all lamp types for a system voltage [V], R37 first; none for most voltages; all if None."""
    return tuple(_name(row) for row in _rows() if system in (None, _system(row)))


def lamp_types(holders: Container[tuple[float, str]] | None = None) -> tuple[LampType, ...]:
    """The lamp types of these systems [V] and caps, or all, in the order of the data; units as in `LampType`.

    Each is in its likelier filling.
    """
    return tuple(
        _lamp(row, _fillings(row)[0])
        for row in _rows()
        if holders is None or (_system(row), _cap(row)) in holders
    )


def lamp_type(name: str, system: float, filling: Filling | None = None) -> LampType:
    """The lamp type of that name for a system voltage [V].

    filling: gas or vacuum, known or not; None for the likelier one.
    Raises UnknownPart, naming near types, or the systems the type is made for.
    """
    for row in _rows():
        if _name(row) == name and _system(row) == system:
            return _lamp(row, filling or _fillings(row)[0])
    others = [f"{_system(row):g} V" for row in _rows() if _name(row) == name]
    remark = f"made for {' and '.join(others)}" if others else ""
    raise UnknownPart(f"lamp type for {system:g} V", name, lamp_names(system), remark)


@cache
def diode_types() -> tuple[DiodeType, ...]:
    """All diode types, in the order of the data; units as in `DiodeType`."""
    return tuple(
        DiodeType(
            name=row.text("name"),
            saturation_amps=row.number("saturation_A"),
            emission=row.number("emission"),
            series_ohms=row.number("series_ohm"),
            max_amps=row.number("average_A"),
            reverse_volts=row.number("reverse_V"),
            forward_volts_max=row.number("forward_V_max"),
            at_amps=row.number("forward_at_A"),
            source="; ".join((row.text("limit_source"), row.text("card_source"))),
            confidence=f"limits {row.text('limit_confidence')}, card {row.text('card_confidence')}",
        )
        for row in read_table("diodes.csv").rows
    )


def diode_type(name: str) -> DiodeType:
    """The diode type of that name; units as in `DiodeType`. Raises UnknownPart, naming near types."""
    for diode in diode_types():
        if diode.name == name:
            return diode
    raise UnknownPart("diode type", name, [diode.name for diode in diode_types()])
