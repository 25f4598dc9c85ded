"""Every wrong input gets its one clear message; `findings.toml` is the accepted wording.

No outside source: the messages are ours. To accept a change, read the failing pair and
write the new line into `findings.toml`.
"""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from lampwright.errors import InputError
from lampwright.spec.load import parse_spec

CASES = tomllib.loads((Path(__file__).parent / "findings.toml").read_text(encoding="utf-8"))["case"]


@pytest.mark.parametrize("case", CASES, ids=[f"{n}-{case['new'][:30]!r}" for n, case in enumerate(CASES, 1)])
def test_message(case: dict[str, Any], sound: str) -> None:
    assert case["old"] in sound
    with pytest.raises(InputError) as caught:
        parse_spec(sound.replace(case["old"], case["new"], 1), "tail")
    assert [str(finding) for finding in caught.value.findings] == case["says"]


def test_there_are_many_cases() -> None:
    assert len(CASES) == 119


def test_every_message_is_one_line() -> None:
    assert all(says.isprintable() for case in CASES for says in case["says"])


def test_all_findings_at_once(sound: str) -> None:
    """One wrong thing in each table, and rows that contradict: all are told in one go."""
    text = sound.replace("system = 12", "system = 13").replace('feed = "54"', 'feed = "31"')
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
            "behaviour 1: show.left",
            "same 1: within",
            "controls.brake.feed",
            "same 1: lamps.nobody",
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
        "tail.toml: behaviour 1: show.left",
        "tail.toml: behaviour 3: show.stop",
    ]


def test_unreadable_when_covers_nothing(sound: str) -> None:
    """A row whose `when` cannot be read is not blamed for contradicting another."""
    text = sound + '[[behaviour]]\nwhen = { brake = 5 }\nshow = { stop = "off" }\n'
    with pytest.raises(InputError) as caught:
        parse_spec(text, "tail")
    assert [finding.place for finding in caught.value.findings] == ["tail.toml: behaviour 3: when.brake"]


def test_too_many_states(sound: str) -> None:
    switches = "".join(f'[controls.s{n}]\nkind = "switch"\nfeed = "F{n}"\n' for n in range(10))
    with pytest.raises(InputError, match=r"the controls make 6144 states; .* at most 4096 states"):
        parse_spec(sound + switches, "tail")
