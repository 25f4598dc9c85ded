"""What `lampwright parts` shows: the catalogue as rows, and a lamp's curve as a table."""

from lampwright.errors import Finding, InputError
from lampwright.parts.catalogue import LampType, diode_types, lamp_types
from lampwright.parts.diode import DiodeType
from lampwright.parts.filament import Filament, amps_of, kelvin_of, ohms_at, relative_flux_of, relative_life
from lampwright.parts.series import (
    preferred_values,
    series_confidence,
    series_names,
    series_tolerance,
    stock_wattages,
    wattage_confidence,
)
from lampwright.results.ranking import Catalogue, CurveRow, Curves, FilamentCurve, PartLine, SeriesLine
from lampwright.solve.shelf import Shelf, own_type
from lampwright.spec.model import OwnLamp

CURVE_SHARES = (0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2)


def whole_catalogue(own: tuple[OwnLamp, ...] = ()) -> Catalogue:
    """The whole catalogue, and lamps of the user's own."""
    lamps = tuple(_lamp_line(lamp) for lamp in (*lamp_types(), *(own_type(one, None) for one in own)))
    diodes = tuple(_diode_line(diode) for diode in diode_types())
    decade = tuple(
        SeriesLine(
            name=name,
            values=preferred_values(name, 1.0, 9.99),
            tolerance_percent=100 * series_tolerance(name),
            source="IEC 60063",
            confidence=series_confidence(name),
        )
        for name in series_names()
    )
    sure = wattage_confidence()
    watts = SeriesLine(
        name="resistor wattages",
        values=stock_wattages(),
        tolerance_percent=None,
        source="common practice",
        confidence=sure,
    )
    return Catalogue(lines=(*lamps, *diodes), series=(*decade, watts))


def _lamp_line(lamp: LampType) -> PartLine:
    rated = " + ".join(f"{f.watts:.4g} W {f.lumens:.4g} lm at {f.test_volts:g} V" for f in lamp.filaments)
    filling = " or ".join(lamp.fillings)
    return PartLine(
        type=lamp.name,
        kind="lamp",
        system=f"{lamp.system:g} V",
        rated=rated,
        cap=lamp.cap,
        filling=filling,
        source=lamp.source,
        confidence=lamp.confidence,
    )


def _diode_line(diode: DiodeType) -> PartLine:
    drop = f"at most {diode.forward_volts_max:g} V at {diode.at_amps:g} A"
    rated = f"{diode.max_amps:g} A, {diode.reverse_volts:g} V, {drop}"
    return PartLine(
        type=diode.name,
        kind="diode",
        system="",
        rated=rated,
        cap="",
        filling="",
        source=diode.source,
        confidence=diode.confidence,
    )


def curves_of(name: str, own: tuple[OwnLamp, ...] = ()) -> Curves:
    """The curves of every filament of one lamp type, at every system voltage it is made for.

    own: lamps of the user's own, to be found as well. A name with volts behind it, as P21W@12, has one.
    """
    shelf = Shelf(0.0, own)
    found = shelf.at_any_volts(name)
    if not found:
        error = shelf.unknown(name)
        raise InputError([Finding("TYPE", error.said, error.remedy)])
    filled = [
        shelf.lamp(f"{lamp.model}@{lamp.system:.10g}", filling) for lamp in found for filling in lamp.fillings
    ]
    return Curves(
        type=found[0].model,
        curves=tuple(_curve(lamp, filament) for lamp in filled for filament in lamp.filaments),
    )


def _curve(lamp: LampType, filament: Filament) -> FilamentCurve:
    rows = []
    for share in CURVE_SHARES:
        volts = share * filament.test_volts
        amps, kelvin = float(amps_of(filament, volts)), float(kelvin_of(filament, volts))
        flux, life = float(relative_flux_of(filament, volts)), float(relative_life(filament, volts))
        rows.append(CurveRow(volts=volts, amps=amps, watts=volts * amps, kelvin=kelvin, flux=flux, life=life))
    return FilamentCurve(
        type=lamp.model,
        filament=filament.place,
        system=int(lamp.system) if lamp.system == int(lamp.system) else lamp.system,
        test_volts=filament.test_volts,
        rated_watts=filament.watts,
        rated_lumens=filament.lumens,
        rated_kelvin=filament.rated_kelvin,
        filling=lamp.filling,
        filling_known=len(lamp.fillings) == 1,
        filling_status=lamp.filling_status,
        filling_confidence=lamp.filling_confidence,
        conducted_share=filament.conducted_share,
        cold_ohms=float(ohms_at(filament, 293.15)),
        hot_ohms=float(ohms_at(filament, filament.rated_kelvin)),
        source=lamp.source,
        confidence=lamp.confidence,
        rows=tuple(rows),
    )
