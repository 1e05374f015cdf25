"""Who may ask the page's server, how much may be sent, and what the browser is told not to do."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route
from starlette.testclient import TestClient

from mountgen.catalogue.reader import profiles_folder
from mountgen.page.app import create_app
from mountgen.page.guard import Guard, is_known_host, names_of

HOME = "http://127.0.0.1:8765"


@pytest.fixture(scope="module")
def client() -> TestClient:
    """The server without its workers: what is refused here never gets to them."""
    app = create_app(profiles_folder())
    app.state.builds = {}
    return TestClient(app, base_url=HOME)


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1.evil.example", "evil.example:8765", "", "127.0.0.2", "192.168.1.7"]
)
def test_another_host_is_refused(client, host):
    answer = client.get("/api/starters", headers={"host": host})
    assert answer.status_code == 421
    assert answer.json()["faults"][0]["where"] == "Host"


@pytest.mark.parametrize("host", ["127.0.0.1:8765", "localhost:8765", "[::1]:8765", "LOCALHOST", "127.0.0.1"])
def test_its_own_names_are_answered(client, host):
    assert client.get("/api/starters", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "origin",
    ["http://evil.example", "null", "https://127.0.0.1", "http://127.0.0.1:9999", "http://[", "file://"],
)
def test_a_page_of_another_origin_is_refused(client, origin):
    answer = client.post("/api/check", json={"text": ""}, headers={"origin": origin})
    assert answer.status_code == 403
    assert answer.json()["faults"][0]["where"] == "Origin"


def test_its_own_page_may_ask(client):
    assert client.get("/api/starters", headers={"origin": HOME}).status_code == 200


def test_another_site_may_not_embed_what_it_answers(client):
    headers = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors"}
    assert client.get("/api/starters", headers=headers).status_code == 403


def test_a_link_from_elsewhere_opens_the_page(client):
    headers = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"}
    assert client.get("/api/starters", headers=headers).status_code == 200


def test_told_to_listen_everywhere_it_answers_addresses_but_no_names():
    names = names_of("0.0.0.0")
    assert is_known_host("192.168.1.7:8765", names)
    assert is_known_host("[fe80::1]:8765", names)
    assert not is_known_host("evil.example:8765", names)
    assert not is_known_host("192.168.1.7", names_of("192.168.1.8"))


def test_every_answer_has_the_headers(client):
    for answer in (
        client.get("/api/starters"),
        client.get("/api/nothing"),
        client.get("/api/starters", headers={"host": "evil.example"}),
    ):
        assert answer.headers["content-security-policy"].startswith("default-src 'self'")
        assert "unsafe" not in answer.headers["content-security-policy"]
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert "access-control-allow-origin" not in answer.headers


@pytest.mark.parametrize(
    "path",
    [
        "/../pyproject.toml",
        "/..%2fapp.py",
        "/%2e%2e/app.py",
        "/%2e%2e%2fapp.py",
        "/..%5capp.py",
        "//etc/passwd",
        "/%2fetc%2fpasswd",
        "/app/../../app.py",
        "/api/builds/../../app.py",
        "/api/builds/%2e%2e/files/x",
        "/api/builds/00000000000000000000000000000000/files/../../../../etc/passwd",
        "/api/builds/00000000000000000000000000000000/files/%2fetc%2fpasswd",
    ],
)
def test_no_path_leads_outside(client, path):
    answer = client.get(path)
    assert answer.status_code in (404, 422)
    assert b"root:" not in answer.content
    assert b"FastAPI" not in answer.content


@pytest.mark.parametrize("path", ["/app/", "/app", "/style/", "/api/", "/api/builds/"])
def test_no_folder_is_listed(client, path):
    assert client.get(path, follow_redirects=False).status_code in (307, 404)
    assert b"<a " not in client.get(path).content


def counting() -> Starlette:
    async def count(request: Request) -> PlainTextResponse:
        return PlainTextResponse(str(len(await request.body())))

    app = Starlette(routes=[Route("/", count, methods=["POST"])])
    app.add_middleware(Guard, names=names_of("127.0.0.1"), most_bytes=1000)
    return app


def pieces(count: int) -> Iterator[bytes]:
    for _ in range(count):
        yield b"x" * 100


def test_a_body_up_to_the_limit_is_read():
    assert TestClient(counting(), base_url=HOME).post("/", content=pieces(10)).text == "1000"


def test_a_body_over_the_limit_is_refused_by_its_length():
    answer = TestClient(counting(), base_url=HOME).post("/", content=b"x" * 1001)
    assert answer.status_code == 413


def test_a_body_of_unknown_length_is_refused_when_it_goes_over():
    answer = TestClient(counting(), base_url=HOME).post("/", content=pieces(11))
    assert answer.status_code == 413
    assert answer.json()["faults"][0]["expected"] == "at most 1000 bytes"


@pytest.mark.parametrize("length", ["-1", "x", "9" * 40, "1001"])
def test_a_length_that_is_none_is_refused(length):
    answer = TestClient(counting(), base_url=HOME).post("/", content=b"", headers={"content-length": length})
    assert answer.status_code == 413


def test_a_survey_that_is_too_long_is_refused(client):
    answer = client.post("/api/check", json={"text": "#" * 500_001})
    assert answer.status_code == 422
    assert answer.json()["faults"][0]["where"] == "body.text"
