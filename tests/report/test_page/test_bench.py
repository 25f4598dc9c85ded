"""The bench of the page: where current runs, volts, other supplies and choices, failures, and its two modes.

Source: none; the page is held against the JSON, read by json.loads, and Kirchhoff's law.
"""

from typing import Any

import pytest
from msgspec.structs import replace
from tests.report.test_page.bench import NONE, Opened, Run, quantity, run_of
from tests.report.test_page.conftest import Opener
from tests.report.test_page.test_states import check_part, lumens_of, name_of, settings, states
from tests.selection import some, some_rows

from lampwright.report.page.bench import glow, thread
from lampwright.results.design import LampReading

FLOW = """() => {
  const svg = [...document.querySelectorAll(".sheet:not([hidden]) .broad svg")][0];
  const flows = [...svg.querySelectorAll(".flow path")].map((path) => {
    const ends = [0, path.getTotalLength()].map((at) => path.getPointAtLength(at)).map(({x, y}) => [x, y]);
    const moves = getComputedStyle(path).animationName;
    return { from: ends[0], to: ends[1], amps: Number(path.dataset.amps), moves };
  });
  const poles = [...svg.querySelectorAll(".supply > path")].slice(0, 2).map((one) => one.getPointAtLength(0));
  const starts = poles.map(({x, y}) => [x, y]);
  return { flows, plus: starts[0], minus: starts[1], live: svg.querySelectorAll(".live-line").length };
}"""


def near(one: Any, other: Any) -> bool:
    return bool(abs(one[0] - other[0]) < 1.5 and abs(one[1] - other[1]) < 1.5)


def drawn_from(run: Run, row: Any) -> float:
    """What all parts that end at ground bring there, by the JSON [A]."""
    amps = {part["ref"]: part["amps"] for part in row["parts"]}
    parts = [part for part in run.told["designs"][0]["parts"] if part["kind"] != "wire"]
    return float(sum(amps[one["ref"]] * ((one["to"] == "31") - (one["from"] == "31")) for one in parts))


@pytest.mark.parametrize("name", some(["one_filament_stop_tail", "sidecar_side_lamp"], 1))
def test_current_runs_in_one_from_plus_to_ground(name: str, opened: Opener) -> None:
    run = run_of(name)
    with opened(run.html, reduced_motion="reduce") as bench:
        for setting in settings(run):
            for control, position in setting.items():
                bench.put(control, position)
            phase = "" if setting.get("turn", "off") == "off" else "closed"
            while phase and "closed" not in bench.seen()["phase"]:
                bench.press("Step")
            row = states(run)[name_of(setting), phase]
            told = bench.page.evaluate(FLOW)
            wanted = drawn_from(run, row)
            leaves = sum(one["amps"] for one in told["flows"] if near(one["from"], told["plus"]))
            comes = sum(one["amps"] for one in told["flows"] if near(one["to"], told["minus"]))
            # amps are written to 0.0001, each part's apart
            assert leaves == pytest.approx(wanted, abs=0.002), f"{setting}: plus gives {leaves}"
            assert comes == pytest.approx(wanted, abs=0.002), f"{setting}: ground takes {comes}"
            for flow in told["flows"]:
                if not near(flow["to"], told["minus"]):
                    on = sum(one["amps"] for one in told["flows"] if near(one["from"], flow["to"]))
                    into = sum(one["amps"] for one in told["flows"] if near(one["to"], flow["to"]))
                    assert on == pytest.approx(into, abs=0.002), f"{setting}: a path breaks off"
            assert told["live"] > 0, "nothing is live at plus"
        assert bench.complaints == [], "the console complains"


def test_current_moves_unless_motion_is_not_wanted(opened: Opener) -> None:
    for wish, name in (("no-preference", "run"), ("reduce", "none")):
        with opened(run_of("sidecar_side_lamp").html, reduced_motion=wish) as bench:
            assert {one["moves"] for one in bench.page.evaluate(FLOW)["flows"]} == {name}, wish


@pytest.mark.parametrize("wide", some([1280, 390], 1))
def test_volts_stand_at_every_node(wide: int, opened: Opener) -> None:
    run = run_of("sidecar_side_lamp")
    with opened(run.html, viewport={"width": wide, "height": 900}) as bench:
        told = bench.page.evaluate(
            """() => [...document.querySelectorAll(".sheet:not([hidden]) .drawing text.terminal")]
              .filter((one) => one.getClientRects().length)
              .map((one) => [one.closest("[data-node]").dataset.node, one.querySelector(".volts")])
              .map(([node, volts]) => [node, volts.textContent])"""
        )
        at = int(bench.page.locator("#bench").get_attribute("data-state"))
        nodes = {one["node"]: one["volts"] for one in run.told["designs"][0]["states"][at]["nodes"]}
        assert {node for node, _ in told} == set(nodes), "nodes are left out"
        for node, said in told:
            assert quantity(said.strip()) == pytest.approx(nodes[node], rel=0.006, abs=0.001), node


def lamps_shown(bench: Opened) -> list[str]:
    return [lamp["does"].replace("\u00a0", " ") for lamp in bench.seen()["lamps"].values()]


def test_the_supply_goes_through_the_stored_sweep(opened: Opener) -> None:
    run = run_of("sidecar_side_lamp")
    design = run.told["designs"][0]
    with opened(run.html, reduced_motion="reduce") as bench:
        at = int(bench.page.locator("#bench").get_attribute("data-state"))
        slider = bench.page.get_by_label("Supply", exact=True)
        assert int(slider.get_attribute("max")) == len(design["sweep"]["points"]) - 1, "other supplies"
        sound = bench.seen()
        for n, point in enumerate(design["sweep"]["points"]):
            slider.fill(str(n))
            told, seen = point["states"][at], bench.seen()
            assert quantity(bench.page.locator("#volts-said").inner_text().split(" (")[0]) == pytest.approx(
                point["supply"], rel=0.006
            )
            assert [one["does"].split("\u00a0")[0].split(" ")[0] for one in seen["lamps"].values()] == told[
                "levels"
            ]
            refs = [part["ref"] for part in design["states"][at]["parts"]]
            for ref, amps in zip(refs, told["amps"], strict=True):
                check_part(seen["parts"][ref], {"ref": ref, "amps": amps})
        slider.fill(str(design["sweep"]["supplies"].index(design["sweep"]["volts"][1])))
        assert bench.seen() == sound, "the normal supply is not the design's own"


def test_another_choice_is_shown_and_named_in_the_drawing(opened: Opener) -> None:
    run = run_of("sidecar_side_lamp")
    design = run.told["designs"][0]
    with opened(run.html, reduced_motion="reduce") as bench:
        at = int(bench.page.locator("#bench").get_attribute("data-state"))
        picker = bench.page.get_by_label("Fitted", exact=True)
        read = [choice for choice in design["choices"] if "states" in choice]
        assert picker.locator("option").count() == 1 + len(read), "other choices"
        before = bench.page.locator(".sheet:visible .broad").inner_text()
        for n, choice in enumerate(read):
            picker.select_option(index=n + 1)
            levels = [said.split(" ")[0] for said in lamps_shown(bench)]
            assert levels == choice["states"][at]["levels"], "the lamps do something else"
            drawing = bench.page.locator(".sheet:visible .broad").inner_text()
            for part in choice["parts"]:
                assert part.get("type", "") in drawing, f"{part['ref']} keeps its old type"
        picker.select_option(index=0)
        assert bench.page.locator(".sheet:visible .broad").inner_text() == before, "a type is left over"


def test_what_the_spec_says_has_failed_is_a_button(opened: Opener) -> None:
    run = run_of("burnt_out_telltale")
    rows = run.told["designs"][0]["states"]
    damages = list(dict.fromkeys(row["damage"] for row in rows))
    with opened(run.html, reduced_motion="reduce") as bench:
        for damage in damages:
            bench.page.get_by_role("radio", name=damage or "nothing", exact=True).check()
            at = int(bench.page.locator("#bench").get_attribute("data-state"))
            assert rows[at]["damage"] == damage, "another state"
            assert lamps_shown(bench)[2].split(" ")[0] == rows[at]["lamps"][2]["level"], "the tell-tale"
            crossed = bench.page.locator(".sheet:visible .broad .part.broken").evaluate_all(
                "all => all.map((one) => one.dataset.ref)"
            )
            assert crossed == list(rows[at]["failed"]), "what has failed is not marked"
        bench.put("lights", "off")
        assert bench.page.get_by_role("radio", name="nothing", exact=True).is_checked(), (
            "the spec says nothing of a failure there"
        )
        bench.page.get_by_role("radio", name=damages[1], exact=True).check()
        assert bench.page.get_by_role("group", name="lights").get_by_role("radio", name="on").is_checked(), (
            "the switches do not go where the spec speaks of it"
        )


def test_a_state_is_predicted_then_revealed(opened: Opener) -> None:
    with opened(run_of("sidecar_side_lamp").html, reduced_motion="reduce") as bench:
        truth = lamps_shown(bench)
        bench.press("Predict")
        assert set(lamps_shown(bench)) == {"?"}, "a lamp gives itself away"
        hidden = bench.seen()
        assert not any(part["shown"] for part in hidden["parts"].values()), "a current gives it away"
        assert {lamp["glow"] for lamp in hidden["lamps"].values()} == {0}, "a glow gives it away"
        assert not bench.page.locator(".sheet:visible .states").is_visible(), "the table gives it away"
        assert not any(word in hidden["said"] for word in ("lit", "full", "off;")), "the status gives it away"
        kinds = {"off": "dark", "lit": "bright", "full": "bright", "dim": "dim"}
        for lamp, word in zip(hidden["lamps"], truth, strict=True):
            bench.page.get_by_label(f"Your guess for {lamp}").select_option(kinds[word.split(" ")[0]])
        bench.page.get_by_label("Your guess for side").select_option("dark")
        bench.press("Reveal")
        assert lamps_shown(bench) == truth, "the truth is not shown"
        verdicts = bench.page.locator("td.guess").evaluate_all("all => all.map((one) => one.dataset.verdict)")
        assert sorted(verdicts) == ["right"] * (len(truth) - 1) + ["wrong"], f"{verdicts}"
        assert "3 of 4 right" in bench.seen()["said"], "it is not counted"
        bench.put("brake", "off")
        assert set(lamps_shown(bench)) == {"?"}, "the next state is told at once"
        bench.press("Predict")
        assert "?" not in lamps_shown(bench), "it cannot be left"


LARGE = """(selector) => [...document.querySelectorAll(selector)]
  .filter((one) => one.getClientRects().length && one.textContent)
  .map((one) => parseFloat(getComputedStyle(one).fontSize) * one.getScreenCTM().a)"""


@pytest.mark.parametrize(("wide", "high"), some_rows([(1280, 720), (1920, 1080)], 1))
def test_a_projector_shows_the_drawing_alone_and_large(wide: int, high: int, opened: Opener) -> None:
    with opened(run_of("sidecar_side_lamp").html, viewport={"width": wide, "height": high}) as bench:
        bench.press("Present")
        sizes = bench.page.evaluate(LARGE, ".sheet:not([hidden]) .drawing text")
        assert min(sizes) >= high / 45, f"{min(sizes)} pixels"
        assert not bench.page.locator("main > .verdict").is_visible(), "more than the drawing"
        box = bench.page.locator(".sheet:visible .drawing").bounding_box()
        assert box["width"] >= 0.9 * wide, "the screen is not used"
        bench.put("brake", "off")
        bench.page.keyboard.press("Escape")
        assert bench.page.locator("main > .verdict").is_visible(), "it cannot be left"


@pytest.mark.parametrize(("wide", "high"), [(1280, 720), (820, 1180)])
@pytest.mark.parametrize(
    "name", some(["sidecar_side_lamp", "one_filament_stop_tail", "burnt_out_telltale"], 1)
)
def test_the_circuit_stands_above_the_fold(name: str, wide: int, high: int, opened: Opener) -> None:
    with opened(run_of(name).html, viewport={"width": wide, "height": high}) as bench:
        box = bench.page.locator(".sheet:visible .drawing svg:visible").bounding_box()
        assert box["y"] + box["height"] <= high, f"it ends at {box['y'] + box['height']}"


@pytest.mark.parametrize(
    "name", some(["sidecar_side_lamp", "reversing", "long_names", "recovery_alternating_pair"], 1)
)
def test_a_phone_gets_a_drawing_of_its_own(name: str, opened: Opener) -> None:
    with opened(run_of(name).html, viewport={"width": 390, "height": 844}) as bench:
        assert bench.page.locator(".sheet:visible .narrow").is_visible(), "it is the wide one"
        assert not bench.page.locator(".sheet:visible .broad").is_visible(), "both are shown"
        assert min(bench.page.evaluate(LARGE, ".sheet:not([hidden]) .narrow text")) >= 14.0, "small words"
        over = bench.page.locator(".sheet:visible .drawing").evaluate(
            "one => one.scrollWidth - one.clientWidth"
        )
        assert over <= 0, "it must be scrolled"
        last = bench.page.locator(".sheet:visible .narrow svg > *").last
        assert last.locator("use").count() == bench.page.locator(".sheet:visible .narrow text").count(), (
            "lines of current are drawn over words"
        )


ORDER = """(one) => {
  const drawing = document.querySelector(".sheet:not([hidden]) .drawing");
  return Boolean(drawing.compareDocumentPosition(one) & Node.DOCUMENT_POSITION_FOLLOWING);
}"""
"""Whether something comes after the drawing, for the keyboard."""


@pytest.mark.parametrize(("wide", "high"), some_rows([(390, 844), (820, 1180)], 1))
@pytest.mark.parametrize("name", some(["sidecar_side_lamp", "selector_dims"], 1))
def test_on_a_small_screen_the_drawing_comes_first(name: str, wide: int, high: int, opened: Opener) -> None:
    with opened(run_of(name).html, viewport={"width": wide, "height": high}) as bench:
        drawing = bench.page.locator(".sheet:visible .drawing").bounding_box()
        control = bench.page.locator(".switches").bounding_box()
        assert drawing["y"] < high / 2, "it begins below the fold"
        assert drawing["y"] < control["y"], "the controls come first"
        assert control["y"] + control["height"] <= high, "the switches are out of reach"
        assert bench.page.locator("#bench").evaluate(ORDER), "the keyboard comes to the controls first"
        bench.page.get_by_role("radio").first.focus()
        bench.page.set_viewport_size({"width": 1280, "height": 900})
        assert bench.page.evaluate("document.activeElement.type") == "radio", "the focus is lost"
        assert not bench.page.locator("#bench").evaluate(ORDER), "beside it the controls come first"


PRESENTED = [
    (name, wide, high)
    for name in ("sidecar_side_lamp", "long_names", "three_flashers", NONE)
    for wide, high in ((390, 844), (820, 1180), (1280, 720), (1920, 1080))
]


@pytest.mark.parametrize(
    ("name", "wide", "high"),
    some_rows(
        PRESENTED, [("sidecar_side_lamp", 1280, 720), ("sidecar_side_lamp", 390, 844), (NONE, 820, 1180)]
    ),
)
def test_presented_a_drawing_is_whole(name: str, wide: int, high: int, opened: Opener) -> None:
    with opened(run_of(name).html, viewport={"width": wide, "height": high}) as bench:
        bench.press("Present")
        drawing = bench.page.locator(".sheet:visible .drawing")
        box = drawing.locator("svg:visible").bounding_box()
        bar = bench.page.locator("#bench").bounding_box()
        assert box["x"] >= 0, "cut off"
        assert box["y"] >= 0, "cut off"
        assert box["x"] + box["width"] <= wide, "cut off"
        assert box["y"] + box["height"] <= bar["y"] + 0.5, "the controls lie over it"
        assert bar["y"] + bar["height"] <= high + 0.5, "the controls are cut off"
        assert bar["width"] >= wide - 1, "the controls are not as wide as the screen"
        assert drawing.evaluate("one => one.scrollHeight - one.clientHeight") <= 0, "it must be scrolled"
        assert drawing.evaluate("one => one.scrollWidth - one.clientWidth") <= 0, "it must be scrolled"
        bench.page.keyboard.press("Escape")
        assert bench.page.locator(".sheet:visible h2").first.is_visible(), "it cannot be left"


def test_where_there_is_none_help_is_second_and_the_nearest_works(opened: Opener) -> None:
    run = run_of(NONE)
    with opened(run.html) as bench:
        page = bench.page
        first = page.locator("main > *").evaluate_all("all => all.map((one) => one.id || one.className)")
        assert first[0].startswith("verdict"), f"{first}"
        assert first[1] == "help", f"{first}"
        assert first[2] == "circuit", f"{first}"
        lines = page.locator("#help pre").last.locator(".old, .new")
        assert lines.count() >= 2, "the line before is missing"
        assert page.locator("#help del").first.is_visible(), "no line before"
        near_miss = run.told["shortfall"]["near_misses"][0]["design"]
        seen = set()
        for setting in settings(run):
            for control, position in setting.items():
                bench.put(control, position)
            row = next(one for one in near_miss["states"] if one["state"] == name_of(setting))
            assert [word.split(" ")[0] for word in lamps_shown(bench)] == [
                lamp["level"] for lamp in row["lamps"]
            ]
            seen |= {lamp["asked"].partition(": ")[2] for lamp in bench.seen()["lamps"].values()}
        assert "missed" in seen, "nothing is said to be missed"
        assert bench.complaints == [], "the console complains"


@pytest.mark.parametrize("name", some(["sidecar_side_lamp", NONE], 1))
def test_no_backtick_is_read(name: str, opened: Opener) -> None:
    with opened(run_of(name).html) as bench:
        bench.page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        bench.page.evaluate("document.querySelectorAll('pre').forEach((one) => one.remove())")
        assert "`" not in bench.page.locator("body").inner_text(), "a raw backtick"


def test_what_is_of_no_use_at_once_folds_away(opened: Opener) -> None:
    with opened(run_of("sidecar_side_lamp").html) as bench:
        for selector in (".funnel", "#spec pre", ".title-block"):
            assert not bench.page.locator(selector).first.is_visible(), selector
        bench.page.locator("#search summary").click()
        assert bench.page.locator(".funnel").is_visible(), "it cannot be unfolded"


def test_a_lamp_glows_in_its_colour_and_a_thread_is_red(opened: Opener) -> None:
    run = run_of("sidecar_side_lamp")
    colours = {part["ref"]: part["colour"] for part in run.told["designs"][0]["parts"] if "colour" in part}
    assert colours == {"front": "amber", "side": "amber", "stop": "red", "tail": "red"}
    with opened(run.html) as bench:
        found = bench.page.locator(".sheet:visible .broad .part[data-colour]").evaluate_all(
            "all => all.map((one) => [one.dataset.ref, getComputedStyle(one.querySelector('.glow')).fill])"
        )
        assert {ref: fill.removeprefix('url("#').removesuffix('")') for ref, fill in found} == {
            ref: f"light-{colour}" for ref, colour in colours.items()
        }
    assert sorted(lumens_of(run)) == sorted(colours), "lumens are missing"


def test_a_bigger_lamp_glows_more_and_a_warm_one_is_a_thread() -> None:
    full = LampReading(
        lamp="l", volts=13.5, amps=1.0, flux=1.0, level="full", wanted="any", meets=True, margin_stops=None
    )
    assert glow(full, 460.0) > glow(full, 22.0) > 0.2
    off = replace(full, flux=1e-4, level="off", kelvin=1100)
    assert glow(off, 460.0) == 0.0
    assert thread(off) == "a dull red thread"
    assert thread(full) == ""
