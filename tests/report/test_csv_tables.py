"""The flat table. Source: RFC 4180, read back by the standard library's csv module."""

import csv
from io import StringIO

from msgspec.structs import replace

from lampwright.report.csv_tables import ranking_csv
from lampwright.results.ranking import Ranking

COLUMNS = (
    *("rank", "margin_stops", "extra_parts", "wires", "joints", "conductors"),
    *("ref", "kind", "lamp", "type", "ohms", "watts", "from", "to"),
)


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(text)))


def test_one_row_per_design_and_part(ranking: Ranking) -> None:
    rows = read(ranking_csv(ranking))
    expected = [(str(design.rank), part.ref) for design in ranking.designs for part in design.parts]
    assert [(row["rank"], row["ref"]) for row in rows] == expected, "rows are missing or out of order"


def test_values_stand_under_their_names(sidecar: Ranking) -> None:
    rows = {row["ref"]: row for row in read(ranking_csv(sidecar)) if row["rank"] == "1"}
    assert tuple(rows["r1"]) == COLUMNS, "columns out of order"
    assert (rows["r1"]["ohms"], rows["r1"]["watts"], rows["r1"]["type"]) == ("4.7", "10.0", ""), "resistor"
    assert (rows["d1"]["from"], rows["d1"]["to"], rows["d1"]["type"]) == ("49a", "j1", "1N5404"), "diode"
    assert (rows["tail"]["lamp"], rows["tail"]["margin_stops"]) == ("rear", "0.84"), "filament"


def test_commas_and_quotes_in_names_survive(sidecar: Ranking) -> None:
    design = sidecar.designs[0]
    odd = replace(design.parts[0], ref='left, "front"')
    text = ranking_csv(replace(sidecar, designs=(replace(design, parts=(odd,)),)))
    assert read(text)[0]["ref"] == 'left, "front"', "a name broke the table"


def test_no_designs_only_headings(sidecar: Ranking) -> None:
    assert ranking_csv(replace(sidecar, designs=())) == ",".join(COLUMNS) + "\n", "headings alone"
