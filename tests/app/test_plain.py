"""Kernels as plain Python, for a debugger: `NUMBA_DISABLE_JIT=1` gives the same answers."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from tests.shipped import ROOT, shipped

import lampwright
from lampwright.results.json_text import from_json, to_json
from lampwright.results.ranking import Ranking


# of the second more live nets are remembered, and it is diagnosed
@pytest.mark.parametrize("name", ["one_filament_stop_tail", "no_such_circuit"])
def test_plain_kernels_find_the_same(name: str, tmp_path: Path) -> None:
    plain = {"NUMBA_DISABLE_JIT": "1", "PYTHONPATH": str(Path(lampwright.__file__).parents[1])}
    program = [sys.executable, "-c", "from lampwright.cli import main; main()"]
    run = subprocess.run(
        [*program, "search", str(ROOT / "specs" / f"{name}.toml"), "--json", "--out", str(tmp_path)],
        capture_output=True,
        text=True,
        env=os.environ | plain,
        check=False,
    )
    assert run.stdout, run.stderr
    assert "Warning" not in run.stderr, run.stderr
    found, wanted = from_json(run.stdout), from_json(to_json(shipped(name)))
    assert isinstance(found, Ranking)
    assert isinstance(wanted, Ranking)
    assert found.verdict == wanted.verdict
    assert found.search.part_counts == wanted.search.part_counts
    assert found.designs == wanted.designs
