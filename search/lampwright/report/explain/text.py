"""An explanation as text for a terminal. No source: our layout."""

from collections.abc import Sequence

from lampwright.report.explain.words import volts
from lampwright.report.layout import bullets, heading, join, paragraph
from lampwright.results.explanation import Explanation, Feeds, Group, Parallel, Scene, Statement, WhyNot
from lampwright.words import listed

WIDTH = 80
FOLLOWS = ("parallel", "series", "share", "compared", "drop", "passes", "power", "faint", "serves")
"""Statements that go on where the one before stopped, in the same bullet."""


def explanation_text(explanation: Explanation, width: int = WIDTH) -> str:
    """Write an explanation: the principle first, then every group, scene by scene."""
    several = len(explanation.groups) > 1
    why_not = _why_not(explanation.why_not, width) if explanation.why_not else ()
    return join(
        (
            paragraph(_subject(explanation), width),
            *(paragraph(remark, width) for remark in explanation.remarks),
            heading("The principle", width),
            *(paragraph(principle.text, width) for principle in explanation.principles),
            *why_not,
            *(block for group in explanation.groups for block in _group(group, width, several)),
        )
    )


def _subject(explanation: Explanation) -> str:
    """Say what is explained, and at what supply."""
    of = f" for {explanation.spec.name}" if explanation.spec else ""
    supply = volts(explanation.volts)
    if explanation.why_not:
        return f"Why there is no circuit{of}. All voltages and currents are for a supply of {supply}."
    return f"What {explanation.subject}{of} does, and why. All numbers are for a supply of {supply}."


def _why_not(why: WhyNot, width: int) -> list[str]:
    """Write why nothing was found: the conflict, how the circuits fell, what the nearest do instead."""
    blocks = [heading("Why there is none", width), paragraph(f"{why.text} {why.conflict}".rstrip(), width)]
    if why.ruled_out:
        lead = "How the circuits fall, what rules most of them out first:"
        blocks.append("\n".join((lead, *bullets((one.text for one in why.ruled_out), width))))
    if why.outcomes:
        blocks.append(heading("What the nearest circuits do instead", width))
        blocks.append("\n".join(bullets((one.text for one in why.outcomes), width)))
    return blocks


def _group(group: Group, width: int, several: bool) -> list[str]:
    """Write one group; only where there are others it is introduced."""
    title = listed(group.refs) if several else "State by state"
    blocks = [heading(title, width), paragraph(group.text, width) if several else ""]
    blocks += [_scene(scene, width) for scene in group.scenes]
    if group.flashes:
        blocks.append(
            "\n".join(("From phase to phase:", *bullets((flash.text for flash in group.flashes), width)))
        )
    return blocks


def _scene(scene: Scene, width: int) -> str:
    """Write one scene: what is set, then what follows."""
    title = f"With {scene.title}:" if scene.title else "At all times:"
    said = [" ".join(texts) for texts in _together(scene.statements)]
    return "\n".join((paragraph(title, width), *bullets(said, width)))


def _together(statements: Sequence[Statement]) -> list[list[str]]:
    """Gather the statements that belong in one bullet."""
    gathered: list[list[str]] = []
    for before, statement in zip((None, *statements), statements, strict=False):
        if before is not None and _goes_on(before, statement):
            gathered[-1].append(statement.text)
        else:
            gathered.append([statement.text])
    return gathered


def _goes_on(before: Statement, statement: Statement) -> bool:
    """Whether a statement goes on where the one before stopped."""
    if isinstance(before, Feeds):
        return all(feed.held != "live" for feed in before.feeds)
    return statement.kind in FOLLOWS and not (isinstance(statement, Parallel) and statement.whole)
