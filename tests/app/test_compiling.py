"""Kernels are compiled ahead by two processes, all of them, once."""

import ast
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.shipped import NAMES, NONE, ROOT

from lampwright import kernels
from lampwright.app.compiling import compile_here, compile_kernels
from lampwright.kernels import PLAIN, VARIABLE, Kernels, kernel_sources, kernels_to_come
from lampwright.progress.bar import Progress

PROGRAM = (sys.executable, "-c", "from lampwright.cli import main; main()")


class Told:
    """A progress that writes down what it is told."""

    def __init__(self) -> None:
        self.stages: list[tuple[str, int | None]] = []
        self.done = 0

    def stage(self, name: str, total: int | None) -> None:
        self.stages.append((name, total))

    def say(self, text: str) -> None:
        del text

    def advance(self, n: int) -> None:
        self.done += n

    def close(self) -> None:
        """Nothing is open."""


@pytest.mark.nightly  # compiles all there is
def test_every_kernel_is_compiled(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, str(tmp_path))
    kernels, told = kernels_to_come(), Told()
    assert kernels is not None
    compile_kernels(kernels, told)
    made = {path.name.partition("-")[0] for path in tmp_path.glob("**/*.nbi")}
    wanted = {
        f"{path.stem}.{node.name}"
        for path in kernel_sources()
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef)
        and any("njit" in ast.unparse(one) for one in node.decorator_list)
    }
    assert sorted(wanted - made) == []
    assert told.done == kernels.count == len(wanted)
    assert kernels_to_come() is None
    kept = set(tmp_path.glob("**/*.nbc"))
    for name in NAMES:
        spec, out = str(ROOT / "specs" / f"{name}.toml"), str(tmp_path / "out")
        subprocess.run((*PROGRAM, "search", spec, "--out", out), check=name not in NONE, capture_output=True)
        assert set(tmp_path.glob("**/*.nbc")) == kept, f"{name} had something to compile"


def test_no_kernels_are_to_come_where_they_are_kept_or_not_wanted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(VARIABLE, str(tmp_path))
    monkeypatch.delenv(PLAIN, raising=False)
    to_come, digest = kernels_to_come(), kernels.source_digest()
    assert to_come is not None
    assert to_come.count > 50
    monkeypatch.setenv(PLAIN, "1")
    assert kernels_to_come() is None
    monkeypatch.delenv(PLAIN)
    to_come.note_all_kept()
    assert kernels_to_come() is None
    with monkeypatch.context() as other:
        other.setattr(kernels, "__file__", str(tmp_path / "lampwright" / "kernels.py"))
        other.setattr(kernels, "source_digest", lambda: digest)
        assert kernels_to_come() is not None, "numba keeps those of another copy of the program apart"
    monkeypatch.delenv(VARIABLE)
    assert kernels_to_come() is None


@pytest.mark.parametrize("compiling", [compile_kernels, compile_here])
def test_it_compiles_and_tells(
    compiling: Callable[[Kernels, Progress], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    # where this run's kernels are kept already: they are found, and all is done in a moment
    kernels, told = Kernels(Path(os.environ[VARIABLE])), Told()
    noted: list[bool] = []
    monkeypatch.setattr(Kernels, "note_all_kept", lambda _: noted.append(True))
    compiling(kernels, told)
    assert told.stages == [("compiling the solver, once", kernels.count)]
    assert told.done == min(kernels.kept(), kernels.count)
    assert noted == [True]


def test_two_copies_of_the_program_keep_the_same_kernels(tmp_path: Path) -> None:
    for copy, name in (
        ("a", "laws.law-1.py311.nbi"),
        ("b", "laws.law-1.py311.nbi"),
        ("b", "laws.slope-9.py311.nbi"),
    ):
        (tmp_path / copy).mkdir(exist_ok=True)
        (tmp_path / copy / name).touch()
    assert Kernels(tmp_path).kept() == 2
