"""An atlas as two files: a poster of what one lamp shows, on one sheet of paper; a page to browse and search.

Everything is in the file, nothing is fetched, and the page's own policy lets run the one script whose digest
it names. Source: as for the page of a search. The layout is ours.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice

from markupsafe import Markup, escape
from msgspec import structs

from lampwright.report.explain.controls import Controls
from lampwright.report.page.file import script_digest
from lampwright.report.page.templates import page_text, rendered
from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.narrow import narrow_schematic
from lampwright.report.schematic.still import STYLE, Stills
from lampwright.report.schematic.svg import Schematic, schematic
from lampwright.results.atlas import Atlas, AtlasEntry, AtlasOption
from lampwright.results.design import Design

TITLE = "Schematic of design 0"


@dataclass(frozen=True)
class DrawnOption:
    """An option with its drawing, wide and narrow."""

    option: AtlasOption
    drawn: tuple[Schematic, Schematic]


@dataclass(frozen=True)
class DrawnEntry:
    """A behaviour with its drawings; number: its place on the page."""

    number: int
    entry: AtlasEntry
    options: tuple[DrawnOption, ...]


def drawn_entries(
    atlas: Atlas, designs: Sequence[Sequence[Design]], controls: Controls
) -> tuple[DrawnEntry, ...]:
    """Draw every option; designs: of its functions, then of its behaviours."""
    entries = (*atlas.functions, *atlas.behaviours)
    return tuple(
        DrawnEntry(
            number,
            entry,
            tuple(
                DrawnOption(option, _drawings(design, controls, entry.words))
                for option, design in zip(entry.options, own, strict=True)
            ),
        )
        for number, (entry, own) in enumerate(zip(entries, designs, strict=True), 1)
    )


def _drawings(design: Design, controls: Controls, words: str) -> tuple[Schematic, Schematic]:
    """The drawings with a title that says what is shown."""
    feeds = feeds_of(design, controls)
    wide, narrow = (
        structs.replace(one, svg=one.svg.replace(TITLE, f"Schematic: {escape(words)}"))
        for one in (schematic(design, feeds, ids=False), narrow_schematic(design, feeds))
    )
    return wide, narrow


def _stilled(entries: Sequence[DrawnEntry], stills: Stills) -> list[DrawnEntry]:
    """The entries with drawings that do not move."""

    def still(option: DrawnOption) -> DrawnOption:
        wide, narrow = (structs.replace(one, svg=stills.still(one.svg)) for one in option.drawn)
        return replace(option, drawn=(wide, narrow))

    return [replace(one, options=tuple(map(still, one.options))) for one in entries]


def atlas_page(atlas: Atlas, entries: Sequence[DrawnEntry]) -> str:
    """Write the page."""
    script = page_text("atlas.js")
    stills = Stills()
    shown = _stilled(entries, stills)
    return rendered(
        "atlas.html",
        atlas=atlas,
        functions=shown[: len(atlas.functions)],
        behaviours=shown[len(atlas.functions) :],
        symbols=Markup(stills.symbols()),
        style=Markup(page_text("page.css") + STYLE + page_text("atlas.css")),
        script=Markup(script),
        digest=script_digest(script),
    )


def atlas_poster(atlas: Atlas, entries: Sequence[DrawnEntry]) -> str:
    """Write the poster: the functions that one lamp shows, each with its least circuit."""
    stills = Stills()
    functions = islice(entries, len(atlas.functions))
    shown = _stilled([one for one in functions if one.options], stills)
    columns = max(1, round((len(shown) * 4 / 3) ** 0.5))
    rows = -(-len(shown) // columns)
    return rendered(
        "poster.html",
        atlas=atlas,
        shown=shown,
        symbols=Markup(stills.symbols()),
        style=Markup(
            STYLE
            + page_text("poster.css").replace("{columns}", f"{columns}").replace("{rows}", f"{max(1, rows)}")
        ),
    )
