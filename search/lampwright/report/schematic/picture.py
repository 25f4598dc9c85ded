"""A schematic as a file: an SVG as it is, pixels or paper where an optional library is there.

An SVG opens in every browser, and prints from there. For files of other kinds the library
cairosvg turns the same text into PNG or PDF; it is asked for only when one of these is
wanted. No source: a thin wrapper.
"""

import importlib
import math
from types import ModuleType
from typing import Literal

from lampwright.errors import Finding, LampwrightError
from lampwright.report.schematic.svg import STYLE, Schematic

PictureKind = Literal["svg", "png", "pdf"]

SCALE = 2.0
"""Pixels of a PNG to one of the SVG, where no width is asked: fit for a screen of today."""
EXTRA = 'install the extra: pip install "lampwright[picture]"; or write an .svg, which needs nothing'
CAIRO = "install it (Debian: apt install libcairo2), or write an .svg, which needs nothing"
OPEN = "write an .svg, open it in a browser, and print it from there"


class NoPictureError(LampwrightError):
    """The optional library that makes pixels or paper of an SVG is not there, or failed."""

    def __init__(self, kind: PictureKind, said: str, remedy: str) -> None:
        """Keep the one finding."""
        self.findings = (Finding(kind.upper(), said, remedy),)
        super().__init__(str(self.findings[0]))


def render_picture(drawn: Schematic, kind: PictureKind, width: int | None = None) -> bytes:
    """Turn a schematic into the bytes of a file of this kind; width: pixels, of a PNG alone.

    Raises NoPictureError.
    """
    match kind:
        case "svg":
            return drawn.svg.encode("utf-8")
        case "png":
            return render_png(drawn, width)
        case "pdf":
            return render_pdf(drawn)


def render_png(drawn: Schematic, width: int | None = None) -> bytes:
    """Turn a schematic into a PNG on white, as wide as asked [pixels]. Raises NoPictureError."""
    across = width or math.ceil(SCALE * drawn.wide)
    made = _library("png").svg2png(
        bytestring=_plain(drawn.svg),
        background_color="white",
        # whole pixels both ways, or the last row would be half transparent
        output_width=across,
        output_height=math.ceil(across * drawn.high / drawn.wide),
    )
    return _bytes("png", made)


def render_pdf(drawn: Schematic) -> bytes:
    """Turn a schematic into a PDF of one page. Raises NoPictureError."""
    return _bytes("pdf", _library("pdf").svg2pdf(bytestring=_plain(drawn.svg)))


def _plain(svg: str) -> bytes:
    """Leave out the style, which is for pages: it knows colours that only browsers know."""
    return svg.replace(f"<style>{STYLE}</style>", "").encode("utf-8")


def _library(kind: PictureKind) -> ModuleType:
    """Find the library, or say what would do."""
    try:
        return importlib.import_module("cairosvg")
    except ImportError:
        raise NoPictureError(kind, "it needs cairosvg, which is not installed here", EXTRA) from None
    except OSError:
        raise NoPictureError(kind, "it needs the system's library cairo, which is not here", CAIRO) from None


def _bytes(kind: PictureKind, made: object) -> bytes:
    """Refuse an empty answer."""
    if not isinstance(made, bytes):
        raise NoPictureError(kind, "the library gave no picture", OPEN)
    return made
