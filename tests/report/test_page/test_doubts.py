"""What a margin hangs on, and the circuits that hang on what a bulb holds: the page says what the JSON has.

Source: none; the JSON is read by json.loads, and its figures are put into words here.
"""

import re
from typing import Any

from tests.report.test_page.bench import run_of
from tests.report.test_page.conftest import Opener

HEADING = "What the margin hangs on"
UNMARKED = "caravan_unmarked_bulbs"


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("\u00a0", " ")).strip()


def figure_of(told: Any) -> str:
    said = f"what {told['of']} holds" if told["figure"] == "filling" else f"{told['figure']} of {told['of']}"
    return f"{said} (decides whether the spec is met)" if told["turns"] else said


def margins_in(words: str) -> list[tuple[float, bool]]:
    """The margins that some words tell, each with whether the spec is met."""
    found = re.findall(r": (-?\d+\.\d+)(?: stops)?( \(misses\))?", words)
    return [(float(margin), not missed) for margin, missed in found]


def told_margins(cases: Any) -> list[tuple[float, bool]]:
    return [(round(case["margin_stops"], 2), case["meets"]) for case in cases]


def test_every_doubt_of_every_design_is_on_the_page(opened: Opener) -> None:
    run = run_of(UNMARKED)
    with opened(run.html) as bench:
        for design in run.told["designs"]:
            bench.page.get_by_role("link", name=f"Design {design['rank']}", exact=True).click()
            region = bench.page.get_by_role("region", name=HEADING)
            rows = [
                [plain(cell) for cell in row.locator("th, td").all_text_contents()]
                for row in region.locator("tbody tr").all()
            ]
            doubts = design["doubts"]
            assert {one["figure"] for one in doubts} >= {"filling", "rated watts"}, "nothing to be seen"
            assert [(row[0], row[1]) for row in rows] == [(figure_of(one), one["span"]) for one in doubts]
            for row, one in zip(rows, doubts, strict=True):
                assert margins_in(row[2]) == told_margins(one["cases"]), "the margins then"
                # two decimals are shown
                assert abs(float(row[3].split()[0]) - one["cost_stops"]) <= 0.0051, "what it costs"
            sure = plain(bench.page.locator(".sheet:visible").inner_text())
            for one in design["types"]:
                assert f"{one['type']}: figures of {one['confidence']} confidence" in sure, "how sure"
        assert any(one["turns"] for design in run.told["designs"] for one in design["doubts"]), "none decides"
        assert bench.complaints == [], "the console complains"


def test_where_nothing_is_in_doubt_the_page_says_so(opened: Opener) -> None:
    run = run_of("sidecar_side_lamp")
    assert run.told["designs"][0]["doubts"] == [], "there is something"
    with opened(run.html) as bench:
        text = plain(bench.page.locator(".sheet:visible").inner_text())
        said = "No uncertain figure of the catalogue costs more than a few hundredths of a stop."
        assert f"{HEADING} {said}" in text


def test_circuits_that_hang_on_a_filling_are_told_with_every_case(opened: Opener) -> None:
    run = run_of(UNMARKED)
    hinges = run.told["hinges"]
    with opened(run.html) as bench:
        answer = bench.page.locator("#answer")
        text = plain(answer.inner_text())
        heading = "Circuits that hang on what a bulb holds"
        assert f"{heading} {hinges['text']}" in text, "they are not told of"
        assert hinges["text"] in plain(bench.page.locator(".verdict").first.inner_text()), (
            "nor in the verdict"
        )
        items = answer.locator(f"h3:has-text('{heading}') ~ ul").first.locator("li").all_text_contents()
        assert len(items) == len(hinges["designs"]) > 0, "a circuit is missing"
        for item, one in zip(map(plain, items), hinges["designs"], strict=True):
            for part in one["parts"]:
                assert f"{part['ref']} {part['type']} {part['from']} — {part['to']}" in item, (
                    "how it is joined"
                )
            for case in one["cases"]:
                assert " and ".join(case["assumes"]) in item, "a case is missing"
            assert margins_in(item) == told_margins(one["cases"]), "the margin in each case"
            assert {case["meets"] for case in one["cases"]} == {True, False}, "it hangs on nothing"
    # an answer without such circuits has no such heading
    assert heading not in run_of("sidecar_side_lamp").html
