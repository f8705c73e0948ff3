"""Formatting: the text put into the one layout, where that is proved to say the same."""

from __future__ import annotations

from lsprotocol import types

from ..editing.formatting import formatted
from .documents import Documents
from .protocol import DeskServer
from .worker import Worker


def add_formatting(server: DeskServer, documents: Documents, worker: Worker) -> None:
    @server.feature(types.TEXT_DOCUMENT_FORMATTING)
    async def format_text(params: types.DocumentFormattingParams) -> list[types.TextEdit]:
        """Whatever the client's tab size: there is one layout."""
        uri = params.text_document.uri
        edits, said = await worker.run(("format", uri), formatted, documents.source(uri), of=uri)
        for one in said:
            words = " ".join(filter(None, [f"{one.title}.", one.suggestion]))
            server.window_show_message(types.ShowMessageParams(types.MessageType.Warning, words))
        return [types.TextEdit(documents.range(edit.span), edit.text) for edit in edits]
