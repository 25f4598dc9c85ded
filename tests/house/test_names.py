"""One noun, one class: no class name has two meanings in the package."""

import ast
from collections import defaultdict


def test_no_class_name_has_two_meanings(modules: dict[str, ast.Module]) -> None:
    homes: dict[str, list[str]] = defaultdict(list)
    for module, tree in modules.items():
        for node in tree.body:
            if isinstance(node, ast.ClassDef):
                homes[node.name].append(module)
    twice = {name: where for name, where in homes.items() if len(where) > 1}
    assert not twice, f"classes of one name: {twice}"


def test_long_calls_name_their_arguments(modules: dict[str, ast.Module]) -> None:
    """Seven or more arguments by place are for kernels, which take no names, and for the words of a path."""
    defined = [
        node
        for tree in modules.values()
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
    ]
    free = {
        node.name
        for node in defined
        if isinstance(node, ast.FunctionDef)
        and (node.args.vararg or any("njit" in ast.unparse(one) for one in node.decorator_list))
    }
    ours = {node.name for node in defined} - free
    wrong = [
        f"{module}:{node.lineno}: {ast.unparse(node.func)}"
        for module, tree in modules.items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and len(node.args) >= 7
        and ast.unparse(node.func).rpartition(".")[2] in ours
    ]
    assert not wrong, "\n".join(wrong)
