"""Starts the server and says where it is."""

from __future__ import annotations

import socket
from collections.abc import Callable

import uvicorn

from mountgen.catalogue.reader import profiles_folder
from mountgen.errors import Fault, OutputError
from mountgen.page.app import create_app

WAITING = 16
"""Connections that the system holds until they are taken."""


def serve_page(host: str, port: int, say: Callable[[str], None]) -> None:
    """Serves until it is interrupted. OutputError for an address that cannot be listened at."""
    with _listening(host, port) as at:
        name = f"[{host}]" if ":" in host else host
        say(f"the page is at http://{name}:{at.getsockname()[1]}/ ; end it with Ctrl+C")
        app = create_app(profiles_folder(), host)
        config = uvicorn.Config(app, log_level="warning", server_header=False, access_log=False)
        uvicorn.Server(config).run(sockets=[at])


def _listening(host: str, port: int) -> socket.socket:
    try:
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        return socket.create_server((host, port), family=family, backlog=WAITING)
    except OSError as error:
        found = f"nothing can listen at {host} port {port} ({error.strerror or error})"
        action = "end what listens there, or give another with --port"
        raise OutputError(
            [Fault("--host, --port", found, "a free address of this machine", action)]
        ) from error
