"""Who may speak to the page: the browser that was given the link, from the page itself, and nobody else.

The program listens on the loopback address alone. Its first link carries a token, drawn by lot at the
start; whoever brings it gets a cookie that only this very site sends (SameSite=Strict). Every request must
name this host and port, so that a name rebound to the loopback address leads nowhere; one that changes
anything must come from the page's own origin. Answers may load nothing from elsewhere and run no script
but the page's files.

Source: RFC 6265bis for cookies; RFC 6454 for origins; Content Security Policy Level 3; Fetch Metadata.
"""

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from urllib.parse import parse_qs

from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from lampwright.workbench.change import MOST_BYTES

LOOPBACK = "127.0.0.1"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self';"
    " connect-src 'self'; frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cache-control": "no-store",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
SAFE = ("GET", "HEAD")
MOST_TARGET = 2048
ELSEWHERE = "This page is for the browser that was given its link: the one that lampwright bench printed."


def _drawn() -> str:
    return secrets.token_urlsafe(32)


@dataclass(frozen=True)
class Secrets:
    """What is drawn by lot at the start: the token of the link, and the cookie."""

    token: str = field(default_factory=_drawn)
    cookie: str = field(default_factory=_drawn)


class Gate:
    """Lets through to the application what may speak to it, and gives every answer its headers."""

    def __init__(self, app: ASGIApp, port: int, secret: Secrets) -> None:
        """Stand before an application that listens on a port."""
        self._app = app
        self._host = f"{LOOPBACK}:{port}"
        self._secret = secret
        self._cookie = f"lampwright_{port}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or let it through."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        refusal = self._refusal(scope)
        if refusal is not None:
            await refusal(scope, receive, _with_headers(send))
            return
        await self._app(scope, _limited(receive), _with_headers(send))

    def _refusal(self, scope: Scope) -> Response | None:
        """The answer to a request that does not go through; None for one that does."""
        given = {name.decode("latin-1"): value.decode("latin-1") for name, value in scope["headers"]}
        hosts = [value for name, value in scope["headers"] if name == b"host"]
        if len(hosts) != 1 or given["host"] != self._host:
            return PlainTextResponse("There is no such host here.", 421)
        if len(scope["raw_path"]) + len(scope["query_string"]) > MOST_TARGET:
            return PlainTextResponse("The address is too long.", 414)
        origin, site = given.get("origin"), given.get("sec-fetch-site", "same-origin")
        own = f"http://{self._host}"
        is_change = scope["method"] not in SAFE
        if origin not in ((own,) if is_change else (own, None)):
            return PlainTextResponse("Another site may not speak to this page.", 403)
        if scope["path"] == "/" and not is_change:
            token = parse_qs(scope["query_string"].decode("latin-1")).get("token", [""])[0]
            if token and secrets.compare_digest(token.encode(), self._secret.token.encode()):
                return self._welcome()
        if site not in ("same-origin", "none"):
            return PlainTextResponse("Another site may not speak to this page.", 403)
        if not secrets.compare_digest(self._brought(given).encode(), self._secret.cookie.encode()):
            return PlainTextResponse(ELSEWHERE, 403)
        length = given.get("content-length", "0")
        if not length.isdecimal() or int(length) > MOST_BYTES:
            return PlainTextResponse("That is too much.", 413)
        return None

    def _welcome(self) -> Response:
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self._cookie, self._secret.cookie, httponly=True, samesite="strict", path="/")
        return answer

    def _brought(self, given: Mapping[str, str]) -> str:
        """The cookie that a request brings; nothing where it has none, or two."""
        pairs = [one.strip().partition("=") for one in given.get("cookie", "").split(";")]
        found = [value for name, _, value in pairs if name == self._cookie]
        return found[0] if len(found) == 1 else ""


def _limited(receive: Receive) -> Receive:
    """What ends a body that is longer than it said, or than it may be."""
    taken = 0

    async def limited() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > MOST_BYTES:
            return {"type": "http.disconnect"}
        return message

    return limited


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            names = {name for name, _ in message["headers"]}
            policy = {} if b"content-security-policy" in names else {"content-security-policy": POLICY}
            added = [(name.encode(), value.encode()) for name, value in {**HEADERS, **policy}.items()]
            message = {**message, "headers": [*message["headers"], *added]}
        await send(message)

    return sent
