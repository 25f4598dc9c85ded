"""Before any test imports a kernel: kept where the program keeps them, and compiled once."""

import gc
import os
import shutil
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from tests import once, selection

from lampwright.kernels import collect_rarely, keep_kernels, kernels_to_come

keep_kernels()
# what is collected stays to the end, and looking through it for garbage takes a quarter of the time
gc.disable()

COUNTED = pytest.StashKey[tuple[int, int]]()
"""How many tests there are by default, and how many more nightly."""


def pytest_configure(config: pytest.Config) -> None:
    """Tell how much is to be run; compile before workers would each compile all."""
    selection.NIGHTLY = config.getoption("markexpr") != "not nightly"
    kernels = kernels_to_come()
    if kernels is not None and config.getoption("numprocesses", None):
        from lampwright.app.compiling import compile_kernels
        from lampwright.progress.bar import terminal

        progress = terminal(sys.stderr)
        compile_kernels(kernels, progress)
        progress.close()


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Give each process a stretch of the tests, so that fixtures are made once; the idle take over."""
    from xdist.scheduler import WorkStealingScheduling

    return WorkStealingScheduling(config, log) if config.getoption("dist") == "load" else None


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Count what was collected, before any of it is left out; a process of several tells the first."""
    nightly = sum(item.get_closest_marker("nightly") is not None for item in items)
    config.stash[COUNTED] = (len(items) - nightly, nightly)
    if hasattr(config, "workeroutput"):
        config.workeroutput["counted"] = config.stash[COUNTED]


def pytest_collection_finish() -> None:
    """Look for garbage again, as the program does, and not among the tests themselves."""
    gc.collect()
    gc.freeze()
    collect_rarely()
    gc.enable()


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    """Take what a process has counted, which is the same in each."""
    if "counted" in getattr(node, "workeroutput", ()):
        node.config.stash[COUNTED] = tuple(node.workeroutput["counted"])


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    """Print both counts, whichever selection has run."""
    if counted := config.stash.get(COUNTED, None):
        terminalreporter.write_line(f"tests: {counted[0]} by default, {counted[1]} more nightly")


@pytest.fixture(scope="session", autouse=True)
def shared(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Let the processes of one run share what takes long to make."""
    if "PYTEST_XDIST_WORKER" in os.environ:
        once.SHARED.append(tmp_path_factory.getbasetemp().parent)


UNUSED = (
    # Two pages of the browser's own behind the address line of every window, which take longer than our page.
    "WebUIOmniboxPopup",
    "WebUIOmniboxAimPopup",
    # Only the last list counts: what the library turns off, which this one takes the place of.
    "AimEnabled",
    "AvoidCorsURLLoaderRestartOnRedirect",
    "AvoidUnnecessaryBeforeUnloadCheckSync",
    "DestroyProfileOnBrowserClose",
    "HttpsFirstBalancedModeAutoEnable",
    "HttpsUpgrades",
    "LensOverlay",
    "MediaRouter",
    "NetworkTimeServiceQuerying",
    "OptimizationHints",
    "PaintHolding",
    "PreconnectToSearch",
    "TcpPortRandomizationWin",
    "ThirdPartyStoragePartitioning",
)
"""Features of the browser that no page of ours needs; the first two cost each page half a second."""


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Start the browser once for all tests of one process, which cannot hold two."""
    library = pytest.importorskip("playwright.sync_api", reason="the library playwright is not installed")
    found = next((path for name in ("chromium", "chromium-browser") if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("chromium is not installed")
    settings = [f"--disable-features={','.join(UNUSED)}"]
    # Root may not use the browser's own sandbox, and CI often is root.
    settings += ["--no-sandbox"] if os.geteuid() == 0 else []
    with library.sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=found, args=settings)
        yield started
        started.close()


@pytest.fixture(scope="session")
def engine() -> Any:
    """Give the accessibility engine; without its library the tests that need it are skipped."""
    library = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the library axe-playwright-python is not installed"
    )
    return library.Axe()
