"""Completion, and what the call in whose brackets the author writes takes."""

from __future__ import annotations

from lsprotocol import types

from ..editing.completing import CallHint, Suggestion, call_at, suggestions_at
from ..source.text import Span
from .documents import Documents
from .protocol import DeskServer
from .worker import AT_ONCE, Worker

_KINDS = {
    "keyword": types.CompletionItemKind.Keyword,
    "unit": types.CompletionItemKind.Unit,
    "function": types.CompletionItemKind.Function,
    "rule": types.CompletionItemKind.Function,
    "recipe": types.CompletionItemKind.Class,
    "check": types.CompletionItemKind.Event,
    "library": types.CompletionItemKind.Module,
    "style": types.CompletionItemKind.File,
    "measure": types.CompletionItemKind.Constant,
    "measurement": types.CompletionItemKind.Constant,
    "choice": types.CompletionItemKind.Property,
    "quantity": types.CompletionItemKind.Variable,
    "parameter": types.CompletionItemKind.TypeParameter,
    "piece": types.CompletionItemKind.Class,
    "sheet": types.CompletionItemKind.Class,
    "level": types.CompletionItemKind.EnumMember,
    "point": types.CompletionItemKind.Field,
    "edge": types.CompletionItemKind.Field,
    "dart": types.CompletionItemKind.Field,
}
TRIGGERS = [".", " ", "("]


def add_completing(server: DeskServer, documents: Documents, worker: Worker) -> None:
    @server.feature(types.TEXT_DOCUMENT_COMPLETION, types.CompletionOptions(trigger_characters=TRIGGERS))
    async def complete(params: types.CompletionParams) -> types.CompletionList:
        uri = params.text_document.uri
        offset = documents.offset(uri, params.position)
        snippets = _takes_snippets(server)

        def items() -> list[types.CompletionItem]:
            values = server.body.known_values(uri)
            source = documents.source(uri)
            found = suggestions_at(documents.reading(uri), source, offset, values)
            return [_item(one, Span(source, one.start, offset), number, documents, snippets) for number, one in enumerate(found)]

        return types.CompletionList(False, await worker.run(("complete", uri), items, of=uri, urgency=AT_ONCE))

    @server.feature(
        types.TEXT_DOCUMENT_SIGNATURE_HELP, types.SignatureHelpOptions(trigger_characters=["(", ","], retrigger_characters=[","])
    )
    async def call(params: types.SignatureHelpParams) -> types.SignatureHelp | None:
        uri = params.text_document.uri
        offset = documents.offset(uri, params.position)

        def around() -> CallHint | None:
            return call_at(documents.reading(uri), documents.source(uri), offset)

        found = await worker.run(("call", uri), around, of=uri, urgency=AT_ONCE)
        if found is None:
            return None
        parameters = [types.ParameterInformation(name, told) for name, told in found.parameters]
        hint = types.SignatureInformation(found.label, _markdown(found.told), parameters, found.number)
        return types.SignatureHelp([hint], 0, found.number)


def _item(one: Suggestion, written: Span, number: int, documents: Documents, snippets: bool) -> types.CompletionItem:
    filled = snippets and bool(one.snippet)
    return types.CompletionItem(
        label=one.label,
        kind=_KINDS.get(one.sort, types.CompletionItemKind.Text),
        detail=one.detail or None,
        documentation=_markdown(one.told) if one.told else None,
        sort_text=f"{one.rank}{number:04d}",
        filter_text=one.label,
        insert_text_format=types.InsertTextFormat.Snippet if filled else types.InsertTextFormat.PlainText,
        text_edit=types.TextEdit(documents.range(written), one.snippet if filled else one.text),
    )


def _markdown(text: str) -> types.MarkupContent:
    return types.MarkupContent(types.MarkupKind.Markdown, text)


def _takes_snippets(server: DeskServer) -> bool:
    texts = server.client_capabilities.text_document
    item = None if texts is None or texts.completion is None else texts.completion.completion_item
    return bool(item is not None and item.snippet_support)
