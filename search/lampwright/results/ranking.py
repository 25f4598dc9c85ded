"""The result of a run as plain rows: what `ranking.json` says, field by field.

Every class here is one object of the file, and the field names are the file's
(`from_node` and `to_node` are written `from` and `to`). Rows know nothing of how they
were found. Volts [V], amps [A], watts [W]; flux is relative to the filament's rated
flux at its test voltage; margins are stops, doublings of light; prices are in the spec's
own money. No source: our format.
"""

from collections.abc import Sequence
from typing import Annotated, Final, Literal

from msgspec import Meta

from lampwright.results.design import Design, PartRow, Taken
from lampwright.results.row import (
    Amount,
    Amps,
    Kelvin,
    Lumens,
    Money,
    Ohms,
    Percent,
    Ratio,
    Row,
    Score,
    Seconds,
    Stops,
    Volts,
    Watts,
    Whole,
)
from lampwright.results.shortfall import Missed, Shortfall
from lampwright.words import Aim, listed, many, money

VerdictKind = Literal["found", "none", "stopped"]

FORMAT: Final = 1
Format = Annotated[Literal[1], Meta(description="Version of this format.")]


class Stage(Row, frozen=True, kw_only=True):
    """One stage of the funnel: how many candidates entered it and how many left.

    `unit` says what is counted: circuits, or circuits with types and values chosen.
    """

    name: str
    claim: str
    unit: str
    entered: Whole
    left: Whole


class PartCount(Row, frozen=True, kw_only=True):
    """All circuits with this number of extra parts: listed one by one, and counted without listing.

    Where the spec can be taken in several ways, each is listed and counted once for each way not ruled out.
    Those `ruled_out` by the bound were not listed: none of them can meet the spec. `decided` is true where
    all others were decided for every resistance of the spec's range, of which `undecided` remain.
    """

    extra_parts: Whole
    listed: Whole
    orbits: Whole
    complete: bool
    ruled_out: bool
    decided: bool = False
    undecided: Whole = 0


class SearchReport(Row, frozen=True, kw_only=True):
    """The funnel, the completeness of the listing and the time it took."""

    stages: tuple[Stage, ...]
    part_counts: tuple[PartCount, ...]
    seconds: Seconds
    unconstrained: tuple[str, ...]
    types: tuple[str, ...]
    values: tuple[Amount, ...]


class Verdict(Row, frozen=True, kw_only=True):
    """found, none or stopped, in one sentence, and how far that is proved."""

    kind: VerdictKind
    text: str
    proved: tuple[str, ...]


class SpecReference(Row, frozen=True, kw_only=True):
    """Which spec this answers: its name (file stem), title and digest (sha256)."""

    name: str
    title: str
    digest: str


class BoundRule(Row, frozen=True, kw_only=True):
    """One family of conditions: its name, and what it says of every circuit that meets a spec."""

    name: str
    claim: str


class Bound(Row, frozen=True, kw_only=True):
    """A proved lower bound on extra parts, from a model that every circuit meeting the spec satisfies.

    No circuit with fewer than `least_extra_parts` extra parts meets the spec; where
    `none_at_all`, none does with as many as the spec allows either. `ended` is false where
    the model was left at its work limit: the bound is then proved all the same, but a better
    one may exist. `over` says for which parts, values and supplies it holds.
    """

    least_extra_parts: Whole
    none_at_all: bool
    ended: bool
    over: str
    rules: tuple[BoundRule, ...]


class FrontPoint(Row, frozen=True, kw_only=True):
    """A design that no other beats: none is at least as good in every aim and better in one.

    `fault_score` is null where the design's faults were not worked out. `certain` is false where
    a design whose score is not known may yet beat it. `as_good`: the ranks of designs that are equal to it in
    every aim, and so no trade-off; they are no points of their own. A helper lamp counts as an extra part.
    """

    rank: Whole
    extra_parts: Whole
    wires: Whole
    conductors: Whole
    margin_stops: Stops
    fault_score: Score | None
    certain: bool
    as_good: tuple[Whole, ...] = ()
    helper_lamps: Whole = 0


class Front(Row, frozen=True, kw_only=True):
    """The Pareto front over extra parts, wires, conductors, margin and fault score.

    `preferred` is the order of aims by which the designs are ranked; `compared` designs were compared,
    each with the types and values of its greatest margin, and of `scored` of them the fault score is
    known. `undecided` designs without a score are beaten in the other four aims and not among the
    points: only a score better than that of every design that beats them so would put them there.
    """

    preferred: tuple[Aim, ...]
    compared: Whole
    scored: Whole
    undecided: Whole
    points: tuple[FrontPoint, ...]


class HingeCase(Row, frozen=True, kw_only=True):
    """What the lamps are taken to hold, type by type, and what the judge then says."""

    assumes: tuple[str, ...]
    margin_stops: Stops
    meets: bool


class HingeDesign(Row, frozen=True, kw_only=True):
    """A circuit that meets the spec in some fillings of its lamps and misses it in others."""

    text: str
    extra_parts: Whole
    wires: Whole
    joints: Whole
    conductors: Whole
    parts: tuple[PartRow, ...]
    cases: tuple[HingeCase, ...]
    takes: tuple[Taken, ...] = ()


class Hinges(Row, frozen=True, kw_only=True):
    """Circuits that hang on a filling: how many with the fewest extra parts, and the best of them."""

    text: str
    circuits: Whole
    extra_parts: Whole
    designs: tuple[HingeDesign, ...]


class NonstandardResistor(Row, frozen=True, kw_only=True):
    """A resistance [ohm] that no listed value has: where it may lie, and how to make it.

    `ohms` lies between, made of the listed values `made_of`: one alone, or two `joined` in series or
    parallel; none where no two of them will do. The other resistors are taken to have their own `ohms`.
    """

    ref: str
    low: Ohms
    high: Ohms
    ohms: Ohms
    made_of: tuple[Ohms, ...]
    joined: Literal["alone", "series", "parallel", "specially"]


class NonstandardDesign(Row, frozen=True, kw_only=True):
    """A circuit that meets the spec with resistances that are not listed."""

    text: str
    extra_parts: Whole
    wires: Whole
    joints: Whole
    conductors: Whole
    margin_stops: Stops
    parts: tuple[PartRow, ...]
    resistors: tuple[NonstandardResistor, ...]
    takes: tuple[Taken, ...] = ()


class Nonstandards(Row, frozen=True, kw_only=True):
    """Circuits that no listed resistance suits, but some other: how many, and the first of them."""

    text: str
    circuits: Whole
    extra_parts: Whole
    designs: tuple[NonstandardDesign, ...]


class StockBuild(Row, frozen=True, kw_only=True):
    """One copy to build: which design, with which types and values, and its margin.

    All copies take the spec in one way, which `takes` says where the spec leaves a choice.
    """

    build: str
    rank: Whole
    fitted: tuple[str, ...]
    margin_stops: Stops
    takes: tuple[Taken, ...] = ()


class StockItem(Row, frozen=True, kw_only=True):
    """One kind of part over all copies: how many are needed, from stock and bought, and the cost.

    `price` of one is null where the spec gives none (then none may be bought).
    """

    item: str
    needed: Whole
    from_stock: Whole
    to_buy: Whole
    price: Money | None
    cost: Money


class StockPlan(Row, frozen=True, kw_only=True):
    """Types and values chosen for every copy from what is at hand, as cheaply as can be.

    `status`: `best` is proved to cost least (and, among those, to have the greatest least
    margin); `none` is proved impossible with this stock, these prices and this floor;
    `stopped` is the best found before the work limit, or among the designs of a search that was
    stopped. `floor_stops` is the least margin allowed; `remarks` say what of the box was not tried.
    """

    status: Literal["best", "none", "stopped"]
    text: str
    floor_stops: Stops
    builds: tuple[StockBuild, ...]
    items: tuple[StockItem, ...]
    cost: Money
    remarks: tuple[str, ...]


def what_to_build(builds: Sequence[StockBuild], items: Sequence[StockItem]) -> str:
    """Say which copies to build, as which design, and what that costs."""
    names = tuple(build.build for build in builds)
    bought = sum(item.to_buy for item in items)
    cost = sum(item.cost for item in items)
    buy = f"{many(bought, 'part')} to buy for {money(cost)} in all" if bought else "nothing to buy"
    return f"Build {copies_named(names)} as design {builds[0].rank}: {buy}."


def copies_named(names: Sequence[str]) -> str:
    """Name copies to build; one that has no name of its own is one copy."""
    if len(names) == 1:
        return "one copy" if names == ("build",) else names[0]
    return listed(names)


class NotTaken(Row, frozen=True, kw_only=True):
    """A lamp type on offer that is in no choice that passes: where it comes nearest, what it misses there.

    `fitted` are the types and values with it, in the circuit of the design of this rank: a choice that
    passes with this one lamp changed, the nearest of the first `tried` of `choices` of this kind. `missed` is
    what it misses by most, in which it gives `gives` of its rated light (null where two lamps must match);
    null where it misses nothing and is `over` a rating.
    """

    lamp: str
    type: str
    rank: Whole
    fitted: tuple[str, ...]
    missed: Missed | None
    gives: Ratio | None
    over: tuple[str, ...]
    tried: Whole
    choices: Whole


class Ranking(Row, frozen=True, kw_only=True):
    """The whole of `ranking.json`.

    bound is null where no extra parts are allowed, shortfall where designs were found or the
    search was stopped, stock where the spec has no `[stock]`, front where there is no design; hinges
    where no circuit with fewer extra parts than the designs have hangs on what a bulb holds, nonstandard
    where no such circuit works with a resistance that is not listed; not_taken is empty where designs take
    every type on offer, or there is none. `helper_lamps` is how many the designs have at the least,
    or how many were tried last where there is none; with fewer there is no circuit. `ways` is in how many
    ways the spec can be taken, in each of which each circuit is tried. `search` tells of circuits with the
    least helper lamps; of those with more, where they were asked for, `verdict.proved` does.
    """

    format: Format
    program: str
    part_data: str
    spec: SpecReference
    search: SearchReport
    verdict: Verdict
    designs: tuple[Design, ...]
    bound: Bound | None
    shortfall: Shortfall | None
    stock: StockPlan | None
    front: Front | None
    cautions: tuple[str, ...]
    not_taken: tuple[NotTaken, ...] = ()
    helper_lamps: Whole = 0
    ways: Whole = 1
    hinges: Hinges | None = None
    nonstandard: Nonstandards | None = None


class CheckReport(Row, frozen=True, kw_only=True):
    """What `check` says of one circuit: the same rows as a design, pass or fail.

    `failures` is one line per requirement missed or rating exceeded; `margin_stops` is
    negative where the spec is missed by so much.
    """

    format: Format
    program: str
    part_data: str
    spec: SpecReference
    meets: bool
    failures: tuple[str, ...]
    remarks: tuple[str, ...]
    design: Design
    cautions: tuple[str, ...]


class CountRow(Row, frozen=True, kw_only=True):
    """How many circuits there are with these numbers of extra parts, wires and joints."""

    extra_parts: Whole
    diodes: Whole
    resistors: Whole
    wires: Whole
    joints: Whole
    circuits: Whole
    helper_lamps: Whole = 0


class CountReport(Row, frozen=True, kw_only=True):
    """What `count` says: circuits per size, choices per circuit, about how long, and if that is rough."""

    spec: SpecReference
    rows: tuple[CountRow, ...]
    total: Whole
    choices: Whole
    about_seconds: Seconds
    budget: Whole
    is_rough: bool = False


class PartLine(Row, frozen=True, kw_only=True):
    """One line of the catalogue: lamps, diodes."""

    type: str
    kind: Literal["lamp", "diode"]
    system: str
    rated: str
    cap: str
    filling: str
    source: str
    confidence: str


class SeriesLine(Row, frozen=True, kw_only=True):
    """One preferred-value series or list of wattages."""

    name: str
    values: tuple[Amount, ...]
    tolerance_percent: Percent | None
    source: str
    confidence: str


class Catalogue(Row, frozen=True, kw_only=True):
    """What `parts` lists."""

    lines: tuple[PartLine, ...]
    series: tuple[SeriesLine, ...]


class CurveRow(Row, frozen=True, kw_only=True):
    """One point of a filament's curve; flux and life relative to rated."""

    volts: Volts
    amps: Amps
    watts: Watts
    kelvin: Kelvin
    flux: Ratio
    life: Ratio


class FilamentCurve(Row, frozen=True, kw_only=True):
    """The curve of one filament of one type, and what it was made from.

    Where it is not known what the bulb holds, `filling_known` is false and each filling has a curve.
    """

    type: str
    filament: str
    system: Whole | Volts
    test_volts: Volts
    rated_watts: Watts
    rated_lumens: Lumens
    rated_kelvin: Kelvin
    filling: Literal["gas", "vacuum"]
    filling_known: bool
    filling_status: str
    filling_confidence: str
    conducted_share: Ratio
    cold_ohms: Ohms
    hot_ohms: Ohms
    source: str
    confidence: str
    rows: tuple[CurveRow, ...]


class Curves(Row, frozen=True, kw_only=True):
    """What `parts TYPE` prints: one curve per filament and system."""

    type: str
    curves: tuple[FilamentCurve, ...]
