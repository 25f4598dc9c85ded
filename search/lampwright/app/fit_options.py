"""How a lamp was measured, as the command line and Python say it. No source: our conventions."""

from dataclasses import dataclass


@dataclass(frozen=True)
class FitOptions:
    """How a lamp was measured and is to be called.

    name: of the type; the file's if empty. volts: rated [V], the greatest measured if None. leads,
    leads_off [ohm], None: those usual. volts_off, amps_off: of the meters [%]. meter: ohms of a
    voltmeter whose current is among the amps, or None. kelvin: at the rated volts [K], if known.
    """

    name: str = ""
    volts: float | None = None
    leads: float | None = None
    leads_off: float | None = None
    volts_off: float = 0.5
    amps_off: float = 1.0
    meter: float | None = None
    kelvin: float | None = None
