"""The blocks of code in the documents, and how each is run."""

import ast
import contextlib
import io
import json
import re
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from markdown_it import MarkdownIt

from lampwright.manual.pages import SOURCES
from lampwright.network.circuit_file import read_parts
from lampwright.spec.format import schema_text
from lampwright.spec.load import load_spec

ROOT = Path(__file__).parents[2]
DOCUMENTS = [ROOT / "README.md", *sorted(SOURCES.rglob("*.md"))]
LANGUAGES = {"sh", "powershell", "text", "toml", "python", "{toctree}"}


@dataclass(frozen=True)
class Block:
    """One block: where it stands, its language and its text."""

    place: str
    language: str
    text: str


@cache
def blocks_of(document: Path) -> tuple[Block, ...]:
    """List the blocks of a document."""
    name = document.relative_to(document.parents[0] if document.parent == ROOT else SOURCES).as_posix()
    reader = MarkdownIt("commonmark").enable("table")
    tokens = reader.parse(document.read_text(encoding="utf-8"))
    return tuple(
        Block(f"{name}:{(token.map or [0])[0] + 1}", token.info.strip(), token.content)
        for token in tokens
        if token.type in ("fence", "code_block")
    )


def file_of(block: Block) -> str:
    """Name the file that a block is to be saved as: its first line says so."""
    found = re.match(r"# (\w+\.\w+)\n", block.text)
    return found[1] if found else ""


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


def run_python(block: str, namespace: dict[str, Any]) -> list[str]:
    """Run a block; list where it prints something else than promised."""
    wrong = []
    for statement in ast.parse(block).body:
        printed = io.StringIO()
        with contextlib.redirect_stdout(printed):
            exec(compile(ast.Module([statement], []), "document", "exec"), namespace)
        said = promised(statement, block.splitlines())
        given = "\n".join(line.rstrip() for line in printed.getvalue().rstrip().splitlines())
        if said is not None and said != given:
            wrong.append(f"{ast.unparse(statement)} prints\n{given}\nand not\n{said}")
    return wrong


def missing(shown: str, printed: str) -> str:
    """Give the first line of a shown text that what was printed has not where it should; `...` skips some."""
    lines = [line.rstrip() for line in printed.splitlines()]
    skipping, at = False, 0
    for line in shown.rstrip().splitlines():
        if line == "...":
            skipping = True
            continue
        after = lines.index(line, at) if skipping and line in lines[at:] else at
        if after >= len(lines) or lines[after] != line.rstrip():
            return line
        skipping, at = False, after + 1
    return "" if skipping or not any(lines[at:]) else f"(then) {lines[at]}"


def check_toml(text: str, folder: Path) -> list[str]:
    """Read a block as a spec, a circuit, or a fragment of a spec; list what is wrong."""
    said = tomllib.loads(text)
    file = folder / "block.toml"
    file.write_text(text, encoding="utf-8")
    if "lampwright" in said:
        load_spec(file)
        return []
    if "part" in said:
        read_parts(file)
        return []
    return [error.message for error in fragment_checker().iter_errors(said)]


@cache
def fragment_checker() -> Draft202012Validator:
    """Make what holds a fragment against the schema of a spec: all that is there must be right."""

    def loosened(shape: Any, top: bool = True) -> Any:
        if isinstance(shape, list):
            return [loosened(one, top) for one in shape]
        if not isinstance(shape, dict):
            return shape
        left_out = ("required", "anyOf") if top and "properties" in shape else ()
        return {key: loosened(inner, top) for key, inner in shape.items() if key not in left_out}

    return Draft202012Validator(loosened(json.loads(schema_text())))
