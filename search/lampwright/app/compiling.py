"""Compiling the kernels before they are needed: once for each version, in two processes at once.

numba compiles a kernel when it is first called, and before it whatever it calls. Here two processes
call them as a search does, on a toy (`app.toy`); each kernel is kept as soon as it
is made, and whoever comes to it later loads it. So the two take different ways through the packages,
from the bottom up, and the one rarely makes what the other is at. What they miss is compiled when it
is first needed. No source: our layout.
"""

import gc
import os
import signal
from collections.abc import Callable
from multiprocessing import get_context
from multiprocessing.context import SpawnProcess
from threading import Thread

from lampwright.kernels import Kernels, begin_alone, collect_rarely
from lampwright.progress.bar import Progress
from lampwright.searching.executors import interrupts_held, leave_with_the_search

BETWEEN = 0.25
"""Seconds between two looks at how many are done."""
ROOM = 4 << 30
"""Bytes of free memory with which two processes may leave all garbage where it is."""


def compile_kernels(kernels: Kernels, progress: Progress) -> None:
    """Compile all there are, and note that it is done; Ctrl-C ends it, and what was made is kept."""
    start, name = get_context("spawn").Process, _take.__name__
    ways = (_upwards, _from_the_other_side)
    shares = [ways] if os.cpu_count() == 1 else [(way,) for way in ways]
    working: list[SpawnProcess] = []
    done, count = 0, kernels.count
    progress.stage("compiling the solver, once", count)
    try:
        for share in shares:
            with interrupts_held():
                process = start(target=begin_alone, args=(__name__, name, share), daemon=True)
                process.start()
            working.append(process)
        for process in working:
            while process.is_alive():
                process.join(BETWEEN)
                now = min(kernels.kept(), count)
                progress.advance(now - done)
                done = now
    finally:
        for process in working:
            process.terminate()
    if all(process.exitcode == 0 for process in working):
        kernels.note_all_kept()


def compile_here(kernels: Kernels, progress: Progress) -> None:
    """The same in this process alone: a script of a user's could not be begun a second time."""
    done, count = 0, kernels.count
    progress.stage("compiling the solver, once", count)
    for way in (_upwards, _from_the_other_side):
        way()
        now = min(kernels.kept(), count)
        progress.advance(now - done)
        done = now
    kernels.note_all_kept()


def _take(ways: tuple[Callable[[], None], ...]) -> None:
    """Go some ways, in a process of its own."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=leave_with_the_search, daemon=True).start()
    _leave_garbage()
    for way in ways:
        way()


def _leave_garbage() -> None:
    """Look for garbage rarely, and not at all where memory is plentiful.

    The looks take a tenth of the compiler's time, and find 300 MB in all of it.
    """
    try:
        free = os.sysconf("SC_AVPHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    except (AttributeError, ValueError):
        # a system that does not tell
        free = 0
    if free < ROOM:
        collect_rarely()
    else:
        gc.disable()


def _upwards() -> None:
    """List, refute, screen, judge; then in time."""
    from lampwright.app.toy import flash_toy, search_toy

    search_toy()
    flash_toy()


def _from_the_other_side() -> None:
    """Solve and survey; see what lamps show; then judge at every corner and assess."""
    from lampwright.app.toy import assess_toy, look_toy, survey_toy

    survey_toy()
    look_toy()
    assess_toy()
