"""Every bench still works: each is run at its tiniest size by the command that measures; nothing is timed."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

BENCH = Path(__file__).parent
ROWS = {
    "solving": "2 nodes, with diodes",
    "hardest": "  current left over",
    "listing": "3T 1J 2F 1D 1R, path rule",
    "refuting": "without same net",
    "judging": "3T 1D 0R 1J, to solved",
    "ladder": "6F 0D 0R 1J",
    "treating": "one design, six filaments",
    "checking": "12 lamps, 0 resistors, side by side",
    "choosing": "handcart_tail_or_stop",
    "bounding": "  bound against listing",
    "compiling": "kernels",
    "flagship": "--help imports",
    "atlasing": "  from shell to page",
    "paging": "own circuit, eight parts",
    "stopping": "Stop while it lists",
}
SLOW = (
    "M/s",
    ">= 3,000x",
    ">= 15x",
    ">= 1.8x",
    "<= 1.1",
    "<= 10 s",
    "<= 25 s",
    "<= 30 s",
    "<= 60 s",
    "<= 0.02 s",
    "600 s, 1 GiB",
    "<= 1.5 s",
    "<= 1 s",
    " ms",
)
"""Targets that are a matter of time, and so none of a test's."""


def run(*arguments: str) -> str:
    command = (sys.executable, str(BENCH), *arguments)
    done = subprocess.run(command, cwd=BENCH.parents[1], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Run all of them, and give the page that was saved."""
    file = tmp_path_factory.mktemp("bench") / "measured.md"
    shown = run("--tiny", "--save", str(file))
    assert max(map(len, shown.splitlines())) <= 80
    return file.read_text(encoding="utf-8")


@pytest.mark.nightly
@pytest.mark.parametrize("name", ROWS)
def test_bench_measures(page: str, name: str) -> None:
    sections = dict(re.findall(r"^## (\w+)\n(.*?)(?=^## |\Z)", page, re.MULTILINE | re.DOTALL))
    assert f"| {ROWS[name]} |" in sections[name], "its last row but some is missing"


@pytest.mark.nightly
def test_what_is_no_matter_of_time_is_met(page: str) -> None:
    rows = [line for line in page.splitlines() if line.endswith("| NO |")]
    missed = [line for line in rows if not any(target in line for target in SLOW)]
    assert not missed, "\n".join(missed)


def test_saving_one_bench_keeps_the_others(tmp_path: Path) -> None:
    file = tmp_path / "measured.md"
    file.write_text("# Measured\n\n## ladder\n\nas it was\n\n## listing\n\nold\n", encoding="utf-8")
    run("--tiny", "--only", "listing", "--save", str(file))
    text = file.read_text(encoding="utf-8")
    assert "## ladder\n\nas it was\n" in text
    assert "old" not in text
