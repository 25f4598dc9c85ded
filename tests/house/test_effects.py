"""No print, logging or clock outside `cli` and `progress`; chance in two modules alone."""

import ast

FREE = ("cli", "progress", "assess.tolerance", "workbench.gate", "workbench.worker")
"""`assess.tolerance` draws copies of a circuit at random, from a seed that its caller states: the same
seed, the same copies, so results stay repeatable. `workbench.gate` draws who may speak to the page, which
shows in no result; `workbench.worker` is a program of its own, whose lines the page reads.
"""
CLOCKS_AND_CHANCE = {"logging", "time", "random", "secrets", "uuid", "timeit"}


def effects(tree: ast.Module) -> list[str]:
    """List what of a module writes, looks at a clock or draws by lot."""
    found = []
    for node in ast.walk(tree):
        match node:
            case ast.Call(func=ast.Name(id="print" | "input")):
                found.append(f"{node.lineno}: {ast.unparse(node.func)}")
            case ast.Import(names=names):
                taken = {alias.name.partition(".")[0] for alias in names} & CLOCKS_AND_CHANCE
                found += [f"{node.lineno}: import {name}" for name in sorted(taken)]
            case ast.ImportFrom(module=str(module)) if module.partition(".")[0] in CLOCKS_AND_CHANCE:
                found.append(f"{node.lineno}: from {module}")
            case ast.ImportFrom(module="os", names=names) if any(a.name == "urandom" for a in names):
                found.append(f"{node.lineno}: from os import urandom")
            case ast.Call(func=ast.Attribute(attr="now" | "utcnow" | "today")):
                found.append(f"{node.lineno}: {ast.unparse(node)}")
            case ast.Attribute(value=ast.Name(id="np" | "numpy"), attr="random"):
                found.append(f"{node.lineno}: numpy.random")
            case ast.Attribute(value=ast.Name(id="os"), attr="urandom" | "times"):
                found.append(f"{node.lineno}: os.{node.attr}")
            case ast.Attribute(value=ast.Name(id="sys"), attr="stdout" | "stdin"):
                found.append(f"{node.lineno}: sys.{node.attr}")
    return found


def test_nobody_else_writes_or_looks_at_a_clock(modules: dict[str, ast.Module]) -> None:
    wrong = [
        f"{name}:{effect}"
        for name, tree in modules.items()
        if not f"{name}.".startswith(tuple(f"{free}." for free in FREE))
        for effect in effects(tree)
    ]
    assert not wrong, "\n".join(wrong)


def test_there_is_one_clock_of_a_run(modules: dict[str, ast.Module]) -> None:
    clocks = [name for name, tree in modules.items() if any("time" in one for one in effects(tree))]
    assert sorted(clocks) == ["progress.bar", "progress.watch"], "a bar shows seconds, a watch ends a search"


def test_nothing_happens_on_import(modules: dict[str, ast.Module]) -> None:
    wrong = [
        f"{name}:{node.lineno}: {ast.unparse(node)[:60]}"
        for name, tree in modules.items()
        for node in tree.body
        if isinstance(node, ast.For | ast.While | ast.With | ast.Global)
        or (isinstance(node, ast.Expr) and isinstance(node.value, ast.Call))
    ]
    assert not wrong, "\n".join(wrong)
