"""What a count does before it answers is bounded by what it begins, whatever the spec asks; nothing is timed.

Operating points of the samples are counted where they are solved.
"""

import pytest
from tests.selection import some
from tests.shipped import ROOT

from lampwright.problem.problem import Problem, prepare
from lampwright.problem.reading import read_problem
from lampwright.searching import estimate
from lampwright.searching.estimate import POINTS, count_problem
from lampwright.searching.evaluate import CellShare, ShareEvaluator, ShareResult
from lampwright.spec.load import parse_spec

TYPES = '["R5W", "P21W", "W3W", "W5W", "R10W", "W2.3W", "W16W", "H21W", "T4W"]'


def undemanding(lamps: int) -> Problem:
    """A spec that nearly every circuit meets with nearly all of its choices."""
    text = f"""
lampwright = 1
title = "Many types, little asked"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.lights]
kind = "switch"
feed = "58"
{"".join(f"[lamps.l{n}]{chr(10)}choose = {TYPES}{chr(10)}" for n in range(lamps))}
[[behaviour]]
when = {{ lights = "on" }}
show = {{ l0 = "any" }}
"""
    return prepare(parse_spec(text, "many"))


@pytest.mark.parametrize("lamps", some([1, 3, 4, 5, 7], [1]))
def test_samples_are_small_whatever_is_in_them(lamps: int, monkeypatch: pytest.MonkeyPatch) -> None:
    first: list[int] = []

    def take(self: ShareEvaluator, share: CellShare) -> ShareResult:
        found = real(self, share)
        first.append(found.tally.points)
        return found

    real = ShareEvaluator.take
    monkeypatch.setattr(ShareEvaluator, "take", take)
    # no time for more than the first samples
    monkeypatch.setattr(estimate, "CALIBRATION", 1e-3)
    monkeypatch.setattr(estimate, "LATEST", 1e6)
    report = count_problem(undemanding(lamps), 10**9)
    assert report.choices >= 9**lamps
    assert max(first, default=0) <= 2 * POINTS
    assert report.is_rough == (report.choices > POINTS // 6), (
        "of many choices only some are tried, and it is said"
    )
    assert report.about_seconds > 0.0


def test_what_a_search_refuses_is_not_sampled(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ShareEvaluator, "take", lambda *_: pytest.fail("a sample was taken"))
    assert count_problem(undemanding(9), 10**9).is_rough


def test_a_shipped_spec_is_not_rough(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(estimate, "LATEST", 1e6)
    report = count_problem(read_problem(ROOT / "specs" / "sidecar_side_lamp.toml"), 10**9)
    assert (report.total, report.is_rough) == (295_500, False)


class Clock:
    """Seconds that only pass as something is done."""

    now = 0.0

    def __init__(self, limit: float | None = None) -> None:
        self.began, self.limit = Clock.now, limit

    def seconds(self) -> float:
        Clock.now += 1e-6
        return Clock.now - self.began

    def is_over(self) -> bool:
        return self.limit is not None and self.seconds() > self.limit


def test_what_the_first_design_loads_is_not_taken_for_work(monkeypatch: pytest.MonkeyPatch) -> None:
    loads = [100.0]

    class Slow:
        def __init__(self, judge: object) -> None:
            pass

        def design(self, *_: object) -> None:
            Clock.now += loads.pop() if loads else 0.01

    monkeypatch.setattr(estimate, "Presenter", Slow)
    monkeypatch.setattr(estimate, "Watch", Clock)
    report = count_problem(read_problem(ROOT / "specs" / "handcart_tail_or_stop.toml"), 10**9)
    assert not loads, "a design was written"
    assert report.about_seconds < 100.0


def test_designs_are_assessed_once_in_however_many_ways() -> None:
    assert estimate.About(2.0, 5.0).in_ways(3) == 11.0
