"""What messages go over: standard input and output, a WebSocket of our own, or any other channel of texts.

However they come, messages are taken one after the other in the loop's thread (`DeskProtocol.take`), and what is answered leaves in the
order in which it was said.  A port is opened on this machine alone; who connects says the token in the address, and a page of
another origin is turned away before it is heard.
"""

from __future__ import annotations

import asyncio
import os
import re
import secrets
import sys
from collections.abc import Awaitable, Callable, Iterator, Mapping
from http import HTTPStatus
from threading import Thread
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from .admitting import HERE, SOCKET, opens, refusal
from .protocol import MOST_CHARACTERS, DeskServer

if TYPE_CHECKING:
    from websockets.asyncio.server import ServerConnection
    from websockets.http11 import Request, Response

_LENGTH = re.compile(rb"^content-length:[ \t]*(\d{1,9})[ \t]*\r?$", re.IGNORECASE | re.MULTILINE)

Receive = Callable[[], Awaitable["str | bytes | None"]]
Send = Callable[[str], Awaitable[None]]


class _Outgoing:
    """Where pygls puts what it says: sent one after the other."""

    def __init__(self, send: Send):
        self._said: asyncio.Queue[str | None] = asyncio.Queue()
        self._sending = asyncio.ensure_future(self._send_all(send))

    def write(self, data: bytes) -> None:
        self._said.put_nowait(data.decode("utf-8"))

    def close(self) -> None:
        self._said.put_nowait(None)

    async def sent(self) -> None:
        """Wait until all that was said has left, or the channel is gone."""
        self.close()
        await self._sending

    async def _send_all(self, send: Send) -> None:
        while (text := await self._said.get()) is not None:
            try:
                await send(text)
            except Exception:  # nobody listens any more, which is found out where messages are received
                return


async def over_messages(server: DeskServer, receive: Receive, send: Send) -> None:
    """Serve one connection until the client says `exit`, or `receive` gives None."""
    outgoing = _Outgoing(send)
    server.protocol.set_writer(outgoing, include_headers=False)
    try:
        while not server.ended and (text := await receive()) is not None:
            server.protocol.take(text)
    finally:
        await outgoing.sent()


# ------------------------------------------------------------------------------------------------------ standard input and output


async def over_stdio(server: DeskServer) -> int:
    """Serve standard input and output until the client says `exit` or is gone; the exit code that the protocol asks for."""
    read, write = os.dup(sys.stdin.fileno()), os.dup(sys.stdout.fileno())
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # whatever else is printed would spoil the messages
    loop = asyncio.get_running_loop()
    messages: asyncio.Queue[bytes | None] = asyncio.Queue()

    def listen() -> None:
        with os.fdopen(read, "rb", buffering=0) as stream:  # no lock is held while it waits, so that the program can end
            for message in framed(stream.read):
                loop.call_soon_threadsafe(messages.put_nowait, message)
        loop.call_soon_threadsafe(messages.put_nowait, None)

    Thread(target=listen, name="tapeline listening", daemon=True).start()
    with os.fdopen(write, "wb") as out:

        async def send(text: str) -> None:
            body = text.encode("utf-8")
            out.write(b"Content-Length: %d\r\n\r\n%b" % (len(body), body))
            out.flush()

        await over_messages(server, messages.get, send)
    return 0 if server.orderly else 1


def framed(read: Callable[[int], bytes | None]) -> Iterator[bytes]:
    """The messages in a stream of bytes, each behind a head with its `Content-Length`.  What is no head is passed over up to the next."""
    held = b""
    while True:
        head, end, rest = held.partition(b"\r\n\r\n")
        length = _LENGTH.search(head) if end else None
        if end and length is None:
            held = rest
            continue
        if length is not None and len(rest) >= int(length[1]):
            yield rest[: int(length[1])]
            held = rest[int(length[1]) :]
            continue
        if length is not None and int(length[1]) > MOST_CHARACTERS:
            return
        more = read(1 << 16)
        if not more:
            return
        held += more


# ------------------------------------------------------------------------------------------------------ a WebSocket of our own


async def over_port(serve_one: Callable[[], tuple[DeskServer, Callable[[], None]]], port: int, tell: Callable[[str], None]) -> None:
    """Serve WebSockets on a port of this machine (0: one that is free) until stopped, each connection with a server of its own and
    what to do at its end.  `tell` is told the address, with the token that opens it."""
    from websockets.asyncio.server import serve
    from websockets.exceptions import ConnectionClosed

    token = secrets.token_urlsafe(24)

    async def connected(socket: ServerConnection) -> None:
        server, end = serve_one()

        async def receive() -> str | bytes | None:
            try:
                return await socket.recv()
            except ConnectionClosed:
                return None

        try:
            await over_messages(server, receive, socket.send)
        finally:
            end()

    def admit(socket: ServerConnection, request: Request) -> Response | None:
        number = socket.local_address[1]
        why = turned_away(request.path, dict(request.headers.raw_items()), token, number)
        return None if why is None else socket.respond(HTTPStatus.FORBIDDEN, why + "\n")

    async with serve(connected, HERE, port, process_request=admit, max_size=MOST_CHARACTERS) as listening:
        number = next(iter(listening.sockets)).getsockname()[1]
        tell(f"ws://{HERE}:{number}{SOCKET}?token={token}")
        await listening.serve_forever()


def turned_away(path: str, headers: Mapping[str, str], token: str, port: int) -> str | None:
    """Why a request is not answered, in a sentence; None where it is."""
    why = refusal("GET", {name.casefold(): value for name, value in headers.items()}, port)
    parts = urlsplit(path)
    if why is None and not (parts.path == SOCKET and opens(parts.query.encode(), token)):
        return "The address lacks the token that was told when the server was started."
    return why
