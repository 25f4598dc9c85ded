"""A spec that leaves a choice, against plain specs written out by the test and against every circuit.

Two other ways to the answer: the test writes one plain spec for each assignment, searches each by itself
and puts the answers together; or it takes every circuit of the listing, solves it whole at every corner,
and looks whether its patterns of light tell the settings apart, with no spec that asks for any.
"""

from collections.abc import Iterator
from itertools import permutations
from math import log2
from pathlib import Path

import pytest
from tests.judge.plain_corners import PlainCorners
from tests.shipped import ROOT

from lampwright.app.answering import find_designs, search_into, search_problem
from lampwright.app.checking import check_circuit
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.diagnosis.suggest.suggestions import Advice
from lampwright.diagnosis.survey import survey_problem
from lampwright.errors import InputError
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import circuit_key
from lampwright.problem.problem import (
    Problem,
    choice_of,
    fit_of,
    fit_one,
    layout_of,
    prepare,
    unsure_types,
    way_problems,
)
from lampwright.progress.bar import quiet
from lampwright.refute.rules import RULES
from lampwright.results.design import Design, Taken
from lampwright.results.json_text import to_json
from lampwright.results.ranking import Ranking
from lampwright.searching.estimate import count_problem
from lampwright.searching.evaluate import ShareEvaluator, shares_of
from lampwright.searching.options import SearchOptions
from lampwright.searching.plan import plan_steps
from lampwright.searching.search import find_circuits
from lampwright.searching.ways import joined, plan_ways
from lampwright.spec.load import parse_spec
from lampwright.spec.model import plain_specs

POSITIONS = ("open", "between", "shut")
WORDS = ("off", "dim", "lit")
BANDS = {"off": (0.0, 0.005), "dim": (0.01, 0.2), "lit": (0.25, float("inf"))}
VALVE = """
lampwright = 1
title = "One wire tells three positions of a valve"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = true
[controls.valve]
kind = "positions"
positions = { open = [["30", "S"]], between = [], shut = [["31", "S"]] }
[lamps.telltale]
choose = ["W2.3W", "W3W"]
[levels]
dim = [0.01, 0.2]
"""
FAR = '[lamps.far]\nchoose = ["W2.3W", "W3W"]\n'
HELPED = VALVE + '[extras]\nlamps = { most = 2, choose = ["W2.3W", "W3W"] }\n'
CODE = '[[code]]\nlamps = ["telltale"]\nwords = ["off", "dim", "lit"]\ncontrol = "valve"\n'
WIRED = "[search]\njoints = 1\nwires = 1\n"

Told = tuple[tuple[object, ...], float]
"""A circuit with its types, and its margin."""


def written(head: str, words: tuple[str, ...]) -> str:
    """A plain spec in which the tell-tale shows these words, position by position."""
    rows = zip(POSITIONS, words, strict=True)
    return head + "".join(
        f'[[behaviour]]\nwhen = {{ valve = "{at}" }}\nshow = {{ telltale = "{word}" }}\n' for at, word in rows
    )


def problem_of(text: str) -> Problem:
    return prepare(parse_spec(text, "valve"))


def found(text: str) -> Ranking:
    return find_designs(problem_of(text), SearchOptions(), quiet())


def told(design: Design) -> Told:
    parts = tuple((one.ref, one.type, one.ohms, one.from_node, one.to_node) for one in design.parts)
    return parts, round(design.margin_stops, 6)


def by_hand(head: str) -> list[Ranking]:
    """The answers to all plain specs, each searched by itself."""
    return [found(written(head, words)) for words in permutations(WORDS)]


def shown(takes: tuple[Taken, ...]) -> tuple[str, ...]:
    return tuple(one.show.removeprefix("telltale ") for one in takes)


@pytest.mark.parametrize("head", [VALVE + FAR, VALVE + FAR + WIRED], ids=["no wires", "wires"])
def test_the_answer_is_that_of_all_plain_specs_put_together(head: str) -> None:
    ranking, plain = found(head + CODE), by_hand(head)
    expected = {
        told(one): words for words, own in zip(permutations(WORDS), plain, strict=True) for one in own.designs
    }
    assert len(ranking.designs) == len(expected) > 1, "no two assignments fit one circuit"
    assert {told(one): shown(one.takes) for one in ranking.designs} == expected, "each says what it takes"
    assert len(set(expected.values())) > 1, "of more than one way"
    keys = [(one.extra_parts, one.wires, one.joints, -one.margin_stops) for one in ranking.designs]
    assert keys == sorted(keys), "in one order"
    assert (ranking.ways, ranking.verdict.kind) == (6, "found")
    counts = [(count.listed, count.orbits) for own in plain for count in own.search.part_counts]
    (count,) = ranking.search.part_counts
    assert (count.listed, count.orbits, count.complete) == (*map(sum, zip(*counts, strict=True)), True)
    for stage, *same in zip(
        ranking.search.stages[:-1], *(own.search.stages[:-1] for own in plain), strict=True
    ):
        assert (stage.entered, stage.left) == (sum(s.entered for s in same), sum(s.left for s in same)), (
            stage.name
        )


def told_apart(problem: Problem) -> Iterator[tuple[bytes, tuple[str, ...]]]:
    """Every circuit whose tell-tale shows another word in every position, at all corners, and its words."""
    evaluator = ShareEvaluator(problem, (False,) * len(RULES))
    for share in shares_of(plan_steps(evaluator.judge, None)):
        for one in evaluator.take(share).screened:
            fit = fit_of(problem, 0, 0)
            boundary = evaluator.judge.boundary(one.netlist.partition, one.netlist.joints)
            assert boundary is not None, "it shorts nothing"
            for number in one.choices:
                corners = PlainCorners(
                    problem, one.netlist, boundary, fit_one(problem, choice_of(number, fit), 0, 0)
                )
                lights = [points.stops[:, 0] for _, _, points in corners.corners()]
                words = [
                    [word for word in WORDS if all(_within(light[at], BANDS[word]) for light in lights)]
                    for at in range(len(POSITIONS))
                ]
                if (
                    all(words)
                    and len({own[0] for own in words}) == len(words)
                    and corners.met(corners.every())
                ):
                    yield circuit_key(one.netlist, problem.layout), tuple(own[0] for own in words)


def _within(stops: float, band: tuple[float, float]) -> bool:
    low, high = (log2(edge) if edge else -float("inf") for edge in band)
    return low <= stops <= high


@pytest.mark.parametrize("more", ["", WIRED], ids=["no wires", "wires"])
def test_every_circuit_that_tells_the_positions_apart_is_found_and_no_other(more: str) -> None:
    head = VALVE + FAR + more
    nothing_asked = problem_of(head + '[[behaviour]]\nshow = { far = "any" }\n')
    assert not unsure_types(nothing_asked), "each lamp has one filling"
    expected = set(told_apart(nothing_asked))
    searches = plan_ways(problem_of(head + CODE), SearchOptions())
    each = [find_circuits(search.problem, SearchOptions(), quiet()) for search in searches.ways]
    layout, ways = searches.problem.layout, list(permutations(WORDS))
    winners = {(circuit_key(one.netlist, layout), ways[one.way]) for one in joined(each).winners}
    others = {
        (circuit_key(one.netlist, layout), ways[one.way]) for w in joined(each).winners for one in w.elsewhere
    }
    assert winners | others == expected
    assert len(expected) > 1


def test_none_only_where_no_way_has_any() -> None:
    possible, impossible, neither = (
        f'{{ when = {{ valve = "between" }}, show = {{ telltale = "{word}" }} }}'
        for word in ("dim", "lit", "full")
    )
    head = written(VALVE + FAR, ("lit", "any", "off"))
    both, none = (f"[[either]]\nrows = [{impossible}, {other}]\n" for other in (possible, neither))
    ranking = found(head + both)
    assert (ranking.verdict.kind, {one.takes[0].of for one in ranking.designs}) == (
        "found",
        {"either 1, alternative 2"},
    )
    alone = found(written(VALVE + FAR, ("lit", "dim", "off")))
    assert [told(one) for one in ranking.designs] == [told(one) for one in alone.designs]
    nothing = find_designs(problem_of(head + none), SearchOptions(), quiet())
    assert nothing.verdict.kind == "none"
    assert "The spec can be taken in 2 ways, and no circuit meets any of them." in nothing.verdict.text
    assert "each in 2 ways, equal to the number counted without listing" in nothing.verdict.proved[0]
    assert nothing.verdict.proved[1].startswith("None of them meets the spec in any of these ways: ")
    assert "no circuit meets any" not in ranking.verdict.text


def test_a_circuit_that_meets_several_ways_is_one_design() -> None:
    words = ("dim", "any")
    rows = ", ".join(
        f'{{ when = {{ valve = "between" }}, show = {{ telltale = "{one}" }} }}' for one in words
    )
    ranking = found(written(VALVE + FAR, ("lit", "any", "off")) + f"[[either]]\nrows = [{rows}]\n")
    dim, any_ = (found(written(VALVE + FAR, ("lit", word, "off"))) for word in words)
    assert len(ranking.designs) == len(any_.designs) > len(dim.designs) == 1
    ((less,), best) = dim.designs, max(any_.designs, key=lambda one: one.margin_stops)
    (several,) = (one for one in ranking.designs if one.other_ways)
    ((other,),) = (several.other_ways,)
    assert several.margin_stops > other.margin_stops, "the way of greatest margin comes first"
    assert (several.takes[0].of, other.takes[0].of) == ("either 1, alternative 2", "either 1, alternative 1")
    assert other.margin_stops == pytest.approx(less.margin_stops, abs=1e-9)
    assert max(one.margin_stops for one in ranking.designs) == pytest.approx(best.margin_stops, abs=1e-9)
    assert ranking.verdict.text.startswith(f"{len(any_.designs)} circuit")


def test_as_few_helper_lamps_as_any_way_needs() -> None:
    ranking, plain = found(HELPED + CODE), by_hand(HELPED)
    least = min(own.helper_lamps for own in plain if own.verdict.kind == "found")
    assert (ranking.helper_lamps, ranking.verdict.kind) == (least, "found") == (1, "found")
    expected = {told(one) for own in plain if own.helper_lamps == least for one in own.designs}
    assert {told(one) for one in ranking.designs} == expected
    assert "It takes 1 helper lamp; with fewer none does." in ranking.verdict.text


class StopAt:
    """A user who presses Ctrl-C when a stage begins."""

    def __init__(self, word: str) -> None:
        self.word, self.stages = word, list[str]()

    def stage(self, name: str, total: int | None) -> None:
        del total
        self.stages.append(name)
        if self.word and self.word in name:
            raise KeyboardInterrupt

    def advance(self, n: int) -> None:
        del n

    def say(self, text: str) -> None:
        del text

    def close(self) -> None:
        pass


def test_a_stopped_run_goes_on_and_says_how_far_it_came(tmp_path: Path) -> None:
    problem = problem_of(VALVE + FAR + CODE)
    begun = search_into(problem, SearchOptions(), StopAt("way 4 of 6"), tmp_path)
    assert begun.verdict.kind == "stopped"
    assert "It had come to way 4 of 6 in which the spec can be taken." in begun.verdict.text
    assert not begun.search.part_counts[0].complete
    assert begun.verdict.proved == (), "nothing is proved of all ways"
    watched = StopAt("")
    ended = search_into(problem, SearchOptions(), watched, tmp_path)
    assert [name for name in watched.stages if name.startswith("way 6 of 6: listing")] != []
    calm = search_problem(problem, SearchOptions(), quiet())
    assert _timeless(ended) == _timeless(calm)
    again = search_into(problem, SearchOptions(), quiet(), tmp_path)
    assert _timeless(again) == _timeless(calm), "all from the journal"


def _timeless(ranking: Ranking) -> str:
    text = to_json(ranking)
    start = text.index('"seconds"')
    return text[:start] + text[text.index(",", start) :]


@pytest.mark.nightly
def test_workers_make_no_difference(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lampwright.searching.shares.WORTH_WORKERS", 1)
    monkeypatch.setattr("lampwright.searching.shares.SHARE_SIZE", 4)
    problem = problem_of(VALVE + FAR + CODE)
    crowd = find_designs(problem, SearchOptions(workers=2), quiet())
    assert _timeless(crowd) == _timeless(find_designs(problem, SearchOptions(), quiet()))


def test_the_budget_is_for_all_ways_together() -> None:
    problem = problem_of(VALVE + FAR + CODE)
    (count,) = find_designs(problem, SearchOptions(), quiet()).search.part_counts
    find_designs(problem, SearchOptions(budget=count.orbits), quiet())
    with pytest.raises(InputError, match=f"there are {count.orbits} circuits over all 6 ways, more than"):
        find_designs(problem, SearchOptions(budget=count.orbits - 1), quiet())


def test_circuits_are_counted_once() -> None:
    plain = count_problem(problem_of(written(VALVE + FAR, WORDS)), 10**9)
    open_ = count_problem(problem_of(VALVE + FAR + CODE), 10**9)
    assert (open_.rows, open_.total) == (plain.rows, plain.total)


def test_a_check_tells_of_the_way_that_is_met_or_missed_by_least() -> None:
    spec = parse_spec(VALVE + FAR + CODE, "valve")
    best = found(VALVE + FAR + CODE).designs[0]
    circuit = CircuitBuilder.of_design(best)
    report = check_circuit(spec, circuit.under(layout_of(spec)))
    assert report.meets
    assert report.design.takes == best.takes
    assert report.design.margin_stops == pytest.approx(best.margin_stops, abs=1e-9)
    assert report.remarks[0].startswith(
        "The circuit meets 1 of the 6 ways in which the spec can be taken. code 1:"
    )
    wrong = circuit.fitted({"far": "P21W"}).under(layout_of(spec))
    missed = check_circuit(spec, wrong)
    margins = [check_circuit(plain, wrong).design.margin_stops for plain in plain_specs(spec)]
    assert not missed.meets
    assert missed.design.margin_stops == max(margins) > min(margins)
    assert "meets none of the 6 ways" in missed.remarks[0]


def test_why_there_is_none_is_told_of_the_way_that_comes_nearest(monkeypatch: pytest.MonkeyPatch) -> None:
    text = VALVE + FAR + CODE.replace('"off", "dim", "lit"', '"dim", "lit", "off"')
    text = text.replace("[0.01, 0.2]", "[0.01, 0.02]")
    monkeypatch.setattr("lampwright.diagnosis.diagnose.suggestions_of", lambda *_: Advice((), ()))
    ranking = search_problem(problem_of(text), SearchOptions(), quiet())
    assert ranking.verdict.kind == "none"
    shortfall = ranking.shortfall
    assert shortfall is not None
    nearest = shortfall.near_misses[0]
    assert nearest.design.takes == shortfall.takes != ()
    plain = [prepare(one) for one in plain_specs(parse_spec(text, "valve"))]
    first = [survey_problem(one, plan_steps(Judge(one), None)).near[0] for one in plain]
    least = min((len(one.missed), -round(one.judgement.margin, 6)) for one in first)
    assert (len(nearest.missed), -round(nearest.design.margin_stops, 6)) == least


CARAVAN = (ROOT / "specs" / "caravan_unmarked_bulbs.toml").read_text(encoding="utf-8")
DRAWER = (ROOT / "specs" / "stop_tail_coarse_drawer.toml").read_text(encoding="utf-8")


def test_what_hangs_on_a_filling_in_one_way_and_holds_in_another_is_a_design() -> None:
    row = 'when = { night = "on" }\nshow = { counter = "dim", door = "dim", step = "dim" }\n'
    assert row in CARAVAN
    sure = '{ when = { night = "on" }, show = { counter = "any" } }'
    dim = '{ when = { night = "on" }, show = { counter = "dim", door = "dim", step = "dim" } }'
    bare = CARAVAN.replace("[[behaviour]]\n" + row, "").replace("most = 2", "most = 0")
    hanging, both = (bare + f"[[either]]\nrows = [{dim}, {one}]\n" for one in (dim, sure))
    options = SearchOptions()
    alone, held = (find_designs(problem_of(text), options, quiet()) for text in (hanging, both))
    assert alone.hinges is not None
    assert (alone.verdict.kind, alone.hinges.circuits) == ("none", 1), "once, though it hangs in both ways"
    assert alone.hinges.designs[0].takes[0].of == "either 1, alternative 1"
    assert (held.verdict.kind, held.hinges) == ("found", None)


def test_a_resistance_that_is_not_listed_is_told_once_and_in_its_way() -> None:
    rows = "".join(DRAWER.partition("[[behaviour]]")[1:])
    one = '{ when = { lights = "on", brake = "off" }, show = { rear = "dim" } }'
    head = (
        DRAWER.replace(rows, "")
        + rows.partition('[[behaviour]]\nwhen = { lights = "on", brake = "off" }\nshow = { rear = "dim" }\n')[
            2
        ]
    )
    ranking = found(head + f"[[either]]\nrows = [{one}, {one}]\n")
    plain = find_designs(prepare(parse_spec(DRAWER, "drawer")), SearchOptions(), quiet())
    assert ranking.nonstandard is not None
    assert plain.nonstandard is not None
    assert ranking.nonstandard.circuits == plain.nonstandard.circuits == 1
    assert ranking.nonstandard.text == plain.nonstandard.text
    assert ranking.nonstandard.designs[0].takes[0].of == "either 1, alternative 1"
    assert [count.decided for count in ranking.search.part_counts] == [
        c.decided for c in plain.search.part_counts
    ]


ALIKE = """
lampwright = 1
title = "Two positions of three join the same"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.gear]
kind = "positions"
positions = { first = [["30", "S"]], second = [["30", "S"]], out = [] }
[lamps.tell]
choose = ["W3W"]
[lamps.other]
choose = ["R5W"]
[[either]]
rows = [
  { when = { gear = "first" }, show = { tell = "lit" } },
  { when = { gear = "second" }, show = { tell = "lit" } },
  [
    { when = { gear = "first" }, show = { tell = "lit" } },
    { when = { gear = "second" }, show = { tell = "lit" } },
  ],
  { when = { gear = "first" }, show = { tell = "dim" } },
]
"""


def test_ways_that_no_circuit_tells_apart_are_searched_once() -> None:
    problem = problem_of(ALIKE)
    assert len(problem.spec.ways) == 4, "as written"
    ways = way_problems(problem)
    assert [one.requirements.every[0].band.low for one in ways] == [0.25, 0.01], "lit, or dim"
    each = [find_designs(prepare(one), SearchOptions(), quiet()) for one in plain_specs(problem.spec)]
    told = [
        {str([(p.ref, p.from_node, p.to_node) for p in one.parts]) for one in own.designs} for own in each
    ]
    assert told[0] == told[1] == told[2] != told[3], "each searched by itself finds the same"
    ranking = find_designs(problem, SearchOptions(), quiet())
    assert len(ranking.designs) == len(told[0] | told[3])
    assert ranking.ways == 2
