"""The top level, the README's two commands, CI, and the paths that the documents name."""

import os
import re
from pathlib import Path

TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "search", "specs", "tests", "results"}
ALSO = {"LICENSE"}
TEST_COMMAND = 'python3 -m venv .venv && .venv/bin/pip install -q -e ".[test]" && .venv/bin/pytest -n auto'
TOOLS = [".venv/bin/ruff check .", ".venv/bin/ruff format --check .", ".venv/bin/mypy"]
MAIN_COMMAND = (
    "python3 -m venv .venv && .venv/bin/pip install -q -e . "
    "&& .venv/bin/lampwright search specs/sidecar_side_lamp.toml"
)
NAMED = re.compile(r"`((?:\.?\w+/)+(?:[\w-]+(?:\.\w+)+|run)?)`")
"""A folder or a file in backticks, relative to the root or to the package."""
WRITTEN = re.compile(r"results/\w+/")
"""What a run writes, which is not kept."""
README_LINES = 120


def test_the_top_level_is_the_designs(tracked: tuple[Path, ...]) -> None:
    found = {path.parts[0] for path in tracked if not path.parts[0].startswith(".")}
    assert found - ALSO == TOP, "design.md names what stands at the top"


def test_the_readme_has_its_two_commands(root: Path) -> None:
    readme = (root / "README.md").read_text(encoding="utf-8").splitlines()
    printed = [line.strip() for line in readme if line.strip().startswith("python3 -m venv")]
    assert sorted(printed) == sorted((TEST_COMMAND, MAIN_COMMAND))
    assert (root / MAIN_COMMAND.split()[-1]).is_file()


def test_ci_runs_just_the_readmes_test_command(root: Path) -> None:
    lines = (root / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    code = [line for line in lines if line and not line.startswith("#")]
    assert code[-1] == TEST_COMMAND, "the last line of .ci/run, whose exit status is the run's"
    assert code[-4:-1] == TOOLS, "types, lint and format are a step of their own"
    assert not [line for line in code[:-1] if "pytest" in line]
    assert "set -euo pipefail" in code
    assert os.access(root / ".ci" / "run", os.X_OK)


def test_the_readme_is_short_and_has_both_commands_for_windows(root: Path) -> None:
    readme = (root / "README.md").read_text(encoding="utf-8").splitlines()
    assert len(readme) <= README_LINES, "what is more belongs in search/lampwright/docs"
    windows = [line.replace("\\", "/") for line in readme if line.startswith("py -m venv")]
    as_here = [
        line.replace("py -m", "python3 -m").replace("; ", " && ").replace(".venv/Scripts", ".venv/bin")
        for line in windows
    ]
    assert sorted(as_here) == sorted((TEST_COMMAND, MAIN_COMMAND))


def test_paths_in_documents_exist(root: Path, tracked: tuple[Path, ...]) -> None:
    homes = (root, root / "search" / "lampwright")
    documents = [path for path in tracked if path.suffix == ".md" and path.parts[0] != "tests"]
    assert len(documents) > 20
    for path in documents:
        named = NAMED.findall((root / path).read_text(encoding="utf-8"))
        missing = [
            one for one in named if not WRITTEN.match(one) and not any((h / one).exists() for h in homes)
        ]
        assert not missing, f"{path} names what is not there: {missing}"


def test_tests_mirror_the_package(tracked: tuple[Path, ...]) -> None:
    packages = {path.parts[2] for path in tracked if path.match("search/lampwright/*/__init__.py")}
    tested = {path.parts[1] for path in tracked if path.match("tests/*/test_*.py")}
    assert not packages - tested, "packages without a folder of tests"
    assert not tested - packages - {"house", "published", "bench", "fuzz"}, "tests that mirror no package"
