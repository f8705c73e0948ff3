"""Diagnostics: published whenever a text, or one that it uses, has changed.

Each open text tells what it finds in itself and in those it uses; what is published of a file is what all of them tell of it, each
thing once.  The text that was typed in is read first, the others when nothing else is wanted.
"""

from __future__ import annotations

import asyncio
import logging

from lsprotocol import types

from ..editing.diagnosing import Remark, told_of
from ..session import Reading
from ..source.diagnostics import CAUTION, ERROR
from .documents import Documents
from .protocol import DeskServer, told
from .worker import AT_ONCE, LATER, Stale, Worker

_SEVERITIES = {ERROR: types.DiagnosticSeverity.Error, CAUTION: types.DiagnosticSeverity.Warning}

log = logging.getLogger(__name__)


class Publisher:
    """What each open text told of each file, and what was published; when it rests, also what its worked examples come to."""

    def __init__(self, server: DeskServer, documents: Documents, worker: Worker):
        self.server, self.documents, self.worker = server, documents, worker
        self._told: dict[str, dict[str, list[types.Diagnostic]]] = {}  # uri of an open text -> uri of a file -> what it tells of it
        self._running: set[asyncio.Task[None]] = set()

    def changed(self, uri: str) -> None:
        """Read a text again, and those that may use it."""
        opened = [document for document in self.documents.opened if document.is_rules]
        if all(document.uri != uri for document in opened):
            self._publish(uri, {})
        for document in opened:
            urgency = AT_ONCE if document.uri == uri else LATER
            task = asyncio.ensure_future(self._diagnose(document.uri, urgency))
            self._running.add(task)
            task.add_done_callback(self._running.discard)

    async def _diagnose(self, uri: str, urgency: int) -> None:
        documents = self.documents

        def read(examples: bool = False) -> dict[str, list[types.Diagnostic]]:
            reading = documents.reading(uri)
            more = tuple(reading.examples()[1]) if examples else ()
            found: dict[str, list[types.Diagnostic]] = {uri: []}
            for source, every in told_of(reading, more).items():
                where = documents.uri_of(reading, source)
                if where is not None:
                    found.setdefault(where, []).extend(as_protocol(one, reading, documents) for one in every)
            return found

        try:
            self._publish(uri, await self.worker.run(("diagnose", uri), read, of=uri, urgency=urgency))
            await documents.at_rest(uri)
            self._publish(uri, await self.worker.run(("examples", uri), read, True, of=uri, urgency=LATER))
        except Stale:
            pass
        except Exception as problem:
            _, sentence = told(problem)
            self.server.window_show_message(types.ShowMessageParams(types.MessageType.Error, sentence))

    def _publish(self, uri: str, found: dict[str, list[types.Diagnostic]]) -> None:
        """Publish what a text tells now, of every file of which it tells or told something."""
        before = self._told.pop(uri, {})
        if found:
            self._told[uri] = found
        opened = {document.uri: document.version for document in self.documents.opened}
        for where in {**found, **before}:
            every: list[types.Diagnostic] = []
            for owner in self._told.values():
                every += [one for one in owner.get(where, ()) if one not in every]
            self.server.text_document_publish_diagnostics(types.PublishDiagnosticsParams(where, every, opened.get(where)))


def as_protocol(one: Remark, reading: Reading, documents: Documents) -> types.Diagnostic:
    d = one.diagnostic
    related = [] if not one.elsewhere or d.span is None else [(d.span, d.title)]
    places = [(documents.uri_of(reading, span.source), span, label) for span, label in [*related, *d.others]]
    return types.Diagnostic(
        range=documents.range(one.span),
        message=one.words,
        severity=_SEVERITIES.get(d.severity, types.DiagnosticSeverity.Information),
        code=d.code,
        code_description=types.CodeDescription(documents.page(d.code)),
        source="tapeline",
        related_information=[
            types.DiagnosticRelatedInformation(types.Location(uri, documents.range(span)), label or d.title)
            for uri, span, label in places
            if uri is not None
        ],
    )


def add_diagnosing(server: DeskServer, documents: Documents, worker: Worker) -> None:
    publisher = Publisher(server, documents, worker)
    documents.listeners.append(publisher.changed)
