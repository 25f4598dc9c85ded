"""Nobody but the browser that was given the link, from the page itself, may speak to the page.

Plain HTTP, by the standard library's client, so that every header is ours.
"""

import http.client
import json
import socket
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest
from tests.workbench.served import TELLTALE, Served, served

JSON = {"content-type": "application/json"}
TITLE = json.dumps({"do": "title", "value": "by another site"})


@dataclass
class Client:
    """One who speaks to a served bench, with its cookie."""

    served: Served
    cookie: str = ""

    @property
    def own(self) -> dict[str, str]:
        """The headers of the page itself."""
        return {"cookie": self.cookie, "origin": f"http://127.0.0.1:{self.served.port}"}

    def ask(
        self, method: str, path: str, headers: Mapping[str, str], body: str | bytes | None = None
    ) -> tuple[int, str, Mapping[str, str]]:
        talk = http.client.HTTPConnection("127.0.0.1", self.served.port, timeout=10)
        talk.request(method, path, body=body, headers=dict(headers))
        answer = talk.getresponse()
        told = answer.status, answer.read().decode(), dict(answer.getheaders())
        talk.close()
        return told


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Client]:
    """A bench for all these tests, with the cookie that its link gives."""
    folder = tmp_path_factory.mktemp("gate")
    (folder / "tell.toml").write_text(TELLTALE, encoding="utf-8")
    with served(folder, "tell.toml") as begun:
        made = Client(begun)
        status, _, headers = made.ask("GET", f"/?token={begun.token}", {})
        assert status == 303
        assert "HttpOnly" in headers["set-cookie"]
        assert "SameSite=strict" in headers["set-cookie"]
        made.cookie = headers["set-cookie"].partition(";")[0]
        yield made


def test_the_page_itself_is_let_in(client: Client) -> None:
    status, text, headers = client.ask("GET", "/", {"cookie": client.cookie})
    assert status == 200
    assert "Two feeds and a tell-tale" in text
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "script-src 'self';" in policy, "no inline script"
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["cache-control"] == "no-store"


def test_the_page_has_no_script_of_its_own_inside(client: Client) -> None:
    _, text, _ = client.ask("GET", "/", {"cookie": client.cookie})
    assert text.count("<script") == 1
    assert '<script type="module" src="/file/bench.js"></script>' in text
    assert " onclick" not in text


@pytest.mark.parametrize(
    "path", ["/", "/parts", "/events", "/answer", "/picture?name=tell.toml", "/file/bench.js"]
)
@pytest.mark.parametrize("cookie", ["", "lampwright_1=x", "lampwright_{port}=x", "lampwright_{port}="])
def test_without_the_cookie_there_is_nothing(client: Client, path: str, cookie: str) -> None:
    headers = {"cookie": cookie.format(port=client.served.port)} if cookie else {}
    status, text, _ = client.ask("GET", path, headers)
    assert status == 403
    assert "Two feeds" not in text


@pytest.mark.parametrize("token", ["", "x", "%00", "é"])
def test_a_wrong_token_opens_nothing(client: Client, token: str) -> None:
    path = f"/?token={token}".encode().decode("latin-1")
    talk = http.client.HTTPConnection("127.0.0.1", client.served.port, timeout=10)
    talk.putrequest("GET", path.encode("ascii", "replace").decode())
    talk.endheaders()
    assert talk.getresponse().status == 403
    talk.close()


@pytest.mark.parametrize("host", ["evil.example", "localhost", "127.0.0.1", "127.0.0.1:1", "[::1]:{port}"])
def test_a_rebound_name_leads_nowhere(client: Client, host: str) -> None:
    headers = {"cookie": client.cookie, "host": host.format(port=client.served.port)}
    assert client.ask("GET", "/", headers)[0] in (400, 421)
    assert client.ask("GET", f"/?token={client.served.token}", headers)[0] in (400, 421)


@pytest.mark.parametrize(
    "origin", [None, "null", "http://evil.example", "http://localhost:{port}", "https://127.0.0.1:{port}"]
)
def test_another_origin_changes_nothing(client: Client, origin: str | None) -> None:
    headers = {"cookie": client.cookie, **JSON}
    if origin is not None:
        headers["origin"] = origin.format(port=client.served.port)
    assert client.ask("POST", "/do", headers, TITLE)[0] == 403
    assert "by another site" not in client.ask("GET", "/parts", {"cookie": client.cookie})[1]


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_another_site_reads_nothing(client: Client, site: str) -> None:
    headers = {"cookie": client.cookie, "sec-fetch-site": site}
    assert client.ask("GET", "/parts", headers)[0] == 403


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "PATCH", "TRACE"])
def test_other_methods_are_refused(client: Client, method: str) -> None:
    assert client.ask(method, "/do", client.own, TITLE)[0] in (403, 405)


def test_a_form_of_another_page_is_no_change(client: Client) -> None:
    headers = {**client.own, "content-type": "text/plain"}
    assert client.ask("POST", "/do", headers, TITLE)[0] == 415


@pytest.mark.parametrize(
    "body",
    [
        "",
        "{}",
        "[]",
        "nothing",
        '{"do": 1}',
        '{"do": "title", "other": 1}',
        "[" * 100_000,
        '{"do": "' + "x" * 300 + '"}',
        '{"do":"title","value":"\\ud800"}',
    ],
)
def test_a_body_that_is_no_change_is_refused(client: Client, body: str) -> None:
    assert client.ask("POST", "/do", {**client.own, **JSON}, body)[0] == 400


def test_too_much_is_refused(client: Client) -> None:
    assert client.ask("POST", "/do", {**client.own, **JSON, "content-length": "99999999"}, b"")[0] == 413
    assert client.ask("GET", "/parts?" + "x" * 3000, client.own)[0] == 414


def test_a_body_without_a_length_is_cut_off(client: Client) -> None:
    talk = socket.create_connection(("127.0.0.1", client.served.port), timeout=10)
    given = {**client.own, **JSON, "host": f"127.0.0.1:{client.served.port}", "transfer-encoding": "chunked"}
    head = "POST /do HTTP/1.1\r\n" + "".join(f"{name}: {value}\r\n" for name, value in given.items()) + "\r\n"
    talk.sendall(head.encode())
    chunk = b"10000\r\n" + b"x" * 0x10000 + b"\r\n"
    try:
        for _ in range(40):
            talk.sendall(chunk)
        talk.sendall(b"0\r\n\r\n")
    except OSError:
        pass
    told = talk.recv(200)
    talk.close()
    assert told.startswith(b"HTTP/1.1 413"), told


@pytest.mark.parametrize(
    "name", ["../secret.toml", "%2e%2e/secret.toml", "..%2fsecret.toml", "/etc/passwd", "tell.toml%00"]
)
def test_pictures_of_what_lies_elsewhere_are_refused(client: Client, name: str) -> None:
    assert client.ask("GET", f"/picture?name={name}", client.own)[0] == 404


@pytest.mark.parametrize(
    "path", ["/file/../serving.py", "/file/page.html", "/file/%2e%2e/gate.py", "/file/.", "/nothing"]
)
def test_only_the_pages_files_are_served(client: Client, path: str) -> None:
    assert client.ask("GET", path, client.own)[0] in (404, 405)


def test_files_elsewhere_are_neither_opened_nor_written(client: Client) -> None:
    outside = client.served.folder.parent / "outside.toml"
    outside.write_text(TELLTALE, encoding="utf-8")
    (client.served.folder / "link.toml").symlink_to(outside)
    for name in ("../outside.toml", str(outside), "link.toml"):
        for change in ({"do": "open", "value": name}, {"do": "save", "value": name, "key": "over"}):
            status, text, _ = client.ask("POST", "/do", {**client.own, **JSON}, json.dumps(change))
            assert status == 200
            assert json.loads(text)["refusal"], name
    assert outside.read_text(encoding="utf-8") == TELLTALE


def test_it_listens_on_the_loopback_address_alone(client: Client) -> None:
    tables = [Path("/proc/net/tcp"), Path("/proc/net/tcp6")]
    if not tables[0].exists():
        pytest.skip("the system does not tell who listens")
    port = f":{client.served.port:04X}"
    lines = [line.split() for table in tables if table.exists() for line in table.read_text().splitlines()]
    listening = [line[1] for line in lines if line[1].endswith(port) and line[3] == "0A"]
    assert listening == [f"0100007F{port}"]
