"""A sheet for the bench in a browser: read on a phone, too.

Source: WCAG 2.2, levels A and AA, as far as the engine axe-core checks them.
"""

from typing import Any

import pytest
from tests.report.test_page.conftest import Opener
from tests.selection import some
from tests.sheets import page_of


@pytest.mark.parametrize("width", some([390, 820, 1280], 1))
@pytest.mark.parametrize("name", some(["sidecar_side_lamp", "lesson_4_one_or_the_other"], 1))
def test_nothing_lies_beside_the_screen_or_on_another(
    name: str, width: int, opened: Opener, engine: Any
) -> None:
    with opened(page_of(name), clock=False, viewport={"width": width, "height": 844}) as told:
        assert told.page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 0
        boxes = told.page.locator("table").evaluate_all(
            "all => all.map((one) => { const box = one.getBoundingClientRect();"
            " return [box.left, box.top, box.right, box.bottom]; })"
        )
        for at, (left, top, right, bottom) in enumerate(boxes):
            for left2, top2, right2, bottom2 in boxes[:at]:
                apart = right <= left2 + 1 or right2 <= left + 1 or bottom <= top2 + 1 or bottom2 <= top + 1
                assert apart, "two tables overlap"
        found = engine.run(told.page).response["violations"]
        assert [(one["id"], [node["html"][:90] for node in one["nodes"][:3]]) for one in found] == []
