"""Code actions: ways out that can be followed at once."""

from __future__ import annotations

from lsprotocol import types

from ..editing.diagnosing import told_of
from ..editing.mending import Mend, mends_of
from .diagnosing import as_protocol
from .documents import Documents
from .protocol import DeskServer
from .worker import Worker


def add_mending(server: DeskServer, documents: Documents, worker: Worker) -> None:
    @server.feature(types.TEXT_DOCUMENT_CODE_ACTION, types.CodeActionOptions(code_action_kinds=[types.CodeActionKind.QuickFix]))
    async def actions(params: types.CodeActionParams) -> list[types.CodeAction]:
        uri = params.text_document.uri
        only = params.context.only
        if only and not any(types.CodeActionKind.QuickFix.value.startswith(kind) for kind in only):
            return []
        start, end = documents.offset(uri, params.range.start), documents.offset(uri, params.range.end)

        def found() -> list[types.CodeAction]:
            reading, source = documents.reading(uri), documents.source(uri)
            made: list[types.CodeAction] = []
            for remark in told_of(reading).get(source, ()):
                if remark.elsewhere or remark.span.end < start or end < remark.span.start:
                    continue
                mends = [mend for mend in mends_of(remark.diagnostic) if all(one.span.source == source for one in mend.changes)]
                told = as_protocol(remark, reading, documents)
                made += [_action(mend, told, uri, documents, len(mends) == 1) for mend in mends]
            return made

        return await worker.run(("actions", uri), found, of=uri)


def _action(mend: Mend, told: types.Diagnostic, uri: str, documents: Documents, only: bool) -> types.CodeAction:
    edits = [types.TextEdit(documents.range(change.span), change.text) for change in mend.changes]
    return types.CodeAction(
        mend.title, types.CodeActionKind.QuickFix, [told], is_preferred=only or None, edit=types.WorkspaceEdit({uri: edits})
    )
