"""The bench: the desk, the run and what every tab is shown, brought together for the site.

Everything here is done in the one thread of the server, but for what takes long: counting, and writing the
page of an answer. Every tab has a bell that rings when there is something new to show. No source: our rules.
"""

import asyncio
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field

from lampwright.errors import InputError, LampwrightError
from lampwright.workbench.answer import AnswerPage, StoredAnswer, answer_to, page_of, take_suggestion
from lampwright.workbench.board import Board
from lampwright.workbench.change import Change, refused
from lampwright.workbench.counting import Counted, counted_circuits, counted_seconds
from lampwright.workbench.desk import Desk, Note
from lampwright.workbench.folder import Folder
from lampwright.workbench.own import OwnCircuit
from lampwright.workbench.own_kept import keep, kept_name, recovered
from lampwright.workbench.run import Run
from lampwright.workbench.toml_edit import parsed, written

MOST_TABS = 16
SETTLED = 0.15
"""Seconds after the last change before the circuits are counted."""
QUIET = 1.0
"""Seconds after that before samples tell how long a search takes."""

Doing = Callable[["Workbench", Change], None]


@dataclass
class Workbench:
    """One spec, one run, and any number of tabs. workers: processes that a search uses."""

    folder: Folder
    workers: int
    desk: Desk = field(init=False)
    run: Run = field(init=False)
    own: OwnCircuit = field(default_factory=OwnCircuit)
    counted: Counted = field(default_factory=Counted)
    answer: StoredAnswer = field(default_factory=lambda: StoredAnswer(None, goes_on=False))
    refusal: str = ""
    _loop: asyncio.AbstractEventLoop | None = None
    _bells: set[asyncio.Event] = field(default_factory=set)
    _counting: "asyncio.Task[None] | None" = None
    _seen: str = ""
    _page: tuple[str, AnswerPage] | None = None

    def __post_init__(self) -> None:
        """Lay out the desk."""
        self.desk = Desk(self.folder)
        self.run = Run(self._heard)

    @property
    def board(self) -> Board:
        """The board of the spec as it is."""
        return self.desk.board

    @contextmanager
    def bell(self) -> Iterator[asyncio.Event]:
        """A bell for a tab. Raises InputError where there are too many."""
        if len(self._bells) >= MOST_TABS:
            raise refused("tabs", f"{MOST_TABS} tabs are open already", "close some")
        ringing = asyncio.Event()
        self._bells.add(ringing)
        try:
            yield ringing
        finally:
            self._bells.discard(ringing)

    def begin(self) -> None:
        """Called once the server's loop runs."""
        self._loop = asyncio.get_running_loop()
        self.recover_own()
        self.settle()

    def recover_own(self) -> None:
        """Lay out the own circuit that was not saved the last time."""
        self.own = OwnCircuit()
        try:
            self.own = recovered(self.desk)
        except InputError as error:
            self.desk.notes.append(Note("wrong", str(error)))

    def end(self) -> None:
        """Stop what runs; what is not saved stays kept."""
        self.run.leave()
        self.desk.close()

    def do(self, change: Change) -> None:
        """Do what a tab asks for; what cannot be done is told by `refusal`."""
        self.refusal = ""
        try:
            doing = DOINGS.get(change.do)
            if doing is not None:
                doing(self, change)
            elif change.do.startswith("own."):
                before = self.own.parts
                self.own.change(change)
                if self.own.parts != before:
                    keep(self.own, self.desk)
            else:
                self.desk.change(change)
        except LampwrightError as error:
            self.refusal = str(error)
        self.settle()
        self.ring()

    def look(self) -> None:
        """Look at what others may have done: the file, and a search that does not end."""
        self.run.look()
        if self.desk.look():
            self.settle()
            self.ring()
        elif self.run.is_on:
            # the seconds go on while nothing is heard
            self.ring()

    def ring(self) -> None:
        """Tell every tab that there is something new."""
        for one in self._bells:
            one.set()

    def settle(self) -> None:
        """After a change: the answer that belongs to the spec as it is, and its circuits counted anew."""
        spec = self.board.spec
        seen = spec.digest + spec.name if spec else ""
        if seen == self._seen and seen:
            return
        self._seen = seen
        if self._counting is not None:
            self._counting.cancel()
        self.counted = Counted()
        self.answer = answer_to(spec, self.folder) if spec else StoredAnswer(None, goes_on=False)
        if spec is not None and self._loop is not None:
            self._counting = self._loop.create_task(self._count())

    async def _count(self) -> None:
        spec = self.board.spec
        if spec is None:
            return
        await asyncio.sleep(SETTLED)
        counted = await asyncio.to_thread(counted_circuits, spec)
        self.counted = counted
        self.ring()
        await asyncio.sleep(QUIET)
        if not self.run.is_on:
            self.counted = await asyncio.to_thread(counted_seconds, spec, counted)
            self.ring()

    async def answer_page(self) -> AnswerPage:
        """The page of the answer. Raises InputError where there is none."""
        ranking, spec = self.answer.ranking, self.board.spec
        if ranking is None or spec is None:
            raise refused("answer", "there is none of this spec", "search first")
        key = f"{self._seen} {id(ranking)}"
        if self._page is None or self._page[0] != key:
            self._page = key, await asyncio.to_thread(page_of, ranking, spec)
        return self._page[1]

    def _heard(self, run: Run) -> None:
        """Something was heard of the run, in whatever thread."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._show_run, run.state)

    def _show_run(self, state: str) -> None:
        if state in ("answered", "died", "refused"):
            self._seen = ""
            self.settle()
        self.ring()

    def search(self, *, fresh: bool = False) -> None:
        """Save the spec and search it. Raises InputError where it has no name or cannot be searched."""
        if self.board.spec is None:
            raise InputError(self.board.findings)
        if self.run.is_on:
            raise refused("search", "one is running", "stop it first")
        if not self.desk.is_saved:
            self.desk.save()
        self.settle()
        results = self.folder.root / self.folder.results
        if not self.folder.holds(results / self.desk.place.stem):
            raise refused(str(self.folder.results), "a link leads from it out of the folder", "take it away")
        self.run.start(self.desk.place, results, self.workers, fresh=fresh)

    def take_suggestion(self, number: int) -> None:
        """Change the board as a suggestion says, and search. Raises InputError."""
        if self.answer.ranking is None:
            raise refused("suggestion", "the answer is no more that of this spec", "search again")
        document = parsed(self.desk.text, self.desk.place.name)
        take_suggestion(document, self.answer.ranking, number)
        self.desk.write(written(document, self.desk.text))
        self.search()


def _open(bench: Workbench, change: Change) -> None:
    if bench.run.is_on:
        raise refused(change.value, "a search is running", "stop it first")
    bench.desk.open(change.value)
    bench.run.forget()
    bench.recover_own()


def _new(bench: Workbench, _change: Change) -> None:
    if bench.run.is_on:
        raise refused("new", "a search is running", "stop it first")
    bench.desk.begin()
    bench.run.forget()
    bench.recover_own()


def _save(bench: Workbench, change: Change) -> None:
    own = bench.desk.place.with_name(kept_name(bench.desk))
    if change.value:
        bench.desk.save_as(change.value, over=change.key == "over")
    else:
        bench.desk.save(over=change.key == "over")
    keep(bench.own, bench.desk)
    if own != bench.desk.place.with_name(kept_name(bench.desk)):
        with suppress(OSError):
            own.unlink(missing_ok=True)


def _search(bench: Workbench, change: Change) -> None:
    if bench.desk.path is None:
        bench.desk.save_as(change.value or "lamps.toml")
    bench.search(fresh=change.key == "fresh")


def _suggestion(bench: Workbench, change: Change) -> None:
    if not change.value.isdecimal():
        raise refused("suggestion", "this is none", "load the page again")
    bench.take_suggestion(int(change.value))


def _begin_own(bench: Workbench, change: Change) -> None:
    spec = bench.board.spec
    if spec is None:
        raise InputError(bench.board.findings)
    bench.own.begin(spec, bench.answer.ranking, change.value)
    keep(bench.own, bench.desk)


def _open_own(bench: Workbench, change: Change) -> None:
    bench.own.open(bench.folder.file(change.value), change.value)
    keep(bench.own, bench.desk)


def _save_own(bench: Workbench, change: Change) -> None:
    spec, own = bench.board.spec, bench.own
    if spec is None:
        raise InputError(bench.board.findings)
    name = change.value.strip()
    name = name if name.endswith(".toml") else f"{name}.toml"
    to = bench.folder.file(name)
    if to == bench.desk.place or (to.exists() and not own.is_in(to, name)):
        raise refused(name, "there is a file of this name already", "choose another name")
    if not to.parent.is_dir():
        raise refused(name, "there is no such folder", "make it first")
    own.save(to, name, spec)
    keep(own, bench.desk)


def _undo(bench: Workbench, _change: Change) -> None:
    bench.desk.undo()


def _redo(bench: Workbench, _change: Change) -> None:
    bench.desk.redo()


def _stop(bench: Workbench, _change: Change) -> None:
    bench.run.stop()


def _take_other(bench: Workbench, _change: Change) -> None:
    bench.desk.take_other()


def _drop_notes(bench: Workbench, _change: Change) -> None:
    bench.desk.notes.clear()


DOINGS: Mapping[str, Doing] = {
    "open": _open,
    "new": _new,
    "save": _save,
    "undo": _undo,
    "redo": _redo,
    "search": _search,
    "stop": _stop,
    "suggestion": _suggestion,
    "other": _take_other,
    "read": _drop_notes,
    "own.begin": _begin_own,
    "own.open": _open_own,
    "own.save": _save_own,
}
"""What can be done besides changes of the spec."""
