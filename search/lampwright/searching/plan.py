"""What a search will do before it does it: its cells by number of extra parts, and their counts.

Cells whose wires would join the supply to ground in some state are left out: no design
may do that. What remains is counted without listing.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from lampwright.errors import Finding, InputError
from lampwright.graphs.cell import Cell, CellError
from lampwright.graphs.options import images
from lampwright.graphs.orbits import count_orbits
from lampwright.judge.judge import Judge
from lampwright.network.layout import Placing, partitions, placings
from lampwright.problem.problem import choices_of
from lampwright.spec.model import Spec

MOST_CHOICES = 1_000_000
MOST_NODES = 7


@dataclass(frozen=True)
class Step:
    """All cells with one number of extra parts, and how many circuits each has, counted without listing."""

    extra_parts: int
    orbits: Mapping[Placing, int]

    @property
    def circuits(self) -> int:
        """How many circuits the step lists."""
        return sum(self.orbits.values())


def plan_steps(judge: Judge, most_extra: int | None) -> tuple[Step, ...]:
    """The steps of a search, fewest extra parts first. Raises InputError for too many nodes or placings."""
    spec, layout = judge.problem.spec, judge.problem.layout
    _check_nodes(spec, len(layout.terminals))
    diodes_allowed, resistors_allowed = spec.extras.diodes, spec.extras.resistors
    most_diodes = diodes_allowed.most if diodes_allowed else 0
    most_resistors = resistors_allowed.most if resistors_allowed else 0
    most = most_diodes + most_resistors
    sound = tuple(p for p in partitions(layout, spec.bounds.wires) if judge.boundary(p, 0) is not None)
    counted: dict[Cell, int] = {}
    steps = []
    for extra in range(min(most, most if most_extra is None else most_extra) + 1):
        cells = tuple(
            placing
            for diodes in range(max(0, extra - most_resistors), min(extra, most_diodes) + 1)
            for placing in placings(layout, sound, spec.bounds.joints, diodes, extra - diodes)
        )
        for placing in cells:
            if placing.cell not in counted:
                _check_listable(spec, placing.cell)
                counted[placing.cell] = count_orbits(placing.cell)
        steps.append(Step(extra, {placing: counted[placing.cell] for placing in cells}))
    return tuple(steps)


def _check_nodes(spec: Spec, terminals: int) -> None:
    """Refuse a search whose listing could not be checked against a count."""
    nodes = terminals + spec.bounds.joints
    if nodes > MOST_NODES:
        said = (
            f"{terminals} terminals and {spec.bounds.joints} joints are {nodes} nodes,"
            " more than a listing can be checked for"
        )
        remedy = f"keep to {MOST_NODES}: fewer joints or controls"
        raise InputError([Finding(f"{spec.name}.toml: search", said, remedy)])


def _check_listable(spec: Spec, cell: Cell) -> None:
    """Refuse a search of which some circuits could not be listed."""
    try:
        images(cell)
    except CellError as error:
        remedy = "allow fewer joints, diodes, resistors or helper lamps"
        raise InputError([Finding(f"{spec.name}.toml: search", str(error), remedy)]) from None


def most_choices(judge: Judge, steps: tuple[Step, ...]) -> int:
    """The most choices of types and values that one circuit of the search has."""
    kinds = {(p.cell.arcs, p.cell.links) for step in steps for p in step.orbits}
    options, lamps = judge.problem.part_options, choices_of(judge.problem, 0, 0)
    extras = (len(options.diode_types) ** diodes * len(options.ohms) ** values for diodes, values in kinds)
    return max((lamps * own for own in extras), default=0)


def check_budget(file: str, steps: tuple[Step, ...], choices: int, budget: int, ways: int = 1) -> None:
    """Refuse a search larger than the budget. Raises InputError, saying what to reduce.

    steps: of all ways in which the spec can be taken.
    """
    circuits = sum(step.circuits for step in steps)
    if circuits > budget:
        over = f" over all {ways} ways" if ways > 1 else ""
        said = f"there are {circuits:,} circuits{over}, more than the budget of {budget:,}"
        remedy = (
            "allow fewer joints, wires, diodes or resistors in the spec, or fewer with --extra-parts,"
            f" or allow it with --budget {circuits}"
        )
        raise InputError([Finding(f"{file}: search", said, remedy)])
    if choices > MOST_CHOICES:
        said = f"one circuit would have {choices:,} choices of types and values, more than {MOST_CHOICES:,}"
        remedy = "name fewer types under `choose`, a narrower range or a coarser series of resistors"
        raise InputError([Finding(f"{file}: lamps", said, remedy)])
