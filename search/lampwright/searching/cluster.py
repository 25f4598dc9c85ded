"""An executor of many machines: the same pieces on a Dask cluster.

The scheduler spreads the pieces, and gives those of a worker that it lost to another; that
is its work and not ours. A worker with another version of this program or of its data would
bring other results, so it is turned away. Source: the documentation of Dask's distributed
scheduler for clients, futures
and lost workers (distributed.dask.org).
"""

import pickle
from collections.abc import Iterator, Sequence
from concurrent.futures import CancelledError
from hashlib import sha256
from importlib import import_module
from queue import Empty, SimpleQueue
from typing import Any, NoReturn

from lampwright.errors import Finding, InputError
from lampwright.problem.problem import Problem
from lampwright.searching.evaluate import CheckCancelled
from lampwright.searching.executors import PATIENCE, ExecutorError
from lampwright.searching.remote import do_remotely, program
from lampwright.searching.shares import Piece, Product

CONNECT_SECONDS = 10
"""So long a scheduler may take to answer, and to have a worker."""

OPTION = "--scheduler"
GO_ON = "start again when it is back; what was done is kept"


class ClusterExecutor:
    """An executor of the workers of a Dask scheduler."""

    def __init__(
        self, problem: Problem, enabled: tuple[bool, ...], check_cancelled: CheckCancelled, address: str
    ) -> None:
        """Join the scheduler at this address.

        Raises InputError where that cannot be: the extra is missing, nobody answers, there
        is no worker, or a worker has another program.
        """
        self.check_cancelled = check_cancelled
        self._address = address
        self._crate = pickle.dumps((problem, enabled))
        self._client = _connected(address)
        try:
            _check_workers(self._client, address)
        except BaseException:
            self.close()
            raise

    def products(self, pieces: Sequence[Piece]) -> Iterator[tuple[int, Product]]:
        """Of every piece its place and what it brought, in the order in which they are done.

        Raises ExecutorError where the cluster has gone or has given a piece up.
        """
        done: SimpleQueue[Any] = SimpleQueue()
        digest, wanted = sha256(self._crate).hexdigest(), program()
        # a task of its own, so that the problem goes to a worker once and survives the loss of one
        crate = self._client.submit(bytes, self._crate, key=f"problem-{digest}")
        left = {
            self._client.submit(do_remotely, pickle.dumps(piece), crate, digest, wanted, pure=False): place
            for place, piece in enumerate(pieces)
        }
        for future in left:
            future.add_done_callback(done.put)
        while left:
            self.check_cancelled()
            try:
                future = done.get(timeout=PATIENCE)
            except Empty:
                if self._client.status != "running":
                    self._refuse("the scheduler has gone", GO_ON)
                continue
            yield left.pop(future), self._product(future)
        self.check_cancelled()

    def _product(self, future: Any) -> Product:
        try:
            product: Product | None = future.result()
        except CancelledError:
            self._refuse("the scheduler has gone", GO_ON)
        except import_module("distributed").KilledWorker:
            said = "several workers died over one piece (killed, or out of memory)"
            self._refuse(said, "give the workers more memory and start again; what was done is kept")
        except ImportError:
            product = None
        if product is None:
            self._refuse(f"a worker has {OTHER}", SAME)
        return product

    def _refuse(self, said: str, remedy: str) -> NoReturn:
        raise ExecutorError(Finding(f"{OPTION} {self._address}", said, remedy)) from None

    def close(self) -> None:
        """Leave the cluster, which drops what it was asked and has not done."""
        self._client.close(timeout=1)


OTHER = "no lampwright, or another version of it or of its data"
SAME = "install the same version everywhere"

SILENCE = {"distributed": "critical", "distributed.client": "critical", "tornado.application": "critical"}
"""What Dask would write to stderr as it happens; what matters of it we say ourselves."""


def _distributed(address: str) -> Any:
    try:
        with import_module("dask").config.set(logging=SILENCE):
            return import_module("distributed")
    except ImportError:
        said = "it needs Dask's distributed, which is not installed here"
        remedy = 'install the extra: pip install "lampwright[cluster]"'
        raise InputError([Finding(f"{OPTION} {address}", said, remedy)]) from None


def _connected(address: str) -> Any:
    distributed = _distributed(address)
    try:
        distributed.comm.resolve_address(address)  # a client of no address at all hangs when it is let go
        return distributed.Client(address, timeout=CONNECT_SECONDS, set_as_default=False)
    except (OSError, ValueError, TypeError) as error:
        said = f"no scheduler answers ({' '.join(str(error).split())})"
        remedy = "start one with `dask scheduler` and give the address that it prints"
        raise InputError([Finding(f"{OPTION} {address}", said, remedy)]) from None


def _check_workers(client: Any, address: str) -> None:
    try:
        client.wait_for_workers(1, timeout=CONNECT_SECONDS)
    except TimeoutError:
        said, remedy = "the scheduler has no workers", f"start some: dask worker {address}"
        raise InputError([Finding(f"{OPTION} {address}", said, remedy)]) from None
    said = client.run(program, on_error="return")
    try:
        said["the scheduler"] = client.run_on_scheduler(program)
    except Exception:  # whatever keeps it from answering
        said["the scheduler"] = None
    others = [at for at, had in said.items() if had != program()]
    if others:
        finding = Finding(f"{OPTION} {address}", f"{' and '.join(others)}: {OTHER}", SAME)
        raise InputError([finding])
