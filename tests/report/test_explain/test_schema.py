"""What `explain --json` prints of any circuit is what its schema says.

Source: JSON Schema draft 2020-12; the judge is the jsonschema library.
"""

import json

from jsonschema import Draft202012Validator
from tests.report.test_explain.conftest import Case
from tests.selection import examples

from lampwright.results.json_text import schema_text, to_json


def test_every_explanation_is_what_its_schema_says(cases: tuple[Case, ...]) -> None:
    judge = Draft202012Validator(json.loads(schema_text("explanation")))
    kinds = set()
    for case in cases[:: examples(3, 1)]:
        plain = json.loads(to_json(case.explanation))
        assert [error.message for error in judge.iter_errors(plain)] == [], case.spec.name
        scenes = [scene for group in plain["groups"] for scene in group["scenes"]]
        kinds |= {said["kind"] for scene in scenes for said in scene["statements"]}
    assert len(kinds) == 15, f"a kind of statement does not occur: {sorted(kinds)}"
