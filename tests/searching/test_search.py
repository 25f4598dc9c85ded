"""The main job on the shipped specs: checked, complete, stopped, refused."""

from dataclasses import replace
from pathlib import Path

import pytest
from tests.shipped import NAMES, NONE, ROOT, SPECS, shipped

from lampwright.app.answering import search_problem
from lampwright.app.commands import search_to_disk
from lampwright.app.trying import check_file
from lampwright.errors import InputError
from lampwright.network.circuit import Circuit, Part
from lampwright.network.circuit_file import circuit_text
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import quiet
from lampwright.results.design import Design
from lampwright.results.ranking import Ranking
from lampwright.searching.options import SearchOptions


def searched(path: Path, options: SearchOptions | None = None) -> Ranking:
    if options is None and path in SPECS:
        return shipped(path.stem)
    return search_problem(read_problem(path), options or SearchOptions(), quiet())


@pytest.mark.parametrize("path", SPECS, ids=NAMES)
def test_the_listing_is_complete_for_every_number_of_parts(path: Path) -> None:
    bound = searched(path).bound
    for count in searched(path).search.part_counts:
        if count.ruled_out:
            assert bound is not None, "nothing rules it out"
            assert count.extra_parts < bound.least_extra_parts, "above the bound, and not listed"
            assert count.listed == 0, "ruled out, and listed all the same"
            continue
        assert count.complete, f"{count.extra_parts} extra parts: complete"
        assert count.listed == count.orbits, f"{count.extra_parts} extra parts: listed as counted"


def written(design: Design) -> str:
    parts = [
        Part(
            ref=row.ref,
            kind=row.kind,
            from_node=row.from_node,
            to_node=row.to_node,
            lamp=row.lamp,
            type=row.type,
            ohms=row.ohms,
            watts=row.watts,
        )
        for row in design.parts
    ]
    return circuit_text(Circuit(tuple(parts)))


@pytest.mark.parametrize("path", SPECS, ids=NAMES)
def test_every_design_passes_check_when_written_out(path: Path, tmp_path: Path) -> None:
    ranking = searched(path)
    for design in ranking.designs:
        own = tmp_path / f"{design.rank}.toml"
        own.write_text(written(design), encoding="utf-8")
        report = check_file(path, own)
        assert report.meets, f"design {design.rank}: {report.failures}"
        assert report.design.states == design.states, "the same lights"
        assert report.design.tightest == design.tightest, "the same tightest requirement"
        assert abs(report.design.margin_stops - design.margin_stops) < 1e-9, "the same judge, the same margin"
    expected = "none" if path.stem in NONE else "found"
    assert ranking.verdict.kind == expected, "each shipped spec has its answer"


def test_designs_are_in_order_and_the_first_has_fewest_parts(tmp_path: Path) -> None:
    text = (ROOT / "specs" / "trailer_feed_telltale.toml").read_text(encoding="utf-8")
    text = text.replace("joints = 1", "joints = 2") + "\n"
    text += '[extras]\nresistors = { most = 1, series = "E3", ohms = [1.0, 100.0] }\n'
    path = tmp_path / "loose.toml"
    path.write_text(text, encoding="utf-8")
    ranking = searched(path)
    keys = [
        (d.extra_parts, d.wires, d.joints, d.conductors, -round(d.margin_stops, 6)) for d in ranking.designs
    ]
    assert keys == sorted(keys), "rising extra parts, wires, joints, conductors, falling margin"
    assert [design.rank for design in ranking.designs] == list(range(1, len(keys) + 1)), "ranks count up"


def test_a_search_over_budget_writes_nothing(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"295,500 circuits, more than the budget of 1,000.*--budget 295500"):
        search_to_disk(SPECS[NAMES.index("sidecar_side_lamp")], SearchOptions(tmp_path, budget=1000), quiet())
    assert list(tmp_path.iterdir()) == [], "nothing was written"


def test_time_up_is_stopped_and_not_none(tmp_path: Path) -> None:
    options = SearchOptions(tmp_path, time_limit=1e-9)
    path = SPECS[NAMES.index("no_such_circuit")]
    stopped = search_to_disk(path, options, quiet())
    assert stopped.verdict.kind == "stopped", "a search cut short proves nothing"
    assert "none" not in stopped.verdict.text.lower(), "and does not say that there is none"
    ended = search_to_disk(path, replace(options, time_limit=None), quiet())
    assert ended.verdict.kind == "none", "the same search to its end"


def test_extra_parts_bounds_the_search() -> None:
    path = SPECS[NAMES.index("one_filament_stop_tail")]
    assert searched(path, SearchOptions(extra_parts=0)).verdict.kind == "none", "lamps and wire alone cannot"
    assert searched(path).designs[0].extra_parts == 1, "one resistor can"


def test_a_shorted_feed_is_refused_by_check(tmp_path: Path) -> None:
    path = SPECS[NAMES.index("one_filament_stop_tail")]
    own = tmp_path / "short.toml"
    lamp = '[[part]]\nref = "rear"\nkind = "filament"\ntype = "P21W"\nfrom = "54"\nto = "31"\n'
    own.write_text(lamp + '[[part]]\nkind = "wire"\nfrom = "58"\nto = "31"\n', encoding="utf-8")
    with pytest.raises(InputError, match="join the supply to ground"):
        check_file(path, own)
    own.write_text(
        lamp + '[[part]]\nkind = "resistor"\nohms = 1.0\nfrom = "58"\nto = "31"\n', encoding="utf-8"
    )
    report = check_file(path, own)
    assert not report.meets, "13 A through a switch for 5 A"
    assert any("lights: " in line and "over its 5 A" in line for line in report.failures), report.failures


def test_check_speaks_of_a_builders_own_names(tmp_path: Path) -> None:
    path = SPECS[NAMES.index("one_filament_stop_tail")]
    own = tmp_path / "own.toml"
    own.write_text(
        '[[part]]\nref = "rear"\nkind = "filament"\ntype = "P21W"\nfrom = "31"\nto = "j5"\n'
        '[[part]]\nref = "dropper"\nkind = "resistor"\nohms = 5.6\nwatts = 25\nfrom = "j5"\nto = "58"\n'
        '[[part]]\nkind = "wire"\nfrom = "j5"\nto = "54"\n',
        encoding="utf-8",
    )
    report = check_file(path, own)
    assert report.meets, report.failures
    lights = next(row for row in report.design.states if row.state == "lights on")
    by_ref = {part.ref: part for part in lights.parts}
    assert set(by_ref) == {"rear", "dropper"}, "the builder's names"
    assert by_ref["rear"].amps < -0.5, "current runs from j5 to 31, against the row's direction"
    assert by_ref["dropper"].amps < -0.5, "and from 58 to j5"
    assert abs(by_ref["rear"].amps - by_ref["dropper"].amps) < 1e-6, "one current"
    volts = {node.node: node.volts for node in lights.nodes}
    assert list(volts) == ["58", "54", "31", "j5"], "terminals, then the builder's joints"
    assert volts["j5"] == volts["54"], "a wire joins them"
