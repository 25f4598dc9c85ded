"""What a spec asks: one list of requirements, and the forms in which solvers, rules and models take it.

What is asked of a lamp may hang on the lamp and on the supply (see `edges`). So a band becomes, for
every filament model and supply, stops and volts for the judge (`Demands`), and relative flux for
what reasons without solving (`FluxBands`).
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from lampwright.parts.filament import Filament
from lampwright.problem.demands import Demands, Numbered
from lampwright.problem.edges import NOTHING, band_edges, flux_band
from lampwright.solve.boundary import Truths
from lampwright.solve.laws import Bytes, Floats, Models
from lampwright.solve.part_options import PartOptions
from lampwright.spec.model import AskedBand
from lampwright.spec.states import LightComparison, State


@dataclass(frozen=True)
class Requirement:
    """One thing that a spec asks: of a filament, or of two that must match or be one the brighter.

    states: in which it is asked; several where they are one to any circuit. other None: the relative
    flux of `filament` must lie in the band. Otherwise the lumens of `filament` over those of `other`
    must, unless both are off. versus: the state that `other` is in, for each of `states`, where it is
    compared from state to state; what is off then counts as the most that does. Empty: the same one.
    """

    states: tuple[int, ...]
    filament: int
    other: int | None
    band: AskedBand
    versus: tuple[int, ...] = ()

    @property
    def state(self) -> int:
        """The first state in which it is asked."""
        return self.states[0]

    @property
    def single(self) -> tuple["Requirement", ...]:
        """The same, state by state."""
        if not self.versus:
            return tuple(replace(self, states=(at,)) for at in self.states)
        pairs = zip(self.states, self.versus, strict=True)
        return tuple(replace(self, states=(at,), versus=(other,)) for at, other in pairs)


@dataclass(frozen=True)
class FluxBands:
    """What is asked as relative flux, and what every filament gives straight across the supply.

    low, high: per filament, (states, types, supplies): what is asked may hang on the type and on
    the supply. across: per filament, (types, supplies). ordered: (filaments, s, t), where a filament must
    give more light in s than in t whatever the bands; None: nowhere.
    """

    low: tuple[Floats, ...]
    high: tuple[Floats, ...]
    across: tuple[Floats, ...]
    ordered: Truths | None = None

    @property
    def glow(self) -> Bytes:
        """Where some light is asked, whatever the type, (states, filaments)."""
        return np.stack([np.all(low > 0.0, axis=(1, 2)) for low in self.low], axis=1).astype(np.int8)

    @cached_property
    def above(self) -> Truths:
        """Where every type must give more light in s than it may in t, at some supply: (filaments, s, t)."""
        found = np.stack([np.all(np.any(self._brighter(f), axis=3), axis=2) for f in range(len(self.low))])
        return found if self.ordered is None else found | self.ordered

    @cached_property
    def always_above(self) -> Truths:
        """Likewise at every supply."""
        return np.stack([np.all(self._brighter(f), axis=(2, 3)) for f in range(len(self.low))])

    def _brighter(self, filament: int) -> Truths:
        """Where the least light in s is more than the most in t: (s, t, types, supplies)."""
        return self.low[filament][:, None] > self.high[filament][None, :]

    def misses(self, filament: int, state: int | slice) -> Truths:
        """Where a filament straight across the supply misses its band: ([states,] types, supplies)."""
        low, high, light = self.low[filament][state], self.high[filament][state], self.across[filament]
        missed: Truths = (light < low * (1 - 1e-9)) | (light > high * (1 + 1e-9))
        return missed


@dataclass(frozen=True)
class Requirements:
    """All that a spec asks: filaments state by state, then what must match, state by state.

    A requirement's number is its place. states, filaments: how many there are, asked or not.
    comparisons: what must be brighter than what, from state to state; they have no number.
    """

    every: tuple[Requirement, ...]
    states: int
    filaments: int
    comparisons: tuple[LightComparison, ...] = ()

    def __len__(self) -> int:
        """How many there are."""
        return len(self.every)

    def __iter__(self) -> Iterator[Requirement]:
        """Each in turn."""
        return iter(self.every)

    @property
    def pairs(self) -> tuple[Requirement, ...]:
        """Those of two filaments."""
        return tuple(one for one in self.every if one.other is not None)

    @cached_property
    def bands(self) -> tuple[tuple[AskedBand, ...], ...]:
        """The band of every filament in every state, by state; `NOTHING` where nothing is asked."""
        asked = {(one.state, one.filament): one.band for one in self.every if one.other is None}
        return tuple(
            tuple(asked.get((state, filament), NOTHING) for filament in range(self.filaments))
            for state in range(self.states)
        )

    @cached_property
    def compared(self) -> tuple[Requirement, ...]:
        """The comparisons as requirements; where all that is asked is meant, they follow the others."""
        return tuple(
            Requirement((one.first_state,), one.first, one.second, AskedBand(low=one.by), (one.second_state,))
            for one in self.comparisons
        )

    @property
    def is_asked(self) -> Truths:
        """Where anything is asked of a filament alone, (states, filaments)."""
        asked = [[band != NOTHING for band in row] for row in self.bands]
        return np.array(asked, np.bool_).reshape(self.states, self.filaments)

    def only(self, kept: Iterable[Requirement]) -> "Requirements":
        """The list of those that some of `kept` stand for, which may be joined over several states."""
        chosen = {single for one in kept for single in one.single}
        pairs = zip(self.comparisons, self.compared, strict=True)
        compared = tuple(one for one, asked in pairs if asked in chosen)
        return replace(self, every=tuple(one for one in self.every if one in chosen), comparisons=compared)

    def numbered(self) -> Numbered:
        """The requirements' numbers as arrays."""
        asked, pairs = self.is_asked, [one.state for one in self.pairs]
        number = np.where(asked, np.cumsum(asked).reshape(asked.shape) - 1, -1).astype(np.int64)
        same_from = np.searchsorted(np.array(pairs, np.int64), np.arange(self.states + 1)).astype(np.int64)
        return Numbered(number, same_from, int(asked.sum()))

    def demands(
        self, filaments: Sequence[Filament], models: Models, volts: Floats, off_flux: float
    ) -> Demands:
        """What is asked, as the judge reads it, of these filaments and their models at these supplies [V].

        off_flux: the most relative flux that counts as off.
        """
        bands = tuple(dict.fromkeys(band for row in self.bands for band in row))
        which = np.array([[bands.index(band) for band in row] for row in self.bands], np.int64)
        which = which.reshape(self.states, self.filaments)
        found = np.empty((4, len(volts), len(bands), len(filaments)))
        for model, filament in enumerate(filaments):
            for at, band in enumerate(bands):
                found[:, :, at, model] = band_edges(band, filament, model, models, volts)
        low_stops, low_volts, high_stops, high_volts = (np.take(table, which, axis=1) for table in found)
        pairs = self.pairs
        return Demands(
            low_stops=low_stops,
            high_stops=high_stops,
            low_volts=low_volts,
            high_volts=high_volts,
            same_first=np.array([one.filament for one in pairs], np.int64),
            same_second=np.array([one.other for one in pairs], np.int64),
            same_state=np.array([one.state for one in pairs], np.int64),
            same_low=np.array([np.log2(one.band.low) for one in pairs], np.float64),
            same_high=np.array([np.log2(one.band.high) for one in pairs], np.float64),
            off_stops=float(np.log2(off_flux)),
            brighter=np.array(
                [(c.first, c.first_state, c.second, c.second_state) for c in self.comparisons], np.int64
            ).reshape(-1, 4),
            brighter_by=np.array([np.log2(c.by) for c in self.comparisons], np.float64),
        )

    def flux_bands(self, part_options: PartOptions, volts: Floats) -> FluxBands:
        """What is asked as relative flux, for the types on offer, at these supplies [V]."""
        low, high = [], []
        for filament, models in enumerate(part_options.filament_model):
            asked = [row[filament] for row in self.bands]
            types = [part_options.filaments[model] for model in models]
            known = {
                band: [[flux_band(band, one, float(each)) for each in volts] for one in types]
                for band in dict.fromkeys(asked)
            }
            low.append(np.array([[[one.low for one in row] for row in known[band]] for band in asked]))
            high.append(np.array([[[one.high for one in row] for row in known[band]] for band in asked]))
        return FluxBands(tuple(low), tuple(high), part_options.flux_at(volts))


def requirements_of(
    states: Sequence[State], filaments: int, comparisons: Sequence[LightComparison] = ()
) -> Requirements:
    """What these states ask of a number of filaments, and what is compared from state to state."""
    alone = (
        Requirement((at,), filament, None, band)
        for at, state in enumerate(states)
        for filament, band in enumerate(state.bands)
        if band is not None and band != NOTHING
    )
    pairs = (
        Requirement((at,), check.first, check.second, AskedBand(1.0 - check.within, 1.0 + check.within))
        for at, state in enumerate(states)
        for check in state.same
    )
    return Requirements((*alone, *pairs), len(states), filaments, tuple(comparisons))
