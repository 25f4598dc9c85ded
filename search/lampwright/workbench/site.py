"""The addresses of the page, behind the gate: the page itself, its files, its parts, what is to be done.

No source: our layout; server-sent events as the HTML Living Standard has them.
"""

import asyncio
import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.requests import ClientDisconnect, Request
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from lampwright import __version__
from lampwright.errors import InputError, LampwrightError
from lampwright.workbench.change import change_of
from lampwright.workbench.pictures import picture_of
from lampwright.workbench.templates import filled, page_file
from lampwright.workbench.views import parts_of
from lampwright.workbench.workbench import Workbench

FILES = {
    "bench.css": "text/css; charset=utf-8",
    "bench.js": "text/javascript; charset=utf-8",
    "lamp.svg": "image/svg+xml",
}
BEAT = 0.5
"""Seconds between two looks at what others may have done."""
LEAST_BETWEEN = 0.12
"""Seconds between two pictures of a running search."""


def site_of(bench: Workbench) -> Starlette:
    """The application of a bench."""

    @asynccontextmanager
    async def life(_app: Starlette) -> AsyncIterator[None]:
        bench.begin()
        looking = asyncio.create_task(_look(bench))
        yield
        looking.cancel()
        bench.end()

    def error(_request: Request, failure: Exception) -> Response:
        return PlainTextResponse(str(failure), 404)

    pages = _Pages(bench)
    return Starlette(
        routes=[
            Route("/", pages.page),
            Route("/file/{name}", pages.file),
            Route("/parts", pages.parts),
            Route("/events", pages.events),
            Route("/answer", pages.answer),
            Route("/picture", pages.picture),
            Route("/export/{kind}", pages.export),
            Route("/do", pages.do, methods=["POST"]),
        ],
        exception_handlers={LampwrightError: error},
        lifespan=life,
    )


async def _look(bench: Workbench) -> None:
    while True:
        await asyncio.sleep(BEAT)
        bench.look()


class _Pages:
    """What stands at each address."""

    def __init__(self, bench: Workbench) -> None:
        self._bench = bench
        # news come by two ways, and a page must not take older for newer
        self._number = 0

    async def page(self, _request: Request) -> Response:
        parts = parts_of(self._bench)
        html = filled("page.html", parts=parts, version=__version__)
        return Response(html, media_type="text/html; charset=utf-8")

    async def file(self, request: Request) -> Response:
        name = request.path_params["name"]
        if name not in FILES:
            return PlainTextResponse("There is no such file.", 404)
        return Response(page_file(name), headers={"content-type": FILES[name]})

    async def parts(self, _request: Request) -> Response:
        return self._told()

    def _told(self) -> Response:
        return Response(self._news(), media_type="application/json")

    def _news(self) -> bytes:
        bench = self._bench
        # escaped text is a kind of text of its own, which msgspec does not write
        self._number += 1
        told = {"parts": dict(parts_of(bench)), "refusal": bench.refusal, "number": self._number}
        return json.dumps(told).encode()

    async def do(self, request: Request) -> Response:
        if request.headers.get("content-type", "").partition(";")[0] != "application/json":
            return PlainTextResponse("JSON is wanted.", 415)
        try:
            change = change_of(await request.body())
        except ClientDisconnect:
            return PlainTextResponse("That is too much.", 413)
        except InputError as failure:
            return PlainTextResponse(str(failure), 400)
        self._bench.do(change)
        told = self._told()
        self._bench.refusal = ""
        return told

    async def events(self, request: Request) -> Response:
        return StreamingResponse(self._stream(request), media_type="text/event-stream")

    async def _stream(self, request: Request) -> AsyncIterator[bytes]:
        with self._bench.bell() as ringing:
            yield b"retry: 1000\n\n"
            while not await request.is_disconnected():
                try:
                    await asyncio.wait_for(ringing.wait(), 10.0)
                except TimeoutError:
                    yield b": still here\n\n"
                    continue
                ringing.clear()
                yield b"data: " + self._news() + b"\n\n"
                await asyncio.sleep(LEAST_BETWEEN)

    async def answer(self, _request: Request) -> Response:
        page = await self._bench.answer_page()
        headers = {"content-security-policy": page.policy}
        return Response(page.html, media_type="text/html; charset=utf-8", headers=headers)

    async def picture(self, request: Request) -> Response:
        name = request.query_params.get("name", "")
        svg = await asyncio.to_thread(picture_of, self._bench.folder, name)
        return Response(svg or page_file("none.svg"), media_type="image/svg+xml")

    async def export(self, request: Request) -> Response:
        kind, bench = request.path_params["kind"], self._bench
        stem = bench.desk.place.stem
        if kind == "html":
            page = await bench.answer_page()
            return _download(page.html, "text/html; charset=utf-8", f"{stem}.html")
        spec, ranking = bench.board.spec, bench.answer.ranking
        if spec is None or ranking is None or kind not in ("json", "svg"):
            return PlainTextResponse("There is nothing to export.", 404)
        if kind == "json":
            from lampwright.results.json_text import to_json

            return _download(to_json(ranking), "application/json", f"{stem}.json")
        if not ranking.designs:
            return PlainTextResponse("There is no design to draw.", 404)
        from lampwright.app.drawing import drawing

        return _download(drawing(ranking.designs[0], spec).svg, "image/svg+xml", f"{stem}.svg")


def _download(text: str, kind: str, name: str) -> Response:
    plain = "".join(one if one.isascii() and (one.isalnum() or one in "._-") else "_" for one in name)
    return Response(
        text, headers={"content-type": kind, "content-disposition": f'attachment; filename="{plain}"'}
    )
