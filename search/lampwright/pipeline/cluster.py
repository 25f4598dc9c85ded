"""The same pieces on many machines: a Dask cluster does them, and does again what a lost worker had.

Needs the extra `cluster`. Each worker process makes ready once for a search and keeps it
for all pieces of that search. Source: distributed's own documentation of `Client`.
"""

import hashlib
import pickle
import threading
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from lampwright.errors import Finding, InputError
from lampwright.pipeline.shares import Hand, Piece, Product
from lampwright.rank.study import Study, prepare

if TYPE_CHECKING:
    from distributed import Client

PATIENCE = "10s"
"""How long to wait for a scheduler to answer."""

_hands: dict[str, Hand] = {}
_making = threading.Lock()


def do_piece(digest: str, terms: bytes, piece: Piece) -> Product:
    """Do one piece in a worker; terms are the pickled spec and rules, made ready once by digest."""
    # a worker's threads share one hand, whose scratch is one piece's at a time
    with _making:
        hand = _hands.get(digest)
        if hand is None:
            spec, enabled = pickle.loads(terms)
            _hands.clear()
            hand = _hands[digest] = Hand(prepare(spec), enabled)
        return hand.do(piece)


class ClusterCrew:
    """The workers of a Dask scheduler."""

    def __init__(self, study: Study, enabled: tuple[bool, ...], address: str) -> None:
        """Join the scheduler at this address. Raises InputError where that cannot be."""
        # the spec is small and goes with every piece: what was sent ahead would be lost with a worker
        self._terms = pickle.dumps((study.spec, enabled))
        self._digest = hashlib.sha256(self._terms).hexdigest()
        self._client = _join(address)

    def products(self, pieces: Sequence[Piece]) -> Iterator[Product]:
        """The products as they are done, wherever."""
        from distributed import as_completed

        submit = self._client.submit
        terms = self._digest, self._terms
        futures = [submit(do_piece, *terms, piece, pure=False, retries=3) for piece in pieces]
        for future in as_completed(futures, loop=self._client.loop):
            yield future.result()
            future.release()

    def dismiss(self) -> None:
        """Cancel what is not done and leave the cluster to others."""
        self._client.close(timeout=2)


def _join(address: str) -> "Client":
    try:
        from distributed import Client
    except ImportError:
        remedy = 'install it: pip install "lampwright[cluster]"'
        raise InputError([Finding("--scheduler", "the extra `cluster` is not installed", remedy)]) from None
    try:
        return Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError) as error:
        said = f"no scheduler answers at {address} ({_short(error)})"
        remedy = "start one with `dask scheduler`, and name its address, as tcp://host:8786"
        raise InputError([Finding("--scheduler", said, remedy)]) from None


def _short(error: Any) -> str:
    return str(error).splitlines()[0][:100] if str(error) else type(error).__name__
