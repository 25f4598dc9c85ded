"""The power a filament gets, what that makes of it, and why one takes more of a voltage than another.

Power is volts times amps and heats the filament; a hotter one resists more. Each reason is
said only where the numbers bear it out (`reasons_of`). No source: our words; the physics is
that of any text on lamps: Ohm's law, and tungsten's resistance, which rises with temperature.

Worked case: in series, 12.3 V at 76 ohm and 1.15 V at 7.1 ohm. Rated 79 and 18 ohm, so the first
is the weaker lamp; 76 / 7.1 is more than twice 79 / 18, for the first is hot and the second is not.
"""

from lampwright.report import si
from lampwright.report.explain.words import about, ohms, percent, size, times
from lampwright.report.glow import kelvins, unlit
from lampwright.results import explanation as row
from lampwright.results.explanation import FilamentFact, PartFact, Reason

APART = 1.1
"""Ratios from here on are worth a reason."""
LIKE = 0.005
"""Ratios this near to one are said to be of like lamps."""


def _rated_watts(fact: FilamentFact) -> float:
    """The power at the rated point [W]."""
    return fact.rated.volts * fact.rated.amps


def power(facts: tuple[FilamentFact, ...]) -> row.Power:
    """Say what power some filaments get."""
    gets = [f"{fact.ref} {_product(fact)}, {_share(fact)}" for fact in facts]
    return row.Power(text=f"Power: {'; '.join(gets)}.", filaments=facts)


def _product(fact: FilamentFact) -> str:
    """Write volts times amps, and the watts they make, which have a digit less and so come out right."""
    return f"{size(fact.volts, 'V', 3)} × {size(fact.amps, 'A', 3)} = {size(fact.watts, 'W', 2)}"


def _share(fact: FilamentFact) -> str:
    """Say which share of its rated power a filament gets."""
    share = fact.watts / _rated_watts(fact)
    if 0.995 <= share < 1.005:
        return "as rated"
    return f"{percent(share)} of its rated {si.watts(_rated_watts(fact))}"


def faint(part: PartFact, fact: FilamentFact | None) -> row.Faint:
    """Say that a filament gets too little power to give light, and how hot that makes it."""
    text = f"{part.ref} carries {si.amps(part.amps)}, and gives no useful light."
    if fact is not None:
        rated = f"{about(part.amps / fact.rated.amps)} of its rated {si.amps(fact.rated.amps)}"
        gets = f"but gets only {_product(fact)} of power, {_share(fact)}"
        text = f"{part.ref} carries {si.amps(part.amps)}, {rated}, {gets}. So it {unlit(fact.kelvin)}."
    return row.Faint(text=text, part=part, filament=fact)


def reasons_of(more: FilamentFact, less: FilamentFact) -> tuple[Reason, ...]:
    """Why the first takes more volts than the second: what of it the two operating points bear out."""
    if more.volts < APART * less.volts:
        return ()
    found: list[Reason] = []
    rated = more.rated.ohms / less.rated.ohms
    if rated >= APART and _rated_watts(more) < _rated_watts(less):
        found.append("weaker")
    if more.amps >= APART * less.amps:
        found.append("more current")
    hotter = more.kelvin > less.kelvin and more.watts > less.watts
    if hotter and more.ohms / less.ohms >= APART * rated:
        found.append("feedback")
    return tuple(found)


def compared(more: FilamentFact, less: FilamentFact) -> row.Compared | None:
    """Say why one filament takes more of a voltage than another; None where no reason holds."""
    reasons = reasons_of(more, less)
    if not reasons:
        return None
    said = []
    if "weaker" in reasons:
        said.append(_weaker(more, less, lone=reasons == ("weaker",)))
    if "more current" in reasons:
        currents = f"{si.amps(more.amps)} against {si.amps(less.amps)}"
        said.append(f"{more.ref} carries more current than {less.ref}, {currents}.")
    if "feedback" in reasons:
        said.append(_feedback(more, less, also=len(reasons) > 1))
    return row.Compared(text=" ".join(said), more=more, less=less, reasons=reasons)


def _weaker(more: FilamentFact, less: FilamentFact, lone: bool) -> str:
    """Say that the first is made for fewer watts."""
    watts = f"made for {si.watts(_rated_watts(more))} against {si.watts(_rated_watts(less))}"
    rated = f"{ohms(more.rated.ohms)} against {ohms(less.rated.ohms)}"
    so = "so it takes the larger share" if lone else "so the larger share falls to it"
    return f"{more.ref} is a weaker lamp than {less.ref}, {watts}: at rated voltage it has {rated}, {so}."


def _feedback(more: FilamentFact, less: FilamentFact, also: bool) -> str:
    """Say that the first, being hotter, resists more still, with the ratio here and as rated."""
    heat = f"{size(more.watts, 'W', 2)} against {size(less.watts, 'W', 2)}"
    hot = f"{kelvins(more.kelvin)} against {kelvins(less.kelvin)}"
    here, rated = more.ohms / less.ohms, more.rated.ohms / less.rated.ohms
    alike = f"at rated voltage both have {ohms(more.rated.ohms)}"
    by_rating = alike if abs(rated - 1.0) < LIKE else f"at rated voltage it would be {times(rated)}"
    ratio = f"{times(here)} that of {less.ref}, where {by_rating}"
    back = "This feeds back" if also else "The share feeds back"
    return (
        f"{back}: {more.ref} gets more power, {heat}, so it is hotter, {hot}; a hot filament resists more, "
        f"and so takes still more. Its resistance is {ratio}."
    )
