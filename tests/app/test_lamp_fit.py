"""From a file of points to an entry for a spec: what is printed, what is decided, what is wrong with a file.

The points are those of the measured bulb of 2.5 V (`tests/published/measured_curves.csv`).
"""

import tomllib
from pathlib import Path

import pytest
from tests.published.test_measured_curves import curve

from lampwright.app.fit_options import FitOptions
from lampwright.app.lamp_fit import fit_file
from lampwright.app.render import result_text
from lampwright.errors import InputError
from lampwright.parts.filament import amps_of
from lampwright.solve.shelf import Shelf, read_types


def written(folder: Path, text: str) -> Path:
    path = folder / "torch.csv"
    path.write_text(text, encoding="utf-8")
    return path


def points(lamp: str = "2.5 V") -> str:
    return "volts,amps\n" + "".join(f"{v:g},{a:g}\n" for v, a in zip(*curve(lamp), strict=True))


def test_the_entry_is_a_lamp_of_a_spec(tmp_path: Path) -> None:
    """Pasted into a file of lamps it is read, and has the measured amps, leads aside."""
    fit = fit_file(written(tmp_path, points()), FitOptions(volts=2.5))
    lamps = tmp_path / "mine.toml"
    lamps.write_text(fit.entry, encoding="utf-8")
    kind = Shelf(6.0, read_types(lamps)).lamp("torch")
    assert kind.fillings == ("gas",)
    volts, amps = curve("2.5 V")
    ours = amps_of(kind.filaments[0], volts - fit.leads * amps)
    assert abs(ours / amps - 1.0).max() < 0.02
    assert tomllib.loads(fit.entry)["types"]["torch"]["volts"] == 2.5


def test_what_points_do_not_decide_is_said_and_left_out(tmp_path: Path) -> None:
    fit = fit_file(written(tmp_path, points()), FitOptions(volts=2.5))
    assert not fit.kelvin_decided
    assert "kelvin =" not in fit.entry
    assert any(one.startswith("The points do not decide the temperature") for one in fit.remarks)
    assert fit.filling_decided
    assert fit.conducted_decided
    high = "volts,amps\n" + "\n".join(points("37 W").splitlines()[-3:]) + "\n"
    fit = fit_file(written(tmp_path, high), FitOptions())
    assert not fit.filling_decided
    said = " ".join(fit.remarks)
    assert "gas or vacuum" in said
    assert "No point is below 10 V" in said


def test_known_figures_are_taken(tmp_path: Path) -> None:
    path = written(tmp_path, points())
    fit = fit_file(path, FitOptions(name="my bulb", volts=2.5, kelvin=2600.0, leads=0.05, leads_off=0.001))
    assert fit.entry.startswith('[types."my bulb"]\nvolts = 2.5\n')
    assert "kelvin = 2600" in fit.entry
    assert fit.leads == pytest.approx(0.05, abs=0.003)


def test_text_and_json_say_the_same(tmp_path: Path) -> None:
    fit = fit_file(written(tmp_path, points()), FitOptions(volts=2.5))
    text, plain = result_text(fit, False), result_text(fit, True)
    assert text.startswith(fit.entry)
    assert '"filling_decided": true' in plain
    assert all(len(line) <= 80 for line in text.splitlines())
    assert text.count("\n") > len(fit.points)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "torch.csv: the file has no points; begin with a line volts,amps"),
        ("# none\n\n", "torch.csv: the file has no points; begin with a line volts,amps"),
        (
            "1,0.2\n2,0.3\n3,0.4\n",
            'torch.csv: line 1: "1,0.2" names no column volts and no column amps; begin',
        ),
        (
            "volts;amps\n1;2\n",
            'torch.csv: line 1: "volts;amps" names no column volts and no column amps betw',
        ),
        ("volts,ohms\n1,2\n", 'torch.csv: line 1: "volts,ohms" names no column amps; begin with a line'),
        ("volts,amps\n1,0.2\n2,x\n3,0.4\n", 'torch.csv: line 3: amps: "x" is no number; write amps in plain'),
        ("volts,amps\n1,0.2\n2\n3,0.4\n", "torch.csv: line 3: amps: there is no number; write amps in plain"),
        ("volts,amps\n1,0.2\n2,-0.3\n", "torch.csv: line 3: amps: -0.3 is not from 0.0001 to 100; write"),
        ("volts,amps\n1,5e-324\n", "torch.csv: line 2: amps: 5e-324 is not from 0.0001 to 100; write amps"),
        ("volts,amps\n1,nan\n", "torch.csv: line 2: amps: nan is not from 0.0001 to 100; write amps"),
        ("volts,amps\n230,0.2\n", "torch.csv: line 2: volts: 230 is not from 0.0001 to 60; write volts"),
        ("volts,amps\n1,0.2\n1,0.2\n2,0.3\n", "torch.csv: 3 points at 2 different volts, where 3 to 10000"),
        (
            "volts,amps\n2,5,0,3\n",
            "torch.csv: line 2: 4 numbers, where volts and amps would stand; write a d",
        ),
    ],
)
def test_what_is_wrong_with_points(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        fit_file(written(tmp_path, text), FitOptions())
    assert str(caught.value).startswith(said)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("P21W", '--name: "P21W" is the name of a lamp of the catalogue; name it otherwise'),
        ("a@b", '--name: "a@b" is no name for a lamp (letters, digits and signs but @); give it with --name'),
    ],
)
def test_what_is_wrong_with_a_name(tmp_path: Path, name: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        fit_file(written(tmp_path, points()), FitOptions(name=name))
    assert str(caught.value) == said


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such file; name a file of points"):
        fit_file(tmp_path / "none.csv", FitOptions())
