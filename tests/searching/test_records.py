"""What a share brings: the same in blocks of any size, each circuit in one place, and as it is kept.

No source: our own format.
"""

from functools import partial
from pathlib import Path

import pytest

from lampwright.graphs.listing import list_blocks
from lampwright.problem.reading import read_problem
from lampwright.searching import evaluate
from lampwright.searching.evaluate import ShareEvaluator, ShareResult, shares_of
from lampwright.searching.plan import plan_steps
from lampwright.searching.records import product_text, read_product

SPEC = Path(__file__).parents[2] / "specs" / "caravan_unmarked_bulbs.toml"


def test_shares_read_back_as_they_were_written() -> None:
    evaluator = ShareEvaluator(read_problem(SPEC))
    screened = still_open = 0
    for share in shares_of(plan_steps(evaluator.judge, 2)):
        result = evaluator.take(share)
        back = read_product(product_text(result), share)
        assert isinstance(back, ShareResult), "a share has a result"
        assert back.tally == result.tally, f"{share}"
        assert back.open.tolist() == result.open.tolist(), f"{share}"
        for one, other in zip(back.screened, result.screened, strict=True):
            assert one.netlist.form == other.netlist.form, f"{share}"
            assert one.choices == other.choices, f"{share}"
        screened, still_open = screened + len(result.screened), still_open + len(result.open)
    assert screened > 100, "some circuits pass"
    assert still_open > 100, "and some wait for a resistance that is not listed"


def test_a_share_brings_the_same_in_blocks_of_any_size(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = ShareEvaluator(read_problem(SPEC))
    cut = ShareEvaluator(whole.judge.problem)
    monkeypatch.setattr(evaluate, "list_blocks", partial(list_blocks, size=7))
    blocks = waiting = 0
    for share in shares_of(plan_steps(whole.judge, 2)):
        blocks += sum(1 for _ in cut.blocks(share)) > 1
        some = cut.take(share)
        with monkeypatch.context() as undone:
            undone.setattr(evaluate, "list_blocks", list_blocks)
            every = whole.take(share)
        assert some.open.tolist() == every.open.tolist(), f"{share}"
        assert [one.netlist.form for one in some.screened] == [one.netlist.form for one in every.screened]
        passed = {one.netlist.ends.tobytes() for one in some.screened}
        assert not passed & {ends.tobytes() for ends in some.open}, "a circuit that passed waits for nothing"
        waiting += len(some.open)
    assert blocks > 4, "some shares are of several blocks"
    assert waiting > 100, "circuits wait for a resistance that is not listed"
