"""The bench in every state, in both schemes, on a phone and on a desk, read by an accessibility engine.

Source: WCAG 2.2, levels A and AA, as far as the engine axe-core checks them.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from tests.report.test_page.test_reach import violations
from tests.selection import some
from tests.workbench.served import ROOT, TELLTALE, Served, served
from tests.workbench.test_beside import EVERYTHING
from tests.workbench.test_user import answered

expect = pytest.importorskip("playwright.sync_api", reason="the library playwright is not installed").expect


@dataclass
class Bench:
    """A page of a bench, and the program behind it."""

    page: Any
    program: Served

    def click(self, wanted: str) -> None:
        self.page.click(wanted)

    def sees(self, wanted: str) -> None:
        expect(self.page.locator(wanted).first).to_be_visible(timeout=90_000)


Come = Callable[[Bench], None]
"""What brings a page into a state."""


def beside(bench: Bench) -> None:
    for part in ("comparing", "placing", "choosing"):
        if bench.page.locator(f"#{part}").get_attribute("open") is None:
            bench.click(f"#{part}-head")
    bench.sees("#beside .choice")
    bench.page.fill("#same-1-within", "300")
    bench.page.press("#same-1-within", "Enter")
    bench.sees("#same-1-wrong")


def contradiction(bench: Bench) -> None:
    bench.page.locator("#board .cell").nth(1).press("f")
    bench.page.locator("#board .cell").nth(3).press("k")
    bench.sees("#wishes .cell")


def unshaped(bench: Bench) -> None:
    bench.click("#tab-text")
    bench.page.fill("#spec-text", "lampwright = 1\nsame = 3\nplace = []\nwiring = 1\n[supply\n")
    bench.click("#text-go")
    bench.sees("#run .todo")


def couplings(bench: Bench) -> None:
    closed = bench.page.locator("details:not([open]) > summary")
    while closed.count():
        closed.first.click()
    bench.sees(".plug fieldset")


def failure(bench: Bench) -> None:
    bench.click(".failing summary")
    bench.click("#add-failure-go")
    bench.sees("#wishes .damage")


def files(bench: Bench) -> None:
    bench.click("#do-files")
    bench.page.fill("#save-name", "../out.toml")
    bench.click("#save-as-go")
    bench.sees("#refusal")


def searching(bench: Bench) -> None:
    bench.click("#do-search")
    bench.sees("#progress")


def stopped(bench: Bench) -> None:
    searching(bench)
    expect(bench.page.locator("#run .run-said")).to_contain_text("Listing and solving", timeout=90_000)
    bench.click("#do-stop")
    bench.sees("#do-fresh")


def found(bench: Bench) -> None:
    bench.click("#do-search")
    assert "meet" in answered(bench.page)


def nothing(bench: Bench) -> None:
    bench.click("#do-search")
    assert answered(bench.page).startswith("No circuit")
    bench.sees(".suggestions")


def own(bench: Bench) -> None:
    bench.click("#tab-own")
    bench.click("#own-new")
    bench.sees("#own-verdict")
    bench.click("#o1-break")
    bench.sees("#o1-break[aria-pressed=true]")


def own_unfinished(bench: Bench) -> None:
    own(bench)
    bench.click("#own-r")
    bench.sees("#o3-ohms")
    bench.page.fill("#o3-ohms", "much")
    bench.page.press("#o3-ohms", "Enter")
    bench.sees("#own-wrong, #refusal")


def text(bench: Bench) -> None:
    bench.click("#tab-text")
    bench.sees("#spec-text")


def changed_by_another(bench: Bench) -> None:
    bench.page.locator("#board .cell").first.press("f")
    bench.sees("#do-save:not([disabled])")
    path = bench.program.folder / "a.toml"
    path.write_text(path.read_text(encoding="utf-8") + "# by an editor\n", encoding="utf-8")
    bench.sees("#do-other")


def ended(bench: Bench) -> None:
    bench.program.end(9)
    bench.sees("#gone")


def as_it_opens(bench: Bench) -> None:
    bench.sees("#board, .guide")


SPECS = {
    "empty": "",
    "tell": TELLTALE,
    "everything": TELLTALE + EVERYTHING,
    **{
        name: (ROOT / "specs" / f"{name}.toml").read_text(encoding="utf-8")
        for name in (
            "sidecar_side_lamp",
            "parking_light_selector",
            "no_such_circuit",
            "trailer_pair_from_the_box",
        )
    },
}
STATES: Mapping[str, tuple[str, Come]] = {
    "empty": ("empty", as_it_opens),
    "two phases": ("sidecar_side_lamp", as_it_opens),
    "selector": ("parking_light_selector", as_it_opens),
    "a box": ("trailer_pair_from_the_box", as_it_opens),
    "beside the board": ("everything", beside),
    "contradiction": ("sidecar_side_lamp", contradiction),
    "no TOML": ("tell", unshaped),
    "all that opens": ("sidecar_side_lamp", couplings),
    "something failed": ("tell", failure),
    "files, and a refusal": ("tell", files),
    "searching": ("sidecar_side_lamp", searching),
    "stopped": ("sidecar_side_lamp", stopped),
    "found": ("tell", found),
    "none": ("no_such_circuit", nothing),
    "own circuit, broken": ("tell", own),
    "own circuit, unfinished": ("tell", own_unfinished),
    "text": ("tell", text),
    "changed by another": ("tell", changed_by_another),
    "program ended": ("tell", ended),
}
SCREENS = {"phone": (390, 844), "desk": (1280, 900)}
CASES = [(state, screen, scheme) for state in STATES for screen in SCREENS for scheme in ("light", "dark")]
SHORT = [("beside the board", "phone", "dark")]


@contextmanager
def brought(state: str, place: Path, tab: Callable[..., Any], screen: str) -> Iterator[Bench]:
    """A bench in a state."""
    spec, come = STATES[state]
    (place / "a.toml").write_text(SPECS[spec], encoding="utf-8")
    with served(place, *(["a.toml"] if SPECS[spec] else [])) as program:
        bench = Bench(tab(program.link, *SCREENS[screen]), program)
        come(bench)
        yield bench


@pytest.mark.parametrize("case", some(CASES, SHORT), ids=" ".join)
def test_the_engine_finds_no_violation_in_any_state(
    case: tuple[str, str, str], place: Path, tab: Callable[..., Any], engine: Any
) -> None:
    state, screen, scheme = case
    with brought(state, place, tab, screen) as bench:
        bench.page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        told = violations(engine, bench.page)
        assert not told, "\n".join(told)
        over = bench.page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert over <= 0, f"{over} pixels too wide"
