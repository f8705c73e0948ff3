"""Who is answered: the page of this very server on this machine, and nobody else.

The server is bound to 127.0.0.1.  A request must call it by its own name (`Host`), may not come from a page of another origin
(`Origin`, and what the browser says of the site that asks), and only asks for something (GET, HEAD).  The WebSocket opens to who says the
token, which stands in the address behind the `#`, so that it is sent to no server; it is compared in constant time.  Every answer
bears a content policy by which the page loads nothing but its own files, speaks to nothing but its own WebSocket, and stands in no
frame.

Token and port of a folder are kept in the user's cache folder, which no one else can read, and used again: a page that was left open finds the server
when it is started again.
"""

from __future__ import annotations

import json
import re
import secrets
import socket
from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ..source.cache import keep, recall, use_cache
from .admitting import HERE, SOCKET, opens, refusal

USUAL_PORT, TRIED = 8465, 20  # the first port that is tried, and how many after it before any that is free
_MOST_KEPT = 200  # folders
_TOKEN = re.compile(r"[\w-]{43,128}")


class Door(NamedTuple):
    """The socket a folder is served on, and the token that opens it."""

    listening: socket.socket
    port: int
    token: str

    @property
    def address(self) -> str:
        return f"http://{HERE}:{self.port}/#{self.token}"


def open_door(folder: Path, port: int | None = None) -> Door:
    """The folder's own token and port, where it has them; a port that is asked for is the one that is taken.  OSError where it is not free."""
    name = f"{sha256(str(folder).encode()).hexdigest()[:24]}.door"
    use_cache()
    token, latest = _kept(name)
    wanted = [port] if port is not None else [*([latest] if latest else []), *range(USUAL_PORT, USUAL_PORT + TRIED), 0]
    listening = _bound(wanted)
    number: int = listening.getsockname()[1]
    keep(name, json.dumps({"token": token, "port": number}).encode(), _MOST_KEPT)
    return Door(listening, number, token)


def _kept(name: str) -> tuple[str, int]:
    try:
        known = json.loads(recall(name) or b"{}")
        token, port = known["token"], known["port"]
        if _TOKEN.fullmatch(token) and 0 < port < 65536:
            return token, port
    except (ValueError, KeyError, TypeError):
        pass
    return secrets.token_urlsafe(32), 0


def _bound(ports: Iterable[int]) -> socket.socket:
    problem: OSError | None = None
    for port in ports:
        one = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            one.bind((HERE, port))
            one.listen(64)
        except OSError as raised:
            one.close()
            problem = raised
        else:
            return one
    raise problem or OSError("no port is named")


def policy(host: str) -> str:
    """The content policy of every answer."""
    return (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
        f"connect-src ws://{host}{SOCKET}; frame-ancestors 'none'; form-action 'none'; base-uri 'none'"
    )


def guarded(app: ASGIApp, port: int, token: str) -> ASGIApp:
    """An application of which only this machine's own page sees anything."""

    async def guard(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await app(scope, receive, send)
            return
        names = [name for name, _ in scope["headers"]]
        headers = {name.decode("latin-1"): value.decode("latin-1") for name, value in scope["headers"]}
        talks = scope["type"] == "websocket"
        why = refusal(scope.get("method", "GET"), headers, port, wants_origin=talks)
        if names.count(b"host") != 1 or names.count(b"origin") > 1:
            why = "A request names one host and one origin."
        if talks:
            if why is not None or scope["path"] != SOCKET or not opens(scope["query_string"], token):
                await receive()
                await send({"type": "websocket.close", "code": 1008})
                return
            await app(scope, receive, send)
            return

        async def send_safely(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message["headers"], *_headers(headers.get("host", ""), why is None)]
            await send(message)

        answer = app if why is None else PlainTextResponse(f"{why}\n", status_code=403)
        await answer(scope, receive, send_safely)

    return guard


def _headers(host: str, own: bool) -> list[tuple[bytes, bytes]]:
    """What every answer says; `host` is a name from outside unless it is our own."""
    told = {
        "content-security-policy": policy(host) if own else "default-src 'none'; frame-ancestors 'none'",
        "referrer-policy": "no-referrer",
        "x-content-type-options": "nosniff",
        "x-frame-options": "DENY",
        "cross-origin-resource-policy": "same-origin",
        "cross-origin-opener-policy": "same-origin",
        "cache-control": "no-store",
    }
    return [(name.encode(), value.encode()) for name, value in told.items()]
