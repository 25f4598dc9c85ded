"""The front door for Python: its names, its help, its types, how soon it opens, a word while it compiles."""

import inspect
import os
import pydoc
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from hatchling.builders.wheel import WheelBuilder

import lampwright
from lampwright.app import api
from lampwright.errors import InputError
from lampwright.kernels import Kernels
from lampwright.progress.bar import Progress

ROOT = Path(__file__).parents[2]


def test_every_name_is_listed_and_explained() -> None:
    assert set(lampwright.__all__) <= set(dir(lampwright))
    told = pydoc.plain(pydoc.render_doc(lampwright))
    for name in lampwright.__all__:
        thing = getattr(lampwright, name)
        assert (inspect.getdoc(thing) or "").partition("\n")[0].endswith((".", ":")), f"{name} has no help"
        assert f"{name}(" in told or f"class {name}" in told, f"help(lampwright) does not tell of {name}"
    with pytest.raises(AttributeError, match="has no attribute 'serch'"):
        lampwright.serch  # noqa: B018  # asking is enough


def test_classes_bear_their_public_names() -> None:
    for name in ("Spec", "Circuit", "Supply"):
        kind = getattr(lampwright, name)
        assert (kind.__module__, kind.__name__) == ("lampwright", name)
        methods = [one for key, one in vars(kind).items() if key[0] != "_" and callable(one)]
        assert all(one.__doc__ for one in methods), "a call without help"


def test_importing_takes_nothing_with_it() -> None:
    code = "import sys, lampwright; dir(lampwright); print(sorted(set(sys.modules) & {heavy}))".replace(
        "{heavy}",
        "{'numpy', 'scipy', 'numba', 'networkx', 'ortools', 'rich', 'msgspec', 'pandas', 'tomlkit'}",
    )
    env = {"PYTHONPATH": str(ROOT / "search")}
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=env)
    assert run.stdout == "[]\n", "the import waits for libraries that nobody asked for yet"


def test_saying_a_spec_waits_for_no_solver() -> None:
    code = (
        "import sys, lampwright as lw; lw.Spec('t', lw.Supply(12, (11.8, 13.5, 14.4))).switch('a', 'A');"
        "print(sorted(set(sys.modules) & {'ortools', 'pandas', 'matplotlib', 'jinja2'}))"
    )
    env = os.environ | {"PYTHONPATH": str(ROOT / "search")}
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=env)
    assert run.stdout == "[]\n"


def test_a_wheel_has_the_types_and_all_data(tmp_path: Path) -> None:
    (built,) = WheelBuilder(str(ROOT)).build(directory=str(tmp_path), versions=["standard"])
    packed = set(zipfile.ZipFile(built).namelist())
    assert "lampwright/py.typed" in packed, "a checker of types would take the package for untyped"
    source = ROOT / "search"
    data = {
        path.relative_to(source).as_posix()
        for path in (source / "lampwright").rglob("*")
        if path.is_file() and path.suffix not in (".pyc", ".nbi", ".nbc")
    }
    assert data <= packed, "files of the package are left out"


@pytest.mark.parametrize("shown", [True, False])
def test_a_first_run_says_that_it_compiles(
    shown: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    compiled: list[Kernels] = []

    def compile_here(kernels: Kernels, progress: Progress) -> None:
        compiled.append(kernels)
        progress.close()

    monkeypatch.setattr(api, "kernels_to_come", lambda: Kernels(tmp_path))
    monkeypatch.setattr(api, "compile_here", compile_here)
    circuit = lampwright.Circuit().lamp("x", "P21W", "A", "31")
    lampwright.solve(circuit, 13.5, live="A", progress=shown)
    assert compiled == [Kernels(tmp_path)], "nothing is compiled ahead"
    assert capsys.readouterr().err == (api.COMPILING if shown else "")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"workers": 0}, "workers: 0 is no whole number from 1 up; give at least 1"),
        ({"extra_parts": 1.5}, "extra_parts: 1.5 is no whole number from 0 up; give at least 0"),
        ({"budget": True}, "budget: True is no whole number from 1 up; give at least 1"),
        ({"time_limit": 0}, "time_limit: 0 is no time; give seconds above 0"),
        ({"prefer": "margins"}, 'prefer: "margins" is no aim; use some of '),
        ({"joints": 9}, "Spec.bounds: search.joints: 9 is over 4; "),
    ],
)
def test_wrong_options_are_refused(options: dict[str, object], said: str) -> None:
    with pytest.raises(InputError) as caught:
        lampwright.search(ROOT / "specs" / "trailer_feed_telltale.toml", **options)  # type: ignore[arg-type]
    assert str(caught.value).startswith(said)


def test_options_reach_the_search() -> None:
    spec = ROOT / "specs" / "catering_van_night_lamps.toml"
    bare = lampwright.find(spec, extra_parts=0)
    assert {one.extra_parts for one in bare} == {0}
    usual, by_margin = lampwright.find(spec), lampwright.find(spec, prefer=["margin"], bound=False)
    margins = [round(one.margin_stops, 3) for one in by_margin]
    assert margins == sorted(margins, reverse=True), "the greatest margin first"
    assert margins != [round(one.margin_stops, 3) for one in usual], "by default fewest parts come first"
    assert not lampwright.find(spec, extra_parts=0, joints=0, wires=0), "with other bounds there is none"
    parts = [(row, part) for one in usual for row, part in zip(one.parts, one.circuit().parts, strict=True)]
    assert {part.kind for _, part in parts} == {"filament", "resistor"}, "parts of every kind"
    for row, part in parts:
        assert all(
            getattr(part, name) == getattr(row, name) for name in ("ref", "type", "ohms", "watts", "lamp")
        )
