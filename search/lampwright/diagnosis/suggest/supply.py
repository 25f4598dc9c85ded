"""A narrower supply: how far its low end must rise, or its high end fall, for some circuit to pass.

Ends move by tenths of a volt towards the normal supply and stay a tenth away from it. A
circuit is judged at the low, normal and high supply alone, so a narrower one is taken to ask no more.
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from lampwright.diagnosis.suggest.scale import Scale, along, least
from lampwright.diagnosis.suggest.trial import Trial, Trier
from lampwright.diagnosis.suggest.words import Attempt, Proposal, attempt
from lampwright.spec.model import Spec
from lampwright.spec.revise import number, with_volts

TENTH = Decimal("0.1")


def tenths_up(low: float, end: float) -> tuple[float, ...]:
    """Every tenth above `low` and under `end`, rising.

    >>> tenths_up(11.85, 12.1)
    (11.9, 12.0)
    """
    first = int((Decimal(repr(low)) / TENTH).to_integral_value(ROUND_FLOOR)) + 1
    last = int((Decimal(repr(end)) / TENTH).to_integral_value(ROUND_CEILING)) - 1
    return tuple(float(at * TENTH) for at in range(first, last + 1))


def narrower_supply(trier: Trier) -> Attempt:
    """One end of the supply moved; both where one does not do."""
    spec = trier.problem.spec
    low, normal, high = spec.supply.volts
    lows, highs = tenths_up(low, normal), tenths_up(normal, high)[::-1]
    trials: list[Trial] = []
    proposals: list[Proposal] = along(trier, _moved(spec, [(volts, high) for volts in lows]), trials)
    proposals += along(trier, _moved(spec, [(low, volts) for volts in highs]), trials)
    what = "the low end raised, the high end lowered"
    if not proposals and lows and highs:
        what += ", both"
        raised = least(trier, _moved(spec, [(volts, highs[-1]) for volts in lows]))
        trials.append(raised.trial)
        if raised.trial.passed:
            # both ends did not do with the low one a notch lower, so this low end stays
            least_low = lows[raised.notch]
            proposals += along(trier, _moved(spec, [(least_low, volts) for volts in highs]), trials)
    return attempt("narrower supply", f"{what}, by tenths of a volt", trials, proposals)


def _moved(spec: Spec, ends: list[tuple[float, float]]) -> Scale:
    low, _, high = spec.supply.volts

    def say(changed: Spec) -> str:
        new_low, _, new_high = changed.supply.volts
        now, then = (f"{number(a)} to {number(b)} V" for a, b in ((new_low, new_high), (low, high)))
        return f"keep the supply to {now} in place of {then}; outside it nothing is promised"

    return Scale(lambda at: with_volts(spec, *ends[at]), len(ends), say)
