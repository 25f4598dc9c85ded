"""What a count does before it answers is bounded by what it begins, whatever the spec asks; nothing is timed.

Operating points of the samples are counted where they are solved.
"""

import pytest
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


@pytest.mark.parametrize("lamps", [1, 3, 4, 5, 7])
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
