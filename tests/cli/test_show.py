"""Colour is for terminals only, honours NO_COLOR, and changes no letter. Source: ECMA-48 for the escapes."""

import io
import re
import sys

import pytest

from lampwright.cli.show import show

TEXT = """── Design 1 ──────────
brake  side                tail
on     !dim 6 % asked lit  (lit 92 %)
off    lit 92 %            dim 6.2 %
"""
ESCAPE = re.compile(r"\x1b\[[0-9;]*m")


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


def shown(monkeypatch: pytest.MonkeyPatch, stream: io.StringIO, no_colour: str | None) -> str:
    """Show the text on a stream."""
    monkeypatch.setattr(sys, "stdout", stream)
    monkeypatch.setenv("TERM", "xterm-256color")
    if no_colour is None:
        monkeypatch.delenv("NO_COLOR", raising=False)
    else:
        monkeypatch.setenv("NO_COLOR", no_colour)
    show(TEXT)
    return stream.getvalue()


def test_a_terminal_gets_colour_and_the_same_letters(monkeypatch: pytest.MonkeyPatch) -> None:
    page = shown(monkeypatch, Terminal(), None)
    assert ESCAPE.search(page), "no colour on a terminal"
    assert ESCAPE.sub("", page) == TEXT, "colour changed the text"
    for word in ("── Design 1 ──────────", "!dim 6 % asked lit", "(lit 92 %)", "lit 92 %", "dim 6.2 %"):
        assert re.search(r"\x1b\[[0-9;]+m" + re.escape(word) + r"\x1b\[0m", page), f"{word} has no colour"


@pytest.mark.parametrize(
    ("stream", "no_colour"), [(io.StringIO(), None), (Terminal(), "1"), (io.StringIO(), "1")]
)
def test_no_colour_elsewhere(
    monkeypatch: pytest.MonkeyPatch, stream: io.StringIO, no_colour: str | None
) -> None:
    assert shown(monkeypatch, stream, no_colour) == TEXT, "the text is not bare"


def test_a_stream_without_the_letters_gets_their_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    show("4.7 Ω\n")
    assert raw.getvalue() == b"4.7 \\u03a9\n", "a letter was lost, or ended in a traceback"
