"""The main job: from a spec to ranked designs.

Steps go by rising number of extra parts, so that the first design found is the least.
"""

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from lampwright import __version__
from lampwright.parts.tables import part_data_digest
from lampwright.pipeline.cluster import ClusterCrew
from lampwright.pipeline.estimate import about_seconds
from lampwright.pipeline.hunt import Hunter
from lampwright.pipeline.options import SearchOptions
from lampwright.pipeline.plan import Step, check_budget, most_choices, plan_steps
from lampwright.pipeline.present import Presenter
from lampwright.pipeline.shares import SHARE_SIZE, WORTH_WORKERS, Crew, crew, hire
from lampwright.pipeline.step import Findings, Pursuit, StoppedError, take_step
from lampwright.pipeline.treatment import TREATED, Treatment
from lampwright.pipeline.verdict import funnel, part_count, verdict_of
from lampwright.pipeline.words import CAUTIONS, unconstrained
from lampwright.progress.bar import Progress
from lampwright.progress.watch import Watch
from lampwright.rank.judge import Judge
from lampwright.rank.study import Study
from lampwright.refute.rules import RULES
from lampwright.store.files import ready_folder
from lampwright.store.journal import Journal, Named, open_journal
from lampwright.store.result import FORMAT, Ranking, SearchReport, SpecReference

ALL_RULES = (True,) * len(RULES)


class _Memory:
    """Keeps nothing: for a search whose result is only returned."""

    def predict(self, planned: "_Planned", options: SearchOptions) -> None:
        del planned, options

    def known(self, name: str) -> str | None:
        del name
        return None

    def add(self, name: str, text: str) -> None:
        del name, text


class _Kept:
    """Keeps pieces in a journal; what was there at the start is read once."""

    def __init__(self, journal: Journal) -> None:
        self.journal = journal
        self._known = {record.name: record.content for record in journal.records()}

    def predict(self, planned: "_Planned", options: SearchOptions) -> None:
        if planned.circuits > WORTH_WORKERS:
            predicted = about_seconds(Hunter(planned.study), planned.steps, options.workers)
            self.journal.note([Named("seconds predicted", f"{predicted:.1f}")])

    def known(self, name: str) -> str | None:
        return self._known.get(name)

    def add(self, name: str, text: str) -> None:
        self.journal.add(Named(name, text))


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
    """Search and rank, keeping nothing on disk. Raises InputError for a search over budget.

    Ctrl-C and the time limit end the search; what was found so far is in the result.
    """
    return _run(_plan(study, options), options, progress, _Memory(), enabled)


def search_into(study: Study, options: SearchOptions, progress: Progress, folder: Path) -> Ranking:
    """Search and rank with a journal in the folder, from which a stopped search goes on.

    Raises InputError for a search over budget, StoreError where the folder or its journal
    refuses.
    """
    planned = _plan(study, options)
    ready_folder(folder)
    journal = open_journal(folder, _provenance(study), options.fresh)
    try:
        ranking = _run(planned, options, progress, _Kept(journal), ALL_RULES)
        _note(journal, planned, ranking)
    finally:
        journal.close()
    return ranking


def _provenance(study: Study) -> tuple[Named, ...]:
    return (
        Named("spec", study.spec.digest),
        Named("part data", part_data_digest()),
        Named("program version", __version__),
        Named("share size", str(SHARE_SIZE)),
    )


def _note(journal: Journal, planned: _Planned, ranking: Ranking) -> None:
    """Write predicted against actual into the journal, and whether the run ended."""
    listed = sum(count.listed for count in ranking.search.part_counts)
    notes = [
        Named("circuits predicted", str(planned.circuits)),
        Named("circuits listed", str(listed)),
        Named("seconds", f"{ranking.search.seconds:.2f}"),
    ]
    if ranking.verdict.kind != "stopped":
        notes.append(Named("ended", ranking.verdict.kind))
    journal.note(notes)


def _run(
    planned: _Planned,
    options: SearchOptions,
    progress: Progress,
    keeper: _Memory | _Kept,
    enabled: tuple[bool, ...],
) -> Ranking:
    watch = Watch(options.time_limit)
    taken: list[Findings] = []
    with suppress(StoppedError, KeyboardInterrupt), crew(_hired(planned, options, enabled)) as hired:
        keeper.predict(planned, options)
        pursuit = Pursuit(planned.judge, hired, keeper, watch, progress)
        for step in planned.steps:
            taken.append(Findings(step))
            take_step(pursuit, taken[-1])
    progress.close()
    return _ranking(planned, taken, watch.seconds())


def _hired(planned: _Planned, options: SearchOptions, enabled: tuple[bool, ...]) -> Crew:
    if options.scheduler is not None:
        return ClusterCrew(planned.study, enabled, options.scheduler)
    workers = options.workers if planned.circuits > WORTH_WORKERS else 1
    return hire(planned.study, workers, enabled)


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
        CAUTIONS,
    )


def spec_reference(study: Study) -> SpecReference:
    """Which spec a result answers."""
    return SpecReference(study.spec.name, study.spec.title, study.spec.digest)
