"""`tapeline/body`: choosing the body for whom values are told.

    {"card": "nell.toml", "house": "quay_row.toml", "choices": {"length": "62 cm"}, "uri": "file:///.../skirt.style"}

`initializationOptions` may say the same from the start.  Where a `uri` is given, the answer tells what the names of that text come to,
and what is wrong with the body for it.
"""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from pygls.exceptions import JsonRpcInvalidParams

from ..source.diagnostics import Diagnostic, as_data, render
from .documents import Documents, NotServed
from .protocol import DeskServer
from .worker import LATER, Stale, Worker

BODY = "tapeline/body"


def add_bodies(server: DeskServer, documents: Documents, worker: Worker) -> None:
    chosen = server.body
    running: set[asyncio.Task[None]] = set()

    def work_out(uri: str) -> None:
        task = asyncio.ensure_future(worked_out_at_rest(uri))
        running.add(task)
        task.add_done_callback(running.discard)

    async def worked_out_at_rest(uri: str) -> None:
        """Have the values at hand when the author points at a name, and let the client ask anew for those that it shows."""
        if not chosen.given.get("card"):
            return
        with suppress(Stale, NotServed):
            await documents.at_rest(uri)
            if documents.document(uri).is_rules:
                await worker.run(("values", uri), chosen.values, uri, of=uri, urgency=LATER)
                refresh(server)

    documents.listeners.append(work_out)

    @server.feature(BODY)
    async def body(params: Any) -> dict[str, object]:
        """Choose a body; with a `uri`, what is wrong with it for that text."""
        if not isinstance(params, Mapping):
            raise JsonRpcInvalidParams("A body is chosen by card, house and choices.")
        try:
            chosen.choose(params)
        except ValueError as problem:
            raise JsonRpcInvalidParams(str(problem)) from None
        for document in documents.opened:
            work_out(document.uri)
        uri = params.get("uri")
        if not isinstance(uri, str):
            return {"values": {}, "diagnostics": []}

        def worked_out() -> tuple[dict[str, str], list[Diagnostic]]:
            return chosen.values(uri), chosen.wrong

        values, wrong = await worker.run((BODY, uri), worked_out, of=uri)
        return {"values": values, "diagnostics": [{**as_data(one), "text": render(one)} for one in wrong]}


def refresh(server: DeskServer) -> None:
    """Let the client ask anew for what it shows of values."""
    workspace = server.client_capabilities.workspace
    if workspace is not None and workspace.inlay_hint is not None and workspace.inlay_hint.refresh_support:
        server.workspace_inlay_hint_refresh(None)
