"""What stands before every request: who may ask, how much may be sent, and what the browser must not do.

A page on another site, or a name that was made to point at this machine, cannot use the server: the Host
must be one that it is called by, and an Origin must be its own.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from mountgen.errors import Fault
from mountgen.page.faults import faults_json

MOST_BYTES = 32_000_000
"""Of a request's body: a survey with a long list of products and a drawing, in base64."""
LOOPBACK = frozenset({"localhost", "127.0.0.1", "[::1]", "::1"})
HEADERS = {
    "content-security-policy": (
        "default-src 'self'; img-src 'self' data: blob:; "
        "connect-src 'self' blob:; worker-src 'self' blob:; object-src 'self'; frame-src 'self' blob:; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "x-frame-options": "SAMEORIGIN",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}


class TooLargeError(Exception):
    """A body went over the limit while it was read."""


class Guard:
    """Wraps the app. `names` are the hosts that the server is called by."""

    def __init__(self, app: ASGIApp, names: frozenset[str], most_bytes: int = MOST_BYTES) -> None:
        self._app = app
        self._names = names
        self._most = most_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        answer = _with_headers(send)
        if refusal := self._refusal(headers):
            await _refuse(answer, *refusal)
            return
        try:
            await self._app(scope, self._counted(receive), answer)
        except TooLargeError:
            await _refuse(answer, 413, self._too_large())

    def _refusal(self, headers: Headers) -> tuple[int, Fault] | None:
        host, origin = headers.get("host", ""), headers.get("origin")
        if not is_known_host(host, self._names):
            expected = "the address that the server was started with"
            return 421, Fault("Host", f"this server is not {host[:80]!a}", expected, "open that address")
        if origin is not None and urlsplit_netloc(origin) != host.lower():
            found, action = f"a page of {origin[:80]!a} asks", "open the server's own page"
            return 403, Fault("Origin", found, "this server's own page", action)
        if headers.get("sec-fetch-site") == "cross-site" and headers.get("sec-fetch-mode") != "navigate":
            found, action = "a page of another site asks", "open the server's own page"
            return 403, Fault("Sec-Fetch-Site", found, "this server's own page", action)
        length = headers.get("content-length", "0")
        if not length.isdecimal() or len(length) > 18 or int(length) > self._most:
            return 413, self._too_large()
        return None

    def _too_large(self) -> Fault:
        found, expected = "the request is too large", f"at most {self._most} bytes"
        return Fault("request", found, expected, "send a shorter list or a simpler drawing")

    def _counted(self, receive: Receive) -> Receive:
        """What is received, until it is more than may come."""
        left = self._most

        async def counted() -> Message:
            nonlocal left
            message = await receive()
            left -= len(message.get("body", b""))
            if left < 0:
                raise TooLargeError
            return message

        return counted


def names_of(host: str) -> frozenset[str]:
    """The hosts that a server which listens at `host` is called by."""
    return LOOPBACK | {host.lower()}


def is_known_host(host: str, names: Iterable[str]) -> bool:
    """Whether a Host header names this server: by a name that it has, or, where it listens to all addresses,
    by an address; a name could be made to point here by anybody."""
    name = _without_port(host.lower())
    if name in names:
        return True
    return bool({"0.0.0.0", "::"} & set(names)) and _is_address(name)


def _without_port(host: str) -> str:
    name, colon, port = host.rpartition(":")
    return name if colon and port.isdecimal() and not name.endswith(":") else host


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name.removeprefix("[").removesuffix("]"))
    except ValueError:
        return False
    return True


def urlsplit_netloc(origin: str) -> str | None:
    """Host and port of an Origin; None for what is none ('null')."""
    try:
        parts = urlsplit(origin)
    except ValueError:
        return None
    return parts.netloc.lower() if parts.scheme in ("http", "https") else None


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("cache-control", "no-store")
        await send(message)

    return sent


async def _refuse(send: Send, status: int, fault: Fault) -> None:
    body = faults_json([fault])
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
