"""Types offered and not taken, in words, from rows written by hand; on the page the same words, escaped."""

from html import escape

from msgspec import structs
from tests.shipped import ROOT, shipped

from lampwright.app.render import ranking_page
from lampwright.problem.reading import read_spec
from lampwright.report.text import ranking_text
from lampwright.report.topics.not_taken import MOST_TOLD, NOT_TAKEN_HEADING, not_taken_text, not_taken_words
from lampwright.results.ranking import NotTaken
from lampwright.results.shortfall import Missed

NAME = "trailer_feed_telltale"
MISSED = Missed(lamp="stop", state="brake on", wanted="lit", margin_stops=-0.556, corner="low supply 11.8 V")
ROW = NotTaken(
    lamp="left",
    type="R5W",
    rank=1,
    fitted=("left R5W", "right R10W"),
    missed=MISSED,
    gives=0.17,
    over=(),
    tried=4,
    choices=4,
)


def words(**changes: object) -> str:
    (said,) = not_taken_words([structs.replace(ROW, **changes)], shipped(NAME).designs)
    return said.replace("\u00a0", " ")


def test_what_is_said_of_a_type() -> None:
    asked = "left R5W: stop, asked lit at brake on,"
    short = "0.56 stops short at low supply 11.8 V"
    assert words() == f"{asked} gives 17 % of rated light, {short}; design 1"
    assert words(fitted=("left R5W", "right R5W")) == (
        f"{asked} gives 17 % of rated light, {short}; design 1 with right R5W"
    ), "what is fitted otherwise than in the design"
    assert words(gives=None) == f"{asked} {short}; design 1", "two lamps have no one light"
    assert words(tried=2).endswith("; design 1 (tried in 2 of 4)"), "not everything was tried"
    over = ("brake: 2 A where 1 A is the most",)
    assert words(missed=None, gives=None, over=over) == f"left R5W: {over[0]}; design 1"
    assert words(over=over) == f"{asked} gives 17 % of rated light, {short}; {over[0]}; design 1"


def test_the_text_tells_of_the_first_and_counts_the_others() -> None:
    text = not_taken_text([ROW] * (MOST_TOLD + 3), shipped(NAME).designs, 80)
    assert text.count("left R5W") == MOST_TOLD
    assert "and 3 more" in text
    assert not_taken_text([], (), 80) == ""


def test_text_and_page_tell_of_a_shipped_specs_types() -> None:
    ranking = shipped(NAME)
    assert ranking.not_taken, "nothing to tell"
    text = " ".join(ranking_text(ranking).split())
    page = ranking_page(ranking, read_spec(ROOT / "specs" / f"{NAME}.toml"))
    assert NOT_TAKEN_HEADING in text
    assert NOT_TAKEN_HEADING in page
    for said in not_taken_words(ranking.not_taken, ranking.designs):
        assert " ".join(said.split()) in text
        assert escape(said) in page
    bare = structs.replace(ranking, not_taken=())
    assert NOT_TAKEN_HEADING not in ranking_text(bare)
