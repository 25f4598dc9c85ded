"""Drawings that do not move look as those that can, in a browser, pixel by pixel; and take less room.

No outside source: the two are compared with each other.
"""

import io
import re
from typing import Any

from tests.report.drawing import bulbs, random_circuit
from tests.report.selectors import random_selectors
from tests.report.test_page.conftest import Opener

from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.narrow import narrow_schematic
from lampwright.report.schematic.still import STYLE, Stills
from lampwright.report.schematic.svg import schematic

PAGE = "<!DOCTYPE html><meta charset='utf-8'><style>svg {{ display: block; }} {style}</style><body>{body}"
DIFFERENT = 128
"""Of 255: edges are smoothed otherwise where a symbol is moved into its place."""


def drawings() -> list[str]:
    """Wide and narrow drawings of bulbs, of circuits of all parts and of selectors."""
    circuits = [bulbs(seed) for seed in range(4)] + [random_circuit(seed, most_parts=8) for seed in range(4)]
    selectors = [random_selectors(seed) for seed in range(4)]
    circuits += [(design, feeds_of(design, controls)) for design, controls in selectors]
    wide = [schematic(design, feeds, ids=False).svg for design, feeds in circuits]
    return wide + [narrow_schematic(design, feeds).svg for design, feeds in circuits]


def picture(opened: Opener, body: str) -> Any:
    from PIL import Image

    with opened(PAGE.format(style=STYLE, body=body), clock=False) as told:
        return Image.open(io.BytesIO(told.page.screenshot(full_page=True))).convert("L")


def test_still_drawings_look_the_same(opened: Opener) -> None:
    from PIL import ImageChops

    moving, stills = drawings(), Stills()
    still = [stills.still(one) for one in moving]
    before = picture(
        opened, "".join(re.sub(r"<style>.*?</style>", "", one, flags=re.DOTALL) for one in moving)
    )
    after = picture(opened, stills.symbols() + "".join(still))
    assert before.size == after.size
    apart = ImageChops.difference(before, after).point(lambda value: 255 * (value > DIFFERENT))
    assert apart.histogram()[255] <= 5, f"they differ within {apart.getbbox()}"
    assert len("".join(still)) + len(stills.symbols()) < 0.45 * len("".join(moving))


def test_what_is_read_aloud_stays() -> None:
    for one in drawings():
        still = Stills().still(one)
        for told in ("title", "desc"):
            said = re.findall(f"<{told}>.*?</{told}>", one)
            assert re.findall(f"<{told}>.*?</{told}>", still) == said
