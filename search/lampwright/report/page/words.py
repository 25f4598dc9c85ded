"""Words that several parts of the page use for lamps and states. No source: our words."""

from lampwright.report import si
from lampwright.results.design import LampReading, StateRow

ANY = "any"
"""The word where nothing is asked."""


def named(state: StateRow) -> str:
    """Name a state as the rows of care and of trials do: the flasher's phase in brackets."""
    return f"{state.state} ({state.phase})" if state.phase else state.state


def does(reading: LampReading) -> str:
    """Say what a lamp does: `lit 98 %`, `off`."""
    return reading.level if reading.is_out else f"{reading.level} {si.percent(reading.flux)}"
