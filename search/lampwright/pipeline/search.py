"""The main job: from a spec to ranked designs.

Steps go by rising number of extra parts, so that the first design found is the least.
"""

from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from lampwright import __version__
from lampwright.parts.tables import part_data_digest
from lampwright.pipeline import shares
from lampwright.pipeline.cluster import Cluster
from lampwright.pipeline.crew import Alone, Crew, Pool
from lampwright.pipeline.estimate import about_seconds
from lampwright.pipeline.options import SearchOptions
from lampwright.pipeline.plan import Step, check_budget, most_choices, plan_steps
from lampwright.pipeline.present import Presenter
from lampwright.pipeline.step import Findings, Pursuit, take_step
from lampwright.pipeline.treatment import TREATED, Treatment
from lampwright.pipeline.verdict import funnel, part_count, verdict_of
from lampwright.pipeline.words import CAUTIONS, unconstrained
from lampwright.progress.bar import Progress
from lampwright.progress.watch import Watch
from lampwright.rank.judge import Judge
from lampwright.rank.study import Study
from lampwright.refute.rules import RULES
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
    """A search that fits its budget, ready to go."""

    study: Study
    judge: Judge
    steps: tuple[Step, ...]

    @property
    def circuits(self) -> int:
        return sum(step.circuits for step in self.steps)


def _plan(study: Study, options: SearchOptions) -> _Planned:
    judge = Judge(study)
    steps = plan_steps(judge, options.extra_parts)
    check_budget(f"{study.spec.name}.toml", steps, most_choices(judge, steps), options.budget)
    return _Planned(study, judge, steps)


def search_study(
    study: Study, options: SearchOptions, progress: Progress, enabled: tuple[bool, ...] = ALL_RULES
) -> Ranking:
    """Search and rank, keeping nothing on disk.

    Raises InputError for a search over budget and for a scheduler that does not answer.
    Ctrl-C and the time limit end the search; what was found so far is in the result.
    """
    planned, watch = _plan(study, options), Watch(options.time_limit)
    with _crew(planned, options, watch, enabled) as hired:
        return _run(planned, hired, watch, progress, _Memory())


def search_into(study: Study, options: SearchOptions, progress: Progress, folder: Path) -> Ranking:
    """Search and rank with a journal in the folder, from which a stopped search goes on.

    Raises InputError as `search_study` does, before anything is written; StoreError where
    the folder or its journal refuses.
    """
    planned, watch = _plan(study, options), Watch(options.time_limit)
    with _crew(planned, options, watch, ALL_RULES) as hired:
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
        Named("share size", str(shares.SHARE_SIZE)),
    )


def _predicted(planned: _Planned) -> tuple[Named, ...]:
    """What the run is expected to be; how long it takes only where it is long enough to ask."""
    circuits = Named("circuits predicted", str(planned.circuits))
    if planned.circuits <= shares.WORTH_WORKERS:
        return (circuits,)
    seconds = about_seconds(planned.study, planned.steps, CALIBRATION)
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


@contextmanager
def _crew(
    planned: _Planned, options: SearchOptions, watch: Watch, enabled: tuple[bool, ...]
) -> Iterator[Crew]:
    """The crew that the options ask for, dismissed whatever happens."""

    def mind() -> None:
        if watch.is_over():
            raise StoppedError

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
        keeper.predict(planned)
        for step in planned.steps:
            taken.append(Findings(step))
            take_step(pursuit, taken[-1])
    # before the ranking is made: a stopped crew may be in the middle of something
    hired.dismiss()
    progress.close()
    return _ranking(planned, taken, watch.seconds())


def _ranking(planned: _Planned, taken: list[Findings], seconds: float) -> Ranking:
    study = planned.study
    winners = sorted((winner for found in taken for winner in found.winners), key=lambda winner: winner.order)
    presenter, treatment = Presenter(planned.judge), Treatment(planned.judge)
    designs = [presenter.design(winner, rank) for rank, winner in enumerate(winners, 1)]
    for at, (design, winner) in enumerate(zip(designs[:TREATED], winners, strict=False)):
        designs[at] = treatment.treat(design, winner.embedding, winner.passing[0].choice)
    done = tuple(found.done() for found in taken)
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
        verdict_of(study, done, len(planned.steps), len(winners)),
        tuple(designs),
        None,
        None,
        None,
        None,
        CAUTIONS,
    )


def spec_reference(study: Study) -> SpecReference:
    """Which spec a result answers."""
    return SpecReference(study.spec.name, study.spec.title, study.spec.digest)
