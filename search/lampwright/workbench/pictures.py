"""The picture of a spec in the list of files: the drawing of its first design, where a result is kept."""

from lampwright.errors import LampwrightError
from lampwright.problem.reading import helped, read_spec
from lampwright.workbench.folder import Folder

MOST_BYTES = 512 * 1024


def picture_of(folder: Folder, name: str) -> str | None:
    """The drawing of a spec's first design as SVG, or None. Raises InputError for a wrong name."""
    path = folder.file(name)
    out = folder.root / folder.results
    kept = out / f"{path.stem}.svg"
    if kept.is_file() and folder.holds(kept) and kept.stat().st_size <= MOST_BYTES:
        return kept.read_text(encoding="utf-8", errors="replace")
    if not folder.holds(out / path.stem):
        return None
    # the first paint waits for none of this
    from lampwright.app.designs import stored_ranking
    from lampwright.app.drawing import drawing

    try:
        spec = read_spec(path)
        ranking = stored_ranking(spec, path, out)
    except LampwrightError:
        return None
    if not ranking.designs:
        return None
    return drawing(ranking.designs[0], helped(spec, ranking.designs[0].parts)).svg
