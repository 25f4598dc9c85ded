"""What `lampwright fit` found, as text: the entry for a spec, its figures, the points.

No source: our layout.
"""

from lampwright.report import si
from lampwright.report.layout import bullets, heading, join, paragraph, right, table
from lampwright.results.fitting import LampFit

FILLED = {"gas": "gas-filled", "vacuum": "a vacuum lamp"}
WIDTH = 80


def fit_text(fit: LampFit, width: int = WIDTH) -> str:
    """Write a fit; the entry stands alone, to be copied."""
    other = "a vacuum lamp" if fit.filling == "gas" else "a gas-filled one"
    way = "clearly so" if fit.filling_decided else "not clearly"
    said = (
        f"{len(fit.points)} points, {fit.rms:.2g} % from the curve on the whole; as {FILLED[fit.filling]},"
        f" {way}: as {other} {fit.other_rms:.2g} %. Leads {fit.leads:.2f} ± {fit.leads_off:.2g} Ω."
    )
    rows = [
        ("watts at " + si.volts(fit.volts), f"{fit.watts:.4g} W", f"± {fit.watts_off:.2g} W", "yes"),
        ("amps", f"{fit.watts / fit.volts:.4g} A", f"± {fit.watts_off / fit.volts:.2g} A", "yes"),
        ("kelvin", f"{fit.kelvin:.0f} K", f"± {fit.kelvin_off:.0f} K", _word(fit.kelvin_decided)),
        (
            "share conducted",
            f"{100 * fit.conducted:.1f} %",
            f"± {100 * fit.conducted_off:.1f} %",
            _word(fit.conducted_decided),
        ),
    ]
    points = [
        (f"{one.volts:.3f}", f"{one.amps:.4f}", f"{one.fitted_amps:.4f}", f"{one.off:+.1f} %")
        for one in fit.points
    ]
    return join(
        (
            fit.entry.rstrip("\n"),
            heading("What the points say", width),
            paragraph(said, width),
            table(right("figure", "value", "off", "decided"), rows, width),
            "\n".join(bullets(fit.remarks, width)),
            heading("Points", width),
            table(right("volts", "amps", "the model's", "off"), points, width),
        )
    )


def _word(decided: bool) -> str:
    return "yes" if decided else "no"
