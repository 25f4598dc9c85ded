"""Rules of volts and amps: each satisfiable, violated (and not without the rule), not too strong.

Outside values: a 12 V 21 W lamp takes 25 W at 13.5 V, 1.85 A (UN R37, P21W: objective values);
half its volts give a few hundredths of its light (IES exponent 3.4 to 3.6, MEMORY: 0.5^3.5 = 0.09).
"""

from ortools.sat.python import cp_model
from tests.prove.formulations import formulations, passes, placed, study_of

from lampwright.parts.catalogue import lamp_type
from lampwright.parts.filament import relative_flux_of
from lampwright.prove.current_rules import balance, diode_curves, lamp_curves
from lampwright.prove.formulation import AMP, VOLT, ModelRule
from lampwright.prove.level_rules import bands, matching, ranked, rising
from lampwright.prove.order_rules import descending, glowing, ordered
from lampwright.prove.solver import Answer, new_solver, solve
from lampwright.prove.stages import VALUES

A_ALONE, BOTH = 'a = "on", b = "off"', 'a = "on", b = "on"'
FEEDS = ("A", "B")
BY_ORDER: tuple[ModelRule, ...] = (ordered, glowing, descending)
EVERY: tuple[ModelRule, ...] = (*BY_ORDER, *VALUES)


def without(rule: ModelRule) -> list[ModelRule]:
    return [one for one in EVERY if one != rule]


def test_potentials() -> None:
    problem = study_of([('a = "on"', 'a = "lit"')], joints=2)
    (formulation,) = formulations(problem, [])
    ranked.build(formulation)
    n, m = formulation.scenes[0].free
    first, second = formulation.potential(0, n), formulation.potential(0, m)
    assert isinstance(first, cp_model.IntVar)
    assert isinstance(second, cp_model.IntVar)
    for above, at, to, said in ((True, 5, 4, True), (True, 4, 4, True), (True, 4, 5, False)):
        again = formulation.model.clone()
        again.add_bool_and([formulation.above(0, n, m)])
        again.add_bool_and([~formulation.above(0, m, n)])
        again.add(first == at)
        again.add(second == to)
        assert (solve(new_solver(9.0), again) is Answer.BEST) is said, f"{above}: {at} over {to}"


def test_bands() -> None:
    pair = ("a", "b")
    series = placed([(0, 2), (2, 1)], 2)
    rules = [*BY_ORDER, ranked, bands]
    both_lit = study_of([('a = "on"', 'a = "lit", b = "lit"')], pair)
    assert not passes(both_lit, series, rules), "two lit lamps in series want more volts than there are"
    assert passes(both_lit, series, rules[:-1]), "which this rule alone says"
    assert passes(both_lit, placed([(0, 1), (0, 1)], 2), rules), "side by side they have them"
    uneven = study_of([('a = "on"', 'a = "lit", b = "off"')], pair)
    assert passes(uneven, series, rules), "volts alone may split in any way"


def test_rising() -> None:
    pair = ("a", "b")
    falls = study_of([(A_ALONE, 'a = "lit"'), (BOTH, 'a = "off"')], pair, FEEDS)
    rules = [*BY_ORDER, ranked, bands, rising]
    assert not passes(falls, placed([(3, 2), (0, 3)], 3), rules), "the joint cannot fall"
    assert passes(falls, placed([(3, 2), (0, 3)], 3), rules[:-1]), "which this rule alone says"
    rises = study_of([(A_ALONE, 'a = "off"'), (BOTH, 'a = "lit"')], pair, FEEDS)
    assert passes(rises, placed([(3, 2), (0, 3)], 3), rules), "it may rise"


def test_matching() -> None:
    same = '[[same]]\nlamps = ["a", "b"]\nwhen = { a = "on" }\nwithin = 0.1\n'
    rules = [*BY_ORDER, ranked, bands, matching]
    circuit = placed([(0, 1), (0, 2), (2, 1)], 2)
    lamps = ("a", "b", "c")
    apart = study_of([('a = "on"', 'a = "lit", b = "off"')], lamps, more=same)
    assert not passes(apart, circuit, rules), "one lit and one off do not match"
    assert passes(apart, circuit, rules[:-1]), "which this rule alone says"
    alike = study_of([('a = "on"', 'a = "lit", b = "lit"')], lamps, more=same)
    assert passes(alike, placed([(0, 1), (0, 1), (0, 1)], 2), rules), "two across the supply match"
    dark = study_of([('a = "on"', 'a = "off", b = "off"')], lamps, joints=2, more=same)
    assert passes(dark, placed([(0, 2), (0, 3), (2, 3)], 2), rules), "two that are off match"


def test_matching_asks_nothing_of_lamps_that_are_off() -> None:
    same = '[[same]]\nlamps = ["a", "b"]\nwhen = { a = "on", b = "on" }\nwithin = 0.1\n'
    lamps = ("a", "b", "c", "d", "e")
    problem = study_of([(BOTH, 'a = "off", b = "off"')], lamps, FEEDS, joints=3, more=same)
    # four in series have a quarter of the supply each, and b lies between two live feeds
    circuit = placed([(0, 3), (0, 1), (3, 4), (4, 5), (5, 2)], 3)
    assert passes(problem, circuit, EVERY), "3.6 V gives a lamp more light than none, and less than counts"


def test_lamp_curves() -> None:
    pair = ("a", "b")
    series = placed([(0, 2), (2, 1)], 2)
    uneven = study_of([('a = "on"', 'a = "lit", b = "off"')], pair)
    assert not passes(uneven, series, EVERY), "two equal lamps in series share their volts"
    assert passes(uneven, series, without(lamp_curves)), "which this rule alone says"
    even = study_of([('a = "on"', 'a = "dim", b = "dim"')], pair)
    assert passes(even, series, EVERY), "both at half their volts"


def test_lamp_curves_meet_the_rated_current() -> None:
    problem = study_of([('a = "on"', 'a = "lit"')])
    (formulation,) = formulations(problem, [*BY_ORDER], supplies=(13.5,))
    for rule in (ranked, lamp_curves):
        rule.build(formulation)
    amps = formulation.branch(0, 0).amps
    for sense in (formulation.model.minimize, formulation.model.maximize):
        sense(amps)
        solver = new_solver(9.0)
        again = formulation.model.clone()
        again.add_bool_and(list(next(formulation.placement.fixed(placed([(0, 1)], 2)))))
        assert solve(solver, again) is Answer.BEST
        # 25 W / 13.5 V; one step of the curve is 1/32 of the supply, some 2 % of the current
        assert abs(solver.value(amps) * AMP - 25.0 / 13.5) < 0.03 * 25.0 / 13.5, "UN R37's watts"


def test_balance() -> None:
    pair = ("a", "b")
    series = placed([(0, 2), (2, 1)], 2)
    uneven = study_of([('a = "on"', 'a = "lit", b = "off"')], pair)
    assert passes(uneven, series, without(balance)), "without the rule currents need not agree"
    assert not passes(uneven, series, EVERY), "with it they do"
    third = study_of([('a = "on"', 'a = "lit", b = "off", c = "off"')], ("a", "b", "c"))
    assert passes(third, placed([(0, 2), (2, 1), (2, 1)], 2), EVERY), "two lamps share the current of one"


def with_resistor(ohms: str, watts: int, word: str) -> bool:
    extras = f'resistors = {{ most = 1, series = "E3", ohms = [{ohms}], watts = [{watts}] }}'
    problem = study_of([('a = "on"', f'a = "{word}"')], extras=extras)
    return passes(problem, placed([(2, 1), (0, 2)], 2, resistors=1), EVERY)


def test_resistances() -> None:
    # half of 13.5 V at 0.7 of 1.85 A (the lamp's tables) is 5 ohms
    assert with_resistor("1.0, 47.0", 50, "dim"), "some 5 ohms do"
    assert not with_resistor("1.0, 2.2", 50, "dim"), "2 ohms are too few"
    assert not with_resistor("22.0, 47.0", 50, "dim"), "22 are too many"
    assert not with_resistor("1.0, 47.0", 1, "dim"), "and a watt too little for them"
    assert with_resistor("22.0, 47.0", 50, "off"), "22 ohms put it out"
    assert with_resistor("3.3, 10.0", 50, "dim"), "no listed value need do: any between counts"


def test_resistances_are_one_in_all_states() -> None:
    extras = 'resistors = { most = 1, series = "E3", ohms = [1.0, 100.0], watts = [50] }'
    rows = [(A_ALONE, 'a = "dim", c = "any"'), ('a = "off", b = "on"', 'a = "off"')]
    problem = study_of(rows, ("a", "c"), FEEDS, extras=extras, joints=1)
    # either feed reaches the joint by the resistor alone or by lamp c: dim with 5 ohms
    circuit = placed([(3, 2), (1, 3), (0, 3)], 3, resistors=1)
    assert not passes(problem, circuit, EVERY), "by lamp c it is dim, whatever the resistor: not off"


def test_diode_curves() -> None:
    extras = 'diodes = { most = 1, choose = ["1N5404"] }'
    circuit = placed([(2, 1), (0, 2)], 2, diodes=1)
    lit, dim = (study_of([('a = "on"', f'a = "{word}"')], extras=extras) for word in ("lit", "dim"))
    assert passes(lit, circuit, EVERY), "a diode costs a lamp little"
    assert not passes(dim, circuit, EVERY), "so it does not dim one"
    assert passes(dim, circuit, without(diode_curves)), "which this rule alone says"
    # 3 A, the rating of a 1N5404 (its data sheet), is less than two such lamps take
    two = study_of([('a = "on"', 'a = "lit", b = "lit"')], ("a", "b"), extras=extras)
    assert not passes(two, placed([(2, 1), (2, 1), (0, 2)], 2, diodes=1), EVERY), "over its rating"


def test_a_diode_backward_carries_nothing() -> None:
    extras = 'diodes = { most = 1, choose = ["1N5404"] }'
    problem = study_of([('a = "on"', 'a = "lit"')], extras=extras)
    for ends, said in (((0, 1), True), ((1, 0), False)):
        (formulation,) = formulations(problem, BY_ORDER)
        flows = formulation.branch(0, 1).flows
        literals = [*next(formulation.placement.fixed(placed([(0, 1), ends], 2, diodes=1))), flows]
        formulation.model.add_bool_and(literals)
        assert (solve(new_solver(9.0), formulation.model) is Answer.BEST) is said, (
            f"anode and cathode at {ends}"
        )


def test_a_step_is_granted() -> None:
    """The edge of a band that a circuit just meets is no ground for refusing it."""
    for volts, said in ((11.8 + VOLT / 2, True), (11.8 + 4 * VOLT, False)):
        edge = float(relative_flux_of(lamp_type("P21W", 12).filaments[0], volts))
        more = f"[levels]\nlit = {edge:.9f}\nfull = 0.9"
        problem = study_of([('a = "on"', 'a = "lit"')], more=more)
        # without `across`, which compares light at the low supply exactly
        assert passes(problem, placed([(0, 1)], 2), EVERY) is said, f"{volts} V asked of a supply of 11.8 V"
