"""The whole answer to a spec: what circuits there are, what each is worth, and why there are none.

Three questions, each with a call of its own: `find` (search), `Assessor` (assess) and `why_none` (diagnose).
Whoever wants the whole answer asks them in turn here; nothing else does.
"""

from collections.abc import Callable, Sequence
from contextlib import closing, nullcontext
from pathlib import Path

from msgspec.structs import replace

from lampwright import __version__
from lampwright.assess.assess import ASSESSED, Assessor
from lampwright.assess.not_taken import Contender, types_not_taken
from lampwright.assess.resistances import NonstandardFinder
from lampwright.assess.uncertainty import hinge_rows, uncertain
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import Winner
from lampwright.kernels import program_digest
from lampwright.parts.tables import part_data_digest
from lampwright.problem.problem import Problem, helper_problems, spec_reference
from lampwright.progress.bar import Progress
from lampwright.progress.watch import Watch
from lampwright.results.design import Design
from lampwright.results.ranking import FORMAT, Ranking, SearchReport, StockPlan
from lampwright.results.shortfall import Shortfall, but_for
from lampwright.searching import shares
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
    find_circuits,
    plan_search,
)
from lampwright.searching.verdict import (
    CAUTIONS,
    funnel,
    part_count,
    unconstrained,
    verdict_of,
    with_helpers_said,
    with_limits_said,
)
from lampwright.store.files import ready_folder
from lampwright.store.journal import ENDED, Journal, Named, open_journal
from lampwright.words import counted

Show = Callable[[Judge, Winner], None]
"""Is shown a circuit that meets the spec."""

CALIBRATION = 0.3
"""Seconds that a long search may spend on saying how long it will be."""

WORTH_BOUND = 10_000
"""Fewer circuits than this are listed without a bound, where no more is asked than whether any will do."""


def search_problem(
    problem: Problem, options: SearchOptions, progress: Progress, enabled: tuple[bool, ...] = ALL_RULES
) -> Ranking:
    """Search, rank, assess and, where nothing was found, diagnose; nothing is kept on disk.

    With as few helper lamps as will do. Raises InputError for a search over budget and for a scheduler that
    does not answer. Ctrl-C and the time limit end the search; what was found so far is in the result.
    """
    watch = Watch(options.time_limit)

    def answer(search: Search, is_last: bool) -> Ranking:
        with executor_for(search, watch, enabled) as executor:
            return _answer(find(search, executor, Keeper(), progress), watch, progress, is_last=is_last)

    return _least_helpers(_searches(problem, options), answer)


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
    searches, watch = _searches(problem, options), Watch(options.time_limit)
    with executor_for(searches[0], watch) as first:
        ready_folder(folder)
        with closing(open_journal(folder, _provenance(problem), options.fresh)) as journal:

            def answer(search: Search, is_last: bool) -> Ranking:
                own = nullcontext(first) if search is searches[0] else executor_for(search, watch)
                with own as executor:
                    found = find(search, executor, _kept_in(journal, searches.index(search), show), progress)
                    return _answer(found, watch, progress, is_last=is_last)

            ranking = _least_helpers(searches, answer)
            journal.note(_came(ranking))
    return ranking


def _searches(problem: Problem, options: SearchOptions) -> tuple[Search, ...]:
    """The search without helper lamps, with one, and so on. Raises InputError for one over budget."""
    return tuple(plan_search(one, options) for one in helper_problems(problem))


def _least_helpers(searches: Sequence[Search], answer: Callable[[Search, bool], Ranking]) -> Ranking:
    """The answer with as few helper lamps as will do; of fewer it says how far it is proved that none does.

    answer: to one search; it is told whether no more helper lamps are allowed than that one has.
    """
    if len(searches) == 1:
        return answer(searches[0], True)
    proved: list[str] = []
    for count, search in enumerate(searches):
        ranking = answer(search, count == len(searches) - 1)
        lamps = counted(count, "helper lamp")
        proved += [f"With {lamps}: {line[0].lower()}{line[1:]}" for line in ranking.verdict.proved]
        if ranking.verdict.kind != "none":
            break
    said = replace(ranking.verdict, text=with_helpers_said(ranking.verdict, count), proved=tuple(proved))
    return replace(ranking, verdict=said, helper_lamps=count)


def find_designs(problem: Problem, options: SearchOptions, progress: Progress) -> Ranking:
    """What circuits there are and nothing else: neither assessed nor, where there is none, diagnosed.

    A bound is proved only where there is much to list. Raises InputError and ends early as
    `search_problem` does.
    """
    watch = Watch(options.time_limit)

    def answer(search: Search, is_last: bool) -> Ranking:
        del is_last
        with executor_for(search, watch) as executor:
            found = find(search, executor, Keeper(), progress, WORTH_BOUND)
        return found_only(found, watch.seconds())

    return _least_helpers(_searches(problem, options), answer)


def diagnose_problem(problem: Problem, options: SearchOptions, progress: Progress) -> Shortfall | None:
    """Why no circuit meets the spec, what comes near, what would help; None where one does, or after a stop.

    With as many helper lamps as the spec allows. Raises InputError as `search_problem` does.
    """
    watch, found = Watch(options.time_limit), None
    for one in helper_problems(problem):
        found = find_circuits(one, options, progress)
        if found.kind != "none":
            return None
    return _diagnosed(found, watch, progress) if found else None


def _answer(search: Search, watch: Watch, progress: Progress, *, is_last: bool) -> Ranking:
    ranking = assessed(search, watch.seconds())
    if is_last and search.kind == "none":
        progress.say(f"lampwright: none: {ranking.verdict.text} Working out why, and what would help.")
        shortfall = _diagnosed(search, watch, progress)
        verdict = ranking.verdict
        if shortfall and (but := but_for(shortfall)):
            verdict = with_limits_said(verdict, but)
        ranking = replace(ranking, shortfall=shortfall, verdict=verdict)
    if is_last or search.kind != "none":
        progress.close()
    return ranking


def _diagnosed(search: Search, watch: Watch, progress: Progress) -> Shortfall | None:
    if search.kind != "none":
        return None
    # imported where it is asked: most searches find something, and need neither this nor its solver
    from lampwright.diagnosis.diagnose import why_none

    return why_none(
        judge=search.judge,
        steps=search.steps,
        bound=search.bound,
        most_extra=search.options.extra_parts,
        progress=progress,
        check_cancelled=cancel_check(watch),
        stops=STOPS,
    )


def found_only(search: Search, seconds: float) -> Ranking:
    """The ranking of what was found and no more: no design is assessed, a shortfall is not explained.

    Designs that only their faults would tell apart stand in the order of their forms.
    """
    found = rank_designs(search.winners, search.options.prefer, Presenter(search.judge))
    return _ranking(search, [one.design for one in found], seconds)


def assessed(search: Search, seconds: float) -> Ranking:
    """The ranking of what was found, the first designs assessed; of a shortfall it says nothing yet."""
    found: tuple[RankedDesign, ...] = ()
    designs: list[Design] = []
    if search.winners:
        assessor = Assessor(search.judge)
        # the user of a search that was stopped waits for its answer
        most = ASSESSED if search.kind == "stopped" else MOST_SCORED
        found = rank_designs(search.winners, search.options.prefer, Presenter(search.judge), assessor, most)
        designs = _with_assessment(found, assessor)
    ranking = _ranking(search, designs, seconds)
    doubts = uncertain(designs[0]) if designs else ""
    winners = [one.winner for one in found]
    front = front_of(designs, [one.score for one in found], search.options.prefer)
    unbeaten = [Contender(one.rank, winners[one.rank - 1]) for one in front.points] if front else []
    return replace(
        ranking,
        verdict=replace(ranking.verdict, text=ranking.verdict.text + doubts),
        stock=_stocked(search, winners, designs),
        front=front,
        not_taken=types_not_taken(Presenter(search.judge), winners, unbeaten),
    )


def _stocked(search: Search, winners: Sequence[Winner], designs: Sequence[Design]) -> StockPlan | None:
    if search.problem.spec.stock is None:
        return None
    from lampwright.searching.stocking import stock_plan

    return stock_plan(search.problem, winners, designs, ended=search.kind != "stopped")


def _ranking(search: Search, designs: Sequence[Design], seconds: float) -> Ranking:
    problem = search.problem
    least = min((one.extra_parts for one in designs), default=None)
    hinges = hinge_rows(Presenter(search.judge), search.hinges, least)
    finder = NonstandardFinder(search.judge)
    nonstandard = finder.rows([(one.group, one.choice, one.ohms) for one in search.nonstandard], least)
    return Ranking(
        format=FORMAT,
        program=__version__,
        part_data=part_data_digest(),
        spec=spec_reference(problem),
        search=SearchReport(
            stages=funnel(problem, search.taken),
            part_counts=tuple(part_count(one) for one in search.taken),
            seconds=seconds,
            unconstrained=unconstrained(problem),
            types=tuple(sorted({name for types in problem.part_options.lamp_types for name in types})),
            values=problem.part_options.ohms,
        ),
        verdict=verdict_of(search, hinges, nonstandard),
        designs=tuple(designs),
        bound=search.bound,
        shortfall=None,
        stock=None,
        front=None,
        cautions=CAUTIONS,
        hinges=hinges,
        nonstandard=nonstandard,
    )


def _with_assessment(found: Sequence[RankedDesign], assessor: Assessor) -> list[Design]:
    first = [_assessed(one, assessor) for one in found[:ASSESSED]]
    return [*first, *(one.design for one in found[ASSESSED:])]


def _assessed(found: RankedDesign, assessor: Assessor) -> Design:
    netlist, (best, *others) = found.winner.netlist, found.winner.passing
    design = assessor.assess(found.design, netlist, best.choice)
    return replace(design, choices=assessor.choices(netlist, [one.choice for one in others], design))


def _kept_in(journal: Journal, helpers: int, show: Show) -> Keeper:
    """Keeps pieces in a journal; what was there at the start is read once. helpers: how many lamps help."""
    own = f"{counted(helpers, 'helper')}: " if helpers else ""
    return Keeper(
        {
            record.name.removeprefix(own): record.content
            for record in journal.records()
            if record.name.startswith(own)
        },
        lambda name, text: journal.add(Named(own + name, text)),
        lambda search: journal.note(_predicted(search)),
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


def _predicted(search: Search) -> tuple[Named, ...]:
    """What the run is expected to be; how long it takes only where it is long enough to ask."""
    circuits = Named("circuits predicted", str(search.circuits))
    if search.circuits <= shares.WORTH_WORKERS:
        return (circuits,)
    from lampwright.searching.estimate import about_seconds

    seconds = about_seconds(search.problem, search.listed, CALIBRATION)
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
