"""Circuits on the bench, as the tests of faults build them."""

from tests.assess.conftest import builder

__all__ = ["builder"]
