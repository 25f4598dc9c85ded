"""What is so at one operating point, statement by statement: facts, and the sentence that says them.

The ways of the current, who shares what, who stands idle and why. Facts are read off the graph of
`point`; a sentence says nothing that its facts do not hold. No source: our words, and our choice of
what is worth saying.
"""

from collections.abc import Iterator, Sequence

from lampwright.report import si
from lampwright.report.explain import power
from lampwright.report.explain.controls import Controls
from lampwright.report.explain.feeds import feeds
from lampwright.report.explain.point import (
    GROUND,
    LIVE,
    OperatingPoint,
    PartFlow,
    legs_of,
    one_part,
    parallel_sets,
    paths_of,
    refs_of,
    returns_to,
    series_sets,
    streams,
    ways_through,
)
from lampwright.report.explain.words import LEAST, ohms, rated_ohms, verb, volts
from lampwright.report.glow import glows, unlit, unlit_all
from lampwright.results import explanation as row
from lampwright.results.design import FLOW, LampReading
from lampwright.results.explanation import Branch, LampFact, Leg, PartFact, Rests, Role
from lampwright.words import listed

EVEN = 1.1
"""Up to this ratio voltages are nearly equal."""
MUCH = 5.0
"""From this ratio on the smaller voltage is only so much."""
RETURNS: dict[Rests, str] = {"live to live": LIVE, "ground to ground": GROUND}


def statements_of(point: OperatingPoint) -> Iterator[row.Statement]:
    """Say all there is to say of one operating point."""
    yield feeds(point)
    if lamps := [point.lamp(one.ref) for one in point.parts if one.is_filament]:
        yield _lights(lamps)
    if not point.supply:
        return
    for stream in streams(point.flowing):
        yield from _stream(point, stream)
    for some in parallel_sets(point.flowing):
        if {some[0].tail, some[0].head} == {LIVE, GROUND}:
            yield _parallel(some, whole=True)
    for one in point.parts:
        if point.is_blocking(one):
            yield _blocks(point, one)
        elif one not in point.flowing:
            yield _rest(point, one)


def _lights(lamps: Sequence[LampReading]) -> row.Lights:
    """Say who burns, who is dark, and who glows without giving useful light."""
    said = []
    for levels, word, manner in (
        (("full", "lit"), "burn", ""),
        (("dim",), "glow", " dimly"),
        (("between",), "glow", ""),
    ):
        if some := [lamp for lamp in lamps if lamp.level in levels]:
            said.append(_burns(some, word, manner))
    off = [lamp for lamp in lamps if lamp.level == "off"]
    dark = [lamp.lamp for lamp in off if not glows(lamp.kelvin)]
    if dark:
        said.append(f"{listed(dark)} {verb(dark, 'is', 'are')} dark")
    alike: dict[int | None, list[str]] = {}
    for lamp in off:
        if glows(lamp.kelvin):
            alike.setdefault(lamp.kelvin, []).append(lamp.lamp)
    said += [
        f"{listed(names)} {unlit(kelvin) if len(names) == 1 else unlit_all(kelvin)}"
        for kelvin, names in alike.items()
    ]
    return row.Lights(text="; ".join(said) + ".", lamps=tuple(lamp_fact(lamp) for lamp in lamps))


def lamp_fact(reading: LampReading) -> LampFact:
    """Write down how bright and how hot a filament is."""
    return LampFact(lamp=reading.lamp, level=reading.level, flux=reading.flux, kelvin=reading.kelvin)


def _burns(lamps: Sequence[LampReading], word: str, manner: str) -> str:
    """Say how bright some lamps are, in percent of rated light."""
    light = [si.percent(lamp.flux) for lamp in lamps]
    names = [lamp.lamp for lamp in lamps]
    if len(set(light)) == 1:
        return f"{listed(names)} {verb(names, word + 's', word)}{manner} at {light[0]} of rated light"
    first = f"{names[0]} {word}s{manner} at {light[0]}"
    others = [f"{name} at {share}" for name, share in zip(names[1:], light[1:], strict=True)]
    return f"{listed([first, *others])} of rated light"


def _stream(point: OperatingPoint, stream: Sequence[PartFlow]) -> Iterator[row.Statement]:
    """Say one stream: its way, who shares what and why, who gets what power, and who serves whom."""
    legs = legs_of(stream)
    yield _route(point, legs) if legs else _paths(point, stream)
    for some in parallel_sets(stream):
        yield _parallel(some, whole=False)
    alike = series_sets(stream)
    for some in alike:
        yield _series(point, some)
        yield from _compared(point, some)
    if any(len(leg.branches) > 1 for leg in legs) and len(legs) > 1:
        yield _share(legs, point.supply)
        branches = [branch for leg in legs for branch in leg.branches]
        yield from _compared(point, [point.part(one.refs[0]) for one in branches if len(one.refs) == 1])
    for one in stream:
        if one.part.kind == "resistor":
            yield _drop(one, [other for some in alike if one in some for other in some if other.is_filament])
        if one.part.kind == "diode":
            yield _passes(point, one)
    bright = [point.filament(one) for one in stream if point.is_burning(one)]
    if known := tuple(fact for fact in bright if fact is not None):
        yield power.power(known)
    for one in stream:
        if point.is_dark(one):
            yield power.faint(one.fact, point.filament(one))
    yield from _services(point, legs)


def _route(point: OperatingPoint, legs: tuple[Leg, ...]) -> row.Route:
    """Say the way of a current from feed to ground."""
    place = point.controls.place
    first, amps = legs[0], legs[-1].amps
    feeds = tuple(dict.fromkeys(branch.from_node for branch in first.branches))
    if len(feeds) > 1:
        ways = [
            f"{si.amps(one.amps)} from {place(one.from_node)} through {_way(one)}" for one in first.branches
        ]
        meet = f"{listed(ways)} meet at {place(first.branches[0].to_node)}"
        text = f"{meet}; together, {si.amps(first.amps)} flows {_steps(legs[1:], point.controls)}."
    else:
        start = f"From {place(feeds[0])}, {si.amps(amps)} flows "
        if len(legs) == 1 and (part := one_part(first)):
            goal = _goal(legs, 0, point.controls)
            text = f"{start}straight through {part} to {goal}, at the full {volts(point.supply)}."
        else:
            text = f"{start}{_steps(legs, point.controls)}."
    return row.Route(text=text, feeds=feeds, legs=legs, amps=amps, volts=point.supply)


def _steps(legs: Sequence[Leg], known: Controls) -> str:
    """Say legs one after another; branches side by side with their amps."""
    said = []
    for at, leg in enumerate(legs):
        ways = [f"{_way(branch)} ({si.amps(branch.amps)})" for branch in leg.branches]
        way = " beside ".join(ways) if len(ways) > 1 else _way(leg.branches[0])
        said.append(f"through {way} to {_goal(legs, at, known)}")
    return ", then ".join(said)


def _goal(legs: Sequence[Leg], at: int, known: Controls) -> str:
    """Name the node at which a leg ends, and the one a contact joins to it."""
    node = legs[at].branches[0].to_node
    beyond = legs[at + 1].branches[0].from_node if at + 1 < len(legs) else "31"
    if node == beyond:
        return known.place(node)
    return f"{known.place(node)}, which is joined to {known.place(beyond)}"


def _way(branch: Branch) -> str:
    return " and then ".join(branch.refs)


def row_of(branch: Branch) -> str:
    """Name the parts of a branch; those in series are one thing, as the current through them is one.

    >>> row_of(Branch(refs=("h2", "h1"), from_node="54", to_node="j1", amps=0.4))
    'h2 in series with h1'
    """
    return " in series with ".join(branch.refs)


def branches_of(leg: Leg) -> str:
    """Name the branches of a leg."""
    return listed([row_of(branch) for branch in leg.branches])


def _paths(point: OperatingPoint, stream: Sequence[PartFlow]) -> row.Paths:
    """Say the ways of a current through a bridge."""
    facts, amps = paths_of(stream), sum(one.amps for one in stream if one.head == GROUND)
    ways = [
        f"from {point.controls.place(path.feed)} through {', '.join(path.refs)} ({si.amps(path.amps)})"
        for path in facts
    ]
    text = f"{si.amps(amps)} reaches ground by {len(facts)} ways at once: {'; '.join(ways)}."
    return row.Paths(text=text, paths=facts, amps=amps)


def _parallel(some: Sequence[PartFlow], whole: bool) -> row.Parallel:
    """Say who is in parallel; whole: straight between live and ground."""
    shared = some[0].volts
    each = f"each has {'the full ' if whole else ''}{volts(shared)}{'' if whole else ' across it'}"
    text = f"{listed([one.ref for one in some])} are in parallel: {each}, and carries its own current."
    return row.Parallel(text=text, parts=tuple(one.fact for one in some), volts=shared, whole=whole)


def _series(point: OperatingPoint, some: Sequence[PartFlow]) -> row.Series:
    """Say who is in series, and how these share the voltage."""
    parts = tuple(one.fact for one in some)
    rated = {one.ref: fact for one in some if point.is_dark(one) and (fact := one.rated)}
    amps, total = parts[0].amps, sum(part.volts for part in parts)
    names = listed([part.ref for part in parts])
    ranked = sorted(parts, key=lambda part: -part.volts)
    said = f"{names} are in series: the same current runs through {'both' if len(parts) == 2 else 'all'}. "
    if ranked[0].volts <= EVEN * ranked[-1].volts:
        said += (
            f"They share the {volts(total)} nearly equally, about {volts(total / len(parts))} each, "
            f"for their resistances are nearly equal, about {ohms(total / amps / len(parts))}."
        )
    else:
        only = "only " if ranked[0].volts > MUCH * ranked[1].volts and ranked[-1].volts >= LEAST else ""
        takes = [f"{ranked[0].ref} takes {volts(ranked[0].volts)}"]
        takes += [f"{part.ref} {only}{volts(part.volts)}" for part in ranked[1:]]
        has = listed([_resistance(part, rated.get(part.ref)) for part in ranked])
        said += f"Of the {volts(total)}, {listed(takes)}, for {has}."
    return row.Series(text=said, parts=parts, amps=amps, volts=total, rated=tuple(rated.values()))


def _resistance(part: PartFact, rated: PartFact | None) -> str:
    """Say a resistance; of a filament without light also what it is at the rated point."""
    return f"{part.ref} has {ohms(part.ohms)}" + (f" ({rated_ohms(rated)})" if rated else "")


def _compared(point: OperatingPoint, some: Sequence[PartFlow]) -> Iterator[row.Compared]:
    """Say why the filament that takes most of the voltage takes more than the one that takes least."""
    facts = [fact for one in some if (fact := point.filament(one))]
    if len(facts) > 1:
        most, least = max(facts, key=lambda fact: fact.volts), min(facts, key=lambda fact: fact.volts)
        if said := power.compared(most, least):
            yield said


def _share(legs: tuple[Leg, ...], supply: float) -> row.Share:
    """Say how legs share the voltage, where some are several branches."""
    ranked = sorted(legs, key=lambda leg: -leg.volts)
    most = ranked[0]
    takes = [f"{branches_of(most)} {verb(most.branches, 'takes', 'take')} {volts(most.volts)}"]
    takes += [f"{branches_of(leg)} {volts(leg.volts)}" for leg in ranked[1:]]
    has = [
        f"{branches_of(leg)} {verb(leg.branches, 'has', 'together have')} {ohms(leg.ohms)}" for leg in ranked
    ]
    text = f"Of the {volts(supply)}, {_clauses(takes)}, for {_clauses(has)}."
    return row.Share(text=text, legs=legs, volts=supply)


def _clauses(said: Sequence[str]) -> str:
    """Join clauses that may hold an `and` of their own."""
    return ", ".join([*said[:-1], f"and {said[-1]}"])


def _services(point: OperatingPoint, legs: Sequence[Leg]) -> Iterator[row.Serves]:
    """Say which dark filaments ground, or feed, which burning lamp of a route."""
    for at, leg in enumerate(legs):
        lamp = one_part(leg)
        if not lamp or not point.is_burning(point.part(lamp)):
            continue
        sides: tuple[tuple[Role, Sequence[Leg]], ...] = (("ground", legs[at + 1 :]), ("feed", legs[:at]))
        for role, others in sides:
            if dark := tuple(ref for other in others for ref in _all_dark(point, other)):
                names, does = listed(dark), verb(dark, "serves", "serve")
                way = "finds its way to ground" if role == "ground" else "comes in"
                text = (
                    f"So {names} {does} as the {role} of {lamp}: the current of {lamp} {way} through {names}."
                )
                yield row.Serves(text=text, lamp=lamp, through=dark, role=role)


def _all_dark(point: OperatingPoint, leg: Leg) -> tuple[str, ...]:
    """The dark filaments of a leg whose whole current runs through them, none of its parts alight."""
    dark = [[ref for ref in branch.refs if point.is_dark(point.part(ref))] for branch in leg.branches]
    if not all(dark) or any(point.is_burning(point.part(ref)) for ref in refs_of(leg)):
        return ()
    return tuple(ref for refs in dark for ref in refs)


def _drop(one: PartFlow, lamps: Sequence[PartFlow]) -> row.Drop:
    """Say what a resistor takes, and its heat; lamps: the filaments in series with it."""
    watts = one.volts * one.amps
    product = f"{volts(one.volts)} × {si.quantity(one.amps, 'A', 3)}"
    text = f"{one.ref} takes {volts(one.volts)} and makes {si.watts(watts)} of heat of it ({product})."
    return row.Drop(text=text, part=one.fact, watts=watts, lamps=tuple(lamp.fact for lamp in lamps))


def _passes(point: OperatingPoint, one: PartFlow) -> row.Passes:
    """Say that a diode conducts."""
    a, b = one.part.from_node, one.part.to_node
    way = f"from {point.controls.place(a)} to {point.controls.place(b)}"
    text = f"{one.ref} lets {si.amps(one.amps)} pass {way}, and keeps {volts(one.volts)} for itself."
    return row.Passes(text=text, part=one.fact, from_node=a, to_node=b)


def _blocks(point: OperatingPoint, one: PartFlow) -> row.Blocks:
    """Say that a diode holds back a voltage."""
    a, b = one.part.from_node, one.part.to_node
    above = f"{point.controls.place(b)} stands {volts(one.volts)} above {point.controls.place(a)}"
    text = f"{one.ref} blocks: {above}, and it lets nothing back."
    return row.Blocks(text=text, ref=one.ref, volts=one.volts, from_node=a, to_node=b)


def _rest(point: OperatingPoint, one: PartFlow) -> row.Rest:
    """Say why a part carries no current."""
    place, a, b = point.controls.place, one.part.from_node, one.part.to_node
    opened = tuple(
        node for node in dict.fromkeys((a, b)) if node in point.terminals and point.held(node) == "open"
    )
    ways = ways_through(point.parts, one.ref)
    blockers = tuple(
        dict.fromkeys(
            other.ref for way in ways for other, forward in way if not forward and point.is_blocking(other)
        )
    )
    is_barred = bool(blockers) and not any(
        all(forward or other.part.kind != "diode" for other, forward in way) for way in ways
    )
    why = _why(point, one, is_on_a_way=bool(ways), is_barred=is_barred)
    between = returns_to(point.parts, one.ref, RETURNS[why]) if why in RETURNS else ()
    places = [place(node) for node in between]
    both = f"both its ends ({listed([place(a), place(b)])})"
    no_way = "it lies on no way from a live feed to ground"
    if opened:
        no_way = f"{listed([place(node) for node in opened])} {verb(opened, 'is', 'are')} open"
        no_way += ", and no current comes that way"
    reasons: dict[Rests, str] = {
        "both live": f"{both} are live, so there is no voltage across it",
        "both ground": f"{both} are at ground, so there is no voltage across it",
        "live to live": f"its way {_returns(places, 'live')}",
        "ground to ground": f"its way {_returns(places, 'at ground')}",
        "no way": no_way,
        "blocked": f"{listed(blockers)} {verb(blockers, 'bars', 'bar')} the way",
        "no voltage": "both its ends stand at nearly the same voltage",
    }
    text = f"{one.ref} carries only {si.amps(one.amps)}, too little to matter."
    if why != "trickle":
        text = f"{one.ref} {'is dark' if one.is_filament else 'carries nothing'}: {reasons[why]}."
    return row.Rest(
        text=text,
        ref=one.ref,
        why=why,
        from_node=a,
        to_node=b,
        volts=one.volts,
        amps=one.amps,
        open=opened,
        blockers=blockers,
        between=between,
    )


def _why(point: OperatingPoint, one: PartFlow, is_on_a_way: bool, is_barred: bool) -> Rests:
    """Choose the reason; barred: every way through the part is, by a diode that holds a voltage back."""
    if one.amps >= FLOW:
        return "trickle"
    if one.tail == one.head:
        return "both live" if one.tail == LIVE else "both ground" if one.tail == GROUND else "no voltage"
    if not is_on_a_way:
        comes_back = (why for why, rail in RETURNS.items() if returns_to(point.parts, one.ref, rail))
        return next(comes_back, "no way")
    if is_barred:
        return "blocked"
    return "no voltage" if one.volts < 0.5 else "trickle"


def _returns(places: Sequence[str], held: str) -> str:
    """Say that a way leads from a rail to the same rail."""
    if len(places) < 2:
        return f"leads from {listed(places)} only back to {listed(places)}"
    leads = f"from {places[0]} to {places[1]}" if len(places) == 2 else f"between {listed(places)}"
    return f"leads only {leads}, and {'both' if len(places) == 2 else 'all'} are {held}"


def speaks_of(said: row.Statement, lamp: str) -> bool:
    """Whether a statement tells why a lamp does what it does."""
    match said:
        case row.Route() | row.Share():
            return any(lamp in branch.refs for leg in said.legs for branch in leg.branches)
        case row.Paths():
            return any(lamp in path.refs for path in said.paths)
        case row.Series():
            return any(part.ref == lamp for part in said.parts)
        case row.Compared():
            return lamp in (said.more.ref, said.less.ref)
        case row.Faint():
            return said.part.ref == lamp
        case row.Rest():
            return said.ref == lamp
        case row.Feeds():
            return all(feed.held != "live" for feed in said.feeds)
    return False
