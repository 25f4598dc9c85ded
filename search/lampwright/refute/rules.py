"""The refutations by name: what each claims and why it is sound.

A rule can only refuse. None looks at a part's value, so what it refuses is refused for
all values. In every state a terminal is live, grounded or open; every part's current is
a non-decreasing function of its voltage, zero at zero. Then currents and lamp voltages
are unique, potentials lie between ground and supply, and raising a terminal (ground to
open to live) lowers no potential.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Rule:
    """One necessary condition: its name, its claim and the reason in one sentence."""

    name: str
    claim: str
    reason: str


ACROSS = Rule(
    "across",
    "a filament whose two ends are terminals with known potentials shows a known light",
    "its voltage is the supply, or nothing, whatever else the circuit holds",
)
MONOTONE = Rule(
    "monotone",
    "a filament with an end grounded in two states is no darker where other terminals are higher,"
    " and with an end live no brighter",
    "raising a terminal lowers no potential, so the voltage across it moves one way",
)
PATH = Rule(
    "path",
    "a filament that must glow lies on a simple path from a live to a grounded terminal",
    "currents split into live-to-ground paths that descend in potential and never circulate",
)
SAME_NET = Rule(
    "same net",
    "two states in which the same parts lie between the same live and grounded terminals look the same",
    "what lies on no live-to-ground path carries nothing, and the operating point is unique",
)

RULES = (ACROSS, MONOTONE, PATH, SAME_NET)
