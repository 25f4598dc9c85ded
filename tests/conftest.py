"""Before any test imports a kernel: kept where the program keeps them, and compiled once."""

import os
import sys

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
