"""A pipeline that does nothing but write down what it is asked, and answers as told."""

import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from lampwright.app.sheet_options import SheetFiles
from lampwright.app.worksheet_options import WorksheetFiles
from lampwright.results.atlas import Atlas, AtlasBoundRow
from lampwright.results.explanation import Explanation
from lampwright.results.fitting import FitPoint, LampFit
from lampwright.results.json_text import from_json
from lampwright.results.ranking import FORMAT, Catalogue, CheckReport, CountReport, Curves, Ranking

EXAMPLES = Path(__file__).parents[1] / "results" / "examples"
NAMES = (
    "search_to_disk",
    "check_files",
    "check_stored",
    "explain_file",
    "explain_stored",
    "explain_lone",
    "draw_lone",
    "draw_file",
    "draw_stored",
    "sheet_file",
    "sheet_stored",
    "worksheet_files",
    "sheet_rows",
    "count_spec",
    "list_parts",
    "part_curves",
    "fit_lamp",
    "atlas_to_disk",
    "new_spec",
    "schema_text",
    "write_docs",
)


LAMP_FIT = LampFit(
    name="bulb",
    volts=6.0,
    watts=1.8,
    watts_off=0.02,
    kelvin=2500.0,
    kelvin_off=200.0,
    kelvin_decided=False,
    filling="gas",
    filling_decided=True,
    conducted=0.3,
    conducted_off=0.01,
    conducted_decided=True,
    leads=0.1,
    leads_off=0.02,
    rms=0.4,
    other_rms=5.0,
    points=(FitPoint(volts=6.0, amps=0.3, fitted_amps=0.301, off=0.3),),
    remarks=("one remark",),
    entry="[types.bulb]\nvolts = 6\n",
)


ATLAS = Atlas(
    format=FORMAT,
    program="0.0.0",
    part_data="none",
    bound=AtlasBoundRow(
        feeds=1,
        lamps=1,
        joints=0,
        diodes=0,
        always_live=False,
        types=("P21W",),
        diode=None,
        low_volts=11.8,
        volts=13.5,
        high_volts=14.4,
        off_most=0.005,
        lit_least=0.25,
    ),
    complete=True,
    verdict="One lamp shows 2 of the 4 functions of 1 feed.",
    seconds=1.0,
    sizes=(),
    functions=(),
    behaviours=(),
    cautions=(),
)


def load(name: str) -> Ranking:
    """Read one example."""
    return from_json((EXAMPLES / f"{name}.json").read_text(encoding="utf-8"))


def check_report(meets: bool) -> CheckReport:
    """Make a check report of an example's design."""
    ranking = load("one")
    return CheckReport(
        format=FORMAT,
        program=ranking.program,
        part_data=ranking.part_data,
        spec=ranking.spec,
        meets=meets,
        failures=() if meets else ("side is dim", "brake is overloaded"),
        remarks=(),
        design=ranking.designs[0],
        cautions=ranking.cautions,
    )


@dataclass(frozen=True)
class Lone:
    """A circuit by itself: its explanation, and no picture of it."""

    told: Explanation

    def explanation(self) -> Explanation:
        return self.told

    def picture(self, width: int) -> str:
        return f"{width} wide\n"


@dataclass
class Fake:
    """The calls made, in order, and the answers to give; an answer that is an error is raised."""

    answers: dict[str, Any]
    calls: list[tuple[str, tuple[Any, ...]]] = field(default_factory=list)

    def function(self, name: str) -> Callable[..., Any]:
        """Make one function of the fake pipeline."""

        def call(*arguments: Any) -> Any:
            self.calls.append((name, arguments))
            answer = self.answers[name]
            if isinstance(answer, BaseException):
                raise answer
            return answer

        return call


@pytest.fixture
def pipeline(monkeypatch: pytest.MonkeyPatch) -> Fake:
    """Put the fake in the place of the pipeline's commands."""
    one = load("one")
    told = Explanation(
        spec=one.spec, subject="design 1 of 1", volts=13.5, remarks=(), principles=(), groups=()
    )
    fake = Fake(
        {
            "search_to_disk": one,
            "check_files": check_report(True),
            "check_stored": check_report(True),
            "explain_file": told,
            "explain_stored": told,
            "explain_lone": Lone(told),
            "draw_lone": None,
            "draw_file": None,
            "draw_stored": None,
            "sheet_file": SheetFiles((Path("sheet.html"),), "PDF: no library"),
            "sheet_stored": SheetFiles((Path("sheet.html"), Path("sheet.pdf")), ""),
            "worksheet_files": WorksheetFiles((Path("a.html"), Path("a-key.html")), ("PDF: no library",)),
            "sheet_rows": Catalogue(lines=(), series=()),
            "count_spec": CountReport(
                spec=one.spec, rows=(), total=12, choices=3, about_seconds=1.5, budget=1000
            ),
            "list_parts": Catalogue(lines=(), series=()),
            "part_curves": Curves(type="P21W", curves=()),
            "fit_lamp": LAMP_FIT,
            "atlas_to_disk": ATLAS,
            "new_spec": None,
            "schema_text": '{"type": "object"}\n',
            "write_docs": Path("index.html"),
        }
    )
    module = ModuleType("lampwright.app.commands")
    for name in NAMES:
        setattr(module, name, fake.function(name))
    module.is_circuit = lambda path: path.name == "lone.toml"  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "lampwright.app.commands", module)
    # nothing is computed, so nothing need be compiled
    for module_name in ("commands", "atlas", "explain", "worksheet"):
        monkeypatch.setattr(f"lampwright.cli.{module_name}.ready_kernels", lambda *_: None)
    return fake
