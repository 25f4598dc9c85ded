"""What the house rules look at: our own files, read once, as text and as syntax trees."""

import ast
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def root() -> Path:
    """Give the folder of the whole tree."""
    return ROOT


@pytest.fixture(scope="session")
def tracked() -> tuple[Path, ...]:
    """List what git tracks or would track, relative to the root."""
    # whoever owns the clone, reading its list of files is harmless
    git = ["git", "-c", "safe.directory=*", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.run(git, cwd=ROOT, check=True, capture_output=True, text=True).stdout
    return tuple(sorted(Path(name) for name in listed.split("\0") if name and (ROOT / name).is_file()))


@pytest.fixture(scope="session")
def python_files(tracked: tuple[Path, ...]) -> tuple[Path, ...]:
    """List the Python files of the package and of the tests, relative to the root."""
    found = tuple(path for path in tracked if path.suffix == ".py" and path.parts[0] in ("search", "tests"))
    assert len(found) > 50, "most of the tree has gone missing"
    return found


@pytest.fixture(scope="session")
def trees(python_files: tuple[Path, ...]) -> dict[str, ast.Module]:
    """Parse those files, by their names relative to the root."""
    return {path.as_posix(): ast.parse((ROOT / path).read_text(encoding="utf-8")) for path in python_files}


@pytest.fixture(scope="session")
def modules(trees: dict[str, ast.Module]) -> dict[str, ast.Module]:
    """Give the package's modules by dotted name without `lampwright.`; the front door itself is ''."""
    package = "search/lampwright/"
    found = {}
    for name, tree in trees.items():
        if name.startswith(package):
            dotted = name.removeprefix(package).removesuffix(".py").replace("/", ".")
            found[dotted.removesuffix("__init__").removesuffix(".")] = tree
    return found
