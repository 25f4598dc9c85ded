"""The specs that are searched: the ladder, a step beyond it, and one with three terminals.

All are written by rule, so that only their size differs from rung to rung.
"""

from dataclasses import dataclass
from pathlib import Path

SUPPLY = """lampwright = 1
title = "{title}"

[supply]
system = 12
volts = [11.8, 13.5, 14.4]
"""
CONTROL = """
[controls.{name}]
kind = "{kind}"
feed = "{feed}"
most_amps = 8.0
"""
RESISTORS = 'resistors = {{ most = {most}, series = "E3", ohms = [1.0, 100.0], watts = [5, 10, 25] }}\n'
DIODES = 'diodes = {{ most = {most}, choose = ["1N5404"] }}\n'
VEHICLE = (("turn", "flasher", "49a"), ("brake", "switch", "54"), ("lights", "switch", "58"))
TRAILER = (("left_tail", "switch", "58L"), ("right_tail", "switch", "58R"))
FOUR_LAMPS = (("front", "P21W"), ("side", "W2.3W"), ("stop", "P21W"), ("tail", "R5W"))
SIX_LAMPS = (*FOUR_LAMPS, ("plate", "C5W"), ("dash", "W2.3W"))
THREE_LAMPS = (("left", "R5W"), ("right", "R5W"), ("telltale", "W2.3W"))
FOUR_BEHAVE = (
    ('brake = "on", turn = "off"', 'stop = "lit", side = "lit", front = "off"'),
    ('brake = "off", turn = "on"', 'front = "flash", side = "flash", stop = "off"'),
    ('brake = "on", turn = "on"', 'front = "flash", stop = "lit", side = "counterflash"'),
    ('lights = "on"', 'tail = "lit"'),
)
SIX_BEHAVE = (
    *FOUR_BEHAVE,
    ('lights = "on"', 'plate = "lit"'),
    ('lights = "off", turn = "on"', 'dash = "flash"'),
)
THREE_BEHAVE = (
    ('left_tail = "on", right_tail = "off"', 'left = "lit", right = "off", telltale = "lit"'),
    ('left_tail = "off", right_tail = "on"', 'left = "off", right = "lit", telltale = "lit"'),
    ('left_tail = "on", right_tail = "on"', 'left = "lit", right = "lit", telltale = "off"'),
)


@dataclass(frozen=True)
class Rung:
    """At most so many diodes, resistors and joints."""

    diodes: int
    resistors: int
    joints: int

    def __str__(self) -> str:
        """As the table has it."""
        return f"{self.diodes}D {self.resistors}R {self.joints}J"

    @property
    def stem(self) -> str:
        """As a file name."""
        return f"d{self.diodes}r{self.resistors}j{self.joints}"


Named = tuple[tuple[str, ...], ...]


def four_lamps(rung: Rung, folder: Path) -> Path:
    """Write a rung of the ladder: four terminals, four single-filament lamps."""
    return _write(folder / f"four_{rung.stem}.toml", VEHICLE, FOUR_LAMPS, rung, FOUR_BEHAVE)


def six_lamps(rung: Rung, folder: Path) -> Path:
    """Write a rung beyond: four terminals, six single-filament lamps."""
    return _write(folder / f"six_{rung.stem}.toml", VEHICLE, SIX_LAMPS, rung, SIX_BEHAVE)


def three_terminals(rung: Rung, folder: Path) -> Path:
    """Write a spec of three terminals and three lamps."""
    return _write(folder / f"three_{rung.stem}.toml", TRAILER, THREE_LAMPS, rung, THREE_BEHAVE)


def _write(path: Path, controls: Named, lamps: Named, rung: Rung, behaviour: Named) -> Path:
    parts = [SUPPLY.format(title=f"Bench: {len(lamps)} lamps, {rung}")]
    parts += [CONTROL.format(name=name, kind=kind, feed=feed) for name, kind, feed in controls]
    parts += [f'\n[lamps.{name}]\nchoose = ["{lamp}"]\n' for name, lamp in lamps]
    if rung.resistors or rung.diodes:
        parts.append("\n[extras]\n")
    if rung.resistors:
        parts.append(RESISTORS.format(most=rung.resistors))
    if rung.diodes:
        parts.append(DIODES.format(most=rung.diodes))
    parts.append(f"\n[search]\njoints = {rung.joints}\nwires = 0\n")
    parts += [f"\n[[behaviour]]\nwhen = {{ {when} }}\nshow = {{ {show} }}\n" for when, show in behaviour]
    path.write_text("".join(parts), encoding="utf-8")
    return path
