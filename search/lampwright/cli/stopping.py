"""Being told to stop: by Ctrl-C, by the system (SIGTERM), or because the terminal has gone (SIGHUP).

All three are answered alike. Before a command begins the program leaves at once; a command that
runs gets KeyboardInterrupt, so that what was found is kept and shown. An import is let come to its
end first: libraries that are torn out of it say so in tracebacks, or lose the interrupt. Told
twice within one import, the program leaves at once; journals bear that.

A signal that is ignored, as under nohup, stays so. No source: our conventions.
"""

import os
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType

STOPPED = 3
TOLD = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))
BETWEEN = 0.01
"""Seconds between two looks at whether an import has ended."""

Handler = Callable[[int, FrameType | None], None]


@contextmanager
def leaving_at_once() -> Iterator[None]:
    """Nothing has begun: to be told to stop is to end, with one line and the exit status of a stop."""
    with _answered(_leave):
        yield


@contextmanager
def stopping_politely() -> Iterator[None]:
    """To be told to stop raises KeyboardInterrupt, once no import is under way."""
    told: list[int] = []

    def again(number: int, frame: FrameType | None) -> None:
        if not _is_importing(frame):
            raise KeyboardInterrupt
        if not hasattr(signal, "setitimer"):
            _leave(number, frame)
        signal.setitimer(signal.ITIMER_REAL, BETWEEN)

    def stop(number: int, frame: FrameType | None) -> None:
        if _is_importing(frame) and told:
            _leave(number, frame)
        told.append(number)
        again(number, frame)

    looks = (signal.SIGALRM,) if hasattr(signal, "SIGALRM") else ()
    with _answered(again, looks), _answered(stop):
        yield


@contextmanager
def _answered(handler: Handler, signals: tuple[signal.Signals, ...] = TOLD) -> Iterator[None]:
    """Answer these signals so, but for those that are ignored; and as before again."""
    before = {each: signal.getsignal(each) for each in signals}
    heard = [each for each, was in before.items() if was is not signal.SIG_IGN]
    for each in heard:
        signal.signal(each, handler)
    try:
        yield
    finally:
        for each in heard:
            signal.signal(each, before[each])


def _leave(_number: int, _frame: FrameType | None) -> None:
    with suppress(OSError):
        os.write(2, b"lampwright: stopped\n")
    os._exit(STOPPED)


def _is_importing(frame: FrameType | None) -> bool:
    """Whether Python is in the middle of an import."""
    machinery = sys.modules["_frozen_importlib"].__dict__
    while frame is not None:
        if frame.f_globals is machinery:
            return True
        frame = frame.f_back
    return False
