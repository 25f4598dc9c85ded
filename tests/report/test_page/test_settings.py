"""The page at every setting of its switches, in every mode, read by an accessibility engine.

Source: WCAG 2.2, levels A and AA, as far as the engine axe-core checks them.
"""

from collections.abc import Iterator
from itertools import product
from typing import Any

import pytest
from tests.report.test_page.bench import NONE, Opened, Run, run_of
from tests.report.test_page.conftest import Opener
from tests.report.test_page.test_reach import violations
from tests.selection import some

SMALL = 16
"""So many settings are all tried; of more, each switch alone in each of its positions."""
MODES = ("plain", "predict", "present")
PAGES = ["sidecar_side_lamp", "selector_dims", "recovery_alternating_pair", "one_filament_stop_tail"]
PAGES += ["trailer_feed_telltale", "three_flashers", "reversing", "long_names", NONE]
CASES = [(name, mode, scheme) for name in PAGES for mode in MODES for scheme in ("light", "dark")]
SHORT = [("one_filament_stop_tail", "present", "dark")]


def settings_of(run: Run) -> Iterator[dict[str, str]]:
    """The settings of a page's controls to try, as positions by name."""
    row = (run.told["designs"] or [run.told["shortfall"]["near_misses"][0]["design"]])[0]["states"]
    known: dict[str, dict[str, None]] = {}
    for state in row:
        for name, position in state["positions"]:
            known.setdefault(name, {})[position] = None
    every = [dict(zip(known, some, strict=True)) for some in product(*known.values())]
    if len(every) <= SMALL:
        yield from every
        return
    for name, positions in known.items():
        for position in positions:
            yield {other: position if other == name else next(iter(known[other])) for other in known}


def enter(bench: Opened, mode: str) -> None:
    if mode != "plain":
        bench.press(mode.capitalize())


@pytest.mark.parametrize("case", some(CASES, SHORT), ids=" ".join)
def test_the_engine_finds_no_violation_at_any_setting(
    case: tuple[str, str, str], opened: Opener, engine: Any
) -> None:
    name, mode, scheme = case
    run = run_of(name)
    with opened(run.html, clock=False, color_scheme=scheme, reduced_motion="reduce") as bench:
        enter(bench, mode)
        tried = 0
        for setting in settings_of(run):
            for control, position in setting.items():
                bench.put(control, position)
            told = violations(engine, bench.page)
            assert not told, f"{setting}: " + "\n".join(told)
            tried += 1
        assert tried > 1, "there is nothing to set"
