"""What a style says of finished pieces as a fitter does: which pieces a statement changes, and what is doubtful about it.

A fitting is a change of a piece that is finished: it is carried out, in the order of the text, after all that the piece says itself
(`pieces.fitted`).  What is made from the piece, sewn to it, and judged sees it as it was fitted; rules that measure it
measure it as it was drafted, so that no rule works against a fitting.  Here a statement is parted by the pieces that it names, and
two statements that undo each other, or a seam of which one side alone is moved, are told.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import NamedTuple, TypeAlias

from ..syntax import tree
from .contexts import ProgramContext, ScopeContext
from .moving_edges import Mover, is_raised

Fitting: TypeAlias = tree.EdgesMoved | tree.Raise | tree.LengthMoved | tree.Fit
FITTINGS = (tree.TakeIn, tree.LetOut, tree.Drop, tree.Raise, tree.Lengthen, tree.ShortenPieces, tree.Fit)
_OPPOSITE: dict[type[tree.Node], type[tree.Node]] = {
    tree.TakeIn: tree.LetOut,
    tree.LetOut: tree.TakeIn,
    tree.Drop: tree.Raise,
    tree.Raise: tree.Drop,
    tree.Lengthen: tree.ShortenPieces,
    tree.ShortenPieces: tree.Lengthen,
}


class Said(NamedTuple):
    node: Fitting
    scope: ScopeContext


def fittings_of(said: Iterable[Said], piece: str) -> list[Said]:
    """What is said of one piece: statements that name other pieces as well are cut down to its own."""
    own = []
    for node, scope in said:
        if isinstance(node, (tree.EdgesMoved, tree.Raise)):
            edges = tuple(ref for ref in node.edges if len(ref.parts) == 2 and str(ref.parts[0]) == piece)
            if edges:
                own.append(Said(replace(node, edges=edges), scope))
        elif any(str(name) == piece for name in node.pieces):
            own.append(Said(node, scope))
    return own


def check_fittings(program: ProgramContext, said: list[Said]) -> None:
    """Say which names are none, which statement undoes another, and where one side alone of a seam is moved."""
    for node, scope in said:
        if isinstance(node, tree.Raise):
            is_raised(program, node, node.edges[0])
        for ref in node.edges if isinstance(node, (tree.EdgesMoved, tree.Raise)) else ():
            if len(ref.parts) == 2:
                program.construction(ref.parts[0], ref.parts[0].span)
            else:
                scope.edge(ref)
        for name in () if isinstance(node, (tree.EdgesMoved, tree.Raise)) else node.pieces:
            program.construction(name, name.span)
    _undone(program, [node for node, _ in said])
    _one_sided(program, [node for node, _ in said])


def on_one_side(program: ProgramContext, change: tree.Node, side: tree.OnSide) -> tree.Node:
    """A change of a recipe that is carried out on one side of the body; itself, said, where it moves no edge."""
    if isinstance(change, (tree.EdgesMoved, tree.RaiseEnd)):
        return replace(change, side=side)
    program.lowering.error(
        "N390",
        "Only edges are moved on one side of the body alone",
        side.head,
        "a recipe that takes in, lets out, raises or drops edges",
        f"one that says: {' '.join(change.head.text.split())}",
        "Leave the side out, or write the piece of that side as one of its own.",
        ((change.head, "in the recipe"),),
    )
    return change


# ------------------------------------------------------------ a fitting that undoes another


def _undone(program: ProgramContext, said: list[Fitting]) -> None:
    for number, node in enumerate(said):
        for before in said[:number]:
            if _OPPOSITE.get(type(node)) is type(before) and (places := _shared(before, node)):
                program.lowering.caution(
                    "N388",
                    f"This takes back what was done to {' and '.join(places)} before",
                    node.head,
                    "one statement for what is meant in the end",
                    f'"{before.written}", then "{node.written}"',
                    "Keep it where it is a second thought; else leave one of the two out, or say the difference.",
                    ((before.head, "done here"),),
                )


def _shared(one: Fitting, other: Fitting) -> list[str]:
    """The edges that both move in full at a place, or the pieces that both part at a level, on one side of the body or both."""
    if one.side is not None and other.side is not None and one.side.side != other.side.side:
        return []
    if isinstance(one, (tree.EdgesMoved, tree.Raise)) and isinstance(other, (tree.EdgesMoved, tree.Raise)):
        at, there = _full(one), _full(other)
        return [
            str(ref) for ref in one.edges if any(str(ref) == str(far) for far in other.edges) and (not at or not there or at & there)
        ]
    if isinstance(one, tree.LengthMoved) and isinstance(other, tree.LengthMoved) and _parted_at(one) == _parted_at(other):
        return [str(name) for name in one.pieces if name in other.pieces]
    return []


def _parted_at(node: tree.LengthMoved) -> str:
    return f"{'' if node.off is None else ' '.join(node.off.span.text.split())} {node.level}".strip()


def _full(node: Mover) -> set[str]:
    return {" ".join(place.span.text.split()) for place in (node.where.places if node.where is not None else ())}


# ------------------------------------------------------------ one side of a seam alone


def _one_sided(program: ProgramContext, said: list[Fitting]) -> None:
    """Tell the seams from one edge to one other of which a statement square to it moves one side, and none the other."""
    moved = {str(ref) for node in said if isinstance(node, (tree.EdgesMoved, tree.Raise)) for ref in node.edges}
    told: set[str] = set()
    for node in said:
        for ref in node.edges if isinstance(node, (tree.EdgesMoved, tree.Raise)) else ():
            for other, sewn in _sewn_to(program, str(ref)):
                if str(ref) in told or moves(program, other, moved):
                    continue
                told.add(str(ref))
                under = program.lowering.stands_under(other.partition(".")[0], *sewn)
                said_so, both = " ".join(node.head.text.split()), f"{ref} and {other}"
                way_out = f"Say: {said_so.replace(str(ref), both, 1)}"
                if under and isinstance(node, (tree.EdgesMoved, tree.Raise)):  # the other edge is not there for every body and choice
                    way_out = f"Say as well, below {under}: {_of_edge(said_so, node, other)}"
                program.lowering.caution(
                    "N389",
                    f"{ref} is moved, and {other}, to which it is sewn, is not",
                    ref.span,
                    "both sides of a seam",
                    f"{ref} alone",
                    f"{way_out}; or keep it, where only one side is meant.",
                )


def moves(program: ProgramContext, edge: str, moved: set[str]) -> bool:
    """Whether an edge is moved itself, or is one that was moved on the piece that its own is made from."""
    place: tuple[str, str] | None = (edge.partition(".")[0], edge.partition(".")[2])
    while place is not None:
        if ".".join(place) in moved:
            return True
        drawing, last = program.construction_named(place[0]), place
        place = None if drawing is None else drawing.origin(place[1])
        if place == last:
            return False
    return False


def _of_edge(said: str, node: Mover, edge: str) -> str:
    """A statement as it is written, said of another edge alone."""
    edges = node.edges[0].span._replace(end=node.edges[-1].span.end)
    return said.replace(" ".join(edges.text.split()), edge, 1)


def _sewn_to(program: ProgramContext, edge: str) -> Iterator[tuple[str, tuple[tree.Statement, ...]]]:
    """The edges that one is sewn to from end to end, alone to alone, and the statement that says so."""
    for late in program.late:
        if isinstance(late.node, tree.Sew) and len(late.node.one) == len(late.node.other) == 1:
            sides = str(late.node.one[0]), str(late.node.other[0])
            if edge in sides and sides[0] != sides[1]:
                yield sides[1 - sides.index(edge)], (late.node,)
    for cut, parts in program.cuts:
        lines = [f"{part.name}.{cut.seam}" for part in parts]
        if edge in lines and len(lines) == 2:
            yield lines[1 - lines.index(edge)], (cut,)
