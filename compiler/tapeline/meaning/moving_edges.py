"""Edges taken in, let out, raised and dropped: which edge moves, and at which places (see `drafting.moving_edges` for the cloth).

A place is named as a fitter names it: by the edge or corner in which the edge ends, by a level that crosses it, by a point on it,
or so far along it.  The ring stays: no edge comes or goes.
"""

from __future__ import annotations

from typing import TypeAlias

from ..source.text import Span
from ..syntax import tree
from .across import is_own_image
from .change import ChangeScope
from .contexts import ProgramContext
from .drawn import Drawn
from .expressions import lower_length
from .kinds import LENGTH
from .plan import Value

Mover: TypeAlias = tree.EdgesMoved | tree.Raise

_WAYS: dict[type[tree.Node], str] = {tree.TakeIn: "in", tree.LetOut: "out", tree.Drop: "down", tree.Raise: "up"}


def move(change: ChangeScope, drawn: Drawn, node: Mover) -> Drawn | None:
    """A piece with those of the edges moved that are its own; all of them are."""
    moved: Drawn | None = drawn
    for ref in node.edges:
        if moved is None:
            return None
        full = node.where.places if node.where is not None else ()
        nothing = node.nothing.places if node.nothing is not None else ()
        moved = _moved(change, moved, node, ref.parts[-1], _WAYS[type(node)], full, nothing)
    return moved


def raise_end(change: ChangeScope, drawn: Drawn, node: tree.RaiseEnd) -> Drawn | None:
    """`raise EDGE X at END, to nothing at PLACE` in a piece."""
    if not is_raised(change.program, node, node.edge):
        return None
    full = (tree.SpotHere(node.end.span, tree.Name(node.end.span, node.end)),)
    return _moved(change, drawn, node, node.edge, "up", full, node.nothing.places)


def is_raised(program: ProgramContext, node: tree.Raise | tree.RaiseEnd, edge: tree.Word | tree.Ref) -> bool:
    """Whether a statement that could read `dip` says `raise`; said, where it does not."""
    if node.how != "raise":
        program.lowering.error(
            "N387",
            "A finished edge is dropped, not dipped",
            node.how.span,
            "drop, of a finished edge; dip, within a piece that is drawn by level",
            f'"{node.how}"',
            f"Say: drop {edge}",
        )
    return node.how == "raise"


def _moved(
    change: ChangeScope,
    drawn: Drawn,
    node: Mover | tree.RaiseEnd,
    name: tree.Word,
    way: str,
    full: tuple[tree.Spot, ...],
    nothing: tuple[tree.Spot, ...],
) -> Drawn | None:
    if not drawn.known_edge(name):
        return None
    edge, ring = str(name), drawn.ring
    if edge == change.stays:
        change.lowering.error(
            "N385",
            f"{edge} lies on the fold, which cannot be moved",
            node.head,
            f"another edge of {drawn.drawing.name}",
            f"{edge}, on which it is cut on the fold",
            "Move a seam, or cut the piece twice with a seam at its middle.",
        )
        return None
    if len(ring.edges) < 3:
        change.lowering.error(
            "N385",
            f"{edge} has not an edge on either side, so it cannot be moved",
            node.head,
            "an outline of three edges or more",
            " and ".join(ring.names),
            "Draw the outline of more edges.",
        )
        return None
    amount = lower_length(change.scope, node.amount)
    if node.side is not None:
        amount = change.lowering.emit("on_side", LENGTH, node.side.head, amount, side=str(node.side.side).removeprefix("on the "))
    places = [_spot(change, drawn, edge, spot) for spot in (*full, *nothing)]
    if any(place is None for place in places):
        return None
    kept = tuple(
        beside == change.stays or is_own_image(change.program, drawn.drawing.name, beside)
        for beside in (ring.before(edge), ring.after(edge))
    )
    known = [place for place in places if place is not None]
    return drawn.change("move_edge", node.head, ring, amount, *known, edge=edge, way=way, full=len(full), kept=kept)


def _spot(change: ChangeScope, drawn: Drawn, edge: str, spot: tree.Spot) -> Value | None:
    """How far along an edge as sewn a place of it lies; None, said."""
    if isinstance(spot, tree.SpotFrom):
        return drawn.place(change.scope, tree.PlaceFrom(spot.span, spot.distance, spot.end), edge)
    assert isinstance(spot, tree.SpotHere)
    if isinstance(spot.at, tree.Name):
        return _named(change, drawn, edge, spot.at.word, spot.span, False)
    if not isinstance(spot.at, tree.Member):
        return drawn.place(change.scope, tree.PlaceAt(spot.span, spot.at), edge)
    owner, word = spot.at.owner, spot.at.word
    if (
        str(owner) == drawn.drawing.name or str(word) in drawn.point_names()
    ):  # the same corner of the piece on the other side of the seam
        return _named(change, drawn, edge, word, spot.span, True)
    return drawn.place(change.scope, tree.PlacePoint(spot.span, tree.Ref(spot.span, (owner, word))), edge)


def _named(change: ChangeScope, drawn: Drawn, edge: str, word: tree.Word, span: Span, dotted: bool) -> Value | None:
    name, ring, program = str(word), drawn.ring, change.program
    beside = {"start": ring.before(edge), "end": ring.after(edge)}
    begins = {"start": edge, "end": ring.after(edge)}
    for at in ("start", "end"):
        if name == beside[at] or drawn.corners.get(name) == begins[at]:
            drawn.mention(word)
            return drawn.emit("place_at_end", LENGTH, span, name=edge, at=at)
    if not dotted and name in drawn.levels:
        program.mention_level(word)
        return drawn.emit("place_at_level", LENGTH, span, name=edge, level=name)
    if name in drawn.point_names():
        return drawn.place(change.scope, tree.PlacePoint(span, tree.Ref(span, (word,))), edge)
    if not dotted and change.scope.quantities.find(name) is not None and not program.is_level(word):
        return drawn.place(change.scope, tree.PlaceAt(span, tree.Name(span, word)), edge)
    known = [beside["start"], beside["end"], *drawn.levels, *drawn.point_names()]
    if name in ("half", "third", "quarter"):
        return drawn.place(change.scope, tree.PlaceAt(span, tree.Name(span, word)), edge)
    if program.is_level(word):
        program.mention_level(word)
        change.lowering.error(
            "N386",
            f"The level {name} does not cross {drawn.drawing.name}",
            span,
            f"one of: {', '.join(dict.fromkeys(known[:12]))}",
            f'"{name}"',
            f"Name a level, corner or point of {drawn.drawing.name}, or a place so far from an end of {edge}.",
        )
        return None
    change.lowering.unknown_name(f"place on {edge}", word, span, list(dict.fromkeys(known)))
    return None
