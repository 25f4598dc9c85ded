"""Before any test imports a kernel: kept where the program keeps them, and compiled once."""

import os
import shutil
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from tests import selection

from lampwright.kernels import keep_kernels, kernels_to_come

keep_kernels()


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


@pytest.fixture(scope="session", autouse=True)
def shared(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Let the processes of one run share the answers to the shipped specs."""
    # not before the kernels have their place
    from tests import shipped

    if "PYTEST_XDIST_WORKER" in os.environ:
        shipped.SHARED.append(tmp_path_factory.getbasetemp().parent)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Start the browser once for all tests of one process, which cannot hold two."""
    library = pytest.importorskip("playwright.sync_api", reason="the library playwright is not installed")
    found = next((path for name in ("chromium", "chromium-browser") if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("chromium is not installed")
    # Root may not use the browser's own sandbox, and CI often is root.
    sandbox = ["--no-sandbox"] if os.geteuid() == 0 else []
    with library.sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=found, args=sandbox)
        yield started
        started.close()


@pytest.fixture(scope="session")
def engine() -> Any:
    """Give the accessibility engine; without its library the tests that need it are skipped."""
    library = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="the library axe-playwright-python is not installed"
    )
    return library.Axe()
