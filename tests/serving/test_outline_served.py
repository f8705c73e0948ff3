"""Outline, folds, selections and colours through the protocol, with places in UTF-16."""

import asyncio

from lsprotocol import types
from speaking import in_process

STYLE = """language 1
style band "Band"
-- 𝓉𝓌ℴ lines
-- of comment
measure waist
𝒹𝑒𝑒𝓅 = waist / 2 + 7 3/8 in -- 𝒹
piece band "Band"
    cut 1
    point A start
    point B A across 𝒹𝑒𝑒𝓅
"""


def decoded(data, legend):
    """(line, character, length, kind, traits) of each word."""
    line = character = 0
    for at in range(0, len(data), 5):
        down, on, length, kind, traits = data[at : at + 5]
        line, character = (line + down, on) if down else (line, character + on)
        yield (
            line,
            character,
            length,
            legend.token_types[kind],
            {trait for bit, trait in enumerate(legend.token_modifiers) if traits >> bit & 1},
        )


def units(text, start, length):
    """Characters of a line by UTF-16 code units."""
    data = text.encode("utf-16-le")
    return data[2 * start : 2 * (start + length)].decode("utf-16-le")


def test_outline_folds_selections_and_colours(tmp_path):
    uri = (tmp_path / "band.style").as_uri()
    document = types.TextDocumentIdentifier(uri)
    lines = STYLE.splitlines()

    async def session():
        async with in_process() as client:
            told = await client.begin()
            legend = told.capabilities.semantic_tokens_provider.legend
            client.open(uri, STYLE)
            symbols = await client.text_document_document_symbol_async(types.DocumentSymbolParams(document))
            assert [symbol.name for symbol in symbols] == ["waist", "𝒹𝑒𝑒𝓅", "band"]
            assert symbols[1].selection_range == types.Range(types.Position(5, 0), types.Position(5, 8))
            assert [symbol.name for symbol in symbols[2].children] == ["cut 1", "A", "B"]
            assert symbols[2].range.end == types.Position(9, len("    point B A across ") + 8)

            folds = await client.text_document_folding_range_async(types.FoldingRangeParams(document))
            assert [(fold.start_line, fold.end_line, fold.kind) for fold in folds] == [
                (2, 3, types.FoldingRangeKind.Comment),
                (6, 9, None),
            ]

            place = types.Position(9, len("    point B A across ") + 3)  # in the middle of its second letter
            (selection,) = await client.text_document_selection_range_async(types.SelectionRangeParams(document, [place]))
            assert selection.range.start.character == len("    point B A across ")
            widths = []
            while selection is not None:
                widths.append((selection.range.start.line, selection.range.end.line))
                selection = selection.parent
            assert widths[0] == (9, 9) and widths[-1] == (0, 10) and len(widths) > 3

            colours = await client.text_document_semantic_tokens_full_async(types.SemanticTokensParams(document))
            words = [(units(lines[line], at, length), kind, traits) for line, at, length, kind, traits in decoded(colours.data, legend)]
            assert ("𝒹𝑒𝑒𝓅", "variable", {"declaration"}) in words and ("𝒹𝑒𝑒𝓅", "variable", set()) in words
            assert ("7 3/8", "number", set()) in words and ("in", "type", set()) in words and ("-- 𝒹", "comment", set()) in words
            assert ("waist", "variable", {"readonly"}) in words and ("band", "class", {"declaration"}) in words
            assert ("piece", "keyword", set()) in words and ('"Band"', "string", set()) in words

    asyncio.run(session())
