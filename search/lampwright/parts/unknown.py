"""The error for a part the catalogue does not have; no source: our own wording."""

from collections.abc import Sequence
from difflib import get_close_matches

from lampwright.errors import LampwrightError


class UnknownPart(LampwrightError, LookupError):  # noqa: N818 - reads as the sentence it raises
    """No such type; says what was asked and which names come near.

    asked: what was read. near: known names like it, best first.
    """

    def __init__(self, kind: str, asked: str, known: Sequence[str], remark: str = "") -> None:
        """Compose the message from the kind of part, the name asked for and the names known."""
        self.asked = asked
        self.near = tuple(get_close_matches(asked.upper(), [*known], n=4, cutoff=0.5))
        said = f'"{asked}" is no {kind}' + (f" ({remark})" if remark else "")
        super().__init__(f"{said}; {self._remedy(known)}")

    def _remedy(self, known: Sequence[str]) -> str:
        if self.near:
            return "nearest: " + ", ".join(self.near)
        return "known: " + ", ".join(known)
