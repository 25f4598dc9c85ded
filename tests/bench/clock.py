"""Seconds of one core, seconds of a clock, and the memory of a program with all its workers."""

import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

PROGRAM = (sys.executable, "-c", "from lampwright.cli import main; main()")
BETWEEN = 0.05
"""Seconds between two looks at the memory of a running program."""


@dataclass(frozen=True)
class Run:
    """A program that has ended.

    cpu_seconds: of all its processes, where the system tells it, else 0. bytes: the sum of the highest
    resident size of each of them.
    """

    seconds: float
    cpu_seconds: float
    bytes: int
    status: int
    errors: str

    @property
    def mebibytes(self) -> str:
        """The memory as text; empty where the system does not tell."""
        return f"{self.bytes / 2**20:.0f} MiB" if self.bytes else "memory not told"


def core_seconds(work: Callable[[], object], times: int = 3) -> float:
    """The least time of this process that a piece of work takes, of so many tries."""
    tries = []
    for _ in range(times):
        start = time.process_time()
        work()
        tries.append(time.process_time() - start)
    return max(min(tries), 1e-9)


def run_program(arguments: Sequence[str], allowed: Sequence[int] = (0, 1)) -> Run:
    """Run `lampwright` in a process of its own. Raises RuntimeError for any other exit status."""
    return run_process([*PROGRAM, *arguments], allowed)


def run_process(command: Sequence[str], allowed: Sequence[int] = (0,)) -> Run:
    """Run a command and watch its memory. Raises RuntimeError for an exit status that is not allowed."""
    start, cpu = time.perf_counter(), _cpu_of_children()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    highest: dict[int, int] = {}
    ended = threading.Event()
    watch = threading.Thread(target=_watch, args=(process.pid, ended, highest))
    watch.start()
    _, errors = process.communicate()
    seconds = time.perf_counter() - start
    ended.set()
    watch.join()
    if process.returncode not in allowed:
        raise RuntimeError(f"{' '.join(command)}: exit status {process.returncode}\n{errors}")
    return Run(seconds, _cpu_of_children() - cpu, sum(highest.values()), process.returncode, errors)


def _cpu_of_children() -> float:
    """Seconds of all processes that have ended and were ours or theirs."""
    if sys.platform == "win32":
        return 0.0
    import resource

    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _watch(pid: int, ended: threading.Event, highest: dict[int, int]) -> None:
    """Note the highest resident size of a process and of all its descendants, as /proc tells it."""
    while not ended.is_set():
        for each in _family(pid):
            highest[each] = max(highest.get(each, 0), _high_water(each))
        ended.wait(BETWEEN)


def _family(pid: int) -> list[int]:
    family = [pid]
    for each in family:
        for task in Path(f"/proc/{each}/task").glob("*/children"):
            family.extend(int(child) for child in _text(task).split())
    return family


def _high_water(pid: int) -> int:
    for line in _text(Path(f"/proc/{pid}/status")).splitlines():
        if line.startswith("VmHWM:"):
            return int(line.split()[1]) * 1024
    return 0


def _text(path: Path) -> str:
    """A file of a process that may have ended meanwhile."""
    try:
        return path.read_text(encoding="utf-8")
    except OSError:
        return ""
