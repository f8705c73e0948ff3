"""Cutting a piece in two: the ring of each part, and which part is which (see `drafting.parting` for the cloth).

A cut leads from one stop on the outline to another.  Each part has the edges between the stops, one way round or the
other, and the way of the cut as its new edge.
"""

from __future__ import annotations

from typing import Any

from ..syntax import tree
from .contexts import ScopeContext
from .drawn import Drawn, Pieces, Workpiece, drawn_of
from .kinds import PAIR, SHAPE
from .lowering import POISON
from .plan import Value
from .ring import EdgeRing, RingStop

PlannedStop = tuple[str, str, bool]  # a stop as the step tells it: "edge", "corner" or "dart"; its name; whether its place is an input


def parts(program: Pieces, scope: ScopeContext, node: tree.CutApart, source: Workpiece, fold: str | None) -> tuple[Drawn, Drawn] | None:
    """The two parts of a cut: from the first stop on to the second, and from the second on to the first."""
    lowering, drawn = program.lowering, drawn_of(source, node.head)
    if drawn is None:
        return None
    line = node.way if isinstance(node.way, tree.CutLine) else None
    planned, inputs = [], []
    for stop in (node.start, node.end):
        ending = _stop(drawn, scope, stop, line is not None)
        if ending is None:
            return None
        planned.append(ending[0])
        inputs += ending[1]
    stops = [_stop_of(drawn.ring, number, stop) for number, stop in enumerate(planned)]
    seam = str(node.seam)
    drawn.call(node.seam)
    if not _leads_across(drawn, node, stops, seam):
        return None
    way = _way(drawn, source, node)
    if way is None:
        return None
    if node.closing is not None and not all(drawn.known_dart(name) for name in node.closing.darts):
        return None
    closing = () if node.closing is None else tuple(str(name) for name in node.closing.darts)
    if node.closing is not None and line is None:
        needs = "Draw the line across them and say: along that line."
        lowering.error("N247", "Darts are closed along a line", node.closing.span, "along LINE", "no line", needs)
        return None
    sides = (stops[0], stops[1]), (stops[1], stops[0])
    rings = tuple(
        _closed(drawn.ring, drawn.ring.part(*ends, seam, turned=number == 0), ends, seam, closing) for number, ends in enumerate(sides)
    )
    through = tuple(str(name) for name in (node.way.darts if isinstance(node.way, tree.CutThrough) else ()))
    pair = drawn.emit(
        "cut_apart",
        PAIR,
        node.head,
        *inputs,
        *way,
        rings=rings,
        stops=tuple(planned),
        line=line is not None,
        closing=closing,
        seam=seam,
        stays=fold or drawn.edges[0],
        through=through,
    )
    first, second = (
        _part(drawn, lowering.emit("part", SHAPE, node.head, pair, number=number), rings[number], ends, source, through)
        for number, ends in enumerate(sides)
    )
    return first, second


def _leads_across(drawn: Drawn, node: tree.CutApart, stops: list[RingStop], seam: str) -> bool:
    """Whether the cut leads from one edge to another, along a seam of a new name; said where it does not."""
    start, end = stops
    if start.begins == end.begins and start.parted == end.parted:
        drawn.lowering.error(
            "N214",
            "A cut leads from one edge to another",
            node.head,
            "two different edges",
            f"{start.begins} twice",
            "Lead the cut to another edge of the piece.",
        )
        return False
    if seam in drawn.edges:
        drawn.lowering.error(
            "N202",
            f'The piece has an edge "{seam}" already',
            node.seam.span,
            "a new name for the seam",
            f'"{seam}"',
            "Give the seam another name.",
        )
        return False
    return True


def _way(drawn: Drawn, source: Workpiece, node: tree.CutApart) -> list[Value] | None:
    """What the cut follows between its stops: a line, or the points of darts within the piece; None, said."""
    if isinstance(node.way, tree.CutLine):
        line = source.raw_edge(node.way.name, node.way.name.span)
        return None if line is None else [line.guide]
    points: list[Value] = []
    for name in node.way.darts if isinstance(node.way, tree.CutThrough) else ():
        if str(name) not in source.inner_darts:
            way_out = "Only a dart within the piece, with two points, is cut through on the way."
            drawn.lowering.unknown_name("dart within the piece", name, name.span, source.inner_darts, way_out)
            return None
        drawn.mention(name)
        points += [drawn.point(point, name.span) or POISON for point in source.inner_darts[str(name)].point_names()]
    return points


def _stop(drawn: Drawn, scope: ScopeContext, stop: Any, line: bool) -> tuple[PlannedStop, list[Value]] | None:
    """(what is told at run time, its inputs) of one end of a cut; None, said."""
    if isinstance(stop, tree.StopPlace):
        if not drawn.known_edge(stop.name):
            return None
        return ("edge", str(stop.name), True), [drawn.place(scope, stop.place, str(stop.name))]
    name = str(stop.name)
    drawn.mention(stop.name)
    if name in drawn.darts:
        return ("dart", name, False), []
    if name in drawn.edges and line:
        return ("edge", name, False), []
    if name in drawn.corners:
        return ("corner", drawn.corners[name], False), []
    if name in drawn.edges:
        drawn.lowering.error(
            "N241",
            f'At which place of "{name}" does the cut end?',
            stop.span,
            f"{name} at half, or along a line",
            f'"{name}"',
            "Add a place: at half, at 8 cm from P; or say along which line the piece is cut.",
        )
        return None
    drawn.lowering.unknown_name("edge, corner or dart", stop.name, stop.name.span, [*drawn.edges, *drawn.corners, *drawn.darts])
    return None


def _stop_of(ring: EdgeRing, number: int, planned: PlannedStop) -> RingStop:
    sort, name, _ = planned
    if sort == "corner":
        return RingStop(number, name, ring.before(name), False)
    edge = ring.darts[name] if sort == "dart" else name
    return RingStop(number, edge, edge, True, name if sort == "dart" else "")


def _closed(ring: EdgeRing, part: EdgeRing, ends: tuple[RingStop, RingStop], seam: str, closing: tuple[str, ...]) -> EdgeRing:
    """The ring of a part whose cut closes darts: of those that do not surely open on it, the rest may stand on its seam."""
    surely = {edge.name for edge in part.beyond(seam)} - {ends[0].begins, ends[1].ends}
    on_it = any(ring.darts[name] in surely for name in closing)
    for name in closing:
        part = part.without_dart(name)
    for name in () if on_it else closing:
        part = part.with_dart(name, seam)
    return part


def _part(
    drawn: Drawn, shape: Value, ring: EdgeRing, ends: tuple[RingStop, RingStop], source: Workpiece, through: tuple[str, ...]
) -> Drawn:
    # Points of darts that the cut runs through are removed.  A point of the author's that bears the name of a new corner
    # is where the line of the cut was drawn to: it is that corner.
    removed = {point for name in through for point in source.inner_darts[name].point_names()} | set(ring.corners)
    parted = {ends[0].begins, ends[1].ends}
    return drawn.filled(shape, ring).having(
        touched={stop.begins for stop in ends if stop.parted},
        points=tuple(name for name in drawn.points if name not in removed),
        doubtful=frozenset(name for name, edge in ring.darts.items() if edge in parted),
        parted=True,
        reshaped=True,
    )


def holding(parts: tuple[Drawn, Drawn], ref: tree.Ref | None) -> int | None:
    """Which of two parts holds an edge or point; None where it says nothing, -1 where neither or both do."""
    if ref is None:
        return None
    name = str(ref)
    parts[0].mention(ref.parts[-1])
    matches = [k for k, part in enumerate(parts) if name in part.corners or (name in part.edges and name not in part.touched)]
    if not matches:
        matches = [k for k, part in enumerate(parts) if name in part.edges]
    return matches[0] if len(matches) == 1 else -1
