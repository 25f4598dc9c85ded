"""The command that opens the bench, and the sheet as JSON: which call each list of arguments becomes."""

import json
from pathlib import Path
from typing import Any

import pytest
from tests.cli.test_commands import PROCESSORS, run


@pytest.mark.parametrize(
    ("line", "arguments"),
    [
        ("bench", (None, Path("results"), 0, PROCESSORS, True)),
        (
            "bench tail.toml --out mine --port 8123 --workers 2 --no-browser",
            (Path("tail.toml"), Path("mine"), 8123, 2, False),
        ),
    ],
)
@pytest.mark.usefixtures("pipeline")
def test_the_bench_is_opened_as_asked(
    line: str, arguments: tuple[Any, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[Any, ...]] = []

    def opened(spec: Any, out: Path, port: int, workers: int, _tell: Any, *, browser: bool) -> None:
        asked.append((spec, out, port, workers, browser))

    monkeypatch.setattr("lampwright.workbench.serving.open_bench", opened)
    result = run(line)
    assert result.exit_code == 0, result.output
    assert asked == [arguments]
    assert result.output == "", "nothing is said before it serves"


@pytest.mark.usefixtures("pipeline")
def test_a_sheet_as_json_is_that_alone() -> None:
    assert json.loads(run("sheet tail.toml --json").stdout) == {"lines": [], "series": []}
    refused = run("sheet tail.toml --json --to a.html")
    assert refused.exit_code == 2
    assert "either --to or --json" in refused.stderr
