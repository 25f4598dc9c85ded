"""Every switch worked, every lamp watched: the page says what ranking.json says, in every state.

Source: none; the page is held against the JSON, read by json.loads, and nothing of the page's own code.
"""

from itertools import product
from typing import Any

import pytest
from tests.report.test_page.bench import FOUND, Opened, Run, quantity, run_of
from tests.report.test_page.conftest import Opener
from tests.selection import some

LEAST_AMPS = 0.001
"""What the page calls a dead path."""


def states(run: Run) -> dict[tuple[str, str], Any]:
    """The states of the best design, by name and phase."""
    return {(row["state"], row["phase"]): row for row in run.told["designs"][0]["states"]}


def lumens_of(run: Run) -> dict[str, float]:
    """The rated light of the best design's filaments [lm]."""
    return {part["ref"]: part["lumens"] for part in run.told["designs"][0]["parts"] if "lumens" in part}


def settings(run: Run) -> list[dict[str, str]]:
    """Every setting of the controls."""
    names = [control.name for control in run.spec.controls]
    positions = [[position.name for position in control.positions] for control in run.spec.controls]
    return [dict(zip(names, chosen, strict=True)) for chosen in product(*positions)]


def name_of(setting: dict[str, str], damage: str = "") -> str:
    """The name the ranking gives a setting, and what has failed in it."""
    named = ", ".join(f"{name} {at}" for name, at in setting.items() if at != "off") or "all off"
    return f"{named}, {damage}" if damage else named


def phases_of(run: Run, setting: dict[str, str]) -> int:
    """How many phases a setting passes through."""
    on = [one for one in run.spec.controls if one.kind == "flasher" and setting[one.name] == "on"]
    return 1 << len(on)


def phase_shown(said: str) -> str:
    """The phase as the ranking names it, from what the page shows."""
    return "" if said in ("", "Flasher off") else said.removeprefix("Flasher: ").removeprefix("contact ")


def glow_of(told: Any, lumens: float) -> float:
    """The strength of a lamp's glow: the cube root of its light, 500 lm being the most."""
    return float(min(1.0, max(0.12, (told["flux"] * lumens / 500.0) ** (1.0 / 3.0))))


def check_lamp(seen: Any, told: Any, lumens: float) -> None:
    word, _, percent = seen["does"].replace("\u00a0", " ").partition(" ")
    assert word == told["level"], f"{told['lamp']} is shown as {seen['does']}"
    if word == "off":
        assert not percent, "a lamp that is off has no percent"
        assert seen["glow"] == seen["bulb"] == 0.0, f"{told['lamp']} glows though it is off"
    else:
        # two digits below 10 %, whole percents above
        step = 0.5 if told["flux"] >= 0.1 else 0.05
        assert abs(float(percent.removesuffix(" %")) - 100 * told["flux"]) <= step + 1e-6, "percent differs"
        wanted = glow_of(told, lumens)
        # opacity is written with two decimals
        assert abs(seen["glow"] - wanted) <= 0.0051, f"{told['lamp']} glows {seen['glow']}"
        assert seen["bulb"] == pytest.approx(seen["glow"], abs=1e-3), "the two glows differ"
    # three digits of volts, two of amps
    assert quantity(seen["volts"]) == pytest.approx(told["volts"], rel=0.006, abs=0.001), "volts differ"
    assert quantity(seen["amps"]) == pytest.approx(told["amps"], rel=0.06, abs=LEAST_AMPS), "amps differ"
    asked = "nothing" if told["wanted"] == "any" else f"{told['wanted']}: kept"
    assert seen["asked"] == asked, "what is asked differs"


def check_part(seen: Any, told: Any) -> None:
    flows = abs(told["amps"]) >= LEAST_AMPS
    assert seen["shown"] == flows, f"{told['ref']}: arrow {seen}"
    if flows:
        assert seen["back"] == (told["amps"] < 0), f"{told['ref']}: the arrow points the wrong way"
        assert quantity(seen["amps"]) == pytest.approx(abs(told["amps"]), rel=0.06), "amps differ"
    else:
        assert seen["amps"] == "", "a dead path has amps"


def check_state(opened: Opened, run: Run, name: str) -> str:
    """Hold everything shown against the state of that name; return its phase."""
    seen = opened.seen()
    phase = phase_shown(seen["phase"])
    row = states(run)[name, phase]
    assert list(seen["lamps"]) == [lamp["lamp"] for lamp in row["lamps"]], "lamps differ"
    lumens = lumens_of(run)
    for lamp in row["lamps"]:
        check_lamp(seen["lamps"][lamp["lamp"]], lamp, lumens[lamp["lamp"]])
        words = f"{lamp['lamp']} {seen['lamps'][lamp['lamp']]['does']}"
        assert words in seen["said"], f"the status says {seen['said']!r}"
    for part in row["parts"]:
        check_part(seen["parts"][part["ref"]], part)
    live = {node["node"] for node in row["nodes"] if node["held"] == "live"}
    assert set(seen["closed"]) <= live, "a contact is drawn closed and its feed is dead"
    assert len(seen["rows"]) == 1, "not just one row is marked as the present one"
    assert seen["rows"][0]["marked"], "the mark is not to be seen"
    for cell, lamp in zip(seen["rows"][0]["cells"], row["lamps"], strict=True):
        assert lamp["level"] in cell, "the marked row is another state's"
    return phase


def check_setting(opened: Opened, run: Run, setting: dict[str, str], damage: str) -> set[tuple[str, str]]:
    """Put the controls there, let fail what is to, and hold every phase against its state; return these."""
    name, count = name_of(setting, damage), phases_of(run, setting)
    if name not in {known for known, _ in states(run)}:
        # rows with failures speak of some settings alone
        assert damage, f"the JSON has no {name}"
        return set()
    for control, position in setting.items():
        opened.put(control, position)
    if damage:
        opened.page.get_by_role("radio", name=damage, exact=True).check()
    met = set()
    for _ in range(count):
        if count > 1:
            opened.press("Step")
        met.add((name, check_state(opened, run, name)))
    told = f"Failed, {damage}" in opened.seen()["said"]
    assert told == bool(damage), "the status tells of another failure, or of none"
    return met


@pytest.mark.parametrize("name", some(FOUND, ["sidecar_side_lamp", "long_names"]))
def test_every_state_is_as_in_the_json(name: str, opened: Opener) -> None:
    run = run_of(name)
    damages = dict.fromkeys(row["damage"] for row in states(run).values())
    with opened(run.html) as bench:
        met = [check_setting(bench, run, one, damage) for damage in damages for one in settings(run)]
        assert set().union(*met) == set(states(run)), "some state is not to be had"
        assert bench.complaints == [], "the console complains"


def test_a_click_on_a_contact_works_the_switch(opened: Opener) -> None:
    with opened(run_of("trailer_feed_telltale").html) as bench:
        group = bench.page.get_by_role("group", name="left_tail")
        was = group.get_by_role("radio", name="on", exact=True).is_checked()
        bench.page.locator(".feed[data-label=left_tail] > .symbol").first.click(force=True)
        assert group.get_by_role("radio", name="on", exact=True).is_checked() != was, (
            "the switch did not move"
        )


def test_keys_alone_work_everything(opened: Opener) -> None:
    with opened(run_of("recovery_alternating_pair").html) as bench:
        page = bench.page
        reached = set()
        for _ in range(60):
            page.keyboard.press("Tab")
            reached.add(page.evaluate("document.activeElement.name || document.activeElement.id"))
            if page.evaluate("document.activeElement.name") == "control-0":
                before = bench.seen()["said"]
                page.keyboard.press("ArrowRight")
                assert bench.seen()["said"] != before, "an arrow key does nothing to the switch"
        assert {"control-0", "control-1", "run", "step"} <= reached, f"Tab reached {sorted(reached)}"


def test_another_design_is_shown_when_chosen(opened: Opener) -> None:
    run = run_of("selector_dims")
    assert len(run.told["designs"]) > 2, "too few designs to choose from"
    with opened(run.html) as bench:
        bench.page.get_by_role("link", name="Design 3", exact=True).click()
        shown = bench.page.locator(".sheet:visible")
        assert shown.count() == 1, "not just one design is shown"
        assert shown.get_attribute("data-rank") == "3", "another design is shown"
        assert bench.page.locator(".designs tr.current .shown:visible").count() == 1, "no word marks the row"
        shown_parts = set(bench.seen()["parts"])
        assert shown_parts == {part["ref"] for part in run.told["designs"][2]["parts"]}, "parts differ"


@pytest.mark.parametrize("name", some(FOUND, ["sidecar_side_lamp"]))
def test_the_explanation_is_that_of_the_setting(name: str, opened: Opener) -> None:
    run = run_of(name)
    with opened(run.html, reduced_motion="reduce") as bench:
        for setting in settings(run):
            for control, position in setting.items():
                bench.put(control, position)
            numbers = [at for at, key in enumerate(states(run)) if key[0] == name_of(setting)]
            shown = bench.page.locator(".sheet:visible .scene:visible").evaluate_all(
                "all => all.map((one) => one.dataset.states.split(' ').map(Number))"
            )
            assert shown, "nothing is explained"
            assert all(set(scene) & set(numbers) for scene in shown), "another setting's explanation stands"
        bench.press("Show every setting")
        count = bench.page.locator(".sheet:visible .scene").count()
        assert bench.page.locator(".sheet:visible .scene:visible").count() == count, "some setting is hidden"
