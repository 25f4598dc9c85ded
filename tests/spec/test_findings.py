"""Every wrong input gets its one clear message; `findings.toml` is the accepted wording.

No outside source: the messages are ours. To accept a change: LAMPWRIGHT_ACCEPT=1, and read the
difference; comments, order and what is bent stay as they are.
"""

import json
import os
import re
import tomllib
from collections.abc import Sequence
from pathlib import Path

import pytest

from lampwright.errors import InputError
from lampwright.spec.load import parse_spec

ACCEPTED = Path(__file__).parent / "findings.toml"
CASES = tomllib.loads(ACCEPTED.read_text(encoding="utf-8"))["case"]
SAYS = re.compile(r"^says = \[\n.*?^\]$", re.MULTILINE | re.DOTALL)


def messages(old: str, new: str, sound: str) -> list[str]:
    """What a user reads when `old` is replaced by `new`."""
    assert old in sound
    with pytest.raises(InputError) as caught:
        parse_spec(sound.replace(old, new, 1), "tail")
    return [str(finding) for finding in caught.value.findings]


def with_messages(text: str, says: Sequence[Sequence[str]]) -> str:
    """The text of the accepted messages with others in their places."""
    left = iter(says)

    def block(_: re.Match[str]) -> str:
        return "\n".join(("says = [", *(f"    {quoted(line)}," for line in next(left)), "]"))

    return SAYS.sub(block, text)


def quoted(line: str) -> str:
    """A text as TOML writes it, without escapes where it can."""
    return json.dumps(line, ensure_ascii=False) if "'" in line else f"'{line}'"


@pytest.fixture(scope="module")
def accepted(sound: str) -> list[list[str]]:
    """The accepted messages, case by case; those of today where a change is to be accepted."""
    if os.environ.get("LAMPWRIGHT_ACCEPT"):
        says = [messages(case["old"], case["new"], sound) for case in CASES]
        ACCEPTED.write_text(with_messages(ACCEPTED.read_text(encoding="utf-8"), says), encoding="utf-8")
    return [case["says"] for case in tomllib.loads(ACCEPTED.read_text(encoding="utf-8"))["case"]]


@pytest.mark.parametrize(
    "number", range(len(CASES)), ids=[f"{n}-{case['new'][:30]!r}" for n, case in enumerate(CASES, 1)]
)
def test_message(number: int, accepted: list[list[str]], sound: str) -> None:
    assert messages(CASES[number]["old"], CASES[number]["new"], sound) == accepted[number]


def test_accepting_changes_messages_alone(accepted: list[list[str]]) -> None:
    text, says = ACCEPTED.read_text(encoding="utf-8"), [*accepted]
    assert with_messages(text, says) == text, "the same messages are written otherwise"
    says[2] = ["it's", 'a "word"', "two\\n"]
    read = tomllib.loads(with_messages(text, says))["case"]
    assert [case["says"] for case in read] == says, "other messages than those accepted"
    assert [case["new"] for case in read] == [case["new"] for case in CASES], "what is bent has changed"


def test_there_are_many_cases() -> None:
    assert len(CASES) == 193


def test_every_message_is_one_line() -> None:
    assert all(says.isprintable() for case in CASES for says in case["says"])


def test_all_findings_at_once(sound: str) -> None:
    """One wrong thing in each table, and rows that contradict: all are told in one go."""
    text = sound.replace("system = 12", "system = 63").replace('feed = "54"', 'feed = "31"')
    text = text.replace('choose = ["R5W"]', "choose = []").replace('left = "flash"', 'left = "dimm"')
    text += '[search]\njoints = 9\n[[same]]\nlamps = ["left", "nobody"]\nwithin = 2\n[place]\nx = "y"\n'
    with pytest.raises(InputError) as caught:
        parse_spec(text, "tail")
    places = [finding.place.removeprefix("tail.toml: ") for finding in caught.value.findings]
    assert sorted(places) == sorted(
        [
            "supply.system",
            "lamps.left.choose",
            "search.joints",
            "behaviour 1 (line 18): show.left",
            "same 1 (line 26): within",
            "controls.brake.feed",
            "same 1 (line 26): lamps.nobody",
            "place.x",
        ]
    )


def test_contradictions_stand_beside_wrong_rows(sound: str) -> None:
    """A bad word in one row does not hide that two others contradict."""
    text = sound.replace('left = "flash"', 'left = "dimm"')
    text += '[[behaviour]]\nwhen = { brake = "on", turn = "off" }\nshow = { stop = "off" }\n'
    with pytest.raises(InputError) as caught:
        parse_spec(text, "tail")
    assert [finding.place for finding in caught.value.findings] == [
        "tail.toml: behaviour 1 (line 18): show.left",
        "tail.toml: behaviour 3 (line 24): show.stop",
    ]


def test_unreadable_when_covers_nothing(sound: str) -> None:
    """A row whose `when` cannot be read is not blamed for contradicting another."""
    text = sound + '[[behaviour]]\nwhen = { brake = 5 }\nshow = { stop = "off" }\n'
    with pytest.raises(InputError) as caught:
        parse_spec(text, "tail")
    assert [finding.place for finding in caught.value.findings] == [
        "tail.toml: behaviour 3 (line 24): when.brake"
    ]


def test_too_many_states(sound: str) -> None:
    switches = "".join(f'[controls.s{n}]\nkind = "switch"\nfeed = "F{n}"\n' for n in range(10))
    with pytest.raises(InputError, match=r"the controls make 6144 states; .* at most 4096 states"):
        parse_spec(sound + switches, "tail")
