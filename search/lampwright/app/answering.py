"""The whole answer to a spec: what circuits there are, what each is worth, and why there are none.

Three questions, each with a call of its own: `find` (search), `Treatment` (assess) and `why_none` (diagnose).
Whoever wants the whole answer asks them in turn here; nothing else does.
"""

from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

from msgspec.structs import replace

from lampwright import __version__
from lampwright.assess.assess import TREATED, Treatment
from lampwright.assess.doubt_rows import hinge_rows, uncertain
from lampwright.diagnosis.diagnose import why_none
from lampwright.judge.design_rows import Presenter
from lampwright.kernels import program_digest
from lampwright.parts.tables import part_data_digest
from lampwright.problem.problem import Problem, spec_reference
from lampwright.progress.bar import Progress
from lampwright.progress.watch import Watch
from lampwright.results.design import Design
from lampwright.results.ranking import FORMAT, Ranking, SearchReport
from lampwright.results.shortfall import Shortfall
from lampwright.searching import shares
from lampwright.searching.cautions import CAUTIONS, unconstrained
from lampwright.searching.estimate import about_seconds
from lampwright.searching.options import SearchOptions
from lampwright.searching.pareto import MOST_SCORED, ParetoRanking, Ranked, front_of
from lampwright.searching.search import (
    ALL_RULES,
    STOPS,
    Memory,
    Planned,
    Searched,
    cancel_check,
    executor_for,
    find,
    find_circuits,
    plan_search,
)
from lampwright.searching.stocking import stock_plan
from lampwright.searching.verdict import funnel, part_count, verdict_of
from lampwright.store.files import ready_folder
from lampwright.store.journal import ENDED, Journal, Named, open_journal

CALIBRATION = 0.3
"""Seconds that a long search may spend on saying how long it will be."""


class _Kept:
    """Keeps pieces in a journal; what was there at the start is read once."""

    def __init__(self, journal: Journal) -> None:
        self.journal = journal
        self._known = {record.name: record.content for record in journal.records()}

    def known(self, name: str) -> str | None:
        return self._known.get(name)

    def add(self, name: str, text: str) -> None:
        self.journal.add(Named(name, text))

    def predict(self, planned: Planned) -> None:
        self.journal.note(_predicted(planned))


def search_problem(
    problem: Problem, options: SearchOptions, progress: Progress, enabled: tuple[bool, ...] = ALL_RULES
) -> Ranking:
    """Search, rank, assess and, where nothing was found, diagnose; nothing is kept on disk.

    Raises InputError for a search over budget and for a scheduler that does not answer.
    Ctrl-C and the time limit end the search; what was found so far is in the result.
    """
    planned, watch = plan_search(problem, options), Watch(options.time_limit)
    with executor_for(planned, watch, enabled) as executor:
        return _answer(find(planned, executor, Memory(), progress), watch, progress)


def search_into(problem: Problem, options: SearchOptions, progress: Progress, folder: Path) -> Ranking:
    """The same with a journal in the folder, from which a stopped search goes on.

    Raises InputError as `search_problem` does, before anything is written; StoreError where
    the folder or its journal refuses.
    """
    planned, watch = plan_search(problem, options), Watch(options.time_limit)
    with executor_for(planned, watch) as executor:
        ready_folder(folder)
        with closing(open_journal(folder, _provenance(problem), options.fresh)) as journal:
            ranking = _answer(find(planned, executor, _Kept(journal), progress), watch, progress)
            journal.note(_came(ranking))
    return ranking


def find_study(problem: Problem, options: SearchOptions, progress: Progress) -> Ranking:
    """What circuits there are and nothing else: neither assessed nor, where there is none, diagnosed.

    Raises InputError and ends early as `search_problem` does.
    """
    watch = Watch(options.time_limit)
    return found_only(find_circuits(problem, options, progress), watch.seconds())


def diagnose_study(problem: Problem, options: SearchOptions, progress: Progress) -> Shortfall | None:
    """Why no circuit meets the spec, what comes near, what would help; None where one does, or after a stop.

    Raises InputError as `search_problem` does.
    """
    watch = Watch(options.time_limit)
    return _diagnosed(find_circuits(problem, options, progress), watch, progress)


def _answer(searched: Searched, watch: Watch, progress: Progress) -> Ranking:
    ranking = assessed(searched, watch.seconds())
    ranking = replace(ranking, shortfall=_diagnosed(searched, watch, progress))
    progress.close()
    return ranking


def _diagnosed(searched: Searched, watch: Watch, progress: Progress) -> Shortfall | None:
    if searched.kind != "none":
        return None
    plan = searched.planned
    most, check_cancelled = plan.options.extra_parts, cancel_check(watch)
    return why_none(
        judge=plan.judge,
        steps=plan.steps,
        bound=plan.bound,
        most_extra=most,
        progress=progress,
        check_cancelled=check_cancelled,
        stops=STOPS,
    )


def found_only(searched: Searched, seconds: float) -> Ranking:
    """The ranking of what was found and no more: no design is assessed, a shortfall is not explained.

    Designs that only their faults would tell apart stand in the order of their forms.
    """
    ranked = _ranked(searched, Treatment(searched.planned.judge), 0)
    return _ranking(searched, ranked, [one.design for one in ranked], seconds)


def assessed(searched: Searched, seconds: float) -> Ranking:
    """The ranking of what was found, the first designs assessed; of a shortfall it says nothing yet."""
    plan, treatment = searched.planned, Treatment(searched.planned.judge)
    # a search that was stopped owes its user an answer soon
    ranked = _ranked(searched, treatment, TREATED if searched.kind == "stopped" else MOST_SCORED)
    designs = _treated(ranked, treatment)
    ranking = _ranking(searched, ranked, designs, seconds)
    doubts = uncertain(designs[0]) if designs else ""
    winners = [one.winner for one in ranked]
    return replace(
        ranking,
        verdict=replace(ranking.verdict, text=ranking.verdict.text + doubts),
        stock=stock_plan(plan.problem, winners, designs, ended=searched.kind != "stopped"),
        front=front_of(designs, [one.score for one in ranked], plan.options.prefer),
    )


def _ranked(searched: Searched, treatment: Treatment, most_scored: int) -> tuple[Ranked, ...]:
    pareto = ParetoRanking(Presenter(searched.planned.judge), treatment.assessor)
    return pareto.ranked(searched.winners, searched.planned.options.prefer, most_scored)


def _ranking(
    searched: Searched, ranked: Sequence[Ranked], designs: Sequence[Design], seconds: float
) -> Ranking:
    plan = searched.planned
    least = min((one.winner.netlist.extra_parts for one in ranked), default=None)
    hinges = hinge_rows(Presenter(plan.judge), searched.hinges, least)
    return Ranking(
        format=FORMAT,
        program=__version__,
        part_data=part_data_digest(),
        spec=spec_reference(plan.problem),
        search=_report(searched, seconds),
        verdict=verdict_of(
            problem=plan.problem,
            steps=searched.done,
            planned=len(plan.steps),
            designs=len(ranked),
            bound=plan.bound,
            hinges=hinges,
        ),
        designs=tuple(designs),
        bound=plan.bound,
        shortfall=None,
        stock=None,
        front=None,
        cautions=CAUTIONS,
        hinges=hinges,
    )


def _treated(ranked: Sequence[Ranked], treatment: Treatment) -> list[Design]:
    first = [
        treatment.treat(one.design, one.winner.netlist, one.winner.passing[0].choice)
        for one in ranked[:TREATED]
    ]
    return [*first, *(one.design for one in ranked[TREATED:])]


def _report(searched: Searched, seconds: float) -> SearchReport:
    problem, done = searched.planned.problem, searched.done
    return SearchReport(
        stages=funnel(done),
        part_counts=tuple(part_count(one) for one in done),
        seconds=seconds,
        unconstrained=unconstrained(problem),
        types=tuple(sorted({name for types in problem.part_options.lamp_types for name in types})),
        values=problem.part_options.ohms,
    )


def _provenance(problem: Problem) -> tuple[Named, ...]:
    return (
        Named("spec", problem.spec.digest),
        Named("part data", part_data_digest()),
        Named("program version", __version__),
        Named("program sources", program_digest()),
        Named("share size", str(shares.SHARE_SIZE)),
    )


def _predicted(planned: Planned) -> tuple[Named, ...]:
    """What the run is expected to be; how long it takes only where it is long enough to ask."""
    circuits = Named("circuits predicted", str(planned.circuits))
    if planned.circuits <= shares.WORTH_WORKERS:
        return (circuits,)
    seconds = about_seconds(planned.problem, planned.listed, CALIBRATION)
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
