"""A page as paper: a PDF, where an optional library is there.

The page carries its own style for print, so that any browser prints it as well. The library weasyprint sets
HTML, CSS and SVG without a browser; it is asked for only when a PDF is wanted. No source: a thin wrapper.
"""

import importlib

from lampwright.report.schematic.picture import NoPictureError

EXTRA = 'install the extra: pip install "lampwright[paper]"; or open the .html in a browser and print it'
PANGO = "install it (Debian: apt install libpango-1.0-0 libpangoft2-1.0-0), or print the .html from a browser"
PRINT = "open the .html in a browser and print it from there"


def printed(page: str) -> bytes:
    """Set a page as a PDF. Raises NoPictureError where the library is not there, or made nothing of it."""
    try:
        library = importlib.import_module("weasyprint")
    except ImportError:
        raise NoPictureError("pdf", "it needs weasyprint, which is not installed here", EXTRA) from None
    except OSError:
        raise NoPictureError("pdf", "it needs the system's library pango, which is not here", PANGO) from None
    # it warns of what only browsers know, such as colour schemes
    library.LOGGER.setLevel("ERROR")
    made = library.HTML(string=page).write_pdf()
    if not isinstance(made, bytes):
        raise NoPictureError("pdf", "the library gave no page", PRINT)
    return made
