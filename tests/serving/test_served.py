"""The server as a whole: over standard input and output, over a WebSocket, whatever is sent to it."""

import asyncio
import json
from threading import Event

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lsprotocol import types
from pygls.exceptions import JsonRpcException
from speaking import PATIENCE, Client, in_process, over_stdio
from websockets.asyncio.client import connect
from websockets.exceptions import InvalidStatus

from tapeline.serving.documents import Documents, NotServed
from tapeline.serving.language import language_server
from tapeline.serving.over import over_port, turned_away
from tapeline.serving.places import Positions
from tapeline.serving.worker import Worker
from tapeline.source.text import Source
from tapeline.source.world import standard_folder

SKIRT = """language 1
style plain "A plain skirt"

measure waist, hip, waist_to_hip
quarter = hip / 4 + 1 cm

levels
    waist
    hip  waist_to_hip below waist
    hem  60 cm below waist

piece front "Front"
    cut 2
    widths from centre, before darts
        waist  waist / 4
        hip    quarter
        hem    quarter
    side smooth waist to hip, straight hip to hem
"""


def test_an_editor_opens_types_and_leaves_over_standard_input_and_output(tmp_path):
    uri = (tmp_path / "plain.style").as_uri()

    async def session():
        async with over_stdio() as client:
            told = await client.begin()
            assert told.server_info.name == "tapeline"
            assert told.capabilities.hover_provider
            client.open(uri, SKIRT)
            assert await client.diagnostics(uri, 1) == []
            client.change(uri, 2, ((4, 10), (4, 13), "hipp"))
            (mistake,) = await client.diagnostics(uri, 2)
            assert mistake.code == "N201" and mistake.range == types.Range(types.Position(4, 10), types.Position(4, 14))
            client.change(uri, 3, ((4, 10), (4, 14), "hip"))
            assert await client.diagnostics(uri, 3) == []
            found = await client.text_document_hover_async(types.HoverParams(types.TextDocumentIdentifier(uri), types.Position(15, 18)))
            assert "quarter" in found.contents.value
            await client.leave()
            await client._server.wait()
            assert client._server.returncode == 0

    asyncio.run(session())


def words_at(text, words, more=0):
    """The position of words, in UTF-16 as the client counts."""
    before = text[: text.index(words) + more]
    return types.Position(before.count("\n"), len(before.rpartition("\n")[2].encode("utf-16-le")) // 2)


def here(uri):
    return types.TextDocumentIdentifier(uri)


def serve(session, documents=None):
    """Run a session with a client in this process."""

    async def run():
        async with in_process(documents) as client:
            return await session(client)

    return asyncio.run(run())


def test_over_a_websocket(tmp_path):
    uri = (tmp_path / "plain.style").as_uri()

    def serve_one():
        worker = Worker()
        return language_server(Documents(), worker), worker.close

    async def session():
        told = asyncio.get_running_loop().create_future()
        serving = asyncio.ensure_future(over_port(serve_one, 0, told.set_result))
        address = await told
        host, _, rest = address.removeprefix("ws://").partition(":")
        assert host == "127.0.0.1" and "token=" in rest
        try:
            client = Client()
            await client.start_ws(host, rest)
            await client.begin()
            client.open(uri, SKIRT.replace("hip / 4", "hipp / 4"))
            assert [one.code for one in await client.diagnostics(uri, 1)] == ["N201"]
            client.change(uri, 2, SKIRT)
            assert await client.diagnostics(uri, 2) == []
            await client.leave()
            await client.stop()
            for wrong in (address.replace("token=", "token=x"), address.partition("?")[0], address.replace("/language", "/")):
                with pytest.raises(InvalidStatus):
                    await connect(wrong)
            with pytest.raises(InvalidStatus):
                await connect(address, origin="http://quay.example")
        finally:
            serving.cancel()
            await asyncio.wait([serving], timeout=PATIENCE)

    asyncio.run(session())


@pytest.mark.parametrize(
    "path, headers, turned",
    [
        ("/language?token=abc", {"Host": "127.0.0.1:7"}, False),
        ("/language?token=abc", {"host": "localhost:7", "origin": "http://localhost:7"}, False),
        ("/language?token=abd", {"Host": "127.0.0.1:7"}, True),
        ("/language", {"Host": "127.0.0.1:7"}, True),
        ("/language?token=abc", {"Host": "quay.example:7"}, True),
        ("/language?token=abc", {"Host": "127.0.0.1:8"}, True),
        ("/language?token=abc", {}, True),
        ("/language?token=abc", {"Host": "127.0.0.1:7", "Origin": "null"}, True),
        ("/language?token=abc", {"Host": "127.0.0.1:7", "Origin": "http://127.0.0.1:7.quay.example"}, True),
    ],
)
def test_who_is_turned_away(path, headers, turned):
    assert (turned_away(path, headers, "abc", 7) is not None) == turned


def test_places_are_counted_in_utf_16(tmp_path):
    """A name behind signs of two units and behind marks that combine; a change in the middle of such a line."""
    text = SKIRT.replace("quarter = hip / 4 + 1 cm", "qu\u00e4rter = hip / 4 + 1 cm -- 𝒜𝒷 e\u0301 qu\u00e4rter").replace(
        "    quarter", "    qu\u00e4rter"
    )
    text = text.replace("hip    quarter", "hip    qu\u00e4rter").replace("hem    quarter", "hem    qu\u00e4rter")
    title = text.replace('"A plain skirt"', '"𝒜 plain 👗 skirt e\u0301" version 1').replace("measure waist", "measure wiast")
    uri = (tmp_path / "plain.style").as_uri()

    async def session(client):
        await client.begin()
        client.open(uri, title)
        (first, *_) = await client.diagnostics(uri, 1)
        assert first.range == types.Range(types.Position(3, 8), types.Position(3, 13))
        version = words_at(title, "version", 0)
        client.change(
            uri, 2, ((version.line, version.character), (version.line, version.character + 9), "verson 1"), ((3, 8), (3, 13), "waist")
        )
        (wrong,) = await client.diagnostics(uri, 2)
        assert wrong.range.start == version and wrong.range.end.character == version.character + len("verson")
        client.change(uri, 3, ((version.line, version.character), (version.line, version.character + 8), ""))
        assert await client.diagnostics(uri, 3) == []
        found = await client.text_document_hover_async(types.HoverParams(here(uri), words_at(title, "hip / 4", 1)))
        assert "hip" in found.contents.value and found.range.start == words_at(title, "hip / 4")

    serve(session)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "utf-32"])
def test_a_client_may_count_otherwise(encoding):
    source = Source("any", "aé\u0301𝒜 b\n👗👗\n\nlast")
    positions = Positions(encoding)
    for offset in range(len(source.text) + 1):
        position = positions.position(source, offset)
        assert positions.offset(source, position) == offset
    assert positions.offset(source, types.Position(0, 99)) == 6
    assert positions.offset(source, types.Position(9, 0)) == len(source.text)
    if encoding == "utf-16":
        assert positions.position(source, 5) == types.Position(0, 6)
        assert positions.offset(source, types.Position(1, 1)) == source.text.index("👗") + 1  # in the middle of a character


@given(st.data())
def test_changes_of_a_text_are_those_of_the_client(data):
    """Random incremental changes, each told in UTF-16, give the text that the client has."""
    letters = st.text(st.sampled_from("ab é\u0301𝒜👗\n\r"), max_size=8)
    documents, text = Documents(), data.draw(letters).replace("\r", "")
    uri = "untitled:one"
    documents.open(uri, text, 0)
    for version in range(1, 5):
        one, other = sorted(data.draw(st.integers(0, len(text))) for _ in range(2))
        new = data.draw(letters)
        places = [Positions().position(Source("any", text), at) for at in (one, other)]
        documents.change(uri, [types.TextDocumentContentChangePartial(types.Range(*places), new)], version)
        text = text[:one] + new.replace("\r\n", "\n").replace("\r", "\n") + text[other:]
        assert documents.text(uri) == text


LIBRARY = """language 1
library cuffs "Cuffs"

depth = 6 cm
"""
CUFF = """language 1
style cuff "Cuff"

use cuffs
measure waist
double = 2 * depth
"""


def test_a_library_edited_and_not_saved_moves_the_diagnostics_of_the_style(tmp_path):
    (tmp_path / "cuffs.style").write_text(LIBRARY)
    (tmp_path / "cuff.style").write_text(CUFF)
    style, library = ((tmp_path / name).as_uri() for name in ("cuff.style", "cuffs.style"))

    async def session(client):
        await client.begin()
        client.open(style, CUFF)
        assert await client.diagnostics(style, 1) == []
        client.open(library, LIBRARY)
        assert await client.diagnostics(library, 1) == []
        client.change(library, 2, LIBRARY.replace("depth =", "deepness ="))
        (mistake,) = (await client.until(style, lambda told: told.diagnostics)).diagnostics
        assert mistake.code == "N201" and mistake.range.start == words_at(CUFF, "depth")
        client.change(library, 3, LIBRARY.replace("6 cm", "6 cn"))
        (own,) = [one for one in await client.diagnostics(library, 3) if one.code == "S106"]
        told = await client.until(style, lambda told: any(one.code == "S106" for one in told.diagnostics))
        (at_use,) = [one for one in told.diagnostics if one.code == "S106"]
        assert at_use.range == types.Range(words_at(CUFF, "cuffs"), words_at(CUFF, "cuffs", 5))
        assert at_use.related_information[0].location == types.Location(library, own.range)
        client.text_document_did_close(types.DidCloseTextDocumentParams(here(library)))
        await client.until(style, lambda told: not told.diagnostics)
        assert (tmp_path / "cuffs.style").read_text() == LIBRARY

    serve(session)


def test_what_is_asked_of_a_text_that_is_no_more_is_dropped(tmp_path):
    """The worker is held up: meanwhile hovers are asked and the text changes; then the same is asked anew again and again."""
    uri = (tmp_path / "plain.style").as_uri()
    held, begun = Event(), []

    async def session(client):
        await client.begin()
        client.open(uri, SKIRT)
        await client.diagnostics(uri, 1)
        holding = asyncio.ensure_future(client.worker.run("held", held.wait))
        await asyncio.sleep(0)
        counted = client.worker.run

        async def counting(key, function, *args, **options):
            def begins(*given):
                begun.append(key)
                return function(*given)

            return await counted(key, begins, *args, **options)

        client.worker.run = counting
        asked = [
            asyncio.ensure_future(client.text_document_hover_async(types.HoverParams(here(uri), words_at(SKIRT, "quarter", 1))))
            for _ in range(3)
        ]
        await asyncio.sleep(0.05)
        client.change(uri, 2, SKIRT.replace("quarter", "fourth"))
        last = asyncio.ensure_future(client.text_document_hover_async(types.HoverParams(here(uri), words_at(SKIRT, "quarter", 1))))
        dropped = await asyncio.gather(*asked, return_exceptions=True)
        assert [one.code for one in dropped] == [types.LSPErrorCodes.ContentModified] * 3
        held.set()
        await holding
        assert "fourth" in (await last).contents.value
        assert begun.count(("hover", uri)) == 1
        await client.diagnostics(uri, 2)

    serve(session)


def test_what_the_client_takes_back_is_not_begun(tmp_path):
    uri = (tmp_path / "plain.style").as_uri()
    held = Event()

    async def session(client):
        await client.begin()
        client.open(uri, SKIRT)
        await client.diagnostics(uri, 1)
        holding = asyncio.ensure_future(client.worker.run("held", held.wait))
        asked = client.protocol.send_request_async(
            types.TEXT_DOCUMENT_HOVER, types.HoverParams(here(uri), words_at(SKIRT, "quarter", 1)), msg_id="back"
        )
        await asyncio.sleep(0.05)
        client.protocol.notify(types.CANCEL_REQUEST, types.CancelParams("back"))
        with pytest.raises(JsonRpcException) as refused:
            await asked
        assert refused.value.code == types.LSPErrorCodes.RequestCancelled
        held.set()
        await holding

    serve(session)


@pytest.mark.parametrize(
    "message, code",
    [
        ("{", types.ErrorCodes.ParseError),
        ("[" * 100_000, types.ErrorCodes.ParseError),
        ("[1, 2]", types.ErrorCodes.InvalidRequest),
        ('{"id": 1, "method": "initialize"}', types.ErrorCodes.InvalidRequest),
        ('{"jsonrpc": "2.0", "id": {}, "method": "shutdown"}', types.ErrorCodes.InvalidRequest),
        ('{"jsonrpc": "2.0", "id": 1, "method": "no/such"}', types.ErrorCodes.MethodNotFound),
        ('{"jsonrpc": "2.0", "id": 1, "method": "textDocument/hover", "params": {"textDocument": 3}}', types.ErrorCodes.InvalidParams),
        ('{"jsonrpc": "2.0", "id": 1, "method": "tapeline/body", "params": 7}', types.ErrorCodes.InvalidParams),
        (
            '{"jsonrpc": "2.0", "id": 1, "method": "textDocument/hover", "params": {"textDocument": {"uri": "file:///no"}, '
            '"position": {"line": 0, "character": 0}}}',
            types.ErrorCodes.InvalidParams,
        ),
    ],
)
def test_a_broken_message_is_answered_and_the_server_goes_on(message, code):
    async def session(client):
        await client.begin()
        said = []
        put, client.server.protocol.writer.write = client.server.protocol.writer.write, lambda data: said.append(json.loads(data))
        client.server.protocol.take(message)
        for _ in range(20):
            await asyncio.sleep(0)
        client.server.protocol.writer.write = put
        assert [one["error"]["code"] for one in said] == [code.value]
        assert "Traceback" not in json.dumps(said)
        await client.shutdown_async(None)

    serve(session)


def test_a_fault_of_ours_is_answered_in_a_sentence(tmp_path, monkeypatch):
    uri = (tmp_path / "plain.style").as_uri()

    def fails(*_):
        raise ZeroDivisionError("one of\nours")

    monkeypatch.setattr("tapeline.serving.hovering.hover_at", fails)

    async def session(client):
        await client.begin()
        client.open(uri, SKIRT)
        with pytest.raises(JsonRpcException) as told:
            await client.text_document_hover_async(types.HoverParams(here(uri), types.Position(4, 1)))
        assert told.value.message.startswith("A fault of the program itself (ZeroDivisionError: one of ours)")
        assert "Traceback" not in str(told.value.data)
        assert await client.diagnostics(uri, 1) == []

    serve(session)


def test_what_is_not_served_is_refused(tmp_path):
    (tmp_path / "in").mkdir()
    (tmp_path / "out.style").write_text(SKIRT)
    (tmp_path / "in" / "link.style").symlink_to(tmp_path / "out.style")
    documents = Documents(folder=tmp_path / "in")
    for uri in (
        "http://quay.example/a.style",
        "untitled:a",
        (tmp_path / "out.style").as_uri(),
        (tmp_path / "in" / "link.style").as_uri(),
    ):
        with pytest.raises(NotServed):
            documents.path(uri)
    inside = tmp_path / "in" / "a \u00e9 b.style"
    assert documents.path(inside.as_uri()) == inside
    assert documents.uri(inside) == inside.as_uri()
    assert documents.path((standard_folder("stdlib") / "skirt.style").as_uri())


def test_nothing_can_be_asked_before_initialize():
    async def session(client):
        with pytest.raises(JsonRpcException) as told:
            await client.text_document_hover_async(types.HoverParams(here("untitled:a"), types.Position(0, 0)))
        assert told.value.code == types.ErrorCodes.ServerNotInitialized

    serve(session)


def test_completion_hints_calls_and_mends_through_the_protocol(tmp_path):
    uri = (tmp_path / "plain.style").as_uri()
    snippets = types.CompletionClientCapabilities(completion_item=types.ClientCompletionItemOptions(snippet_support=True))
    capabilities = types.ClientCapabilities(text_document=types.TextDocumentClientCapabilities(completion=snippets))
    text = SKIRT + "wide = least of ("
    whole = types.Range(types.Position(0, 0), types.Position(99, 0))

    async def session(client):
        await client.begin(capabilities=capabilities, card="maud", choices={})
        client.open(uri, text)
        end = types.Position(text.count("\n"), len("wide = least of ("))
        offered = await client.text_document_completion_async(types.CompletionParams(here(uri), end))
        labels = {item.label: item for item in offered.items}
        assert {"waist", "quarter", "half"} <= set(labels)
        assert labels["half"].text_edit.new_text == "half of (${1:a})"
        assert labels["waist"].kind == types.CompletionItemKind.Constant and "How it is taken" in labels["waist"].documentation.value
        call = await client.text_document_signature_help_async(types.SignatureHelpParams(here(uri), end))
        assert call.signatures[0].label.startswith("least of (")
        client.change(uri, 2, SKIRT.replace("hip / 4", "hpi / 4"))
        (wrong,) = await client.diagnostics(uri, 2)
        assert wrong.code_description.href.endswith("/pages/N201.md") and wrong.severity == types.DiagnosticSeverity.Error
        actions = await client.text_document_code_action_async(
            types.CodeActionParams(here(uri), wrong.range, types.CodeActionContext([wrong]))
        )
        assert [action.edit.changes[uri][0].new_text for action in actions] == ["hip"] and actions[0].is_preferred
        client.change(uri, 3, SKIRT)
        hints = await client.text_document_inlay_hint_async(types.InlayHintParams(here(uri), whole))
        shown = {(hint.position.line, hint.label) for hint in hints}
        values = (await client.protocol.send_request_async("tapeline/body", {"card": "maud", "uri": uri})).values
        assert (4, f" = {values.quarter}") in shown
        assert await client.diagnostics(uri, 3) == []

    serve(session)
