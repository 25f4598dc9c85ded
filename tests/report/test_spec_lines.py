"""A change of a spec beside what the spec says, however that is written."""

import tomllib
from pathlib import Path

import pytest
from tests.workbench.served import ROOT

from lampwright.report.topics.spec_lines import changed_lines

WRITTEN = """\
title = "a [b] # c"   # no table

[supply]
volts = [
  11.8,  # "[low]"
  13.5,
  14.4,
]
system = 12

[lamps]
left = { choose = ["P21W"], common = "31" }   # in braces

[lamps."at the [back]"]
choose = ["R5W"]
common = "31"    # earthed

[[behaviour]]
when = { turn = "on" }
show = { left = "lit" }

[[behaviour]]
when = { turn = "on", brake = "on" }
show = { left = "lit" }
"""


def told(change: str, row: int | None = None) -> list[str]:
    marks = {"head": "", "old": "- ", "new": "+ "}
    return [marks[line.kind] + line.text for line in changed_lines(WRITTEN, change, row)]


def test_a_list_over_several_lines_goes_as_a_whole() -> None:
    old = ["- volts = [", '-   11.8,  # "[low]"', "-   13.5,", "-   14.4,", "- ]"]
    assert told("[supply]\nvolts = [11, 13.5, 14.4]") == ["[supply]", *old, "+ volts = [11, 13.5, 14.4]"]


def test_what_says_the_same_is_no_change() -> None:
    assert told("[supply]\nsystem = 12.0\nvolts = [11.8, 13.5, 14.4]") == ["[supply]"]


def test_a_key_that_was_not_said_has_no_line_before() -> None:
    assert told("[search]\njoints = 2") == ["[search]", "+ joints = 2"]


def test_the_row_that_is_meant_is_the_one_that_is_named() -> None:
    change = (
        '[[behaviour]]  # in place of row 2\nwhen = { turn = "on", brake = "on" }\nshow = { left = "off" }'
    )
    lines = ["[[behaviour]]", '- show = { left = "lit" }', '+ show = { left = "off" }']
    assert told(change, 2) == lines
    assert told(change, 1)[1:3] == ['- when = { turn = "on" }', '- show = { left = "lit" }']


def test_a_comment_of_a_change_stands_in_place_of_the_table() -> None:
    change = '[lamps."at the [back]"]\nchoose = ["R5W"]\n# without `common`: its holder is insulated\n'
    lines = ['- common = "31"    # earthed', "+ # without `common`: its holder is insulated"]
    assert told(change) == ['[lamps."at the [back]"]', *lines]


def test_a_table_in_braces_is_shown_where_it_stands() -> None:
    line = '- left = { choose = ["P21W"], common = "31" }   # in braces'
    assert told('[lamps.left]\nchoose = ["R5W"]') == ["[lamps.left]", line, '+ choose = ["R5W"]']


@pytest.mark.parametrize("path", sorted((ROOT / "specs").glob("*.toml")), ids=lambda path: path.stem)
def test_no_line_of_a_spec_is_lost(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines = "\n".join(line.text for line in changed_lines("", text))
    assert tomllib.loads(lines) == tomllib.loads(text)
