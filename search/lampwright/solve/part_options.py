"""What may be fitted, as the solver's tables: a model for every filament, type and diode.

One part_options serves a whole search. Filament models are numbered lamp by lamp, type by
type, major filament first; diode models in the order of the spec's choices; resistors
by rising ohms. A type whose filling is not known is on offer twice, gas-filled and vacuum,
the likelier first.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from lampwright.parts.catalogue import LampType, diode_type
from lampwright.parts.conduction import Filling
from lampwright.parts.curve_table import CELLS, CurveTables, curve_tables
from lampwright.parts.diode import DiodeType, thermal_volts
from lampwright.parts.filament import Filament, flux_across
from lampwright.parts.series import preferred_values, series_tolerance
from lampwright.solve.lane_laws import cells_from
from lampwright.solve.laws import DIODE_SIZE, Floats, Models, tabulate_diode
from lampwright.solve.shelf import shelf_of
from lampwright.spec.model import PartsBox, Resistors, Spec

OVERVOLT = 1.2
"""Most volts on a lamp, relative to its test voltage: the end of the handbook exponents' range."""


@dataclass(frozen=True)
class PartOptions:
    """Types and values on offer, with their models.

    lamp_types: per lamp of the spec, a type once for each filling it may have; fillings: which.
    filament_model: per filament of the spec, the model for each of these. filaments: per model.
    diode_types: in the spec's order. ohms: rising, of the series and of the parts
    box; ohms_tolerance: a fraction; watts: resistor ratings on offer [W].
    """

    lamp_types: tuple[tuple[str, ...], ...]
    fillings: tuple[tuple[Filling, ...], ...]
    filament_model: tuple[tuple[int, ...], ...]
    filaments: tuple[Filament, ...]
    diode_types: tuple[DiodeType, ...]
    ohms: tuple[float, ...]
    ohms_tolerance: float
    watts: tuple[float, ...]
    models: Models

    def lamp_volts(self) -> Floats:
        """Most volts for every filament model [V], shape (models,)."""
        return np.array([OVERVOLT * filament.test_volts for filament in self.filaments])

    def flux_at(self, volts: Floats) -> tuple[Floats, ...]:
        """Relative flux [1] straight across these volts [V]: per filament, shape (types, volts)."""
        return tuple(
            np.array([flux_across(self.filaments[model], tuple(volts.tolist())) for model in models])
            for models in self.filament_model
        )


def resistor_values(resistors: Resistors | None, stock: PartsBox | None = None) -> tuple[float, ...]:
    """The preferred values within the spec's range [ohm], and those of the parts box within it; rising."""
    if resistors is None:
        return ()
    low, high = resistors.ohms
    boxed = [row.ohms for row in stock.resistors if low <= row.ohms <= high] if stock else []
    return tuple(sorted({*preferred_values(resistors.series, low, high), *boxed}))


def as_filled(name: str, spec: Spec) -> tuple[LampType, ...]:
    """A lamp type in every filling it may have, the likelier first. Raises UnknownPart."""
    shelf = shelf_of(spec)
    return tuple(shelf.lamp(name, filling) for filling in shelf.lamp(name).fillings)


def offered_parts(spec: Spec) -> PartOptions:
    """Everything the spec allows to be fitted. Raises UnknownPart for a type not in the catalogue."""
    types = [[one for name in lamp.choose for one in as_filled(name, spec)] for lamp in spec.lamps]
    filaments: list[Filament] = []
    model: list[tuple[int, ...]] = []
    for lamp, offered in zip(spec.lamps, types, strict=True):
        rows = [
            [len(filaments) + n * len(lamp.filaments) + f for n in range(len(offered))]
            for f in range(len(lamp.filaments))
        ]
        model.extend(tuple(row) for row in rows)
        filaments.extend(filament for kind in offered for filament in kind.filaments)
    diodes = [] if spec.extras.diodes is None else [diode_type(name) for name in spec.extras.diodes.choose]
    resistors = spec.extras.resistors
    tolerance = 0.0
    if resistors is not None:
        tolerance = series_tolerance(resistors.series) if resistors.tolerance is None else resistors.tolerance
    return PartOptions(
        lamp_types=tuple(tuple(kind.name for kind in offered) for offered in types),
        fillings=tuple(tuple(kind.filling for kind in offered) for offered in types),
        filament_model=tuple(model),
        filaments=tuple(filaments),
        diode_types=tuple(diodes),
        ohms=resistor_values(resistors, spec.stock),
        ohms_tolerance=tolerance,
        watts=() if resistors is None else resistors.watts,
        models=tabulate(filaments, diodes, spec.supply.volts[2]),
    )


def tabulate(filaments: list[Filament], diodes: list[DiodeType], most_volts: float) -> Models:
    """The solver's tables for these filaments and diodes, good up to most_volts [V]."""
    curves = [_curve(filament, most_volts * 1.001) for filament in filaments]
    h = curve_tables([], most_volts * 1.001).h
    knots = [np.stack([one.amps, one.slope], axis=2).ravel() for one in curves]
    cards = np.zeros((len(diodes), DIODE_SIZE))
    for at, diode in enumerate(diodes):
        card = [diode.saturation_amps, diode.emission * thermal_volts(), diode.series_ohms]
        tabulate_diode(np.array(card), cards[at])
    table = np.concatenate([[h, 1.0 / h], *knots, cards.ravel()])
    stops = np.concatenate([np.zeros((0, CELLS + 1)), *(one.stops for one in curves)])
    cells = cells_from(table, len(filaments), len(diodes))
    return Models(table, cells, stops, len(filaments), len(diodes))


@lru_cache(maxsize=512)
def _curve(filament: Filament, top_volts: float) -> CurveTables:
    """The curve of one filament: it is asked for again by every problem that has it."""
    return curve_tables([filament], top_volts)
