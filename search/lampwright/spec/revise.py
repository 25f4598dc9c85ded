"""A spec with one thing changed, and the lines of TOML that say the change.

Every function takes a spec and gives a `Revision`: the changed `Spec`, which knows nothing of
the file it came from, and what a builder types to have it. A line of the text takes the place of the
line of the same key in the table of the same name; a lamp's table or a row given in full takes
the place of the whole.
"""

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from math import isinf
from typing import Any

from lampwright.spec.levels import DARK, is_steady, phase_words
from lampwright.spec.model import (
    FAILURES,
    Band,
    BehaviourRow,
    Diodes,
    HelperLamps,
    Lamp,
    Levels,
    Resistors,
    Spec,
    with_helpers,
)


@dataclass(frozen=True)
class Revision:
    """A changed spec, and the lines that say the change; row: of behaviour, in whose place they stand."""

    spec: Spec
    text: str
    row: int | None = None


def _revised(spec: Spec, header: str, said: Mapping[str, object], **fields: object) -> Revision:
    # what the changed spec's file would be, and its digest, nobody knows yet
    body = "".join(f"{_key(key)} = {_toml(value)}\n" for key, value in said.items())
    return Revision(replace(spec, digest="", text="", **fields), f"{header}\n{body}")  # type: ignore[arg-type]


def number(value: float) -> str:
    """A number as a person writes it."""
    return f"{value:.10g}"


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _toml(name)


def _toml(value: Any) -> str:
    """A value as TOML writes it; what is None in a table is left out."""
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, Mapping):
        pairs = ", ".join(f"{_key(key)} = {_toml(one)}" for key, one in value.items() if one is not None)
        return f"{{ {pairs} }}" if pairs else "{}"
    return f"[{', '.join(map(_toml, value))}]" if isinstance(value, tuple) else number(value)


def _of_lamp(spec: Spec, lamp: Lamp, said: Mapping[str, object], **fields: object) -> Revision:
    lamps = tuple(replace(one, **fields) if one == lamp else one for one in spec.lamps)  # type: ignore[arg-type]
    return _revised(spec, f"[lamps.{_key(lamp.name)}]", said, lamps=lamps)


def with_types(spec: Spec, lamp: Lamp, types: tuple[str, ...]) -> Revision:
    """These types are tried for a lamp."""
    return _of_lamp(spec, lamp, {"choose": types}, choose=types)


def insulated(spec: Spec, lamp: Lamp) -> Revision:
    """A lamp's holder fixes no end of it to a terminal; the text is its whole table."""
    own_names = {} if lamp.filaments == (lamp.name,) else {"filaments": lamp.filaments}
    colour = {"colour": lamp.colour} if lamp.colour else {}
    revision = _of_lamp(spec, lamp, {"choose": lamp.choose, **own_names, **colour}, common=None)
    return replace(revision, text=f"{revision.text}# without `common`: its holder is insulated\n")


def with_volts(spec: Spec, low: float, high: float) -> Revision:
    """The supply stays between low and high [V]."""
    volts = low, spec.supply.volts[1], high
    return _revised(spec, "[supply]", {"volts": volts}, supply=replace(spec.supply, volts=volts))


def with_most_amps(spec: Spec, control: str, amps: float) -> Revision:
    """A control that carries this current [A]."""
    controls = tuple(replace(one, most_amps=amps) if one.name == control else one for one in spec.controls)
    return _revised(spec, f"[controls.{_key(control)}]", {"most_amps": amps}, controls=controls)


def with_resistors(spec: Spec, resistors: Resistors) -> Revision:
    """These resistors are allowed."""
    extras = replace(spec.extras, resistors=resistors)
    return _revised(spec, "[extras]", {"resistors": asdict(resistors)}, extras=extras)


def with_diodes(spec: Spec, diodes: Diodes) -> Revision:
    """These diodes are allowed."""
    return _revised(spec, "[extras]", {"diodes": asdict(diodes)}, extras=replace(spec.extras, diodes=diodes))


def with_helper_lamps(spec: Spec, helpers: HelperLamps) -> Revision:
    """So many helper lamps are allowed, and are there."""
    extras = replace(spec.extras, lamps=helpers)
    lamps = with_helpers(replace(spec, extras=extras), helpers.most).lamps
    return _revised(spec, "[extras]", {"lamps": asdict(helpers)}, extras=extras, lamps=lamps)


def with_joints(spec: Spec, joints: int) -> Revision:
    """So many joints are allowed."""
    return _revised(spec, "[search]", {"joints": joints}, bounds=replace(spec.bounds, joints=joints))


def with_wires(spec: Spec, wires: int) -> Revision:
    """So many wires between terminals are allowed."""
    return _revised(spec, "[search]", {"wires": wires}, bounds=replace(spec.bounds, wires=wires))


def with_levels(spec: Spec, levels: Levels) -> Revision:
    """The words for a lamp stand for these bands; the text has those that changed."""
    said = {
        word: _edges(word, getattr(levels, word))
        for word in (DARK, *WORDS)
        if getattr(levels, word) != getattr(spec.levels, word)
    }
    return _revised(spec, "[levels]", said, levels=levels)


def _edges(word: str, band: Band | float) -> float | tuple[float, float]:
    """What the format wants for a level: one number where the other edge goes without saying."""
    if isinstance(band, float):
        return band
    if word == "off" and band.low == 0.0:
        return band.high
    return band.low if isinf(band.high) else (band.low, band.high)


def _when(row: BehaviourRow) -> dict[str, str | tuple[str, ...]]:
    said = {key: names for key in FAILURES if (names := getattr(row.failures, key))}
    return dict(row.when) | {key: names[0] if len(names) == 1 else names for key, names in said.items()}


def with_word(spec: Spec, row: BehaviourRow, filament: str, word: str) -> Revision:
    """A row of the behaviour table has another word for a filament; the text is the whole row."""
    show = tuple((name, word if name == filament else old) for name, old in row.show)
    behaviour = tuple(replace(one, show=show) if one == row else one for one in spec.behaviour)
    header = f"[[behaviour]]  # in place of row {row.number}"
    revision = _revised(spec, header, {"when": _when(row), "show": dict(show)}, behaviour=behaviour)
    return replace(revision, row=row.number)


WORDS = ("off", "dim", "lit", "full")
"""The words that have a band of flux, darkest first."""


def words_used(spec: Spec) -> tuple[str, ...]:
    """The words with a band of flux that the behaviour table asks for, phases taken apart; darkest first."""
    said = _said(spec)
    return tuple(word for word in WORDS if word in said)


def asks_dark(spec: Spec) -> bool:
    """Whether some lamp must not even glow in some phase."""
    return DARK in _said(spec)


def _said(spec: Spec) -> frozenset[str]:
    return frozenset(part for row in spec.behaviour for _, word in row.show for part in phase_words(word))


def settled(levels: Levels, used: Sequence[str]) -> Levels | None:
    """Levels that follow each other upwards, as the format wants them; None where they cannot.

    Only bands of words that are not used make way.

    >>> levels = Levels(Band(0, 0.005), Band(0.01, 0.15), Band(0.12, float("inf")), Band(0.6, float("inf")))
    >>> settled(levels, ("off", "lit")).dim
    Band(low=0.01, high=0.12)
    >>> settled(levels, ("dim", "lit")) is None
    True
    """
    off, dim, lit, full = levels.off, levels.dim, levels.lit, levels.full
    if "off" not in used:
        off = Band(off.low, min(off.high, dim.low if "dim" in used else lit.low))
    if "lit" not in used:
        floor = dim.high if "dim" in used else off.high
        lit = _raised(lit, floor)
        lit = Band(min(lit.low, full.low), lit.high) if "full" in used else lit
    if "full" not in used:
        full = _raised(full, lit.low)
    if "dim" not in used:
        dim = Band(max(dim.low, off.high), min(dim.high, lit.low))
        dim = dim if dim.low < dim.high else Band(off.high, lit.low)
    follow = 0.0 < off.high <= dim.low < dim.high <= lit.low <= full.low
    if not follow or lit.low >= lit.high or full.low >= full.high:
        return None
    return replace(levels, off=off, dim=dim, lit=lit, full=full)


def _raised(band: Band, floor: float) -> Band:
    low = max(band.low, floor)
    return Band(low, band.high if band.high > low else float("inf"))


def two_digits(low: float, high: float) -> tuple[float, ...]:
    """Every number of two significant digits from low to high, both included, rising.

    >>> two_digits(0.097, 0.12)
    (0.097, 0.098, 0.099, 0.1, 0.11, 0.12)
    """
    every = (float(f"{digits}e{power}") for power in range(-8, 5) for digits in range(10, 100))
    return tuple(value for value in every if low <= value <= high)


def weaker_words(word: str) -> tuple[str, ...]:
    """What asks less than a word: off for dark, nothing in one phase where it has two, nothing at all.

    >>> weaker_words("flash"), weaker_words("lit"), weaker_words("any")
    (('lit/any', 'any/off', 'any'), ('any',), ())
    >>> weaker_words("dark"), weaker_words("lit/dark")
    (('off', 'any'), ('lit/off', 'lit/any', 'any/dark', 'any'))
    """
    if is_steady(word):
        return {"any": (), DARK: ("off", "any")}.get(word, ("any",))
    closed, opened = phase_words(word)
    may_glow = (word.replace(DARK, "off"),) if DARK in (closed, opened) else ()
    halves = (f"{closed}/any", f"any/{opened}") if "any" not in (closed, opened) else ()
    return (*may_glow, *halves, "any")
