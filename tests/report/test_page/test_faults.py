"""Faults tried with a click: each chosen, every state worked, and what the page shows held to the JSON.

Source: none; the JSON is read by json.loads, and what a state is under a fault is put together here.
"""

import re
from collections.abc import Iterator, Sequence
from typing import Any

import pytest
from msgspec.structs import replace
from tests.report.test_page.bench import FOUND, Opened, Run, run_of
from tests.report.test_page.conftest import Opener
from tests.report.test_page.test_states import (
    check_lamp,
    check_part,
    lumens_of,
    name_of,
    phase_shown,
    phases_of,
    settings,
)
from tests.selection import examples, some

from lampwright.app.controls import controls_of
from lampwright.report.page.file import page_html

MARKED = """() => {
  const sheet = [...document.querySelectorAll(".sheet")].find((one) => !one.hidden);
  const drawn = (one) => one && getComputedStyle(one).display !== "none";
  const word = (one) => one.querySelector("text.fault").textContent;
  return {
    parts: Object.fromEntries([...sheet.querySelectorAll(".part:not(.wire)")].map((one) => [one.dataset.ref, {
      word: word(one), crossed: drawn(one.querySelector(".cross")),
      cut: Boolean(drawn(one.querySelector(".cut"))),
    }])),
    contacts: [...sheet.querySelectorAll(".feed")].map((one) => ({
      node: one.dataset.node, control: one.dataset.label, word: word(one),
      ways: [...one.querySelectorAll(".blade.closed")].map((blade) => blade.dataset.to ?? "30"),
      // crossed out, and not live beyond
      fuses: [...one.querySelectorAll(".fused")].flatMap((fuse) => [
        drawn(fuse.querySelector(".cross")), fuse.classList.contains("blown")]),
    })),
    live: [...sheet.querySelectorAll(".net.fed")].map((net) => net.dataset.node),
    failed: Object.fromEntries([...document.querySelectorAll(".lamps tbody tr")].map((row) => [
      row.dataset.lamp, row.querySelector(".failed").textContent])),
    told: document.querySelector(".fault-told").hidden ? "" : document.querySelector(".fault-told").innerText,
    heading: [...sheet.querySelectorAll(".fault-name, .of-sound")].filter((one) => !one.hidden)
      .map((one) => one.textContent),
  };
}"""
WORDS = {
    "filament open": "open",
    "lamp missing": "missing",
    "part open": "open",
    "part shorted": "shorted",
    "fuse blown": "blown",
    "feeds bridged": "bridged",
    "ground lost at lamp": "no ground",
    "ground lost in zone": "no ground",
}


def every_state(bench: Opened, run: Run) -> Iterator[tuple[str, str]]:
    """Work the controls through every state; yield its name, and its phase as shown."""
    for setting in settings(run):
        for control, position in setting.items():
            bench.put(control, position)
        count = phases_of(run, setting)
        for _ in range(count):
            if count > 1:
                bench.press("Step")
            yield name_of(setting), phase_shown(bench.seen()["phase"])


def named(state: str, phase: str) -> str:
    return f"{state} ({phase})" if phase else state


def expected(trial: Any, sound: Any) -> Any:
    """What a state reads under a fault; None where a fuse blows, the sound readings where nothing alters."""
    own = [row for row in trial["states"] if row["state"] == named(sound["state"], sound["phase"])]
    if not own:
        return sound
    (row,) = own
    if row["shorted"]:
        return None
    amps = dict(zip((part["ref"] for part in sound["parts"]), row["amps"], strict=True))
    lamps = [
        {**lamp, "flux": flux, "level": level, "amps": abs(amps[lamp["lamp"]])}
        for lamp, flux, level in zip(sound["lamps"], row["flux"], row["levels"], strict=True)
    ]
    return {
        "lamps": lamps,
        "parts": [{"ref": ref, "amps": value} for ref, value in amps.items()],
        "live": row["live"],
    }


def volts_of(design: Any, trial: Any, sound: Any) -> dict[str, float]:
    """Volts across every lamp under a fault, from the potentials of its nodes."""
    (row,) = (row for row in trial["states"] if row["state"] == named(sound["state"], sound["phase"]))
    at = dict(zip((node["node"] for node in sound["nodes"]), row["volts"], strict=True))
    across = {part["ref"]: abs(at[part["from"]] - at[part["to"]]) for part in design["parts"]}
    return across | {ref: abs(volts) for ref, volts in zip(trial["loose"], row["loose_volts"], strict=True)}


def fused_by(fault: str) -> str:
    """The control whose fuse is blown, by the fault's name; of terminal 30 a drawing has it as the supply."""
    named = re.match(r"fuse of (.+?)( \(.*\))? blown", fault)
    assert named, fault
    return "supply" if named[1] == "30" else named[1]


def check_fuses(marked: Any, control: str, nodes: Sequence[str]) -> None:
    """Of this control the fuse is crossed out wherever it is drawn, and named at what hangs on it alone."""
    fuses = 0
    for one in marked["contacts"]:
        is_its = one["control"] == control
        # a contact to ground alone has no fuse; below a pole at the supply stand terminals without blades
        is_fed = "30" in one["ways"] or (not one["ways"] and one["node"] in nodes)
        assert (one["word"] == "blown") == (is_its and is_fed), one
        assert one["fuses"] == [is_its] * len(one["fuses"]), one
        fuses += is_its * len(one["fuses"])
    assert fuses > 0 or not control, f"the fuse of {control} is not drawn"


def check_marks(marked: Any, trial: Any) -> None:
    """What has failed is marked in words and by a cross, and nothing else is."""
    word = WORDS[trial["kind"]]
    failed = {*trial["gone"], *trial["loose"]}
    for ref, mark in marked["parts"].items():
        wanted = {
            "word": word if ref in failed else "",
            "crossed": ref in trial["gone"],
            "cut": ref in trial["loose"],
        }
        assert mark == wanted, ref
    if word == "blown":
        check_fuses(marked, fused_by(trial["fault"]), trial["nodes"])
    else:
        check_fuses(marked, "", ())
        said = {one["node"]: one["word"] for one in marked["contacts"]}
        assert said == {node: word if node in trial["nodes"] else "" for node in said}, (
            "other feeds are marked"
        )
    for lamp, said in marked["failed"].items():
        assert said == (word if lamp in failed else ""), "the table does not name what failed"
    assert marked["heading"][0] == f"Fault: {trial['fault']}", "the drawing does not say which fault"
    assert len(marked["heading"]) == 2, "it is not said that the texts are of the sound circuit"


def check_told(told: str, design: Any, trial: Any, sound: Any, is_blown: bool) -> None:
    """The sentence tells every change that the care of the design lists for this state, and no other."""
    (row,) = (row for row in design["care"]["faults"]["faults"] if row["fault"] == trial["fault"])
    state = named(sound["state"], sound["phase"])
    told = told.replace("\u00a0", " ")
    assert f"{row['met']} of {row['asked']} requirement" in told, told
    if is_blown:
        assert "a fuse blows" in told, told
        return
    changed = {change["lamp"]: change for change in row["changes"] if state in change["states"]}
    for lamp in sound["lamps"]:
        found = re.search(rf"(?<!\w){re.escape(lamp['lamp'])} is (\w+)[^,]*? instead of (\w+)", told)
        assert bool(found) == (lamp["lamp"] in changed), f"{lamp['lamp']}: {told}"
        if found:
            change = changed[lamp["lamp"]]
            assert found.groups() == (change["now"], change["was"]), told


def check_fault(bench: Opened, run: Run, trial: Any, state: str, phase: str) -> None:
    """Hold everything shown under a fault against the JSON."""
    design = run.told["designs"][0]
    (sound,) = (row for row in design["states"] if (row["state"], row["phase"]) == (state, phase))
    wanted, seen, marked = expected(trial, sound), bench.seen(), bench.page.evaluate(MARKED)
    check_marks(marked, trial)
    check_told(marked["told"], design, trial, sound, wanted is None)
    assert trial["fault"] in seen["said"], "a screen reader is not told of the fault"
    if wanted is None:
        assert {lamp["does"] for lamp in seen["lamps"].values()} == {"a fuse blows"}, "it is not said"
        assert {lamp["bulb"] for lamp in seen["lamps"].values()} == {0.0}, "a lamp burns on a blown fuse"
        assert not any(part["shown"] for part in seen["parts"].values()), "current flows all the same"
        assert marked["live"] == [], "a net is live all the same"
        return
    if wanted is sound:
        assert "Here it changes nothing." in marked["told"], f"it says {marked['told']!r}"
        across = {lamp["lamp"]: lamp["volts"] for lamp in sound["lamps"]}
        live = {node["node"] for node in sound["nodes"] if node["held"] == "live"}
    else:
        across, live = volts_of(design, trial, sound), set(wanted["live"])
    drawn = {node for part in design["parts"] for node in (part["from"], part["to"])}
    assert set(marked["live"]) & drawn == live & drawn, "other nets are live"
    for lamp in wanted["lamps"]:
        shown = seen["lamps"][lamp["lamp"]]
        asked = shown["asked"].partition(": ")
        assert asked[0] == ("nothing" if lamp["wanted"] == "any" else lamp["wanted"]), "what is asked differs"
        kept = {**shown, "asked": f"{asked[0]}: kept" if asked[2] else asked[0]}
        check_lamp(kept, {**lamp, "volts": across[lamp["lamp"]]}, lumens_of(run)[lamp["lamp"]])
    for part in wanted["parts"]:
        check_part(seen["parts"][part["ref"]], part)


MOST_STATES = "three_flashers"
"""27 states; two flashers make the same ones."""


@pytest.mark.parametrize("name", some([n for n in FOUND if n != MOST_STATES], ["trailer_feed_telltale"]))
def test_every_fault_in_every_state_is_as_in_the_json(name: str, opened: Opener) -> None:
    run = run_of(name)
    trials = run.told["designs"][0]["trials"]
    with opened(run.html, reduced_motion="reduce") as bench:
        offered = bench.page.locator("#fault option").all_text_contents()
        assert offered == ["no fault", *(trial["fault"] for trial in trials)], "other faults are offered"
        for trial in trials:
            bench.choose_fault(trial["fault"])
            for state, phase in every_state(bench, run):
                check_fault(bench, run, trial, state, phase)
        assert bench.complaints == [], "the console complains"


@pytest.mark.parametrize("name", ["reversing", "two_fuses"])
def test_a_blown_fuse_is_marked_at_its_own_contacts(name: str, opened: Opener) -> None:
    run = run_of(name)
    design = run.told["designs"][0]
    blown = [trial for trial in design["trials"] if trial["kind"] == "fuse blown"]
    asked = {row["damage"] for row in design["states"] if row["fuse_blown"]}
    assert blown, "no fuse can blow"
    with opened(run.html, reduced_motion="reduce") as bench:
        for trial in blown:
            bench.choose_fault(trial["fault"])
            check_marks(bench.page.evaluate(MARKED), trial)
        for damage in sorted(asked):
            bench.page.get_by_role("radio", name=damage, exact=True).check()
            control = fused_by(damage)
            (nodes,) = (one["nodes"] for one in blown if fused_by(one["fault"]) == control)
            check_fuses(bench.page.evaluate(MARKED), control, nodes)


def test_a_click_blows_the_fuse_that_is_clicked(opened: Opener) -> None:
    # both fuses lead to terminal 54
    chosen = "document.getElementById('fault').selectedOptions[0].textContent"
    with opened(run_of("two_fuses").html) as bench:
        for control, fault in (("way", "fuse of way (54, C) blown"), ("brake", "fuse of brake (54) blown")):
            fuse = bench.page.locator(f".sheet:visible .broad .feed[data-label={control}] .fused .symbol")
            fuse.first.click(force=True)
            assert bench.page.evaluate(chosen) == fault, "another fault, or none"


def test_the_number_kept_adds_up(opened: Opener) -> None:
    # counted on the page over all states; this spec asks no two lamps to match
    run = run_of("sidecar_side_lamp")
    design = run.told["designs"][0]
    rows = {row["fault"]: row for row in design["care"]["faults"]["faults"]}
    with opened(run.html, reduced_motion="reduce") as bench:
        for trial in design["trials"][: examples(1, 3)]:
            bench.choose_fault(trial["fault"])
            asked = [
                lamp["asked"]
                for _ in every_state(bench, run)
                for lamp in bench.seen()["lamps"].values()
                if lamp["asked"] != "nothing"
            ]
            kept, row = sum(said.endswith(": kept") for said in asked), rows[trial["fault"]]
            assert (kept, len(asked)) == (row["met"], row["asked"]), f"under {trial['fault']}"


def test_mending_gives_the_sound_circuit_back(opened: Opener) -> None:
    run = run_of("sidecar_side_lamp")
    with opened(run.html) as bench:
        sound, plain = bench.seen(), bench.page.evaluate(MARKED)
        bench.choose_fault("stop open")
        assert bench.seen() != sound, "the fault shows nowhere"
        bench.choose_fault("no fault")
        assert bench.seen() == sound, "something of the fault is left"
        assert bench.page.evaluate(MARKED) == plain, "a mark is left"
        assert plain["told"] == "", "something is told of no fault"
        assert plain["heading"] == [], "a fault is named though there is none"


def test_a_click_breaks_and_another_mends(opened: Opener) -> None:
    run = run_of("one_filament_stop_tail")
    with opened(run.html) as bench:
        chosen = "document.getElementById('fault').selectedOptions[0].textContent"
        for target, fault in (
            (".part[data-ref=R1] .symbol", "R1 open"),
            (".part[data-ref=rear] .symbol", "rear open, or its lamp missing"),
            (".feed[data-node='58'] .fused .symbol", "fuse of lights (58) blown"),
        ):
            before = bench.page.locator("input:checked").evaluate_all("all => all.map((one) => one.value)")
            bench.page.locator(target).first.click(force=True)
            assert bench.page.evaluate(chosen) == fault, "another fault, or none"
            after = bench.page.locator("input:checked").evaluate_all("all => all.map((one) => one.value)")
            assert after == before, "a switch moved"
        bench.page.locator(".feed[data-node='58'] .fused .symbol").first.click(force=True)
        assert bench.page.evaluate(chosen) == "no fault", "the second click does not mend"


def test_keys_alone_choose_a_fault(opened: Opener) -> None:
    with opened(run_of("trailer_feed_telltale").html) as bench:
        bench.page.get_by_label("Fault", exact=True).focus()
        before = bench.seen()["said"]
        bench.page.keyboard.press("ArrowDown")
        assert "Fault, left open, or its lamp missing" in bench.seen()["said"], "an arrow key does nothing"
        bench.page.keyboard.press("ArrowUp")
        assert bench.seen()["said"] == before, "the way back does nothing"


def test_another_design_has_faults_of_its_own(opened: Opener) -> None:
    run = run_of("selector_dims")
    with opened(run.html) as bench:
        bench.choose_fault("R1 shorted")
        bench.page.get_by_role("link", name="Design 3", exact=True).click()
        offered = bench.page.locator("#fault option").all_text_contents()
        assert offered[1:] == [trial["fault"] for trial in run.told["designs"][2]["trials"]], "other faults"
        assert "D1 open" in offered, "the diode cannot fail"
        assert bench.page.evaluate(MARKED)["heading"] == [], "the other design's fault is still there"


def test_a_design_without_trials_offers_none(opened: Opener) -> None:
    run = run_of("recovery_alternating_pair")
    first = run.ranking.designs[0]
    bare = replace(first, rank=2, trials=(), sweep=None, care=None)
    both = replace(run.ranking, designs=(first, bare))
    with opened(page_html(both, controls_of(run.spec), run.spec.text)) as bench:
        assert bench.page.locator("#fault").is_enabled(), "no fault to choose"
        bench.page.get_by_role("link", name="Design 2", exact=True).click()
        assert bench.page.locator("#fault").is_disabled(), "a fault to choose where none was tried"
        assert bench.page.locator(".sheet:visible .chart").count() == 0, "a chart without a sweep"
        assert bench.complaints == [], "the console complains"
    alone = replace(run.ranking, designs=(replace(bare, rank=1),))
    with opened(page_html(alone, controls_of(run.spec), run.spec.text)) as bench:
        assert not bench.page.locator("#fault").is_visible(), "a list of nothing"
