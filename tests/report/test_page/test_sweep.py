"""Charts of light against the supply: the lines and fields of the state shown, to scale, in words too.

Source: none; the JSON is read by json.loads, and the charts are measured by their own ticks.
"""

import math
from typing import Any

import pytest
from tests.report.test_page.bench import FOUND, Opened, Run, run_of
from tests.report.test_page.conftest import Opener
from tests.report.test_page.test_faults import every_state, named
from tests.report.test_page.test_states import name_of, settings
from tests.selection import some

CHARTS = """() => {
  const sheet = [...document.querySelectorAll(".sheet")].find((one) => !one.hidden);
  const each = (within, selector, say) => [...within.querySelectorAll(selector)].map(say);
  const number = (one, name) => Number(one.getAttribute(name));
  const pairs = (path) => path.slice(1).split(" L").map((pair) => pair.split(" ").map(Number));
  const shown = (one) => getComputedStyle(one).display !== "none";
  return [...sheet.querySelectorAll(".chart")].map((chart) => ({
    lamp: chart.dataset.lamp,
    ticks: each(chart, "svg > .tick + text", (one) => [parseFloat(one.textContent), number(one, "y") - 3.5]),
    words: [...chart.querySelectorAll(".word-of")].map((one) => one.textContent),
    supplies: each(chart, ".supply", (one) => Number(one.getAttribute("d").split(" ")[1])),
    lines: [...chart.querySelectorAll(".curve")].filter(shown).map((one) => ({
      states: one.dataset.states.split(" ").map(Number),
      points: pairs(one.querySelector("path").getAttribute("d")),
      corners: each(one, "circle", (dot) => [number(dot, "cx"), number(dot, "cy")]),
      dash: getComputedStyle(one.querySelector("path")).strokeDasharray,
    })),
    fields: [...chart.querySelectorAll(".wanted")].filter(shown).map((one) => ({
      states: one.dataset.states.split(" ").map(Number),
      corners: pairs(one.querySelector("path").getAttribute("d").replace(" Z", "")),
      hatched: getComputedStyle(one.querySelector("path")).fill,
    })),
    said: [...chart.querySelectorAll("figcaption p")].filter(shown).map((one) => one.innerText.trim()),
  }));
}"""
ROUNDED = 0.11
"""Places are written to a tenth of a pixel."""


def height(chart: Any, flux: float) -> float:
    """Where a light stands by the chart's own ticks; the scale is even in doublings."""
    (low, y_low), (high, y_high) = chart["ticks"][0], chart["ticks"][-1]
    share = (math.log2(100 * flux) - math.log2(low)) / (math.log2(high) - math.log2(low))
    return float(y_low + share * (y_high - y_low))


def lines_of(run: Run, lamp: str, names: list[str]) -> list[Any]:
    """The lines of the JSON for a lamp in some of these states."""
    lines = run.told["designs"][0]["sweep"]["lines"]
    return [line for line in lines if line["lamp"] == lamp and set(line["states"]) & set(names)]


def check_line(chart: Any, drawn: Any, told: Any, sweep: Any) -> None:
    """A line is drawn where its figures say, what is beyond the scale at its end."""
    low, high = sweep["supplies"][0], sweep["supplies"][-1]
    left, right = drawn["points"][0][0], drawn["points"][-1][0]
    bottom, top = height(chart, 2.0**-10), height(chart, 2.0)
    for (x, y), volts, flux in zip(drawn["points"], sweep["supplies"], told["flux"], strict=True):
        assert x == pytest.approx(left + (volts - low) / (high - low) * (right - left), abs=ROUNDED)
        wanted = bottom if flux <= 2.0**-10 else height(chart, flux)
        assert y == pytest.approx(min(max(wanted, top), bottom), abs=2 * ROUNDED), f"{chart['lamp']} {volts}"
    at = [sweep["supplies"].index(volts) for volts in sweep["volts"]]
    assert drawn["corners"] == [drawn["points"][n] for n in at], (
        "the three supplies are not marked on the line"
    )
    assert chart["supplies"] == [drawn["points"][n][0] for n in at], "the three supplies are not marked"


def check_field(chart: Any, field: Any, told: Any, sweep: Any) -> None:
    """The field spans the low to the high supply, and the band asked for at every supply between."""
    (left, _), (right, _), *lower = field["corners"]
    assert (left, right) == (chart["supplies"][0], chart["supplies"][-1]), "not from low to high"
    upper = 2.0 if told["high_flux"] is None else told["high_flux"]
    for _, y in field["corners"][:2]:
        assert y == pytest.approx(height(chart, upper), abs=2 * ROUNDED), "the upper edge"
    low, high = (sweep["supplies"].index(sweep["volts"][n]) for n in (0, -1))
    if "low_fluxes" in told:
        # what full asks rises with the supply: an edge of its own at every supply
        asked = list(zip(sweep["supplies"], told["low_fluxes"], strict=True))[low : high + 1]
    else:
        least = 2.0**-10 if told["low_flux"] is None else told["low_flux"]
        asked = [(sweep["volts"][0], least), (sweep["volts"][-1], least)]
    for (x, y), (volts, flux) in zip(lower[::-1], asked, strict=True):
        share = (volts - sweep["volts"][0]) / (sweep["volts"][-1] - sweep["volts"][0])
        assert x == pytest.approx(left + share * (right - left), abs=2 * ROUNDED), "the lower edge's volts"
        assert y == pytest.approx(height(chart, flux), abs=2 * ROUNDED), "the lower edge"
    assert "asked" in field["hatched"], "the field is not hatched, so colour alone would tell"


def check_charts(bench: Opened, run: Run, names: list[str]) -> None:
    """Every chart shows the lines and fields of these states, and no others."""
    sweep, states = run.told["designs"][0]["sweep"], run.told["designs"][0]["states"]
    numbers = {named(row["state"], row["phase"]): at for at, row in enumerate(states)}
    charts = bench.page.evaluate(CHARTS)
    assert [chart["lamp"] for chart in charts] == [lamp["lamp"] for lamp in states[0]["lamps"]]
    for chart in charts:
        told = lines_of(run, chart["lamp"], names)
        assert chart["words"] == [level["word"] for level in sweep["levels"]], "the words of the scale"
        by_states = {tuple(numbers[name] for name in line["states"]): line for line in told}
        assert {tuple(line["states"]) for line in chart["lines"]} == set(by_states), "other lines"
        for line in chart["lines"]:
            check_line(chart, line, by_states[tuple(line["states"])], sweep)
        asked = {states for states, line in by_states.items() if line["wanted"] != "any"}
        assert {tuple(field["states"]) for field in chart["fields"]} == asked, "other fields"
        for field in chart["fields"]:
            check_field(chart, field, by_states[tuple(field["states"])], sweep)
        dashes = [line["dash"] for line in chart["lines"]]
        assert len(set(dashes)) == len(dashes), "two lines look the same"
        dark = any(all(name not in line["states"] for line in told) for name in names)
        assert len(chart["said"]) == len(told) + dark, "not every line is told in words"


@pytest.mark.parametrize("name", some(FOUND, ["one_filament_stop_tail"]))
def test_the_lines_are_those_of_the_setting(name: str, opened: Opener) -> None:
    run = run_of(name)
    states = run.told["designs"][0]["states"]
    with opened(run.html, reduced_motion="reduce") as bench:
        for state, _ in every_state(bench, run):
            names = [named(row["state"], row["phase"]) for row in states if row["state"] == state]
            if len(names) <= 4:
                check_charts(bench, run, names)
        assert bench.complaints == [], "the console complains"


def test_words_and_lines_say_the_same(opened: Opener) -> None:
    run = run_of("one_filament_stop_tail")
    with opened(run.html) as bench:
        bench.put("lights", "on")
        bench.put("brake", "off")
        (chart,) = bench.page.evaluate(CHARTS)
        (said,) = chart["said"]
        (line,) = lines_of(run, "rear", ["lights on"])
        sweep = run.told["designs"][0]["sweep"]
        for volts in sweep["volts"]:
            percent = 100 * line["flux"][sweep["supplies"].index(volts)]
            # below ten percent, two digits
            assert f"{percent:.2g} % at {volts:g} V" in said.replace("\u00a0", " "), said
        # the edge by hand: where the line, straight in doublings, meets 15 percent
        flux, supplies = line["flux"], sweep["supplies"]
        at = next(n for n in range(1, len(flux)) if flux[n] > 0.15) if max(flux) > 0.15 else None
        if at is None:
            assert "up to" not in said
        else:
            share = math.log(0.15 / flux[at - 1]) / math.log(flux[at] / flux[at - 1])
            edge = supplies[at - 1] + share * (supplies[at] - supplies[at - 1])
            assert f"{edge:.1f}" in said, said


def test_a_running_flasher_does_not_make_the_charts_flicker(opened: Opener) -> None:
    with opened(run_of("recovery_alternating_pair").html) as bench:
        bench.put("master", "on")
        bench.put("flasher", "off")
        bench.put("flasher", "on")
        first = bench.page.evaluate(CHARTS)
        assert [len(chart["lines"]) for chart in first] == [2, 2], "not both phases"
        assert [said.split(":")[0] for said in first[0]["said"]] == ["While closed", "While open"]
        for _ in range(8):
            bench.page.clock.run_for(250)
            assert bench.page.evaluate(CHARTS) == first, "the charts change with every flash"


def test_the_figures_stand_in_a_table(opened: Opener) -> None:
    run = run_of("sidecar_side_lamp")
    sweep = run.told["designs"][0]["sweep"]
    with opened(run.html) as bench:
        bench.page.locator(".sheet:visible .figures summary").click()
        rows = bench.page.locator(".sheet:visible .figures tbody tr:visible")
        assert rows.count() == len(sweep["lines"]), "a line has no figures"
        cells = rows.nth(0).locator("td").all_text_contents()
        assert len(cells) == len(sweep["supplies"]) + 2, "a supply has no figure"
        current = bench.page.locator(".sheet:visible .figures tr.current")
        setting = {one.name: "off" for one in run.spec.controls}
        for control, position in setting.items():
            bench.put(control, position)
        assert settings(run)[0] == setting
        assert name_of(setting) == "all off"
        asked = [line for line in sweep["lines"] if "all off" in line["states"]]
        assert current.count() == len(asked), "other figures are marked"


def test_charts_are_printed(opened: Opener) -> None:
    with opened(run_of("sidecar_side_lamp").html) as bench:
        bench.page.emulate_media(media="print")
        charts = bench.page.locator(".sheet:visible .chart svg[role=img]:visible")
        assert charts.count() == 4, "a chart is not printed"
        assert len(bench.page.pdf()) > 20_000, "nothing is printed"
