"""An atlas as it is kept: every circuit told of is solved anew by itself, and asked for by a search.

Outside source: none. `solve` and `find` come to a circuit by other ways than the atlas does: the
judge's plain solver, and the search with its rules, for lamps that are told apart.
"""

import csv
import json
from io import StringIO
from itertools import product
from math import log2
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from msgspec import structs
from tests.selection import some

import lampwright as lw
from lampwright.app import atlas as making
from lampwright.app.atlas import bound_of, make_and_keep, make_atlas
from lampwright.app.atlas_options import AtlasOptions
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.atlas.survey import survey_size
from lampwright.errors import InputError
from lampwright.progress.bar import Progress, quiet
from lampwright.report.atlas import atlas_text
from lampwright.results.atlas import Atlas, AtlasEntry, AtlasOption
from lampwright.results.json_text import schema_text, to_json

LIVE = AtlasOptions(feeds=2, lamps=3, always_live=True)
DIODES = AtlasOptions(feeds=2, lamps=2, always_live=True, diodes=1)
SMALL = AtlasOptions(feeds=2, lamps=2)


def made(options: AtlasOptions) -> Atlas:
    return make_atlas(bound_of(options), options, quiet()).atlas


def circuit_of(option: AtlasOption) -> CircuitBuilder:
    circuit = lw.Circuit()
    for part in option.parts:
        add = circuit.lamp if part.kind == "filament" else circuit.diode
        circuit = add(part.ref, part.type or "", part.from_node, part.to_node)
    return circuit


def light_of(option: AtlasOption, volts: tuple[float, ...]) -> dict[tuple[str, str, float], float]:
    """Relative flux by lamp, setting and supply [V]."""
    nodes = {node for part in option.parts for node in (part.from_node, part.to_node)}
    settings = {
        "".join(live) or "none": [feed for feed in live if feed in nodes]
        for live in (["A"] * a + ["B"] * b for a, b in product((0, 1), repeat=2))
    }
    if "30" in nodes:
        settings = {name: [*live, "30"] for name, live in settings.items()}
    told = {}
    for supply in volts:
        rows = lw.solve(circuit_of(option), supply, settings=settings).lamps()
        for row in rows.rows:
            cells = dict(zip(rows.columns, row, strict=True))
            told[str(cells["lamp"]), str(cells["setting"]), supply] = float(cells["flux"] or 0.0)
    return told


def margin_alone(entry: AtlasEntry, option: AtlasOption, volts: tuple[float, ...]) -> float:
    """The margin of an option, from its circuit solved by itself."""
    light = light_of(option, volts)
    worst = 10.0
    for lamp, function in zip(option.shown_by, entry.functions, strict=True):
        for setting in ("none", "A", "B", "AB"):
            for supply in volts:
                flux = max(light[lamp, setting, supply], 1e-30)
                is_lit = setting in function.lit_with
                worst = min(worst, log2(flux / 0.25) if is_lit else log2(0.005 / flux))
    return worst


@pytest.mark.parametrize("options", some([LIVE, DIODES], [DIODES]))
def test_every_circuit_solved_by_itself_shows_its_behaviour(options: AtlasOptions) -> None:
    atlas = made(options)
    every = [(entry, option) for entry in (*atlas.functions, *atlas.behaviours) for option in entry.options]
    assert len(every) >= 15
    for entry, option in every:
        volts = (11.8, 13.5, 14.4) if option.holds else (13.5,)
        assert margin_alone(entry, option, volts) == pytest.approx(option.margin_stops, abs=0.003)
        # tolerances can only take from it; a filling that is less likely may go either way by some hundredths
        assert option.judged_stops <= option.margin_stops + 0.01


def spec_text(lit: tuple[str, ...], helpers: int) -> str:
    rows = [
        f'[[behaviour]]\nwhen = {{ A = "{a}", B = "{b}" }}\n'
        f'show = {{ x = "{"lit" if name in lit else "off"}" }}'
        for name, a, b in (("none", "off", "off"), ("A", "on", "off"), ("B", "off", "on"), ("AB", "on", "on"))
    ]
    types = '["P21W", "R10W", "R5W", "W2.3W"]'
    extras = f"[extras]\nlamps = {{ most = {helpers}, choose = {types} }}\n" if helpers else ""
    return f"""lampwright = 1
title = "One function"
[supply]
system = 12
volts = [13.499, 13.5, 13.501]
always_live = true
[controls.A]
kind = "switch"
feed = "A"
[controls.B]
kind = "switch"
feed = "B"
[lamps.x]
choose = {types}
[search]
joints = 2
{extras}{chr(10).join(rows)}
"""


def test_a_search_for_each_function_finds_as_few_lamps(tmp_path: Path) -> None:
    for entry in made(LIVE).functions:
        spec = tmp_path / f"f{entry.functions[0].number}.toml"
        spec.write_text(spec_text(entry.functions[0].lit_with, 2), encoding="utf-8")
        found = lw.find(spec)
        assert bool(found) == bool(entry.options), entry.words
        if entry.options:
            assert 1 + found.helper_lamps == entry.options[0].lamps, entry.words


def test_what_is_kept_is_whole(tmp_path: Path) -> None:
    options = structs_free(LIVE, tmp_path / "atlas")
    atlas = make_and_keep(options, quiet())
    text = (tmp_path / "atlas" / "atlas.json").read_text(encoding="utf-8")
    assert text == to_json(atlas)
    judge = Draft202012Validator(json.loads(schema_text("atlas")))
    assert [error.message for error in judge.iter_errors(json.loads(text))] == []
    rows = list(csv.DictReader(StringIO((tmp_path / "atlas" / "atlas.csv").read_text(encoding="utf-8"))))
    entries = (*atlas.functions, *atlas.behaviours)
    assert len(rows) == sum(max(1, len(entry.options)) for entry in entries)
    assert [row["shows"] for row in rows if not row["lamps"]] == [
        entry.words for entry in entries if not entry.options
    ]
    assert sorted(path.name for path in (tmp_path / "atlas").iterdir()) == [
        "atlas.csv",
        "atlas.json",
        "page.html",
        "poster.html",
    ]


def structs_free(options: AtlasOptions, out: Path) -> AtlasOptions:
    return AtlasOptions(**{**vars(options), "out": out})


def test_sums_and_proofs() -> None:
    atlas = made(SMALL)
    assert [(row.drawings, row.counted) for row in atlas.sizes] == [(3, 3), (9, 9)]
    # of 16 functions: each class stands for its images, and every class is told of
    assert sum(entry.images for entry in atlas.functions) == 16
    assert sum(entry.images for entry in atlas.functions if entry.options) == 6 == atlas.sizes[-1].functions
    proofs = {entry.functions[0].number: entry.none for entry in atlas.functions if not entry.options}
    assert proofs[0b0001].startswith("With every feed off nothing is live")  # type: ignore[union-attr]
    assert proofs[0b1000] == "None of the 8 circuits shows it."
    assert atlas.verdict == (
        "One lamp shows 6 of the 16 functions of 2 feeds; none of the 8 circuits with at most "
        "2 lamps and 2 joints, each listed and solved, shows the other 10."
    )


def test_any_number_of_workers_gives_the_same() -> None:
    one, several = (made(AtlasOptions(**{**vars(LIVE), "workers": count})) for count in (1, 3))
    assert to_json(structs.replace(one, seconds=0.0)) == to_json(structs.replace(several, seconds=0.0))


def test_a_time_limit_keeps_the_sizes_that_are_complete(tmp_path: Path) -> None:
    atlas = make_and_keep(AtlasOptions(2, 3, time_limit=1e-9, out=tmp_path), quiet())
    assert not atlas.complete
    assert atlas.sizes == ()
    assert atlas.verdict.startswith("Stopped before circuits of 1 lamp and 2 other sizes: so far")
    assert not any(entry.options for entry in atlas.functions)
    assert {entry.none for entry in atlas.functions} == {
        "None of no circuits shows it; others were not reached.",
        "With every feed off nothing is live, so no lamp is lit then, whatever the circuit.",
    }


def test_ctrl_c_keeps_them_as_well(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*given: object) -> object:
        if given[1].lamps == 2:  # type: ignore[attr-defined]
            raise KeyboardInterrupt
        return survey_size(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(making, "survey_size", interrupted)
    atlas = make_and_keep(structs_free(SMALL, tmp_path), quiet())
    assert (atlas.complete, len(atlas.sizes)) == (False, 1)
    assert (tmp_path / "atlas.json").exists()


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (AtlasOptions(2, 2, types=("P21W", "X9")), '--types X9: "X9" is no lamp type'),
        (
            AtlasOptions(2, 2, types=("P21/5W",)),
            "--types P21/5W: it has 2 filaments; name types of one",
        ),
        (AtlasOptions(2, 2, types=("P21W", "P21W")), "--types P21W: the type is named twice; name each once"),
        (
            AtlasOptions(3, 2, always_live=True, joints=3),
            "lampwright atlas: 5 terminals and 3 joints are more than 7 nodes; use at most 2 joints",
        ),
    ],
)
def test_what_cannot_be_is_told(options: AtlasOptions, said: str) -> None:
    with pytest.raises(InputError) as error:
        bound_of(options)
    assert str(error.value).startswith(said)


@pytest.mark.parametrize("system", [6.0, 24.0])
def test_other_systems_have_types_and_volts_of_their_own(system: float) -> None:
    bound = bound_of(AtlasOptions(2, 2, system=system))
    assert bound.volts[1] == pytest.approx(13.5 * system / 12.0, abs=1e-9)
    assert bound.types[-1] == "W3W"
    atlas = made(AtlasOptions(2, 2, system=system))
    assert atlas.sizes[-1].functions == 6


def test_too_many_to_list_is_told() -> None:
    options = AtlasOptions(3, 7, always_live=True, joints=2)
    with pytest.raises(
        InputError, match="circuits with types are more than 2,000,000,000, some half an hour"
    ):
        make_atlas(bound_of(options), options, quiet())


@pytest.mark.parametrize("options", some([LIVE, DIODES, AtlasOptions(1, 1), AtlasOptions(3, 4, True)], 3))
def test_it_is_told_on_one_screen(options: AtlasOptions) -> None:
    text = atlas_text(made(options), "results/atlas/some-atlas")
    lines = text.splitlines()
    assert max(map(len, lines)) <= 80
    assert len(lines) <= 40
    assert lines[-1].endswith(".")
    for word in ("0.5 %", "25 %", "13.5 V", "11.8", "P21W, R10W, R5W, W2.3W"):
        assert word in " ".join(lines)


def test_progress_is_told() -> None:
    told: list[str] = []

    class Told(Progress):
        def stage(self, name: str, total: int | None) -> None:
            told.append(f"{name}, {total}" if total else name)

        def say(self, text: str) -> None:
            told.append(text)

        def advance(self, n: int) -> None: ...

        def close(self) -> None: ...

    make_atlas(bound_of(SMALL), SMALL, Told())
    assert told == ["1 lamp, 3 circuits", "2 lamps, 9 circuits", "judging and explaining, 2"]
