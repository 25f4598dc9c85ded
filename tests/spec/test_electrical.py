"""One electrical state asked for two things is a finding, and so is light where nothing is live.

The outside judge is brute force over the boundary that circuits are solved with: settings that give every
terminal the same node are one state, and bands of one lamp that do not meet there cannot be met.
"""

import random
from itertools import combinations

import numpy as np
import pytest
from tests.selection import examples

from lampwright.errors import InputError
from lampwright.solve.boundary import SOUND, boundary_under
from lampwright.spec import load
from lampwright.spec.levels import is_empty, meet
from lampwright.spec.load import parse_spec
from lampwright.spec.model import Spec, terminals
from lampwright.spec.states import expand_states

HEAD = """
lampwright = 1
title = "Two lamps by chance"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
"""
CONTROLS = (
    '[controls.turn]\nkind = "flasher"\nfeed = "49a"\n',
    '[controls.brake]\nkind = "switch"\nfeed = "54"\n',
    '[controls.horn]\nkind = "positions"\npositions = { off = [], on = [["30", "49a"]] }\n',
    '[controls.link]\nkind = "positions"\npositions = { off = [], on = [["49a", "54"]] }\n',
)
LAMPS = '[lamps.a]\nchoose = ["R5W"]\n[lamps.b]\nchoose = ["R10W"]\n[search]\njoints = 1\nwires = 0\n'
WORDS = ("off", "lit", "full", "dim", "flash", "counterflash", "any")


def some_spec(dice: random.Random) -> str:
    chosen = dice.sample(CONTROLS, dice.randint(1, 3))
    names = [one.split("]")[0].removeprefix("[controls.") for one in chosen]
    live = "always_live = true\n" if dice.random() < 0.3 else ""
    text = HEAD + live + "".join(chosen) + LAMPS
    for _ in range(dice.randint(1, 4)):
        when = [f'{name} = "{dice.choice(("on", "off"))}"' for name in names if dice.random() < 0.8]
        show = [f'{lamp} = "{dice.choice(WORDS)}"' for lamp in ("a", "b") if dice.random() < 0.7]
        if dice.random() < 0.4:
            key, what = dice.choice(
                (("failed", ("a", "b")), ("fuse_blown", names), ("ground_lost", ("a", "b")))
            )
            when.append(f'{key} = "{dice.choice(what)}"')
        if when and show:
            text += f"[[behaviour]]\nwhen = {{ {', '.join(when)} }}\nshow = {{ {', '.join(show)} }}\n"
    return text


def cannot_be(spec: Spec) -> bool:
    """Whether some electrical state is asked for what cannot be together, or for light with nothing live."""
    states, names = expand_states(spec), terminals(spec)
    boundary = boundary_under(SOUND, spec, states, names, tuple(range(len(names))), joints=0)
    rows = boundary.vertex_node
    for first, second in combinations(range(len(states)), 2):
        damage = [(state.opened, state.hung) for state in (states[first], states[second])]
        if damage[0] != damage[1] or not np.array_equal(rows[first], rows[second]):
            continue
        for one, other in zip(states[first].bands, states[second].bands, strict=True):
            if one is not None and other is not None and is_empty(meet(one, other)):
                return True
    dark = [state for state, row in zip(states, rows, strict=True) if not np.any(row == 1)]
    asked = [band for state in dark for band in state.bands if band is not None]
    asked += [band for state in states for at in state.opened if (band := state.bands[at]) is not None]
    return any(max(band.low, band.of_full) > 0.0 for band in asked)


def told(text: str) -> list[str] | None:
    """What is said of one electrical state; None where a spec is wrong in other ways."""
    try:
        parse_spec(text, "chance")
    except InputError as error:
        said = [finding.said for finding in error.findings]
        words = "the contacts join", "nothing is live", "has failed in this row"
        found = [one for one in said if any(word in one for word in words)]
        return found or None
    return []


def test_a_spec_is_refused_exactly_if_some_state_is_asked_for_too_much(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    seen = {True: 0, False: 0}
    for seed in range(examples(400, 8000)):
        text = some_spec(random.Random(seed))
        said = told(text)
        with monkeypatch.context() as patched:
            patched.setattr(load, "coherence_findings", lambda *_: iter(()))
            spec = None if told(text) is None else parse_spec(text, "chance")
        if said is None or spec is None:
            continue
        assert cannot_be(spec) == bool(said), f"{said}\n{text}"
        seen[bool(said)] += 1
    assert min(seen.values()) > 30, f"both kinds are met: {seen}"


CONTRADICTED = (
    '[[behaviour]]\nwhen = { turn = "off", brake = "on" }\nshow = { a = "lit" }\n'
    '[[behaviour]]\nwhen = { turn = "on", brake = "on" }\nshow = { a = "flash" }\n'
)


def test_the_words_offered_would_do() -> None:
    text = HEAD + CONTROLS[0] + CONTROLS[1] + LAMPS
    with pytest.raises(InputError) as caught:
        parse_spec(text + CONTRADICTED, "tail")
    (finding,) = caught.value.findings
    assert finding.said == (
        '"flash", there off, with turn on, brake on (open): the contacts join what they join with brake on,'
        ' where behaviour 1 (line 20) asks "lit"'
    ), finding
    assert finding.remedy == 'write "counterflash", "lit" or "full", or change the other row'
    for word in ("counterflash", "lit", "full"):
        parse_spec(text + CONTRADICTED.replace("flash", word), "tail")


def test_one_row_may_contradict_itself() -> None:
    text = HEAD + CONTROLS[0] + CONTROLS[2] + LAMPS
    text += '[[behaviour]]\nwhen = { turn = "on", horn = "on" }\nshow = { a = "flash" }\n'
    with pytest.raises(InputError, match="the contacts join"):
        parse_spec(text, "tail")
