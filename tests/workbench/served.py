"""A bench served by a program of its own, and the spec that most tests ask of it."""

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import lampwright

SOURCE = Path(lampwright.__file__).parents[1]
ROOT = SOURCE.parent
PROGRAM = "import sys; from lampwright.cli import main; sys.exit(main())"
LINK = re.compile(r"http://127\.0\.0\.1:(\d+)/\?token=([\w-]+)")
PATIENCE = 30.0

TELLTALE = """\
# A tell-tale between two feeds. This line stays.
lampwright = 1
title = "Two feeds and a tell-tale"

[supply]
system = 12
volts  = [11.8, 13.5, 14.4]   # a car's

[controls.left]
kind = "switch"
feed = "58L"

[controls.right]
kind = "switch"
feed = "58R"

[lamps.big]
choose = ["P21W"]

[lamps.small]
choose = ["W2.3W"]

[search]
joints = 0
wires  = 0

[[behaviour]]                 # both rows at once
when = { left = "on" }
show = { big = "lit" }

[[behaviour]]
when = { left = "off", right = "on" }
show = { small = "lit", big = "off" }
"""


@dataclass
class Served:
    """A program that serves a bench in a folder."""

    process: "subprocess.Popen[bytes]"
    folder: Path
    link: str
    port: int
    token: str

    def end(self, number: int = signal.SIGINT) -> int:
        """End it; its exit status."""
        if self.process.poll() is None:
            self.process.send_signal(number)
        try:
            return self.process.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            self.process.kill()
            return self.process.wait(PATIENCE)


@contextmanager
def served(folder: Path, *arguments: str) -> Iterator[Served]:
    """Serve a bench in a folder."""
    log = folder.parent / f"{folder.name}.log"
    with log.open("wb") as stream:
        process = subprocess.Popen(
            [sys.executable, "-c", PROGRAM, "bench", "--no-browser", "--workers", "1", *arguments],
            cwd=folder,
            env=os.environ | {"PYTHONPATH": str(SOURCE)},
            stderr=stream,
        )
    try:
        until = time.monotonic() + PATIENCE
        while not (found := LINK.search(log.read_text(encoding="utf-8"))):
            assert process.poll() is None, f"it ended: {log.read_text(encoding='utf-8')}"
            assert time.monotonic() < until, "it does not begin"
            time.sleep(0.05)
        begun = Served(process, folder, found[0], int(found[1]), found[2])
        yield begun
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
            try:
                process.wait(PATIENCE)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait(PATIENCE)
