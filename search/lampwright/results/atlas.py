"""An atlas as plain rows: what lamps of a few circuits can show of the feeds, and with how few parts.

The same rules hold as in `results.ranking`. A function of the feeds is a number: bit s is whether the lamp
is lit in setting s, and in setting s feed f is on where bit f of s is. No source: our format.
"""

from lampwright.results.design import PartRow
from lampwright.results.ranking import Format
from lampwright.results.row import Ratio, Row, Seconds, Stops, Volts, Whole


class AtlasBoundRow(Row, frozen=True, kw_only=True):
    """What an atlas is taken over, and by which levels; wires between terminals there are none.

    `always_live`: terminal 30 may be used. `diode`: the type of every diode, None where none is allowed.
    `volts` is the normal supply, at which functions are told; `off_most` and `lit_least` are of rated light.
    """

    feeds: Whole
    lamps: Whole
    joints: Whole
    diodes: Whole
    always_live: bool
    types: tuple[str, ...]
    diode: str | None
    low_volts: Volts
    volts: Volts
    high_volts: Volts
    off_most: Ratio
    lit_least: Ratio


class AtlasSizeRow(Row, frozen=True, kw_only=True):
    """All circuits of exactly so many lamps and diodes.

    `drawings` were listed and `counted` is their number without listing: they are equal. `circuits`: those
    told apart, feeds renamed and drawings of one circuit put together. `fitted`: these with types, each once;
    `overloaded`: of those, over a rating at normal supply. `points`: operating points solved, three supplies;
    `unsolved`: those without a solution. `functions`: how many, feeds told apart, one lamp shows at normal
    supply; `behaviours`: how many different functions lamps show together, up to renaming. `held`: those of
    them that hold at low and high supply as well.
    """

    lamps: Whole
    diodes: Whole
    drawings: Whole
    counted: Whole
    circuits: Whole
    fitted: Whole
    overloaded: Whole
    points: Whole
    unsolved: Whole
    functions: Whole
    functions_held: Whole
    behaviours: Whole
    behaviours_held: Whole


class AtlasOption(Row, frozen=True, kw_only=True):
    """The least lamps for a behaviour with so many diodes, and one circuit: that with the greatest margin.

    `circuits` of this size show it at normal supply, `held_circuits` from low to high. `holds`: whether the
    one drawn does; then its margin is the worst of the three supplies, else that of the normal one, nominal
    parts, bulbs filled as is likeliest. `judged_stops` is the judge's margin over the same supplies with
    every tolerance and filling, below zero where some lamp of these types would miss. `shown_by`: the lamp of
    each function. `why`: what the circuit rests on, in words.
    """

    lamps: Whole
    diodes: Whole
    circuits: Whole
    held_circuits: Whole
    holds: bool
    margin_stops: Stops
    judged_stops: Stops
    joints: Whole
    shown_by: tuple[str, ...]
    parts: tuple[PartRow, ...]
    why: tuple[str, ...]


class AtlasFunction(Row, frozen=True, kw_only=True):
    """A function of the feeds; `name` is logic's own, if it has one, `lit_with` the feeds of each setting."""

    number: Whole
    words: str
    name: str | None
    lit_with: tuple[str, ...]


class AtlasEntry(Row, frozen=True, kw_only=True):
    """One behaviour, up to renaming of the feeds and lamps: different functions, a lamp for each.

    `images`: how many behaviours it stands for, with feeds told apart. `options`: fewest diodes first; each
    takes fewer lamps than those before, or holds from low to high supply where those do not. `none`: where
    there is no option, how far that is proved.
    """

    functions: tuple[AtlasFunction, ...]
    images: Whole
    options: tuple[AtlasOption, ...]
    none: str | None = None

    @property
    def words(self) -> str:
        """All that it asks, in words."""
        return "; ".join(one.words for one in self.functions)


class Atlas(Row, frozen=True, kw_only=True):
    """What circuits within the bound show.

    `complete`: every size was surveyed. `functions`: every function of the feeds up to renaming, shown or
    not. `behaviours`: of several lamps, those shown. `verdict`: what was found, in a sentence.
    """

    format: Format
    program: str
    part_data: str
    bound: AtlasBoundRow
    complete: bool
    verdict: str
    seconds: Seconds
    sizes: tuple[AtlasSizeRow, ...]
    functions: tuple[AtlasEntry, ...]
    behaviours: tuple[AtlasEntry, ...]
    cautions: tuple[str, ...]

    @property
    def name(self) -> str:
        """What to call it, and the folder that keeps it.

        As 2-feeds-5-lamps-live.
        """
        bound = self.bound
        said = [f"{bound.feeds}-feeds", f"{bound.lamps}-lamps"]
        said += [f"{bound.joints}-joints"] if bound.joints != 2 else []
        said += [f"{bound.diodes}-diodes"] if bound.diodes else []
        return "-".join([*said, *(["live"] if bound.always_live else [])])
