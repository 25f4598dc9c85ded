"""Before any test imports a kernel: keep compiled kernels where the program keeps them."""

import os

import pytest
from tests import selection

from lampwright.kernels import keep_kernels

keep_kernels()


def pytest_configure(config: pytest.Config) -> None:
    """Tell how much is to be run."""
    selection.NIGHTLY = config.getoption("markexpr") != "not nightly"


@pytest.fixture(scope="session", autouse=True)
def shared(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Let the processes of one run share the answers to the shipped specs."""
    # not before the kernels have their place
    from tests import shipped

    if "PYTEST_XDIST_WORKER" in os.environ:
        shipped.SHARED.append(tmp_path_factory.getbasetemp().parent)
