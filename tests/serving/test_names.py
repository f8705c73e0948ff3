"""Names through the protocol: definition, references, highlights, rename."""

import asyncio

import pytest
from lsprotocol import types
from pygls.exceptions import JsonRpcException
from speaking import in_process

LIBRARY = """language 1
library cuffs "Cuffs"
depth = 6 cm
recipe cuff "Cuff" (
        around length "round the wrist")
    cut 2
    widths from centre, before darts
        top  around / 2
        low  around / 2 + depth
"""
STYLE = """language 1
style cuff "Cuff"
use cuffs
measure waist
levels
    top
    low  5 cm below top
piece band "Band" from cuff(around = waist)
half_of_it = depth / 2 -- 𝒽𝒶𝓁𝒻
𝒹𝑒𝑒𝓅 = half_of_it
allow
    others 1 cm
"""


def place(text, words, more=0):
    """The position of words, in UTF-16 as the client counts."""
    before = text[: text.index(words) + more]
    return types.Position(before.count("\n"), len(before.rpartition("\n")[2].encode("utf-16-le")) // 2)


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "cuffs.style").write_text(LIBRARY, encoding="utf-8")
    (tmp_path / "cuff.style").write_text(STYLE, encoding="utf-8")
    return tmp_path


def ask(folder, question):
    async def session():
        async with in_process() as client:
            await client.begin()
            uris = {name: (folder / f"{name}.style").as_uri() for name in ("cuff", "cuffs")}
            client.open(uris["cuff"], STYLE)
            return await question(client, uris, types.TextDocumentIdentifier(uris["cuff"]))

    return asyncio.run(session())


def test_a_name_leads_into_the_library(folder):
    async def question(client, uris, document):
        for words, more, name, line in (
            ("depth / 2", 0, "cuffs", 2),
            ("from cuff", 6, "cuffs", 3),
            ("around = waist", 2, "cuffs", 4),
            ("use cuffs", 5, "cuffs", 1),
        ):
            found = await client.text_document_definition_async(types.DefinitionParams(document, place(STYLE, words, more)))
            assert (found.uri, found.range.start.line) == (uris[name], line), words
        found = await client.text_document_definition_async(types.DefinitionParams(document, place(STYLE, "measure waist", 9)))
        assert found.uri.endswith("measurements.style")
        nothing = await client.text_document_definition_async(types.DefinitionParams(document, place(STYLE, "language")))
        assert nothing is None

    ask(folder, question)


def test_references_and_highlights(folder):
    async def question(client, uris, document):
        context = types.ReferenceContext(include_declaration=True)
        found = await client.text_document_references_async(types.ReferenceParams(context, document, place(STYLE, "depth / 2")))
        assert [(one.uri, one.range.start.line) for one in found] == [(uris["cuff"], 8), (uris["cuffs"], 2), (uris["cuffs"], 8)]
        here = await client.text_document_document_highlight_async(types.DocumentHighlightParams(document, place(STYLE, "half_of_it")))
        assert [one.range.start.line for one in here] == [8, 9]
        assert here[1].range == types.Range(types.Position(9, 11), types.Position(9, 21))  # each letter before it is two units

    ask(folder, question)


def test_a_name_is_renamed_in_the_style_and_its_library(folder):
    async def question(client, uris, document):
        at = place(STYLE, "depth / 2", 2)
        words = await client.text_document_prepare_rename_async(types.PrepareRenameParams(document, at))
        assert (words.start.line, words.start.character, words.end.character) == (8, 13, 18)
        edit = await client.text_document_rename_async(types.RenameParams(document, at, "height"))
        assert {uri: [one.range.start.line for one in edits] for uri, edits in edit.changes.items()} == {
            uris["cuff"]: [8],
            uris["cuffs"]: [2, 8],
        }
        assert {one.new_text for edits in edit.changes.values() for one in edits} == {"height"}
        for name, code in (("waist", "E131"), ("2 cm", "E131")):
            with pytest.raises(JsonRpcException, match=code):
                await client.text_document_rename_async(types.RenameParams(document, at, name))
        with pytest.raises(JsonRpcException, match="E130"):
            await client.text_document_prepare_rename_async(types.PrepareRenameParams(document, place(STYLE, "measure waist", 9)))

    ask(folder, question)


def test_what_is_typed_and_not_saved_counts(folder):
    async def question(client, uris, document):
        client.open(uris["cuffs"], LIBRARY.replace("depth", "tallness"))
        client.change(uris["cuff"], 2, STYLE.replace("depth", "tallness"))
        text = STYLE.replace("depth", "tallness")
        edit = await client.text_document_rename_async(types.RenameParams(document, place(text, "tallness"), "height"))
        assert set(edit.changes) == {uris["cuff"], uris["cuffs"]}

    ask(folder, question)
