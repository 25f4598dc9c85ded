"""Conflicts and near misses against brute force: other searches, and every circuit judged one by one.

The specs are by chance. A conflict is checked by writing specs that ask less and searching
them as a user would; near misses by judging every choice of every circuit at every corner.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import combinations

import networkx as nx
import numpy as np
import pytest
from msgspec.structs import replace
from tests.prove.chance import Kit, Words, some_kit, some_words
from tests.selection import some

from lampwright.app.answering import search_problem
from lampwright.diagnosis import conflicts
from lampwright.diagnosis.shortfall import shortfall_of
from lampwright.diagnosis.survey import TooMuchError, survey_problem
from lampwright.graphs.listing import endpoints, list_blocks, open_listing
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import circuit_key
from lampwright.network.netlist import Netlist
from lampwright.network.reduce import reductions
from lampwright.problem.problem import Problem, asking_only, choice_count, choice_of, fit_of, prepare
from lampwright.progress.bar import quiet
from lampwright.prove.conflict import ConflictAnswer, ModelConflict
from lampwright.prove.partitions import joined_requirements
from lampwright.results.design import Design, PartRow
from lampwright.results.shortfall import Shortfall
from lampwright.searching.evaluate import go_on
from lampwright.searching.options import SearchOptions
from lampwright.searching.plan import Step, plan_steps
from lampwright.searching.search import find_circuits
from lampwright.spec.load import parse_spec

MOST_PAIRS = 4_000
Place = tuple[int, int]


def pairs_of(problem: Problem, steps: tuple[Step, ...]) -> int:
    return sum(
        circuits * choice_count(fit_of(problem, placing.cell.arcs, placing.cell.links))
        for step in steps
        for placing, circuits in step.orbits.items()
    )


def is_found(problem: Problem | None) -> bool:
    assert problem is not None, "asking less is a spec too"
    return find_circuits(problem, SearchOptions(), quiet()).kind == "found"


@dataclass(frozen=True)
class Hopeless:
    """A spec by chance that no circuit meets."""

    kit: Kit
    words: Words
    problem: Problem
    steps: tuple[Step, ...]

    def keeping(self, places: set[Place]) -> Problem | None:
        """The spec that asks these things only, by setting and filament."""
        if not places:  # no spec file asks nothing
            return asking_only(self.problem, ())
        some = [
            [word if (row, at) in places else None for at, word in enumerate(words)]
            for row, words in enumerate(self.words)
        ]
        return self.kit.problem(some)

    @property
    def places(self) -> list[Place]:
        """What is asked, by setting and filament; of light where nothing is live a spec says nothing."""
        worded = ((row, at) for row, words in enumerate(self.words) for at, word in enumerate(words) if word)
        return [place for place in worded if self.keeping({place}) is not None]

    def place_of(self, lamp: str, state: str) -> Place:
        setting = next(dict(one.setting) for one in self.problem.states if one.name == state)
        wanted = tuple(setting[feed.lower()] for feed in self.kit.feeds)
        return self.kit.settings.index(wanted), self.kit.filaments.index(lamp)


def hopeless(count: int, most_places: int) -> Iterator[Hopeless]:
    """So many specs that no circuit meets, each with few circuits and few requirements."""
    dice = random.Random(11)
    while count:
        kit = some_kit(dice)
        words = some_words(dice, kit)
        problem = kit.problem(words)
        asked = sum(word is not None for row in words for word in row)
        if problem is None or not 3 <= asked <= most_places:
            continue
        steps = plan_steps(Judge(problem), None)
        if not 100 < pairs_of(problem, steps) <= MOST_PAIRS or is_found(problem):
            continue
        count -= 1
        yield Hopeless(kit, words, problem, steps)


@cache
def some_hopeless() -> tuple[Hopeless, ...]:
    return tuple(hopeless(12, 7))


def shortfall(problem: Problem, steps: tuple[Step, ...], proved: ModelConflict | None = None) -> Shortfall:
    return shortfall_of(Judge(problem), steps, survey_problem(problem, steps), proved)


def is_met(problem: Problem | None, steps: tuple[Step, ...]) -> bool:
    """Whether some circuit meets the spec, also where it carries a part that it does not need.

    Such a part may be all that ties lamps to the terminals which need never be lit.
    """
    assert problem is not None, "asking less is a spec too"
    return is_found(problem) or any(one.sound and not one.rank[0] for one in judged_all(problem, steps))


@pytest.mark.nightly
@pytest.mark.parametrize("number", range(12))
def test_a_conflict_is_smallest(number: int) -> None:
    one = some_hopeless()[number]
    said = shortfall(one.problem, one.steps)
    conflict = said.conflict
    if conflict is None:
        assert "it is a rating or the coupling that stands in the way" in said.looked_at, "else it is settled"
        assert any(not judged.rank[0] for judged in judged_all(one.problem, one.steps)), (
            "every row can be met"
        )
        return
    assert conflict.smallest, "the smallest is looked for"
    assert conflict.proof == "listed values", "nothing more is claimed"
    places = {one.place_of(row.lamp, row.state) for row in conflict.requirements}
    assert len(places) == len(conflict.requirements), "each names one cell of the table"
    assert not is_met(one.keeping(places), one.steps), "these alone cannot be met"
    for fewer in combinations(one.places, len(places) - 1):
        assert is_met(one.keeping(set(fewer)), one.steps), (
            f"{sorted(places)} is no smallest conflict: {fewer}"
        )


@dataclass(frozen=True)
class Judged:
    """One choice of one circuit, judged. rank: what is compared first; order: all of it."""

    key: bytes
    netlist: Netlist
    rank: tuple[int, float]
    order: tuple[object, ...]
    sound: bool


def judged_all(problem: Problem, steps: tuple[Step, ...]) -> list[Judged]:
    """Every choice of every circuit that keeps its ratings, or does all that is asked."""
    judge, found = Judge(problem), []
    for placing in (placing for step in steps for placing in step.orbits):
        cell = placing.cell
        listing, fit = open_listing(cell), fit_of(problem, cell.arcs, cell.links)
        for block in list_blocks(cell):
            for ends in endpoints(listing, block.options):
                e = Netlist(placing.partition, cell.internal, ends, cell.arcs, cell.links)
                for number in range(choice_count(fit)):
                    judgement = judge.judge(e, choice_of(number, fit))
                    missed = int(np.sum(judgement.verdicts.margin < 0.0))
                    rank = missed, -round(max(judgement.margin, -10.0), 6)
                    order = *rank, e.extra_parts, e.wires, e.joints, 0, e.diodes, e.form
                    lamps, load = len(ends) - e.extra_parts, judgement.verdicts.load
                    # the 1N5404 carries 3 A, and resistors of 50 W are on offer; no switch has a limit
                    most = [*[17.0] * lamps, *[3.0] * e.diodes, *[50.0] * e.resistors]
                    sound = bool(np.all(load <= most))
                    if sound or not missed:
                        found.append(Judged(circuit_key(e, problem.layout), e, rank, order, sound))
    return found


def is_wired_from(each: Judged, other: Judged, problem: Problem) -> bool:
    """Whether one circuit is another with one wire more: the blocks of two terminals made one."""
    e, o = each.netlist, other.netlist
    if e.wires != o.wires + 1 or (e.diodes, e.resistors, e.joints) != (o.diodes, o.resistors, o.joints):
        return False
    for first, second in combinations(range(o.blocks), 2):
        names = [first if at == second else at for at in range(o.blocks + o.joints)]
        order = sorted(set(names))
        partition = tuple(order.index(names[at]) for at in o.partition)
        ends = np.array([[order.index(names[end]) for end in pair] for pair in o.ends.tolist()], np.int8)
        joined = Netlist(partition, o.joints, ends, o.diodes, o.resistors)
        if circuit_key(joined, problem.layout) == each.key:
            return True
    return False


@pytest.mark.nightly
@pytest.mark.parametrize("number", range(8))
def test_near_misses_are_the_best_there_are(number: int) -> None:
    one = some_hopeless()[number]
    problem, survey = one.problem, survey_problem(one.problem, one.steps)
    assert survey.scope == "all", "a small spec is looked at as a whole"
    every = judged_all(problem, one.steps)
    best: dict[bytes, Judged] = {}
    best_sound: dict[bytes, Judged] = {}
    for judged in every:
        for kept in (best, best_sound) if judged.sound else (best,):
            kept[judged.key] = min(judged, kept.get(judged.key, judged), key=lambda each: each.order)
    minimal = []
    for each in best.values():
        others = best_sound if each.sound else best
        keys = [circuit_key(smaller.netlist, problem.layout) for smaller in reductions(each.netlist)]
        smaller = [others[key] for key in keys if key in others]
        smaller += [one for one in others.values() if is_wired_from(each, one, problem)]
        if not any(one.rank <= each.rank for one in smaller):
            minimal.append(each)
    minimal.sort(key=lambda each: each.order)
    assert minimal, "some keep their ratings"
    assert [near.order for near in survey.near] == [each.order for each in minimal[: len(survey.near)]]
    assert len(survey.near) == min(5, len(minimal)), "as many as there are, five at most"


RATED = """
lampwright = 1
title = "Two lamps on one contact"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.turn]
kind = "flasher"
feed = "49a"
most_amps = 2.0
[controls.lights]
kind = "switch"
feed = "58"
[lamps.left]
choose = ["P21W", "H21W"]
[lamps.right]
choose = ["P21W"]
[[behaviour]]
when = { turn = "on" }
show = { left = "flash", right = "flash" }
[[same]]
lamps = ["left", "right"]
when = { turn = "on", lights = "off" }
within = 0.2
"""


def made(text: str) -> tuple[Problem, tuple[Step, ...]]:
    problem = prepare(parse_spec(text, "made"))
    return problem, plan_steps(Judge(problem), None)


def test_where_a_rating_stands_in_the_way_no_rows_conflict() -> None:
    said = shortfall(*made(RATED))
    assert said.conflict is None, "every row can be met, by two lamps that are too much for the contact"
    assert "it is a rating or the coupling that stands in the way" in said.looked_at, said.looked_at
    first = said.near_misses[0]
    assert first.missed == (), "it misses nothing"
    assert [line.partition(":")[0] for line in first.over] == ["turn"], first.over
    assert "where 2 A is the most" in first.over[0], first.over
    assert shortfall(*made(RATED.replace("2.0", "5.0"))).near_misses[0].design.margin_stops < 0, (
        "a circuit that meets the spec is no near miss"
    )


def test_where_only_a_rating_is_failed_it_is_named() -> None:
    """A proof that leaves no circuit is one about circuits within their ratings."""
    problem, steps = made(RATED)
    both = joined_requirements(problem)
    proved = ModelConflict(ConflictAnswer.CONFLICT, both, irreducible=True, smallest=True, over="all of it")
    said = shortfall(problem, steps, proved)
    assert said.conflict is not None, "the search does not speak against it"
    assert said.conflict.text.startswith("No circuit within the bounds and within its ratings gives ")
    told = search_problem(problem, SearchOptions(), quiet())
    assert told.verdict.text == "No circuit within the bounds meets the spec within its ratings."
    assert told.shortfall is not None, "why there is none is told"
    assert told.shortfall.near_misses[0].but_for == "within its ratings", "the first gives all that is asked"


class Listening:
    """A progress that remembers what it was told, in order."""

    def __init__(self) -> None:
        self.heard: list[str] = []

    def stage(self, name: str, total: int | None) -> None:
        del total
        self.heard.append(name)

    def advance(self, n: int) -> None:
        del n

    def say(self, text: str) -> None:
        self.heard.append(text)

    def close(self) -> None:
        self.heard.append("closed")


def test_none_is_said_before_it_is_worked_out_why() -> None:
    progress = Listening()
    search_problem(made(RATED)[0], SearchOptions(), progress)
    said = (
        "lampwright: none: No circuit within the bounds meets the spec. Working out why, and what would help."
    )
    assert progress.heard.index(said) < progress.heard.index("looking for what conflicts")
    assert progress.heard[-1] == "closed"


def test_too_many_conductors_stand_in_the_way() -> None:
    place = '[place]\nleft = "trailer"\nright = "car"\nturn = "car"\nsupply = "car"\n'
    text = RATED.replace("2.0", "5.0") + place
    said = shortfall(*made(text + "most_conductors = 1\n"))
    assert said.conflict is None, "every row can be met, with two conductors"
    assert said.near_misses[0].over == ("2 conductors through the coupling, where 1 are the most",)
    assert survey_problem(*made(text + "most_conductors = 2\n")).met, "with two it is met"


def test_lamps_that_must_match_may_conflict() -> None:
    text = RATED.replace("2.0", "5.0").replace('["P21W", "H21W"]', '["R5W"]')
    said = shortfall(*made(text))
    assert said.conflict is not None, "5 W and 21 W do not shine alike"
    asked = [(row.lamp, row.wanted) for row in said.conflict.requirements]
    assert ("left = right", "alike within 20 %") in asked, asked
    missed = [(one.lamp, one.wanted) for near in said.near_misses for one in near.missed]
    assert ("left = right", "alike within 20 %") in missed, missed


LONE = """
lampwright = 1
title = "One lamp, and a contact for less"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.brake]
kind = "switch"
feed = "54"
most_amps = 1.0
[lamps.stop]
choose = ["P21W"]
[[behaviour]]
when = { brake = "on" }
show = { stop = "dim" }
"""


def test_where_every_circuit_is_over_a_rating_what_fails_is_shown_all_the_same() -> None:
    said = shortfall(*made(LONE))
    (near,) = said.near_misses
    assert [one.lamp for one in near.missed] == ["stop"], "it is lit, not dim"
    assert near.over[0].startswith("brake: "), "and its contact carries too much"
    assert said.conflict is not None, "no circuit is sound"
    assert said.conflict.requirements == (), "so nothing that is asked is to blame"
    assert "is over some rating, whatever its lamps do" in said.conflict.text, said.conflict.text
    assert said.looked_at.endswith("Every one of them is over some rating."), said.looked_at


def test_what_is_too_much_is_said() -> None:
    surveys = ((one, survey_problem(one.problem, one.steps)) for one in some_hopeless())
    one, whole = next(
        (one, whole)
        for one, whole in surveys
        if survey_problem(one.problem, one.steps, 0).scope == "nothing"
        and all(near.missed for near in whole.near)
    )
    some = survey_problem(one.problem, one.steps, whole.pairs * len(one.problem.states) - 1)
    assert (whole.scope, some.scope) == ("all", "unrefuted"), "one less than all is allowed"
    assert 0 < some.circuits < whole.circuits, "some are refuted"
    nothing = survey_problem(one.problem, one.steps, 0)
    assert (nothing.scope, nothing.near) == ("nothing", ()), "nothing is allowed"
    said = shortfall_of(Judge(one.problem), one.steps, nothing)
    assert said.looked_at.startswith("None: "), said.looked_at
    assert said.conflict == shortfall(one.problem, one.steps).conflict, "the conflict needs no survey"


def test_a_proof_for_all_values_goes_first(monkeypatch: pytest.MonkeyPatch) -> None:
    one = some_hopeless()[0]
    listed = shortfall(one.problem, one.steps).conflict
    assert listed is not None, "there is one"
    requirements = joined_requirements(one.problem)
    proved = ModelConflict(
        ConflictAnswer.CONFLICT, requirements, irreducible=True, smallest=False, over="all there is"
    )
    said = shortfall(one.problem, one.steps, proved).conflict
    assert said is not None, "all requirements together conflict"
    assert (said.proof, said.smallest, len(said.requirements)) == ("all values", False, len(requirements))
    assert said.checked[0] == "Proved by a constraint model for all there is.", (
        "how it was proved comes first"
    )
    assert "none of the" in said.checked[1], "and the search agrees"
    nothing = ModelConflict(ConflictAnswer.CONFLICT, (), irreducible=True, smallest=False, over="")
    assert shortfall(one.problem, one.steps, nothing).conflict == listed, (
        "what some circuit meets is no conflict, whatever was proved"
    )
    monkeypatch.setattr(conflicts, "PER_JUDGEMENT", conflicts.ALLOWED)
    searcher = conflicts.Searcher(one.problem, one.steps, 0)
    with pytest.raises(TooMuchError):
        searcher.meeting(requirements)


def test_a_conflict_that_is_too_much_work_is_not_settled(monkeypatch: pytest.MonkeyPatch) -> None:
    one = some_hopeless()[0]
    monkeypatch.setattr(conflicts.Searcher.__init__, "__defaults__", (0, go_on))
    said = shortfall(one.problem, one.steps)
    assert said.conflict is None, "no work is allowed"
    assert said.looked_at.endswith("is not settled: that is more work than is allowed."), said.looked_at
    assert said.near_misses, "near misses were found before"


def test_the_same_again() -> None:
    one = some_hopeless()[3]
    assert shortfall(one.problem, one.steps) == shortfall(one.problem, one.steps), "chance has a hand in it"
    assert replace(shortfall(one.problem, one.steps), tried=()).suggestions == (), (
        "these are for others to add"
    )


SINKING = """
lampwright = 1
title = "A feed that another control grounds"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.lights]
kind = "switch"
feed = "58"
[controls.sink]
kind = "positions"
positions = { off = [], on = [["54", "31"]] }
[lamps.rear]
choose = ["W3W"]
[extras]
diodes = { most = 1, choose = ["1N5404"] }
[search]
joints = 0
wires = 1
[[behaviour]]
when = { lights = "on", sink = "off" }
show = { rear = "lit" }
[[behaviour]]
when = { lights = "on", sink = "on" }
show = { rear = "off" }
"""


def short_states(problem: Problem, design: Design) -> list[str]:
    """The states in which wire, contacts and diodes alone lead from the supply to ground, by names."""
    wires = [(part.from_node, part.to_node) for part in design.parts if part.kind == "wire"]
    diodes = [(part.from_node, part.to_node) for part in design.parts if part.kind == "diode"]
    found = []
    for state in problem.states:
        both = [*wires, *((one.a, one.b) for one in state.contacts)]
        ways = nx.DiGraph([*both, *((b, a) for a, b in both), *diodes])
        ways.add_nodes_from(("30", "31"))
        if nx.has_path(ways, "30", "31"):
            found.append(state.full_name)
    return found


def test_no_near_miss_shorts_a_feed() -> None:
    problem, steps = made(SINKING)
    said = shortfall(problem, steps)
    assert said.near_misses, "some circuits come near"
    assert [near for near in said.near_misses if short_states(problem, near.design)] == []
    # by hand: a diode from 58 to the lamp on 54 gives what is asked, and shorts 58 where 54 is grounded
    diode = PartRow(ref="D1", kind="diode", from_node="58", to_node="54", type="1N5404")
    own = replace(said.near_misses[0].design, parts=(diode,))
    assert short_states(problem, own) == ["lights on, sink on"], "the check sees a short"


@pytest.mark.parametrize("number", some([2, 0, 1], 1))
def test_near_misses_by_what_they_miss_then_by_how_much(number: int) -> None:
    one = some_hopeless()[number]
    near = shortfall(one.problem, one.steps).near_misses
    ranks = [(len(each.missed), -max(each.design.margin_stops, -10.0)) for each in near]
    assert len(near) > 1, "there are several"
    assert ranks == sorted(ranks), "fewest requirements missed first, then by how much"
    assert not any(short_states(one.problem, each.design) for each in near), "a feed is shorted"
