"""What the tests of pages share: fresh results, a page open in a browser, and how to work and read it."""

import json
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from tests.once import once
from tests.shipped import shipped

from lampwright.app.answering import search_problem
from lampwright.app.render import ranking_page
from lampwright.problem.problem import prepare
from lampwright.problem.reading import read_spec
from lampwright.progress.bar import quiet
from lampwright.results.json_text import to_json
from lampwright.results.ranking import Ranking
from lampwright.searching.options import SearchOptions
from lampwright.spec.model import Spec

OWN = Path(__file__).parent
ROOT = OWN.parents[2]
SHIPPED = (
    "one_filament_stop_tail",
    "recovery_alternating_pair",
    "sidecar_side_lamp",
    "trailer_feed_telltale",
)
INVENTED = ("long_names", "reversing", "selector_dims", "three_flashers", "two_flashers", "two_fuses")
FOUND = (*SHIPPED, *INVENTED)
NONE = "no_such_circuit"
FEW = {"sidecar_side_lamp": 0, "one_filament_stop_tail": 1}
"""Most extra parts, where the whole search would take long."""

SEEN = """() => {
  const sheet = [...document.querySelectorAll(".sheet")].find((one) => !one.hidden);
  const text = (element, selector) => element.querySelector(selector).textContent;
  const of = (element, pseudo) => getComputedStyle(element, pseudo);
  const each = (within, selector, say) => [...within.querySelectorAll(selector)].map(say);
  const glow = (ref) => sheet.querySelector(`.part[data-ref="${ref}"] .glow`).getAttribute("opacity");
  return {
    lamps: Object.fromEntries(each(document, ".lamps tbody tr", (row) => [row.dataset.lamp, {
      does: text(row, ".word"), asked: text(row, ".asked"),
      volts: text(row, ".volts"), amps: text(row, ".amps"),
      bulb: Number(of(row.querySelector(".bulb"), "::before").opacity), glow: Number(glow(row.dataset.lamp)),
    }])),
    parts: Object.fromEntries(each(sheet, ".part", (part) => [part.dataset.ref, {
      shown: of(part.querySelector(".arrow")).display !== "none",
      back: part.querySelector(".arrow").classList.contains("reversed"), amps: text(part, ".amps"),
    }])),
    closed: [...sheet.querySelectorAll(".feed")].filter((feed) => {
      const blade = feed.querySelector('.blade.closed[data-to="30"]');
      return blade && of(blade).display !== "none";
    }).map((feed) => feed.dataset.node),
    rows: each(sheet, ".states tr.current", (row) => ({
      marked: of(row.querySelector(".now")).visibility === "visible",
      cells: each(row, "td.lamp", (cell) => cell.textContent),
    })),
    said: text(document, ".said"), phase: document.querySelector(".pulse .phase")?.textContent ?? "",
  };
}"""


@dataclass(frozen=True)
class Run:
    """A spec, its ranking, the ranking as JSON, and the page."""

    spec: Spec
    ranking: Ranking
    told: Any
    html: str


def home_of(name: str) -> Path:
    """The file of a spec."""
    return (OWN / "specs" if name in INVENTED else ROOT / "specs") / f"{name}.toml"


def ranking_of(name: str) -> Ranking:
    """Search a spec afresh, once for all tests of a run."""
    few = FEW.get(name)
    if few is None and name not in INVENTED:
        return shipped(name)
    options = SearchOptions(extra_parts=few)
    return once(f"page-{name}", lambda: search_problem(prepare(read_spec(home_of(name))), options, quiet()))


@cache
def run_of(name: str) -> Run:
    """Search a spec afresh, and write its page."""
    spec, ranking = read_spec(home_of(name)), ranking_of(name)
    return Run(spec, ranking, json.loads(to_json(ranking)), ranking_page(ranking, spec))


@dataclass(frozen=True)
class Opened:
    """A page open in the browser, and what it asked for and complained of."""

    page: Any
    requests: list[str]
    complaints: list[str]

    def put(self, control: str, position: str) -> None:
        """Put a control into a position, as a mouse does."""
        group = self.page.get_by_role("group", name=re.compile(f"^{re.escape(control)} "))
        group.get_by_role("radio", name=position, exact=True).check()

    def choose_fault(self, name: str) -> None:
        """Choose a fault by its name; "no fault" mends it."""
        self.page.get_by_label("Fault", exact=True).select_option(label=name)

    def press(self, name: str) -> None:
        """Press a button."""
        self.page.get_by_role("button", name=name, exact=True).click()

    def seen(self) -> Any:
        """Read what the page shows."""
        return self.page.evaluate(SEEN)


def quantity(text: str) -> float:
    """Read `13.4 V`, `80 mV`, `0.17 A`."""
    number, unit = text.replace("\u00a0", " ").split()
    return float(number) * {"V": 1.0, "mV": 1e-3, "A": 1.0, "mA": 1e-3, "µV": 1e-6, "µA": 1e-6}[unit]
