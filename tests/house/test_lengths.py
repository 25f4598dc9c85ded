"""Files of at most 500 lines, functions of at most 40 statements' worth of code.

A statement counts once however many lines its brackets take: a call that names every argument is as easy to
read.
"""

import ast
import io
import tokenize
from pathlib import Path

FILE_LINES = 500
FUNCTION_LINES = 40
SILENT = {
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENDMARKER,
}


def code_lines(text: str) -> set[int]:
    """Number the lines on which a logical line begins, one that holds more than blanks and comments."""
    lines: set[int] = set()
    first = 0
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type == tokenize.NEWLINE:
            lines.add(first)
            first = 0
        elif token.type not in SILENT:
            first = first or token.start[0]
    return lines


def docstring_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> set[int]:
    """Number the lines of a function's docstring and of those of what it holds."""
    lines: set[int] = set()
    for node in ast.walk(function):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef) and ast.get_docstring(
            node
        ):
            lines.update(range(node.body[0].lineno, (node.body[0].end_lineno or 0) + 1))
    return lines


def long_functions(text: str, most: int) -> list[str]:
    """List the functions with more than `most` lines of code, the signature among them."""
    long = [
        node
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (node.end_lineno or 0) - node.lineno >= most
    ]
    code = code_lines(text) if long else set[int]()
    found = []
    for node in long:
        own = code.intersection(range(node.lineno, (node.end_lineno or 0) + 1))
        length = len(own - docstring_lines(node))
        if length > most:
            found.append(f"{node.name}: {length}")
    return found


def test_files_are_short(root: Path, python_files: tuple[Path, ...]) -> None:
    lengths = {path: len((root / path).read_text(encoding="utf-8").splitlines()) for path in python_files}
    long = [f"{path}: {count}" for path, count in lengths.items() if count > FILE_LINES]
    assert not long, "\n".join(long)


def test_functions_are_short(root: Path, python_files: tuple[Path, ...]) -> None:
    long = [
        f"{path}: {found}"
        for path in python_files
        for found in long_functions((root / path).read_text(encoding="utf-8"), FUNCTION_LINES)
    ]
    assert not long, "\n".join(long)


def test_how_lines_are_counted() -> None:
    text = (
        'def f(\n    a: int,\n) -> str:\n    """Doc,\n    twice."""\n\n    # why\n    return """\n    x"""\n'
    )
    assert long_functions(text, 1) == ["f: 2"]
    assert long_functions(text, 2) == []
