"""How kernels that numba has kept are loaded: without what only compiling needs.

Beside a kernel's machine code numba keeps its bitcode, for kernels that call it and are still to be compiled,
and reads both whenever it loads the kernel. There is nothing left to compile after the first run, and
reading bitcode takes a sixth of the time of the smallest searches: here it is read when it is asked for.

This leans on numba further than it promises, on lines that its 0.60 and 0.68 share. No source: numba itself.
"""

from typing import Any

from llvmlite import binding
from numba.core.codegen import JITCodeLibrary, JITCPUCodegen


class KeptLibrary(JITCodeLibrary):
    """A library of numba's whose bitcode is read late."""

    _code = _bitcode = b""

    @classmethod
    def _unserialize(cls, codegen: Any, state: tuple[str, str, Any]) -> Any:
        name, kind, data = state
        if kind != "object":
            return super()._unserialize(codegen, state)
        library = codegen.create_library(name)
        library._code, library._bitcode = data
        library.enable_object_caching()
        library._set_compiled_object(library._code)
        library._finalize_final_module()
        return library

    def _get_module_for_linking(self) -> Any:
        if self._shared_module is None and self._bitcode:
            self._shared_module = binding.parse_bitcode(self._bitcode)
        return super()._get_module_for_linking()

    def get_pointer_to_function(self, name: str) -> int:
        """The address of a function, which is 0 where this library has none of that name."""
        if name.encode() in self._code:
            # LLVM ends the process where there is none
            return int(self._codegen._engine.get_function_address(name))
        return int(super().get_pointer_to_function(name))


def read_bitcode_late() -> None:
    """Have numba load kernels so from now on; where its parts have other names, leave it as it is."""
    needed = ("_unserialize", "_set_compiled_object", "_finalize_final_module", "_get_module_for_linking")
    if all(hasattr(JITCodeLibrary, name) for name in needed) and hasattr(JITCPUCodegen, "_library_class"):
        JITCPUCodegen._library_class = KeptLibrary
