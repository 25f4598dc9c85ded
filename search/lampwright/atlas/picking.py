"""Of all that sizes of an atlas show, what to tell of each behaviour: the least sizes that show it.

Sizes are looked at with fewest diodes first, then fewest lamps. One is told of where it takes fewer lamps
than any before it, or is the first to hold at every supply with so few. No source: our choice.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lampwright.atlas.bound import Size, feed_renamings
from lampwright.atlas.gather import Functions, Gathered, Showing, renamed
from lampwright.atlas.survey import SizeSurvey


@dataclass(frozen=True, eq=False)
class Pick:
    """A size that shows a behaviour, and the circuit to tell of.

    showing: at every supply where it `holds`, else at the normal one. circuits: how many show it there,
    held_circuits: how many at every supply.
    """

    survey: SizeSurvey
    showing: Showing
    holds: bool
    circuits: int
    held_circuits: int

    @property
    def size(self) -> Size:
        """How many lamps and diodes it takes."""
        return self.survey.size


def shown_behaviours(surveys: Iterable[SizeSurvey]) -> list[Functions]:
    """Every behaviour that some size shows: fewest functions first, then least parts."""
    least: dict[Functions, tuple[int, int, int]] = {}
    for survey in surveys:
        for form in survey.normal:
            rank = (len(form), survey.size.parts, survey.size.diodes)
            least[form] = min(least.get(form, rank), rank)
    return sorted(least, key=lambda form: (least[form], form))


def picks_of(form: Functions, surveys: Iterable[SizeSurvey]) -> tuple[Pick, ...]:
    """The sizes to tell of for a behaviour."""
    picks: list[Pick] = []
    for survey in sorted(surveys, key=lambda one: (one.size.diodes, one.size.lamps)):
        normal, held = survey.normal.get(form), survey.always.get(form)
        if normal is None:
            continue
        fewest = min((one.size.lamps for one in picks), default=survey.size.lamps + 1)
        steady = min((one.size.lamps for one in picks if one.holds), default=survey.size.lamps + 1)
        if survey.size.lamps < fewest or (held is not None and survey.size.lamps < steady):
            many = len(held.circuits) if held else 0
            picks.append(Pick(survey, held or normal, held is not None, len(normal.circuits), many))
    return tuple(picks)


def images_of(form: Functions, feeds: int) -> set[Functions]:
    """The behaviours that a behaviour stands for, feeds told apart."""
    return {tuple(sorted(renamed(one, names) for one in form)) for names in feed_renamings(feeds)}


def functions_shown(gathered: Gathered, feeds: int) -> int:
    """How many functions of the feeds, told apart, one lamp shows."""
    return len({image for form in gathered if len(form) == 1 for image in images_of(form, feeds)})


def every_function(feeds: int) -> Sequence[Functions]:
    """Every function of the feeds by itself, up to renaming."""
    return sorted({min(images_of((one,), feeds)) for one in range(1 << (1 << feeds))})
