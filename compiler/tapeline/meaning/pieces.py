"""Pieces, foundations and sheets, made when they are first wanted: drawn on the spot, from a recipe, or from another piece.

A piece from another takes over how that is drawn (`drawn`), changed by what stands below it (`changes`); the two parts of
a cut are found together (`parting`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial
from typing import Protocol, TypeAlias

from ..source.text import Span
from ..syntax import tree
from . import changes, parting, starting
from .change import as_written
from .construction import Construction, within
from .contexts import ProgramContext, ScopeContext
from .cut_counts import cut_of
from .drawn import Drawn, drawn_of
from .fitting import Said, on_one_side
from .names import Entity, Names
from .recipes import RecipeText, text_of
from .scopes import Scope

PieceNode: TypeAlias = tree.Piece | tree.Foundation
Parts: TypeAlias = tuple[Drawn, Drawn]  # of a piece that is cut in two


class Workshop(ProgramContext, Protocol):
    """The whole style, as the making of its pieces sees it."""

    def construction(self, name: tree.Word, span: Span, fitted: bool = True) -> Construction | None: ...

    def is_level(self, name: str) -> bool: ...


def piece(program: Workshop, node: PieceNode, scope: Scope) -> None:
    program.lowering.define(program.pieces, Entity(node.name, "piece", node.head, lambda: constructed(program, node, scope)))


def foundation(program: Workshop, node: tree.Foundation, scope: Scope) -> None:
    program.foundations.add(str(node.name))
    piece(program, node, scope)


def cut_apart(program: Workshop, node: tree.CutApart, scope: Scope) -> None:
    """A cut: its parts are pieces, found when first wanted; the cut itself is made once for both."""
    pieces: list[PieceNode] = []
    for statement in node.body.statements or ():
        if isinstance(statement, (tree.Piece, tree.Foundation)) and statement.recipe is None:
            pieces.append(statement)
        else:
            program.misplaced(statement, "a cut")
    if not 1 <= len(pieces) <= 2:
        program.lowering.error(
            "N247",
            "A cut makes two pieces",
            node.head,
            "one or two pieces below the cut",
            f"{len(pieces)}",
            "Name the pieces that it makes: piece yoke holding waist",
        )
        return

    def build_parts() -> Parts | None:
        source = program.construction(node.piece, node.piece.span)
        return None if source is None else parting.parts(program, source.scope(), node, source, cut_of(program, source).fold)

    pair = Entity(f"cut of {node.piece}", "cut", node.head, build_parts)
    entities = []
    for piece in pieces:
        if isinstance(piece, tree.Foundation):
            program.foundations.add(str(piece.name))
        entity = Entity(piece.name, "piece", piece.span, partial(part, program, node, pieces, piece, pair))
        entities.append(entity)
        program.lowering.define(program.pieces, entity)
    if len(entities) == 2:
        program.cuts.append((node, entities))


def part(
    program: Workshop, cut: tree.CutApart, pieces: Sequence[PieceNode], node: PieceNode, pair: Entity[Parts | None]
) -> Construction:
    drawing = Construction(program, str(node.name), text_of(node.title) or str(node.name), node.head, False)
    drawing.gather(starting.amended_statements(program.lowering, node, drawing=drawing)[0], drawing.scope())
    parts = program.lowering.demand(pair, None)
    number = None if parts is None else which_part(program, parts, pieces, node)
    source = None if number is None else program.construction(cut.piece, cut.piece.span)
    if parts is None or number is None or source is None:
        drawing.damaged = True
    else:
        made_from(program, drawing, parts[number], source, cut.closing is None)
    drawing.settle()
    return drawing


def which_part(program: Workshop, parts: Parts, pieces: Sequence[PieceNode], node: PieceNode) -> int | None:
    """Which of the two parts of a cut a piece is, from what it holds or the other does not."""
    numbers = [parting.holding(parts, piece.holding.what if piece.holding is not None else None) for piece in pieces]
    for piece, number in zip(pieces, numbers, strict=True):
        if number == -1:
            if piece is node and piece.holding is not None:
                program.lowering.error(
                    "N216",
                    f'Neither one part alone holds "{piece.holding.what}"',
                    piece.holding.span,
                    f"an edge or corner of one part alone: {_held_by(parts)}",
                    f'"{piece.holding.what}"',
                    "Name an edge or a corner that lies on one side of the cut.",
                )
            return None
    if all(number is None for number in numbers) or (len(numbers) == 2 and numbers[0] == numbers[1]):
        if node is pieces[0]:
            program.lowering.error(
                "N216",
                "Which part of the cut is which?",
                node.head,
                f"holding, with an edge or corner of one part: {_held_by(parts)}",
                "nothing that tells them apart",
                f"Say for example: piece {node.name} holding "
                f"{next((edge for edge in parts[0].edges if edge not in parts[1].edges), next(iter(parts[0].corners)))}",
            )
        return None
    own = numbers[pieces.index(node)]
    return own if own is not None else 1 - next(number for number in numbers if number is not None)


def made_from(program: Workshop, drawing: Construction, drawn: Drawn | None, source: Construction, lines: bool) -> None:
    """Make a piece from a drawn one: its changes in the order in which they are written."""
    statements = within(as_written(drawing.changes), source)
    cut = cut_of(program, source)
    after = changes.changed(program, source, drawn, statements, cut.fold)
    if after is None:
        drawing.damaged = True
    else:
        drawing.adopt(after, source, lines and not statements)


def fitted(program: Workshop, drafted: Construction, said: Iterable[Said]) -> Construction:
    """A finished piece after what is said of it as it is fitted, in that order.

    All it says itself is done before, but for truing across seams, which is of the finished garment.
    """
    drawing = Construction(program, drafted.name, drafted.title, drafted.span, False)
    drawing.drafted, drawing.quantities = drafted, drafted.quantities
    drawing.singles = {form: stated for form, stated in drafted.singles.items() if form in ("cut", "grain", "worn", "worn side")}
    for node, scope in said:
        if isinstance(node, tree.Fit):
            _by_fitting_recipe(program, drawing, node, scope)
        else:
            drawing.changes.append((node, scope))
    drawn = drawn_of(drafted, drafted.span, trued=False)
    if drawn is not None:
        origins = {name: drafted.origin(name) or (drafted.name, name) for name in drawn.edges}
        drawn = replace(drawn, parted=False, origins=origins)
    after = changes.changed(program, drafted, drawn, within(drawing.changes, drafted), cut_of(program, drafted).fold)
    if after is None:
        drawing.damaged = True
    else:
        drawing.adopt(after, drafted, True)
    drawing.settle()
    return drawing


def _by_fitting_recipe(program: Workshop, drawing: Construction, node: tree.Fit, scope: ScopeContext) -> None:
    entity = scope.rules.find(node.recipe)
    text = entity.built() if entity is not None else None
    if entity is None or not isinstance(text, RecipeText) or entity.sort != "recipe":
        known = [name for name, rule in scope.rules.own.items() if rule.sort == "recipe"]
        program.lowering.unknown_name("recipe", node.recipe, node.recipe.span, known)
        return
    program.lowering.use(entity, node.recipe.span)
    names = scope.bind(text.parameters, node.arguments or (), node, f'recipe "{node.recipe}"', text.scope)
    if names is None:
        return
    before = len(drawing.changes)
    drawing.gather(text.statements, Scope(program, Names(names), text.scope.rules, drawing))
    if node.side is not None:
        drawing.changes[before:] = [(on_one_side(program, change, node.side), place) for change, place in drawing.changes[before:]]


def sheet(program: Workshop, node: tree.Sheet, scope: Scope) -> None:
    program.lowering.define(program.sheets, Entity(node.name, "sheet", node.head, lambda: constructed_sheet(program, node)))


def constructed_sheet(program: Workshop, node: tree.Sheet) -> Construction:
    drawing = Construction(program, str(node.name), str(node.name), node.head, True)
    (own,) = starting.amended_statements(program.lowering, node, drawing=drawing)
    drawing.gather(own, drawing.scope())
    return settled(program, drawing)


def constructed(program: Workshop, node: PieceNode, scope: Scope) -> Construction:
    """A piece as it says itself, from another piece, or from a recipe."""
    drawing = Construction(program, str(node.name), text_of(node.title) or str(node.name), node.head, False)
    recipe = node.recipe
    if node.holding is not None:
        program.lowering.error(
            "N208",
            "Only a part of a cut holds something",
            node.holding.span,
            "a piece below a cut",
            "a piece of its own",
            "Take it out, or set the piece below the cut that makes it.",
        )
    source = None
    if isinstance(recipe, tree.FromPiece) and program.pieces.find(recipe.name) is not None:
        source = program.construction(recipe.name, recipe.name.span)
        (own,) = starting.amended_statements(program.lowering, node, drawing=drawing)
    elif isinstance(recipe, tree.FromPieceAs):
        source = program.construction(recipe.name, recipe.name.span)
        drawing.damaged |= source is None
        own = by_recipe(program, drawing, node, recipe, scope)
    elif isinstance(recipe, (tree.FromPiece, tree.FromRecipe)):
        own = by_recipe(program, drawing, node, recipe, scope)
    else:
        (own,) = starting.amended_statements(program.lowering, node, drawing=drawing)
    drawing.gather(own, drawing.scope())
    if source is None or recipe is None:
        return settled(program, drawing)
    made_from(program, drawing, drawn_of(source, recipe.span), source, True)
    drawing.settle()
    return drawing


def by_recipe(
    program: Workshop,
    drawing: Construction,
    node: PieceNode,
    recipe: tree.FromPiece | tree.FromRecipe | tree.FromPieceAs,
    scope: Scope,
) -> starting.Statements:
    """Gather what the recipe of a piece says; what the piece says besides."""
    called = recipe.recipe if isinstance(recipe, tree.FromPieceAs) else recipe.name
    entity = scope.rules.find(called)
    text = entity.built() if entity is not None else None
    if entity is not None:
        program.lowering.use(entity, called.span)
    if entity is None or not isinstance(text, RecipeText) or entity.sort != "recipe":
        known = [name for name, rule in scope.rules.own.items() if rule.sort == "recipe"]
        if isinstance(recipe, tree.FromPiece):
            known = [*program.pieces.own, *known]
        sort = "piece or recipe" if isinstance(recipe, tree.FromPiece) else "recipe"
        program.lowering.unknown_name(sort, called, called.span, known)
        drawing.damaged = True
        return starting.plain(node)
    arguments = None if isinstance(recipe, tree.FromPiece) else recipe.arguments
    names = scope.bind(text.parameters, arguments, recipe, f'recipe "{called}"', text.scope)
    drawing.damaged |= names is None
    given, own = starting.amended_statements(program.lowering, node, text.statements, drawing=drawing)
    if names is not None:
        inside = Scope(program, Names(names), text.scope.rules, drawing)
        drawing.gather(given, inside)
        drawing.quantities.own.update(inside.quantities.own)
    return own


def settled(program: Workshop, plain: Construction) -> Construction:
    """A piece or sheet of its own, all of whose statements are gathered.

    A piece that is drawn and changed at once is drawn first, as a foundation of the same name, and then changed.
    """
    plain.settle()
    if not plain.changes:
        return plain
    plain.whole = False
    drawing = Construction(program, plain.name, plain.title, plain.span, False)
    drawing.changes = plain.changes
    # Lines are gone once a piece is changed: their marks stay with what was drawn, and are carried.
    lines: list[tuple[tree.Statement, ScopeContext]]
    lines = [(node, scope) for node, scope in plain.marks if isinstance(node, tree.MarkAlong)]
    others = [(node, scope) for node, scope in plain.marks if not isinstance(node, tree.MarkAlong)]
    drawing.marks, drawing.notches = within(others, drawing), within(plain.notches, drawing)
    drawing.singles = {form: stated for form, stated in plain.singles.items() if form in ("cut", "grain", "worn", "worn side")}
    plain.changes, plain.marks, plain.notches = [], lines, []
    drawing.quantities = plain.quantities
    made_from(program, drawing, drawn_of(plain, plain.span), plain, False)
    drawing.settle()
    return drawing


def _held_by(parts: Parts) -> str:
    """What each part alone holds: edges, or where it has none of its own, corners."""
    names = []
    for part, counterpart in (parts, parts[::-1]):
        edges = [edge for edge in part.edges if edge not in counterpart.edges]
        names.append(", ".join(edges or [corner for corner in part.corners if corner not in counterpart.corners]))
    return " / ".join(names)
