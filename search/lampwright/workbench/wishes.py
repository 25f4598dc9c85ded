"""A word in one cell of the board, put into the rows of the file.

A row of the file may speak of many settings at once. A word for one of them only is taken out of such a
row: the others keep what it asked of them, each in a row of its own, and the cell gets its word. Or the word
is changed in the row as it stands, for all the settings that it speaks of.
"""

import json
from collections.abc import Iterator, Mapping
from typing import Any

from lampwright.spec.levels import ANY
from lampwright.spec.model import FAILURES, SOUND, BehaviourRow, Failures
from lampwright.spec.states import PhasedSetting, Setting, covers, settings
from lampwright.workbench.asked import AskedSpec, asked_of
from lampwright.workbench.change import Change, refused
from lampwright.workbench.toml_edit import Document, new_row, put_inside, rows_of
from lampwright.workbench.words import halves, joined_word

MOST_SPLIT = 64
"""Settings that one row may speak of to be taken apart."""


def row_key(moment: PhasedSetting) -> str:
    """What a row of the board is called: its setting, what has failed, and the phase if it shows one."""
    failed = [[key, *getattr(moment.failures, key)] for key in FAILURES if getattr(moment.failures, key)]
    phase = moment.phases[0][1] if len(moment.phases) == 1 else ""
    return json.dumps([list(map(list, moment.setting)), failed, phase], ensure_ascii=False)


def moment_of(key: str) -> PhasedSetting:
    """The setting, failures and phase that a key names. Raises InputError for what is no key."""
    try:
        setting, failed, phase = json.loads(key)
        failures = Failures(**{str(name): tuple(map(str, names)) for name, *names in failed})
        phases = (("", phase),) if phase in ("closed", "open") else ()
        pairs = tuple((str(name), str(position)) for name, position in setting)
        return PhasedSetting(pairs, phases, failures)
    except (ValueError, TypeError, RecursionError):
        raise refused("board", "there is no such row", "look at the page as it is now") from None


def rows_at(asked: AskedSpec, setting: Setting, failures: Failures) -> tuple[BehaviourRow, ...]:
    """The rows that speak of a setting with what has failed."""
    return tuple(row for row in asked.rows if row.failures == failures and covers(row.when, setting))


def said_at(asked: AskedSpec, moment: PhasedSetting, lamp: str) -> tuple[str, ...]:
    """The whole words that rows ask of a lamp at a moment's setting, each once."""
    rows = rows_at(asked, moment.setting, moment.failures)
    return tuple(
        dict.fromkeys(word for row in rows for name, word in row.show if name == lamp and word != ANY)
    )


def steady_at(asked: AskedSpec, moment: PhasedSetting, lamp: str) -> tuple[str, ...]:
    """The words asked of a lamp in the phase of a moment, each once; none where nothing is."""
    is_open = bool(moment.phases) and moment.phases[0][1] == "open"
    whole = said_at(asked, moment, lamp)
    words = [halves(word)[is_open] if len(moment.phases) == 1 else word for word in whole]
    return tuple(dict.fromkeys(word for word in words if word != ANY))


def put_word(document: Document, change: Change) -> None:
    """Ask a word in a cell: name is the lamp; key `row`: in all settings that the row speaks of."""
    asked, moment = asked_of(document), moment_of(change.at)
    known = {(one.name, p.name) for one in asked.controls for p in one.positions}
    if not set(moment.setting) <= known or change.name not in asked.filaments:
        raise refused("board", "there is no such cell any more", "look at the page as it is now")
    word = _whole(asked, moment, change.name, change.value)
    own = [row for row in rows_at(asked, moment.setting, moment.failures) if change.name in dict(row.show)]
    if change.key == "row" and own:
        rows = rows_of(document, "behaviour")
        for row in own:
            put_inside(rows[row.number - 1], "show", change.name, word, keeps_empty=True)
        return
    for row in own:
        _take_out(document, asked, row, change.name, moment.setting)
    _ask(document, len(asked.controls), moment.setting, moment.failures, {change.name: word})
    drop_empty(document)


def _whole(asked: AskedSpec, moment: PhasedSetting, lamp: str, word: str) -> str:
    """The word of both phases, where the cell is of one."""
    if not moment.phases:
        return word
    whole = said_at(asked, moment, lamp)
    closed, opened = halves(whole[0] if whole else ANY)
    return joined_word(word, opened) if moment.phases[0][1] == "closed" else joined_word(closed, word)


def _take_out(document: Document, asked: AskedSpec, row: BehaviourRow, lamp: str, but: Setting) -> None:
    """A row asks nothing of a lamp any more; all settings that it spoke of but one keep what it asked."""
    rest = [one for one in settings(asked.controls) if covers(row.when, one) and one != but]
    if len(rest) > MOST_SPLIT:
        said = f"row {row.number} speaks of {len(rest) + 1} settings"
        raise refused("board", said, "change it in all of its settings, or as text")
    rows, word = rows_of(document, "behaviour"), dict(row.show)[lamp]
    put_inside(rows[row.number - 1], "show", lamp, None, keeps_empty=True)
    for setting in rest:
        others = [one for one in rows_at(asked, setting, row.failures) if one.number != row.number]
        is_said = any(dict(one.show).get(lamp) == word for one in others)
        if not is_said and not (row.failures == SOUND and asked.is_dead(PhasedSetting(setting, ()))):
            _ask(document, len(asked.controls), setting, row.failures, {lamp: word})


def _ask(
    document: Document, controls: int, setting: Setting, failures: Failures, show: Mapping[str, str]
) -> None:
    """Ask words in the row that speaks of this setting alone, made if need be; `any` is not written."""
    rows = rows_of(document, "behaviour")
    row = next((one for one in rows if _is_exact(one, controls, setting, failures)), None)
    if row is None:
        if set(show.values()) == {ANY} and not failures:
            return
        when: dict[str, object] = dict(setting)
        for key in FAILURES:
            names = getattr(failures, key)
            if names:
                when[key] = names[0] if len(names) == 1 else list(names)
        row = new_row(document, "behaviour", {"when": when, "show": {}})
    for lamp, word in show.items():
        is_said = word != ANY or bool(failures)
        put_inside(row, "show", lamp, word if is_said else None, keeps_empty=True)


def _is_exact(row: Any, controls: int, setting: Setting, failures: Failures) -> bool:
    """Whether a row of the document speaks of a setting alone, with what has failed."""
    when, show = row.get("when"), row.get("show")
    if not isinstance(when, Mapping) or not isinstance(show, Mapping):
        return False
    said = {
        key: ([one] if isinstance(one := when[key], str) else list(one)) for key in FAILURES if key in when
    }
    failed = {key: list(getattr(failures, key)) for key in FAILURES if getattr(failures, key)}
    pinned = {key: value for key, value in when.items() if key not in said}
    return said == failed and len(pinned) == controls and pinned == dict(setting)


def drop_empty(document: Document) -> None:
    """Rows that ask nothing any more go."""
    rows = rows_of(document, "behaviour")
    for at in reversed(range(len(rows))):
        if isinstance(rows[at].get("show"), Mapping) and not rows[at]["show"]:
            del rows[at]
    if not len(rows):
        document.pop("behaviour")


def add_failure(document: Document, change: Change) -> None:
    """A row for a setting in which something has failed: key is how, name what; it asks nothing yet."""
    asked, moment = asked_of(document), moment_of(change.at)
    if change.key not in FAILURES or not change.name or not asked.filaments:
        raise refused("failure", "what has failed is not said", "choose it")
    failures = Failures(**{change.key: (change.name,)})
    _ask(document, len(asked.controls), moment.setting, failures, {asked.filaments[0]: ANY})


def remove_failure(document: Document, change: Change) -> None:
    """Take the rows away that speak of this failure in this setting alone."""
    asked, moment = asked_of(document), moment_of(change.at)
    rows = rows_of(document, "behaviour")
    for at in reversed(range(len(rows))):
        if _is_exact(rows[at], len(asked.controls), moment.setting, moment.failures):
            del rows[at]


def failing_settings(asked: AskedSpec) -> Iterator[PhasedSetting]:
    """The settings in which rows say that something has failed, with the phases of one flasher."""
    seen: set[str] = set()
    every = asked.moments()
    for row in asked.rows:
        for moment in every if row.failures else ():
            if covers(row.when, moment.setting):
                found = PhasedSetting(moment.setting, moment.phases, row.failures)
                if row_key(found) not in seen:
                    seen.add(row_key(found))
                    yield found
