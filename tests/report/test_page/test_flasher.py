"""The flasher keeps a legal rate, rests when told to, and never runs by itself where motion is unwelcome.

Source: UN Regulation No. 6 and UK inspection manual: 60 to 120 flashes a minute (from memory);
WCAG 2.2, success criteria 2.2.2 and 2.3.1 (pause; no more than three flashes a second).
"""

from collections.abc import Iterator
from itertools import pairwise

import pytest
from tests.report.test_page.bench import Opened, run_of
from tests.report.test_page.conftest import Opener

TICK = 50
"""Milliseconds between two looks; well below the shortest phase of a legal flasher, 250 ms."""


def watch(bench: Opened, milliseconds: int) -> Iterator[str]:
    """Give what the flasher's line says and how every lamp glows, look by look."""
    for _ in range(milliseconds // TICK):
        bench.page.clock.run_for(TICK)
        yield bench.page.evaluate(
            "document.querySelector('.pulse .phase').textContent + '|' + [...document.querySelectorAll("
            "'.lamps .bulb')].map((bulb) => bulb.style.getPropertyValue('--glow')).join(' ')"
        )


def changes(said: list[str]) -> list[int]:
    """Where the said changes."""
    return [at for at in range(1, len(said)) if said[at] != said[at - 1]]


def test_one_flasher_flashes_90_times_a_minute(opened: Opener) -> None:
    with opened(run_of("recovery_alternating_pair").html) as bench:
        bench.put("flasher", "off")
        bench.put("flasher", "on")
        seen = [one.split("|")[0] for one in watch(bench, 10_000)]
        assert set(seen) == {"Flasher: contact closed", "Flasher: contact open"}, "other words"
        # 90 a minute is 15 in ten seconds, each of two changes; the last may fall on the edge
        assert len(changes(seen)) in (29, 30), f"{len(changes(seen))} changes in ten seconds"
        closed = sum("closed" in one for one in seen) / len(seen)
        assert closed == pytest.approx(0.5, abs=0.02), "not closed half of the time"


@pytest.mark.nightly
def test_two_flashers_pass_all_phases_and_no_lamp_is_hurried(opened: Opener) -> None:
    with opened(run_of("two_flashers").html) as bench:
        for control in ("slow", "fast"):
            bench.put(control, "off")
        bench.put("slow", "on")
        bench.put("fast", "on")
        seen = list(watch(bench, 8_000))
        said = [one.split("|")[0] for one in seen]
        assert len(set(said)) == 4, "not all four phases"
        for name in ("slow", "fast"):
            own = ["closed" if f"{name} closed" in one else "open" for one in said]
            assert len(changes(own)) / 2 / 8 * 60 == pytest.approx(60, abs=5), f"{name}: no 60 a minute"
        for lamp in range(3):
            glow = [one.split("|")[1].split()[lamp] for one in seen]
            # a flash is two changes; two flashes a second are the most this page allows itself
            assert len(changes(glow)) / 2 / 8 <= 2.0, f"lamp {lamp} flashes faster than twice a second"


@pytest.mark.nightly
def test_three_flashers_keep_a_legal_rate_and_no_lamp_is_hurried(opened: Opener) -> None:
    with opened(run_of("three_flashers").html) as bench:
        for control in ("left", "right", "top"):
            bench.put(control, "off")
        for control in ("left", "right", "top"):
            bench.put(control, "on")
        seen = list(watch(bench, 8_000))
        said = [one.split("|")[0] for one in seen]
        for name in ("left", "right", "top"):
            own = ["closed" if f"{name} closed" in one else "open" for one in said]
            assert len(changes(own)) / 2 / 8 * 60 == pytest.approx(60, abs=5), f"{name}: no 60 a minute"
        assert len(set(said)) == 6, "they do not follow each other by a sixth"
        for lamp in range(3):
            glow = [one.split("|")[1].split()[lamp] for one in seen]
            # WCAG 2.2, 2.3.1: three flashes, of two changes each, in any second
            changed = changes(glow)
            a_second = 1000 // TICK
            most = max((sum(at <= one < at + a_second for one in changed) for at in changed), default=0)
            assert most <= 6, f"lamp {lamp} flashes more than three times in a second"


@pytest.mark.nightly
def test_step_leads_through_every_phase_of_three_flashers(opened: Opener) -> None:
    with opened(run_of("three_flashers").html) as bench:
        for position in ("off", "on"):
            for control in ("left", "right", "top"):
                bench.put(control, position)
        bench.press("Pause")
        met = []
        for _ in range(8):
            bench.press("Step")
            met.append(bench.seen()["phase"])
        assert len(set(met)) == 8, "some combination of phases is not to be had"
        for one, other in pairwise(met):
            moved = sum(a != b for a, b in zip(one.split(", "), other.split(", "), strict=True))
            assert moved == 1, "more than one contact moves in a step"


def test_pause_holds_and_run_goes_on(opened: Opener) -> None:
    with opened(run_of("recovery_alternating_pair").html) as bench:
        bench.put("flasher", "off")
        bench.put("flasher", "on")
        bench.press("Pause")
        assert not changes(list(watch(bench, 2_000))), "it flashes on though paused"
        bench.press("Run")
        assert changes(list(watch(bench, 2_000))), "it does not go on"
        bench.put("flasher", "off")
        assert not changes(list(watch(bench, 2_000))), "it flashes though off"
        assert bench.page.get_by_role("button", name="Step").is_disabled(), "nothing to step"


def test_it_starts_at_rest(opened: Opener) -> None:
    with opened(run_of("recovery_alternating_pair").html) as bench:
        assert not changes(list(watch(bench, 2_000))), "it blinks before anyone asked"


def test_where_motion_is_unwelcome_it_steps(opened: Opener) -> None:
    with opened(run_of("recovery_alternating_pair").html, reduced_motion="reduce") as bench:
        bench.put("flasher", "off")
        bench.put("flasher", "on")
        assert not changes(list(watch(bench, 3_000))), "it blinks"
        before = bench.seen()
        bench.press("Step")
        after = bench.seen()
        assert before["phase"] != after["phase"], "it does not step"
        assert before["said"] != after["said"], "the step is not said"


def test_motion_that_becomes_unwelcome_stops(opened: Opener) -> None:
    with opened(run_of("recovery_alternating_pair").html) as bench:
        bench.put("flasher", "off")
        bench.put("flasher", "on")
        bench.page.emulate_media(reduced_motion="reduce")
        assert not changes(list(watch(bench, 2_000))), "it blinks on"


def test_a_running_flasher_is_said_once(opened: Opener) -> None:
    with opened(run_of("recovery_alternating_pair").html) as bench:
        bench.put("flasher", "off")
        bench.put("flasher", "on")
        said = bench.seen()["said"].replace("\u00a0", " ")
        assert "small off while closed, full 94 % while open" in said, said
        for _ in watch(bench, 1_000):
            assert bench.seen()["said"].replace("\u00a0", " ") == said, "a screen reader is told every flash"
