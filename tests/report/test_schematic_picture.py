"""A drawing as pixels and paper, looked at with a library for pictures; and without what is needed.

Sources: the PNG specification (W3C, third edition, 5.2) for the eight bytes a PNG begins with;
ISO 32000-1, 7.5.2 and 7.5.5 for the first and last line of a PDF. The judge of PNG is Pillow.
"""

import io
import re
import xml.etree.ElementTree as ET
from types import SimpleNamespace

import pytest
from PIL import Image
from tests.report.drawing import design_of

from lampwright.errors import LampwrightError
from lampwright.report.explain.controls import ControlFeed
from lampwright.report.schematic.picture import PictureKind, render_picture
from lampwright.report.schematic.svg import schematic
from lampwright.report.schematic.symbols import clean
from lampwright.results.design import PartRow

TURN = ControlFeed("49a", "turn", "flasher")
LAMP = PartRow(ref="front", kind="filament", from_node="49a", to_node="31", lamp="front", type="P21W")
DRAWN = schematic(design_of([LAMP]), (TURN,))
SVG = DRAWN.svg


def test_what_xml_does_not_allow_is_replaced() -> None:
    """Source: Extensible Markup Language 1.0, fifth edition, production 2."""
    allowed = {9, 10, 13, *range(0x20, 0xD800), *range(0xE000, 0xFFFE), *range(0x10000, 0x110000)}
    every = "".join(map(chr, range(0x110000)))
    assert clean(every) == "".join(chr(one) if one in allowed else "\ufffd" for one in range(0x110000))


def test_an_svg_is_itself() -> None:
    assert render_picture(DRAWN, "svg").decode("utf-8") == SVG
    assert "\u2126" not in SVG, "ohms are written with the Greek letter"


@pytest.mark.parametrize("width", [None, 100, 801])
def test_a_png_opens_and_is_as_wide_as_asked(width: int | None) -> None:
    made = render_picture(DRAWN, "png", width)
    assert made[:8] == b"\x89PNG\r\n\x1a\n", "no PNG"
    root = ET.fromstring(SVG)
    wide, high = float(root.get("width", "")), float(root.get("height", ""))
    with Image.open(io.BytesIO(made)) as picture:
        picture.load()
        # without a width, two pixels to one of the drawing's; up to one more, for they are whole
        assert 0.0 <= picture.width - (width or 2.0 * wide) < 1.0
        assert 0.0 <= picture.height - picture.width * high / wide < 1.0, "the drawing is squeezed"
        assert picture.convert("RGBA").getchannel("A").getextrema() == (255, 255), "some of it is glass"
        shades = picture.convert("L")
        dark, light = shades.getextrema()
        assert (dark, light) == (0, 255), "black on white"
        inked = sum(shades.histogram()[:128]) / (picture.width * picture.height)
        assert 0.005 < inked < 0.2, f"{inked:.1%} is ink"


def test_a_pdf_is_one() -> None:
    made = render_picture(DRAWN, "pdf")
    assert made.startswith(b"%PDF-1."), "no PDF"
    assert made.rstrip().endswith(b"%%EOF"), "its end is missing"
    assert len(re.findall(rb"/Type\s*/Page\b", made)) == 1, "one page"


def test_a_picture_is_made_without_the_style_of_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    library = SimpleNamespace(
        svg2png=lambda **said: said["bytestring"], svg2pdf=lambda bytestring: bytestring.decode()
    )
    monkeypatch.setattr("importlib.import_module", lambda name: {"cairosvg": library}[name])
    plain = render_picture(DRAWN, "png").decode("utf-8")
    assert "var(" not in plain
    assert "CanvasText" not in plain
    assert len(list(ET.fromstring(plain).iter())) == len(list(ET.fromstring(SVG).iter())) - 1, "the style"
    with pytest.raises(LampwrightError, match="PDF: the library gave no picture"):
        render_picture(DRAWN, "pdf")


@pytest.mark.parametrize("kind", ["png", "pdf"])
@pytest.mark.parametrize(
    ("error", "said"),
    [
        (ModuleNotFoundError("cairosvg"), 'not installed here; install the extra: pip install "lampwright['),
        (OSError('no library called "cairo-2"\nwas found'), "library cairo, which is not here; install it"),
    ],
)
def test_what_is_missing_is_said_in_one_line(
    monkeypatch: pytest.MonkeyPatch, kind: PictureKind, error: Exception, said: str
) -> None:
    def missing(_: str) -> None:
        raise error

    monkeypatch.setattr("importlib.import_module", missing)
    with pytest.raises(LampwrightError) as refusal:
        render_picture(DRAWN, kind)
    (line,) = str(refusal.value).splitlines()
    assert line.startswith(f"{kind.upper()}: it needs "), "which picture"
    assert said in line, line
    assert line.endswith("write an .svg, which needs nothing"), "what does without"
    assert render_picture(DRAWN, "svg"), "an SVG needs nothing"
