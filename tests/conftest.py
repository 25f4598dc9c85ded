"""Before any test imports a kernel: keep compiled kernels where the program keeps them."""

import os

import pytest

from lampwright.kernels import keep_kernels

keep_kernels()


@pytest.fixture(scope="session", autouse=True)
def shared(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Let the processes of one run share the answers to the shipped specs."""
    from tests import shipped

    if "PYTEST_XDIST_WORKER" in os.environ:
        shipped.SHARED.append(tmp_path_factory.getbasetemp().parent)
