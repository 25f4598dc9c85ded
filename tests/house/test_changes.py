"""The version is that of the newest line of the changes."""

import re
from pathlib import Path

import lampwright


def test_the_newest_change_has_the_programs_version(root: Path) -> None:
    text = (root / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Changes")[2]
    versions = re.findall(r"^\| (\d+\.\d+\.\d+) \|", text, re.MULTILINE)
    assert versions, "the changes have no versions"
    assert versions[0] == lampwright.__version__, "a change without a version, or a version without a change"
    assert versions == sorted(versions, reverse=True), "newest first"
