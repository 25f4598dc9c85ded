"""The example results, as the tests of rows read them."""

from tests.results.conftest import example

__all__ = ["example"]
