"""Which edges are sewn to each other: as the style says, and along the cuts that part a piece."""

from __future__ import annotations

from ..syntax import tree
from .contexts import DrawingContext, ProgramContext, ScopeContext
from .cut_counts import cut_of, made_from
from .expressions import lower_length
from .kinds import LENGTH, UNKNOWN
from .lowering import POISON
from .one_sided import opened_sides
from .plan import MatchPlan, OpeningPlan, SeamPlan, Value

PLAIN_SEAM = "plain"


def seams_of(program: ProgramContext) -> list[SeamPlan]:
    """What the style sews, and the seams that its cuts leave."""
    seams = []
    for node, scope, _ in program.late:
        seam = _seam(program, node, scope.of_garment()) if isinstance(node, tree.Sew) else None
        if seam is not None:
            seams.append(seam)
    _taken_up(program, seams)
    for node, entities in program.cuts:
        pieces = [piece for entity in entities if (piece := program.construction_named(entity.name)) is not None]
        if not all(_reaches_cloth(program, piece) for piece in pieces):
            continue  # a part that falls away
        if all(piece.chain() is not None for piece in pieces):
            first, second = (((piece.name, str(node.seam)),) for piece in pieces)
            seams.append(SeamPlan(first, second, None, PLAIN_SEAM, node.head, notched=node.unnotched is None))
    return seams


def _taken_up(program: ProgramContext, seams: list[SeamPlan]) -> None:
    """An edge of which seams take up so many is not taken up more often than it is there."""
    taken: dict[tuple[str, str], list[tuple[SeamPlan, int | None]]] = {}
    for seam in seams:
        for side, counts in zip((seam.one, seam.other), seam.counts, strict=True):
            for place, count in zip(side, counts, strict=True):
                taken.setdefault(place, []).append((seam, count))
    instances = {piece.name: cut_of(program, piece).instances for piece in program.constructions()}
    for (piece, edge), uses in taken.items():
        most = instances[piece]
        total = sum(most if count is None else count for _, count in uses)
        if total > most and any(count is not None for _, count in uses):
            program.lowering.error(
                "N210",
                f"{piece}.{edge} is sewn more often than it is there",
                uses[-1][0].span,
                f"{most} in all, as often as {piece} is cut",
                f"{total} in {len(uses)} seams",
                "Say how many of them each seam takes up, or cut more.",
                tuple((seam.span, "sewn here too") for seam, _ in uses[:-1]),
            )


def _reaches_cloth(program: ProgramContext, piece: DrawingContext) -> bool:
    """Whether a piece is cut, or another that is cut is made from it."""
    if piece.name not in program.foundations:
        return True
    return any(made_from(derived) == piece.name and _reaches_cloth(program, derived) for derived in program.constructions())


def _seam(program: ProgramContext, node: tree.Sew, scope: ScopeContext) -> SeamPlan | None:
    sides, counts, sound = [], [], True
    for edges in (node.one, node.other):
        side, count = [], []
        for edge in edges:
            ref = edge.edge
            if len(ref.parts) != 2:
                scope.edge(ref)
                sound = False
                continue
            drawing = program.construction(ref.parts[0], ref.parts[0].span)
            sound = drawing is not None and is_outline_edge(program, drawing, ref) and sound
            side.append((str(ref.parts[0]), str(ref.parts[1])))
            count.append(None if drawing is None else _counted(program, drawing, edge))
        sides.append(tuple(side))
        counts.append(tuple(count))
    ease = lower_length(scope, node.how.amount) if isinstance(node.how, tree.Easing) else None
    if not sound or (ease is not None and ease.kind is UNKNOWN):
        return None
    kind = "eased" if ease is not None else "gathered" if isinstance(node.how, tree.Gathered) else PLAIN_SEAM
    openings = _openings(program, node, scope)
    return SeamPlan(
        sides[0],
        sides[1],
        None if ease is None else ease.slot,
        kind,
        node.head,
        (counts[0], counts[1]),
        openings,
        _pressed(program, node),
        node.unnotched is None,
        _matched(program, node, scope),
    )


def _matched(program: ProgramContext, node: tree.Sew, scope: ScopeContext) -> tuple[MatchPlan, MatchPlan] | None:
    """The places that lie on each other, that of the first side first; each on the first edge of its piece in its side."""
    if node.matched is None:
        return None
    refs = (node.matched.places.start, node.matched.places.end)
    for first, second in (refs, refs[::-1]):
        one, other = (_edge_of(side, ref) for side, ref in ((node.one, first), (node.other, second)))
        if one is not None and other is not None:
            places = [_place_along(program, scope, *pair) for pair in ((one, first), (other, second))]
            if any(place.kind is UNKNOWN for place in places):
                return None
            plans = [
                MatchPlan((str(edge.parts[0]), str(edge.parts[1])), place.slot)
                for edge, place in zip((one, other), places, strict=True)
            ]
            return plans[0], plans[1]
    sides = [" or ".join(dict.fromkeys(str(edge.edge.parts[0]) for edge in side)) for side in (node.one, node.other)]
    program.lowering.error(
        "N370",
        "What is matched is not a point of either side of this seam",
        node.matched.head,
        f"a point of {sides[0]}, to one of {sides[1]}",
        f"{refs[0]} to {refs[1]}",
        "Name a point on an edge of the first side and one on an edge of the other, each with its piece before it.",
    )
    return None


def _edge_of(side: tuple[tree.SewnEdge, ...], ref: tree.Ref) -> tree.Ref | None:
    """The first edge of a side that is of the piece of a point."""
    edges = (edge.edge for edge in side if len(ref.parts) == 2 and edge.edge.parts[0] == ref.parts[0])
    return next(edges, None)


def _pressed(program: ProgramContext, node: tree.Sew) -> str:
    """Which way the seam is pressed: "open", or toward one of its pieces."""
    if isinstance(node.pressed, tree.PressedOpen):
        return "open"
    if not isinstance(node.pressed, tree.PressedTo):
        return ""
    toward, pieces = node.pressed.piece, dict.fromkeys(str(edge.edge.parts[0]) for edge in (*node.one, *node.other))
    if toward not in pieces:
        program.lowering.unknown_name("piece in this seam", toward, toward.span, list(pieces))
        return ""
    program.construction(toward, toward.span)
    return str(toward)


def _openings(program: ProgramContext, node: tree.Sew, scope: ScopeContext) -> tuple[OpeningPlan, ...]:
    """The stretches that are left open, between points on the first edge of the seam."""
    first = node.one[0].edge
    plans, sides = [], opened_sides(program, node)
    for stretch, side in zip(node.left_open.stretches if node.left_open is not None else (), sides, strict=True):
        places = [_place(program, scope, first, ref) for ref in (stretch.start, stretch.end)]
        if all(place.kind is not UNKNOWN for place in places):
            plans.append(OpeningPlan(places[0].slot, places[1].slot, stretch.head, side))
    return tuple(plans)


def _place(program: ProgramContext, scope: ScopeContext, edge: tree.Ref, ref: tree.Ref) -> Value:
    """How far along an edge, as sewn, a point of its piece lies."""
    if len(ref.parts) == 2 and ref.parts[0] != edge.parts[0]:
        program.lowering.error(
            "N330",
            f'"{ref}" is not a point of {edge.parts[0]}',
            ref.span,
            f"a point on {edge}, with which the seam begins",
            f"one of {ref.parts[0]}",
            f"Set a point along {edge}, or begin the seam with an edge of {ref.parts[0]}.",
        )
        return POISON
    return _place_along(program, scope, edge, ref)


def _place_along(program: ProgramContext, scope: ScopeContext, edge: tree.Ref, ref: tree.Ref) -> Value:
    point, finished, drawn = scope.point(ref), scope.edge(edge), scope.raw_edge(edge)
    if drawn is None or point.kind is UNKNOWN:
        return POISON
    return program.lowering.emit(
        "place_along_seam", LENGTH, ref.span, finished, drawn.guide, point, edge=str(edge), point_name=str(ref)
    )


def _counted(program: ProgramContext, drawing: DrawingContext, edge: tree.SewnEdge) -> int | None:
    """In how many of the pieces an edge is sewn here; None: in all."""
    if edge.so_many is None:
        return None
    most, count = cut_of(program, drawing).instances, str(edge.so_many.count)
    if count.isdigit() and 1 <= int(count) <= most:
        return int(count)
    program.lowering.error(
        "N210",
        f"So many of {drawing.name} are not there to be sewn",
        edge.so_many.count.span,
        f"1 to {most}, as often as it is cut",
        count,
        "Say how many of them this seam takes up, or cut more.",
    )
    return None


def is_outline_edge(program: ProgramContext, drawing: DrawingContext, ref: tree.Ref) -> bool:
    """Whether an edge of the outline bears this name; said where none does."""
    names = [str(name) for name in drawing.edge_names()]
    if not names:
        return False
    if ref.parts[-1] not in names:
        program.lowering.unknown_name(f"edge of {drawing.name}", ref.parts[-1], ref.parts[-1].span, names)
        return False
    drawing.mention(ref.parts[-1])
    return drawing.chain() is not None
