"""Changes of what may be built in: another holder, a stronger contact, one more part, lamp, joint or wire."""

from collections.abc import Iterator
from dataclasses import replace

from lampwright.diagnosis.suggest.attempt import Attempt, NotTriedError
from lampwright.problem.reading import MOST_EXTRA_PARTS, MOST_PARTS_SOLVED
from lampwright.searching.plan import MOST_NODES
from lampwright.spec.model import (
    Control,
    Diodes,
    HelperLamps,
    Lamp,
    Resistors,
    Spec,
    filament_names,
    helper_count,
)
from lampwright.spec.revise import (
    Revision,
    insulated,
    number,
    two_digits,
    with_diodes,
    with_helper_lamps,
    with_joints,
    with_most_amps,
    with_resistors,
    with_wires,
)
from lampwright.words import many

FIRST_RESISTORS = tuple(
    Resistors(1, series, (1.0, 100.0), (5.0, 10.0, 25.0), None) for series in ("E12", "E24")
)
"""What is tried where the spec allows no resistor, the usual first."""

FIRST_DIODES = Diodes(1, ("1N5404",))
"""What is tried where the spec allows no diode."""

MOST_OF_A_KIND, MOST_JOINTS, MOST_WIRES = 6, 4, 6
"""What the format takes at most: resistors or diodes, joints, wires."""

MOST_TYPES = 3
"""So many of the spec's own types are tried in a helper lamp where it allows none."""

MOST_TIMES = 8.0
"""A contact is made stronger by no more than this factor: beyond, the controls are others."""


def insulated_holder(attempt: Attempt) -> str:
    """One lamp with a fixed end in an insulated holder; a fixed end more can only refuse circuits."""
    fixed = [lamp for lamp in attempt.spec.lamps if lamp.common is not None]
    if not fixed:
        raise NotTriedError("no holder fixes an end of its lamp (no `common`)")
    for lamp in fixed:
        attempt.alone(_insulated_said(lamp), insulated(attempt.spec, lamp))
    names = "each of " * (len(fixed) > 1) + ", ".join(f"`{lamp.name}`" for lamp in fixed)
    return f"{names} alone in an insulated holder"


def _insulated_said(lamp: Lamp) -> str:
    said = f"put `{lamp.name}` in an insulated holder, so that no end of it is fixed to {lamp.common}"
    return said if len(lamp.filaments) == 1 else f"{said}; what its filaments share stays shared"


def looser_rating(attempt: Attempt) -> str:
    """One control that carries more."""
    limits = {one: one.most_amps for one in attempt.spec.controls if one.most_amps is not None}
    if not limits:
        raise NotTriedError("no control states what it carries (no `most_amps`)")
    for control, most in limits.items():
        _stronger(attempt, control, most)
    names = ", ".join(f"`{control.name}`" for control in limits)
    return f"more amps through {names}, one at a time"


def _stronger(attempt: Attempt, control: Control, most: float) -> None:
    def say(amps: float) -> str:
        bear = "its contacts, fuse and wires must bear it"
        return f"let `{control.name}` carry {number(amps)} A in place of {number(most)} A: {bear}"

    attempt.along(
        [amps for amps in two_digits(most, MOST_TIMES * most) if amps > most],
        lambda amps: with_most_amps(attempt.spec, control.name, amps),
        say,
    )


def one_more_part(attempt: Attempt) -> str:
    """One resistor more, or one diode more; of each the first that passes is enough."""
    spec, asked = attempt.spec, attempt.trier.most_extra
    resistors, diodes = spec.extras.resistors, spec.extras.diodes
    allowed = (resistors.most if resistors else 0) + (diodes.most if diodes else 0)
    if asked is not None and asked < allowed:
        parts = many(asked, "extra part")
        raise NotTriedError(f"the spec allows {allowed}, and the search was asked for {parts}")
    if allowed >= MOST_EXTRA_PARTS:
        raise NotTriedError(f"{allowed} extra parts are as many as can be searched")
    every = [list(some(spec)) for some in (_resistor_more, _diode_more)]
    for changes in every:
        for said, revision in changes:
            if attempt.alone(said, revision, "added", 1):
                break
    return "; ".join(said for changes in every for said, _ in changes)


def _resistor_more(spec: Spec) -> Iterator[tuple[str, Revision]]:
    own = spec.extras.resistors
    for one in FIRST_RESISTORS if own is None else (replace(own, most=own.most + 1),):
        if one.most <= MOST_OF_A_KIND:
            ohms = f"{one.series}, {number(one.ohms[0])} to {number(one.ohms[1])} ohm"
            yield f"allow {_one('resistor', one.most)} ({ohms})", with_resistors(spec, one)


def _diode_more(spec: Spec) -> Iterator[tuple[str, Revision]]:
    own = spec.extras.diodes
    one = FIRST_DIODES if own is None else replace(own, most=own.most + 1)
    if one.most <= MOST_OF_A_KIND:
        yield f"allow {_one('diode', one.most)} ({', '.join(one.choose)})", with_diodes(spec, one)


def one_more_lamp(attempt: Attempt) -> str:
    """One helper lamp more, of the types that the spec allows for them, or else of all that it names."""
    spec, own = attempt.spec, attempt.spec.extras.lamps
    most = 1 + helper_count(spec)
    if most > MOST_OF_A_KIND:
        raise NotTriedError(f"{MOST_OF_A_KIND} helper lamps are as many as a spec may allow")
    named = (name for lamp in spec.lamps if len(lamp.filaments) == 1 for name in lamp.choose)
    choose = tuple(dict.fromkeys(named))[:MOST_TYPES] if own is None else own.choose
    if not choose:
        raise NotTriedError("the spec names no lamp with one filament")
    resistors, diodes = spec.extras.resistors, spec.extras.diodes
    extra = (resistors.most if resistors else 0) + (diodes.most if diodes else 0)
    if len(filament_names(spec)) + extra >= MOST_PARTS_SOLVED:
        raise NotTriedError(f"{MOST_PARTS_SOLVED} parts are as many as can be solved")
    said = f"{_one('helper lamp', most)} ({', '.join(choose)})"
    return _allowed(attempt, said, with_helper_lamps(spec, HelperLamps(most, choose)))


def _one(noun: str, most: int) -> str:
    return f"one {noun}" if most == 1 else f"one {noun} more, {most} in all"


def one_more_joint(attempt: Attempt) -> str:
    """One joint more."""
    joints = attempt.spec.bounds.joints + 1
    if joints > MOST_JOINTS:
        raise NotTriedError(f"{MOST_JOINTS} are as many as a spec may allow")
    if len(attempt.trier.problem.layout.terminals) + joints > MOST_NODES:
        raise NotTriedError(f"a listing can be checked for at most {MOST_NODES} nodes")
    return _allowed(attempt, _one("joint", joints), with_joints(attempt.spec, joints))


def one_more_wire(attempt: Attempt) -> str:
    """One wire between terminals more."""
    wires = attempt.spec.bounds.wires + 1
    if wires > MOST_WIRES:
        raise NotTriedError(f"{MOST_WIRES} are as many as a spec may allow")
    if wires > len(attempt.trier.problem.layout.terminals) - 1:
        raise NotTriedError("all terminals may be joined already")
    return _allowed(attempt, _one("wire between terminals", wires), with_wires(attempt.spec, wires))


def _allowed(attempt: Attempt, said: str, revision: Revision) -> str:
    attempt.alone(f"allow {said}", revision, "added")
    return f"allow {said}"
