"""Questions of a made-up simulation: what is unsure is not asked, what is right is no wrong option.

Source: the tables here, written by hand.
"""

from lampwright.results.design import PartRow
from lampwright.results.worksheet import LightWord
from lampwright.teaching.grades import grade_of
from lampwright.teaching.lights import Lights, Seen
from lampwright.teaching.questions import NAIVE, Lesson, draw, observe, what_if_fails, which_lamps, which_when

PARTS = (
    PartRow(ref="L1", kind="filament", from_node="S1", to_node="S2", lamp="L1", type="small"),
    PartRow(ref="L2", kind="filament", from_node="S2", to_node="31", lamp="L2", type="big"),
)
OFF: Lights = ("dark", "dark")


def lesson(*lights: Lights, failed: tuple[tuple[Lights, ...], ...] = (), other: Seen | None = None) -> Lesson:
    """Settings 0, 1 and so on in which the lamps do this; every near miss does the other."""
    seen = Seen(lights, failed or ((OFF,) * len(lights),) * 2, is_safe=True)
    return Lesson(
        parts=PARTS,
        lamps=("L1", "L2"),
        nodes=("S1", "S2", "31"),
        settings=tuple(f"setting {at}" for at in range(len(lights))),
        seen=seen,
        title=lambda some: "setting " + " and ".join(map(str, some)),
        simulate=lambda _: other,
        seed=1,
    )


def same(light: LightWord) -> Seen:
    """Every lamp does this, sound and failed, in two settings."""
    row: Lights = (light, light)
    return Seen((row, row), ((row, row), (row, row)), is_safe=True)


def test_what_is_unsure_is_not_asked() -> None:
    odd = lesson(("unsure", "dark"), ("unsure", "burns"), other=same("burns"))
    assert observe(odd, ()) is None
    assert which_lamps(odd) is None
    asked = which_when(odd)
    assert asked is not None
    assert asked.ask == "In which settings does L2 burn?"
    assert what_if_fails(odd, 2) == []


def test_a_near_miss_that_does_the_same_or_is_unsure_is_no_option() -> None:
    twin = lesson(
        OFF, ("burns", "burns"), other=Seen((OFF, ("burns", "burns")), ((OFF, OFF),) * 2, is_safe=True)
    )
    assert which_when(twin) is None
    assert which_lamps(twin) is None
    assert which_lamps(lesson(OFF, ("burns", "burns"), other=same("unsure"))) is None


def test_that_nothing_else_changes_is_offered_where_it_is_wrong_alone() -> None:
    lone = ((OFF, OFF), (OFF, OFF))  # either lamp puts out the other
    (first, second) = what_if_fails(lesson(OFF, ("burns", "burns"), failed=lone, other=same("glows")), 2)
    for asked in (first, second):
        assert [one.because for one in asked.options if not one.right].count(NAIVE) == 1
        assert [one.text[3:] for one in asked.options if one.right] == ["is dark."]
        assert [one.text[3:] for one in asked.options if one.because == NAIVE] == ["burns."]
    apart: tuple[tuple[Lights, ...], ...] = (
        (OFF, ("dark", "burns")),
        (OFF, ("burns", "dark")),
    )  # neither minds the other
    for asked in what_if_fails(lesson(OFF, ("burns", "burns"), failed=apart, other=same("dark")), 2):
        assert NAIVE not in [one.because for one in asked.options]
        assert [one.text[3:] for one in asked.options if one.right] == ["burns."]


def test_a_drawing_that_does_it_as_well_is_told_as_right() -> None:
    wanted: tuple[Lights, ...] = (("any", "any"), ("burns", "any"))
    one = draw(lesson(OFF, ("burns", "dark"), other=same("burns")), wanted, (), ())
    assert len(one.settings) == 1, "a setting in which nothing is asked is no row"
    assert one.also
    assert one.wrong == ()
    other = draw(lesson(OFF, ("burns", "dark"), other=same("dark")), wanted, (), ())
    assert other.also == ()
    assert {row.then for row in other.wrong} == {"with setting 1, L1 is dark"}
    unsure = draw(lesson(OFF, ("burns", "dark"), other=same("unsure")), wanted, (), ())
    assert (unsure.also, unsure.wrong) == ((), ()), "of what is unsure nothing is told"


def test_grades() -> None:
    cases = {
        (2, ()): 1,
        (4, ("both live",)): 2,
        (4, ("both ways", "both live")): 3,
        (5, ()): 2,
        (8, ()): 2,
        (9, ()): 3,
    }
    assert {case: grade_of(*case) for case in cases} == cases  # type: ignore[arg-type]
    assert grade_of(4, ("series", "lent ground", "flasher")) == 1, "other tricks make nothing harder"
