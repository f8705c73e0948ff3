"""Hover: what is told of the words that the author points at."""

from __future__ import annotations

from lsprotocol import types

from ..editing.hovering import Hover, hover_at
from .documents import Documents
from .protocol import DeskServer
from .worker import Worker


def add_hovering(server: DeskServer, documents: Documents, worker: Worker) -> None:
    @server.feature(types.TEXT_DOCUMENT_HOVER)
    async def hover(params: types.HoverParams) -> types.Hover | None:
        uri = params.text_document.uri
        offset = documents.offset(uri, params.position)

        def told() -> Hover | None:
            return hover_at(documents.reading(uri), documents.source(uri), offset, server.body.known_values(uri))

        found = await worker.run(("hover", uri), told, of=uri)
        if found is None:
            return None
        return types.Hover(types.MarkupContent(types.MarkupKind.Markdown, found.text), documents.range(found.span))
