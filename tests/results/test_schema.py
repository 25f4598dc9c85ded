"""The schemas: valid, and agreeing with what is written.

Source: JSON Schema draft 2020-12; the judge is the jsonschema library.
"""

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from msgspec.structs import fields

from lampwright.results.explanation import (
    Explanation,
    Faint,
    Group,
    LampFact,
    Lights,
    PartFact,
    Rest,
    Scene,
    Statement,
    StateName,
)
from lampwright.results.json_text import Which, from_json, schema_text, to_json
from lampwright.results.ranking import FORMAT, CheckReport, Ranking

WHICH: tuple[Which, ...] = ("ranking", "check", "explanation", "atlas")


def errors(which: Which, plain: Any) -> list[str]:
    """Give what the judge says against a result."""
    judge = Draft202012Validator(json.loads(schema_text(which)))
    return [error.message for error in judge.iter_errors(plain)]


def checked(ranking: Ranking) -> CheckReport:
    """Make a check report of a ranking's first design."""
    return CheckReport(
        format=FORMAT,
        program=ranking.program,
        part_data=ranking.part_data,
        spec=ranking.spec,
        meets=False,
        failures=("side is dim",),
        remarks=(),
        design=ranking.designs[0],
        cautions=(),
    )


def told(ranking: Ranking) -> Explanation:
    """Make an explanation with statements of several kinds, one of them without its last fact."""
    said: tuple[Statement, ...] = (
        Lights(text="side is dark.", lamps=(LampFact(lamp="side", level="off", flux=0.0),)),
        Faint(
            text="side carries 40 mA.",
            part=PartFact(ref="side", volts=0.5, amps=0.04, ohms=12.5),
            filament=None,
        ),
        Rest(
            text="R1 rests.",
            ref="R1",
            why="no way",
            from_node="54",
            to_node="31",
            volts=0.0,
            amps=0.0,
            open=("54",),
            blockers=(),
            between=(),
        ),
    )
    state = StateName(state="brake on", phase="")
    group = Group(
        text="They act on each other.",
        refs=("side",),
        controls=("brake",),
        scenes=(Scene(title="brake on", states=(state,), statements=said),),
        flashes=(),
    )
    return Explanation(
        spec=ranking.spec, subject="design 1 of 1", volts=13.5, remarks=(), principles=(), groups=(group,)
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


def test_explanations_validate(example: str) -> None:
    plain = json.loads(to_json(told(from_json(example))))
    assert errors("explanation", plain) == [], "an explanation is not what its schema says"


@pytest.mark.parametrize(
    "spoil",
    [
        lambda said: said[0].update(kind="shines"),
        lambda said: said[0].pop("kind"),
        lambda said: said[0]["lamps"][0].update(flux=None),
        lambda said: said[1].update(part=None),
        lambda said: said[1].pop("filament"),
        lambda said: said[2].update(why="tired"),
        lambda said: said.append({"kind": "lights", "text": "Dark."}),
    ],
)
def test_the_schema_refuses_a_spoilt_statement(spoil: Any) -> None:
    example = (Path(__file__).parent / "examples" / "one.json").read_text(encoding="utf-8")
    plain = json.loads(to_json(told(from_json(example))))
    assert errors("explanation", plain) == [], "the explanation itself is wrong"
    spoil(plain["groups"][0]["scenes"][0]["statements"])
    assert errors("explanation", plain), "a spoilt explanation passes its schema"


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
    assert errors("ranking", spoilt), "a spoilt ranking passes its schema"


def test_the_schema_names_every_field() -> None:
    schema = json.loads(schema_text("ranking"))
    names = {field.name for field in fields(Ranking)}
    assert set(schema["properties"]) == names, "a field of the ranking is not in its schema"
    assert {"from", "to"} <= set(schema["$defs"]["PartRow"]["properties"]), "parts have ends"
