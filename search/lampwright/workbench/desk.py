"""What lies on the desk: one spec as text, what was done to it, and the file it came from.

Every change makes a new text; the ones before are kept, to go back to. After each change the text is kept
in a file beside the spec, `NAME.toml.unsaved`, until it is saved or thrown away: a page that is closed, or a
program that dies, loses nothing. The spec itself is written by `save` alone, and never over
a file that somebody else has changed meanwhile. No source: our rules.
"""

import contextlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from lampwright.errors import Finding, InputError, LampwrightError
from lampwright.spec.load import read_text
from lampwright.store.files import StoreError, write_bytes
from lampwright.workbench.board import Board, board_of
from lampwright.workbench.boxed import EDITS as STOCKING
from lampwright.workbench.change import Change, refused
from lampwright.workbench.chosen import EDITS as CHOOSING
from lampwright.workbench.compared import EDITS as COMPARING
from lampwright.workbench.edits import EDITS as ASKING
from lampwright.workbench.folder import Folder
from lampwright.workbench.hold import Hold, hold
from lampwright.workbench.placed import EDITS as PLACING
from lampwright.workbench.toml_edit import Edit, parsed, written
from lampwright.workbench.wishes import add_failure, put_word, remove_failure

MOST_BACK = 200
"""Changes that can be taken back."""
UNNAMED = "unnamed.toml"
UNSAVED = ".unsaved"
REMEDY = "make room, or free the file; what the page shows is still there"
EMPTY = """\
lampwright = 1
title = "My lamps"

[supply]
system = 12
volts = [11.8, 13.5, 14.4]

[search]
joints = 1
wires = 0
"""
EDITS: Mapping[str, Edit] = {
    **ASKING,
    **COMPARING,
    **PLACING,
    **CHOOSING,
    **STOCKING,
    "cell": put_word,
    "failure.add": add_failure,
    "failure.remove": remove_failure,
}
"""Every change of the spec, by what the page calls it."""


@dataclass(frozen=True)
class Note:
    """Something to be told at the top of the page. kind: `said`, `wrong`, or what a button of it offers."""

    kind: str
    text: str


@dataclass
class Desk:
    """The spec that is open; path: its file, None while it has no name; saved: what that file holds.

    kept: where changes that are not saved lie. version: rises with every change, so that pages know.
    """

    folder: Folder
    path: Path | None = None
    text: str = EMPTY
    saved: str | None = None
    version: int = 0
    notes: list[Note] = field(default_factory=list)
    _back: list[str] = field(default_factory=list)
    _forth: list[str] = field(default_factory=list)
    _hold: Hold | None = None
    _board: Board | None = None
    _is_elsewhere: bool = False

    @property
    def name(self) -> str:
        """What the page calls the file; nothing while it has no name."""
        return "" if self.path is None else self.folder.name(self.path)

    @property
    def place(self) -> Path:
        """The file, or where it would be."""
        return self.path or self.folder.root / UNNAMED

    @property
    def kept(self) -> Path:
        """Where changes lie that are not saved."""
        return self.place.with_name(self.place.name + UNSAVED)

    @property
    def is_saved(self) -> bool:
        """Whether the file holds just this."""
        return self.text == self.saved

    @property
    def is_fresh(self) -> bool:
        """Whether nothing was opened and nothing done yet."""
        return self.path is None and self.text == EMPTY and not self._back

    @property
    def has_other(self) -> bool:
        """Whether somebody else has changed the file since it was read or written here."""
        return self._is_elsewhere

    @property
    def can_go_back(self) -> bool:
        """Whether a change can be taken back."""
        return bool(self._back)

    @property
    def can_go_forth(self) -> bool:
        """Whether a change that was taken back can be made again."""
        return bool(self._forth)

    @property
    def board(self) -> Board:
        """The board of the text as it is."""
        if self._board is None or (self._board.path, self._board.text) != (self.place, self.text):
            self._board = board_of(self.text, self.folder, self.place)
        return self._board

    def open(self, name: str) -> None:
        """Open a spec of the folder, with what was not saved of it. Raises InputError, StoreError."""
        path = self.folder.file(name)
        text = read_text(path)
        self._take(path)
        self.saved = text
        self._lay(text)
        self._recover()

    def begin(self, text: str = EMPTY) -> None:
        """A new spec without a name; one that was begun before and not saved comes back.

        Raises StoreError where another page has begun one here.
        """
        self._take(None)
        self.saved = None
        self._lay(EMPTY)
        self._recover()
        if text != EMPTY:
            self.write(text)

    def _take(self, path: Path | None) -> None:
        place = path or self.folder.root / UNNAMED
        if self._hold is None or place != self.place:
            taken = hold(place)
            self.close()
            self._hold = taken
        self.path = path
        self.notes.clear()

    def _lay(self, text: str) -> None:
        self.text = text
        self._back.clear()
        self._forth.clear()
        self._is_elsewhere = False
        self.version += 1

    def _recover(self) -> None:
        """Bring back what was not saved the last time."""
        if not self.kept.exists() or not self.folder.holds(self.kept):
            return
        text = read_text(self.kept)
        if text != self.text:
            self._set(text)
            self.notes.append(
                Note("recovered", "What was not saved the last time is here again; Undo shows the file.")
            )

    def close(self) -> None:
        """Let go of the file; what is not saved stays kept."""
        if self._hold is not None:
            self._hold.let_go()
            self._hold = None

    def change(self, change: Change) -> None:
        """Make a change. Raises InputError for one that cannot be; nothing is changed then."""
        edit = EDITS.get(change.do)
        if change.do == "text":
            # a browser's text has plain line ends, whatever the file's
            plain = change.value.replace("\r\n", "\n")
            self.write(plain.replace("\n", "\r\n") if "\r\n" in self.text else plain)
        elif edit is None:
            raise refused("change", f"there is no {change.do[:40]}", "load the page again")
        else:
            document = parsed(self.text, self.place.name)
            try:
                edit(document, change)
                text = written(document, self.text)
            except LampwrightError:
                raise
            except Exception as error:  # what a library makes of a text that is shaped as no spec is
                said = f"the text is shaped so that this cannot be changed here ({type(error).__name__})"
                raise refused(self.place.name, said, "change it as text") from error
            self.write(text)

    def write(self, text: str) -> None:
        """Another text for the spec; the one before can be had back."""
        if text != self.text:
            self.notes.clear()
            self._set(text)
            self._keep()

    def _set(self, text: str) -> None:
        self._back = [*self._back[-MOST_BACK + 1 :], self.text]
        self._forth.clear()
        self.text = text
        self.version += 1

    def undo(self) -> None:
        """Take the last change back."""
        self._swap(self._back, self._forth)

    def redo(self) -> None:
        """Make the change again that was taken back last."""
        self._swap(self._forth, self._back)

    def _swap(self, source: list[str], target: list[str]) -> None:
        if source:
            target.append(self.text)
            self.text = source.pop()
            self.version += 1
            self.notes.clear()
            self._keep()

    def _keep(self) -> None:
        """Keep what is not saved beside the spec; where that fails, say so and go on."""
        try:
            if self.is_saved:
                self.kept.unlink(missing_ok=True)
            else:
                write_bytes(self.kept, self.text.encode(), REMEDY)
        except (OSError, StoreError) as error:
            self.notes.append(Note("wrong", f"Not kept on the disk: {error}"))

    def look(self) -> bool:
        """Look at the file, take what an editor changed if that loses nothing; whether to show it."""
        if self.path is None or self.saved is None:
            return False
        try:
            text = read_text(self.path)
        except InputError:
            return False
        if text == self.saved:
            was, self._is_elsewhere = self._is_elsewhere, False
            return was
        if self.is_saved:
            self.saved = text
            self._set(text)
            self.notes = [Note("said", f"{self.name} was changed by another program, and read again.")]
            return True
        if text == self.text:
            self.saved = text
            self._keep()
            return True
        was, self._is_elsewhere = self._is_elsewhere, True
        return not was

    def take_other(self) -> None:
        """Take what another program wrote; what the page had can be had back."""
        if self.path is not None:
            text = read_text(self.path)
            self.saved, self._is_elsewhere = text, False
            self.write(text)

    def save(self, *, over: bool = False) -> None:
        """Write the file. Raises InputError where it has no name or was changed meanwhile, StoreError.

        over: also where another program has changed it.
        """
        if self.path is None:
            raise refused("save", "the spec has no name yet", "give it one")
        self.look()
        if self._is_elsewhere and not over:
            said = "another program has changed the file meanwhile"
            raise refused(self.name, said, "take that, or write over it")
        write_bytes(self.path, self.text.encode(), REMEDY)
        self.saved, self._is_elsewhere = self.text, False
        self.version += 1
        with contextlib.suppress(OSError):
            self.kept.unlink(missing_ok=True)

    def save_as(self, name: str, *, over: bool = False) -> None:
        """Write it to another file and go on with that. Raises InputError, StoreError.

        over: also where there is a file of this name.
        """
        name = name.strip()
        path = self.folder.file(name if name.endswith(".toml") else f"{name}.toml")
        if path == self.path:
            self.save(over=over)
            return
        if path.exists() and not over:
            raise InputError([Finding(name, "there is a file of this name already", "choose another name")])
        if not path.parent.is_dir():
            raise InputError([Finding(name, "there is no such folder", "make it first")])
        taken = hold(path)
        try:
            write_bytes(path, self.text.encode(), REMEDY)
        except StoreError:
            taken.let_go()
            raise
        with contextlib.suppress(OSError):
            self.kept.unlink(missing_ok=True)
        self.close()
        self._hold, self.path, self.saved, self._is_elsewhere = taken, path, self.text, False
        self.version += 1
