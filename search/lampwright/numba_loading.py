"""How kernels are compiled and loaded: what only others' compiling needs is made and read for that alone.

Beside a kernel's machine code numba keeps its bitcode, for kernels that call it and are still to be compiled,
and reads both whenever it loads the kernel. There is nothing left to compile after the first run, and
reading bitcode takes a sixth of the time of the smallest searches: here it is read when it is asked for.
So are the tables of all that numba can compile, which it goes through for every kernel that it loads, and
again before it compiles one: that takes a tenth.

A kernel without an entry from Python (`compiled.INNER`) is never run but as a part of those that call it,
and each of these has machine code with all that it calls in it. So it is given none of its own, which is an
eighth of the time that the first compilation takes. Leaving out its last passes, too, saved as much again,
and made the lanes of ranges a tenth slower.

This leans on numba further than it promises, on lines that its 0.60 and 0.68 share. No source: numba itself.
"""

from typing import Any

from llvmlite import binding
from numba.core.caching import Cache
from numba.core.codegen import JITCodeLibrary, JITCPUCodegen
from numba.core.runtime.nrt import rtsys

ENTRIES = ("_ZN7cpython", "cfunc.")
"""How numba begins the names of functions that Python and C call."""

Kept = tuple[str, str, Any]
"""What numba keeps of a library: its name, the kind of what follows, and that."""


class KeptLibrary(JITCodeLibrary):
    """A library of numba's whose bitcode is read late, and whose machine code is made where it is called."""

    _code = _bitcode = b""
    _is_machine_code = True

    @classmethod
    def _unserialize(cls, codegen: Any, state: Kept) -> Any:
        name, kind, data = state
        library = codegen.create_library(name)
        if kind == "object":
            library._code, library._bitcode = data
            library.enable_object_caching()
            library._set_compiled_object(library._code)
            library._make_machine_code()
        else:
            library._bitcode, library._is_machine_code, library._finalized = data, False, True
        return library

    @property
    def codegen(self) -> Any:
        """What makes machine code; told of no environment where there is none."""
        return self._codegen if self._is_machine_code else _WithoutEnvironment()

    def _has_entry(self) -> bool:
        return any(
            one.name.startswith(ENTRIES)
            and one.linkage == binding.Linkage.external
            and not one.is_declaration
            for one in self._final_module.functions
        )

    def _finalize_final_module(self) -> None:
        if self._has_entry():
            self._make_machine_code()
            return
        self._finalize_dynamic_globals()
        self._is_machine_code, self._finalized = False, True

    def _make_machine_code(self) -> None:
        super()._finalize_final_module()

    def _get_module_for_linking(self) -> Any:
        if self._shared_module is None and self._bitcode:
            self._shared_module = binding.parse_bitcode(self._bitcode)
        return super()._get_module_for_linking()

    def get_pointer_to_function(self, name: str) -> int:
        """The address of a function, which is 0 where this library has none of that name."""
        self._ensure_finalized()
        if not self._is_machine_code:
            if self._bitcode or all(name != one.name for one in self._final_module.functions):
                return 0
            self._is_machine_code = True
            self._make_machine_code()
        if name.encode() in self._code:
            # LLVM ends the process where there is none
            return int(self._codegen._engine.get_function_address(name))
        return int(super().get_pointer_to_function(name))

    def serialize_using_object_code(self) -> Kept:
        """What is kept of this library: without machine code where it has none."""
        self._ensure_finalized()
        if self._is_machine_code:
            return super().serialize_using_object_code()  # type: ignore[no-any-return]  # numba's
        return self.name, "bitcode", self._get_module_for_linking().as_bitcode()


class _WithoutEnvironment:
    """Takes the place of what would note an environment in machine code."""

    def set_env(self, *_: Any) -> None:
        """Take no note of it."""


def _load_kept(cache: Any, signature: Any, context: Any) -> Any:
    """Load a kernel, with what it needs to run and no more."""
    rtsys.initialize(context)
    with cache._guard_against_spurious_io_errors():
        return cache._load_overload(signature, context)


def use_kept_libraries() -> None:
    """Have numba compile and load so from now on; where its parts have other names, leave it as it is."""
    needed = (
        *("_unserialize", "_set_compiled_object", "_finalize_final_module", "_finalize_dynamic_globals"),
        *("_get_module_for_linking", "enable_object_caching"),
    )
    if all(hasattr(JITCodeLibrary, name) for name in needed) and hasattr(JITCPUCodegen, "_library_class"):
        JITCPUCodegen._library_class = KeptLibrary
    own = "_load_overload", "_guard_against_spurious_io_errors", "load_overload"
    if all(hasattr(Cache, name) for name in own) and hasattr(rtsys, "initialize"):
        Cache.load_overload = _load_kept  # type: ignore[method-assign]  # as meant
