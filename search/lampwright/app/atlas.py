"""An atlas: every size surveyed, one circuit of each behaviour judged and explained, all of it kept."""

from collections.abc import Iterator
from dataclasses import dataclass

from lampwright import __version__
from lampwright.app.atlas_judging import judged_pick
from lampwright.app.atlas_options import AtlasOptions
from lampwright.app.controls import controls_of
from lampwright.atlas.bound import TYPES, VOLTS, AtlasBound, Size, spec_of
from lampwright.atlas.circuits import count_drawings
from lampwright.atlas.functions import function_name, function_words, lit_without_feeds, settings_words
from lampwright.atlas.gather import Functions
from lampwright.atlas.picking import every_function, functions_shown, images_of, picks_of, shown_behaviours
from lampwright.atlas.survey import SizeSurvey, survey_size
from lampwright.errors import Finding, InputError
from lampwright.graphs.cell import CellError
from lampwright.graphs.listing import open_listing
from lampwright.parts.catalogue import diode_type
from lampwright.parts.tables import UnknownPart, part_data_digest
from lampwright.progress.bar import Progress
from lampwright.progress.watch import Watch
from lampwright.report.atlas_csv import atlas_csv
from lampwright.report.page.atlas import atlas_page, atlas_poster, drawn_entries
from lampwright.results.atlas import Atlas, AtlasBoundRow, AtlasEntry, AtlasFunction, AtlasSizeRow
from lampwright.results.design import Design
from lampwright.results.json_text import as_written, to_json
from lampwright.results.ranking import FORMAT
from lampwright.searching.verdict import CAUTIONS
from lampwright.solve.shelf import shelf_of
from lampwright.spec.levels import DEFAULT_LEVELS
from lampwright.store.files import PAGE, ready_folder, write_text
from lampwright.words import listed, many

TYPES_ELSEWHERE = ("P21W", "R10W", "R5W", "W3W")
"""The usual types where there is no W2.3W."""
SYSTEM = 12.0
"""The system [V] of the usual supply; that of another is as much higher or lower."""
MOST_NODES = 7
"""Terminals and joints together: with more, circuits could not be counted without listing them."""
MOST_FITTED = 2_000_000_000
"""Drawings with types."""
POSTER, TABLE, ROWS = "poster.html", "atlas.csv", "atlas.json"


class _TimeUpError(Exception):
    """The time limit has passed."""


@dataclass(frozen=True)
class DrawnAtlas:
    """An atlas, and the design of every option: of its functions, then of its behaviours."""

    atlas: Atlas
    designs: tuple[tuple[Design, ...], ...]


def make_and_keep(options: AtlasOptions, progress: Progress) -> Atlas:
    """Make an atlas and keep it in its folder. Raises InputError, StoreError."""
    bound = bound_of(options)
    drawn = make_atlas(bound, options, progress)
    atlas = as_written(drawn.atlas)
    folder = options.folder(atlas.name)
    ready_folder(folder)
    entries = drawn_entries(atlas, drawn.designs, controls_of(spec_of(bound, Size(1, 0))))
    write_text(folder / TABLE, atlas_csv(atlas))
    write_text(folder / POSTER, atlas_poster(atlas, entries))
    write_text(folder / PAGE, atlas_page(atlas, entries))
    write_text(folder / ROWS, to_json(atlas))
    return atlas


def bound_of(options: AtlasOptions) -> AtlasBound:
    """What an atlas is taken over. Raises InputError with every finding."""
    bound = AtlasBound(
        feeds=options.feeds,
        lamps=options.lamps,
        always_live=options.always_live,
        joints=options.joints,
        diodes=options.diodes,
        types=options.types or (TYPES if options.system == SYSTEM else TYPES_ELSEWHERE),
        system=options.system,
        volts=_volts(options.system),
    )
    findings = list(_type_findings(bound))
    over = bound.terminals + bound.joints - MOST_NODES
    if over > 0:
        said = (
            f"{bound.terminals} terminals and {many(bound.joints, 'joint')} are more than {MOST_NODES} nodes"
        )
        remedy = f"use at most {bound.joints - over} joints, or fewer feeds"
        findings.append(Finding("lampwright atlas", said, remedy))
    if findings:
        raise InputError(findings)
    return bound


def _volts(system: float) -> tuple[float, float, float]:
    low, normal, high = (round(one * system / SYSTEM, 3) for one in VOLTS)
    return low, normal, high


def _type_findings(bound: AtlasBound) -> Iterator[Finding]:
    """What is wrong with the types; each must have one filament, and stand there once."""
    shelf = shelf_of(spec_of(bound, Size(1, 0)))
    for at, name in enumerate(bound.types):
        place = f"--types {name}"
        if name in bound.types[:at]:
            yield Finding(place, "the type is named twice", "name each once")
            continue
        try:
            lamp = shelf.lamp(name)
        except UnknownPart as error:
            yield Finding(place, str(error), "lampwright parts lists all types")
            continue
        if len(lamp.filaments) > 1:
            yield Finding(place, f"it has {len(lamp.filaments)} filaments", "name types of one filament")


def make_atlas(bound: AtlasBound, options: AtlasOptions, progress: Progress) -> DrawnAtlas:
    """Survey every size, as far as the time goes, and tell of what was found. Raises InputError."""
    watch = Watch(options.time_limit)
    surveys: list[SizeSurvey] = []
    counted = _counts(bound)
    try:
        for size in bound.sizes:
            progress.stage(f"{_size_words(size)}, {many(counted[size], 'circuit')}", None)
            surveys.append(survey_size(bound, size, options.workers, lambda: _check(watch)))
    except (KeyboardInterrupt, _TimeUpError):
        progress.say("stopped; the sizes that are complete are kept")
    teller = _Teller(bound, tuple(surveys), complete=len(surveys) == len(bound.sizes))
    functions = [teller.told(form) for form in every_function(bound.feeds)]
    shown = [form for form in shown_behaviours(surveys) if len(form) > 1]
    progress.stage("judging and explaining", len(shown))
    behaviours = []
    for form in shown:
        behaviours.append(teller.told(form))
        progress.advance(1)
    functions.sort(key=_rank)
    atlas = Atlas(
        format=FORMAT,
        program=__version__,
        part_data=part_data_digest(),
        bound=_bound_row(bound),
        complete=teller.complete,
        verdict=teller.verdict(),
        seconds=watch.seconds(),
        sizes=tuple(_size_row(bound, survey, counted[survey.size]) for survey in surveys),
        functions=tuple(one.entry for one in functions),
        behaviours=tuple(one.entry for one in behaviours),
        cautions=CAUTIONS,
    )
    return DrawnAtlas(atlas, tuple(one.designs for one in (*functions, *behaviours)))


def _check(watch: Watch) -> None:
    if watch.is_over():
        raise _TimeUpError


def _counts(bound: AtlasBound) -> dict[Size, int]:
    """How many drawings every size has. Raises InputError for what is too large to be listed."""
    try:
        counts = {size: count_drawings(bound, size) for size in bound.sizes}
        work = sum(count * len(bound.types) ** size.lamps for size, count in counts.items())
        if work > MOST_FITTED:
            said = f"{work:,} circuits with types are more than {MOST_FITTED:,}, some half an hour of work"
            remedy = "use fewer lamps, diodes, joints or types"
            raise InputError([Finding("lampwright atlas", said, remedy)])
        open_listing(bound.cells(bound.sizes[-1])[-1])
        return counts
    except CellError as error:
        raise InputError(
            [Finding("lampwright atlas", str(error), "use fewer lamps, diodes or joints")]
        ) from None


def _size_words(size: Size) -> str:
    return many(size.lamps, "lamp") + (f" and {many(size.diodes, 'diode')}" if size.diodes else "")


@dataclass(frozen=True)
class _ToldEntry:
    entry: AtlasEntry
    designs: tuple[Design, ...]


@dataclass(frozen=True)
class _Teller:
    """Tells of behaviours, from the sizes that were surveyed."""

    bound: AtlasBound
    surveys: tuple[SizeSurvey, ...]
    complete: bool

    def told(self, form: Functions) -> _ToldEntry:
        """Tell of one behaviour."""
        feeds = self.bound.feeds
        judged = [judged_pick(self.bound, form, pick) for pick in picks_of(form, self.surveys)]
        entry = AtlasEntry(
            functions=tuple(
                AtlasFunction(
                    number=one,
                    words=function_words(one, feeds),
                    name=function_name(one, feeds) or None,
                    lit_with=settings_words(one, feeds),
                )
                for one in form
            ),
            images=len(images_of(form, feeds)),
            options=tuple(one.option for one in judged),
            none=None if judged else self._proof(form),
        )
        return _ToldEntry(entry, tuple(one.design for one in judged))

    def _proof(self, form: Functions) -> str:
        if lit_without_feeds(form[0]) and not self.bound.always_live:
            return "With every feed off nothing is live, so no lamp is lit then, whatever the circuit."
        return f"None of {self._listed()} shows it{'' if self.complete else '; others were not reached'}."

    def _listed(self) -> str:
        count = sum(survey.distinct for survey in self.surveys)
        return f"the {count:,} circuits" if count else "no circuits"

    def verdict(self) -> str:
        """What was found, in a sentence, and how far it is proved."""
        bound, every = self.bound, 1 << self.bound.settings
        shown = {form: at for one in self.surveys for form, at in one.normal.items()}
        count = functions_shown(shown, bound.feeds)
        within = [f"at most {many(bound.lamps, 'lamp')}", many(bound.joints, "joint")]
        within += [many(bound.diodes, "diode")] if bound.diodes else []
        rest = every - count
        if not self.complete:
            first, *more = bound.sizes[len(self.surveys) :]
            left = f"circuits of {_size_words(first)}" + (
                f" and {many(len(more), 'other size')}" if more else ""
            )
            return (
                f"Stopped before {left}: so far one lamp shows {count} of the {every} functions of "
                f"{many(bound.feeds, 'feed')}, in {self._listed()} listed in full."
            )
        said = f"One lamp shows {count} of the {every} functions of {many(bound.feeds, 'feed')}"
        if not rest:
            return f"{said}: all, with {listed(within)}."
        which = "the other" if rest == 1 else f"the other {rest}"
        none = f"none of {self._listed()} with {listed(within)}, each listed and solved, shows {which}"
        return f"{said}; {none}."


def _rank(told: _ToldEntry) -> tuple[int, int, int, int]:
    """Functions in order: least lamps alone, then those that take diodes, then those that none shows."""
    first = told.entry.options[0] if told.entry.options else None
    number = told.entry.functions[0].number
    return (0, first.diodes, first.lamps, number) if first else (1, 0, 0, number)


def _bound_row(bound: AtlasBound) -> AtlasBoundRow:
    low, normal, high = bound.volts
    return AtlasBoundRow(
        feeds=bound.feeds,
        lamps=bound.lamps,
        joints=bound.joints,
        diodes=bound.diodes,
        always_live=bound.always_live,
        types=bound.types,
        diode=diode_type(bound.diode).name if bound.diodes else None,
        low_volts=low,
        volts=normal,
        high_volts=high,
        off_most=DEFAULT_LEVELS.off.high,
        lit_least=DEFAULT_LEVELS.lit.low,
    )


def _size_row(bound: AtlasBound, survey: SizeSurvey, counted: int) -> AtlasSizeRow:
    return AtlasSizeRow(
        lamps=survey.size.lamps,
        diodes=survey.size.diodes,
        drawings=survey.drawings,
        counted=counted,
        circuits=survey.distinct,
        fitted=survey.fitted,
        overloaded=survey.overloaded,
        points=survey.points,
        unsolved=survey.unsolved,
        functions=functions_shown(survey.normal, bound.feeds),
        functions_held=functions_shown(survey.always, bound.feeds),
        behaviours=len(survey.normal),
        behaviours_held=len(survey.always),
    )
