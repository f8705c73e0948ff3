"""The seam allowance of every edge, from the rows of `allow`, and how its corners are cut.

A row that names an edge of a piece goes before one that names the whole piece, that before one that names an edge of any
piece, and all of them before the row of the others.  A row of a piece or foundation holds for the pieces that are made from it as well, where they have the edge and no row of their own.
Every edge that does not lie on a fold must have an allowance, if the style says `allow` at all.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..syntax import tree
from .contexts import DrawingContext, ProgramContext, ScopeContext
from .cut_counts import cut_of
from .cutting import NO_ALLOWANCE, PLAIN_ALLOWANCE, SQUARE, Corner
from .expressions import lower_length
from .kinds import UNKNOWN
from .plan import AllowancePlan, Value
from .seams import is_outline_edge

Allowances = dict[tuple[str, str], AllowancePlan]  # by piece and edge
Corners = dict[str, list[Corner]]  # by piece


def allowances_of(program: ProgramContext) -> tuple[Allowances, dict[str, tuple[Corner, ...]]]:
    """(the seam allowance of every edge, the corners that are said of any piece)."""
    allows = [(node, scope) for node, scope, _ in program.late if isinstance(node, tree.Allow)]
    lowering, pieces = program.lowering, program.issued()
    stated: Allowances = {}
    general: Allowances = {}
    whole: Allowances = {}
    others: AllowancePlan | None = None
    corners: Corners = {}
    folds = {piece.name: cut_of(program, piece).fold for piece in pieces} if allows else {}
    for node, scope in allows:
        for row in node.rows:
            if isinstance(row, tree.Corner):
                _corner(program, row, pieces, corners)
                continue
            if isinstance(row, (tree.OtherAllowances, tree.OthersNone)) and others is not None:
                lowering.error(
                    "N229",
                    "The others are given two allowances",
                    row.span,
                    "one row for all others",
                    "a second",
                    "Keep one of the two.",
                    ((others.span, "first given here"),),
                )
                continue
            if isinstance(row, (tree.OtherAllowances, tree.OthersNone)):
                others = _row(scope, row)._replace(unnamed=isinstance(row, tree.OtherAllowances))
                continue
            assert isinstance(row, (tree.EdgeAllowance, tree.NoAllowance))
            allowance = _row(scope, row)
            places = _whole_piece(program, row.edge, pieces)
            table = whole if places else stated if len(row.edge.parts) == 2 else general
            places = places or _edges_named(program, row.edge, pieces)
            if isinstance(row, tree.EdgeAllowance) and places and all(folds.get(piece) == edge for piece, edge in places):
                lowering.caution(
                    "T506",
                    f"A seam allowance along a fold: {row.edge} lies on it",
                    row.span,
                    "an edge that is cut",
                    "the piece is cut on fold there, and goes on beyond it",
                    "Leave the row out, or cut the piece without a fold.",
                )
            for piece, edge in places:
                if (piece, edge) in table:
                    lowering.error(
                        "N229",
                        f"{row.edge} is given two allowances",
                        row.span,
                        "one allowance an edge",
                        "a second",
                        "Keep one of the two.",
                        ((table[piece, edge].span, "first given here"),),
                    )
                    break
                table[piece, edge] = allowance._replace(edge=edge)
    allowances = {**_followed(program, pieces, stated, general), **general, **whole, **stated}
    if allows:
        _cover(program, allows[-1][0], pieces, allowances, others)
    return allowances, {piece: tuple(piece_corners) for piece, piece_corners in corners.items()}


def _followed(program: ProgramContext, pieces: Sequence[DrawingContext], stated: Allowances, general: Allowances) -> Allowances:
    """Allowances of edges that have no row of their own: that of their other half in the piece, or of the edge that they were."""
    by_piece = {piece.name: piece for piece in program.constructions()}
    by_edge = {edge: row for (_, edge), row in general.items()}
    reached = {place for place in stated if place[0] not in program.foundations}

    def row_of(piece: DrawingContext, edge: str) -> AllowancePlan | None:
        origin = piece.origin(edge)
        halves = [name for other in piece.edge_names() if origin is not None and piece.origin(name := str(other)) == origin]
        place = next(((piece.name, name) for name in (edge, *halves) if (piece.name, name) in stated), None)
        if place is not None:
            reached.add(place)
            return stated[place]
        if edge in by_edge or origin is None:
            return by_edge.get(edge)
        if origin[0] == piece.name:  # drawn and changed at once
            return by_edge.get(origin[1])
        return row_of(by_piece[origin[0]], origin[1])

    places = [(piece, str(name)) for piece in pieces for name in piece.edge_names()]
    rows = {(piece.name, name): row_of(piece, name) for piece, name in places}
    for foundation, edge in stated.keys() - reached:
        program.lowering.caution(
            "N297",
            f"This seam allowance of {foundation}.{edge} reaches no piece that is cut",
            stated[foundation, edge].span,
            f"a piece made from {foundation} that has its {edge}, and no row of its own for it",
            f"{foundation} is a foundation",
            "Name the piece that is cut.",
        )
    return {place: row._replace(edge=place[1]) for place, row in rows.items() if row is not None}


def _slot(value: Value) -> int | None:
    return None if value.kind is UNKNOWN else value.slot


def _row(scope: ScopeContext, row: tree.AllowRow) -> AllowancePlan:
    if not isinstance(row, (tree.EdgeAllowance, tree.OtherAllowances)):
        return AllowancePlan("", None, NO_ALLOWANCE, row.span)
    slot = _slot(lower_length(scope, row.width))
    figure = None if slot is None else scope.lowering.read_back.figure(slot)
    if figure is not None and figure < 0.0:  # of others the body may decide, and T504 tells
        scope.lowering.error(
            "T504",
            "This seam allowance is less than nothing",
            row.width.span,
            "a width of zero or more",
            row.width.span.text,
            'Write the width without the minus sign, or "none" where there is no seam allowance.',
        )
    return AllowancePlan("", slot, str(row.kind or PLAIN_ALLOWANCE), row.span)


def _whole_piece(program: ProgramContext, ref: tree.Ref, pieces: Sequence[DrawingContext]) -> list[tuple[str, str]]:
    """(piece, edge) of all edges of a piece that a row names by itself; none where it names an edge."""
    name = ref.parts[0]
    drawing = next((piece for piece in pieces if piece.name == name), None)
    if len(ref.parts) != 1 or drawing is None or any(name == edge for piece in pieces for edge, _, _ in piece.chain() or ()):
        return []
    program.construction(name, name.span)
    fold = cut_of(program, drawing).fold
    return [(drawing.name, str(edge)) for edge, _, _ in drawing.chain() or () if str(edge) != fold]


def _edges_named(program: ProgramContext, ref: tree.Ref, pieces: Sequence[DrawingContext]) -> list[tuple[str, str]]:
    """(piece, edge) pairs that a name stands for: of one piece, or of every piece with such an edge."""
    if len(ref.parts) == 2:
        drawing = program.construction(ref.parts[0], ref.parts[0].span)
        return [(drawing.name, str(ref.parts[1]))] if drawing is not None and is_outline_edge(program, drawing, ref) else []
    for piece in pieces:
        if any(name == ref.parts[0] for name in piece.edge_names()):
            piece.mention(ref.parts[0])
    matches = [(piece.name, str(ref.parts[0])) for piece in pieces if any(name == ref.parts[0] for name, _, _ in piece.chain() or ())]
    if not matches:
        known = {str(name): None for piece in pieces for name, _, _ in piece.chain() or ()}
        if all(piece.chain() for piece in pieces):
            program.lowering.unknown_name("edge", ref.parts[0], ref.span, list(known))
    return matches


def _corner(program: ProgramContext, row: tree.Corner, pieces: Sequence[DrawingContext], corners: Corners) -> None:
    pairs = [dict(_edges_named(program, ref, pieces)) for ref in (row.one, row.other)]
    rings = {piece.name: [str(name) for name, _, _ in piece.chain() or ()] for piece in pieces}
    kind, meets = str(row.kind), False
    if isinstance(row.kind, tree.SquareTo):
        kind, named = SQUARE, row.kind.edge.parts
        named_second = named in (row.other.parts, row.other.parts[-1:])
        if not named_second and named not in (row.one.parts, row.one.parts[-1:]):
            program.lowering.error(
                "N227",
                f"{row.kind.edge} does not end in this corner",
                row.kind.edge.span,
                f"square to {row.one}, or square to {row.other}",
                f"square to {row.kind.edge}",
                "Name the edge whose allowance is to keep its full width to the end.",
            )
            return
        if all(pairs):
            _edges_named(program, row.kind.edge, pieces)  # to note that it is used
        pairs = pairs[::-1] if named_second else pairs
    for piece, ring in rings.items():
        first, second = pairs[0].get(piece), pairs[1].get(piece)
        meetings = list(zip(ring, ring[1:] + ring[:1], strict=True))
        if first is not None and second is not None and ((first, second) in meetings or (second, first) in meetings):
            meets = True
            corners.setdefault(piece, []).append(Corner((first, second), kind, row.span))
    if not meets and all(pairs):
        program.lowering.error(
            "N232",
            f"{row.one} and {row.other} do not meet in a corner",
            row.span,
            "two edges of one piece, one after the other in its outline",
            f"{row.one} and {row.other}",
            "Name the two edges that end in the corner.",
        )


def _cover(
    program: ProgramContext, node: tree.Allow, pieces: Sequence[DrawingContext], allowances: Allowances, others: AllowancePlan | None
) -> None:
    for piece in pieces:
        fold = cut_of(program, piece).fold
        cut = piece.singles["cut"][0] if "cut" in piece.singles else None
        if fold is None and isinstance(cut, tree.Cut) and isinstance(cut.fold, tree.OnFold):
            continue  # its fold is misnamed, and that has been said
        for name, _, _ in piece.chain() or ():
            if name == fold or (piece.name, str(name)) in allowances:
                continue
            if others is not None:
                allowances[piece.name, str(name)] = others._replace(edge=str(name))
            else:
                own = program.own_source  # a new piece may have the `allow` of the style that it starts from
                place = piece.span if piece.span.source == own and node.head.source != own else node.head
                program.lowering.error(
                    "N211",
                    f"{piece.name}.{name} has no seam allowance",
                    place,
                    "a seam allowance for every edge that is not on a fold",
                    f"none for {piece.name}.{name}",
                    f"Add a row: {piece.name}.{name}  1.5 cm, or {piece.name}.{name} none, or: others 1 cm",
                )
