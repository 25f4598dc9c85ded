"""Text on stdout: in colour on a terminal, bare everywhere else, quiet when nobody reads on.

The text says everything without colour; colour only helps the eye. NO_COLOR is honoured.
Source: no-color.org for the meaning of NO_COLOR.
"""

import io
import os
import shutil
import sys

from lampwright.errors import Finding, LampwrightError

NARROWEST = 80

HIGHLIGHTS = (
    r"(?m)(?P<heading>^── .*$)",
    r"(?m)(?P<missed>!\w[^\n;]*?(?=  |;|$))",
    r"(?<![(!])\b(?P<light>(?:lit|full) \d+(?:\.\d+)? %)",
    r"(?<![(!])\b(?P<dim>dim <?\d+(?:\.\d+)? %)",
    r"(?P<unasked>\((?:off|dim|lit|full)[^)\n]*\))",
)
STYLES = {
    "heading": "bold cyan",
    "missed": "bold red",
    "light": "bold yellow",
    "dim": "yellow",
    "unasked": "dim",
}


class OutputError(LampwrightError):
    """The output cannot be written: its disk is full, or it is open for reading."""

    def __init__(self, error: OSError) -> None:
        """Keep the system's reason."""
        why = (error.strerror or str(error)).lower()
        super().__init__(
            str(Finding("output", f"it cannot be written ({why})", "send it where there is room"))
        )


def open_streams() -> None:
    """Let what a shell has closed (`>&-`) lead nowhere, lest a file that is opened later gets its number."""
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)
        if getattr(sys, name) is None:
            mode = "r" if number == 0 else "w"
            stream = open(number, mode, encoding="utf-8", closefd=False)  # noqa: SIM115  # stays open
            setattr(sys, name, stream)


def let_go() -> None:
    """Let what Python flushes once more at exit go nowhere."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def columns() -> int:
    """How wide a text may be: as wide as the terminal, 80 where it is narrower or there is none."""
    return max(NARROWEST, shutil.get_terminal_size().columns) if sys.stdout.isatty() else NARROWEST


def show(text: str) -> None:
    """Write a text to stdout; a reader that has gone away is no error. Raises OutputError."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        # A terminal that has no Ω shows its number rather than a traceback.
        sys.stdout.reconfigure(errors="backslashreplace")
    try:
        if sys.stdout.isatty() and not os.environ.get("NO_COLOR"):
            _in_colour(text)
        else:
            sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        let_go()
    except OSError as error:
        let_go()
        raise OutputError(error) from None


def _in_colour(text: str) -> None:
    """Write a text with the words that matter in colour."""
    from rich.console import Console
    from rich.highlighter import RegexHighlighter
    from rich.text import Text
    from rich.theme import Theme

    class Words(RegexHighlighter):
        base_style = "lampwright."
        highlights = list(HIGHLIGHTS)  # noqa: RUF012  # rich declares it so

    theme = Theme({f"lampwright.{name}": style for name, style in STYLES.items()})
    coloured = Text(text)
    Words().highlight(coloured)
    Console(theme=theme).print(coloured, end="", soft_wrap=True)
