"""The main job: from a spec to ranked designs.

Steps go by rising number of extra parts, so that the first design found is the least.
"""

from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path

from lampwright import __version__
from lampwright.errors import InputError
from lampwright.kernels import program_digest
from lampwright.parts.tables import part_data_digest
from lampwright.pipeline import shares
from lampwright.pipeline.bounding import find_bound, is_ruled_out, kept_bound
from lampwright.pipeline.cluster import Cluster
from lampwright.pipeline.crew import Alone, Crew, Pool
from lampwright.pipeline.doubting import hinge_rows, uncertain
from lampwright.pipeline.estimate import about_seconds
from lampwright.pipeline.helping import why_none
from lampwright.pipeline.hunt import Mind
from lampwright.pipeline.options import SearchOptions
from lampwright.pipeline.plan import Step, check_budget, most_choices, plan_steps
from lampwright.pipeline.present import Presenter
from lampwright.pipeline.step import Findings, Pursuit, take_step
from lampwright.pipeline.stocking import stock_plan
from lampwright.pipeline.trading import MOST_SCORED, Trader, front_of
from lampwright.pipeline.treatment import TREATED, Treatment
from lampwright.pipeline.verdict import funnel, part_count, verdict_of
from lampwright.pipeline.words import CAUTIONS, unconstrained
from lampwright.progress.bar import Progress
from lampwright.progress.watch import Watch
from lampwright.rank.judge import Judge
from lampwright.rank.study import Study
from lampwright.refute.rules import RULES
from lampwright.store.bound_rows import Bound
from lampwright.store.files import ready_folder
from lampwright.store.journal import ENDED, Journal, Named, open_journal
from lampwright.store.result import FORMAT, Ranking, SearchReport, SpecReference

ALL_RULES = (True,) * len(RULES)

CALIBRATION = 0.3
"""Seconds that a long search may spend on saying how long it will be."""


class StoppedError(Exception):
    """The time is up."""


class _Memory:
    """Keeps nothing: for a search whose result is only returned."""

    def known(self, name: str) -> str | None:
        del name
        return None

    def add(self, name: str, text: str) -> None:
        del name, text

    def predict(self, planned: "_Planned") -> None:
        del planned


class _Kept:
    """Keeps pieces in a journal; what was there at the start is read once."""

    def __init__(self, journal: Journal) -> None:
        self.journal = journal
        self._known = {record.name: record.content for record in journal.records()}

    def known(self, name: str) -> str | None:
        return self._known.get(name)

    def add(self, name: str, text: str) -> None:
        self.journal.add(Named(name, text))

    def predict(self, planned: "_Planned") -> None:
        self.journal.note(_predicted(planned))


@dataclass(frozen=True)
class _Planned:
    """A search that fits its budget, ready to go: its steps, and the bound that rules some of them out."""

    study: Study
    judge: Judge
    steps: tuple[Step, ...]
    bound: Bound | None
    options: SearchOptions

    @property
    def listed(self) -> tuple[Step, ...]:
        return tuple(step for step in self.steps if not is_ruled_out(step, self.bound))

    @property
    def circuits(self) -> int:
        return sum(step.circuits for step in self.listed)


def _plan(study: Study, options: SearchOptions) -> _Planned:
    judge = Judge(study)
    planned = _Planned(study, judge, plan_steps(judge, options.extra_parts), None, options)
    try:
        _check(planned)
    except InputError:
        if not options.bound:
            raise
        # a search over its budget may be within it once it starts at its bound
        planned = replace(planned, bound=find_bound(study, planned.steps))
        _check(planned)
    return planned


def _check(planned: _Planned) -> None:
    listed, file = planned.listed, f"{planned.study.spec.name}.toml"
    check_budget(file, listed, most_choices(planned.judge, listed), planned.options.budget)


def _bounded(planned: _Planned, keeper: _Memory | _Kept, progress: Progress) -> _Planned:
    """The search with its bound, if it has none yet and is to have one."""
    if planned.bound is not None or not planned.options.bound:
        return planned
    progress.stage("proving a least number of extra parts", 1)
    bound = kept_bound(planned.study, planned.steps, keeper)
    progress.advance(1)
    return replace(planned, bound=bound)


def search_study(
    study: Study, options: SearchOptions, progress: Progress, enabled: tuple[bool, ...] = ALL_RULES
) -> Ranking:
    """Search and rank, keeping nothing on disk.

    Raises InputError for a search over budget and for a scheduler that does not answer.
    Ctrl-C and the time limit end the search; what was found so far is in the result.
    """
    planned, watch = _plan(study, options), Watch(options.time_limit)
    with _crew(planned, watch, enabled) as hired:
        return _run(planned, hired, watch, progress, _Memory())


def search_into(study: Study, options: SearchOptions, progress: Progress, folder: Path) -> Ranking:
    """Search and rank with a journal in the folder, from which a stopped search goes on.

    Raises InputError as `search_study` does, before anything is written; StoreError where
    the folder or its journal refuses.
    """
    planned, watch = _plan(study, options), Watch(options.time_limit)
    with _crew(planned, watch, ALL_RULES) as hired:
        ready_folder(folder)
        with closing(open_journal(folder, _provenance(study), options.fresh)) as journal:
            ranking = _run(planned, hired, watch, progress, _Kept(journal))
            journal.note(_came(ranking))
    return ranking


def _provenance(study: Study) -> tuple[Named, ...]:
    return (
        Named("spec", study.spec.digest),
        Named("part data", part_data_digest()),
        Named("program version", __version__),
        Named("program sources", program_digest()),
        Named("share size", str(shares.SHARE_SIZE)),
    )


def _predicted(planned: _Planned) -> tuple[Named, ...]:
    """What the run is expected to be; how long it takes only where it is long enough to ask."""
    circuits = Named("circuits predicted", str(planned.circuits))
    if planned.circuits <= shares.WORTH_WORKERS:
        return (circuits,)
    seconds = about_seconds(planned.study, planned.listed, CALIBRATION)
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


def _mind(watch: Watch) -> Mind:
    def mind() -> None:
        if watch.is_over():
            raise StoppedError

    return mind


@contextmanager
def _crew(planned: _Planned, watch: Watch, enabled: tuple[bool, ...]) -> Iterator[Crew]:
    """The crew that the options ask for, dismissed whatever happens."""
    options, mind = planned.options, _mind(watch)
    hired: Crew
    if options.scheduler is not None:
        hired = Cluster(planned.study, enabled, mind, options.scheduler)
    elif options.workers > 1 and planned.circuits > shares.WORTH_WORKERS:
        hired = Pool(planned.study, enabled, mind, options.workers)
    else:
        hired = Alone(planned.study, enabled, mind)
    try:
        yield hired
    finally:
        hired.dismiss()


def _run(
    planned: _Planned, hired: Crew, watch: Watch, progress: Progress, keeper: _Memory | _Kept
) -> Ranking:
    taken: list[Findings] = []
    pursuit = Pursuit(planned.judge, hired, keeper, progress)
    with suppress(StoppedError, KeyboardInterrupt):
        planned = _bounded(planned, keeper, progress)
        keeper.predict(planned)
        for step in planned.steps:
            ruled_out = is_ruled_out(step, planned.bound)
            taken.append(Findings(step, finished=ruled_out, ruled_out=ruled_out))
            if not ruled_out:
                take_step(pursuit, taken[-1])
    # before the ranking is made: a stopped crew may be in the middle of something
    hired.dismiss()
    ranking = _ranking(planned, taken, watch.seconds())
    if ranking.verdict.kind == "none":
        most, mind, stops = planned.options.extra_parts, _mind(watch), (StoppedError, KeyboardInterrupt)
        why = why_none(planned.judge, planned.steps, planned.bound, most, progress, mind, stops)
        ranking = replace(ranking, shortfall=why)
    progress.close()
    return ranking


def _ranking(planned: _Planned, taken: list[Findings], seconds: float) -> Ranking:
    study, prefer = planned.study, planned.options.prefer
    presenter, treatment = Presenter(planned.judge), Treatment(planned.judge)
    found = [winner for step in taken for winner in step.winners]
    # a search that was stopped owes its user an answer soon
    most = MOST_SCORED if len(taken) == len(planned.steps) and taken[-1].finished else TREATED
    ranked = Trader(presenter, treatment.carer).ranked(found, prefer, most)
    winners = [one.winner for one in ranked]
    designs = [one.design for one in ranked]
    for at, (design, winner) in enumerate(zip(designs[:TREATED], winners, strict=False)):
        designs[at] = treatment.treat(design, winner.embedding, winner.passing[0].choice)
    done = tuple(step.done() for step in taken)
    least = min((one.embedding.extra_parts for one in winners), default=None)
    hinges = hinge_rows(presenter, [hinge for step in taken for hinge in step.hinges], least)
    verdict = verdict_of(study, done, len(planned.steps), len(winners), planned.bound, hinges)
    if designs:
        verdict = replace(verdict, text=verdict.text + uncertain(designs[0]))
    report = SearchReport(
        funnel(done),
        tuple(part_count(one) for one in done),
        seconds,
        unconstrained(study),
        tuple(sorted({name for types in study.shelf.lamp_types for name in types})),
        study.shelf.ohms,
    )
    return Ranking(
        FORMAT,
        __version__,
        part_data_digest(),
        spec_reference(study),
        report,
        verdict,
        tuple(designs),
        planned.bound,
        None,
        stock_plan(study, winners, designs, ended=verdict.kind != "stopped"),
        front_of(designs, [one.score for one in ranked], prefer),
        CAUTIONS,
        hinges=hinges,
    )


def spec_reference(study: Study) -> SpecReference:
    """Which spec a result answers."""
    return SpecReference(study.spec.name, study.spec.title, study.spec.digest)
