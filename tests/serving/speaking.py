"""The language server as pygls's own client meets it: over standard input and output, over a WebSocket, or in this process."""

import asyncio
import os
import sys
from contextlib import asynccontextmanager
from pathlib import Path

from lsprotocol import types
from pygls.lsp.client import LanguageClient

import tapeline
from tapeline.serving.documents import Documents
from tapeline.serving.language import language_server
from tapeline.serving.over import over_messages
from tapeline.serving.worker import Worker

PATIENCE = 20  # seconds, on a machine that has much else to do


class Client(LanguageClient):
    """Keeps what the server tells of each file, and lets one wait for it."""

    def __init__(self):
        super().__init__("trial", "1")
        self.told, self.shown, self.news = {}, [], asyncio.Event()
        self.feature(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)(lambda params: self._told(params))
        self.feature(types.WINDOW_SHOW_MESSAGE)(lambda params: self.shown.append(params.message))

    def _told(self, params):
        self.told.setdefault(params.uri, []).append(params)
        self.news.set()

    async def begin(self, **options):
        capabilities = options.pop("capabilities", types.ClientCapabilities())
        result = await self.initialize_async(types.InitializeParams(capabilities, initialization_options=options or None))
        self.initialized(types.InitializedParams())
        return result

    def open(self, uri, text, version=1):
        self.text_document_did_open(types.DidOpenTextDocumentParams(types.TextDocumentItem(uri, "tapeline", version, text)))

    def change(self, uri, version, *changes):
        """Each change a text, or (start, end, text) with places as (line, character)."""
        events = [
            types.TextDocumentContentChangeWholeDocument(change)
            if isinstance(change, str)
            else types.TextDocumentContentChangePartial(types.Range(types.Position(*change[0]), types.Position(*change[1])), change[2])
            for change in changes
        ]
        self.text_document_did_change(types.DidChangeTextDocumentParams(types.VersionedTextDocumentIdentifier(version, uri), events))

    async def until(self, uri, holds):
        """The latest diagnostics of a file, as soon as they are as wanted."""

        async def wait():
            while uri not in self.told or not holds(self.told[uri][-1]):
                self.news.clear()
                await self.news.wait()
            return self.told[uri][-1]

        return await asyncio.wait_for(wait(), PATIENCE)

    async def diagnostics(self, uri, version):
        return list((await self.until(uri, lambda params: params.version == version)).diagnostics)

    async def leave(self):
        await self.shutdown_async(None)
        self.exit(None)


@asynccontextmanager
async def over_stdio(*args):
    client = Client()
    environment = {**os.environ, "PYTHONPATH": str(Path(tapeline.__file__).parents[1])}
    await client.start_io(sys.executable, "-m", "tapeline.desk.cli", "lsp", *args, env=environment)
    try:
        yield client
    finally:
        if client._server.returncode is None:
            client._server.kill()
        await client.stop()


@asynccontextmanager
async def in_process(documents=None):
    """A client that speaks to a server of this process, over two queues."""
    client, worker = Client(), Worker()
    server = language_server(documents or Documents(), worker)
    to_server, to_client = asyncio.Queue(), asyncio.Queue()

    class Writer:
        def write(self, data):
            to_server.put_nowait(data.decode("utf-8"))

        def close(self):
            to_server.put_nowait(None)

    async def hear():
        import json

        while True:
            client.protocol.handle_message(json.loads(await to_client.get(), object_hook=client.protocol.structure_message))

    client.protocol.set_writer(Writer(), include_headers=False)
    serving = asyncio.create_task(over_messages(server, to_server.get, to_client.put))
    hearing = asyncio.create_task(hear())
    client.server, client.worker = server, worker
    try:
        yield client
    finally:
        to_server.put_nowait(None)
        await serving
        hearing.cancel()
        worker.close()
