"""A narrower supply: how far its low end must rise, or its high end fall, for some circuit to pass.

Ends move by tenths of a volt towards the normal supply and stay a tenth away from it. A
circuit is judged at the low, normal and high supply alone, so a narrower one is taken to ask no more.
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from lampwright.diagnosis.suggest.attempt import Attempt, least
from lampwright.spec.revise import Revision, number, with_volts

TENTH = Decimal("0.1")


def tenths_up(low: float, end: float) -> tuple[float, ...]:
    """Every tenth above `low` and under `end`, rising.

    >>> tenths_up(11.85, 12.1)
    (11.9, 12.0)
    """
    first = int((Decimal(repr(low)) / TENTH).to_integral_value(ROUND_FLOOR)) + 1
    last = int((Decimal(repr(end)) / TENTH).to_integral_value(ROUND_CEILING)) - 1
    return tuple(float(at * TENTH) for at in range(first, last + 1))


def narrower_supply(attempt: Attempt) -> str:
    """One end of the supply moved; both where one does not do."""
    spec = attempt.spec
    low, normal, high = spec.supply.volts
    lows, highs = tenths_up(low, normal), tenths_up(normal, high)[::-1]

    def revise(ends: tuple[float, float]) -> Revision:
        return with_volts(spec, *ends)

    def say(ends: tuple[float, float]) -> str:
        now, then = (f"{number(a)} to {number(b)} V" for a, b in (ends, (low, high)))
        return f"keep the supply to {now} in place of {then}; outside it nothing is promised"

    is_raised = attempt.along([(volts, high) for volts in lows], revise, say)
    is_lowered = attempt.along([(low, volts) for volts in highs], revise, say)
    what = "the low end raised, the high end lowered"
    if not (is_raised or is_lowered) and lows and highs:
        what += ", both"
        raised = least(attempt.trier, [(volts, highs[-1]) for volts in lows], revise)
        attempt.trials.append(raised.trial)
        if raised.trial.passed:
            # both ends did not do with the low one a notch lower, so this low end stays
            attempt.along([(lows[raised.notch], volts) for volts in highs], revise, say)
    return f"{what}, by tenths of a volt"
