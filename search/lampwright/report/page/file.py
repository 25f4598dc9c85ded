"""The page of a run: one HTML file a person opens, reads, operates and prints.

Everything is in the file: style, script, drawings and readings; nothing is fetched. Text
goes in escaped, the readings as JSON that no parser of HTML takes for anything else, and
the page's own policy lets run the one script whose digest it names. The best designs are
drawn in full, as many as the size allows; the others are rows. The same ranking always
gives the same bytes, for no time stands in the page.

Source: HTML Living Standard; Content Security Policy Level 3 for the policy. The layout is ours.
"""

import base64
import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup
from msgspec.structs import replace

from lampwright.report import si
from lampwright.report.explain.controls import Controls
from lampwright.report.page.bench import bench_json, first_state
from lampwright.report.page.design import DesignView, design_view
from lampwright.report.page.front import front_html
from lampwright.report.page.shortfall import shortfall_view
from lampwright.report.page.stock import stock_view
from lampwright.report.page.views import bench_controls, listed_rows, ranked_rows, removals
from lampwright.report.topics.doubts import hinge_words
from lampwright.results.design import Design
from lampwright.results.ranking import Ranking

MOST_DRAWN = 20
MOST_ROWS = 300
ROOM = 1_500_000
"""Characters for the designs in full; the whole page stays below two mebibytes."""

TEMPLATES = ("page.html", "design.html", "search.html", "macros.html", "shortfall.html", "stock.html")


@dataclass(frozen=True)
class _Drawn:
    """One design in full: its row, with its faults or without, its view, and its sheet as HTML."""

    design: Design
    view: DesignView
    sheet: Markup

    def size(self, controls: Controls) -> int:
        """How many characters of the page it takes."""
        return len(self.sheet) + len(self.view.svg) + len(bench_json([self.design], controls))


def page_html(ranking: Ranking, controls: Controls, spec_text: str) -> str:
    """Write the page of a ranking; the controls are the spec's, the text is the spec as written."""
    script = _text("page.js")
    drawn = tuple(_drawn(ranking, controls))
    shown = [one.design for one in drawn]
    return _templates().get_template("page.html").render(
        ranking=ranking,
        controls=bench_controls(controls),
        drawn=drawn,
        rows=ranked_rows(ranking.designs[:MOST_ROWS], len(drawn)),
        more=len(ranking.designs) - MOST_ROWS,
        listed=listed_rows(ranking.search.part_counts),
        removals=removals(ranking.search.stages),
        lamps=[reading.lamp for reading in shown[0].states[0].lamps] if _is_live(shown) else [],
        bench=Markup(bench_json(shown, controls)) if _is_live(shown) else Markup(""),
        hinges=hinge_words(ranking.hinges) if ranking.hinges else (),
        front=front_html(ranking.front, ranking.designs, len(drawn)),
        shortfall=shortfall_view(ranking.shortfall, controls) if ranking.shortfall else None,
        stock=stock_view(ranking.stock),
        start=first_state(shown[0]) if _is_live(shown) else 0,
        spec_text=spec_text,
        style=Markup(_text("page.css")),
        script=Markup(script),
        digest=_digest(script),
    )  # fmt: skip


def _is_live(shown: Sequence[object]) -> bool:
    """Whether there is a design to operate."""
    return bool(shown)


def _drawn(ranking: Ranking, controls: Controls) -> Iterator[_Drawn]:
    """Draw the best designs in full while there is room; the first is always drawn.

    Where the faults of a design do not fit any more, it is drawn without them.
    """
    room = ROOM
    for design in ranking.designs[:MOST_DRAWN]:
        one = _sheet(design, controls)
        if one.size(controls) > room and design.trials:
            one = _sheet(replace(design, trials=()), controls)
        room -= one.size(controls)
        if room < 0 and design.rank > 1:
            return
        yield one


def _sheet(design: Design, controls: Controls) -> _Drawn:
    view = design_view(design, controls)
    return _Drawn(design, view, Markup(_templates().get_template("design.html").render(view=view)))


@cache
def _templates() -> Environment:
    """The templates, with every value escaped and no name left undefined."""
    made = Environment(
        loader=DictLoader({name: _text(name) for name in TEMPLATES}),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"stops": si.stops, "many": si.many, "ohms": si.ohms, "thousands": _thousands}
    return made


def _thousands(count: int) -> str:
    return f"{count:,}"


def _text(name: str) -> str:
    """Read a file of the page."""
    return (files("lampwright.report") / "page" / name).read_text(encoding="utf-8")


def _digest(script: str) -> str:
    """Name a script as a policy does."""
    return base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
