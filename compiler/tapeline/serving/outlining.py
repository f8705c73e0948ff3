"""The outline of a text, what of it can be folded, how a selection grows, and the colours of its words."""

from __future__ import annotations

from lsprotocol import types

from ..editing.colouring import KINDS, TRAITS, Coloured, coloured
from ..editing.outlining import Entry, folds, outline, selections
from .documents import Documents
from .protocol import DeskServer
from .worker import Worker

SYMBOLS = {  # the sort of an entry -> the protocol's kind of symbol
    "piece": types.SymbolKind.Class,
    "cut": types.SymbolKind.Operator,
    "sheet": types.SymbolKind.Struct,
    "recipe": types.SymbolKind.Method,
    "rule": types.SymbolKind.Function,
    "check": types.SymbolKind.Function,
    "measure": types.SymbolKind.Constant,
    "measurement": types.SymbolKind.Constant,
    "choice": types.SymbolKind.Field,
    "quantity": types.SymbolKind.Variable,
    "levels": types.SymbolKind.Array,
    "level": types.SymbolKind.Enum,
    "edge": types.SymbolKind.Property,
    "point": types.SymbolKind.EnumMember,
    "dart": types.SymbolKind.Event,
}
LEGEND = types.SemanticTokensLegend(list(KINDS), list(TRAITS))


def add_outlining(server: DeskServer, documents: Documents, worker: Worker) -> None:
    @server.feature(types.TEXT_DOCUMENT_DOCUMENT_SYMBOL)
    async def symbols(params: types.DocumentSymbolParams) -> list[types.DocumentSymbol]:
        uri = params.text_document.uri
        entries = await worker.run(("outline", uri), lambda: outline(documents.source(uri)), of=uri)
        return [_symbol(documents, entry) for entry in entries]

    @server.feature(types.TEXT_DOCUMENT_FOLDING_RANGE)
    async def folding(params: types.FoldingRangeParams) -> list[types.FoldingRange]:
        uri = params.text_document.uri
        found = await worker.run(("folding", uri), lambda: folds(documents.source(uri)), of=uri)
        comment, region = types.FoldingRangeKind.Comment, None
        return [types.FoldingRange(fold.first - 1, fold.last - 1, kind=comment if fold.comment else region) for fold in found]

    @server.feature(types.TEXT_DOCUMENT_SELECTION_RANGE)
    async def selecting(params: types.SelectionRangeParams) -> list[types.SelectionRange]:
        uri = params.text_document.uri
        offsets = [documents.offset(uri, position) for position in params.positions]

        def found() -> list[types.SelectionRange]:
            return [_selection(documents, uri, offset) for offset in offsets]

        return await worker.run(("selecting", uri), found, of=uri)

    @server.feature(types.TEXT_DOCUMENT_SEMANTIC_TOKENS_FULL, LEGEND)
    async def colours(params: types.SemanticTokensParams) -> types.SemanticTokens:
        uri = params.text_document.uri
        found = await worker.run(("colours", uri), lambda: coloured(documents.reading(uri), documents.source(uri)), of=uri)
        return types.SemanticTokens(_encoded(documents, found))


def _symbol(documents: Documents, entry: Entry) -> types.DocumentSymbol:
    return types.DocumentSymbol(
        name=entry.name,
        kind=SYMBOLS.get(entry.sort, types.SymbolKind.Key),
        range=documents.range(entry.span),
        selection_range=documents.range(entry.name_span),
        detail=entry.detail or None,
        children=[_symbol(documents, inner) for inner in entry.inside],
    )


def _selection(documents: Documents, uri: str, offset: int) -> types.SelectionRange:
    selection: types.SelectionRange | None = None
    for span in reversed(selections(documents.source(uri), offset)):
        selection = types.SelectionRange(documents.range(span), selection)
    assert selection is not None  # the whole text holds every place
    return selection


def _encoded(documents: Documents, words: list[Coloured]) -> list[int]:
    """Five figures a word, each place told from the one before, as the protocol has it."""
    data: list[int] = []
    line = character = 0
    for word in words:
        place = documents.range(word.span)
        start, end = place.start, place.end
        traits = sum(1 << TRAITS.index(trait) for trait in word.traits)
        ahead = start.character - character if start.line == line else start.character
        data += [start.line - line, ahead, end.character - start.character, KINDS.index(word.kind), traits]
        line, character = start.line, start.character
    return data
