"""A schematic as pixels or paper, where an optional library is there.

An SVG opens in every browser, and prints from there. For files of other kinds the library
cairosvg turns the same text into PNG (`svg2png`) or PDF (`svg2pdf`); it is asked for only
when a picture is wanted. No source: a thin wrapper.
"""

import importlib
import re
from types import ModuleType

from lampwright.errors import LampwrightError

STYLE = re.compile(r"<style>.*?</style>", re.DOTALL)
REMEDY = "install the library cairosvg, or open the SVG in a browser and print it from there"


class NoPictureError(LampwrightError):
    """The optional library that makes pixels or paper of an SVG is not there, or failed."""


def render_png(svg: str, scale: float = 2.0, background: str = "white") -> bytes:
    """Turn an SVG into a PNG, so many pixels to the SVG's one."""
    options = {"scale": scale, "background_color": background}
    return _bytes("PNG", _library("PNG").svg2png(bytestring=_plain(svg), **options))


def render_pdf(svg: str) -> bytes:
    """Turn an SVG into a PDF of one page."""
    return _bytes("PDF", _library("PDF").svg2pdf(bytestring=_plain(svg)))


def _plain(svg: str) -> bytes:
    """Leave out the style, which is for pages: it knows colours that only browsers know."""
    return STYLE.sub("", svg).encode()


def _library(wanted: str) -> ModuleType:
    """Find the library, or say what would do."""
    try:
        return importlib.import_module("cairosvg")
    except (ImportError, OSError) as error:
        raise NoPictureError(f"{wanted}: cannot be made here ({error}); {REMEDY}") from error


def _bytes(wanted: str, made: object) -> bytes:
    """Refuse an empty answer."""
    if not isinstance(made, bytes):
        raise NoPictureError(f"{wanted}: the library gave no picture; {REMEDY}")
    return made
