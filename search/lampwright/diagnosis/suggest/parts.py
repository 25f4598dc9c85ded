"""Changes of what may be built in: an insulated holder, a stronger contact, one more part, joint or wire."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from lampwright.diagnosis.suggest.scale import Scale, along
from lampwright.diagnosis.suggest.trial import Trial, Trier, best
from lampwright.diagnosis.suggest.words import Attempt, Kind, Proposal, attempt, not_tried
from lampwright.problem.reading import MOST_EXTRA_PARTS
from lampwright.searching.plan import MOST_NODES
from lampwright.spec.model import Control, Diodes, Lamp, Resistors, Spec
from lampwright.spec.revise import (
    Revision,
    insulated,
    number,
    two_digits,
    with_diodes,
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

MOST_TIMES = 8.0
"""A contact is made stronger by no more than this factor: beyond, the controls are others."""


def insulated_holder(trier: Trier) -> Attempt:
    """One lamp with a fixed end in an insulated holder; a fixed end more can only refuse circuits."""
    spec = trier.problem.spec
    fixed = [lamp for lamp in spec.lamps if lamp.common is not None]
    if not fixed:
        return not_tried("insulated holder", "no holder fixes an end of its lamp (no `common`)")
    trials = [trier.try_out(insulated(spec, lamp)) for lamp in fixed]
    proposals = [
        Proposal(_insulated_said(lamp), found)
        for lamp, trial in zip(fixed, trials, strict=True)
        if (found := best(trial)) is not None
    ]
    names = "each of " * (len(fixed) > 1) + ", ".join(f"`{lamp.name}`" for lamp in fixed)
    return attempt("insulated holder", f"{names} alone in an insulated holder", trials, proposals)


def _insulated_said(lamp: Lamp) -> str:
    said = f"put `{lamp.name}` in an insulated holder, so that no end of it is fixed to {lamp.common}"
    return said if len(lamp.filaments) == 1 else f"{said}; what its filaments share stays shared"


def looser_rating(trier: Trier) -> Attempt:
    """One control that carries more."""
    spec = trier.problem.spec
    limited = [control for control in spec.controls if control.most_amps is not None]
    if not limited:
        return not_tried("looser rating", "no control states what it carries (no `most_amps`)")
    trials: list[Trial] = []
    proposals: list[Proposal] = []
    for control in limited:
        proposals += along(trier, _stronger(spec, control), trials)
    names = ", ".join(f"`{control.name}`" for control in limited)
    return attempt("looser rating", f"more amps through {names}, one at a time", trials, proposals)


def _stronger(spec: Spec, control: Control) -> Scale:
    most = control.most_amps or 0.0
    amps = tuple(value for value in two_digits(most, MOST_TIMES * most) if value > most)

    def say(changed: Spec) -> str:
        now = next(one.most_amps for one in changed.controls if one.name == control.name) or most
        bear = "its contacts, fuse and wires must bear it"
        return f"let `{control.name}` carry {number(now)} A in place of {number(most)} A: {bear}"

    return Scale(lambda at: with_most_amps(spec, control.name, amps[at]), len(amps), say)


def one_more_part(trier: Trier) -> Attempt:
    """One resistor more, or one diode more."""
    spec = trier.problem.spec
    resistors, diodes = spec.extras.resistors, spec.extras.diodes
    allowed = (resistors.most if resistors else 0) + (diodes.most if diodes else 0)
    if trier.most_extra is not None and trier.most_extra < allowed:
        asked = many(trier.most_extra, "extra part")
        return not_tried("one more part", f"the spec allows {allowed}, and the search was asked for {asked}")
    if allowed >= MOST_EXTRA_PARTS:
        return not_tried("one more part", f"{allowed} extra parts are as many as can be searched")
    revisions = (*_resistor_more(spec), *_diode_more(spec))
    trials: list[Trial] = []
    proposals: list[Proposal] = []
    for sort in dict.fromkeys(one.sort for one in revisions):
        for one in revisions:
            if one.sort != sort:
                continue
            trials.append(trier.try_out(one.revision, "added", 1))
            found = best(trials[-1])
            if found is not None:
                proposals.append(Proposal(one.said, found))
                break
    return attempt("one more part", "; ".join(one.said for one in revisions), trials, proposals)


@dataclass(frozen=True)
class _More:
    """A revision that allows one part more, in words; of one sort the first that passes is enough."""

    sort: str
    said: str
    revision: Revision


def _resistor_more(spec: Spec) -> Iterator[_More]:
    own = spec.extras.resistors
    offered = FIRST_RESISTORS if own is None else (replace(own, most=own.most + 1),)
    for one in offered:
        if one.most <= MOST_OF_A_KIND:
            ohms = f"{one.series}, {number(one.ohms[0])} to {number(one.ohms[1])} ohm"
            said = f"allow {_one('resistor', one.most)} ({ohms})"
            yield _More("resistor", said, with_resistors(spec, one))


def _diode_more(spec: Spec) -> Iterator[_More]:
    own = spec.extras.diodes
    one = FIRST_DIODES if own is None else replace(own, most=own.most + 1)
    if one.most <= MOST_OF_A_KIND:
        said = f"allow {_one('diode', one.most)} ({', '.join(one.choose)})"
        yield _More("diode", said, with_diodes(spec, one))


def _one(noun: str, most: int) -> str:
    return f"one {noun}" if most == 1 else f"one {noun} more, {most} in all"


def one_more_joint(trier: Trier) -> Attempt:
    """One joint more."""
    joints = trier.problem.spec.bounds.joints + 1
    if joints > MOST_JOINTS:
        return not_tried("one more joint", f"{MOST_JOINTS} are as many as a spec may allow")
    if len(trier.problem.layout.terminals) + joints > MOST_NODES:
        return not_tried("one more joint", f"a listing can be checked for at most {MOST_NODES} nodes")
    return _bounds(trier, "one more joint", joints, with_joints, "joint")


def one_more_wire(trier: Trier) -> Attempt:
    """One wire between terminals more."""
    wires = trier.problem.spec.bounds.wires + 1
    if wires > MOST_WIRES:
        return not_tried("one more wire", f"{MOST_WIRES} are as many as a spec may allow")
    if wires > len(trier.problem.layout.terminals) - 1:
        return not_tried("one more wire", "all terminals may be joined already")
    return _bounds(trier, "one more wire", wires, with_wires, "wire between terminals")


def _bounds(
    trier: Trier, kind: Kind, count: int, revise: Callable[[Spec, int], Revision], noun: str
) -> Attempt:
    said = f"allow {_one(noun, count)}"
    trial = trier.try_out(revise(trier.problem.spec, count), "added")
    found = best(trial)
    return attempt(kind, said, [trial], [] if found is None else [Proposal(said, found)])
