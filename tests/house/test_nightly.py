"""By default something of everything is tested: a test that runs nightly alone names one that holds the same.

Of a test with some cases by default and others nightly, `some` (`tests/selection.py`) marks the others.
"""

import ast
import tomllib
from collections.abc import Iterator
from pathlib import Path

MARK = "pytest.mark.nightly"
KEPT = "tests/house/nightly.toml"


def marks_of(tree: ast.Module) -> dict[str, bool]:
    """The tests of a file by name, and whether each runs nightly alone."""
    return {
        one.name: any(ast.unparse(by) == MARK for by in one.decorator_list)
        for one in tree.body
        if isinstance(one, ast.FunctionDef) and one.name.startswith("test_")
    }


def lost(nightly: dict[str, dict[str, str]], every: dict[str, dict[str, bool]]) -> Iterator[str]:
    """What the table says and is not so, and what it should say."""
    for file, tests in every.items():
        said = nightly.get(file, {})
        yield from (
            f"{file}: {name} is nightly and not in the table"
            for name in tests
            if tests[name] > (name in said)
        )
        yield from (f"{file}: {name} is in the table and not nightly" for name in said if not tests.get(name))
        for name, instead in said.items():
            if instead.startswith("- "):
                continue
            place, _, other = instead.rpartition("::")
            if every.get(place or file, {}).get(other) is not False:
                yield f"{file}: {name}: no default test {instead}"
    yield from (f"{file}: there is no such file" for file in nightly.keys() - every.keys())


def test_what_runs_nightly_alone_is_held_by_default(root: Path, trees: dict[str, ast.Module]) -> None:
    every = {
        name.removeprefix("tests/"): marks_of(tree)
        for name, tree in trees.items()
        if name.startswith("tests/") and Path(name).name.startswith("test_")
    }
    assert len(every) > 100
    nightly = tomllib.loads((root / KEPT).read_text(encoding="utf-8"))
    assert not list(lost(nightly, every))


def test_cases_are_marked_where_one_is_sure_to_stay(trees: dict[str, ast.Module]) -> None:
    marked = {
        name
        for name, tree in trees.items()
        for call in ast.walk(tree)
        if isinstance(call, ast.keyword) and call.arg == "marks" and "nightly" in ast.unparse(call.value)
    }
    marked.discard("tests/selection.py")
    assert not marked, "use `some` or `some_rows`"
