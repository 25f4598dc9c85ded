"""The board of wishes: a row for every setting and phase, a cell for every lamp, with what is wrong in it.

What is wrong is what reading the text as a command does finds; each finding is put where it belongs: to
a cell, a lamp, a control, or to the spec as a whole. No source: our layout.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lampwright.errors import FilePlace, Finding, InputError, Nth
from lampwright.problem.reading import read_document
from lampwright.spec.levels import ANY
from lampwright.spec.model import OFF, SOUND, Spec
from lampwright.spec.states import PhasedSetting, count_states
from lampwright.toml_file import read_toml
from lampwright.workbench.asked import AskedSpec, asked_of
from lampwright.workbench.folder import Folder
from lampwright.workbench.wishes import failing_settings, row_key, rows_at, steady_at

MOST_ROWS = 96
"""So many rows a person can still look through."""
MOST_STATES = 4096
BESIDE = ("same", "brighter", "place", "wiring", "either", "code", "stock")
"""The tables that are shown beside the board or with the lamps, each with all that is wrong in it."""


@dataclass(frozen=True)
class BoardCell:
    """What is asked of a lamp in a row: the words, one unless rows contradict.

    is_shared: they are asked in more settings by the same row of the file. wrong: what cannot be.
    """

    lamp: str
    words: tuple[str, ...]
    is_shared: bool
    wrong: tuple[Finding, ...]

    @property
    def word(self) -> str:
        """The words in one."""
        return " + ".join(self.words) or ANY


@dataclass(frozen=True)
class BoardRow:
    """A setting in one phase; begins: it is the first of its setting's phases; damage: what has failed."""

    key: str
    setting: str
    positions: tuple[str, ...]
    phase: str
    begins: bool
    damage: str
    cells: tuple[BoardCell, ...]

    @property
    def name(self) -> str:
        """The row in words."""
        return ", ".join(filter(None, (self.setting, self.phase and f"contact {self.phase}", self.damage)))

    @property
    def wrong(self) -> tuple[Finding, ...]:
        """What is wrong in its cells, each once."""
        return tuple(dict.fromkeys(one for cell in self.cells for one in cell.wrong))


@dataclass(frozen=True)
class Board:
    """A spec as the page shows it. spec: None where it cannot be searched yet.

    findings: all of them. more: rows that are not shown. unasked: lamps of which nothing is asked.
    """

    path: Path
    text: str
    document: Mapping[str, Any]
    asked: AskedSpec
    spec: Spec | None
    findings: tuple[Finding, ...]
    rows: tuple[BoardRow, ...]
    more: int

    @property
    def unasked(self) -> tuple[str, ...]:
        """The filaments of which nothing is asked in any row."""
        said = {name for row in self.asked.rows for name, word in row.show if word != ANY}
        return tuple(name for name in self.asked.filaments if name not in said)

    def wrong_of(self, key: str, name: str) -> tuple[Finding, ...]:
        """The findings of a control or lamp, or of another key of a table."""
        return tuple(one for one in self.findings if one.steps[:2] == (key, name))

    def wrong_row(self, table: str, number: int) -> tuple[Finding, ...]:
        """The findings of a row of a list of tables."""
        return tuple(one for one in self.findings if one.steps[:2] == (table, Nth(number)))

    def wrong_choice(self, number: int, alternative: int, lamp: str) -> tuple[Finding, ...]:
        """The findings of a lamp in an alternative of a choice."""
        own = ("either", Nth(number), "rows", Nth(alternative, is_item=True))
        return tuple(
            one for one in self.findings if one.steps[:4] == own and one.steps[-2:] == ("show", lamp)
        )

    def wrong_rest(self, table: str, *keys: str) -> tuple[Finding, ...]:
        """The findings of a table that are of none of its rows, nor of these keys."""
        own = [one for one in self.findings if one.steps[:1] == (table,)]
        return tuple(
            one for one in own if not any(isinstance(step, Nth) or step in keys for step in one.steps[1:2])
        )

    @property
    def other_findings(self) -> tuple[Finding, ...]:
        """The findings that are shown with no control, lamp or cell, nor beside the board."""
        shown = {one for row in self.rows for one in row.wrong}
        shown |= {one for one in self.findings if one.steps[:1] in [(table,) for table in BESIDE]}
        for key, names in (("controls", self.asked.controls), ("lamps", self.asked.lamps)):
            for thing in names:
                shown |= set(self.wrong_of(key, thing.name))
        return tuple(one for one in self.findings if one not in shown)


def board_of(text: str, folder: Folder, path: Path) -> Board:
    """The board of a text that is, or will be, the file at a path."""
    document: Mapping[str, Any] = {}
    spec, findings = None, tuple[Finding, ...]()
    try:
        document = read_toml(text, path.name)
        _expect_types_inside(document, folder, path)
        spec = read_document(document, path.stem, path.name, text, path.parent)
    except InputError as error:
        findings = error.findings
    asked = asked_of(document)
    moments = list(_moments(asked))
    rows = tuple(_rows(asked, moments[:MOST_ROWS], findings))
    return Board(
        path=path,
        text=text,
        document=document,
        asked=asked,
        spec=spec,
        findings=findings,
        rows=rows,
        more=max(0, len(moments) - MOST_ROWS),
    )


def _expect_types_inside(document: Mapping[str, Any], folder: Folder, path: Path) -> None:
    named = document.get("types_from")
    if isinstance(named, str) and not folder.holds(path.parent / named):
        said = "the file of lamps is not below the folder in which the page was started"
        raise InputError([Finding(FilePlace(path.name).key("types_from"), said, "put it beside the spec")])


def _is_in_cell(finding: Finding, row: int, lamp: str) -> bool:
    """Whether a finding is of a row of the file, and of no other lamp alone."""
    of_lamp = finding.steps[3:4] if finding.steps[2:3] == ("show",) else ()
    return finding.steps[:2] == ("behaviour", Nth(row)) and of_lamp in ((), (lamp,))


def _moments(asked: AskedSpec) -> Iterator[PhasedSetting]:
    """The settings that are shown, phases of one flasher apart; those with nothing live are not."""
    if not asked.controls or count_states(asked.controls) > MOST_STATES:
        return
    seen = set()
    for moment in (*asked.moments(), *failing_settings(asked)):
        one = moment if len(moment.phases) == 1 else PhasedSetting(moment.setting, (), moment.failures)
        is_open = one.phases and one.phases[0][1] == "open"
        is_dead = asked.is_dead(one) and not is_open and not one.failures
        if row_key(one) not in seen and not (is_dead and not _asks_light(asked, one)):
            seen.add(row_key(one))
            yield one


def _asks_light(asked: AskedSpec, moment: PhasedSetting) -> bool:
    """Whether some row asks for light at a moment."""
    rows = rows_at(asked, moment.setting, moment.failures)
    return any(word not in ("off", "dark", ANY) for row in rows for _, word in row.show)


def _rows(asked: AskedSpec, moments: Sequence[PhasedSetting], wrong: Sequence[Finding]) -> Iterator[BoardRow]:
    before = None
    for moment in moments:
        setting = (moment.setting, moment.failures)
        yield BoardRow(
            key=row_key(moment),
            setting=_in_words(moment),
            positions=tuple(position for _, position in moment.setting),
            phase=moment.phases[0][1] if len(moment.phases) == 1 else "",
            begins=setting != before,
            damage=str(moment.failures) if moment.failures != SOUND else "",
            cells=tuple(_cell(asked, moment, lamp, wrong) for lamp in asked.filaments),
        )
        before = setting


def _cell(asked: AskedSpec, moment: PhasedSetting, lamp: str, wrong: Sequence[Finding]) -> BoardCell:
    own = [row for row in rows_at(asked, moment.setting, moment.failures) if lamp in dict(row.show)]
    found = [one for row in own for one in wrong if _is_in_cell(one, row.number, lamp)]
    return BoardCell(
        lamp=lamp,
        words=steady_at(asked, moment, lamp),
        is_shared=any(len(row.when) < len(asked.controls) for row in own),
        wrong=tuple(dict.fromkeys(found)),
    )


def _in_words(moment: PhasedSetting) -> str:
    """A setting in words: what is off is left out."""
    return (
        ", ".join(f"{name} {position}" for name, position in moment.setting if position != OFF) or "all off"
    )


def all_settings(asked: AskedSpec) -> tuple[BoardRow, ...]:
    """Every setting once, to choose from."""
    if not asked.controls or count_states(asked.controls) > MOST_ROWS:
        return ()
    seen: dict[str, BoardRow] = {}
    for moment in asked.moments():
        one = PhasedSetting(moment.setting, ())
        positions = tuple(position for _, position in one.setting)
        row = BoardRow(
            key=row_key(one),
            setting=_in_words(one),
            positions=positions,
            phase="",
            begins=True,
            damage="",
            cells=(),
        )
        seen.setdefault(row.key, row)
    return tuple(seen.values())
