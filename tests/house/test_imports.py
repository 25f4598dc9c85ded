"""Who may import whom; no ring; nobody inside comes in by a front door.

Source: the design's table, which DEVELOPERS.md prints.
"""

import ast
from itertools import pairwise
from pathlib import Path

import networkx as nx

MAP = """\
    errors | caches | toml_file | numba_loading
    compiled                    (numba_loading)
    kernels                     (caches, numba_loading)
    words
    results                     (words)
    spec                        (toml_file)
    parts | progress
    graphs                      (compiled)
    store                       (results)
    network                     (graphs, parts, toml_file)
    solve                       (network, parts, spec, compiled)
    problem                     (solve, and what it may; results, toml_file)
    judge                       (problem, and what it may; graphs, caches)
    prove                       (problem, and what it may; words)
    refute                      (problem, and what it may; graphs)
    atlas                       (judge, and what it may; words)
    assess                      (judge, and what it may; words)
    searching                   (assess, and what it may; prove, refute, progress, kernels)
    diagnosis                   (searching, and what it may)
    report                      (results, words, caches)
    teaching                    (results, words)
    manual                      (results, spec, caches)
    app                         (all of the above)
    workbench                   (all of the above)
    cli                         (app, workbench, searching, errors, kernels)
    docs                        (cli, manual)
"""
OPEN = {"": {"__version__"}}
"""Names that may be had from the front door, since it defines them."""


def allowed() -> dict[str, set[str]]:
    """Read the map: for each package, those it may import besides `errors` and itself."""
    may: dict[str, set[str]] = {}
    for line in MAP.splitlines():
        names, _, given = line.strip().rstrip(")").partition("(")
        above = set(may) if given == "all of the above" else set[str]()
        for some in given.split(";") if given != "all of the above" else ():
            named = [name.strip() for name in some.split(",")]
            above |= {name for name in named if name in may}
            if named[-1] == "and what it may":
                above |= may[named[0]]
        may |= {name.strip(): above | {"errors"} for name in names.split("|")}
    return may


def imports(tree: ast.Module, modules: dict[str, ast.Module]) -> set[tuple[str, str]]:
    """List every import of ours as (module, name); ('', name) is the front door's own.

    Imports inside functions, and those for types alone, count like any other.
    """
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {(alias.name, "") for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found |= {("." * node.level + (node.module or ""), alias.name) for alias in node.names}
    ours = set()
    for module, name in found:
        if module.partition(".")[0] in ("lampwright", ""):
            inner = module.removeprefix("lampwright").removeprefix(".")
            whole = f"{inner}.{name}".strip(".")
            ours.add((whole, "") if whole in modules else (inner, name))
    return ours


def test_developers_prints_the_map(root: Path) -> None:
    assert MAP in (root / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_package_is_in_the_map(modules: dict[str, ast.Module]) -> None:
    assert {name.partition(".")[0] for name in modules} - {""} == set(allowed())


def test_a_line_imports_only_from_lines_it_names(modules: dict[str, ast.Module]) -> None:
    may = allowed()
    wrong = []
    for name, tree in modules.items():
        home = name.partition(".")[0]
        for module, imported in imports(tree, modules):
            above = module.partition(".")[0]
            if home and above and above != home and above not in may[home]:
                wrong.append(f"{name} imports {module}.{imported}")
    assert not wrong, "\n".join(sorted(wrong))


def test_no_front_door_is_used_from_inside(modules: dict[str, ast.Module]) -> None:
    packages = {name.rpartition(".")[0] for name in modules if "." in name} | {""}
    wrong = [
        f"{name} imports {imported or 'all'} from the front door {module or 'lampwright'}"
        for name, tree in modules.items()
        for module, imported in imports(tree, modules)
        if module in packages and imported not in OPEN.get(module, set())
    ]
    assert not wrong, "\n".join(sorted(wrong))


def test_no_relative_imports(modules: dict[str, ast.Module]) -> None:
    wrong = [
        f"{name}:{node.lineno}"
        for name, tree in modules.items()
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.level
    ]
    assert not wrong, f"imports by dots hide which line they come from: {wrong}"


def test_no_ring(modules: dict[str, ast.Module]) -> None:
    graph: nx.DiGraph[str] = nx.DiGraph()
    for name, tree in modules.items():
        if name:  # the front door imports late, by name; whoever takes its version takes no more
            graph.add_edges_from((name, module) for module, _ in imports(tree, modules) if module)
    rings = list(nx.simple_cycles(graph))
    assert not rings, "\n".join(" -> ".join(one for one, _ in pairwise([*ring, ring[0]])) for ring in rings)
