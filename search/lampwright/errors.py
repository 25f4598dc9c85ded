"""The errors a user can meet, each with a place and a remedy.

A message reads: place: what was read, why it cannot be; what would do. Findings
are collected, so that one run tells all that is wrong with an input.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Finding:
    """One thing wrong with an input.

    place: where, as file and key path (`tail.toml: behaviour 2: show.left`).
    said: what was read and why it cannot be (`"dimm" is no word for a lamp`).
    remedy: what would do (`use off, dim, lit, ...`).
    """

    place: str
    said: str
    remedy: str

    def __str__(self) -> str:
        """The one line a user reads: what cannot be printed in it is escaped, what is long is cut."""
        return f"{one_line(self.place)}: {one_line(self.said)}; {one_line(self.remedy)}"


MOST_SAID = 400
"""Characters of each of the three things a finding says."""


def one_line(text: str) -> str:
    """A text as it may stand in a message: no control characters, line ends, direction marks; not long."""
    plain = re.sub(r"[^ -~]", lambda one: one[0] if one[0].isprintable() else ascii(one[0])[1:-1], text)
    return plain if len(plain) <= MOST_SAID else plain[: MOST_SAID - 3] + "..."


class LampwrightError(Exception):
    """Base of all errors that are the input's or the machine's, never a defect of ours."""


class InputError(LampwrightError):
    """The input is wrong; carries every finding.

    Exit status 2, and nothing has been written.
    """

    def __init__(self, findings: Sequence[Finding]) -> None:
        """Keep the findings, in the order they were met."""
        super().__init__("\n".join(str(finding) for finding in findings))
        self.findings = tuple(findings)
