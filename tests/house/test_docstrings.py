"""What docstrings say: a first line, a source in `parts` and `graphs`, units and shapes of the physics."""

import ast
import re

SOURCE = re.compile(r"\bno\s+source\b|\bsources?\b[\w\s]{0,30}:", re.IGNORECASE)
UNIT = re.compile(r"\[[^\]\n]+\]|\bdimensionless\b|\bunits?\b")
SHAPE = re.compile(
    r"\bshapes?\b|\bbroadcasts?\b|\bscalars?\b|\((?:\w+,|\w+(?: [-+*] \w+)?(?:, \w+(?: [-+*] \w+)?)+,?)\)"
)
NUMBER = re.compile(r"\b(?:float|float64|Floats|ArrayLike)\b")
ARRAY = re.compile(r"\b(?:NDArray|ArrayLike|Floats|Ints|Bytes|Words)\b")

Function = ast.FunctionDef | ast.AsyncFunctionDef


def public_functions(tree: ast.Module) -> list[tuple[str, Function]]:
    """List public functions of a module, and public methods of its public classes."""
    found: list[tuple[str, Function]] = []
    for node in tree.body:
        if isinstance(node, Function) and not node.name.startswith("_"):
            found.append((node.name, node))
        elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            methods = (inner for inner in node.body if isinstance(inner, Function))
            found += [(f"{node.name}.{inner.name}", inner) for inner in methods if inner.name[0] != "_"]
    return found


def annotations(function: Function) -> str:
    """Write out the types of a function's arguments and of what it returns."""
    arguments = function.args
    every = [*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs]
    types = [argument.annotation for argument in every] + [function.returns]
    return " ".join(ast.unparse(one) for one in types if one is not None)


def in_package(modules: dict[str, ast.Module], *packages: str) -> dict[str, ast.Module]:
    """Pick the modules of these packages."""
    return {name: tree for name, tree in modules.items() if name.partition(".")[0] in packages}


def test_every_module_opens_with_a_sentence(trees: dict[str, ast.Module]) -> None:
    first = {name: (ast.get_docstring(tree) or "").partition("\n")[0] for name, tree in trees.items()}
    wrong = [f"{name}: {line!r}" for name, line in first.items() if not line.endswith(".")]
    assert not wrong, "\n".join(wrong)


def test_parts_and_graphs_name_a_source(modules: dict[str, ast.Module]) -> None:
    checked = in_package(modules, "parts", "graphs")
    wrong = [name for name, tree in checked.items() if not SOURCE.search(ast.get_docstring(tree) or "")]
    assert not wrong, f"neither `Source: ...` nor `no source`: {wrong}"


def test_physics_states_units(modules: dict[str, ast.Module]) -> None:
    wrong = [
        f"{name}: {label}"
        for name, tree in in_package(modules, "parts", "solve").items()
        for label, function in public_functions(tree)
        if NUMBER.search(annotations(function)) and not UNIT.search(ast.get_docstring(function) or "")
    ]
    assert not wrong, "no unit such as [V] or [1]:\n" + "\n".join(wrong)


def test_physics_states_shapes(modules: dict[str, ast.Module]) -> None:
    wrong = [
        f"{name}: {label}"
        for name, tree in in_package(modules, "parts", "solve").items()
        for label, function in public_functions(tree)
        if ARRAY.search(annotations(function)) and not SHAPE.search(ast.get_docstring(function) or "")
    ]
    assert not wrong, "no shape such as (states, vertices), broadcast or scalar:\n" + "\n".join(wrong)
