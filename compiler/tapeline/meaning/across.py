"""Lines that run on across a seam: which edges are drawn fair there, and where a corner is meant.

`true across EDGE` names a seam by one of its edges.  The seam is one that the style sews from edge to edge, or the fold of
a piece, which is sewn to its own image.  At either end of it two edges come together, one on each side; which, is told by
the names of the edges beside the seam's.  What is drawn fair is an edge as it is finished: its darts are set, its ends stay
where they are, and so does all that was measured along it as it was first drawn.  The edges of a seam see each other as
they were before, so no truing waits for another.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Literal, NamedTuple

from ..syntax import tree
from .contexts import DrawingContext, ProgramContext, ScopeContext
from .cut_counts import cut_of
from .kinds import EDGE, UNKNOWN
from .plan import SeamPlan, Value
from .ring import start_to_start
from .seams import is_outline_edge

Line = tuple[str, str]  # a piece, and an edge of it


class LinesAt(NamedTuple):
    """Two edges that come together at one end of a seam: each by its name, and whether it starts or ends there."""

    line: str
    at: Literal["start", "end"]
    other: str
    other_at: Literal["start", "end"]


def trued(program: ProgramContext, drawing: DrawingContext, name: str, plain: Callable[[DrawingContext, str], Value]) -> Value:
    """A finished edge, drawn fair across the seams at its ends where the style says so; `plain` gives edges before that."""
    value = plain(drawing, name)
    done: set[str] = set()  # an end that several seams share, as where two fronts meet one back, is turned once
    for node in _said(program):
        for seam, other in _sides(program, node, drawing):
            if seam[0] != drawing.name or value.kind is UNKNOWN or name not in (_beside(drawing, seam[1]) or ()):
                continue
            partner = drawing if other[0] == drawing.name else program.construction_named(other[0], drawing.drafted is not None)
            meetings = () if partner is None else _meetings(drawing, seam, partner, other)
            for meeting in meetings or ():
                if partner is None or meeting.line != name or meeting.at in done or not _wanted(node, meeting):
                    continue
                done.add(meeting.at)
                edges = plain(drawing, seam[1]), plain(partner, meeting.other), plain(partner, other[1])
                inputs = value, edges[0], drawing.turn(), *edges[1:], partner.turn()
                value = program.lowering.emit("run_on", EDGE, node.head, *inputs, at=meeting.at, other_at=meeting.other_at)
    return value


def _said(program: ProgramContext) -> list[tree.TrueAcross]:
    return [late.node for late in program.late if isinstance(late.node, tree.TrueAcross)]


def _sides(program: ProgramContext, node: tree.TrueAcross, drawing: DrawingContext) -> list[tuple[Line, Line]]:
    """The edges of a seam as each of them sees the other: twice, but once where an edge is sewn to its own image."""
    if len(node.edge.parts) != 2:
        return []
    one = str(node.edge.parts[0]), str(node.edge.parts[1])
    other = _sewn_to(program, one)
    if other is None and one[0] == drawing.name and cut_of(program, drawing).fold == one[1]:
        other = one
    if other is None:
        return []
    return [(one, other)] if one == other else [(one, other), (other, one)]


def _sewn_to(program: ProgramContext, edge: Line) -> Line | None:
    """The edge that one is sewn to from end to end."""
    for late in program.late:
        if isinstance(late.node, tree.Sew):
            sides = [[tuple(map(str, sewn.edge.parts)) for sewn in side] for side in (late.node.one, late.node.other)]
            if sides[0] == sides[1] and edge in sides[0]:
                return edge
            for side, far in (sides, sides[::-1]):
                if side == [edge] and len(far) == 1 and len(far[0]) == 2:
                    return far[0][0], far[0][1]
    for cut, parts in program.cuts:
        lines = [(part.name, str(cut.seam)) for part in parts]
        if edge in lines:
            return lines[1 - lines.index(edge)]
    return None


def is_own_image(program: ProgramContext, piece: str, edge: str) -> bool:
    """Whether an edge is sewn to itself: to that of the other piece of a pair."""
    return _sewn_to(program, (piece, edge)) == (piece, edge)


def _wanted(node: tree.TrueAcross, meeting: LinesAt) -> bool:
    return node.lines is None or any(str(name) in (meeting.line, meeting.other) for name in node.lines.names)


def _beside(drawing: DrawingContext, edge: str) -> tuple[str, str] | None:
    """The edges before and after one in its outline."""
    names = [str(name) for name, _, _ in drawing.chain() or ()]
    if edge not in names or len(names) < 3:
        return None
    at = names.index(edge)
    return names[at - 1], names[(at + 1) % len(names)]


def _meetings(drawing: DrawingContext, seam: Line, partner: DrawingContext, other: Line) -> list[LinesAt] | None:
    """What comes together where a seam's edge starts, and where it ends; None where the names do not tell."""
    one, far = _beside(drawing, seam[1]), _beside(partner, other[1])
    if one is None or far is None:
        return []
    before, after = LinesAt(one[0], "end", far[0], "end"), LinesAt(one[1], "start", far[1], "start")
    if seam == other:
        return [before, after]
    alike = start_to_start(one, far)
    if alike is None:
        return None
    if alike:
        return [before, after]
    return [LinesAt(one[0], "end", far[1], "start"), LinesAt(one[1], "start", far[0], "end")]


def check_truings(program: ProgramContext) -> None:
    """Say what is wrong with the seams that are to be trued across."""
    for late in program.late:
        if isinstance(late.node, tree.TrueAcross):
            _check(program, late.node, late.scope)


def _check(program: ProgramContext, node: tree.TrueAcross, scope: ScopeContext) -> None:
    ref = node.edge
    if len(ref.parts) != 2:
        scope.edge(ref)
        return
    drawing = program.construction(ref.parts[0], ref.parts[0].span)
    if drawing is None or not is_outline_edge(program, drawing, ref):
        return
    sides = _sides(program, node, drawing)
    if not sides:
        program.lowering.error(
            "N276",
            f'No edge is sewn to "{ref}" from end to end',
            ref.span,
            "an edge that is sewn to one other edge, or a fold",
            f'"{ref}"',
            f"Say what it is sewn to: sew {ref} to PIECE.EDGE. Where it is sewn to several, true its neighbours by themselves: true EDGE.",
        )
        return
    seam, other = sides[0]
    partner = program.construction_named(other[0])
    meetings = [] if partner is None else _meetings(drawing, seam, partner, other)
    if meetings is None:
        beside = [_beside(piece, edge) for piece, edge in ((drawing, seam[1]), (partner, other[1])) if piece is not None]
        program.lowering.error(
            "N277",
            f"Which ends of {'.'.join(seam)} and {'.'.join(other)} come together?",
            node.head,
            "edges beside them that are called alike",
            "; ".join(", ".join(names or ()) for names in beside),
            "Call the edges that run on into each other by one name.",
        )
        return
    known = {meeting.other: partner for meeting in meetings} | {meeting.line: drawing for meeting in meetings}  # whose each edge is
    for name in node.lines.names if node.lines is not None else ():
        owner = known.get(str(name))
        if owner is not None:
            owner.mention(name)
        elif known:
            program.lowering.unknown_name(f"edge beside {ref}", name, name.span, list(known))


# ------------------------------------------------------------ corners that are meant


def corner_points(drawing: DrawingContext) -> dict[str, str]:
    """Edge of the outline -> the point at which it begins, where that has a name."""
    starts = {(edge.end if turned else edge.start).slot: str(name) for name, edge, turned in drawing.chain() or ()}
    points = {name: drawing.lowering.demand(entity) for name, entity in drawing.points.own.items()}
    return {starts[point.slot]: str(name) for name, point in reversed(points.items()) if point.slot in starts}


def corners_meant(program: ProgramContext, seams: Iterable[SeamPlan]) -> frozenset[tuple[str, str]]:
    """(piece, edge that begins there or dart) of every corner that the style says is meant."""
    sewn = {line for seam in seams for line in (*seam.one, *seam.other)}
    found: set[tuple[str, str]] = set()
    for late in program.late:
        if isinstance(late.node, tree.CornerMeant):
            for ref in late.node.places:
                found.update(_meant(program, ref, late.scope, sewn))
    return frozenset(found)


def _meant(program: ProgramContext, ref: tree.Ref, scope: ScopeContext, sewn: set[Line]) -> Iterable[tuple[str, str]]:
    if len(ref.parts) != 2:
        scope.point(ref)
        return
    drawing = program.construction(ref.parts[0], ref.parts[0].span)
    chain = None if drawing is None else drawing.chain()
    if drawing is None or chain is None:
        return
    name = str(ref.parts[1])
    if name in drawing.dart_names():
        drawing.mention(ref.parts[1])
        yield drawing.name, name
        return
    fold = cut_of(program, drawing).fold
    edges = [str(edge) for edge, _, _ in chain]
    points = corner_points(drawing)
    ends = {
        point: edge
        for edge, point in points.items()
        if any((drawing.name, line) in sewn or line == fold for line in (edge, edges[edges.index(edge) - 1]))
    }
    if name in ends:
        drawing.mention(ref.parts[1])
        yield drawing.name, ends[name]
        return
    program.lowering.error(
        "N275",
        f'Nothing runs on across a seam at "{ref}"',
        ref.span,
        f"a corner of {drawing.name} where a seam or a fold ends, or a dart of it",
        f'"{ref}"',
        f"Name one of: {', '.join([*ends, *map(str, drawing.dart_names())])}."
        if ends or drawing.dart_names()
        else "Take the line out.",
    )
