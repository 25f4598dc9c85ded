"""Suggested changes of specs that nothing meets: each is tried as its user would, by typing its lines.

The plain twin is the search itself, run on every changed spec and on those that ask a notch less.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from lampwright.app.answering import find_designs
from lampwright.diagnosis.suggest import trial as suggest_trial
from lampwright.diagnosis.suggest.suggestions import Advice, suggestions_of
from lampwright.diagnosis.suggest.trial import Near
from lampwright.diagnosis.survey import survey_problem
from lampwright.judge.judge import Judge
from lampwright.parts.catalogue import lamp_type, lamp_types
from lampwright.problem.problem import Problem, prepare
from lampwright.progress.bar import quiet
from lampwright.results.ranking import Ranking
from lampwright.results.shortfall import Suggestion
from lampwright.searching.options import SearchOptions
from lampwright.searching.plan import plan_steps
from lampwright.spec.load import load_spec, parse_spec
from lampwright.spec.model import Spec
from lampwright.spec.revise import two_digits

HERE = Path(__file__).parent / "suggesting"
SHIPPED = Path(__file__).parents[2] / "specs"

KINDS = (
    "other type", "insulated holder", "looser rating", "one more part", "one more lamp", "one more joint",
    "one more wire", "narrower supply", "wider band",
)  # fmt: skip
ONE_RESISTOR = '[extras]\nresistors = {{ most = 1, series = "{}", ohms = {}, watts = {} }}\n\n[search]'
RESISTORS = {
    "finer": ("E6", "[1, 100]", "[5, 10, 25]"),
    "wider": ("E12", "[22, 100]", "[5, 10, 25]"),
    "stronger": ("E12", "[1, 100]", "[1, 2]"),
}
FILES = sorted(path.stem for path in HERE.glob("*.toml"))
CASES = [*FILES, *RESISTORS, "diode"]


def text_of(case: str) -> str:
    """The spec of a case, as its user wrote it."""
    if case in RESISTORS:
        text = (HERE / "a_resistor_more.toml").read_text(encoding="utf-8")
        return text.replace("[search]", ONE_RESISTOR.format(*RESISTORS[case]))
    if case == "diode":
        # the marker's current is more than a 1N4001 carries
        text = (HERE / "a_diode_more.toml").read_text(encoding="utf-8").replace("R5W", "P21W")
        return text.replace("[search]", '[extras]\ndiodes = { most = 1, choose = ["1N4001"] }\n\n[search]')
    return (HERE / f"{case}.toml").read_text(encoding="utf-8")


def near_of(problem: Problem) -> Near:
    found = survey_problem(problem, plan_steps(Judge(problem), None)).near
    return tuple((one.netlist, one.choice) for one in found)


def advice_for(spec: Spec, most_extra: int | None = None) -> Advice:
    problem = prepare(spec)
    return suggestions_of(problem, near_of(problem), most_extra, quiet())


@cache
def advice(case: str) -> Advice:
    return advice_for(parse_spec(text_of(case), "case"))


def searched(spec: Spec) -> Ranking:
    return find_designs(prepare(spec), SearchOptions(), quiet())


def is_met(spec: Spec) -> bool:
    ranking = searched(spec)
    assert ranking.verdict.kind != "stopped"
    return bool(ranking.designs)


def of_kind(case: str, kind: str) -> tuple[Suggestion, ...]:
    return tuple(one for one in advice(case).suggestions if one.kind == kind)


# --- typing the lines ---------------------------------------------------------------------------


def blocks(text: str) -> list[list[str]]:
    """The lines of a TOML text, cut before every header."""
    cut: list[list[str]] = [[]]
    for line in text.splitlines():
        if line.startswith("["):
            cut.append([])
        cut[-1].append(line)
    return cut


def typed(text: str, lines: str) -> str:
    """A spec's text with the suggested lines put where they say."""
    header, *body = lines.splitlines()
    cut = blocks(text)
    name = header.split("  #")[0]
    places = [at for at, block in enumerate(cut) if block and block[0] == name]
    if "# in place of row " in header:
        places = [places[int(header.rsplit(" ", 1)[1]) - 1]]
    keys = {line.split(" = ")[0]: line for line in body if not line.startswith("#")}
    if not places:
        cut.append([name, *keys.values()])
    elif any(line.startswith("# without") for line in body):
        cut[places[0]] = [name, *body, ""]
    else:
        block = cut[places[0]]
        kept = [line for line in block[1:] if line.split(" = ")[0].strip() not in keys]
        cut[places[0]] = [name, *keys.values(), *kept]
    return "\n".join(line for block in cut for line in block) + "\n"


@pytest.mark.parametrize("case", CASES)
def test_nothing_meets_the_spec_as_it_is(case: str) -> None:
    assert not is_met(parse_spec(text_of(case), "case"))


@pytest.mark.parametrize("case", CASES)
def test_every_suggestion_does_what_it_says_when_its_lines_are_typed(case: str, tmp_path: Path) -> None:
    assert advice(case).suggestions
    for at, one in enumerate(advice(case).suggestions):
        path = tmp_path / f"changed{at}.toml"
        path.write_text(typed(text_of(case), one.spec_text), encoding="utf-8")
        designs = searched(load_spec(path)).designs
        # the same circuit with the same choice, by the same judge: equal to the last digits of a sum
        matching = [d for d in designs if d.parts == one.design.parts]
        assert [d.margin_stops for d in matching] == [pytest.approx(one.margin_stops, abs=1e-9)], one.change
        assert one.design.margin_stops == one.margin_stops
        assert one.design.extra_parts == min(d.extra_parts for d in designs), one.change
        assert one.verified.startswith("searched: "), one.verified


@pytest.mark.parametrize(
    ("case", "kind", "words"),
    [
        ("another_type", "other type", "try R5W as `small` (cap BA15s, as now)"),
        ("finer", "other type", "try resistors of series E12: more values, and a closer tolerance"),
        ("wider", "other type", "try resistors from 5.6 to 100 ohm"),
        ("stronger", "other type", "try resistors of 15 W; they get hot"),
        ("diode", "other type", "try diodes "),
        ("insulated_holder", "insulated holder", "put `telltale` in an insulated holder"),
        ("looser_rating", "looser rating", "let `brake` carry 2.6 A in place of 1.5 A"),
        ("a_resistor_more", "one more part", "allow one resistor (E12, 1 to 100 ohm)"),
        ("a_diode_more", "one more part", "allow one diode (1N5404)"),
        ("a_joint_more", "one more joint", "allow one joint"),
        ("a_wire_more", "one more wire", "allow one wire between terminals"),
        ("narrower_supply", "narrower supply", "keep the supply to 11.4 to 14.6 V in place of 11 to 15.2 V"),
        ("wider_band", "wider band", "move the lower edge of `dim` from 0.09 to 0.03;"),
        ("share_of_full", "wider band", "move the lower edge of `full` from 0.999 to 0.97;"),
        ("two_edges", "wider band", "move the lower edge of `dim` from 0.085 to 0.028 and the upper edge"),
        ("a_wire_more", "wider band", "leave `cabin` open in row 1 (front on, back off)"),
    ],
)
def test_every_kind_of_change_is_found_where_it_helps(case: str, kind: str, words: str) -> None:
    assert [one.change for one in of_kind(case, kind) if one.change.startswith(words)], f"{case}: {kind}"


@pytest.mark.parametrize("case", CASES)
def test_kinds_come_in_order_and_each_says_what_came_of_it(case: str) -> None:
    told = advice(case)
    places = [KINDS.index(one.kind) for one in told.suggestions]
    assert places == sorted(places)
    assert [one.design.rank for one in told.suggestions] == list(range(1, len(places) + 1))
    assert [line.split(": ")[0] for line in told.tried] == list(KINDS)
    for at, line in enumerate(told.tried):
        passes = "pass" in line.replace("nothing passes", "")
        assert passes == (at in places), line


# --- the least ------------------------------------------------------------------------------------


def with_edges(spec: Spec, low: float, high: float) -> Spec:
    return replace(spec, supply=replace(spec.supply, volts=(low, spec.supply.volts[1], high)))


def test_a_tenth_of_a_volt_less_does_not_do() -> None:
    spec = parse_spec(text_of("narrower_supply"), "case")
    (one,) = of_kind("narrower_supply", "narrower supply")
    assert one.verified.endswith("less does not do")
    assert "volts = [11.4, 13.5, 14.6]" in one.spec_text
    assert is_met(with_edges(spec, 11.4, 14.6))
    assert not is_met(with_edges(spec, 11.3, 14.6))
    assert not is_met(with_edges(spec, 11.4, 14.7))


def test_one_end_moves_alone_where_that_does() -> None:
    spec = with_edges(parse_spec(text_of("narrower_supply"), "case"), 11.0, 14.5)
    told = [one for one in advice_for(spec).suggestions if one.kind == "narrower supply"]
    assert [one.spec_text for one in told] == ["[supply]\nvolts = [11.4, 13.5, 14.5]\n"]
    assert not is_met(with_edges(spec, 11.3, 14.5))


@pytest.mark.parametrize(
    ("case", "moved", "back"),
    [
        ("wider_band", "dim = [0.03, 0.8]", ("dim = [0.031, 0.8]",)),
        ("share_of_full", "full = 0.97", ("full = 0.98",)),
        ("two_edges", "dim = [0.028, 0.12]", ("dim = [0.029, 0.12]", "dim = [0.028, 0.11]")),
        ("narrower_supply", "dim = [0.01, 0.18]", ("dim = [0.011, 0.18]", "dim = [0.01, 0.17]")),
    ],
)
def test_a_notch_less_of_a_band_does_not_do(case: str, moved: str, back: tuple[str, ...]) -> None:
    lines = [one.spec_text for one in of_kind(case, "wider band") if moved in one.spec_text]
    assert lines == [f"[levels]\n{moved}\n"]
    for less in back:
        assert not is_met(parse_spec(typed(text_of(case), f"[levels]\n{less}\n"), "case")), less


def test_no_edge_alone_would_do_where_two_move() -> None:
    spec = parse_spec(text_of("two_edges"), "case")
    for low in (flux for flux in two_digits(0.085 / 8, 0.085) if flux > spec.levels.off.high):
        assert not is_met(parse_spec(text_of("two_edges").replace("[0.085, ", f"[{low}, "), "case")), low
    for high in (flux for flux in two_digits(0.09, 0.25) if flux > 0.09):
        assert not is_met(parse_spec(text_of("two_edges").replace(", 0.09]", f", {high}]"), "case")), high


def test_less_than_the_amps_suggested_does_not_do() -> None:
    (one,) = of_kind("looser_rating", "looser rating")
    assert one.spec_text == "[controls.brake]\nmost_amps = 2.6\n"
    text = text_of("looser_rating")
    assert not is_met(parse_spec(text.replace("most_amps = 1.5", "most_amps = 2.5"), "case"))
    # the switch carries all current there is
    assert 2.5 < one.design.ratings.controls[0].worst <= 2.6


@pytest.mark.parametrize(("case", "less"), [("wider", "[6.8, 100]"), ("stronger", "[1, 2, 10]")])
def test_fewer_values_or_watts_do_not_do(case: str, less: str) -> None:
    before = RESISTORS[case][1 if case == "wider" else 2]
    assert not is_met(parse_spec(text_of(case).replace(before, less), "case"))


# --- types, one after another -----------------------------------------------------------------------


def swapped(spec: Spec) -> Iterator[tuple[str, str, Spec]]:
    """Every spec in which one lamp may also be one other type of as many filaments."""
    for at, lamp in enumerate(spec.lamps):
        own = lamp_type(lamp.choose[0], spec.supply.system)
        for kind in lamp_types():
            fits = kind.system == own.system and len(kind.filaments) == len(own.filaments)
            if fits and kind.shared_contact == own.shared_contact and kind.name not in lamp.choose:
                lamps = list(spec.lamps)
                lamps[at] = replace(lamp, choose=(*lamp.choose, kind.name))
                yield lamp.name, kind.name, replace(spec, lamps=tuple(lamps))


@pytest.mark.nightly
@pytest.mark.parametrize("case", ["another_type", "looser_rating", "insulated_holder"])
def test_types_are_the_best_of_all_that_would_do(case: str) -> None:
    spec = parse_spec(text_of(case), "case")
    passing = []
    for lamp, name, changed in swapped(spec):
        designs = searched(changed).designs
        if designs:
            least = min(one.extra_parts for one in designs)
            margin = max(one.margin_stops for one in designs if one.extra_parts == least)
            kind, own = lamp_type(name, 12), lamp_type(spec.lamps[0].choose[0], 12)
            # nearest kin first: its own colour, then its own cap, then its own family of types
            kin = kind.colour != own.colour, kind.cap != own.cap, kind.family != own.family
            passing.append((kin, -margin, lamp, name))
    best = [f"try {name} as `{lamp}`" for _, _, lamp, name in sorted(passing)[:2]]
    assert [one.change.split(" (")[0] for one in of_kind(case, "other type")] == best
    assert (case == "another_type") == bool(best)


def test_types_that_may_hold_gas_or_vacuum_hide_no_others() -> None:
    """W5W is on the part_options twice, before W3W, which comes first by its margin."""
    spec = parse_spec(text_of("another_type").replace("P21W", "W16W"), "case")
    own, margins = lamp_type("W16W", 12), {}
    for lamp, name, changed in swapped(spec):
        kind = lamp_type(name, 12)
        if (kind.colour, kind.cap, kind.family) == (own.colour, own.cap, own.family):
            for one in searched(changed).designs:
                margins[name, lamp] = one.margin_stops
    told = [one for one in advice_for(spec).suggestions if one.kind == "other type"]
    best = sorted(margins, key=lambda key: -margins[key])[:2]
    assert [one.change.split(" (")[0] for one in told] == [f"try {name} as `{lamp}`" for name, lamp in best]
    assert [name for name, _ in best] == ["W3W", "W5W"]


def test_no_type_is_suggested_for_the_shipped_spec_without_a_circuit() -> None:
    spec = load_spec(SHIPPED / "no_such_circuit.toml")
    assert not [one for one in advice_for(spec).suggestions if one.kind == "other type"]
    assert not [f"{lamp}: {name}" for lamp, name, changed in swapped(spec) if is_met(changed)]


# --- bounds of the work -------------------------------------------------------------------------------


def test_where_a_search_is_too_much_near_circuits_decide(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(suggest_trial, "MOST_PER_TRIAL", 0)
    for case, kind in (("wider_band", "wider band"), ("narrower_supply", "narrower supply")):
        told = advice_for(parse_spec(text_of(case), "case"))
        one = next(one for one in told.suggestions if one.kind == kind)
        assert one.verified.startswith("judged at every corner: ")
        assert "less may do" in one.verified
        changed = parse_spec(typed(text_of(case), one.spec_text), "case")
        assert max(d.margin_stops for d in searched(changed).designs) >= one.margin_stops - 1e-9
        assert "one more wire: allow one wire between terminals: not tried: " in told.tried[6]


def test_the_work_is_bounded_by_what_was_allowed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(suggest_trial, "MOST_PER_TRIAL", 40_000)
    text = (SHIPPED / "sidecar_side_lamp.toml").read_text(encoding="utf-8").replace("8.0", "0.3")
    told = suggestions_of(prepare(parse_spec(text, "case")), (), None, quiet())
    assert not told.suggestions
    assert [line.split(": ")[0] for line in told.tried] == list(KINDS)
    for at in (0, 1, 3, 4, 7, 8):
        assert "too m" in told.tried[at], f"line {at}: {told.tried[at]}"


def test_fewer_extra_parts_than_the_spec_allows_are_respected() -> None:
    spec = parse_spec(text_of("wider"), "case")
    told = advice_for(spec, 0)
    assert not [one for one in told.suggestions if one.kind in ("other type", "one more part")]
    said = "one more part: not tried: the spec allows 1, and the search was asked for 0 extra parts"
    assert told.tried[3] == said


def test_a_stop_ends_it() -> None:
    def stop() -> None:
        raise KeyboardInterrupt

    problem = prepare(parse_spec(text_of("two_edges"), "case"))
    with pytest.raises(KeyboardInterrupt):
        suggestions_of(problem, (), None, quiet(), stop)


# --- the same every time ------------------------------------------------------------------------------


def test_the_same_advice_every_time_and_without_a_text() -> None:
    spec = parse_spec(text_of("narrower_supply"), "case")
    assert advice_for(spec) == advice("narrower_supply")
    assert advice_for(replace(spec, text="", digest="")) == advice("narrower_supply")


def test_near_circuits_may_be_unknown() -> None:
    problem = prepare(parse_spec(text_of("wider_band"), "case"))
    told = suggestions_of(problem, (), None, quiet())
    assert told.suggestions == advice("wider_band").suggestions
