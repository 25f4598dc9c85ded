"""How kernels are compiled and loaded: what only others' compiling needs is made and read for that alone.

Beside a kernel's machine code numba keeps its bitcode, for kernels that call it and are still to be compiled,
and reads both whenever it loads the kernel. There is nothing left to compile after the first run, and
reading bitcode takes a sixth of the time of the smallest searches: here it is read when it is asked for.
So are the tables of all that numba can compile, which it goes through for every kernel that it loads, and
again before it compiles one: that takes a tenth.

numba takes into a kernel all that it calls, and what that calls, and compiles it again with each. Here a
long kernel of ours, which LLVM would not copy into another, is compiled once: others call it where it
stands, and its machine code is kept beside that of whoever calls it. Short ones without an entry from Python
(`compiled.INNER`) are part of those that call them, and have no machine code of their own. Nor are kernels of
ours gone through function by function before they are put together: going through the whole does the same
again. That saves a quarter of the first compilation. Leaving out the last passes for short kernels, too, made
the lanes of ranges a tenth slower.

This leans on numba further than it promises, on lines that its 0.60 and 0.68 share. No source: numba itself.
"""

from itertools import islice
from typing import Any

from llvmlite import binding
from numba.core.caching import Cache
from numba.core.codegen import JITCodeLibrary, JITCPUCodegen
from numba.core.runtime.nrt import rtsys

ENTRIES = ("_ZN7cpython", "cfunc.")
"""How numba begins the names of functions that Python and C call."""
OURS = "_ZN10lampwright"
"""How it begins those of this program's kernels."""
LONG = 400
"""Instructions of a kernel that LLVM would not copy into others. With 150 searches were some 4 % slower."""

Called = tuple[tuple[str, bytes], ...]
"""Long kernels that a library calls: their names and machine code."""
Kept = tuple[str, str, Any]
"""What numba keeps of a library: its name, the kind of what follows, and that."""


class KeptLibrary(JITCodeLibrary):
    """A library of numba's whose bitcode is read late, and whose machine code is made where it is called."""

    _code = _bitcode = b""
    _is_machine_code = True
    _symbol = ""
    """Of a long kernel of ours: its name."""
    _called: Called = ()

    @classmethod
    def _unserialize(cls, codegen: Any, state: Kept) -> Any:
        name, kind, data = state
        library = codegen.create_library(name)
        code, library._bitcode = (b"", data) if kind == "bitcode" else data[:2]
        if kind == "parts":
            library._symbol, called = data[2:]
            library._called = tuple(_load_shared(codegen, *one) for one in called)
        if library._symbol in _SHARED:
            library._code, library._finalized = _SHARED[library._symbol]._code, True
        elif code:
            library._take_code(code)
        else:
            library._is_machine_code, library._finalized = False, True
        return library

    def _take_code(self, code: bytes) -> None:
        self._code = code
        self.enable_object_caching()
        self._set_compiled_object(code)
        self._make_machine_code()
        if self._symbol:
            _SHARED[self._symbol] = self

    @property
    def codegen(self) -> Any:
        """What makes machine code; told of no environment where there is none."""
        return self._codegen if self._is_machine_code else _WithoutEnvironment()

    def _optimize_functions(self, ll_module: Any) -> None:
        if any(one.name.startswith(OURS) for one in ll_module.functions):
            ll_module.data_layout = self._codegen._data_layout
        else:
            super()._optimize_functions(ll_module)

    def _finalize_final_module(self) -> None:
        self._called = self._calls()
        own = [one for one in self._final_module.functions if _is_told(one)]
        self._symbol = next((str(one.name) for one in own if one.name.startswith(OURS) and _is_long(one)), "")
        if self._symbol or any(one.name.startswith(ENTRIES) for one in own):
            self._make_machine_code()
        else:
            self._finalize_dynamic_globals()
            self._is_machine_code, self._finalized = False, True
        if self._symbol:
            self._code = bytes(self._get_compiled_object())
            _SHARED[self._symbol] = self

    def _calls(self) -> Called:
        """What is called and not part of this library, each after what it calls itself."""
        wanted = {one.name for one in self._final_module.functions if one.is_declaration}
        found: dict[str, bytes] = {}
        for library in self._linking_libraries:
            own = ((library._symbol, library._code),) if library._symbol else ()
            known = (*library._called, *own)
            for place, (name, code) in enumerate(known):
                if name in wanted:
                    found.update((*known[:place], (name, code)))
        return tuple(found.items())

    def _make_machine_code(self) -> None:
        super()._finalize_final_module()

    def _get_module_for_linking(self) -> Any:
        if self._symbol:
            return binding.parse_assembly(str(self._codegen._create_empty_module(self.name)))
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
        """What is kept of this library: no machine code where it has none, no bitcode that none takes."""
        self._ensure_finalized()
        if self._symbol or self._called:
            code = self._get_compiled_object() if self._is_machine_code else b""
            bitcode = b"" if self._symbol else self._get_module_for_linking().as_bitcode()
            return self.name, "parts", (code, bitcode, self._symbol, self._called)
        if self._is_machine_code:
            return super().serialize_using_object_code()  # type: ignore[no-any-return]  # numba's
        return self.name, "bitcode", self._get_module_for_linking().as_bitcode()


_SHARED: dict[str, KeptLibrary] = {}
"""Long kernels that this process has, by name: LLVM keeps them as long."""


def _load_shared(codegen: Any, name: str, code: bytes) -> tuple[str, bytes]:
    if name not in _SHARED:
        library = codegen.create_library(name)
        library._symbol = name
        library._take_code(code)
    return name, _SHARED[name]._code


def _is_told(function: Any) -> bool:
    """Whether a function is this library's own, and not of what was put into it."""
    return function.linkage == binding.Linkage.external and not function.is_declaration


def _is_long(function: Any) -> bool:
    instructions = (one for block in function.blocks for one in block.instructions)
    return next(islice(instructions, LONG, None), None) is not None


class _WithoutEnvironment:
    """Takes the place of what would note an environment in machine code."""

    def set_env(self, *_: Any) -> None:
        """Take no note of it."""


def use_kept_libraries() -> None:
    """Have numba compile and load so from now on; where its parts have other names, leave it as it is."""
    needed = (
        *("_unserialize", "_set_compiled_object", "_finalize_final_module", "_finalize_dynamic_globals"),
        *("_get_module_for_linking", "_optimize_functions", "enable_object_caching"),
    )
    if all(hasattr(JITCodeLibrary, name) for name in needed) and hasattr(JITCPUCodegen, "_library_class"):
        JITCPUCodegen._library_class = KeptLibrary


def _load_kept(cache: Any, signature: Any, context: Any) -> Any:
    """Load a kernel, with what it needs to run and no more."""
    rtsys.initialize(context)
    with cache._guard_against_spurious_io_errors():
        return cache._load_overload(signature, context)


def load_without_tables() -> None:
    """Have numba load every kernel without its tables, anybody's: for processes that are all ours."""
    own = "_load_overload", "_guard_against_spurious_io_errors", "load_overload"
    if all(hasattr(Cache, name) for name in own) and hasattr(rtsys, "initialize"):
        Cache.load_overload = _load_kept  # type: ignore[method-assign]  # as meant
