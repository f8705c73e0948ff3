"""The language server protocol as this server speaks it: pygls's, but for how messages are taken and faults are answered.

Every message is taken in one place, whatever it came over.  One that is no message, or asks for what is not there, is answered as the
protocol says, and nothing that a client sends ends the server.  A fault of ours is answered in a sentence, without a traceback, which
goes to the log.  Texts are kept by `Documents`, which counts lines as the language does, and not by pygls.  What the methods of our
own (`tapeline/...`) are given stays as JSON has it.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Generator
from concurrent.futures import Future
from typing import Any

from lsprotocol import types
from pygls.exceptions import JsonRpcException, JsonRpcInvalidParams
from pygls.lsp.server import LanguageServer
from pygls.protocol import LanguageServerProtocol
from pygls.protocol.json_rpc import JsonRPCNotification, JsonRPCRequestMessage
from pygls.protocol.language_server import lsp_method

from .chosen import BodyOfConnection
from .documents import NotServed
from .worker import Stale

log = logging.getLogger(__name__)

OWN = "tapeline/"  # how the names of our own methods begin
MOST_CHARACTERS = 16_000_000  # of a message


class DeskProtocol(LanguageServerProtocol):
    """The messages of one connection.  `ended` is set by the client's `exit`."""

    _server: DeskServer

    def take(self, text: str | bytes) -> None:
        """Do what a message says, or answer why that cannot be."""
        try:
            data = json.loads(text)
        except (ValueError, RecursionError):
            self._refuse(None, types.ErrorCodes.ParseError, "This is no message: it is not written as JSON.")
            return
        if not isinstance(data, dict) or data.get("jsonrpc") != self.VERSION:
            self._refuse(None, types.ErrorCodes.InvalidRequest, "This is no message of JSON-RPC 2.0.")
            return
        number, method = data.get("id"), data.get("method")
        if number is not None and not isinstance(number, (int, str)):
            self._refuse(None, types.ErrorCodes.InvalidRequest, "The id of a message is a number or a word.")
            return
        if number is not None and method is not None and not self._begun and method != types.INITIALIZE:
            self._refuse(number, types.ErrorCodes.ServerNotInitialized, "Nothing can be asked before initialize.")
            return
        if method is not None and not self._knows(method):
            if number is not None:
                self._refuse(number, types.ErrorCodes.MethodNotFound, f"Nothing here is called {method}.")
            return
        try:
            message = self.structure_message(data)
        except Exception:
            log.warning("a message that cannot be read: %s", method)
            if number is not None and method is not None:
                self._refuse(number, types.ErrorCodes.InvalidParams, f"What {method} was given does not fit it.")
            return
        self.handle_message(message)

    @property
    def _begun(self) -> bool:
        return hasattr(self, "client_capabilities")

    def _knows(self, method: object) -> bool:
        return method == types.CANCEL_REQUEST or method in self.fm.builtin_features or method in self.fm.features

    def _refuse(self, number: int | str | None, code: int, sentence: str) -> None:
        self._send_data({"jsonrpc": self.VERSION, "id": number, "error": {"code": int(code), "message": sentence}})

    def structure_message(self, data: dict[str, Any]) -> Any:
        """What JSON says as a record; what methods of our own are given stays as it is."""
        method = data.get("method")
        if isinstance(method, str) and method.startswith(OWN):
            params = data.get("params")
            if "id" in data:
                return JsonRPCRequestMessage(data["id"], method, self.VERSION, params)
            return JsonRPCNotification(method, self.VERSION, params)
        return super().structure_message(data)

    # ------------------------------------------------------------ answers

    def _send_handler_result(self, future: Future[Any], *, msg_id: int | str) -> None:
        self._request_futures.pop(msg_id, None)
        if future.cancelled():
            self._refuse(msg_id, types.LSPErrorCodes.RequestCancelled, "This was asked no more.")
            return
        problem = future.exception()
        if problem is None:
            try:
                self._send_response(msg_id, result=future.result())
                return
            except Exception as raised:
                problem = raised
        self._refuse(msg_id, *told(problem))

    def _check_handler_result(self, future: Future[Any]) -> None:
        if not future.cancelled() and (problem := future.exception()) is not None and not isinstance(problem, Stale):
            _, sentence = told(problem)
            self._server.window_show_message(types.ShowMessageParams(types.MessageType.Error, sentence))

    # ------------------------------------------------------------ texts, which are not pygls's to keep

    @lsp_method(types.TEXT_DOCUMENT_DID_OPEN)
    def lsp_text_document__did_open(self, params: types.DidOpenTextDocumentParams) -> Generator[Any, Any, None]:
        yield from self._pass_on(types.TEXT_DOCUMENT_DID_OPEN, params)

    @lsp_method(types.TEXT_DOCUMENT_DID_CHANGE)
    def lsp_text_document__did_change(self, params: types.DidChangeTextDocumentParams) -> Generator[Any, Any, None]:
        yield from self._pass_on(types.TEXT_DOCUMENT_DID_CHANGE, params)

    @lsp_method(types.TEXT_DOCUMENT_DID_CLOSE)
    def lsp_text_document__did_close(self, params: types.DidCloseTextDocumentParams) -> Generator[Any, Any, None]:
        yield from self._pass_on(types.TEXT_DOCUMENT_DID_CLOSE, params)

    def _pass_on(self, method: str, params: object) -> Generator[Any, Any, None]:
        if (handler := self.fm.features.get(method)) is not None:
            yield handler, (params,), None

    @lsp_method(types.EXIT)
    def lsp_exit(self, *args: object) -> Generator[Any, Any, None]:
        """The connection ends; with it the program, where it has no other."""
        self._server.end()
        yield from self._pass_on(types.EXIT, *args)


class DeskServer(LanguageServer):
    """One connection's server.  `ended` tells that the client said `exit`, `orderly` that it said `shutdown` before;
    `body` is the one for whom values are told."""

    protocol: DeskProtocol

    def __init__(self, name: str, version: str, body: BodyOfConnection):
        super().__init__(name, version, protocol_cls=DeskProtocol)
        self.body = body
        self.ended = False

    @property
    def orderly(self) -> bool:
        return self.protocol._shutdown

    def end(self) -> None:
        self.ended = True

    def report_server_error(self, error: Exception, source: Any) -> None:
        log.error("%s", error)


def told(problem: BaseException) -> tuple[int, str]:
    """(the protocol's code, a sentence) for what a request ended in; a fault of ours goes to the log."""
    if isinstance(problem, Stale):
        return types.LSPErrorCodes.ContentModified, "The text has changed since this was asked."
    if isinstance(problem, NotServed):
        return types.ErrorCodes.InvalidParams, str(problem)
    if isinstance(problem, (JsonRpcInvalidParams, JsonRpcException)):
        return problem.code, str(problem.message)
    log.error("a fault of the program itself", exc_info=problem)
    said = " ".join(str(problem).split())[:200]
    return (
        types.ErrorCodes.InternalError,
        f"A fault of the program itself ({type(problem).__name__}{': ' + said if said else ''}); please report it with the text.",
    )
