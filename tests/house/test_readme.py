"""The README's Python runs, and prints what the README says it prints.

A comment behind a `print`, or the comment lines right below it, is what it prints; a `print`
without one may print anything. Other comments are remarks.
"""

import ast
import contextlib
import io
import re
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
BLOCK = re.compile(r"^```python\n(.*?)^```$", re.MULTILINE | re.DOTALL)
BLOCKS = BLOCK.findall((ROOT / "README.md").read_text(encoding="utf-8"))


def promised(statement: ast.stmt, lines: list[str]) -> str | None:
    """What the comments at a `print` say it prints; None where nothing is said."""
    match statement:
        case ast.Expr(value=ast.Call(func=ast.Name(id="print"))):
            last = statement.end_lineno or 0
        case _:
            return None
    behind = lines[last - 1].encode()[statement.end_col_offset :].decode().strip()
    said = [behind] if behind else []
    for line in lines[last:]:
        if not line.startswith("#"):
            break
        said.append(line)
    return "\n".join(line.removeprefix("#").removeprefix(" ").rstrip() for line in said) if said else None


def run(block: str) -> list[str]:
    """Run a block in a namespace of its own; list where it prints something else than promised."""
    namespace: dict[str, Any] = {"__name__": "__main__"}
    wrong = []
    for statement in ast.parse(block).body:
        printed = io.StringIO()
        with contextlib.redirect_stdout(printed):
            exec(compile(ast.Module([statement], []), "README.md", "exec"), namespace)
        said = promised(statement, block.splitlines())
        given = "\n".join(line.rstrip() for line in printed.getvalue().rstrip().splitlines())
        if said is not None and said != given:
            wrong.append(f"{ast.unparse(statement)} prints\n{given}\nand not\n{said}")
    return wrong


@pytest.fixture
def _elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that has the specs as the root has them, so that what a block writes is not kept."""
    (tmp_path / "specs").symlink_to(ROOT / "specs", target_is_directory=True)
    monkeypatch.chdir(tmp_path)


def test_there_is_python_to_run() -> None:
    assert BLOCKS, "the README shows no Python"


@pytest.mark.usefixtures("_elsewhere")
@pytest.mark.parametrize("block", BLOCKS)
def test_a_block_of_the_readme_runs_and_prints_what_it_says(block: str) -> None:
    wrong = run(block)
    assert not wrong, "\n\n".join(wrong)


def test_how_comments_are_read() -> None:
    right = 'print("ä", 1)  # ä 1\nprint("a\\n  b")\n# a\n#   b\n\n# a remark\nx = 2  # another\nprint(x)\n'
    assert run(right) == []
    assert run('print("a")  # b\n') == ["print('a') prints\na\nand not\nb"]
    assert run('print("a")\n# a\n# b\n') == ["print('a') prints\na\nand not\na\nb"]
    with pytest.raises(NameError):
        run("print(x)\n")
