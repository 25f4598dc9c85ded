"""States that join the same things are one network: solved once, and asked all that is asked in any of them.

A flasher's dark half joins what is joined while it is off, so a spec with one has half as many networks as
states. Bands in one become the narrowest that lies in all, pairs and comparisons stay as they are; what meets
that meets each state by itself, and the least margin is the same. Which state refused is not told, so the
verdict on a design is given state by state (`all_corners`).

Worked case: in the state "off" a lamp may have at most 0.5 V, in the flasher's dark half it must have between
0 and 0.7 V: between 0 and 0.5 V.
"""

from typing import NamedTuple

import numpy as np

from lampwright.problem.demands import Demands, JudgingTables
from lampwright.solve.boundary import Boundary, Gates
from lampwright.solve.laws import Bytes, Ints


class DistinctStates(NamedTuple):
    """The states of one boundary, of those that join the same things the first.

    first: (distinct,) their numbers, rising. vertex_node: (distinct, columns). gates: of all states, by
    distinct state, each once. tables: what is asked in all states that a distinct one stands for.
    """

    first: Ints
    vertex_node: Bytes
    gates: Gates
    tables: JudgingTables


def distinct_states(boundary: Boundary, tables: JudgingTables) -> DistinctStates:
    """Put states together whose rows of the boundary are the same. tables: those of the problem."""
    number_of: dict[bytes, int] = {}
    number = np.array([number_of.setdefault(row.tobytes(), len(number_of)) for row in boundary.vertex_node])
    first = np.array([list(number).index(at) for at in range(len(number_of))], np.int64)
    return DistinctStates(
        first=first,
        vertex_node=np.ascontiguousarray(boundary.vertex_node[first]),
        gates=_gates_of(boundary.gates, number),
        tables=tables._replace(demands=_asked_together(tables.demands, number, len(first))),
    )


def _gates_of(gates: Gates, number: Ints) -> Gates:
    rows = np.stack([number[gates.state], gates.control, gates.beyond, gates.exact.astype(np.int64)], axis=1)
    state, control, beyond, exact = np.unique(rows, axis=0).T.copy()
    return Gates(state, control, beyond, exact.astype(np.int8))


def _asked_together(demands: Demands, number: Ints, distinct: int) -> Demands:
    """The demands by distinct state. number: (states,) the distinct one that stands for each."""
    groups = [np.flatnonzero(number == at) for at in range(distinct)]
    brighter = demands.brighter.copy()
    brighter[:, 1::2] = number[brighter[:, 1::2]]

    def narrowest(edge: np.ufunc, table: np.ndarray) -> np.ndarray:
        return np.stack([edge.reduce(table[:, group], axis=1) for group in groups], axis=1)

    return demands._replace(
        low_stops=narrowest(np.maximum, demands.low_stops),
        high_stops=narrowest(np.minimum, demands.high_stops),
        low_volts=narrowest(np.maximum, demands.low_volts),
        high_volts=narrowest(np.minimum, demands.high_volts),
        same_state=number[demands.same_state],
        brighter=brighter,
    )
