"""The language server of one connection: all its features, put together.

A feature is a module `serving/NAME.py` with `add_NAME(server, documents, worker)`, and a line in `FEATURES` below.  Its handlers turn what the
client asks into a question of `editing/`, which knows nothing of the protocol, and its answer into the protocol's:

    def add_outline(server: DeskServer, documents: Documents, worker: Worker) -> None:
        @server.feature(types.TEXT_DOCUMENT_DOCUMENT_SYMBOL)
        async def outline(params: types.DocumentSymbolParams) -> list[types.DocumentSymbol]:
            uri = params.text_document.uri
            entries = await worker.run(("outline", uri), lambda: outline_of(documents.reading(uri)), of=uri)
            return [... documents.range(entry.span) ...]

Whatever reads or drafts goes through the worker, `of` the text it is about, so that it is dropped when that changes.  Methods of our
own, `tapeline/...`, are added in the same way and are given what JSON says, dicts and lists.  What a handler raises is answered as an error
(`protocol.told`); `documents.listeners` are told of every change of a text.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from lsprotocol import types
from pygls.capabilities import ServerCapabilitiesBuilder
from pygls.exceptions import JsonRpcInvalidParams

from ..version import __version__
from .bodies import add_bodies
from .chosen import BodyOfConnection
from .completing import add_completing
from .diagnosing import add_diagnosing
from .documents import Documents
from .drawing import add_drawing
from .formatting import add_formatting
from .hinting import add_hinting
from .hovering import add_hovering
from .mending import add_mending
from .names import add_names
from .outlining import add_outlining
from .places import Positions
from .protocol import DeskServer
from .worker import Worker

FEATURES: tuple[Callable[[DeskServer, Documents, Worker], None], ...] = (
    add_bodies,
    add_diagnosing,
    add_hovering,
    add_names,
    add_completing,
    add_hinting,
    add_mending,
    add_formatting,
    add_drawing,
    add_outlining,
)


def language_server(documents: Documents, worker: Worker) -> DeskServer:
    """A server for one connection."""
    server = DeskServer("tapeline", __version__, BodyOfConnection(documents))
    _add_texts(server, documents, worker)
    for add in FEATURES:
        add(server, documents, worker)
    return server


def _add_texts(server: DeskServer, documents: Documents, worker: Worker) -> None:
    """Opening, changing and closing texts; from then on what was asked of a text before is stale."""
    documents.listeners.append(worker.changed)

    @server.feature(types.INITIALIZE)
    def initialize(params: types.InitializeParams) -> None:
        options = params.initialization_options
        if isinstance(options, Mapping) and "card" in options:
            try:
                server.body.choose(options)
            except ValueError as problem:
                raise JsonRpcInvalidParams(str(problem)) from None
        documents.positions = Positions(ServerCapabilitiesBuilder.choose_position_encoding(params.capabilities))

    @server.feature(types.TEXT_DOCUMENT_DID_OPEN)
    def opened(params: types.DidOpenTextDocumentParams) -> None:
        documents.open(params.text_document.uri, params.text_document.text, params.text_document.version)

    @server.feature(types.TEXT_DOCUMENT_DID_CHANGE)
    def changed(params: types.DidChangeTextDocumentParams) -> None:
        documents.change(params.text_document.uri, params.content_changes, params.text_document.version)

    @server.feature(types.TEXT_DOCUMENT_DID_CLOSE)
    def closed(params: types.DidCloseTextDocumentParams) -> None:
        documents.close(params.text_document.uri)

    @server.feature(types.WORKSPACE_DID_CHANGE_WATCHED_FILES)
    def files_changed(params: types.DidChangeWatchedFilesParams) -> None:
        documents.changed_elsewhere()
