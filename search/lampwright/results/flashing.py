"""How a design flashes, as plain rows: each lamp in each phase, and what contacts close onto.

Rows as in `results.ranking`, whose Design holds them. Times are seconds [s] from the start
of a phase; flux is relative to rated. Filaments are at their nominal, supply at normal
volts; a lamp keeps up where its light is in its band when the phase ends. No source: our format.
"""

from lampwright.results.row import FineSeconds, PerMinute, Ratio, Row, Score, SurgeAmps, Whole


class FlashPhase(Row, frozen=True, kw_only=True):
    """One lamp in one phase: when it enters its band to stay (None: it is outside when the phase ends).

    `share_in_band` is of the phase; `final_flux` the light when it ends.
    """

    seconds_to_band: FineSeconds | None
    share_in_band: Score
    final_flux: Ratio


class FlashLamp(Row, frozen=True, kw_only=True):
    """One lamp at one rate in one setting; None for a phase in which nothing is asked."""

    setting: str
    lamp: str
    word: str
    flashes_per_minute: PerMinute
    keeps_up: bool
    closed: FlashPhase | None
    open: FlashPhase | None


class FlashLoad(Row, frozen=True, kw_only=True):
    """The flasher's contact in one setting at one rate: first closing, mean, and end of the closed phase."""

    setting: str
    flasher: str
    flashes_per_minute: PerMinute
    first_amps: SurgeAmps
    mean_amps: SurgeAmps
    final_amps: SurgeAmps


class Inrush(Row, frozen=True, kw_only=True):
    """The worst a control's contact closes onto, all filaments cold, at high supply; and once settled."""

    control: str
    state: str
    cold_amps: SurgeAmps
    settled_amps: SurgeAmps


class Flashing(Row, frozen=True, kw_only=True):
    """All of it. `on_share` is the closed phase's share of a cycle; unsolved and unsettled count runs."""

    on_share: Ratio
    keeps_up: bool
    lamps: tuple[FlashLamp, ...]
    loads: tuple[FlashLoad, ...]
    inrush: tuple[Inrush, ...]
    unsolved: Whole
    unsettled: Whole
