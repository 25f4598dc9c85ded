"""Kernels compiled without an entry for Python are called by kernels alone: it would crash the process."""

import ast
from collections.abc import Iterator

OPTIONS = "INNER"


def _decorators(function: ast.FunctionDef) -> Iterator[ast.Call]:
    for decorator in function.decorator_list:
        if isinstance(decorator, ast.Call) and isinstance(decorator.func, ast.Name):
            yield decorator


def _is_kernel(function: ast.FunctionDef) -> bool:
    made_by = (d.func if isinstance(d, ast.Call) else d for d in function.decorator_list)
    return any(isinstance(name, ast.Name) and name.id == "njit" for name in made_by)


def _is_inner(function: ast.FunctionDef) -> bool:
    return any(
        isinstance(keyword.value, ast.Name) and keyword.value.id == OPTIONS
        for decorator in _decorators(function)
        for keyword in decorator.keywords
    )


def inner_kernels(trees: dict[str, ast.Module]) -> set[tuple[str, str]]:
    """Every inner kernel, as (module, name)."""
    return {
        (module, node.name)
        for module, tree in trees.items()
        for node in tree.body
        if isinstance(node, ast.FunctionDef) and _is_inner(node)
    }


def _named_in_python(node: ast.AST) -> Iterator[str]:
    """The names, and the attributes, that stand outside kernels."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef) and _is_kernel(child):
            continue
        if isinstance(child, ast.Name):
            yield child.id
        elif isinstance(child, ast.Attribute) and isinstance(child.value, ast.Name):
            yield f"{child.value.id}.{child.attr}"
        yield from _named_in_python(child)


def _stands_for(tree: ast.Module, module: str) -> dict[str, tuple[str, str]]:
    """What each name of a module stands for, as (module, name)."""
    found = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                found[alias.asname or alias.name] = (node.module.removeprefix("lampwright."), alias.name)
    own = {node.name: (module, node.name) for node in tree.body if isinstance(node, ast.FunctionDef)}
    return found | own


def called_from_python(
    trees: dict[str, ast.Module], inner: set[tuple[str, str]]
) -> Iterator[tuple[str, str]]:
    """Where an inner kernel is named outside kernels, as (module, name)."""
    for module, tree in trees.items():
        known = _stands_for(tree, module)
        for name in _named_in_python(tree):
            owner, _, attribute = name.partition(".")
            if attribute and owner in known:
                above, last = known[owner]
                target = (f"{above}.{last}".removeprefix("lampwright."), attribute)
            else:
                target = known.get(name, ("", ""))
            if target in inner:
                yield module, name


def test_inner_kernels_are_called_by_kernels_alone(trees: dict[str, ast.Module]) -> None:
    modules = {_module(name): tree for name, tree in trees.items()}
    inner = inner_kernels(modules)
    assert len(inner) > 100
    assert set(called_from_python(modules, inner)) == set()


def test_kernels_have_our_options(modules: dict[str, ast.Module]) -> None:
    # with them comes what reads kept kernels of ours: numba alone could not
    without = {
        f"{module}.{node.name}"
        for module, tree in modules.items()
        for node in tree.body
        if isinstance(node, ast.FunctionDef) and _is_kernel(node) and not _has_options(node)
    }
    assert without == set()


def _has_options(function: ast.FunctionDef) -> bool:
    given = [keyword.value for decorator in _decorators(function) for keyword in decorator.keywords]
    return any(isinstance(value, ast.Name) and value.id in ("ENTRY", "INNER") for value in given)


def _module(file: str) -> str:
    return file.removeprefix("search/lampwright/").removesuffix(".py").replace("/", ".")
