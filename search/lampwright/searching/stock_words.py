"""What a plan from the parts box says in words: what to do, what is proved, what was not tried."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from lampwright.problem.problem import Problem
from lampwright.results.stock import StockBuild, StockItem
from lampwright.spec.model import Stock
from lampwright.words import money


@dataclass(frozen=True)
class Tally:
    """All that the words are about.

    designs, ways: how many had the least margin asked for; most_margin: the greatest of any
    choice, None without a design. missing: what is lacking, as "2 × R10W", where there is no plan.
    """

    status: Literal["best", "none", "stopped"]
    ended: bool
    stock: Stock
    builds: tuple[StockBuild, ...]
    items: tuple[StockItem, ...]
    designs: int
    ways: int
    most_margin: float | None
    missing: tuple[str, ...]


def plan_text(tally: Tally) -> str:
    """What to build, what to buy, and how far that is the best."""
    if tally.builds:
        return f"{_what_to_do(tally)} {_how_far(tally)}"
    if tally.status == "stopped":
        return f"No plan was found before the {'work allowed was done' if tally.ended else 'search stopped'}."
    return _why_none(tally)


def _what_to_do(tally: Tally) -> str:
    names = tuple(build.build for build in tally.builds)
    bought = sum(item.to_buy for item in tally.items)
    cost = sum(item.cost for item in tally.items)
    buy = f"{_count(bought, 'part')} to buy for {money(cost)} in all" if bought else "nothing to buy"
    return f"Build {_named(names)} as design {tally.builds[0].rank}: {buy}."


def _how_far(tally: Tally) -> str:
    over = f"{_count(tally.designs, 'design')} and {_count(tally.ways, 'choice')} of types and values"
    margin = f"{min(build.margin_stops for build in tally.builds):.2f} stops"
    if not tally.ended:
        return f"The search stopped early, so this is the best only over {over}, with {margin} of margin."
    if tally.status == "stopped":
        return f"The work allowed was done before this was proved the best; the least margin is {margin}."
    return (
        f"Proved over {over}: nothing costs less, and nothing at that cost has more than {margin} of margin"
        " in the copy that has least."
    )


def _why_none(tally: Tally) -> str:
    floor = f"{tally.stock.least_margin:g} stops"
    if tally.most_margin is None:
        return "No plan: there is no design to build."
    if not tally.ways:
        return (
            f"No plan: no design has {floor} of margin with any choice of types and values; "
            f"the most is {tally.most_margin:.2f} stops."
        )
    copies = _named(tally.stock.builds)
    over = f"{_count(tally.designs, 'design')} and {_count(tally.ways, 'choice')} of types and values"
    floor = f", with at least {floor} of margin" if tally.stock.least_margin else ""
    lack = f" With {_listed(tally.missing)} more it would do, and with no fewer." if tally.missing else ""
    return (
        f"No plan: proved that the box and what may be bought do not reach for {copies}{floor}, "
        f"over {over}.{lack}"
    )


def remarks(problem: Problem, stock: Stock) -> tuple[str, ...]:
    """What of the box was not tried, and what the margins leave out."""
    return tuple(_remarks(problem, stock))


def _remarks(problem: Problem, stock: Stock) -> Iterator[str]:
    lamps = {name for types in problem.part_options.lamp_types for name in types}
    unused = [name for name, _ in stock.lamps if name not in lamps]
    if unused:
        yield f"In the box, but in no lamp's `choose`, so not tried: {', '.join(unused)}."
    diodes = {diode.name for diode in problem.part_options.diode_types}
    unused = [name for name, _ in stock.diodes if name not in diodes]
    if unused:
        yield f"In the box, but not in `extras.diodes`, so not tried: {', '.join(unused)}."
    values = dict.fromkeys(row.ohms for row in stock.resistors if row.ohms not in problem.part_options.ohms)
    if values:
        said = ", ".join(f"{ohms:g} ohm" for ohms in values)
        yield f"In the box, but beyond `extras.resistors`, so not tried: {said}."
    if problem.spec.wiring is not None:
        yield "Margins here are without the wires; the wiring list has each design's with them."


def _named(names: Sequence[str]) -> str:
    if len(names) == 1:
        return "one copy" if names == ("build",) else names[0]
    return _listed(names)


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _count(count: int, noun: str) -> str:
    return f"{count:,} {noun}{'s' * (count != 1)}"
