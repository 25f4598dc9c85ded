"""What public functions return: a named type, never a bare dictionary or a fixed number of things.

`tuple[X, ...]` is a sequence and fine. Compiled kernels are let off: numba cannot make a
dataclass, and returns a pair in registers; their callers wrap it.
"""

import ast

from lampwright.kernels import COMPILED

KERNEL_PACKAGES = COMPILED
DICTIONARIES = {"dict", "Dict", "Mapping", "MutableMapping", "defaultdict", "OrderedDict", "Counter"}
Function = ast.FunctionDef | ast.AsyncFunctionDef


def public_functions(tree: ast.Module) -> list[tuple[str, Function]]:
    """List public functions of a module, and public methods of its public classes."""
    holders: list[ast.Module | ast.ClassDef] = [tree]
    holders += [node for node in tree.body if isinstance(node, ast.ClassDef) and node.name[0] != "_"]
    return [
        (f"{holder.name}.{node.name}" if isinstance(holder, ast.ClassDef) else node.name, node)
        for holder in holders
        for node in holder.body
        if isinstance(node, Function) and node.name[0] != "_"
    ]


def decorators(function: Function) -> set[str]:
    """Name the decorators of a function, without their arguments."""
    plain = (one.func if isinstance(one, ast.Call) else one for one in function.decorator_list)
    return {ast.unparse(one).rpartition(".")[2] for one in plain}


def parts_of(annotation: ast.expr | None) -> list[ast.expr]:
    """Take a union apart; a type in quotes is read."""
    if isinstance(annotation, ast.Constant) and isinstance(annotation.value, str):
        annotation = ast.parse(annotation.value, mode="eval").body
    if isinstance(annotation, ast.BinOp):
        return parts_of(annotation.left) + parts_of(annotation.right)
    return [] if annotation is None else [annotation]


def is_bare(annotation: ast.expr) -> bool:
    """Whether a type is a dictionary, or a tuple of a fixed number of things."""
    head = annotation.value if isinstance(annotation, ast.Subscript) else annotation
    name = ast.unparse(head).rpartition(".")[2]
    if name != "tuple":
        return name in DICTIONARIES
    inner = annotation.slice if isinstance(annotation, ast.Subscript) else None
    return not (isinstance(inner, ast.Tuple) and ast.unparse(inner.elts[-1]) == "...")


def test_no_bare_dictionary_or_tuple(modules: dict[str, ast.Module]) -> None:
    wrong = []
    for name, tree in modules.items():
        kernels = name.partition(".")[0] in KERNEL_PACKAGES
        for label, function in public_functions(tree):
            if kernels and "njit" in decorators(function):
                continue
            if any(is_bare(one) for one in parts_of(function.returns)):
                wrong.append(f"{name}: {label} -> {ast.unparse(function.returns or ast.Constant(None))}")
    assert not wrong, "\n".join(wrong)


def test_no_boolean_changes_the_type(modules: dict[str, ast.Module]) -> None:
    """Overloads on a flag, or a flag beside a choice of return types, are two functions in one."""
    wrong = []
    for name, tree in modules.items():
        for label, function in public_functions(tree):
            arguments = (*function.args.args, *function.args.kwonlyargs)
            types = {ast.unparse(one.annotation) for one in arguments if one.annotation}
            flag = any("bool" in one or "Literal[True" in one or "Literal[False" in one for one in types)
            kinds = {ast.unparse(one) for one in parts_of(function.returns)} - {"None"}
            if flag and ("overload" in decorators(function) or len(kinds) > 1):
                wrong.append(f"{name}: {label}")
    assert not wrong, "\n".join(wrong)


def test_how_types_are_read() -> None:
    def bare(text: str) -> bool:
        return any(is_bare(one) for one in parts_of(ast.parse(text, mode="eval").body))

    assert bare("dict[str, int] | None")
    assert bare("tuple[int, str]")
    assert bare("tuple")
    assert bare("'dict'")
    assert not bare("tuple[int, ...]")
    assert not bare("list[tuple[int, int]]")
    assert not bare("Design | None")
