"""The server as a whole: over standard input and output, over a WebSocket, whatever is sent to it."""

import asyncio

from clients import in_process, over_stdio
from lsprotocol import types

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


def test_it_is_the_same_in_process(tmp_path):
    uri = (tmp_path / "plain.style").as_uri()

    async def session():
        async with in_process() as client:
            await client.begin()
            client.open(uri, SKIRT)
            assert await client.diagnostics(uri, 1) == []

    asyncio.run(session())
