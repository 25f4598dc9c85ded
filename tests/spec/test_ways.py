"""The ways in which a spec that leaves a choice can be taken, against plain specs written out by the test.

No outside source: the format is ours. The other way to count is over all assignments, and what a way asks is
compared with a spec that says its rows in the behaviour table.
"""

from dataclasses import replace
from itertools import permutations, product
from math import perm

import pytest

from lampwright.errors import InputError
from lampwright.problem.problem import prepare
from lampwright.problem.reading import read_document
from lampwright.spec.load import parse_spec
from lampwright.spec.model import BehaviourRow, Spec, plain_specs
from lampwright.spec.states import expand_states
from lampwright.toml_file import read_toml

HEAD = """
lampwright = 1
title = "A selector of three"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.gear]
kind = "positions"
positions = { low = [["30", "L"]], middle = [["30", "L"], ["30", "H"]], high = [["30", "H"]] }
[lamps.first]
choose = ["W2.3W", "W3W"]
[lamps.second]
choose = ["W2.3W", "W3W"]
"""
GEARS = ("low", "middle", "high")
CODE = '[[code]]\nlamps = ["first", "second"]\ncontrol = "gear"\n'
PATTERNS = tuple(product(("off", "lit"), repeat=2))

Pattern = tuple[str, ...]


def written(assignment: tuple[Pattern, ...]) -> str:
    """A plain spec in which each position shows the pattern that it has here."""
    rows = ""
    for gear, (first, second) in zip(GEARS, assignment, strict=True):
        rows += f'[[behaviour]]\nwhen = {{ gear = "{gear}" }}\n'
        rows += f'show = {{ first = "{first}", second = "{second}" }}\n'
    return HEAD + rows


def asked(spec: Spec) -> list[tuple[str, tuple[str, ...]]]:
    """What a spec asks in every state."""
    return [(state.full_name, state.words) for state in expand_states(spec)]


def shown(rows: tuple[BehaviourRow, ...]) -> tuple[Pattern, ...]:
    return tuple(tuple(word for _, word in row.show) for row in rows)


def test_a_code_is_every_assignment_of_unlike_patterns() -> None:
    spec = parse_spec(HEAD + CODE, "gear")
    assert len(spec.ways) == perm(4, 3) == 24, "as the module says"
    assert [shown(rows) for rows in spec.ways] == list(permutations(PATTERNS, 3)), "each once, in order"
    for plain, assignment in zip(plain_specs(spec), permutations(PATTERNS, 3), strict=True):
        assert asked(plain) == asked(parse_spec(written(assignment), "gear")), f"{assignment}"
        assert plain.ways == (), "it leaves no choice"


def test_darkness_may_be_no_pattern() -> None:
    spec = parse_spec(HEAD + CODE + "blank = false\n", "gear")
    assert [shown(rows) for rows in spec.ways] == list(permutations(PATTERNS[1:], 3))


def test_what_contradicts_a_row_is_no_way() -> None:
    row = '[[behaviour]]\nwhen = { gear = "low" }\nshow = { first = "lit" }\n'
    spec = parse_spec(HEAD + CODE + row, "gear")
    left = [one for one in permutations(PATTERNS, 3) if one[0][0] == "lit"]
    assert [shown(rows) for rows in spec.ways] == left
    assert 0 < len(left) < 24


def test_what_no_type_reaches_is_no_way() -> None:
    text = HEAD.replace("[11.8, 13.5, 14.4]", "[6.0, 13.5, 14.4]")
    text += '[[code]]\nlamps = ["first"]\nwords = ["off", "dim", "lit"]\n'
    text += 'tell_apart = [{ gear = "low" }, { gear = "high" }]\n'
    every = parse_spec(text, "gear").ways
    assert len(every) == perm(3, 2)
    reached = read_document(read_toml(text, "gear.toml"), "gear", "gear.toml").ways
    assert [shown(rows) for rows in reached] == [(("off",), ("dim",)), (("dim",), ("off",))], (
        "none is lit at 6 V"
    )
    one = text.replace('"off", "dim", "lit"', '"lit", "full"').replace("[6.0, ", "[6.5, ")
    one = one.replace('["lit", "full"]', '["lit", "dim"]') + '[[behaviour]]\nshow = { second = "any" }\n'
    with pytest.raises(InputError, match='code 1: no choice can be; of the first: "lit" asks for'):
        read_document(read_toml(one, "gear.toml"), "gear", "gear.toml")


def test_alternatives_are_chosen_independently() -> None:
    one = '{ when = { gear = "low" }, show = { first = "lit" } }'
    two = '[{ when = { gear = "low" }, show = { first = "off" } }, { show = { second = "any" } }]'
    other = '{ when = { gear = "high" }, show = { second = "WORD" } }'
    either = f"[[either]]\nrows = [{one}, {two}]\n[[either]]\nrows = ["
    either += ", ".join(other.replace("WORD", word) for word in ("lit", "dim", "off")) + "]\n"
    spec = parse_spec(HEAD + either, "gear")
    chosen = [[str(row.origin).removeprefix("either ") for row in rows] for rows in spec.ways]
    first = (["1, alternative 1"], ["1, alternative 2", "1, alternative 2"])
    assert chosen == [[*one, f"2, alternative {other}"] for one in first for other in (1, 2, 3)]
    numbers = [[row.number for row in rows] for rows in spec.ways]
    assert all(own == list(range(1, len(own) + 1)) for own in numbers), "each row has a number of its own"


def test_the_digest_tells_choices_apart_and_plain_specs_keep_theirs() -> None:
    specs = [
        parse_spec(HEAD + more, "gear") for more in (CODE, CODE + "blank = false\n", CODE + "blank = true\n")
    ]
    assert specs[0].digest != specs[1].digest
    assert specs[0].digest == specs[2].digest, "what is left out is said"
    plain = parse_spec(written(PATTERNS[:3]), "gear")
    assert {one.digest for one in plain_specs(specs[0])} == {specs[0].digest}, "a way answers the whole spec"
    assert plain.digest not in {one.digest for one in specs}
    assert plain_specs(plain) == (plain,)


def test_a_way_is_judged_as_the_plain_spec_is() -> None:
    spec = parse_spec(HEAD + CODE, "gear")
    way = prepare(plain_specs(spec)[5])
    plain = prepare(parse_spec(written(tuple(permutations(PATTERNS, 3))[5]), "gear"))
    assert way.requirements == plain.requirements


def test_too_many_ways_are_told_with_their_number() -> None:
    lamps = "".join(f'[lamps.l{n}]\nchoose = ["W2.3W"]\n' for n in range(2))
    code = '[[code]]\nlamps = ["first", "second", "l0", "l1"]\ncontrol = "gear"\n'
    with pytest.raises(InputError, match=f"in {perm(16, 3):,} ways, more than 64"):
        parse_spec(HEAD + lamps + code, "gear")


def test_spoilt_ways_do_not_hide_other_findings() -> None:
    with pytest.raises(InputError) as caught:
        parse_spec(
            (HEAD + CODE).replace('control = "gear"', 'control = "gaer"').replace('"W3W"]', "4]"), "gear"
        )
    assert len(caught.value.findings) == 3, "both lamps, and the code"
    assert replace(parse_spec(HEAD + CODE, "gear"), ways=()).behaviour == ()
