"""A stored ranking read back, or refused with the reason why.

The rows' own types say what is allowed where: each object must have exactly the keys of its row, each value
the type of its field. A file of another format version, or one that was cut short or edited by hand, is an
input error and never a traceback. No source: our format.
"""

import json
import re
from typing import Any

import msgspec

from lampwright.errors import Finding, InputError
from lampwright.results.ranking import FORMAT, Ranking

REMEDY = "use a ranking.json as a run wrote it, or run the search again"
NAMES = {
    "str": "a text",
    "int": "a whole number",
    "float": "a number",
    "bool": "true or false",
    "null": "null",
    "array": "a list",
    "object": "an object",
}
"""What the library calls a type, and what we do."""
WORDS = (
    (re.compile(r"Object missing required field `(.+)`"), 'the key "{}" is missing'),
    (re.compile(r"Object contains unknown field `(.+)`"), 'the key "{}" is unknown'),
)
PLACED = re.compile(r"(?P<what>.*?)(?: - at `\$\.?(?P<where>.*)`)?", re.DOTALL)


def from_json(text: str, place: str = "ranking.json") -> Ranking:
    """Read a ranking from the text of its file.

    place: what to call the file in a message. Raises InputError with the first thing that is wrong.
    """
    try:
        plain = json.loads(text)
    except json.JSONDecodeError as error:
        raise _refusal(place, f"line {error.lineno}", f"this is not JSON ({error.msg})") from error
    if not isinstance(plain, dict) or "format" not in plain:
        raise _refusal(place, "", "this is no ranking: it has no format version")
    if plain["format"] != FORMAT:
        said = f"the version is {plain['format']!r}, and this program reads version {FORMAT}"
        raise _refusal(place, "format", said)
    try:
        return msgspec.convert(plain, Ranking)
    except msgspec.ValidationError as error:
        raise _refusal(place, *_told(str(error), plain)) from error
    except UnicodeEncodeError as error:
        raise _refusal(place, "", "half of a character stands in one of its texts") from error


def _refusal(place: str, where: str, said: str) -> InputError:
    return InputError([Finding(f"{place}: {where}" if where else place, said, REMEDY)])


def _told(error: str, plain: Any) -> tuple[str, str]:
    """Say where in the file something is wrong, entries counted from 1, and what."""
    placed = PLACED.fullmatch(error)
    what, where = (placed["what"], placed["where"] or "") if placed else (error, "")
    for key, at in re.findall(r"(\w+)|\[(\d+)\]", where):
        plain = plain[key] if key else plain[int(at)]
    return re.sub(r"\[(\d+)\]", lambda at: f"[{int(at[1]) + 1}]", where), _fault(what, plain)


def _fault(what: str, plain: Any) -> str:
    """Say what is wrong with a value, in our words."""
    for pattern, said in WORDS:
        if key := pattern.fullmatch(what):
            return said.format(key[1])
    wanted = re.match(r"Expected `([a-z |]+)`( >= 0)?", what)
    if not wanted:
        return f"{_said(plain)} cannot stand here"
    belongs = " or ".join(NAMES.get(name, name) for name in wanted[1].split(" | "))
    return f"{_said(plain)} stands where {belongs}{' from 0 on' if wanted[2] else ''} belongs"


def _said(plain: Any) -> str:
    """Say what was read, shortly."""
    if isinstance(plain, dict):
        return "an object"
    if isinstance(plain, list):
        return "a list"
    said = json.dumps(plain, ensure_ascii=False)
    return said if len(said) <= 40 else said[:36] + '..."'
