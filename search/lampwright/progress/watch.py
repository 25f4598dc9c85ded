"""The one clock of a run: how long it has taken, and whether its time is up."""

import time
from math import inf


class Watch:
    """Started when made; limit is in seconds, None for no limit."""

    def __init__(self, limit: float | None = None) -> None:
        """Start the watch."""
        self._start = time.monotonic()
        self._limit = limit

    def seconds(self) -> float:
        """Seconds since the start."""
        return time.monotonic() - self._start

    def left(self) -> float:
        """Seconds until the limit, below zero when it has passed; infinite without one."""
        return inf if self._limit is None else self._limit - self.seconds()

    def is_over(self) -> bool:
        """Whether the limit has passed."""
        return self.left() < 0.0
