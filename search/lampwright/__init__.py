"""Finds every circuit of lamps and wire that does what you ask, and ranks them.

    import lampwright as lw

    spec = lw.Spec("A tell-tale", lw.Supply(12, (11.8, 13.5, 14.4)))     or lw.load_spec("file.toml")
    spec = spec.switch("brake", feed="54").lamp("stop", "P21W").when(brake="on", stop="lit")
    found = lw.search(spec)               a sequence of designs, best first; false if there is none
    print(found.best.table())

Spec, Circuit and Supply are values: each call gives a new, checked one, and what is wrong raises
InputError with its place and what would do. Ask help(lampwright.search) and so on.
"""

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lampwright.app.api import (
        check,
        compare,
        diagnose,
        filament,
        find,
        load_circuit,
        load_spec,
        search,
        solve,
    )
    from lampwright.app.circuit_builder import CircuitBuilder as Circuit
    from lampwright.app.spec_builder import SpecBuilder as Spec
    from lampwright.app.spec_builder import SupplyVolts as Supply
    from lampwright.errors import InputError, LampwrightError

__version__ = "0.3.0"
__all__ = [
    "Circuit",
    "InputError",
    "LampwrightError",
    "Spec",
    "Supply",
    "check",
    "compare",
    "diagnose",
    "filament",
    "find",
    "load_circuit",
    "load_spec",
    "search",
    "solve",
]
_HOMES = {
    "Circuit": ("app.circuit_builder", "CircuitBuilder"),
    "InputError": ("errors", "InputError"),
    "LampwrightError": ("errors", "LampwrightError"),
    "Spec": ("app.spec_builder", "SpecBuilder"),
    "Supply": ("app.spec_builder", "SupplyVolts"),
}
"""Where a name is defined that is not of `app.api`, and as what."""


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for, so that a command's help needs no solver."""
    if name not in __all__:
        raise AttributeError(f"module 'lampwright' has no attribute {name!r}")
    from lampwright.kernels import keep_kernels

    keep_kernels()
    module, inner = _HOMES.get(name, ("app.api", name))
    return getattr(import_module(f"lampwright.{module}"), inner)


class FrontDoor(ModuleType):
    """The module, whose `solve` is the function; the package of this name is imported from by its path."""

    @property
    def solve(self) -> Any:
        """Import the function, whatever was imported before."""
        return __getattr__("solve")

    @solve.setter
    def solve(self, package: ModuleType) -> None:
        """Take no notice of the package, which Python would put here when it is first imported."""


sys.modules[__name__].__class__ = FrontDoor


def __dir__() -> list[str]:
    """List the public names, though most are imported when they are first asked for."""
    return sorted([*__all__, *(name for name in globals() if name.startswith("__"))])
