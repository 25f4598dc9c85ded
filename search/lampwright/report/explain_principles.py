"""The tricks a design rests on, each with the parts that play it; none that does not occur.

What is said comes from the statements of the scenes, so it holds where they hold. No
source: our words; the physics is that of any text on lamps and networks.
"""

from collections.abc import Iterable, Iterator, Sequence

from lampwright.report import si
from lampwright.report.explain_controls import Controls
from lampwright.report.explain_route import refs_of
from lampwright.report.explain_say import EVEN, MUCH
from lampwright.report.explain_words import listed, ohms, verb, volts
from lampwright.store import explanation as row
from lampwright.store.explanation import Principle, StateName

Found = Sequence[tuple[row.Scene, row.Statement]]
OPENING = (
    "A lamp burns when current runs through it, and current runs only where there is a "
    "voltage between its two ends."
)


def principles_of(groups: Sequence[row.Group], supply: float, known: Controls) -> tuple[Principle, ...]:
    """Name the tricks of a design, in the order in which one learns them."""
    found = [(scene, said) for group in groups for scene in group.scenes for said in scene.statements]
    shining = {lamp.lamp for _, said in found for lamp in _lamps(said) if lamp.level != "off"}
    named = (
        *_series(found),
        *_meeting(found),
        *_grounds(found),
        *_lends_feed(found),
        *_both_live(found, shining, known),
        *_resistors(found, supply),
        *_diodes(found),
        *_flashers(groups),
    )
    return (Principle("voltage", OPENING, (), ()), *(named or _plain(found, shining)))


def _lamps(said: row.Statement) -> tuple[row.LampFact, ...]:
    return said.lamps if isinstance(said, row.Lights) else ()


def _states(scenes: Iterable[row.Scene]) -> tuple[StateName, ...]:
    """The states of some scenes, each once."""
    return tuple(dict.fromkeys(state for scene in scenes for state in scene.states))


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
    return (Principle("plain", text, tuple(sorted(shining)), ()),)


def _series(found: Found) -> Iterator[Principle]:
    """Filaments that share a voltage."""
    lamps = {lamp.lamp for _, said in found for lamp in _lamps(said)}
    cases = [
        (scene, said)
        for scene, said in found
        if isinstance(said, row.Series) and sum(part.ref in lamps for part in said.parts) > 1
    ]
    if cases:
        refs = dict.fromkeys(part.ref for _, said in cases for part in said.parts)
        yield _sharing(_example([said for _, said in cases]), refs, [scene for scene, _ in cases])
        return
    for scene, said in found:
        if isinstance(said, row.Share) and sum(bool(lamps & set(refs_of(leg))) for leg in said.legs) > 1:
            yield _sharing(_as_one(said), [ref for leg in said.legs for ref in refs_of(leg)], [scene])
            return


def _sharing(example: str, refs: Iterable[str], scenes: Sequence[row.Scene]) -> Principle:
    """Name the trick, with an example."""
    text = (
        "Sharing in series: parts in series carry one and the same current, so each takes voltage in "
        f"proportion to its resistance. {example}"
    )
    return Principle("series", text.rstrip(), tuple(refs), _states(scenes))


def _as_one(said: row.Share) -> str:
    """Say that branches side by side share a voltage as one part would."""
    several = max((leg for leg in said.legs if len(leg.branches) > 1), key=lambda leg: leg.volts)
    others = [f"{listed(refs_of(leg))} {volts(leg.volts)}" for leg in said.legs if leg is not several]
    return (
        f"Side by side, {listed(refs_of(several))} share as one part: they take {volts(several.volts)} "
        f"of the {volts(said.volts)}, and {listed(others)}."
    )


def _example(cases: Sequence[row.Series]) -> str:
    """Give the numbers of one case: the most uneven, or one of equal shares."""
    ranked = [sorted(said.parts, key=lambda part: -part.volts) for said in cases]
    parts = max(ranked, key=lambda parts: parts[0].volts / parts[-1].volts)
    most, least = parts[0], parts[-1]
    if most.volts > MUCH * least.volts:
        takes = "nearly all" if most.volts > 0.9 * sum(part.volts for part in parts) else "most"
        has = f"{most.ref} has {ohms(most.ohms)} against {ohms(least.ohms)} of {least.ref}"
        return f"{has}, so {most.ref} takes {takes} of it."
    if most.volts <= EVEN * least.volts:
        return "Filaments that are nearly alike share it nearly equally."
    return ""


def _meeting(found: Found) -> Iterator[Principle]:
    """Currents of several branches that run on through one filament, which takes most of the voltage."""
    for scene, said in found:
        if not isinstance(said, row.Share):
            continue
        single = [leg for leg in said.legs if len(leg.branches) == 1 and len(leg.branches[0].refs) == 1]
        several = [leg for leg in said.legs if len(leg.branches) > 1]
        level = {lamp.lamp: lamp.level for one in scene.statements for lamp in _lamps(one)}
        for one in single:
            alone, many = one.branches[0].refs[0], several[0]
            if level.get(alone, "off") != "off" and one.volts > many.volts:
                refs = tuple(ref for branch in many.branches for ref in branch.refs)
                text = (
                    f"Currents that meet: {alone} carries the currents of {listed(refs)} together. "
                    "A filament gains resistance as it heats, so the one with the larger current takes "
                    f"still more of the voltage: here {volts(one.volts)} of {volts(said.volts)}, "
                    f"which leaves only {volts(many.volts)} for the others."
                )
                yield Principle("meeting", text, (alone, *refs), scene.states)
                return


def _serving(found: Found, role: row.Role) -> list[tuple[row.Scene, row.Serves]]:
    return [(scene, said) for scene, said in found if isinstance(said, row.Serves) and said.role == role]


def _those(cases: Sequence[tuple[row.Scene, row.Serves]]) -> str:
    """Name the filaments that serve: together, or one or the other."""
    return listed(list(dict.fromkeys(listed(said.through) for _, said in cases)), "or")


def _grounds(found: Found) -> Iterator[Principle]:
    """Dark filaments that ground a lamp."""
    cases = _serving(found, "ground")
    if cases:
        through = tuple(dict.fromkeys(ref for _, said in cases for ref in said.through))
        served = tuple(dict.fromkeys(said.lamp for _, said in cases))
        text = (
            "A cold filament as ground: a filament has far less resistance cold than hot"
            f"{_cold(found, through)}. While dark, {_those(cases)} carries the current of "
            f"{listed(served, 'or')} to ground, which is too small to make it glow."
        )
        yield Principle("cold ground", text, (*through, *served), _states(scene for scene, _ in cases))


def _cold(found: Found, refs: Sequence[str]) -> str:
    """Say the resistance of the first of these that is dark in series, cold and alight."""
    for _, said in found:
        if isinstance(said, row.Series):
            cold = {part.ref: part for part in said.parts}
            for hot in said.burning:
                if hot.ref in refs:
                    return f" ({hot.ref}: {ohms(cold[hot.ref].ohms)} here, {ohms(hot.ohms)} alight)"
    return ""


def _lends_feed(found: Found) -> Iterator[Principle]:
    """Dark filaments that feed a lamp, unless they are the many whose currents meet in it."""
    meet = [scene for scene, said in found if isinstance(said, row.Share)]
    cases = [(scene, said) for scene, said in _serving(found, "feed") if scene not in meet]
    if cases:
        through = tuple(dict.fromkeys(ref for _, said in cases for ref in said.through))
        served = tuple(dict.fromkeys(said.lamp for _, said in cases))
        text = (
            f"A dark filament as feed: the current of {listed(served, 'or')} comes in through "
            f"{_those(cases)}, and is too small to make it glow."
        )
        yield Principle("cold feed", text, (*through, *served), _states(scene for scene, _ in cases))


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
        refs = tuple(dict.fromkeys(said.ref for _, said in cases))
        yield Principle("both live", text, refs, _states(scene for scene, _ in cases))


def _resistors(found: Found, supply: float) -> Iterator[Principle]:
    """A resistor in series with a lamp that gives less than its rated light."""
    for scene, said in found:
        if not isinstance(said, row.Drop):
            continue
        light = {lamp.lamp: lamp for one in scene.statements for lamp in _lamps(one)}
        dimmed = [
            lamp for lamp in said.lamps if light[lamp.ref].level != "off" and light[lamp.ref].flux < 0.8
        ]
        if dimmed:
            lamp = dimmed[0]
            text = (
                f"A resistor dims: {said.part.ref} takes {volts(said.part.volts)} of the {volts(supply)}, "
                f"and {lamp.ref} gets {volts(lamp.volts)}. A filament's light falls far faster than its "
                f"voltage: with {si.percent(lamp.volts / supply)} of the voltage, {lamp.ref} gives "
                f"{si.percent(light[lamp.ref].flux)} of its rated light."
            )
            yield Principle("resistor", text, (said.part.ref, lamp.ref), scene.states)
            return


def _diodes(found: Found) -> Iterator[Principle]:
    """A diode that conducts in one scene or blocks in another."""
    passing = [(scene, said.part.ref) for scene, said in found if isinstance(said, row.Passes)]
    blocking = [(scene, said.ref) for scene, said in found if isinstance(said, row.Blocks)]
    refs = tuple(dict.fromkeys(ref for _, ref in (*passing, *blocking)))
    if refs:
        does = _steers(*(list(dict.fromkeys(ref for _, ref in cases)) for cases in (passing, blocking)))
        text = f"A diode steers: it lets current through one way only. Here {does}."
        yield Principle("diode", text, refs, _states(scene for scene, _ in (*passing, *blocking)))


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
            f"Against the beat: {flash.setting}, {listed(refs)} {verb(refs, 'is', 'are')} dark while the "
            f"contact of {flash.flasher} is closed and {verb(refs, 'burns', 'burn')} while it is open. "
            "No second contact is needed."
        )
        yield Principle("flasher", text, refs, (flash.closed, flash.open))
