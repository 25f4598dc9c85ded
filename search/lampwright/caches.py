"""Where the program keeps what it can make again: compiled kernels and templates.

In the user's cache, as the system has it (platformdirs); nothing there is an answer, and whoever
deletes it waits once more. No source: our conventions.
"""

import os
from pathlib import Path


def cache_folder(name: str) -> Path | None:
    """The folder of that name in our part of the user's cache, made; None where we may not write there."""
    # imported late: whoever has chosen another folder, and the help, need no cache
    from platformdirs import user_cache_path

    folder = user_cache_path("lampwright", appauthor=False) / name
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if os.access(folder, os.W_OK) else None
