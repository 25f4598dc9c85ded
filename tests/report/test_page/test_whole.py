"""The page as a file: small, the same every time, and honest where there is nothing to draw."""

import re
from dataclasses import replace

from msgspec import structs
from tests.report.test_page.bench import NONE, run_of
from tests.report.test_page.conftest import Opener

from lampwright.app.controls import controls_of
from lampwright.report.page.file import MOST_DRAWN, page_html
from lampwright.results.design import Design, StateRow
from lampwright.results.ranking import Ranking
from lampwright.results.trials import FaultTrial, Sweep

LIMIT = 2 * 1024 * 1024
MORE = 40
"""So many times the states, as some five more switches would make."""


def repeated(ranking: Ranking, count: int) -> Ranking:
    """Rank the best design so many times."""
    first = ranking.designs[0]
    return structs.replace(
        ranking, designs=tuple(structs.replace(first, rank=n) for n in range(1, count + 1))
    )


def test_the_same_ranking_gives_the_same_bytes() -> None:
    run = run_of("sidecar_side_lamp")
    later = structs.replace(run.ranking, search=structs.replace(run.ranking.search, seconds=123.0))
    assert page_html(later, controls_of(run.spec), run.spec.text) == run.html, "time or chance is in the page"


def test_without_a_parts_box_the_page_has_none() -> None:
    assert 'id="stock"' not in run_of("sidecar_side_lamp").html, "a plan without a box"


def test_many_designs_are_rows_beyond_the_first() -> None:
    run = run_of("recovery_alternating_pair")
    html = page_html(repeated(run.ranking, 1000), controls_of(run.spec), run.spec.text)
    assert len(html.encode()) < LIMIT, "the page is too large"
    assert html.count("<article") == MOST_DRAWN, "more or fewer designs are drawn"
    assert "The best 20 are drawn here. 700 more are in ranking.json." in html, "the rest is not told of"


def more(name: str, n: int) -> str:
    """Name a state as one of many more, its phase staying last."""
    return re.sub(r"( \(.*\))?$", rf", more {n}\1", name, count=1)


def more_of_sweep(design: Design) -> Sweep:
    assert design.sweep is not None
    return structs.replace(
        design.sweep,
        points=None,
        lines=tuple(
            structs.replace(line, states=tuple(more(name, n) for n in range(MORE) for name in line.states))
            for line in design.sweep.lines
        ),
    )


def more_of_trials(design: Design) -> tuple[FaultTrial, ...]:
    """No two of them alike, so that nothing can be written once for many."""
    return tuple(
        structs.replace(
            trial,
            states=tuple(
                structs.replace(
                    row, state=more(row.state, n), amps=tuple(amps * 1.05**n for amps in row.amps)
                )
                for n in range(MORE)
                for row in trial.states
            ),
        )
        for trial in design.trials
    )


def test_large_designs_are_drawn_as_far_as_there_is_room(opened: Opener) -> None:
    run = run_of("sidecar_side_lamp")
    many = repeated(run.ranking, MOST_DRAWN)
    controls = controls_of(run.spec)
    states = tuple(
        structs.replace(row, state=f"{row.state}, more {n}")
        for n in range(MORE)
        for row in many.designs[0].states
    )
    situations = tuple(
        replace(
            one,
            name=structs.replace(one.name, state=f"{one.name.state}, more {n}"),
            setting=(*one.setting, ("more", f"{n}")),
        )
        for n in range(MORE)
        for one in controls.situations
    )
    designs = tuple(
        structs.replace(
            design, states=states, sweep=more_of_sweep(design), trials=more_of_trials(design), choices=()
        )
        for design in many.designs
    )
    html = page_html(
        structs.replace(many, designs=designs), replace(controls, situations=situations), run.spec.text
    )
    assert len(html.encode()) < LIMIT, f"{len(html.encode())} bytes"
    assert 1 <= html.count("<article") < MOST_DRAWN, "no limit was met"
    with opened(html) as bench:
        assert bench.complaints == [], "the page does not work"
        assert not bench.page.locator("#fault").is_visible(), "faults that there is no room for are offered"


def test_an_answer_of_none_says_how_far_it_is_proved(opened: Opener) -> None:
    run = run_of(NONE)
    with opened(run.html) as bench:
        text = re.sub(r"\s+", " ", bench.page.locator("main").inner_text())
        assert run.told["verdict"]["text"] in text, "the verdict is missing"
        for claim in run.told["verdict"]["proved"]:
            assert claim in text, "a claim is missing"
        for stage in run.told["search"]["stages"]:
            if stage["left"] < stage["entered"]:
                assert stage["claim"] in text, "a reason is missing"
        assert bench.page.locator(".sheet:visible").count() == 1, "the nearest circuit is not drawn"
        assert bench.complaints == [], "the console complains"


def test_a_stopped_search_says_so(opened: Opener) -> None:
    run = run_of("recovery_alternating_pair")
    said = "The search was stopped; 1 circuit that meets the spec was found so far."
    verdict = structs.replace(run.ranking.verdict, kind="stopped", text=said)
    html = page_html(structs.replace(run.ranking, verdict=verdict), controls_of(run.spec), run.spec.text)
    with opened(html) as bench:
        assert bench.page.locator(".verdict.stopped").inner_text() == said, "it is not said"
        assert bench.page.locator("h3", has_text="How far that is proved").count() == 1, "how far is not said"


def margins(states: tuple[StateRow, ...]) -> dict[tuple[str, str], float]:
    """The least margin of every lamp and word."""
    least: dict[tuple[str, str], float] = {}
    for row in states:
        for lamp in row.lamps:
            if lamp.margin_stops is not None:
                key = lamp.lamp, lamp.wanted
                least[key] = min(least.get(key, 99.0), lamp.margin_stops)
    return least


def test_the_plot_of_margins_is_to_scale(opened: Opener) -> None:
    run = run_of("sidecar_side_lamp")
    design = run.ranking.designs[0]
    with opened(run.html) as bench:
        rows = bench.page.locator(".sheet:visible .margins tbody tr").evaluate_all(
            """all => all.map((row) => {
              const text = (cell) => row.cells[cell].textContent;
              const ticks = [...row.querySelectorAll("text")];
              return {
                lamp: text(0), word: text(1), said: text(2), where: text(4),
                least: Number(row.querySelector(".least").getAttribute("cx")),
                ticks: ticks.map((one) => [Number(one.textContent), Number(one.getAttribute("x"))]),
                beyond: row.querySelectorAll(".beyond").length,
              };
            })"""
        )
    told = margins(design.states)
    assert {(row["lamp"], row["word"]) for row in rows} == set(told), "requirements are missing"
    for row in rows:
        margin = told[row["lamp"], row["word"]]
        (first, x0), (last, x1) = row["ticks"][0], row["ticks"][-1]
        at = x0 + (min(margin, last) - first) * (x1 - x0) / (last - first)
        # places are written to a tenth of a pixel
        assert abs(row["least"] - at) <= 0.11, f"{row['lamp']} {row['word']} is drawn in the wrong place"
        assert bool(row["beyond"]) == (margin > last), "beyond the scale, and not said"
    tightest = rows[0]
    assert tightest["lamp"] == design.tightest.lamp, "the tightest is not first"
    assert design.tightest.corner in tightest["where"], "the corner is missing"


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb. Source: WCAG 2.2, definition of relative luminance."""
    shares = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    linear = [share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_every_ink_stands_out_from_every_ground() -> None:
    # WCAG 2.2, 1.4.3: 4.5 to 1 for text; 1.4.11: 3 to 1 for the edges of controls
    style = run_of(NONE).html.partition("</style>")[0]
    schemes = [
        dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", block)) for block in style.split(":root {")[1:3]
    ]
    assert len(schemes) == 2, "light and dark"
    for colours in schemes:
        pairs = [
            (ink, ground, 4.5) for ink in ("ink", "faint", "deep", "bad") for ground in ("paper", "leaf")
        ]
        pairs += [
            ("ink", "mark", 4.5),
            ("on-deep", "deep", 4.5),
            ("flow", "leaf", 4.5),
            ("rule-firm", "leaf", 3.0),
        ]
        for ink, ground, least in pairs:
            high, low = sorted((luminance(colours[ink]), luminance(colours[ground])), reverse=True)
            assert (high + 0.05) / (low + 0.05) >= least, f"{ink} on {ground}"
