"""The whole answer to a spec: what circuits there are, what each is worth, and why there are none.

Three questions, each with a call of its own: `find` (search), `Assessor` (assess) and `why_none` (diagnose).
Whoever wants the whole answer asks them in turn here; nothing else does.
"""

from collections.abc import Callable, Sequence
from contextlib import closing, nullcontext
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from msgspec.structs import replace

from lampwright import __version__
from lampwright.assess.assess import ASSESSED, Assessor
from lampwright.assess.not_taken import Contender, types_not_taken
from lampwright.assess.resistances import NonstandardWriter, WorkingOhms, nonstandard_rows
from lampwright.assess.uncertainty import hinge_rows, uncertain
from lampwright.errors import Finding, InputError
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import Winner
from lampwright.kernels import program_digest
from lampwright.parts.tables import part_data_digest
from lampwright.problem.problem import Problem, helper_problems, spec_reference
from lampwright.progress.bar import Progress, led
from lampwright.progress.watch import Watch
from lampwright.results.design import Design
from lampwright.results.ranking import (
    FORMAT,
    Hinges,
    Nonstandards,
    Ranking,
    SearchReport,
    StockPlan,
    Verdict,
)
from lampwright.results.shortfall import Shortfall, but_for
from lampwright.searching import shares
from lampwright.searching.helpers import with_more
from lampwright.searching.options import SearchOptions
from lampwright.searching.ranking import MOST_SCORED, RankedDesign, front_of, rank_designs
from lampwright.searching.search import (
    ALL_RULES,
    STOPS,
    Keeper,
    Search,
    cancel_check,
    executor_for,
    find,
)
from lampwright.searching.verdict import (
    cautions_of,
    funnel,
    more_lamps_words,
    part_count,
    stopped_at_more,
    unconstrained,
    verdict_of,
    with_helpers_said,
    with_ways_said,
)
from lampwright.searching.ways import WaySearches, plan_ways
from lampwright.store.files import ready_folder
from lampwright.store.journal import ENDED, Journal, Named, open_journal
from lampwright.words import counted

Show = Callable[[Judge, Winner], None]
"""Is shown a circuit that meets the spec."""

CALIBRATION = 0.3
"""Seconds that a long search may spend on saying how long it will be."""

GRACE = 0.5
"""Seconds that making an answer of what was found may take beyond the time limit, and after a stop."""

LATE = "The time was over before all that was found was assessed."

WORTH_BOUND = 10_000
"""Fewer circuits than this are listed without a bound, where no more is asked than whether any will do."""


def search_problem(
    problem: Problem, options: SearchOptions, progress: Progress, enabled: tuple[bool, ...] = ALL_RULES
) -> Ranking:
    """Search, rank, assess and, where nothing was found, diagnose; nothing is kept on disk.

    With as few helper lamps as will do, in every way in which the spec can be taken. Raises InputError for
    a search over budget and for a scheduler that does not answer. Ctrl-C and the time limit end the search;
    what was found so far is in the result.
    """
    watch = Watch(options.time_limit)

    def seek(at: Place, search: Search) -> Search:
        with executor_for(search, watch, enabled) as executor:
            return find(search, executor, Keeper(), at.led(progress))

    tell = partial(_answer, watch=watch, progress=progress)
    return _least_helpers(_searches(problem, options, watch), seek, tell, watch)


def search_into(
    problem: Problem,
    options: SearchOptions,
    progress: Progress,
    folder: Path,
    show: Show = lambda _judge, _winner: None,
) -> Ranking:
    """The same with a journal in the folder, from which a stopped search goes on.

    show: is shown each circuit that meets the spec, as it is found.
    Raises InputError as `search_problem` does, before anything is written; StoreError where
    the folder or its journal refuses.
    """
    watch = Watch(options.time_limit)
    searches = _searches(problem, options, watch)
    tell = partial(_answer, watch=watch, progress=progress)
    with executor_for(searches[0].ways[0], watch) as first:
        ready_folder(folder)
        with closing(open_journal(folder, _provenance(problem), options.fresh)) as journal:

            def seek(at: Place, search: Search) -> Search:
                is_first = search is searches[0].ways[0]
                own = nullcontext(first) if is_first else executor_for(search, watch)
                with own as executor:
                    return find(search, executor, _kept_in(journal, at, show), at.led(progress))

            ranking = _least_helpers(searches, seek, tell, watch)
            journal.note(_came(ranking))
    return ranking


@dataclass(frozen=True)
class Place:
    """Which of all its searches a run is at: with so many helper lamps, in this of so many ways."""

    helpers: int
    way: int
    ways: int

    @property
    def title(self) -> str:
        """What the pieces of this search are named by; nothing where there is but one."""
        helped = f"{counted(self.helpers, 'helper')}: " if self.helpers else ""
        return f"{helped}way {self.way + 1}: " if self.ways > 1 else helped

    def led(self, progress: Progress) -> Progress:
        """The progress of this search."""
        return led(progress, f"way {self.way + 1} of {self.ways}: " if self.ways > 1 else "")


Seek = Callable[[Place, Search], Search]


def _searches(problem: Problem, options: SearchOptions, watch: Watch) -> tuple[WaySearches, ...]:
    """The searches without helper lamps, with one, and so on.

    Raises InputError for some over budget, and for more lamps than the least where there may be none.
    """
    spec = problem.spec
    if options.more_lamps and spec.extras.lamps is None:
        more = counted(options.more_lamps, "more helper lamp")
        said = f"{more} asked for, and the spec allows none"
        remedy = 'allow some there, as lamps = { most = 2, choose = ["P21W"] }, or ask for none'
        raise InputError([Finding(f"{spec.name}.toml: extras", said, remedy)])
    return tuple(plan_ways(one, options, cancel_check(watch)) for one in helper_problems(problem))


def _taken(searches: WaySearches, seek: Seek) -> WaySearches:
    ways = len(searches.ways)
    return searches.taken(lambda search, way: seek(Place(searches.helpers, way, ways), search))


def _more_taken(searches: Sequence[WaySearches], seek: Seek) -> tuple[WaySearches, ...]:
    """These searches taken in turn, until one is stopped."""
    taken: list[WaySearches] = []
    for planned in searches:
        taken.append(_taken(planned, seek))
        if taken[-1].whole.kind == "stopped":
            break
    return tuple(taken)


def _least_helpers(
    searches: Sequence[WaySearches],
    seek: Seek,
    tell: Callable[[WaySearches, bool], Ranking],
    watch: Watch,
) -> Ranking:
    """The answer with as few helper lamps as will do; of fewer it says how far it is proved that none does.

    Designs with more lamps stand beside them as far as they are asked for. seek: takes one search. tell: the
    answer of those of all ways; it is told whether no more helper lamps are allowed than they have.
    """
    proved: list[str] = []
    allowed = len(searches) - 1
    for planned in searches:
        found = _taken(planned, seek)
        if found.whole.kind == "found" and found.whole.options.more_lamps:
            beyond = found.helpers + 1
            more = _more_taken(searches[beyond : beyond + found.whole.options.more_lamps], seek)
            found = with_more(found, more, cancel_check(watch))
        ranking = tell(found, found.helpers == allowed)
        if allowed == 0:
            return ranking
        proved += _proved_with(found.helpers, ranking.verdict)
        if ranking.verdict.kind != "none":
            break
    asked = found.helpers + len(found.more)
    for one in found.more:
        proved += _proved_with(one.helpers, verdict_of(one.whole))
    verdict = ranking.verdict
    if found.more and found.is_stopped:
        verdict = stopped_at_more(verdict, len(ranking.designs), found.helpers, asked)
    else:
        any_do = any(one.whole.winners for one in found.more)
        beside = more_lamps_words(ranking.designs, found.helpers, asked, allowed, any_do=any_do)
        verdict = replace(verdict, text=with_helpers_said(verdict, found.helpers, beside))
    return replace(ranking, verdict=replace(verdict, proved=tuple(proved)), helper_lamps=found.helpers)


def _proved_with(helpers: int, verdict: Verdict) -> list[str]:
    lamps = counted(helpers, "helper lamp")
    return [f"With {lamps}: {line[0].lower()}{line[1:]}" for line in verdict.proved]


def find_designs(problem: Problem, options: SearchOptions, progress: Progress) -> Ranking:
    """What circuits there are and nothing else: neither assessed nor, where there is none, diagnosed.

    A bound is proved only where there is much to list. Raises InputError and ends early as
    `search_problem` does.
    """
    watch = Watch(options.time_limit)

    def tell(found: WaySearches, is_last: bool) -> Ranking:
        del is_last
        return found_only(found, watch.seconds())

    return _least_helpers(_searches(problem, options, watch), _quick(watch, progress), tell, watch)


def _quick(watch: Watch, progress: Progress) -> Seek:
    """What takes a search of which no more is asked than whether any circuit will do."""

    def seek(at: Place, search: Search) -> Search:
        with executor_for(search, watch) as executor:
            return find(search, executor, Keeper(), at.led(progress), WORTH_BOUND)

    return seek


def diagnose_problem(problem: Problem, options: SearchOptions, progress: Progress) -> Shortfall | None:
    """Why no circuit meets the spec, what comes near, what would help; None where one does, or after a stop.

    With as many helper lamps as the spec allows. Raises InputError as `search_problem` does.
    """
    watch, found = Watch(options.time_limit), None
    seek = _quick(watch, progress)
    for planned in _searches(problem, options, watch):
        found = _taken(planned, seek)
        if found.whole.kind != "none":
            return None
    return _diagnosed(found, watch, progress) if found else None


def _answer(found: WaySearches, is_last: bool, watch: Watch, progress: Progress) -> Ranking:
    left = 0.0 if found.is_stopped else max(0.0, watch.left())
    ranking = assessed(found, watch.seconds(), Watch(left + GRACE))
    kind = ranking.verdict.kind
    if is_last and kind == "none":
        progress.say(f"lampwright: none: {ranking.verdict.text} Working out why, and what would help.")
        shortfall = _diagnosed(found, watch, progress)
        but = but_for(shortfall) if shortfall else ""
        verdict = _verdict(found, ranking.hinges, ranking.nonstandard, but)
        ranking = replace(ranking, shortfall=shortfall, verdict=verdict)
    if is_last or kind != "none":
        progress.close()
    return ranking


def _diagnosed(found: WaySearches, watch: Watch, progress: Progress) -> Shortfall | None:
    """Why there is none, told of the way that comes nearest."""
    if found.whole.kind != "none":
        return None
    # imported where it is asked: most searches find something, and need neither this nor its solver
    from lampwright.diagnosis.diagnose import SearchedWay, why_none

    return why_none(
        ways=[SearchedWay(search.judge, search.bound) for search in found.ways],
        steps=found.whole.steps,
        most_extra=found.whole.options.extra_parts,
        progress=progress,
        check_cancelled=cancel_check(watch),
        stops=STOPS,
    )


def found_only(found: WaySearches, seconds: float) -> Ranking:
    """The ranking of what was found and no more: no design is assessed, a shortfall is not explained.

    Designs that only their faults would tell apart stand in the order of their forms.
    """
    ranked = rank_designs(found.winners, found.whole.options.prefer, _presenters(found))
    return _ranking(found, [one.design for one in ranked], seconds)


def assessed(found: WaySearches, seconds: float, patience: Watch | None = None) -> Ranking:
    """The ranking of what was found, the first designs assessed; of a shortfall it says nothing yet.

    patience: when it is over no more is assessed, and the verdict says so; None for as long as it takes.
    """
    whole, presenters, patience = found.whole, _presenters(found), patience or Watch()
    ranked: tuple[RankedDesign, ...] = ()
    designs: list[Design] = []
    if found.winners:
        assessors = [Assessor(search.judge) for search in found.every]
        # the user of a search that was stopped waits for its answer
        most = ASSESSED if found.is_stopped else MOST_SCORED
        ranked = rank_designs(
            found.winners, whole.options.prefer, presenters, assessors, most, patience.is_over
        )
        designs = _with_assessment(ranked, assessors, patience)
    ranking = _ranking(found, designs, seconds)
    doubts = uncertain(designs[0]) if designs else ""
    late = f" {LATE}" if designs and patience.is_over() else ""
    winners = [one.winner for one in ranked]
    front = front_of(designs, [one.score for one in ranked], whole.options.prefer)
    unbeaten = [Contender(one.rank, winners[one.rank - 1]) for one in front.points] if front else []
    return replace(
        ranking,
        verdict=replace(ranking.verdict, text=ranking.verdict.text + late + doubts),
        stock=_stocked(found, winners, designs, patience),
        front=front,
        not_taken=types_not_taken(presenters, winners, unbeaten, patience.is_over),
    )


def _presenters(found: WaySearches) -> list[Presenter]:
    return [Presenter(search.judge) for search in found.every]


def _stocked(
    found: WaySearches, winners: Sequence[Winner], designs: Sequence[Design], patience: Watch
) -> StockPlan | None:
    if found.problem.spec.stock is None:
        return None
    from lampwright.searching.stocking import stock_plan

    work, problems = max(0.0, patience.left()), [search.problem for search in found.every]
    return stock_plan(problems, winners, designs, ended=not found.is_stopped, most_work=work)


def _ranking(found: WaySearches, designs: Sequence[Design], seconds: float) -> Ranking:
    problem, whole, problems = found.problem, found.whole, [search.problem for search in found.ways]
    least = min((one.extra_parts for one in designs), default=None)
    hinges = hinge_rows(problems, whole.hinges, least)
    writers = [NonstandardWriter(search.judge) for search in found.ways] if whole.nonstandard else []
    others = [WorkingOhms(writers[one.way], one.group, one.choice, one.ohms) for one in whole.nonstandard]
    nonstandard = nonstandard_rows(others, least)
    options = problem.part_options
    return Ranking(
        format=FORMAT,
        program=__version__,
        part_data=part_data_digest(),
        spec=spec_reference(problem),
        search=SearchReport(
            stages=funnel(problem, whole.taken),
            part_counts=tuple(part_count(one) for one in whole.taken),
            seconds=seconds,
            unconstrained=unconstrained(problems),
            types=tuple(sorted({name for types in options.lamp_types for name in types})),
            values=options.ohms,
        ),
        verdict=_verdict(found, hinges, nonstandard),
        designs=tuple(designs),
        bound=whole.bound,
        shortfall=None,
        stock=None,
        front=None,
        cautions=cautions_of(problem),
        hinges=hinges,
        nonstandard=nonstandard,
        ways=len(problems),
    )


def _verdict(
    found: WaySearches, hinges: Hinges | None, nonstandard: Nonstandards | None, but: str = ""
) -> Verdict:
    verdict, ways = verdict_of(found.whole, hinges, nonstandard, but), len(found.ways)
    if ways == 1:
        return verdict
    ended = sum(search.kind != "stopped" for search in found.ways)
    return replace(verdict, text=with_ways_said(verdict, ways, ended))


def _with_assessment(
    found: Sequence[RankedDesign], assessors: Sequence[Assessor], patience: Watch
) -> list[Design]:
    first: list[Design] = []
    for one in found[:ASSESSED]:
        if patience.is_over():
            break
        first.append(_assessed(one, assessors[one.winner.way]))
    return [*first, *(one.design for one in found[len(first) :])]


def _assessed(found: RankedDesign, assessor: Assessor) -> Design:
    netlist, (best, *others) = found.winner.netlist, found.winner.passing
    design = assessor.assess(found.design, netlist, best.choice)
    return replace(design, choices=assessor.choices(netlist, [one.choice for one in others], design))


def _kept_in(journal: Journal, at: Place, show: Show) -> Keeper:
    """Keeps the pieces of one search in a journal; what was there at the start is read once."""
    own = at.title
    return Keeper(
        {
            record.name.removeprefix(own): record.content
            for record in journal.records()
            if record.name.startswith(own)
        },
        lambda name, text: journal.add(Named(own + name, text)),
        lambda search: journal.note(_predicted(search, at.ways)),
        show,
    )


def _provenance(problem: Problem) -> tuple[Named, ...]:
    return (
        Named("spec", problem.spec.digest),
        Named("part data", part_data_digest()),
        Named("program version", __version__),
        Named("program sources", program_digest()),
        Named("share size", str(shares.SHARE_SIZE)),
    )


def _predicted(search: Search, ways: int) -> tuple[Named, ...]:
    """What the run is expected to be; how long it takes only where it is long enough to ask."""
    circuits = Named("circuits predicted", str(search.circuits * ways))
    if search.circuits <= shares.WORTH_WORKERS:
        return (circuits,)
    from lampwright.searching.estimate import about_time

    seconds = about_time(search.problem, search.listed, CALIBRATION).in_ways(ways)
    return circuits, Named("seconds predicted, one process", f"{seconds:.2f}")


def _came(ranking: Ranking) -> tuple[Named, ...]:
    """What the run came to, beside what was predicted, and whether it ended."""
    listed = sum(count.listed for count in ranking.search.part_counts)
    notes = (
        Named("circuits listed", str(listed)),
        Named("seconds of the last run", f"{ranking.search.seconds:.2f}"),
    )
    ended = ranking.verdict.kind != "stopped"
    return (*notes, Named(ENDED, ranking.verdict.kind)) if ended else notes
