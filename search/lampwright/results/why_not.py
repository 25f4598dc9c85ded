"""Why nothing was found, in the same way as a design is explained: rules with counts, and what comes nearest.

Counts are those of the funnel; what a lamp does is read off the operating point of a near miss.
Flux is relative to rated flux. No source: our format.
"""

from lampwright.results.explanation_facts import StateName
from lampwright.results.row import Ratio, Row, Whole
from lampwright.results.shortfall import Requirement


class RuledOut(Row, frozen=True, kw_only=True):
    """A rule, or a stage of the search, and how many circuits fell to it of those it met."""

    text: str
    rule: str
    removed: Whole
    entered: Whole


class Outcome(Row, frozen=True, kw_only=True):
    """What one lamp does in a near miss of this rank, where light within a band is asked, and why.

    high_flux: null where any light from `low_flux` on does.
    """

    text: str
    rank: Whole
    lamp: str
    state: StateName
    wanted: str
    flux: Ratio
    low_flux: Ratio
    high_flux: Ratio | None
    because: tuple[str, ...]


class WhyNot(Row, frozen=True, kw_only=True):
    """The answer, how the circuits fell, the requirements that conflict, and what near misses do instead."""

    text: str
    ruled_out: tuple[RuledOut, ...]
    conflict: str
    requirements: tuple[Requirement, ...]
    outcomes: tuple[Outcome, ...]
