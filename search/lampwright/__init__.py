"""Finds every circuit of lamps and wire that does what you ask, and ranks them."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lampwright.app.api import check, diagnose, filament, find, load_spec, search

__version__ = "0.3.0"
__all__ = ["check", "diagnose", "filament", "find", "load_spec", "search"]


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for, so that a command's help needs no solver."""
    if name not in __all__:
        raise AttributeError(f"module 'lampwright' has no attribute {name!r}")
    from lampwright.kernels import keep_kernels

    keep_kernels()
    return getattr(import_module("lampwright.app.api"), name)
