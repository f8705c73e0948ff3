"""Names: where one leads, everywhere it stands, and what changes when it is called otherwise."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path, PurePath

from lsprotocol import types
from pygls.exceptions import JsonRpcException

from ..editing.definitions import definition_at, highlights, read_text, references, users
from ..editing.renaming import Renaming, can_be_renamed, renamed
from ..session import Reading
from ..source.diagnostics import Diagnostic
from ..source.text import Span
from .documents import Documents
from .protocol import DeskServer
from .worker import Worker


def add_names(server: DeskServer, documents: Documents, worker: Worker) -> None:
    _add_finding(server, documents, worker)
    _add_renaming(server, documents, worker)


def _add_finding(server: DeskServer, documents: Documents, worker: Worker) -> None:
    @server.feature(types.TEXT_DOCUMENT_DEFINITION)
    async def definition(params: types.DefinitionParams) -> types.Location | None:
        uri = params.text_document.uri
        offset = documents.offset(uri, params.position)

        def found() -> tuple[Span, Span, str] | None:
            source = documents.source(uri)
            for reading in _readings(documents, uri):  # a name in a library's recipe is known to what uses it
                spans = definition_at(reading, source, offset)
                if spans is not None:
                    target = uri if spans[1].source == source else documents.uri_of(reading, spans[1].source)
                    return None if target is None else (*spans, target)
            return None

        answer = await worker.run(("definition", uri), found, of=uri)
        if answer is None:
            return None
        _, place, target = answer
        return types.Location(target, documents.range(place))

    @server.feature(types.TEXT_DOCUMENT_REFERENCES)
    async def all_references(params: types.ReferenceParams) -> list[types.Location]:
        uri = params.text_document.uri
        offset = documents.offset(uri, params.position)

        def found() -> list[types.Location]:
            source, readings = documents.source(uri), list(_readings(documents, uri))
            at = {}
            for span in references(readings, source, offset):
                targets = (uri if span.source == source else documents.uri_of(reading, span.source) for reading in readings)
                target = next((target for target in targets if target is not None), None)
                if target is not None:
                    at[target, span.start] = types.Location(target, documents.range(span))
            return [at[key] for key in sorted(at)]

        return await worker.run(("references", uri), found, of=uri)

    @server.feature(types.TEXT_DOCUMENT_DOCUMENT_HIGHLIGHT)
    async def highlight(params: types.DocumentHighlightParams) -> list[types.DocumentHighlight]:
        uri = params.text_document.uri
        offset = documents.offset(uri, params.position)

        def found() -> list[Span]:
            return highlights(documents.reading(uri), documents.source(uri), offset)

        spans = await worker.run(("highlight", uri), found, of=uri)
        return [types.DocumentHighlight(documents.range(span), types.DocumentHighlightKind.Text) for span in spans]


def _add_renaming(server: DeskServer, documents: Documents, worker: Worker) -> None:
    @server.feature(types.TEXT_DOCUMENT_PREPARE_RENAME)
    async def prepare(params: types.PrepareRenameParams) -> types.Range:
        uri = params.text_document.uri
        offset, path = documents.offset(uri, params.position), _path(documents, uri)
        found = await worker.run(("prepare", uri), lambda: can_be_renamed(documents.world, path, offset), of=uri)
        if isinstance(found, Diagnostic):
            raise _refusal(found)
        return documents.range(found)

    @server.feature(types.TEXT_DOCUMENT_RENAME, types.RenameOptions(prepare_provider=True))
    async def rename(params: types.RenameParams) -> types.WorkspaceEdit:
        uri = params.text_document.uri
        offset, path = documents.offset(uri, params.position), _path(documents, uri)
        found = await worker.run(("rename", uri), lambda: renamed(documents.world, path, offset, params.new_name), of=uri)
        if found.refused:
            raise _refusal(found.notes[0])
        for note in found.notes:
            server.window_show_message(types.ShowMessageParams(types.MessageType.Warning, f"{note.title}. {note.suggestion}"))
        return types.WorkspaceEdit(_edits(documents, found))


def _readings(documents: Documents, uri: str) -> Iterator[Reading]:
    """That of a text, then those of the texts of its folder that use it."""
    yield documents.reading(uri)
    path = documents.path(uri)
    for other in users(documents.world, path) if path is not None else ():
        reading = read_text(documents.world, other)
        if reading is not None:
            yield reading


def _path(documents: Documents, uri: str) -> PurePath:
    path = documents.path(uri)
    if path is None:
        raise JsonRpcException("Save the text first: names are changed in its whole folder.", types.LSPErrorCodes.RequestFailed)
    return path


def _refusal(diagnostic: Diagnostic) -> JsonRpcException:
    words = f"{diagnostic.title}: {diagnostic.found}. {diagnostic.suggestion}  [{diagnostic.code}]"
    return JsonRpcException(words, types.LSPErrorCodes.RequestFailed)


def _edits(documents: Documents, renaming: Renaming) -> Mapping[str, list[types.TextEdit]]:
    return {
        documents.uri(Path(path)): [types.TextEdit(documents.range(edit.span), edit.text) for edit in edits]
        for path, edits in renaming.edits.items()
    }
