"""An atlas in words: its bound, its levels, and what is told of each behaviour. No source: our words."""

from collections.abc import Iterator, Sequence

from lampwright.report import si
from lampwright.results.atlas import (
    Atlas,
    AtlasBoundRow,
    AtlasEntry,
    AtlasFunction,
    AtlasOption,
    AtlasSizeRow,
)
from lampwright.results.design import PartRow
from lampwright.words import counted, listed, many

DASH = "–"


def bound_words(bound: AtlasBoundRow) -> str:
    """What the circuits of an atlas are made of, and what stands at their terminals."""
    names = listed("ABC"[: bound.feeds])
    feeds = f"{many(bound.feeds, 'feed')}, {names}, {'each' if bound.feeds > 1 else 'it is'} live or open"
    supply = "a terminal that is always live" if bound.always_live else "nothing else live"
    diodes = f"{counted(bound.diodes, 'diode')}" + (f" ({bound.diode})" if bound.diode else "")
    return (
        f"{feeds}; {supply}; at most {many(bound.lamps, 'lamp')}, {many(bound.joints, 'joint')}, {diodes}; "
        "no wire between terminals"
    )


def level_words(bound: AtlasBoundRow) -> str:
    """By which types, levels and supplies an atlas tells what a lamp shows."""
    off, lit = si.percent(bound.off_most), si.percent(bound.lit_least)
    return (
        f"lamps {', '.join(bound.types)}; off: at most {off} of rated light, lit: at least {lit}; "
        f"at {bound.volts:g} V; held: from {bound.low_volts:g} to {bound.high_volts:g} V; ratings kept"
    )


def titled(function: AtlasFunction) -> str:
    """A function in words, with its name."""
    return f"{function.words} ({function.name})" if function.name else function.words


def lit_words(function: AtlasFunction) -> str:
    """The settings in which a lamp is lit, by the feeds that are on."""
    return ", ".join(function.lit_with) or DASH


def least_words(option: AtlasOption) -> str:
    """How many parts an option takes.

    3 lamps, or 3 lamps + 1 diode.
    """
    return many(option.lamps, "lamp") + (f" + {many(option.diodes, 'diode')}" if option.diodes else "")


def margin_words(option: AtlasOption) -> str:
    """The margin of the circuit that is drawn."""
    return si.stops(option.margin_stops)


def option_words(option: AtlasOption, bound: AtlasBoundRow) -> str:
    """How many circuits there are of an option, and what the one drawn is worth."""
    spread = f"from {bound.low_volts:g} to {bound.high_volts:g} V"
    show = "shows" if option.circuits == 1 else "show"
    said = f"{many(option.circuits, 'circuit')} of {least_words(option)} {show} it at {bound.volts:g} V"
    said += f", {option.held_circuits:,} {spread}. This one "
    if option.holds:
        said += f"holds {spread}, with a margin of {margin_words(option)} at the worst"
    else:
        said += f"has a margin of {margin_words(option)} at {bound.volts:g} V, and does not hold {spread}"
    return f"{said}; {_judged(option)}."


def _judged(option: AtlasOption) -> str:
    if option.judged_stops >= 0.0:
        return f"{si.stops(option.judged_stops)} with every tolerance and filling of its lamps"
    return f"with lamps at the ends of their tolerances it may miss by {si.stops(-option.judged_stops)}"


NOMINAL = "nominal"


def _held(option: AtlasOption) -> str:
    """Whether it holds from low to high supply, and with every tolerance, short."""
    return "no" if not option.holds else "yes" if option.judged_stops >= 0.0 else NOMINAL


def function_rows(atlas: Atlas) -> Iterator[tuple[str, ...]]:
    """A row for each option of each function that is shown.

    The function, lit with, lamps + diodes, circuits, stops, held.
    """
    for entry in atlas.functions:
        for at, option in enumerate(entry.options):
            own = (titled(entry.functions[0]), lit_words(entry.functions[0])) if at == 0 else ("", "")
            least = f"{option.lamps}" + (f" + {option.diodes}" if option.diodes else "")
            yield (*own, least, f"{option.circuits:,}", f"{option.margin_stops:.2f}", _held(option))


def unshown(atlas: Atlas) -> tuple[AtlasEntry, ...]:
    """The functions that no circuit shows."""
    return tuple(entry for entry in atlas.functions if not entry.options)


def size_rows(atlas: Atlas) -> Iterator[tuple[str, ...]]:
    """A row for each size: what was listed, counted, solved and found."""
    for row in atlas.sizes:
        yield (_size(row), *(f"{count:,}" for count in _counts(row)))


SIZE_HEADS = ("Lamps", "Listed", "Counted", "Circuits", "Fitted", "Functions", "held", "Behaviours", "held")


def _size(row: AtlasSizeRow) -> str:
    return f"{row.lamps}" + (f" + {row.diodes}" if row.diodes else "")


def _counts(row: AtlasSizeRow) -> tuple[int, ...]:
    return (
        row.drawings,
        row.counted,
        row.circuits,
        row.fitted,
        row.functions,
        row.functions_held,
        row.behaviours,
        row.behaviours_held,
    )


def size_sentence(atlas: Atlas) -> str:
    """How the circuits were counted, and what became of those over a rating."""
    drawings = sum(row.drawings for row in atlas.sizes)
    circuits = sum(row.circuits for row in atlas.sizes)
    fitted = sum(row.fitted for row in atlas.sizes)
    overloaded = sum(row.overloaded for row in atlas.sizes)
    unsolved = sum(row.unsolved for row in atlas.sizes)
    agree = all(row.drawings == row.counted for row in atlas.sizes)
    said = (
        f"{drawings:,} drawings listed, {'as many as' if agree else 'NOT as many as'} there are by counting "
        f"orbits; they are {circuits:,} circuits, {fitted:,} with types"
    )
    said += f", of which {overloaded:,} are over a rating" if overloaded else ""
    said += f"; {unsolved:,} operating points had no solution" if unsolved else ""
    return f"{said}."


def circuit_words(parts: tuple[PartRow, ...]) -> str:
    """A circuit in a line: every part with its type and its two nodes."""
    return "; ".join(f"{part.ref} {part.type} {part.from_node}-{part.to_node}" for part in parts)


def settings_of(bound: AtlasBoundRow) -> tuple[str, ...]:
    """Every setting by the feeds that are on, in the order of a function's bits."""
    names = "ABC"[: bound.feeds]
    every = range(1 << bound.feeds)
    return tuple("".join(name for at, name in enumerate(names) if on >> at & 1) or "none" for on in every)


def light_cells(function: AtlasFunction, bound: AtlasBoundRow) -> tuple[str, ...]:
    """What a lamp does in every setting."""
    return tuple("lit" if function.number >> at & 1 else "off" for at in range(1 << bound.feeds))


def none_words(atlas: Atlas, most: int = 100) -> tuple[str, ...]:
    """The functions that none shows, put together by the reason; at most so many of each.

    Those that logic names come first.
    """
    reasons: dict[str, list[AtlasFunction]] = {}
    for entry in unshown(atlas):
        reasons.setdefault(entry.none or "", []).append(entry.functions[0])
    return tuple(
        f"Shown by none, nor with feeds renamed: {'; '.join(_first_named(of, most))}. {reason}"
        for reason, of in reasons.items()
    )


def _first_named(functions: Sequence[AtlasFunction], most: int) -> Sequence[str]:
    ordered = sorted(functions, key=lambda one: (one.name is None, len(one.words)))
    more = len(ordered) - most
    kept = [titled(one) for one in ordered[:most]]
    return kept if more <= 0 else [*kept, f"and {more} more"]


def nowhere(atlas: Atlas) -> str:
    """What is said where no behaviour is as asked."""
    circuits = sum(row.circuits for row in atlas.sizes)
    said = f"None of the {circuits:,} circuits shows that"
    return f"{said}: all were listed and solved." if atlas.complete else f"{said}; others were not reached."


def size_heads() -> tuple[str, ...]:
    """The headings of the sizes."""
    return SIZE_HEADS
