"""Measured points of a lamp: a CSV file with columns volts and amps, read with every finding.

volts,amps
0.5,0.160
2.5,0.300

Other columns are passed over; so are empty lines, and those that begin with #. No source: our format.
"""

import csv
from dataclasses import dataclass
from math import inf
from pathlib import Path

import numpy as np

from lampwright.errors import Finding, InputError, shown
from lampwright.parts.tables import Floats
from lampwright.spec.load import read_text

COLUMNS = ("volts", "amps")
LEAST, MOST = 1e-4, {"volts": 60.0, "amps": 100.0}
"""Of one reading [V] [A]: no bench reads less."""
LEAST_POINTS, MOST_POINTS = 3, 10_000
POINTS_FILE = "a file of points, as lamp.csv"
DECIMALS = "write a decimal point, as 2.5, and commas between columns alone"
HEAD = "begin with a line volts,amps"


@dataclass(frozen=True)
class MeasuredPoints:
    """Volts and amps of a lamp, (points,) each, by rising volts [V] [A]."""

    volts: Floats
    amps: Floats


def read_points(path: Path) -> MeasuredPoints:
    """Read measured points. Raises InputError with every finding."""
    lines = [
        (number, line)
        for number, line in enumerate(read_text(path, POINTS_FILE).splitlines(), 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not lines:
        raise InputError([Finding(path.name, "the file has no points", HEAD)])
    at, width = _columns(path.name, *lines[0]), len(next(csv.reader([lines[0][1]])))
    findings: list[Finding] = []
    rows = []
    for number, line in lines[1:]:
        place = f"{path.name}: line {number}"
        cells = next(csv.reader([line]))
        if len(cells) > width:
            said = f"{len(cells)} numbers, where {width} would stand"
            said = said.replace("2 would", "volts and amps would")
            findings.append(Finding(place, said, DECIMALS))
            continue
        row = [_number(place, name, cells, at[name], findings) for name in COLUMNS]
        rows += [row] if None not in row else []
    different = len({row[0] for row in rows})
    if not findings and not LEAST_POINTS <= different <= MOST_POINTS:
        span = f"{LEAST_POINTS} to {MOST_POINTS}"
        said = f"{len(rows)} points at {different} different volts, where {span} would do"
        findings.append(Finding(path.name, said, "measure from a tenth of the rated volts up to them"))
    if findings:
        raise InputError(findings)
    volts, amps = np.array(sorted(rows), np.float64).T
    return MeasuredPoints(volts, amps)


def _columns(file: str, number: int, line: str) -> dict[str, int]:
    names = [name.strip().strip('"').lower() for name in next(csv.reader([line]))]
    missing = [name for name in COLUMNS if name not in names]
    if not missing:
        return {name: names.index(name) for name in COLUMNS}
    said = f"{shown(line)} names no column {' and no column '.join(missing)}"
    if ";" in line:
        said += " between commas"
    raise InputError([Finding(f"{file}: line {number}", said, HEAD)])


def _number(place: str, name: str, cells: list[str], at: int, findings: list[Finding]) -> float | None:
    text = cells[at].strip() if at < len(cells) else ""
    said, remedy = "", f"write {name} in plain figures, as {'2.5' if name == 'volts' else '0.3'}"
    try:
        value = float(text)
    except ValueError:
        value = inf
        said = f"{shown(text)} is no number" if text else "there is no number"
    if not said and not LEAST <= value <= MOST[name]:
        said, remedy = f"{text} is not from {LEAST:g} to {MOST[name]:g}", f"{remedy}, without a sign"
    if said:
        findings.append(Finding(f"{place}: {name}", said, remedy))
        return None
    return value
