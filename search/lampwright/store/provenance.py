"""Who wrote a result, and how long it took: the one place that looks at version and clock.

No source: our format.
"""

import time

from lampwright import __version__


def program_version() -> str:
    """Tell the version of the program, as a result states it."""
    return __version__


def seconds() -> float:
    """Tell the seconds since some fixed moment; never runs backwards, so differences are times."""
    return time.monotonic()
