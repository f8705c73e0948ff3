"""Cutting a piece in two: which names each part has, and which part is which (see `drafting.parting` for the cloth)."""

from __future__ import annotations

from typing import NamedTuple

from ..syntax import tree
from .drawn import Drawn, drawn_of
from .kinds import PAIR, SHAPE


def parts(program, scope, node: tree.CutApart, source, fold: str | None) -> tuple[Drawn, Drawn] | None:
    """The two parts of a cut: from the first stop on to the second, and from the second on to the first."""
    bench, drawn = program.bench, drawn_of(source, node.head)
    if drawn is None:
        return None
    stops, inputs = [], []
    line = node.way if isinstance(node.way, tree.CutLine) else None
    for stop in (node.start, node.end):
        told = _stop(drawn, scope, stop, line is not None)
        if told is None:
            return None
        stops.append(told[0])
        inputs += told[1]
    sides = [_Stop.of(drawn, stop) for stop in stops]
    if sides[0].cut is not None and sides[0].cut == sides[1].cut or sides[0] == sides[1]:
        return (
            bench.error(
                "N214",
                "A cut leads from one edge to another",
                node.head,
                "two different edges",
                f"{sides[0].begins} twice",
                "Lead the cut to another edge of the piece.",
            )
            and None
        )
    seam = str(node.seam)
    if seam in drawn.edges:
        return (
            bench.error(
                "N202",
                f'The piece has an edge "{seam}" already',
                node.seam.span,
                "a new name for the seam",
                f'"{seam}"',
                "Give the seam another name.",
            )
            and None
        )
    if line is not None:
        drawn_line = source.raw_edge(line.name, line.name.span)
        if drawn_line is None:
            return None
        inputs.append(drawn_line.guide)
    through = node.way.darts if isinstance(node.way, tree.CutThrough) else ()
    for name in through:
        if str(name) not in source.inner_darts:
            return (
                bench.unknown_name(
                    "dart within the piece",
                    name,
                    name.span,
                    source.inner_darts,
                    "Only a dart within the piece, with two points, is cut through on the way.",
                )
                and None
            )
        inputs += [drawn.point(point, name.span) for point in source.inner_darts[str(name)].point_names()]
    closing = tuple(str(name) for name in (node.closing.darts if node.closing is not None else ()))
    for name in node.closing.darts if node.closing is not None else ():
        if not drawn.known_dart(name):
            return None
    if closing and line is None:
        closing_needs = "Draw the line across them and say: along that line."
        return bench.error("N208", "Darts are closed along a line", node.closing.span, "along LINE", "no line", closing_needs) and None
    pair = drawn.emit(
        "cut_apart",
        PAIR,
        node.head,
        *inputs,
        stops=tuple(stops),
        line=line is not None,
        closing=closing,
        seam=seam,
        stays=fold or drawn.edges[0],
        through=tuple(str(name) for name in through),
    )
    taken = {stop[1] for stop in stops if stop[0] == "dart"}
    result = []
    for number, (first, last) in enumerate((sides, sides[::-1])):
        shape = bench.emit("part", SHAPE, node.head, pair, number=number)
        part = _part(drawn, shape, first, last, seam, taken, closing, number)
        # Gone are the points of darts that the cut runs through.  A point of the author's that bears the name of a new corner
        # is where the line of the cut was drawn to: it is that corner.
        cut_up = {point for name in through for point in source.inner_darts[str(name)].point_names()} | set(part.corners)
        result.append(part.changed(part.shape, points=tuple(name for name in part.points if name not in cut_up)))
    return tuple(result)


class _Stop(NamedTuple):
    """Where a cut ends: the edge with which the part begins that lies on from there, and that with which the other ends."""

    begins: str
    ends: str
    cut: str | None  # the edge that is parted there, if it is not a corner

    @classmethod
    def of(cls, drawn: Drawn, stop) -> _Stop:
        if stop[0] == "corner":
            return cls(stop[1], drawn.before(stop[1]), None)
        edge = drawn.darts[stop[1]] if stop[0] == "dart" else stop[1]
        return cls(edge, edge, edge)


def _stop(drawn: Drawn, scope, stop, line: bool):
    """(what is told at run time, its inputs) of one end of a cut; None, said."""
    if isinstance(stop, tree.StopPlace):
        if not drawn.known_edge(stop.name):
            return None
        return ("edge", str(stop.name), True), [drawn.place(scope, stop.place, str(stop.name))]
    name = str(stop.name)
    if name in drawn.darts:
        return ("dart", name, False), []
    if name in drawn.edges and line:
        return ("edge", name, False), []
    if name in drawn.corners:
        return ("corner", drawn.corners[name]), []
    if name in drawn.edges:
        drawn.bench.error(
            "N208",
            f'At which place of "{name}" does the cut end?',
            stop.span,
            f"{name} at half, or along a line",
            f'"{name}"',
            "Add a place: at half, at 8 cm from P; or say along which line the piece is cut.",
        )
        return None
    drawn.bench.unknown_name("edge, corner or dart", stop.name, stop.name.span, [*drawn.edges, *drawn.corners, *drawn.darts])
    return None


def _part(drawn: Drawn, shape, start: _Stop, end: _Stop, seam: str, taken, closing, number: int) -> Drawn:
    first, last = start.begins, end.ends
    k, edges = drawn.edges.index(first), drawn.edges
    ring = list(edges[k:] + edges[:k])
    ring = ring[: ring.index(last) + 1]
    lead = min(range(len(ring)), key=lambda at: edges.index(ring[at]))
    ring = [*ring, seam]
    ring = ring[lead:] + ring[:lead]
    kept = set(ring) - {first, seam}
    corners = {point: edge for point, edge in drawn.corners.items() if edge in kept or (edge == first and start.cut is None)}
    if end.cut is None:
        corners.update({point: seam for point, edge in drawn.corners.items() if edge == end.begins})
    corners[f"{seam}_{first}"] = first
    corners[f"{seam}_{last}"] = seam
    darts = {name: edge for name, edge in drawn.darts.items() if edge in ring and name not in taken and name not in closing}
    doubtful = frozenset(name for name, edge in darts.items() if edge in (first, last))
    inner = {edge for name, edge in drawn.darts.items() if name in closing}
    if not inner & kept - {last}:  # their mouths are, or may be, on the other part: here they stand on the seam
        darts.update(dict.fromkeys(closing, seam))
    return drawn.changed(
        shape,
        edges=tuple(ring),
        corners=corners,
        darts=darts,
        doubtful=doubtful,
        reshaped=True,
        parted=True,
        turned={**{edge: drawn.turned.get(edge, False) for edge in ring}, seam: number == 0},
        touched=drawn.touched | {edge for edge in (start.cut, end.cut) if edge is not None},
    )


def holding(parts: tuple[Drawn, Drawn], what: tree.Ref | None) -> int | None:
    """Which of two parts holds an edge or point; None where it says nothing, -1 where neither or both do."""
    if what is None:
        return None
    name = str(what)
    found = [k for k, part in enumerate(parts) if name in part.corners or (name in part.edges and name not in part.touched)]
    if not found:
        found = [k for k, part in enumerate(parts) if name in part.edges]
    return found[0] if len(found) == 1 else -1
