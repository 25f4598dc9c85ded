"""Copies of a circuit as they might be built: every part drawn within its tolerance.

The one place where chance enters, and only from a seed that the caller states. Parts are
independent. Each is drawn uniformly between its ends: standards print limits and no
spread, and of all single-peaked symmetric spreads within the limits the uniform one
strays farthest, so a yield by it is on the safe side. A filament is uniform in watts, a
resistor in ohms, a diode in the logarithm of its saturation current. No source: our choice.
"""

import numpy as np

from lampwright.judge.corners import Spread
from lampwright.solve.laws import RESISTOR, Floats, Ints


def drawn_copies(spread: Spread, kinds: Ints, copies: int, seed: int) -> Floats:
    """Values of the parts of so many copies, (copies, parts), by numpy's default generator."""
    share = np.random.default_rng(seed).random((copies, len(spread.nominal)))
    between = spread.low + share * (spread.high - spread.low)
    with np.errstate(divide="ignore", invalid="ignore"):
        by_ohms = 1.0 / (1.0 / spread.high + share * (1.0 / spread.low - 1.0 / spread.high))
    return np.where(kinds == RESISTOR, by_ohms, between)
