"""Any request to the page gets an answer and no failure: addresses, methods, headers, bodies, changes."""

import asyncio
import json
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any
from unittest.mock import patch

from hypothesis import given
from hypothesis import strategies as st
from tests.fuzz.bending import odd
from tests.fuzz.probing import fuzzed
from tests.workbench.served import TELLTALE

from lampwright.workbench import run
from lampwright.workbench.desk import EDITS
from lampwright.workbench.folder import folder_of
from lampwright.workbench.gate import Gate, Secrets
from lampwright.workbench.site import site_of
from lampwright.workbench.workbench import DOINGS as BENCH_DOINGS
from lampwright.workbench.workbench import Workbench

SECRET = Secrets("token", "cookie")
OWN = {b"host": b"127.0.0.1:8000", b"cookie": b"lampwright_8000=cookie", b"origin": b"http://127.0.0.1:8000"}
OWN_DOINGS = ("begin", "save", "add", "remove", "edit", "break", "at", "volts", "x")
NAMED = {*EDITS, *BENCH_DOINGS, "text", *(f"own.{one}" for one in OWN_DOINGS)}
DOINGS = sorted(NAMED)
KEYS = (
    *("name", "feed", "kind", "most_amps", "common", "more", "less", "filament 0", "filament x", "positions"),
    *(
        "same",
        "brighter",
        "either",
        "code",
        "when left",
        "versus right",
        "by",
        "within",
        "than",
        "1,1",
        "word dim",
    ),
    *("on", "lengths", "sizes", "control", "blank"),
    *(
        "lamp",
        "lamps",
        "joints",
        "wires",
        "resistors",
        "diodes",
        "type",
        "ohms",
        "watts",
        "from",
        "to",
        "volts",
    ),
)
NAMES = ("left", "right", "big", "small", "j1", "D1", "R1", "58L", "tell.toml", "../x.toml", "/etc/passwd")
VALUES = ("switch", "flasher", "P21W", "lit", "off", "12", "-1", "1e999", "nan", "13,5", "0x10", TELLTALE)
text = st.sampled_from((*NAMES, *KEYS, *VALUES)) | odd.map(str) | odd
change = st.fixed_dictionaries(
    {"do": st.sampled_from(DOINGS) | text},
    optional={
        **{"name": st.sampled_from(NAMES) | text, "key": st.sampled_from(KEYS) | text},
        **{"at": text, "value": st.sampled_from(VALUES) | text},
    },
)
body = st.one_of(
    change.map(lambda one: json.dumps(one).encode()), st.binary(max_size=64), odd.map(repr).map(str.encode)
)
ADDRESSES = ("/", "/parts", "/answer", "/do", "/do", "/do", "/picture", "/picture?name=../x", "/export/svg")
address = st.one_of(
    st.sampled_from(
        ("/", "/parts", "/answer", "/do", "/picture", "/export/json", "/export/svg", "/export/html")
    ),
    st.builds(lambda name: f"/file/{name}", st.sampled_from(("bench.js", "..%2f..%2fx", "bench.css"))),
    st.text(st.characters(max_codepoint=126, min_codepoint=33), max_size=20).map(lambda rest: f"/{rest}"),
)
header = st.tuples(
    st.sampled_from((b"host", b"cookie", b"origin", b"content-type", b"content-length", b"sec-fetch-site")),
    st.binary(max_size=30),
)


SHORT = r"""
import os, sys
os.write(1, b'{"kind": "stage", "text": "listing", "total": 3}\n\xff\xfe[[[[\n')
if sys.argv[4] == "on":
    sys.stdin.read()
os.write(1, b'{"kind": "answer", "text": "none"}\n')
"""
"""In place of a search: it says little, and answers at once or when it is told to stop."""


def asked(app: Gate, method: str, target: str, headers: list[tuple[bytes, bytes]], content: bytes) -> int:
    """Ask the application as its server would; the status of its answer."""
    path, _, query = target.partition("?")
    scope: dict[str, Any] = {
        **{"type": "http", "http_version": "1.1", "method": method, "scheme": "http", "path": path},
        **{"raw_path": path.encode(), "query_string": query.encode(), "headers": headers, "root_path": ""},
    }
    sent: list[Any] = []
    bodies = iter(({"type": "http.request", "body": content}, {"type": "http.disconnect"}))

    async def receive() -> Any:
        return next(bodies, {"type": "http.disconnect"})

    async def send(message: Any) -> None:
        sent.append(message)

    # in a thread of its own, since a browser that another test has open keeps a loop in this one
    with ThreadPoolExecutor(1) as aside:
        aside.submit(lambda: asyncio.run(app(scope, receive, send))).result()
    status = sent[0]["status"]
    assert isinstance(status, int), "an answer has a status"
    return status


@fuzzed(8, 1500)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(("GET", "POST", "POST", "HEAD", "PUT", "BREW")),
            address,
            st.lists(header, max_size=2),
            body,
        ),
        min_size=1,
        max_size=6,
    ),
    st.booleans(),
)
def test_requests_are_answered(
    requests: list[tuple[str, str, list[tuple[bytes, bytes]], bytes]], is_page: bool
) -> None:
    """is_page: whether they come from the page, but for the headers drawn."""
    with tempfile.TemporaryDirectory() as name, patch.object(run, "PROGRAM", SHORT):
        root = Path(name)
        (root / "tell.toml").write_text(TELLTALE, encoding="utf-8")
        bench = Workbench(folder_of(root, Path("results")), 1)
        bench.desk.open("tell.toml")
        app = Gate(site_of(bench), 8000, SECRET)
        own = {**OWN, b"content-type": b"application/json"} if is_page else {}
        for method, target, headers, content in requests:
            status = asked(app, method, target, list({**own, **dict(headers)}.items()), content)
            assert 200 <= status < 500, "it failed"
            assert is_page or status in (403, 405, 413, 414, 421), "a stranger was let in"
        bench.end()
        if bench.run._process is not None:
            bench.run._process.wait(20)
        assert {path.name for path in root.parent.iterdir()} >= {root.name}, "it went out of its folder"
