"""A circuit by itself: every setting of its feeds, held against an optimizer of scipy; and asking wrongly."""

import json
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from scipy.optimize import least_squares

from lampwright.app.alone import lone_circuit
from lampwright.cli.commands import main
from lampwright.parts.filament import amps_of, relative_flux_of
from lampwright.solve.shelf import Shelf

LAMPS = (
    ("A", "P21W", "S1", "31"),
    ("B", "P21W", "S2", "j1"),
    ("C", "R5W", "j1", "31"),
    ("D", "W3W", "S1", "j1"),
)
FEEDS = ("S1", "S2")
SPEC = Path(__file__).parents[2] / "specs" / "sidecar_side_lamp.toml"


def rows(lamps: tuple[tuple[str, str, str, str], ...] = LAMPS) -> str:
    return "\n".join(
        f'[[part]]\nref = "{ref}"\nkind = "filament"\ntype = "{kind}"\nfrom = "{a}"\nto = "{b}"\n'
        for ref, kind, a, b in lamps
    )


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    path = tmp_path / "mine.toml"
    path.write_text(rows(), encoding="utf-8")
    return path


def run(*line: object) -> Result:
    return CliRunner().invoke(main, [str(one) for one in line])


def volts_by_hand(live: set[str], supply: float) -> dict[str, float]:
    """Node volts by Kirchhoff's current law, solved by scipy's trust region alone."""
    shelf = Shelf(12.0)
    known = {"31": 0.0, **dict.fromkeys(live, supply)}
    free = [node for node in (*FEEDS, "j1") if node not in known]

    if not live or not free:
        return known | dict.fromkeys(free, 0.0)

    def left_over(guess: np.ndarray[tuple[int], np.dtype[np.float64]], /) -> list[float]:
        at = known | dict(zip(free, guess, strict=True))
        flows = dict.fromkeys(free, 0.0)
        for _, kind, a, b in LAMPS:
            drop = at[a] - at[b]
            amps = float(amps_of(shelf.lamp(kind).filaments[0], abs(drop))) * (1 if drop > 0 else -1)
            for node, sign in ((a, -1.0), (b, 1.0)):
                if node in flows:
                    flows[node] += sign * amps
        return list(flows.values())

    solved = least_squares(
        left_over, [0.4 * supply] * len(free), bounds=(0.0, supply), xtol=1e-14, ftol=1e-14, gtol=1e-14
    ).x
    return known | dict(zip(free, (float(one) for one in solved), strict=True))


def test_every_setting_is_that_of_another_solver(mine: Path) -> None:
    lone = lone_circuit(mine, 12.0)
    assert [state.positions for state in lone.design.states] == [
        tuple(zip(FEEDS, setting, strict=True)) for setting in product(("off", "on"), repeat=2)
    ]
    for state in lone.design.states:
        at = volts_by_hand({feed for feed, position in state.positions if position == "on"}, 12.0)
        for (ref, kind, a, b), lamp in zip(LAMPS, state.lamps, strict=True):
            drop = at[a] - at[b]
            assert lamp.lamp == ref
            assert abs(lamp.volts) == pytest.approx(abs(drop), abs=2e-3)
            assert lamp.flux == pytest.approx(
                float(relative_flux_of(Shelf(12.0).lamp(kind).filaments[0], abs(drop))), rel=0.01, abs=1e-4
            )


def test_it_is_drawn_and_told(mine: Path) -> None:
    result = run("explain", mine)
    assert result.exit_code == 0
    assert "○ S1" in result.stdout, "the drawing"
    assert "S1   S2   A " in result.stdout, "the table"
    assert "(in brackets)" not in result.stdout
    assert (
        "Through D it runs from feed S1 to joint j1 (S1 on) and from joint j1 to feed S1 (S2 on)."
        in " ".join(result.stdout.split())
    )
    assert "supply of 13.5 V" in result.stdout, "where its lamps are rated"
    assert max(len(line) for line in result.stdout.splitlines()) <= 80
    told = json.loads(run("explain", mine, "--json", "--volts", "12").stdout)
    assert (told["subject"], told["volts"]) == ("mine.toml", 12.0)
    picture = mine.with_suffix(".svg")
    assert run("draw", mine, "--to", picture).exit_code == 0
    assert "<svg" in picture.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("lamps", "system", "volts"),
    [
        ((("x", "P21W@24", "S", "31"),), 12.0, 28.0),
        ((("x", "E10-0.3A", "30", "31"), ("y", "E10-0.25A", "30", "31")), 3.0, 2.5),
        ((("x", "E10-0.25A", "30", "31"),), 3.0, 3.0),
    ],
)
def test_which_lamps_are_meant(
    mine: Path, lamps: tuple[tuple[str, str, str, str], ...], system: float, volts: float
) -> None:
    if len(lamps) == 2:
        lamps = (("x", "E10-0.3A@2.5", "30", "31"), lamps[1])
    mine.write_text(rows(lamps), encoding="utf-8")
    lone = lone_circuit(mine, None)
    assert (lone.spec.supply.system, lone.spec.supply.volts[1]) == (system, volts)


SHORTED = rows((("A", "R5W", "30", "31"),)) + '[[part]]\nkind = "wire"\nfrom = "S1"\nto = "31"\n'
MIXED = rows((("A", "R5W", "S1", "31"), ("B", "R5W@24", "j1", "S1"), ("C", "E10-0.2A", "S1", "31")))
MANY = rows(tuple((f"L{n}", "R5W", f"S{n}", "31") for n in range(9)))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (rows((("A", "R5W", "j1", "31"),)), "no part is at a feed, so nothing is ever live"),
        (MANY, "there are 9 feeds"),
        (rows((("A", "R55W", "S1", "31"),)), 'mine.toml: part 1: type: "R55W" is no lamp type'),
        ('[[part]]\nkind = "resistor"\nohms = 1\nfrom = "A"\nto = "31"\n', "the circuit has no lamp"),
        (SHORTED, "join the supply to ground"),
        (MIXED, "made for"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_in_a_line(mine: Path, text: str, said: str) -> None:
    mine.write_text(text, encoding="utf-8")
    for line in (("explain", mine), ("draw", mine, "--to", mine.with_suffix(".svg"))):
        result = run(*line)
        assert (result.exit_code, result.stdout) == (2, ""), result.output
        assert said in result.stderr, result.stderr
        assert len(result.stderr.splitlines()) == 1


def test_what_asks_of_a_spec_is_refused(mine: Path) -> None:
    for line in (
        ("explain", mine, "--rank", 1),
        ("draw", mine, "--rank", 1, "--to", "a.svg"),
        ("explain", SPEC, "--volts", 12),
    ):
        result = run(*line)
        assert (result.exit_code, result.stdout) == (2, ""), result.output
