"""How results are written: keys, order, digits. Source: RFC 8259 (JSON), judged by the standard library."""

import json
import math
import types
from importlib import import_module
from pkgutil import iter_modules
from typing import Any, Literal, get_args, get_type_hints

import pytest
from msgspec.structs import fields, replace

from lampwright import results
from lampwright.results.design import PartRow, Rating
from lampwright.results.explanation import Said
from lampwright.results.json_text import from_json, to_json
from lampwright.results.ranking import CurveRow, Curves, FilamentCurve, Ranking
from lampwright.results.row import (
    Amps,
    Metres,
    Ratio,
    Row,
    Seconds,
    SquareMillimetres,
    Stops,
    Volts,
    Watts,
    rounding,
    written,
)

for module in iter_modules(results.__path__):
    import_module(f"{results.__name__}.{module.name}")
ROWS = sorted(
    {
        one
        for base in (Row, Said)
        for one in base.__subclasses__()
        if one is not Said and one.__module__.startswith("lampwright.results.")
    },
    key=lambda row: row.__name__,
)


def objects(plain: Any) -> list[dict[str, Any]]:
    """Give every object of a JSON text, outer first."""
    if isinstance(plain, dict):
        return [plain, *(found for value in plain.values() for found in objects(value))]
    if isinstance(plain, list):
        return [found for value in plain for found in objects(value)]
    return []


def test_what_is_written_reads_back_the_same(example: str) -> None:
    assert to_json(from_json(example)) == example, "an example changed on its way through the rows"


def test_writing_twice_gives_the_same_bytes(example: str) -> None:
    ranking = from_json(example)
    assert to_json(ranking) == to_json(ranking), "the same rows gave two texts"


def test_it_is_indented_as_the_standard_library_indents(example: str) -> None:
    ranking = from_json(example)
    odd = replace(ranking, verdict=replace(ranking.verdict, text='1.0e5 {"a":[ ,]} Ω\u2028\x7f\\\n'))
    text = to_json(odd)
    assert text == json.dumps(json.loads(text), indent=2, ensure_ascii=False) + "\n"


def test_keys_stand_in_the_order_of_the_rows(example: str) -> None:
    keys = list(json.loads(to_json(from_json(example))))
    names = [field.name for field in fields(Ranking)]
    absent = [name for name in ("hinges", "nonstandard") if name not in keys]
    assert [*keys, *absent] == names, "top-level keys out of order"


def test_nodes_are_written_from_and_to_and_absent_values_left_out(example: str) -> None:
    written_rows = objects(json.loads(to_json(from_json(example))))
    parts = [found for found in written_rows if "ref" in found and "kind" in found]
    for part in parts:
        assert {"from", "to"} <= set(part), f"{part['ref']} has no ends"
        assert "from_node" not in part, "the name inside the program leaked into the file"
        assert None not in part.values(), f"{part['ref']} writes what it does not have"
    assert all("ohms" not in part for part in parts if part["kind"] == "wire"), "a wire has no stated ohms"


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.__name__)
def test_rows_are_made_by_keyword_and_their_numbers_have_digits(row: type[Row]) -> None:
    assert row.__struct_config__.frozen, "a row that changes"
    assert row.__struct_config__.forbid_unknown_fields, "keys that nobody knows would pass"
    with pytest.raises(TypeError, match="positional"):
        row(*range(len(fields(row))))
    for field in fields(row):
        if float in leaves(field.type):
            assert rounding(field.type), f"{row.__name__}.{field.name} has no unit and no digits"
        else:
            assert rounding(field.type) is None, f"{row.__name__}.{field.name} is no number"


def leaves(kind: Any) -> set[Any]:
    """Give the types that a field's type is made of."""
    inside = get_args(kind)
    return {found for one in inside for found in leaves(one)} if inside else {kind}


@pytest.mark.parametrize(
    ("kind", "value", "expected"),
    [
        # Each expected value is the input rounded by hand, as the brief of the format states the digits.
        (Volts, 13.49951, 13.5),
        (Volts, -0.0001, 0.0),
        (Amps, 1.23456, 1.2346),
        (Ratio, 0.00123456, 0.001235),
        (Ratio, 1.04349, 1.043),
        (Stops, -0.35149, -0.351),
        (Watts, 3.21249, 3.212),
        (Seconds, 95.2371, 95.24),
        (Metres, 4.0049, 4.0),
        (SquareMillimetres, 0.75, 0.75),
        (Volts | None, 0.42564, 0.426),
        (tuple[Amps, ...] | None, 7.5, 7.5),
        (Volts, math.inf, None),
    ],
)
def test_digits_kept(kind: Any, value: float, expected: float | None) -> None:
    # Exact: both sides are the nearest binary number to the same decimal.
    assert written(kind, value) == expected, f"{kind} {value} was rounded otherwise"


@pytest.mark.parametrize(
    ("unit", "worst", "limit", "expected"),
    [
        ("A", 1.23456, None, {"worst": 1.2346, "limit": None}),
        ("W", 1.23456, 2.0, {"worst": 1.235, "limit": 2.0}),
        ("V", 1.0, 14.99949, {"worst": 1.0, "limit": 14.999}),
    ],
)
def test_a_rating_is_written_in_its_unit(
    unit: Literal["A", "W", "V"], worst: float, limit: float | None, expected: dict[str, float | None]
) -> None:
    rating = Rating(ref="side", worst=worst, limit=limit, unit=unit, state="on", corner="high supply")
    plain = json.loads(to_json(rating))  # type: ignore[arg-type]  # no result by itself: a part of a design
    assert {key: plain[key] for key in expected} == expected


def test_negative_zero_is_written_as_zero() -> None:
    said = written(Volts, -0.0001)
    assert said is not None
    assert math.copysign(1.0, said) == 1.0, "a minus sign before zero differs from run to run"


def test_what_is_not_a_number_is_a_defect() -> None:
    with pytest.raises(ValueError, match="flux is not a number"):
        written(Ratio, math.nan, "flux")


def test_infinity_is_null() -> None:
    rows = (CurveRow(volts=0.0, amps=0.0, watts=0.0, kelvin=293.0, flux=0.0, life=math.inf),)
    curve = FilamentCurve(
        type="W3W",
        filament="only",
        system=12,
        test_volts=13.5,
        rated_watts=3.0,
        rated_lumens=22.0,
        rated_kelvin=2500.0,
        filling="vacuum",
        filling_known=True,
        filling_status="invented",
        filling_confidence="low",
        conducted_share=0.15,
        cold_ohms=4.0,
        hot_ohms=60.0,
        source="invented",
        confidence="high",
        rows=rows,
    )
    text = to_json(Curves(type="W3W", curves=(curve,)))
    assert json.loads(text)["curves"][0]["rows"][0]["life"] is None, "infinite life must be null"
    assert "Infinity" not in text, "Infinity is no JSON"


def test_only_these_leave_out_what_is_absent() -> None:
    optional = [row.__name__ for row in ROWS for field in fields(row) if not field.required]
    known = {
        "AtlasEntry",
        "ClassQuestion",
        "PartRow",
        "LampReading",
        "StateRow",
        "SweepLine",
        "Sweep",
        "TrialState",
        "OtherChoice",
        "PartCount",
        "CountReport",
        "CountRow",
        "FrontPoint",
        "Design",
        "Ranking",
        "FaultRow",
        "RegulationNote",
        "LampFact",
        "Explanation",
        "StockBuild",
        "HingeDesign",
        "NonstandardDesign",
        "Shortfall",
        "Suggestion",
        "TypeNote",
    }
    assert set(optional) == known, "an old reader knows no other gaps"
    assert types.NoneType in get_args(get_type_hints(PartRow)["ohms"]), "ohms may be absent"
