"""`tapeline lsp`: the language server, for an editor that speaks the language server protocol."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

import click

from ..report import EXIT_CODES

if TYPE_CHECKING:
    from ...serving.protocol import DeskServer


@click.command(epilog=EXIT_CODES)
@click.option("--port", type=click.IntRange(0, 65535), help="Serve a WebSocket on this port of this machine (0: one that is free).")
def lsp(port: int | None) -> None:
    """Serve an editor: mistakes as they are made, what stands behind a name, what can be written next.

    Messages of the language server protocol go over standard input and output; the editor starts this command itself.  With --port
    they go over a WebSocket, whose address, with a token in it, is printed.
    """
    import asyncio

    from ...serving.documents import Documents
    from ...serving.language import language_server
    from ...serving.over import over_port, over_stdio
    from ...serving.worker import Worker, collect_seldom

    collect_seldom()

    def serve_one() -> tuple[DeskServer, Callable[[], None]]:
        worker = Worker()
        return language_server(Documents(), worker), worker.close

    if port is None:
        server, end = serve_one()
        code = asyncio.run(over_stdio(server))
        end()
        sys.exit(code)
    asyncio.run(over_port(serve_one, port, click.echo))
