"""The sentences of an explanation: each function takes facts and gives the statement that says them.

A sentence says nothing that its facts do not hold. No source: our words.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from lampwright.report import si
from lampwright.report.explain.controls import Controls
from lampwright.report.explain.power import rated_ohms
from lampwright.report.explain.words import LEAST, ohms, verb
from lampwright.report.explain.words import volts as volts_of
from lampwright.report.glow import glows, unlit, unlit_all
from lampwright.results import explanation as row
from lampwright.results.design import LampReading, PartKind
from lampwright.results.explanation_facts import Branch, LampFact, Leg, PartFact, PathFact, Rests, Role
from lampwright.words import listed

EVEN = 1.1
"""Up to this ratio voltages are nearly equal."""
MUCH = 5.0
"""From this ratio on the smaller voltage is only so much."""


@dataclass(frozen=True)
class Resting:
    """A part without current: its ends, readings, the open terminals at its ends, diodes in its way.

    between: the nodes by which its way leaves a rail and comes back to it.
    """

    ref: str
    kind: PartKind
    ends: tuple[str, str]
    volts: float
    amps: float
    open: tuple[str, ...]
    blockers: tuple[str, ...]
    between: tuple[str, ...]


def lights(lamps: tuple[LampReading, ...]) -> row.Lights:
    """Say who burns, who is dark, and who glows without giving useful light."""
    said = []
    for levels, word, manner in (
        (("full", "lit"), "burn", ""),
        (("dim",), "glow", " dimly"),
        (("between",), "glow", ""),
    ):
        if some := [lamp for lamp in lamps if lamp.level in levels]:
            said.append(_glow(some, word, manner))
    off = [lamp for lamp in lamps if lamp.level == "off"]
    dark = [lamp.lamp for lamp in off if not glows(lamp.kelvin)]
    if dark:
        said.append(f"{listed(dark)} {verb(dark, 'is', 'are')} dark")
    said += _glowing([lamp for lamp in off if glows(lamp.kelvin)])
    facts = tuple(
        LampFact(lamp=lamp.lamp, level=lamp.level, flux=lamp.flux, kelvin=lamp.kelvin) for lamp in lamps
    )
    return row.Lights(text="; ".join(said) + ".", lamps=facts)


def _glowing(lamps: Sequence[LampReading]) -> list[str]:
    """Say which lamps give no useful light and yet may be seen to glow; those alike together."""
    alike: dict[int | None, list[str]] = {}
    for lamp in lamps:
        alike.setdefault(lamp.kelvin, []).append(lamp.lamp)
    return [
        f"{listed(names)} {unlit(kelvin) if len(names) == 1 else unlit_all(kelvin)}"
        for kelvin, names in alike.items()
    ]


def _glow(lamps: Sequence[LampReading], word: str, manner: str) -> str:
    """Say how bright some lamps are, in percent of rated light."""
    does = f"{verb(lamps, word + 's', word)}{manner} at"
    light = [si.percent(lamp.flux) for lamp in lamps]
    names = [lamp.lamp for lamp in lamps]
    if len(set(light)) == 1:
        return f"{listed(names)} {does} {light[0]} of rated light"
    first = f"{names[0]} {word}s{manner} at {light[0]}"
    others = [f"{name} at {share}" for name, share in zip(names[1:], light[1:], strict=True)]
    return f"{listed([first, *others])} of rated light"


def route(feeds: tuple[str, ...], legs: tuple[Leg, ...], volts: float, known: Controls) -> row.Route:
    """Say the way of a current from feed to ground."""
    amps = legs[-1].amps
    if len(feeds) > 1:
        text = _meeting(legs, known)
    else:
        start = f"From {known.place(feeds[0])}, {si.amps(amps)} flows "
        if len(legs) == 1 and len(legs[0].branches) == 1 and len(legs[0].branches[0].refs) == 1:
            where = _goal(legs, 0, known)
            part = legs[0].branches[0].refs[0]
            text = f"{start}straight through {part} to {where}, at the full {volts_of(volts)}."
        else:
            text = start + _steps(legs, known) + "."
    return row.Route(text=text, feeds=feeds, legs=legs, amps=amps, volts=volts)


def _meeting(legs: Sequence[Leg], known: Controls) -> str:
    """Say a route whose first leg comes from several feeds."""
    first = legs[0]
    ways = [
        f"{si.amps(branch.amps)} from {known.place(branch.from_node)} through {_way(branch)}"
        for branch in first.branches
    ]
    where = known.place(first.branches[0].to_node)
    return f"{listed(ways)} meet at {where}; together, {si.amps(first.amps)} flows {_steps(legs[1:], known)}."


def _steps(legs: Sequence[Leg], known: Controls) -> str:
    """Say legs one after another."""
    return ", then ".join(f"through {_leg(leg)} to {_goal(legs, at, known)}" for at, leg in enumerate(legs))


def _goal(legs: Sequence[Leg], at: int, known: Controls) -> str:
    """Name the node at which a leg ends, and the one a contact joins to it."""
    node = legs[at].branches[0].to_node
    beyond = legs[at + 1].branches[0].from_node if at + 1 < len(legs) else "31"
    if node == beyond:
        return known.place(node)
    return f"{known.place(node)}, which is joined to {known.place(beyond)}"


def _leg(leg: Leg) -> str:
    """Name a leg; branches side by side with their amps."""
    if len(leg.branches) == 1:
        return _way(leg.branches[0])
    return " beside ".join(f"{_way(branch)} ({si.amps(branch.amps)})" for branch in leg.branches)


def row_of(branch: Branch) -> str:
    """Name the parts of a branch; those in series are one thing, as the current through them is one.

    >>> row_of(Branch(("h2", "h1"), "54", "j1", 0.4)), row_of(Branch(("x",), "54", "j1", 0.4))
    ('h2 in series with h1', 'x')
    """
    return " in series with ".join(branch.refs)


def _way(branch: Branch) -> str:
    return " and then ".join(branch.refs)


def paths(facts: tuple[PathFact, ...], amps: float, known: Controls) -> row.Paths:
    """Say the ways of a current through a bridge."""
    ways = [
        f"from {known.place(path.feed)} through {', '.join(path.refs)} ({si.amps(path.amps)})"
        for path in facts
    ]
    text = f"{si.amps(amps)} reaches ground by {len(facts)} ways at once: {'; '.join(ways)}."
    return row.Paths(text=text, paths=facts, amps=amps)


def series(parts: tuple[PartFact, ...], rated: tuple[PartFact, ...]) -> row.Series:
    """Say who is in series, and how these share the voltage."""
    amps, total = parts[0].amps, sum(part.volts for part in parts)
    names = listed([part.ref for part in parts])
    ranked = sorted(parts, key=lambda part: -part.volts)
    said = f"{names} are in series: the same current runs through {'both' if len(parts) == 2 else 'all'}. "
    if ranked[0].volts <= EVEN * ranked[-1].volts:
        said += (
            f"They share the {volts_of(total)} nearly equally, about {volts_of(total / len(parts))} each, "
            f"for their resistances are nearly equal, about {ohms(total / amps / len(parts))}."
        )
    else:
        only = "only " if ranked[0].volts > MUCH * ranked[1].volts and ranked[-1].volts >= LEAST else ""
        warm = {fact.ref: fact for fact in rated}
        rest = [f"{part.ref} {only}{volts_of(part.volts)}" for part in ranked[1:]]
        why = listed([_resistance(part, warm.get(part.ref)) for part in ranked])
        most = f"{ranked[0].ref} takes {volts_of(ranked[0].volts)}"
        said += f"Of the {volts_of(total)}, {listed([most, *rest])}, for {why}."
    return row.Series(text=said, parts=parts, amps=amps, volts=total, rated=rated)


def _resistance(part: PartFact, rated: PartFact | None) -> str:
    """Say a resistance; of a filament without light also what it is at the rated point."""
    later = f" ({rated_ohms(rated)})" if rated else ""
    return f"{part.ref} has {ohms(part.ohms)}{later}"


def share(legs: tuple[Leg, ...], volts: float) -> row.Share:
    """Say how legs share the voltage, where some are several branches."""
    ranked = sorted(legs, key=lambda leg: -leg.volts)
    most = ranked[0]
    takes = [f"{branches_of(most)} {verb(most.branches, 'takes', 'take')} {volts_of(most.volts)}"]
    takes += [f"{branches_of(leg)} {volts_of(leg.volts)}" for leg in ranked[1:]]
    has = [
        f"{branches_of(leg)} {verb(leg.branches, 'has', 'together have')} {ohms(leg.ohms)}" for leg in ranked
    ]
    text = f"Of the {volts_of(volts)}, {_clauses(takes)}, for {_clauses(has)}."
    return row.Share(text=text, legs=legs, volts=volts)


def _clauses(said: Sequence[str]) -> str:
    """Join clauses that may hold an `and` of their own."""
    return ", ".join([*said[:-1], f"and {said[-1]}"])


def branches_of(leg: Leg) -> str:
    """Name the branches of a leg."""
    return listed([row_of(branch) for branch in leg.branches])


def parallel(parts: tuple[PartFact, ...], whole: bool) -> row.Parallel:
    """Say who is in parallel."""
    volts = parts[0].volts
    each = f"each has {'the full ' if whole else ''}{volts_of(volts)}{'' if whole else ' across it'}"
    text = f"{listed([part.ref for part in parts])} are in parallel: {each}, and carries its own current."
    return row.Parallel(text=text, parts=parts, volts=volts, whole=whole)


def serves(lamp: str, through: tuple[str, ...], role: Role) -> row.Serves:
    """Say that filaments without useful light ground, or feed, a lamp."""
    names, does = listed(through), verb(through, "serves", "serve")
    way = "finds its way to ground" if role == "ground" else "comes in"
    text = f"So {names} {does} as the {role} of {lamp}: the current of {lamp} {way} through {names}."
    return row.Serves(text=text, lamp=lamp, through=through, role=role)


def drop(part: PartFact, lamps: tuple[PartFact, ...]) -> row.Drop:
    """Say what a resistor takes, and its heat."""
    watts = part.volts * part.amps
    product = f"{volts_of(part.volts)} × {si.quantity(part.amps, 'A', 3)}"
    text = f"{part.ref} takes {volts_of(part.volts)} and makes {si.watts(watts)} of heat of it ({product})."
    return row.Drop(text=text, part=part, watts=watts, lamps=lamps)


def passes(part: PartFact, from_node: str, to_node: str, known: Controls) -> row.Passes:
    """Say that a diode conducts."""
    way = f"from {known.place(from_node)} to {known.place(to_node)}"
    text = f"{part.ref} lets {si.amps(part.amps)} pass {way}, and keeps {volts_of(part.volts)} for itself."
    return row.Passes(text=text, part=part, from_node=from_node, to_node=to_node)


def blocks(ref: str, volts: float, from_node: str, to_node: str, known: Controls) -> row.Blocks:
    """Say that a diode holds back a voltage."""
    text = (
        f"{ref} blocks: {known.place(to_node)} stands {volts_of(volts)} above {known.place(from_node)}, "
        f"and it lets nothing back."
    )
    return row.Blocks(text=text, ref=ref, volts=volts, from_node=from_node, to_node=to_node)


def rest(facts: Resting, why: Rests, known: Controls) -> row.Rest:
    """Say why a part carries no current."""
    state = "is dark" if facts.kind == "filament" else "carries nothing"
    ends = listed([known.place(node) for node in facts.ends])
    bars = f"{listed(facts.blockers)} {verb(facts.blockers, 'bars', 'bar')} the way"
    reasons: dict[Rests, str] = {
        "both live": f"{state}: both its ends ({ends}) are live, so there is no voltage across it.",
        "both ground": f"{state}: both its ends ({ends}) are at ground, so there is no voltage across it.",
        "live to live": f"{state}: its way {_returns(facts, 'live', known)}.",
        "ground to ground": f"{state}: its way {_returns(facts, 'at ground', known)}.",
        "no way": f"{state}: {_no_way(facts, known)}.",
        "blocked": f"{state}: {bars}.",
        "no voltage": f"{state}: both its ends stand at nearly the same voltage.",
        "trickle": f"carries only {si.amps(facts.amps)}, too little to matter.",
    }
    text = f"{facts.ref} {reasons[why]}"
    return row.Rest(
        text=text,
        ref=facts.ref,
        why=why,
        from_node=facts.ends[0],
        to_node=facts.ends[1],
        volts=facts.volts,
        amps=facts.amps,
        open=facts.open,
        blockers=facts.blockers,
        between=facts.between,
    )


def _returns(facts: Resting, held: str, known: Controls) -> str:
    """Say that a way leads from a rail to the same rail."""
    places = [known.place(node) for node in facts.between]
    if len(places) < 2:
        return f"leads from {listed(places)} only back to {listed(places)}"
    leads = f"from {places[0]} to {places[1]}" if len(places) == 2 else f"between {listed(places)}"
    return f"leads only {leads}, and {'both' if len(places) == 2 else 'all'} are {held}"


def _no_way(facts: Resting, known: Controls) -> str:
    """Say that a part lies on no way from live to ground."""
    if facts.open:
        opened = listed([known.place(node) for node in facts.open])
        return f"{opened} {verb(facts.open, 'is', 'are')} open, and no current comes that way"
    return "it lies on no way from a live feed to ground"
