"""Starting the page: a free port of the loopback address, its link, and the server behind the gate."""

import socket
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from lampwright.errors import Finding, InputError
from lampwright.workbench.desk import Desk
from lampwright.workbench.folder import folder_of
from lampwright.workbench.gate import LOOPBACK, Gate, Secrets
from lampwright.workbench.site import site_of
from lampwright.workbench.workbench import Workbench


def open_bench(
    spec: Path | None, results: Path, port: int, workers: int, tell: Callable[[str], None], *, browser: bool
) -> None:
    """Serve the page until it is told to stop. port: 0 for any that is free. browser: open the link as well.

    Raises InputError where the spec is not in this folder or the port is taken, StoreError where another
    page has the spec open.
    """
    here = Path.cwd()
    folder = folder_of(here, results)
    bench = Workbench(folder, workers)
    _lay_out(bench.desk, here, spec)
    secret, listening = Secrets(), _listening(port)
    number = listening.getsockname()[1]
    gate = Gate(site_of(bench), number, secret)
    config = uvicorn.Config(
        gate,
        log_level="critical",
        access_log=False,
        server_header=False,
        limit_concurrency=128,
        timeout_graceful_shutdown=1,
        ws="none",
        http="h11",
        loop="asyncio",
    )
    link = f"http://{LOOPBACK}:{number}/?token={secret.token}"
    tell(f"the bench is at {link}")
    tell("Ctrl-C ends it; what is not saved is kept beside the spec")
    if browser:
        webbrowser.open(link)
    try:
        uvicorn.Server(config).run(sockets=[listening])
    finally:
        bench.end()


def _lay_out(desk: Desk, here: Path, spec: Path | None) -> None:
    if spec is None:
        desk.begin()
        return
    place = Path(spec)
    full = place if place.is_absolute() else here / place
    try:
        name = full.resolve().relative_to(desk.folder.root).as_posix()
    except ValueError:
        said = "this is not below the folder in which the bench is started"
        raise InputError([Finding(str(spec), said, "start it in the folder of the spec")]) from None
    desk.open(name)


def _listening(port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((LOOPBACK, port))
    except OSError as error:
        listening.close()
        said = f"port {port} cannot be had ({(error.strerror or str(error)).lower()})"
        raise InputError([Finding("--port", said, "leave it out, or name another")]) from None
    listening.listen(64)
    return listening
