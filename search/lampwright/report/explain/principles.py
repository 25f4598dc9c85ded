"""The tricks a design rests on, each with the parts that play it; none that does not occur.

What is said comes from the statements of the scenes, so it holds where they hold. No
source: our words; the physics is that of any text on lamps and networks.
"""

from collections.abc import Iterable, Iterator, Sequence

from lampwright.report import si
from lampwright.report.explain.controls import Controls
from lampwright.report.explain.point import one_part, refs_of
from lampwright.report.explain.statements import EVEN, MUCH, branches_of, row_of
from lampwright.report.explain.words import ohms, rated_ohms, verb, volts
from lampwright.report.glow import glows
from lampwright.results import explanation as row
from lampwright.results.design import Design
from lampwright.results.explanation import (
    LampFact,
    Leg,
    Principle,
    Reason,
    Role,
    Scene,
    StateName,
    Trick,
)
from lampwright.words import listed

Found = Sequence[tuple[Scene, row.Statement]]
OPENING = (
    "A lamp burns when current runs through it, and current runs only where there is a "
    "voltage between its two ends. Volts times amps is power, in watts: it heats the filament "
    "until it shines."
)
SHARING = (
    "Sharing in series: parts in series carry one and the same current, so each takes voltage in "
    "proportion to its resistance."
)
WEAKER = (
    "Of two lamps for the same voltage the weaker one, made for fewer watts, has more resistance, "
    "so the larger share falls to it."
)
MEETING = (
    "The more current a filament carries, the hotter it is and the more it resists, so the one that "
    "carries all of it takes still more of the voltage: here "
)
FEEDBACK = (
    "And the share feeds back: a filament resists more the hotter it is, so the one that takes "
    "more gets hotter, resists more and takes still more."
)


def principles_of(
    groups: Sequence[row.Group], design: Design, supply: float, known: Controls
) -> tuple[Principle, ...]:
    """Name the tricks of a design, in the order in which one learns them."""
    found = [(scene, said) for group in groups for scene in group.scenes for said in scene.statements]
    shining = {
        ref
        for group in groups
        for scene in group.scenes
        for ref, lamp in _lamps(scene).items()
        if _shines(lamp)
    }
    named = (
        *_series(found),
        *_meeting(found),
        *_lends_ground(found),
        *_lends_feed(found),
        *_both_live(found, shining, known),
        *_both_ways(design, known),
        *_resistors(found, supply),
        *_diodes(found),
        *_flashers(groups),
    )
    return (_principle("voltage", OPENING, (), ()), *(named or _plain(found, shining)))


def _principle(trick: Trick, text: str, refs: Iterable[str], scenes: Iterable[Scene]) -> Principle:
    """A trick with the parts that play it and the states of its scenes, each once."""
    states = dict.fromkeys(state for scene in scenes for state in scene.states)
    return Principle(trick=trick, text=text, refs=tuple(dict.fromkeys(refs)), states=tuple(states))


def _lamps(scene: Scene) -> dict[str, LampFact]:
    """The light of the filaments of a scene."""
    lights = [said for said in scene.statements if isinstance(said, row.Lights)]
    return {lamp.lamp: lamp for said in lights for lamp in said.lamps}


def _shines(lamp: LampFact | None) -> bool:
    """Whether a part is a filament that gives light."""
    return lamp is not None and lamp.level != "off"


def _plain(found: Found, shining: set[str]) -> tuple[Principle, ...]:
    """Say that every lamp that gives light lies straight between feed and ground."""
    straight = {
        said.legs[0].branches[0].refs[0]
        for _, said in found
        if isinstance(said, row.Route) and len(said.legs) == len(said.legs[0].branches) == 1
    }
    if not shining or not shining <= straight:
        return ()
    text = "There is no trick here: each lamp that burns lies straight between a live feed and ground."
    return (_principle("plain", text, sorted(shining), ()),)


def _series(found: Found) -> Iterator[Principle]:
    """Filaments that share a voltage."""
    cases = [
        (scene, said)
        for scene, said in found
        if isinstance(said, row.Series) and sum(part.ref in _lamps(scene) for part in said.parts) > 1
    ]
    if cases:
        refs = [part.ref for _, said in cases for part in said.parts]
        yield _sharing(_example([said for _, said in cases]), refs, [scene for scene, _ in cases])
        return
    for scene, said in found:
        if isinstance(said, row.Share):
            lamps = set(_lamps(scene))
            if sum(bool(lamps & set(refs_of(leg))) for leg in said.legs) > 1:
                yield _sharing(_as_one(said), [ref for leg in said.legs for ref in refs_of(leg)], [scene])
                return


def _sharing(example: str, refs: Iterable[str], scenes: Sequence[Scene]) -> Principle:
    """Name the trick, with why shares differ as far as it shows in these scenes, and an example."""
    reasons = {reason for scene in scenes for said in _comparisons(scene) for reason in said.reasons}
    pairs: tuple[tuple[Reason, str], ...] = (("weaker", WEAKER), ("feedback", FEEDBACK))
    why = [text for reason, text in pairs if reason in reasons]
    return _principle("series", " ".join((SHARING, *why, example)).rstrip(), refs, scenes)


def _comparisons(scene: Scene) -> list[row.Compared]:
    return [said for said in scene.statements if isinstance(said, row.Compared)]


def _as_one(said: row.Share) -> str:
    """Say that branches side by side share a voltage as one part would."""
    several = max((leg for leg in said.legs if len(leg.branches) > 1), key=lambda leg: leg.volts)
    others = [f"{branches_of(leg)} {volts(leg.volts)}" for leg in said.legs if leg is not several]
    return (
        f"Side by side, {branches_of(several)} share as one part: they take {volts(several.volts)} "
        f"of the {volts(said.volts)}, and {listed(others)}."
    )


def _example(cases: Sequence[row.Series]) -> str:
    """Give the numbers of one case: the most uneven, or one of equal shares."""
    ranked = [sorted(said.parts, key=lambda part: -part.volts) for said in cases]
    parts = max(ranked, key=lambda parts: parts[0].volts / parts[-1].volts)
    most, least = parts[0], parts[-1]
    if most.volts > MUCH * least.volts:
        takes = "nearly all" if most.volts > 0.9 * sum(part.volts for part in parts) else "most"
        has = f"Here {most.ref} has {ohms(most.ohms)} against {ohms(least.ohms)} of {least.ref}"
        return f"{has}, so {most.ref} takes {takes} of the voltage."
    if most.volts <= EVEN * least.volts:
        return "Filaments that are nearly alike share it nearly equally."
    return ""


def _meeting(found: Found) -> Iterator[Principle]:
    """Currents of several branches that run on through one filament, which takes most of the voltage."""
    for scene, said in found:
        if isinstance(said, row.Share):
            several = [leg for leg in said.legs if len(leg.branches) > 1]
            many = several[0]
            for one in said.legs:
                alone = one_part(one)
                if alone and _shines(_lamps(scene).get(alone)) and one.volts > many.volts:
                    yield _principle(
                        "meeting", _met(scene, said, one, many), (alone, *refs_of(many)), [scene]
                    )
                    return


def _met(scene: Scene, said: row.Share, one: Leg, many: Leg) -> str:
    """Say that currents add, and which voltage the filament takes that carries them all."""
    alone = one_part(one)
    sums = " + ".join(si.quantity(branch.amps, "A", 3) for branch in many.branches)
    reasons = {
        reason
        for fact in _comparisons(scene)
        if fact.more.ref == alone and fact.less.ref in refs_of(many)
        for reason in fact.reasons
    }
    why = MEETING if {"more current", "feedback"} <= reasons else ""
    currents = listed([f"the current of {row_of(branch)}" for branch in many.branches])
    return (
        f"Currents that add: {alone} carries {currents} together, {sums} = "
        f"{si.quantity(one.amps, 'A', 3)}. {why}{alone} takes {volts(one.volts)} of the "
        f"{volts(said.volts)}, which leaves only {volts(many.volts)} for the others."
    )


def _lends_ground(found: Found) -> Iterator[Principle]:
    """Filaments without useful light that ground a lamp."""
    if cases := _serving(found, "ground"):
        dark, does, served = _service(cases)
        text = (
            f"A {dark} as ground: the cooler a filament is, the less it resists"
            f"{_cooler(cases)}. {does} the current of {served} to ground, which gives too little power "
            "there for useful light."
        )
        yield _principle("lent ground", text, _players(cases), [scene for scene, _ in cases])


def _lends_feed(found: Found) -> Iterator[Principle]:
    """Filaments without useful light that feed a lamp, unless they are the many whose currents meet in it."""
    meet = [scene for scene, said in found if isinstance(said, row.Share)]
    if cases := [(scene, said) for scene, said in _serving(found, "feed") if scene not in meet]:
        dark, does, served = _service(cases)
        text = (
            f"A {dark} as feed: {does} the current of {served} from the feed, which gives too little power "
            "there for useful light."
        )
        yield _principle("lent feed", text, _players(cases), [scene for scene, _ in cases])


def _serving(found: Found, role: Role) -> list[tuple[Scene, row.Serves]]:
    return [(scene, said) for scene, said in found if isinstance(said, row.Serves) and said.role == role]


def _players(cases: Sequence[tuple[Scene, row.Serves]]) -> tuple[str, ...]:
    """The filaments that serve, then those that they serve."""
    through = dict.fromkeys(ref for _, said in cases for ref in said.through)
    return (*through, *dict.fromkeys(said.lamp for _, said in cases))


def _service(cases: Sequence[tuple[Scene, row.Serves]]) -> tuple[str, str, str]:
    """Say what the filaments that serve are, who carries, together or one or the other, and for whom."""
    glowing = any(glows(_lamps(scene)[ref].kelvin) for scene, said in cases for ref in said.through)
    dark = "filament without useful light" if glowing else "dark filament"
    sets = list(dict.fromkeys(said.through for _, said in cases))
    if len(sets) == 1:
        does = f"{listed(sets[0])} {verb(sets[0], 'carries', 'carry')}"
    elif all(len(refs) == 1 for refs in sets):
        does = f"{listed([refs[0] for refs in sets], 'or')} carries"
    else:
        named = [f"{listed(refs)} together" if len(refs) > 1 else refs[0] for refs in sets]
        does = f"{', or '.join(named)}, {verb(sets[-1], 'carries', 'carry')}"
    return dark, does, listed(list(dict.fromkeys(said.lamp for _, said in cases)), "or")


def _cooler(cases: Sequence[tuple[Scene, row.Serves]]) -> str:
    """Say the resistance of the first that serves and is without light in series, and at its rated point."""
    refs = {ref for _, said in cases for ref in said.through}
    for said in (one for scene, _ in cases for one in scene.statements):
        if isinstance(said, row.Series):
            here = {part.ref: part for part in said.parts}
            for rated in said.rated:
                if rated.ref in refs and here[rated.ref].ohms < rated.ohms:
                    return f" ({rated.ref}: {ohms(here[rated.ref].ohms)} here, {rated_ohms(rated)})"
    return ""


def _both_live(found: Found, shining: set[str], known: Controls) -> Iterator[Principle]:
    """A lamp that burns elsewhere is dark where both its ends are live."""
    cases = [
        (scene, said)
        for scene, said in found
        if isinstance(said, row.Rest) and said.why == "both live" and said.ref in shining
    ]
    if cases:
        spans = dict.fromkeys(
            f"{said.ref} hangs between {known.place(said.from_node)} and {known.place(said.to_node)}"
            for _, said in cases
        )
        them, it = ("one", "that lamp") if len(spans) > 1 else (cases[0][1].ref, "it")
        text = (
            f"Both ends live: {listed(list(spans))}. When both ends of {them} are live there is no voltage "
            f"between them, and {it} goes dark although nothing was switched off."
        )
        yield _principle("both live", text, (said.ref for _, said in cases), (scene for scene, _ in cases))


def _both_ways(design: Design, known: Controls) -> Iterator[Principle]:
    """Filaments through which current runs one way in some states and the other way in others."""
    said, states = [], []
    for part in design.both_ways:
        a, b = known.place(part.from_node), known.place(part.to_node)
        there, back = design.flowing(part.ref)[0], design.flowing(part.ref, backward=True)[0]
        ways = f"from {a} to {b} ({there.full_name}) and from {b} to {a} ({back.full_name})"
        said.append(f"Through {part.ref} it runs {ways}.")
        states += [StateName(state=one.state, phase=one.phase) for one in (there, back)]
    if said:
        text = f"Current both ways: a filament burns whichever way the current runs. {' '.join(said)}"
        refs = tuple(part.ref for part in design.both_ways)
        yield Principle(trick="both ways", text=text, refs=refs, states=tuple(dict.fromkeys(states)))


def _resistors(found: Found, supply: float) -> Iterator[Principle]:
    """A resistor in series with a lamp that gives less than its rated light."""
    for scene, said in found:
        for lamp in said.lamps if isinstance(said, row.Drop) else ():
            light = _lamps(scene)[lamp.ref]
            if isinstance(said, row.Drop) and _shines(light) and light.flux < 0.8:
                takes = f"{said.part.ref} takes {volts(said.part.volts)} of the {volts(supply)}"
                text = (
                    f"A resistor dims: {takes}, "
                    f"and {lamp.ref} gets {volts(lamp.volts)}. A filament's light falls far faster than its "
                    f"voltage: with {si.percent(lamp.volts / supply)} of the voltage, {lamp.ref} gives "
                    f"{si.percent(light.flux)} of its rated light."
                )
                yield _principle("resistor", text, (said.part.ref, lamp.ref), [scene])
                return


def _diodes(found: Found) -> Iterator[Principle]:
    """A diode that conducts in one scene or blocks in another."""
    passing = [(scene, said.part.ref) for scene, said in found if isinstance(said, row.Passes)]
    blocking = [(scene, said.ref) for scene, said in found if isinstance(said, row.Blocks)]
    cases = (*passing, *blocking)
    if cases:
        does = _steers(*(list(dict.fromkeys(ref for _, ref in some)) for some in (passing, blocking)))
        text = f"A diode steers: it lets current through one way only. Here {does}."
        yield _principle("diode", text, (ref for _, ref in cases), (scene for scene, _ in cases))


def _steers(passing: Sequence[str], blocking: Sequence[str]) -> str:
    """Say which diodes let current pass in some states, and which hold it back."""
    passes = f"{listed(passing)} {verb(passing, 'passes', 'pass')} current in some states"
    holds = verb(blocking, "holds", "hold")
    if not blocking:
        return passes
    if not passing:
        return f"{listed(blocking)} {holds} current back in some states"
    if passing == blocking:
        return f"{passes} and {holds} it back in others"
    return f"{passes}, and {listed(blocking)} {holds} it back in some"


def _flashers(groups: Sequence[row.Group]) -> Iterator[Principle]:
    """A lamp that gives light in the open phase of a flasher, and not in the closed one."""
    cases = [
        (flash, change.lamp)
        for group in groups
        for flash in group.flashes
        for change in flash.lamps
        if change.closed.level == "off" != change.open.level
    ]
    if cases:
        flash = cases[0][0]
        refs = tuple(lamp for one, lamp in cases if one is flash)
        text = (
            f"Against the beat: {flash.setting}, {listed(refs)} {verb(refs, *_dark(flash, refs))} while the "
            f"contact of {flash.flasher} is closed and {verb(refs, 'burns', 'burn')} while it is open. "
            "No second contact is needed."
        )
        yield Principle(trick="flasher", text=text, refs=refs, states=(flash.closed, flash.open))


def _dark(flash: row.Flash, refs: Sequence[str]) -> tuple[str, str]:
    """Say that lamps are dark in the closed phase, or, if one of them glows, without useful light."""
    glowing = [one.lamp for one in flash.lamps if one.lamp in refs and glows(one.closed.kelvin)]
    return ("gives no useful light", "give no useful light") if glowing else ("is dark", "are dark")
