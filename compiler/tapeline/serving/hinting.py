"""Inlay hints: what each named quantity comes to for the chosen body."""

from __future__ import annotations

from lsprotocol import types

from ..editing.hinting import ValueHint, hints_in
from .documents import Documents
from .protocol import DeskServer
from .worker import LATER, Worker


def add_hinting(server: DeskServer, documents: Documents, worker: Worker) -> None:
    @server.feature(types.TEXT_DOCUMENT_INLAY_HINT)
    async def hints(params: types.InlayHintParams) -> list[types.InlayHint]:
        uri = params.text_document.uri
        start, end = documents.offset(uri, params.range.start), documents.offset(uri, params.range.end)

        def found() -> list[ValueHint]:
            return hints_in(documents.source(uri), server.body.values(uri), start, end)

        source = documents.source(uri)
        await documents.at_rest(uri)
        return [
            types.InlayHint(documents.positions.position(source, hint.offset), hint.text)
            for hint in await worker.run(("hints", uri), found, of=uri, urgency=LATER)
        ]
