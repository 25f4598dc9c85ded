"""The wattage of a resistor, chosen here and nowhere else: drawn, listed, bought and told of is this one.

Source: half load at most, `parts.series`.
"""

from collections.abc import Iterator

from lampwright.parts.series import preferred_values, wattage_for
from lampwright.problem.problem import Problem


def fitted_wattage(problem: Problem, ohms: float, heat: float) -> float:
    """The wattage [W] of a resistor [ohm] that gives off a heat [W] at worst; scalars.

    The least on offer that the heat loads by half at most, else the largest. With a parts box, on offer is
    what it holds or has a price for; where nothing of that bears the heat, what the spec would have fitted.
    """
    boxed = [watts for watts in _boxed(problem, ohms) if watts >= heat]
    return wattage_for(heat, boxed or problem.part_options.watts)


def _boxed(problem: Problem, ohms: float) -> Iterator[float]:
    stock, asked = problem.spec.stock, problem.spec.extras.resistors
    if stock is None or asked is None:
        return
    yield from (row.watts for row in stock.resistors if row.ohms == ohms and (row.have or row.price))
    if stock.resistor_price is not None and ohms in preferred_values(asked.series, *asked.ohms):
        yield from asked.watts
