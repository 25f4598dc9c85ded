"""What the shipped atlases come to, as short facts that a fresh run reproduces.

`results/atlas/<name>.csv` is the table that `lampwright atlas` writes; `<name>.json` has the bound, the
counts, what one lamp shows and the verdict. The whole atlas, its page and its poster are written beside them
and not kept. To accept a change: LAMPWRIGHT_ACCEPT=1, and read the difference.
"""

import csv
import json
import os
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from tests.selection import some

from lampwright.app.atlas import bound_of, make_atlas
from lampwright.app.atlas_options import AtlasOptions
from lampwright.progress.bar import quiet
from lampwright.report.atlas_csv import atlas_csv
from lampwright.report.topics.atlas import least_words
from lampwright.results.atlas import Atlas
from lampwright.results.json_text import as_written, to_json

KEPT = Path(__file__).parents[2] / "results" / "atlas"
ATLASES = {
    "2-feeds-5-lamps": AtlasOptions(2, 5),
    "2-feeds-5-lamps-live": AtlasOptions(2, 5, always_live=True),
    "2-feeds-3-lamps-2-diodes-live": AtlasOptions(2, 3, always_live=True, diodes=2),
    "3-feeds-4-lamps-live": AtlasOptions(3, 4, always_live=True),
}
FIGURES = ("margin_stops", "judged_stops")
LAST_DIGIT = 1.1e-3
"""These are rounded to three decimals, and the last one may differ between processors."""


def facts_of(atlas: Atlas) -> dict[str, Any]:
    plain = json.loads(to_json(atlas))
    shown = {
        entry.words: [least_words(one) for one in entry.options] for entry in atlas.functions if entry.options
    }
    return {**{key: plain[key] for key in ("bound", "verdict", "sizes")}, "one lamp shows": shown}


@pytest.mark.parametrize("name", some(list(ATLASES), ["2-feeds-5-lamps"]))
def test_an_atlas_comes_to_what_is_kept(name: str) -> None:
    options = ATLASES[name]
    atlas = as_written(make_atlas(bound_of(options), options, quiet()).atlas)
    assert atlas.name == name
    table, facts = atlas_csv(atlas), json.dumps(facts_of(atlas), indent=1, ensure_ascii=False) + "\n"
    if os.environ.get("LAMPWRIGHT_ACCEPT"):
        KEPT.mkdir(exist_ok=True)
        (KEPT / f"{name}.csv").write_text(table, encoding="utf-8")
        (KEPT / f"{name}.json").write_text(facts, encoding="utf-8")
    assert json.loads((KEPT / f"{name}.json").read_text(encoding="utf-8")) == json.loads(facts)
    kept, now = (
        list(csv.DictReader(StringIO(text)))
        for text in ((KEPT / f"{name}.csv").read_text(encoding="utf-8"), table)
    )
    assert len(kept) == len(now)
    for old, new in zip(kept, now, strict=True):
        for key, value in old.items():
            said = f"{old['shows']}: {key}"
            if key in FIGURES and value:
                assert float(new[key]) == pytest.approx(float(value), abs=LAST_DIGIT), (
                    f"{old['shows']}: {key}"
                )
            else:
                assert new[key] == value, said


def test_every_file_that_is_kept_is_made_here() -> None:
    assert {path.stem for path in KEPT.iterdir() if path.is_file()} == set(ATLASES)
