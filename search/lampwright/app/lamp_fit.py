"""`lampwright fit`: from measured points to a lamp of the user's own, ready for a spec."""

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from msgspec import structs

from lampwright.app.fit_options import FitOptions
from lampwright.app.points import MeasuredPoints, read_points
from lampwright.errors import FilePlace, Finding, InputError
from lampwright.parts.conduction import Filling
from lampwright.parts.measured import Estimate, FittedFilament, Measuring, fit_points
from lampwright.parts.tables import constant
from lampwright.results.fitting import FitPoint, LampFit
from lampwright.solve.shelf import own_findings
from lampwright.spec.format import spec_schema
from lampwright.spec.model import OwnFilament, OwnLamp
from lampwright.spec.sifting import Sieve

TELLS_KELVIN = 100.0
"""Points tell the temperature where it may be off by no more [K]: less than half of what lamps differ by."""
TELLS_SHARE = 0.05
TELLS_FILLING, TELLS_RMS = 2.0, 0.005
"""Points tell the filling where the other is so many times as far off, and farther than meters stray [1]."""
FAR_OFF = 0.03
"""Points farther from the curve than this, on the whole, are of no lamp of the model [1]."""
PERCENT = 100.0


def fit_file(path: Path, options: FitOptions) -> LampFit:
    """Fit a lamp to the points of a CSV file. Raises InputError with every finding."""
    points = read_points(path)
    name = options.name or path.stem
    rated = options.volts or float(points.volts[-1])
    _check_name(name, rated)
    bench = _bench(options)
    both = [_fit(points, rated, filling, bench, options.kelvin) for filling in ("gas", "vacuum")]
    best, other = sorted(both, key=lambda one: one.rms)
    return _told(name, points, best, other)


def _check_name(name: str, volts: float) -> None:
    sieve, place = Sieve(), FilePlace("--name")
    sieve.value(spec_schema()["properties"]["types"]["propertyNames"], name, place, "give it with --name")
    plain = OwnLamp(name, (OwnFilament(volts, 1.0),))
    faults = sieve.findings or [
        Finding("--name", one.said, one.remedy) for one in own_findings((plain,), place)
    ]
    if faults:
        raise InputError(faults)


def _bench(options: FitOptions) -> Measuring:
    """The bench: leads that are not stated may be off by as much as they are, stated ones by a fifth."""
    leads = constant("lead_ohms") if options.leads is None else options.leads
    off = options.leads_off
    if off is None:
        off = leads if options.leads is None else 0.2 * leads
    meter = {} if options.meter is None else {"meter": options.meter}
    return Measuring(leads, off, options.volts_off / PERCENT, options.amps_off / PERCENT, **meter)


def _fit(
    points: MeasuredPoints, rated: float, filling: Filling, bench: Measuring, kelvin: float | None
) -> FittedFilament:
    """Fit one filling; where the points do not tell the temperature, again with that of most lamps."""
    found = fit_points(points.volts, points.amps, rated, filling, bench, kelvin)
    if kelvin is None and found.kelvin.off > TELLS_KELVIN:
        usual = constant(f"usual_kelvin_{filling}")
        again = fit_points(points.volts, points.amps, rated, filling, bench, usual)
        # what the temperature leaves open of the other figures stays open
        return replace(
            again,
            watts=Estimate(again.watts.value, found.watts.off),
            kelvin=Estimate(usual, found.kelvin.off),
            share=Estimate(again.share.value, found.share.off),
            leads=Estimate(again.leads.value, found.leads.off),
        )
    return found


def _told(name: str, points: MeasuredPoints, best: FittedFilament, other: FittedFilament) -> LampFit:
    fitted = points.amps * (1.0 + best.relative)
    row = LampFit(
        name=name,
        volts=best.volts,
        watts=best.watts.value,
        watts_off=best.watts.off,
        kelvin=best.kelvin.value,
        kelvin_off=best.kelvin.off,
        kelvin_decided=best.kelvin.off <= TELLS_KELVIN,
        filling=best.filling,
        filling_decided=other.rms >= max(TELLS_FILLING * best.rms, TELLS_RMS),
        conducted=best.share.value,
        conducted_off=best.share.off,
        conducted_decided=best.share.off <= TELLS_SHARE,
        leads=best.leads.value,
        leads_off=best.leads.off,
        rms=PERCENT * best.rms,
        other_rms=PERCENT * other.rms,
        points=tuple(
            FitPoint(volts=float(v), amps=float(a), fitted_amps=float(f), off=PERCENT * float(off))
            for v, a, f, off in zip(points.volts, points.amps, fitted, best.relative, strict=True)
        ),
        remarks=(),
        entry="",
    )
    return structs.replace(row, remarks=tuple(_remarks(row, points)), entry=_entry(row))


def _remarks(row: LampFit, points: MeasuredPoints) -> Iterator[str]:
    """What the points do not decide, and what to measure that would."""
    low, high = float(points.volts[0]), float(points.volts[-1])
    if row.rms > PERCENT * FAR_OFF:
        yield (
            "The points lie far from any filament of the model: look for a wrong range of a meter, leads of"
            " other ohms, or a lamp that is no single filament."
        )
    if not row.kelvin_decided:
        yield (
            "The points do not decide the temperature, and so not the light; it is taken as in most lamps."
            " Give lumens or kelvin if you know them; points below a tenth of the rated volts, and leads"
            " measured to a hundredth of an ohm, tell more."
        )
    if not row.filling_decided:
        yield (
            "The points do not decide whether the bulb holds gas or vacuum: the entry has what fits better."
            " Points below a fifth of the rated volts would tell."
        )
    if not row.conducted_decided:
        yield "The points do not decide the share of heat conducted, so the entry leaves it as in most lamps."
    if row.volts > 1.05 * high:
        yield f"The rated volts are beyond the points, which end at {high:g} V: watts there are carried on."
    if low > 0.3 * row.volts:
        yield f"No point is below {low:g} V: what the lamp takes when nearly dark is the model's word alone."
    yield (
        "What is off is one standard deviation, by the scatter of the points, the leads and the meters. The"
        " model's own error is not in it: three measured lamps lie within 3 to 6 % of it in amps."
    )


def _entry(row: LampFit) -> str:
    """The lines of a spec: figures that the points decide, each with what it may be off."""
    key = row.name if re.fullmatch(r"[A-Za-z0-9_-]+", row.name) else json.dumps(row.name)
    off = row.watts_off / row.watts
    lines = [f"[types.{key}]", f"volts = {row.volts:g}", f"watts = {row.watts:.4g}  # ± {row.watts_off:.2g}"]
    if row.kelvin_decided:
        lines.append(f"kelvin = {row.kelvin:.0f}  # ± {row.kelvin_off:.0f}; or lumens, if you know them")
    else:
        lines.append("# lumens or kelvin, if you know them: the points do not decide")
    sure = "" if row.filling_decided else "  # fits better, but the points do not decide"
    lines.append(f'filling = "{row.filling}"{sure}')
    if row.conducted_decided:
        lines.append(f"conducted = {row.conducted:.3f}  # ± {row.conducted_off:.2g}")
    lines.append(
        f"watts_tolerance = {max(off, 0.001):.3f}  # of this very lamp; others of its kind stray more"
    )
    return "\n".join(lines) + "\n"
