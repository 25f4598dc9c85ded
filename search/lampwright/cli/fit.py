"""The command for a lamp of one's own: its arguments become one call of `app`. No source: our conventions."""

from pathlib import Path

import click

from lampwright.cli.group import PLAIN_STATUSES
from lampwright.cli.options import INPUT_FILE, Number, as_json
from lampwright.cli.show import show

OHMS = Number(min=0.0, max=100.0)
PERCENT = Number(min=0.0, max=50.0)


@click.command(epilog=PLAIN_STATUSES, short_help="Make a lamp for a spec from measured volts and amps.")
@click.argument("points", type=INPUT_FILE)
@click.option("--name", default="", metavar="NAME", help="What to call the lamp; else as the file.")
@click.option(
    "--volts",
    type=Number(min=0.0, min_open=True, max=60.0),
    metavar="RATED",
    help="Volts to rate it at; else the greatest measured.",
)
@click.option("--kelvin", type=Number(1500.0, 3400.0), metavar="K", help="Its temperature there, if known.")
@click.option(
    "--leads",
    type=OHMS,
    metavar="OHM",
    help="Ohms between the voltmeter's clips and the lamp, holder included; else 0.12, not known well.",
)
@click.option("--leads-off", type=OHMS, metavar="OHM", help="How far these may be off; else a fifth.")
@click.option(
    "--volts-off", type=PERCENT, default=0.5, show_default=True, metavar="PERCENT", help="Of the voltmeter."
)
@click.option(
    "--amps-off", type=PERCENT, default=1.0, show_default=True, metavar="PERCENT", help="Of the ammeter."
)
@click.option(
    "--meter",
    type=Number(min=1.0),
    metavar="OHM",
    help="Ohms of the voltmeter, where the ammeter carries its current too.",
)
@as_json
def fit(
    points: Path,
    name: str,
    volts: float | None,
    kelvin: float | None,
    leads: float | None,
    leads_off: float | None,
    volts_off: float,
    amps_off: float,
    meter: float | None,
    as_json: bool,
) -> None:
    """Fit a filament lamp to the CSV file POINTS, with columns volts and amps.

    Prints an entry [types.NAME] for a spec, how far each figure may be off, and what the
    points do not decide.
    """
    from lampwright.app.commands import fit_lamp
    from lampwright.app.fit_options import FitOptions
    from lampwright.app.render import result_text

    options = FitOptions(
        name=name,
        volts=volts,
        leads=leads,
        leads_off=leads_off,
        volts_off=volts_off,
        amps_off=amps_off,
        meter=meter,
        kelvin=kelvin,
    )
    show(result_text(fit_lamp(points, options), as_json))
