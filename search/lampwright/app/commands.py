"""One function for each command: what the command line calls, with files in and rows out."""

from pathlib import Path
from typing import get_args

from lampwright.app.answering import search_into
from lampwright.app.checking import check_file
from lampwright.app.drawing import draw_circuit, draw_rank
from lampwright.app.explaining import explain_circuit, explain_rank
from lampwright.app.render import ranking_page
from lampwright.errors import Finding, InputError
from lampwright.parts.catalogue import LampType, diode_types, lamp_type, lamp_types
from lampwright.parts.diode import DiodeType
from lampwright.parts.filament import Filament, amps_of, kelvin_of, ohms_at, relative_flux_of, relative_life
from lampwright.parts.series import (
    preferred_values,
    series_confidence,
    series_names,
    series_tolerance,
    stock_wattages,
    wattage_confidence,
)
from lampwright.parts.tables import UnknownPart
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import Progress
from lampwright.report.csv_tables import ranking_csv, wiring_csv
from lampwright.results.explanation import Explanation
from lampwright.results.json_text import Which, from_json, to_json
from lampwright.results.json_text import schema_text as result_schema
from lampwright.results.ranking import (
    Catalogue,
    CheckReport,
    CountReport,
    CurveRow,
    Curves,
    FilamentCurve,
    PartLine,
    Ranking,
    SeriesLine,
)
from lampwright.searching.estimate import count_problem
from lampwright.searching.options import SearchOptions
from lampwright.spec.format import schema_text as spec_schema
from lampwright.spec.load import write_starter
from lampwright.store.files import WIRING, write_result, write_text

CURVE_SHARES = (0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2)


def search_to_disk(spec: Path, options: SearchOptions, progress: Progress) -> Ranking:
    """Search and keep the result under the options' folder."""
    problem = read_problem(spec)
    folder = options.out / problem.spec.name
    ranking = search_into(problem, options, progress, folder)
    # the page is made of the ranking as it is stored, so that the two never differ by a digit
    stored = from_json(to_json(ranking))
    write_result(folder, ranking, ranking_csv(ranking), ranking_page(stored, problem.spec))
    lists = [design.wiring for design in ranking.designs if design.wiring is not None]
    if lists:
        write_text(folder / WIRING, wiring_csv(lists))
    return ranking


def check_files(spec: Path, circuit: Path) -> CheckReport:
    """Judge a circuit file against a spec file."""
    return check_file(spec, circuit)


def explain_file(spec: Path, circuit: Path) -> Explanation:
    """Explain a circuit file in words."""
    return explain_circuit(spec, circuit)


def explain_stored(spec: Path, rank: int | None, out: Path) -> Explanation:
    """Explain the design of this rank in a spec's stored result under `out`, the first without a rank.

    Where nothing was found and no rank is asked for, explain why not.
    """
    return explain_rank(spec, rank, out)


def draw_file(spec: Path, circuit: Path, to: Path, width: int | None) -> None:
    """Draw a circuit file into a picture file."""
    draw_circuit(spec, circuit, to, width)


def draw_stored(spec: Path, rank: int, out: Path, to: Path, width: int | None) -> None:
    """Draw the design of this rank in a spec's stored result under `out` into a picture file."""
    draw_rank(spec, rank, out, to, width)


def count_spec(spec: Path, budget: int) -> CountReport:
    """Count the circuits of a spec without listing them."""
    return count_problem(read_problem(spec), budget)


def new_spec(path: Path) -> None:
    """Write a spec to start from."""
    write_starter(path)


def list_parts() -> Catalogue:
    """The whole catalogue."""
    lamps = tuple(_lamp_line(lamp) for lamp in lamp_types())
    diodes = tuple(_diode_line(diode) for diode in diode_types())
    decade = tuple(
        SeriesLine(
            name=name,
            values=preferred_values(name, 1.0, 9.99),
            tolerance_percent=100 * series_tolerance(name),
            source="IEC 60063",
            confidence=series_confidence(name),
        )
        for name in series_names()
    )
    sure = wattage_confidence()
    watts = SeriesLine(
        name="resistor wattages",
        values=stock_wattages(),
        tolerance_percent=None,
        source="common practice",
        confidence=sure,
    )
    return Catalogue(lines=(*lamps, *diodes), series=(*decade, watts))


def _lamp_line(lamp: LampType) -> PartLine:
    rated = " + ".join(f"{f.watts:g} W {f.lumens:g} lm at {f.test_volts:g} V" for f in lamp.filaments)
    filling = " or ".join(lamp.fillings)
    return PartLine(
        type=lamp.name,
        kind="lamp",
        system=f"{lamp.system} V",
        rated=rated,
        cap=lamp.cap,
        filling=filling,
        source=lamp.source,
        confidence=lamp.confidence,
    )


def _diode_line(diode: DiodeType) -> PartLine:
    drop = f"at most {diode.forward_volts_max:g} V at {diode.at_amps:g} A"
    rated = f"{diode.max_amps:g} A, {diode.reverse_volts:g} V, {drop}"
    return PartLine(
        type=diode.name,
        kind="diode",
        system="",
        rated=rated,
        cap="",
        filling="",
        source=diode.source,
        confidence=diode.confidence,
    )


def part_curves(name: str) -> Curves:
    """The curves of every filament of one lamp type, at every system voltage it is made for."""
    found = [lamp for lamp in lamp_types() if lamp.name.upper() == name.upper()]
    if not found:
        known = list(dict.fromkeys(lamp.name for lamp in lamp_types()))
        error = UnknownPart("lamp of the catalogue", name, known)
        raise InputError([Finding("TYPE", error.said, error.remedy)])
    filled = [lamp_type(lamp.name, lamp.system, filling) for lamp in found for filling in lamp.fillings]
    return Curves(
        type=found[0].name,
        curves=tuple(_curve(lamp, filament) for lamp in filled for filament in lamp.filaments),
    )


def _curve(lamp: LampType, filament: Filament) -> FilamentCurve:
    rows = []
    for share in CURVE_SHARES:
        volts = share * filament.test_volts
        amps, kelvin = float(amps_of(filament, volts)), float(kelvin_of(filament, volts))
        flux, life = float(relative_flux_of(filament, volts)), float(relative_life(filament, volts))
        rows.append(CurveRow(volts=volts, amps=amps, watts=volts * amps, kelvin=kelvin, flux=flux, life=life))
    return FilamentCurve(
        type=lamp.name,
        filament=filament.place,
        system=lamp.system,
        test_volts=filament.test_volts,
        rated_watts=filament.watts,
        rated_lumens=filament.lumens,
        rated_kelvin=filament.rated_kelvin,
        filling=lamp.filling,
        filling_known=len(lamp.fillings) == 1,
        filling_status=lamp.filling_status,
        filling_confidence=lamp.filling_confidence,
        conducted_share=filament.conducted_share,
        cold_ohms=float(ohms_at(filament, 293.15)),
        hot_ohms=float(ohms_at(filament, filament.rated_kelvin)),
        source=lamp.source,
        confidence=lamp.confidence,
        rows=tuple(rows),
    )


def schema_text(which: str) -> str:
    """The JSON Schema of a spec, or of a result: a ranking, a check, an explanation."""
    results: dict[str, Which] = {known: known for known in get_args(Which)}
    return result_schema(results[which]) if which in results else spec_schema()
