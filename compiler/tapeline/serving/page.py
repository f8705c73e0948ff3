"""The page of `tapeline open`, and the server that gives it: its own files, the pages of codes, and one WebSocket.

Nothing is served but what is named here.  Each connection has a server of the language, a worker and open texts of its own (`language.py`); all
share the folder that was opened (`saving.ServedFolder`).  What may be asked at all is settled before in `safety.py`.
"""

from __future__ import annotations

import asyncio
import html
import re
import signal
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, PlainTextResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.types import ASGIApp
from starlette.websockets import WebSocket, WebSocketDisconnect, WebSocketState

from ..source.world import standard_folder
from .admitting import HERE, SOCKET
from .documents import Documents
from .language import language_server
from .over import over_messages
from .protocol import MOST_CHARACTERS
from .safety import Door, guarded
from .saving import ServedFolder, add_saving
from .worker import Worker

PAGE = Path(__file__).parent / "page"
_KINDS = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
}
_CODE = re.compile(r"[A-Z]\d{3}")
_MOST_CONNECTIONS = 32
_BEAT = 15.0  # seconds between two signs of life that the server asks for


def page_app(served: ServedFolder, port: int, token: str) -> ASGIApp:
    """Everything that is served for a folder on a port."""
    files = {path.name: path for path in PAGE.iterdir() if path.suffix in _KINDS and path.is_file()}
    connected: set[WebSocket] = set()

    async def file(request: Request) -> Response:
        path = files.get(request.path_params.get("name", "index.html"))
        if path is None:
            return PlainTextResponse("There is no such page.\n", status_code=404)
        return FileResponse(path, media_type=_KINDS[path.suffix])

    async def code(request: Request) -> Response:
        word = request.path_params["code"]
        path = standard_folder("pages") / f"{word}.md"
        if not _CODE.fullmatch(word) or not path.is_file():
            return PlainTextResponse("There is no such code.\n", status_code=404)
        return HTMLResponse(code_page(word, path.read_text(encoding="utf-8")))

    async def language(socket: WebSocket) -> None:
        if len(connected) >= _MOST_CONNECTIONS:
            await socket.close(1013)
            return
        await socket.accept()
        connected.add(socket)
        try:
            await serve_connection(socket, served, f"http://{HERE}:{port}/codes/")
        finally:
            connected.discard(socket)

    routes = [
        Route("/", file),
        Route("/codes/{code}", code),
        Route("/{name}", file),
        WebSocketRoute(SOCKET, language),
    ]
    app = Starlette(routes=routes)
    app.router.redirect_slashes = False
    return guarded(app, port, token)


async def serve_connection(socket: WebSocket, served: ServedFolder, pages: str) -> None:
    """Serve one page until it is closed, or nothing is heard of it any more."""
    worker = Worker()
    documents = Documents(folder=served.folder)
    documents.pages = pages
    documents.also = {Path(word) for word in (served.body, served.house) if Path(word).is_absolute()}
    server = language_server(documents, worker)
    if served.body:
        server.body.choose({"card": served.body, "house": served.house or None})
    saving = add_saving(server, documents, served)
    watching = asyncio.ensure_future(saving.watch())

    async def receive() -> str | None:
        try:
            return await socket.receive_text()
        except (WebSocketDisconnect, KeyError, RuntimeError):  # closed; bytes, which no message is
            return None

    send: Callable[[str], Awaitable[None]] = socket.send_text
    try:
        await over_messages(server, receive, send)
    finally:
        watching.cancel()
        saving.leave()
        worker.close()
        if socket.application_state == WebSocketState.CONNECTED:
            with suppress(RuntimeError, WebSocketDisconnect):  # gone already
                await socket.close()


class _Quiet(uvicorn.Server):
    """Ended by a sign of its own, so that Ctrl-C ends it without a word of uvicorn's."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        loop = asyncio.get_running_loop()
        signs = (signal.SIGINT, signal.SIGTERM)
        before = {sign: signal.getsignal(sign) for sign in signs}

        def end(*told: object) -> None:
            self.should_exit = True

        for sign in signs:
            with suppress(ValueError, NotImplementedError, RuntimeError):  # no main thread, or no such signs
                signal.signal(sign, lambda *told: loop.call_soon_threadsafe(end))
        try:
            yield
        finally:
            for sign, handler in before.items():
                with suppress(ValueError):
                    signal.signal(sign, handler)


async def serve_page(served: ServedFolder, door: Door, ready: Callable[[], None] = lambda: None) -> None:
    """Serve until it is told to end (SIGINT, SIGTERM)."""
    config = uvicorn.Config(
        page_app(served, door.port, door.token),
        log_config=None,
        access_log=False,
        server_header=False,
        lifespan="off",
        ws="websockets-sansio",
        ws_max_size=MOST_CHARACTERS,
        ws_ping_interval=_BEAT,
        ws_ping_timeout=_BEAT,
        timeout_graceful_shutdown=1,
    )
    server = _Quiet(config)
    serving = asyncio.ensure_future(server.serve(sockets=[door.listening]))
    while not server.started and not serving.done():
        await asyncio.sleep(0.01)
    if not serving.done():
        ready()
    await serving


# ------------------------------------------------------------------------------------------------------ pages of codes


def code_page(code: str, text: str) -> str:
    """The page of a code: headings, paragraphs, and examples as they are written."""
    body: list[str] = []
    for number, part in enumerate(re.split(r"^```[^\n]*\n", text, flags=re.MULTILINE)):
        if number % 2:
            body.append(f"<pre>{html.escape(part.rstrip())}</pre>")
        else:
            body += [_block(block) for block in re.split(r"\n\s*\n", part.strip()) if block]
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{html.escape(code)}</title>'
        '<meta name="viewport" content="width=device-width"><link rel="stylesheet" href="/desk.css"></head>'
        f'<body class="reading"><main>{"".join(body)}</main></body></html>\n'
    )


def _block(block: str) -> str:
    heading = re.match(r"(#{1,3}) +(.*)", block)
    words = re.sub(r"`([^`]*)`", r"<code>\1</code>", html.escape(heading[2] if heading else block, quote=False))
    if heading is None:
        return f"<p>{words}</p>"
    rest = block[heading.end() :].strip()
    level = len(heading[1])
    return f"<h{level}>{words}</h{level}>" + (_block(rest) if rest else "")
