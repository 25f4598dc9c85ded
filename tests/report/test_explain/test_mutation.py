"""An explanation is of one operating point: with two currents, voltages or temperatures swapped it is false.

And its words say what its facts do: who takes more, who is the weaker, whose figure is whose.
"""

import random
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Any, Literal

import pytest
from msgspec import structs
from tests.report.test_explain.conftest import Case
from tests.report.test_explain.filaments import check_kelvin, filaments_called
from tests.report.test_explain.test_truth import told
from tests.report.test_explain.test_words import check_text, found_in
from tests.selection import some

from lampwright.results import explanation as row
from lampwright.results.design import StateRow

APART = {"amps": 0.02, "volts": 0.05, "kelvin": 20}
"""So far apart [A, V, K] are readings whose swap must be found out."""
Reading = Literal["amps", "volts", "kelvin"]


def swaps(case: Case, what: Reading) -> Iterator[Case]:
    """The case with two readings of parts told together swapped, at one state at a time."""
    for group in case.explanation.groups:
        for at, state in enumerate(case.design.states):
            for pair in combinations(group.refs, 2):
                if (spoilt := spoil(state, pair, what)) is not None:
                    states = (*case.design.states[:at], spoilt, *case.design.states[at + 1 :])
                    yield replace(case, design=structs.replace(case.design, states=states))


def spoil(state: StateRow, pair: Sequence[str], what: Reading) -> StateRow | None:
    """Swap the sizes of two readings; None where that would change next to nothing, or nothing told."""
    parts = {part.ref: part for part in state.parts}
    if any(abs(parts[ref].amps) < APART["amps"] for ref in pair):
        return None
    if what == "kelvin":
        lamps = {lamp.lamp: lamp for lamp in state.lamps}
        if not all(ref in lamps for ref in pair):
            return None
        one, other = (lamps[ref].kelvin or 0 for ref in pair)
        if abs(one - other) < APART[what]:
            return None
        new = {pair[0]: other, pair[1]: one}
        return structs.replace(
            state,
            lamps=tuple(
                structs.replace(lamp, kelvin=new.get(lamp.lamp, lamp.kelvin)) for lamp in state.lamps
            ),
        )
    sizes = [abs(getattr(parts[ref], what)) for ref in pair]
    if abs(sizes[0] - sizes[1]) < APART[what]:
        return None
    sign = {ref: 1.0 if getattr(parts[ref], what) >= 0 else -1.0 for ref in pair}
    swapped = {
        pair[0]: structs.replace(parts[pair[0]], **{what: sign[pair[0]] * sizes[1]}),
        pair[1]: structs.replace(parts[pair[1]], **{what: sign[pair[1]] * sizes[0]}),
    }
    return structs.replace(state, parts=tuple(swapped.get(part.ref, part) for part in state.parts))


@pytest.mark.parametrize("what", some(["amps", "volts", "kelvin"], ["volts"]))
def test_a_swap_of_two_readings_makes_the_explanation_false(cases: tuple[Case, ...], what: Reading) -> None:
    some = random.Random(10).sample(cases, 90)
    tried = 0
    for case in some:
        for spoilt in list(swaps(case, what))[:12]:
            tried += 1
            with pytest.raises(AssertionError):
                for _ in told(spoilt):
                    pass
    assert tried > 100, "too few to mean anything"


def statements(cases: Sequence[Case]) -> Iterator[tuple[Case, row.Statement]]:
    for case in cases:
        for group in case.explanation.groups:
            for scene in group.scenes:
                for said in scene.statements:
                    yield case, said


def test_every_temperature_is_that_of_the_resistance(cases: tuple[Case, ...]) -> None:
    tried = 0
    for case, said in statements(cases):
        for fact in found_in(said):
            if fact.kelvin < 400:
                continue  # where the data sets are farthest apart
            kind = next(part.type for part in case.design.parts if part.ref == fact.ref) or ""
            rated = [
                one.rated_kelvin
                for one in filaments_called(kind)
                if abs(one.rated_ohms / fact.rated.ohms - 1.0) < 1e-6
            ]
            check_kelvin(fact, rated[0])
            tried += 1
    assert tried > 300, "too few to mean anything"


def size(text: str) -> float:
    """A quantity as a number in its plain unit."""
    value, unit = text.replace("\u00a0", " ").replace(",", "").split(" ")
    return float(value) * {"m": 1e-3, "µ": 1e-6, "k": 1e3}.get(unit[0], 1.0)


def close(text: str, value: float, within: float = 0.06) -> bool:
    """Whether a printed quantity is this value, to two digits."""
    return abs(size(text) - value) <= within * value


QUANTITY = r"(?<!\w)(\d[\d,]*(?:\.\d+)?\s(?:[mµk]?[VAWΩ]|K))"
PAIR = f"{QUANTITY} against {QUANTITY}"


def check_compared(said: row.Compared) -> None:
    """Each sentence names the right one first, and gives the figures in the same order."""
    more, less = said.more, said.less
    watts = [fact.rated.volts * fact.rated.amps for fact in (more, less)]
    spoken: dict[str, list[float]] = {
        f"^{more.ref} is a weaker lamp than {less.ref}, made for {PAIR}": watts,
        f"at rated voltage it has {PAIR}, so": [more.rated.ohms, less.rated.ohms],
        f"{more.ref} carries more current than {less.ref}, {PAIR}\\.": [more.amps, less.amps],
        f"feeds back: {more.ref} gets more power, {PAIR}, so it is hotter": [more.watts, less.watts],
        f"so it is hotter, {PAIR}; a hot filament resists more": [more.kelvin, less.kelvin],
    }
    needs = {0: "weaker", 1: "weaker", 2: "more current", 3: "feedback", 4: "feedback"}
    for at, (pattern, values) in enumerate(spoken.items()):
        found = re.search(pattern, said.text)
        assert (found is not None) == (needs[at] in said.reasons), f"{said.text}: {pattern}"
        if found:
            assert all(close(text, value) for text, value in zip(found.groups(), values, strict=True)), (
                said.text
            )


def check_power(said: row.Power) -> None:
    """Volts times amps as printed are the watts as printed."""
    for fact in said.filaments:
        found = re.search(f"{fact.ref} {QUANTITY} × {QUANTITY} = {QUANTITY}", said.text)
        assert found, said.text
        volts, amps, watts = (size(text) for text in found.groups())
        assert close(found[1], fact.volts, 0.006), said.text
        assert close(found[2], fact.amps, 0.006), said.text
        assert abs(volts * amps - watts) <= 0.06 * watts, said.text


def check_series(said: row.Series) -> None:
    """Each part has its own volts and ohms."""
    for part in said.parts:
        for pattern, value in ((f"{part.ref} has {QUANTITY}", part.ohms),):
            found = re.search(pattern, said.text)
            assert found or "nearly equally" in said.text, said.text
            if found:
                assert close(found[1], value), said.text


def test_each_figure_stands_beside_the_name_it_belongs_to(cases: tuple[Case, ...]) -> None:
    seen: Counter[str] = Counter()
    for _, said in statements(cases):
        check_text(said)
        seen[said.kind] += 1
        match said:
            case row.Compared():
                check_compared(said)
            case row.Power():
                check_power(said)
            case row.Series():
                check_series(said)
    assert all(seen[kind] > 50 for kind in ("compared", "power", "series")), f"too few: {seen}"


def test_no_number_of_a_principle_is_from_elsewhere(cases: tuple[Case, ...]) -> None:
    """Each is one that some statement of a scene with the principle says, or the supply, or rated ohms."""
    tried = 0
    for case in cases:
        for principle in case.explanation.principles:
            said = " ".join(
                one.text
                for group in case.explanation.groups
                for scene in group.scenes
                if set(scene.states) & set(principle.states)
                for one in scene.statements
            )
            for number in re.findall(QUANTITY, principle.text):
                tried += 1
                printed = re.findall(QUANTITY, said)
                unit = number[-1]
                own = [size(one) for one in printed if one[-1] == unit]
                if unit == "V":
                    own.append(case.explanation.volts)
                if unit == "Ω":
                    fitted = {part.type for part in case.design.parts if part.kind == "filament"}
                    own += [one.rated_ohms for kind in fitted for one in filaments_called(kind or "")]
                assert any(close(number, value, 0.051) for value in own), f"{principle.text}: {number}"
    assert tried > 100, "too few to mean anything"


def added(case: Any) -> Iterator[tuple[row.Principle, re.Match[str]]]:
    for principle in case.explanation.principles:
        found = re.match(
            r"Currents that add: (\S+) carries (.*) together, (.*) = (\S+\sA)\. ", principle.text
        )
        if principle.trick == "meeting":
            assert found, principle.text
            yield principle, found


def test_currents_are_added_once_where_parts_are_in_series(cases: tuple[Case, ...]) -> None:
    seen: Counter[str] = Counter()
    for case in cases:
        for principle, found in added(case):
            state = next(
                one
                for one in case.design.states
                if (one.state, one.phase) == (principle.states[0].state, principle.states[0].phase)
            )
            amps = {part.ref: abs(part.amps) for part in state.parts}
            branches = [
                one.split(" in series with ")
                for one in re.split(r"(?:, | and )?the current of ", found[2])[1:]
            ]
            for branch in branches:
                assert max(amps[ref] for ref in branch) - min(amps[ref] for ref in branch) < 2e-3, (
                    principle.text
                )
                seen["in series" if len(branch) > 1 else "alone"] += 1
            total = sum(amps[branch[0]] for branch in branches)
            assert abs(total - amps[found[1]]) < 6e-3, f"{principle.text}: {total} A come together"
            terms = [size(one.strip()) for one in found[3].split("+")]
            # amps are printed to two figures or a hundredth: each term may be off by half of that
            rounding = 0.005 * len(terms) + 0.006 * size(found[4])
            assert abs(sum(terms) - size(found[4])) <= rounding, principle.text
    assert set(seen) == {"in series", "alone"}, f"these never occurred, so were not tried: {seen}"
