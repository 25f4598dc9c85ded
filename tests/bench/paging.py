"""The bench's page: shell to first paint, a cell's change to its findings, an own circuit solved."""

import re
import shutil
import subprocess
import tempfile
import time
from pathlib import Path
from typing import Any

from tests.bench.clock import PROGRAM
from tests.bench.table import Row, Size

from lampwright.network.circuit import Part
from lampwright.workbench.change import Change
from lampwright.workbench.folder import folder_of
from lampwright.workbench.views import parts_of
from lampwright.workbench.workbench import Workbench

SPEC = Path(__file__).parents[2] / "specs" / "sidecar_side_lamp.toml"
PAINTED, FOUND, SOLVED = 1.5, 0.100, 0.150
EIGHT = (
    Part("front", "filament", "49a", "31", "front", "P21W"),
    Part("side", "filament", "54", "j1", "side", "W2.3W"),
    Part("stop", "filament", "54", "31", "rear", "P21/5W"),
    Part("tail", "filament", "58", "31", "rear", "P21/5W"),
    Part("R1", "resistor", "j1", "49a", ohms=10.0, watts=5.0),
    Part("D1", "diode", "54", "j2", type="1N5404"),
    Part("R2", "resistor", "j2", "31", ohms=100.0),
    Part("R3", "resistor", "49a", "j2", ohms=47.0),
)
"""Eight parts between the feeds of the sidecar spec."""


def measure(size: Size) -> tuple[Row, ...]:
    """Work the page as its browser does."""
    tries = 2 if size is Size.TINY else 10
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copy(SPEC, folder / "spec.toml")
        painted = _painted(folder)
        bench = Workbench(folder_of(folder, Path("results")), workers=1)
        bench.desk.open("spec.toml")
        rows = (painted, _cell(bench, tries), _own(bench, tries))
        bench.end()
    return rows


def _least(seconds: list[float], what: str, target: float) -> Row:
    least = min(seconds)
    return Row(
        what,
        f"{1000 * least:.0f} ms, the least of {len(seconds)}",
        f"<= {1000 * target:g} ms",
        least <= target,
    )


def _cell(bench: Workbench, tries: int) -> Row:
    """A cell's word, and every part of the page filled again with what is then wrong."""
    row = bench.board.rows[0]
    parts_of(bench)
    seconds = []
    for number in range(tries):
        start = time.perf_counter()
        bench.do(Change("cell", "tail", "", row.key, ("off", "lit")[number % 2]))
        parts_of(bench)
        seconds.append(time.perf_counter() - start)
    while bench.desk.can_go_back:
        bench.desk.undo()
    return _least(seconds, "a cell's change to its findings", FOUND)


def _own(bench: Workbench, tries: int) -> Row:
    """Another value for one of eight parts: judged, solved and drawn, every part of the page filled again."""
    bench.own.parts = EIGHT
    parts_of(bench)
    seconds = []
    for number in range(tries):
        start = time.perf_counter()
        bench.do(Change("own.edit", "R1", "ohms", "", str(4.7 + number)))
        parts_of(bench)
        seconds.append(time.perf_counter() - start)
    return _least(seconds, "own circuit, eight parts", SOLVED)


def _painted(folder: Path) -> Row:
    """From the shell to the first paint in a browser that runs already."""
    what, target = "from shell to first paint", f"<= {PAINTED:g} s"
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        return Row(what, "playwright is not installed")
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        return Row(what, "chromium is not installed")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=found, args=["--no-sandbox"])
        seconds = min(_once(browser, folder) for _ in range(3))
        browser.close()
    return Row(what, f"{seconds:.2f} s", target, seconds <= PAINTED)


def _once(browser: Any, folder: Path) -> float:
    start = time.perf_counter()
    process = subprocess.Popen(
        [*PROGRAM, "bench", "spec.toml", "--no-browser"], cwd=folder, stderr=subprocess.PIPE, text=True
    )
    assert process.stderr is not None, "stderr is a pipe"
    link = re.search(r"http\S+", process.stderr.readline())
    assert link is not None, "it prints its link first"
    page = browser.new_page()
    page.goto(link[0], wait_until="commit")
    asked = time.perf_counter()
    paint = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? 0"
    while not (painted := float(page.evaluate(paint))):
        time.sleep(0.01)
    # what the browser says counts from the request, a little before it was committed
    seconds = min(time.perf_counter(), asked + painted / 1000.0) - start
    page.close()
    process.terminate()
    process.communicate(timeout=20)
    return seconds
