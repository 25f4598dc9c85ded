"""What is said of filaments held against one state: power, rated point, temperature, and each because.

Temperature is held against the fits of tungsten's resistivity by Desai et al. 1984 (S30), which the
program does not use; both agree with the table it uses within 3.8 % (S29, S30).
"""

import numpy as np
from numpy.polynomial import Polynomial
from tests.report.test_explain.world import TRICKLE, World, near

from lampwright.parts.catalogue import lamp_types
from lampwright.parts.filament import Filament
from lampwright.results import explanation as row
from lampwright.results.explanation import FilamentFact, PartFact

DESAI_LOW = Polynomial([-1.06871, 2.06884e-2, 1.27971e-6, 8.53101e-9, -5.14195e-12])  # 90-750 K, S30
DESAI_HIGH = Polynomial([-1.72573, 2.1435e-2, 5.74811e-6, -1.13698e-9, 1.1167e-13])  # 700-3600 K, S30
SPREAD = 0.08
"""Twice the 3.8 % between the data sets: a ratio of two resistances holds it twice."""
DRAPER = 798.0
"""The Draper point [K], at which a body begins to glow visibly (S45)."""


def desai(kelvin: float) -> float:
    """Resistivity [microohm cm]."""
    return float(np.where(kelvin < 700.0, DESAI_LOW(kelvin), DESAI_HIGH(kelvin)))


def check_fact(fact: PartFact, at: World) -> None:
    assert near(fact.volts, abs(at.drop(fact.ref))), f"{fact}: volts"
    assert near(fact.amps, abs(at.current(fact.ref))), f"{fact}: amps"
    assert near(fact.ohms * fact.amps, fact.volts), f"{fact}: ohms"
    assert fact.amps >= TRICKLE, f"{fact}: no current"


def filaments_called(name: str) -> list[Filament]:
    """The filaments of a type as a spec names it, for whatever volts where it names none."""
    model, _, volts = name.partition("@")
    kinds = [one for one in lamp_types() if one.name == model and volts in ("", f"{one.system:g}")]
    return [filament for kind in kinds for filament in kind.filaments]


def check_rated(fact: PartFact, at: World) -> None:
    """The rated point is the catalogue's, for the type that is fitted."""
    part = at.part(fact.ref)
    assert any(
        near(fact.volts, one.test_volts) and near(fact.volts * fact.amps, one.watts, 1e-6 * one.watts)
        for one in filaments_called(part.type or "")
    ), f"{fact}: {part.type} is rated otherwise"
    assert near(fact.ohms * fact.amps, fact.volts), f"{fact}: ohms"


def check_filament(fact: FilamentFact, at: World) -> None:
    check_fact(PartFact(ref=fact.ref, volts=fact.volts, amps=fact.amps, ohms=fact.ohms), at)
    check_rated(fact.rated, at)
    drop, current = abs(at.drop(fact.ref)), abs(at.current(fact.ref))
    assert near(fact.watts, drop * current), f"{fact}: watts"
    assert fact.kelvin == at.reading(fact.ref).kelvin, f"{fact}: kelvin"


def check_kelvin(fact: FilamentFact, rated_kelvin: float) -> None:
    """The temperature of a row is the one at which tungsten has the resistance of the operating point."""
    ratio = fact.volts / fact.amps / (fact.rated.volts / fact.rated.amps)
    assert abs(desai(fact.kelvin) / desai(rated_kelvin) / ratio - 1.0) < SPREAD, f"{fact}: kelvin"


def check_faint(said: row.Faint, at: World) -> None:
    check_fact(said.part, at)
    assert at.level(said.part.ref) == "off", f"{said.part.ref} gives light"
    if said.filament is None:
        return
    check_filament(said.filament, at)
    kelvin = at.reading(said.part.ref).kelvin or 0
    assert ("stays" in said.text) == (kelvin < DRAPER), f"{said.text} It glows."
    assert ("thread" in said.text) == (kelvin >= DRAPER), f"{said.text} It does not glow."
    assert ("cold" in said.text) == (kelvin < 320), f"{said.text} Cold is as warm as its surroundings."
    assert said.filament.watts < said.filament.rated.volts * said.filament.rated.amps, f"{said.text} Only?"


def check_power(said: row.Power, at: World) -> None:
    assert said.filaments, "of none"
    for fact in said.filaments:
        check_filament(fact, at)
        assert at.level(fact.ref) != "off", f"{fact.ref} gives no light"


def check_compared(said: row.Compared, at: World) -> None:
    """Every because holds at the operating point: the figures that make it one are read there."""
    check_filament(said.more, at)
    check_filament(said.less, at)
    one, other = said.more.ref, said.less.ref
    drops = [abs(at.drop(ref)) for ref in (one, other)]
    currents = [abs(at.current(ref)) for ref in (one, other)]
    kelvins = [at.reading(ref).kelvin or 0 for ref in (one, other)]
    rated = [at.part(ref).hot_ohms or 0.0 for ref in (one, other)]
    watts = [
        (at.part(ref).test_volts or 0.0) ** 2 / ohms for ref, ohms in zip((one, other), rated, strict=True)
    ]
    assert drops[0] > drops[1], f"{said.text} But {one} takes less."
    assert said.reasons, "no reason"
    if "weaker" in said.reasons:
        assert watts[0] < watts[1], f"{said.text} But it is no weaker lamp."
        assert rated[0] > rated[1], f"{said.text} But it resists no more."
    if "more current" in said.reasons:
        assert currents[0] > currents[1], f"{said.text} But it carries less."
    if "feedback" in said.reasons:
        assert kelvins[0] > kelvins[1], f"{said.text} But it is no hotter."
        assert drops[0] * currents[0] > drops[1] * currents[1], f"{said.text} But it gets no more power."
        here = drops[0] / currents[0] / (drops[1] / currents[1])
        assert here > rated[0] / rated[1], f"{said.text} But heat has not widened the ratio."
