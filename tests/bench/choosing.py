"""What a choice left open costs: one search of all its ways, over a search for each of its plain specs."""

from tests.bench.clock import core_seconds
from tests.bench.table import Row, Size
from tests.shipped import ROOT

from lampwright.app.answering import find_designs
from lampwright.problem.problem import prepare, way_problems
from lampwright.problem.reading import read_spec
from lampwright.progress.bar import quiet
from lampwright.searching.options import SearchOptions
from lampwright.spec.model import plain_specs

CHOOSING = ("handcart_tail_or_stop", "sea_cock_telltale")
MOST_RATIO = 1.1


def measure(size: Size) -> tuple[Row, ...]:
    """Seconds of one core, for the two kinds of choice: `[[either]]` and `[[code]]`."""
    tries = 1 if size is Size.TINY else 3
    return tuple(_row(name, tries) for name in (CHOOSING[:1] if size is Size.TINY else CHOOSING))


def _row(name: str, tries: int) -> Row:
    spec, options = read_spec(ROOT / "specs" / f"{name}.toml"), SearchOptions()
    problem, plain = prepare(spec), [prepare(one) for one in plain_specs(spec)]
    together = core_seconds(lambda: find_designs(problem, options, quiet()), tries)
    apart = core_seconds(lambda: [find_designs(one, options, quiet()) for one in plain], tries)
    ratio, searched = together / apart, len(way_problems(problem))
    said = f"{ratio:.2f}: {together:.2f} s, {searched} ways searched; {len(plain)} plain specs {apart:.2f} s"
    return Row(name, said, f"<= {MOST_RATIO}", ratio <= MOST_RATIO)
