"""The schemas: current, valid, and agreeing with what is written.

Source: JSON Schema draft 2020-12; the judge is the jsonschema library.
"""

import copy
import dataclasses
import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import lampwright.store.schema
from lampwright.store.decode import from_json
from lampwright.store.encode import to_json
from lampwright.store.result import FORMAT, CheckReport, Ranking
from lampwright.store.schema import Which, schema_text

SHIPPED = Path(lampwright.store.schema.__file__).parent
WHICH: tuple[Which, ...] = ("ranking", "check")


def errors(which: Which, plain: Any) -> list[str]:
    """Give what the judge says against a result."""
    judge = Draft202012Validator(json.loads(schema_text(which)))
    return [error.message for error in judge.iter_errors(plain)]


def checked(ranking: Ranking) -> CheckReport:
    """Make a check report of a ranking's first design."""
    return CheckReport(
        FORMAT,
        ranking.program,
        ranking.part_data,
        ranking.spec,
        False,
        ("side is dim",),
        (),
        ranking.designs[0],
        (),
    )


@pytest.mark.parametrize("which", WHICH)
def test_the_shipped_schema_is_current(which: Which) -> None:
    shipped = (SHIPPED / f"{which}.schema.json").read_text(encoding="utf-8")
    assert shipped == schema_text(which), (
        f"the rows changed: run `lampwright schema {which}` into store/{which}.schema.json"
    )


@pytest.mark.parametrize("which", WHICH)
def test_the_schema_is_a_schema(which: Which) -> None:
    Draft202012Validator.check_schema(json.loads(schema_text(which)))


@pytest.mark.parametrize("which", WHICH)
def test_every_object_is_described(which: Which) -> None:
    schema = json.loads(schema_text(which))
    for name, row in {"root": schema, **schema["$defs"]}.items():
        assert row["description"], f"{name} has no description"
        assert not row["additionalProperties"], f"{name} would let unknown keys pass"


def test_examples_validate(example: str) -> None:
    assert errors("ranking", json.loads(example)) == [], "an example is not what its schema says"


def test_check_reports_validate(example: str) -> None:
    ranking = from_json(example)
    if ranking.designs:
        assert errors("check", json.loads(to_json(checked(ranking)))) == [], (
            "a report is not what its schema says"
        )


@pytest.mark.parametrize(
    "spoil",
    [
        lambda plain: plain.update(format=FORMAT + 1),
        lambda plain: plain.pop("verdict"),
        lambda plain: plain.update(colour="red"),
        lambda plain: plain["verdict"].update(kind="perhaps"),
        lambda plain: plain["designs"][0].update(wires=-1),
        lambda plain: plain["designs"][0]["parts"][0].update(type=None),
        lambda plain: plain["designs"][0]["states"][0]["lamps"][0].update(flux="bright"),
    ],
)
def test_the_schema_refuses(spoil: Any) -> None:
    plain = json.loads((Path(__file__).parent / "examples" / "sidecar.json").read_text(encoding="utf-8"))
    spoilt = copy.deepcopy(plain)
    spoil(spoilt)
    assert errors("ranking", plain) == [], "the example itself is wrong"
    assert errors("ranking", spoilt), "a spoilt ranking passes its schema"


def test_the_schema_names_every_field() -> None:
    schema = json.loads(schema_text("ranking"))
    names = {field.name for field in dataclasses.fields(Ranking)}
    assert set(schema["properties"]) == names, "a field of the ranking is not in its schema"
    assert {"from", "to"} <= set(schema["$defs"]["PartRow"]["properties"]), "parts have ends"
