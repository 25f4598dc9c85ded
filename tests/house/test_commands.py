"""Every command explains itself, is documented, and calls one function of `app`, or opens the page."""

import ast
from pathlib import Path

import click
import pytest

from lampwright.cli.commands import main

COMMANDS = sorted(main.commands)
DECIDES = "is_circuit"
"""Says which call it is to be, and is none itself."""


def calls_on_a_path(statements: list[ast.stmt], names: set[str]) -> int:
    """Count the calls of these names on the longest path through some statements."""
    total = 0
    for statement in statements:
        if isinstance(statement, ast.If):
            branches = (statement.body, statement.orelse)
            total += max(calls_on_a_path(branch, names) for branch in branches)
        else:
            called = (node.func for node in ast.walk(statement) if isinstance(node, ast.Call))
            total += sum(isinstance(one, ast.Name) and one.id in names for one in called)
    return total


@pytest.mark.parametrize("name", COMMANDS)
def test_has_help(name: str) -> None:
    command = main.commands[name]
    assert command.help, "no help"
    assert command.get_short_help_str(limit=80).endswith("."), "the line in the list is no sentence"
    options = (one for one in command.params if isinstance(one, click.Option))
    silent = [option.name for option in options if not option.help]
    assert not silent, f"options without help: {silent}"


@pytest.mark.parametrize("name", COMMANDS)
def test_is_documented(root: Path, name: str) -> None:
    """A person has written of it somewhere besides its help, which the reference is made of."""
    pages = (root / "search" / "lampwright" / "docs").rglob("*.md")
    documents = [path.read_text(encoding="utf-8") for path in (root / "README.md", *pages)]
    assert any(f"lampwright {name}" in document for document in documents)


def test_calls_one_pipeline_function(modules: dict[str, ast.Module]) -> None:
    functions = {
        node.name: node
        for name in ("cli.commands", "cli.atlas", "cli.explain", "cli.fit", "cli.worksheet")
        for node in modules[name].body
        if isinstance(node, ast.FunctionDef)
    }
    for name in COMMANDS:
        function = functions[name]
        taken = {
            alias.name
            for node in ast.walk(function)
            if isinstance(node, ast.ImportFrom)
            and node.module in ("lampwright.app.commands", "lampwright.workbench.serving")
            for alias in node.names
            if alias.name != DECIDES
        }
        assert calls_on_a_path(function.body, taken) == 1, f"{name} does more, or less, than translate"
