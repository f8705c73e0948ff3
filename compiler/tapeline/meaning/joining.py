"""Mirroring, opening out, joining, extending, trimming, facing and truing a piece: the ring (see `drafting.joining` for the cloth)."""

from __future__ import annotations

from typing import NamedTuple

from ..source.text import Span
from ..syntax import tree
from .change import ChangeScope
from .drawn import PLACED, Drawn, drawn_of
from .expressions import lower_length
from .kinds import LENGTH, SHAPE
from .plan import Value
from .ring import IMAGE, Added, EdgeRing, Portion, RingEdge


def mirror(change: ChangeScope, drawn: Drawn, node: tree.Mirror) -> Drawn:
    return drawn.change("mirror", node.head, drawn.ring.turned_over())


def open_out(change: ChangeScope, drawn: Drawn, node: tree.OpenOut) -> Drawn | None:
    if not drawn.known_edge(node.edge):
        return None
    fold = str(node.edge)
    images = {name: f"{IMAGE}{name}" for name in drawn.points}
    inner = {f"{IMAGE}{name}": dart.called(f"{IMAGE}{name}") for name, dart in drawn.inner.items()}
    return drawn.change("open_out", node.head, drawn.ring.opened_out(fold, IMAGE), edge=fold, images=images).having(
        points=(*drawn.points, *images.values()), inner={**drawn.inner, **inner}, opened=drawn.opened | {fold}, reshaped=True
    )


def join(change: ChangeScope, drawn: Drawn, node: tree.Join) -> Drawn | None:
    lowering, edge, to = change.lowering, str(node.edge), str(node.to.edge if node.to is not None else node.edge)
    joined_piece = change.program.construction(node.piece, node.piece.span)
    joined = None if joined_piece is None else drawn_of(joined_piece, node.head)
    if joined is None or not drawn.known_edge(node.edge) or not joined.known_edge(node.to.edge if node.to is not None else node.edge):
        return None
    remaining, added = ([ring_edge.name for ring_edge in ring.beyond(at)] for ring, at in ((drawn.ring, edge), (joined.ring, to)))
    if len(added) < 2 or len(remaining) < 2:
        lowering.error(
            "N214",
            "These pieces have too few edges to be joined",
            node.head,
            "two more edges on both",
            f"{len(remaining)} and {len(added)}",
            "Draw their outlines of more edges.",
        )
        return None
    called_darts = {dart: f"{node.piece}_{dart}" for dart in (*joined.darts, *joined.inner) if dart in (*drawn.darts, *drawn.inner)}
    clash = next((dart for dart in called_darts.values() if dart in (*drawn.darts, *drawn.inner, *joined.darts, *joined.inner)), None)
    if clash is not None:
        lowering.error(
            "N202",
            f'Two darts would be called "{clash}"',
            node.head,
            "darts of different names",
            f'"{clash}" on one of the pieces already',
            "Call one of them otherwise: , called NAME",
        )
        return None
    inner = {called_darts.get(name, name): dart.called(called_darts.get(name, name)) for name, dart in joined.inner.items()}
    called_points = {
        point: new
        for name, dart in joined.inner.items()
        if name in called_darts
        for point, new in zip(dart.point_names(), dart.called(called_darts[name]).point_names(), strict=True)
    }
    meeting = {(added[0], remaining[-1]), (added[-1], remaining[0])}  # where two edges of one name meet they become one
    called = {name: f"{node.piece}_{name}" for name in added if name in remaining and (name, name) not in meeting}
    ring = drawn.ring.joined(edge, joined.ring.with_darts_called(called_darts), to, called)
    others = (called_points.get(name, name) for name in joined.points)
    points = tuple(dict.fromkeys([*drawn.points, *(name for name in others if name not in ring.corners)]))
    after = drawn.change(
        "join_on", node.head, ring, joined.shape, edge=edge, to=to, called_darts=called_darts, called_points=called_points
    )
    origins = {called.get(name, name): joined.origins[name] for name in added} | after.origins
    levels = tuple(dict.fromkeys([*drawn.levels, *joined.levels]))
    return after.having(
        points=points,
        levels=levels,
        origins=origins,
        inner={**inner, **drawn.inner},
        slashes=drawn.slashes + joined.slashes,
        reshaped=True,
    )


class _Strip(NamedTuple):
    """The edges of an extension, and along which part of the edge: all of it, "from" a place on, or "to" that place."""

    edge: str
    called: str
    stretch: str | None

    @property
    def top(self) -> str:
        return f"{self.called}_top"

    def ring(self, ring: EdgeRing) -> EdgeRing:
        """The neighbours run on where the strip comes to them; elsewhere its top leads back to the edge."""
        edge, called = self.edge, self.called
        before, after = ring.before(edge), ring.after(edge)
        strip, top = RingEdge(called, made_of=(Added("outer"),)), RingEdge(self.top, made_of=(Added("top"),))
        own_edge = ring.edge(edge)
        new_edges = {
            None: (strip,),
            "from": (RingEdge(edge, own_edge.turned, (Portion(edge, until=0),)), top, strip),
            "to": (strip, top, RingEdge(edge, own_edge.turned, (Portion(edge, since=0),))),
        }[self.stretch]
        corners = {name: at for name, at in ring.corners.items() if at not in (edge, after)}
        if self.stretch == "from":
            corners |= {name: edge for name, at in ring.corners.items() if at == edge}
            corners |= {f"{called}_{edge}": self.top, f"{called}_outer": called}
        else:
            corners[f"{called}_{before}"] = called
            ring = ring.remade(before, *ring.edge(before).made_of, Added("run on", before))
        if self.stretch == "to":
            corners |= {name: after for name, at in ring.corners.items() if at == after}
            corners |= {f"{called}_{edge}": edge, f"{called}_outer": self.top}
        else:
            corners[f"{called}_{after}"] = after
            ring = ring.remade(after, Added("run back", after), *ring.edge(after).made_of)
        return ring.replaced(edge, *new_edges).with_corners(corners)


def extend(change: ChangeScope, drawn: Drawn, node: tree.Extend) -> Drawn | None:
    if not drawn.known_edge(node.edge):
        return None
    edge = str(node.edge)
    called = str(node.called.name) if node.called is not None else edge if node.stretch is None else f"{edge}_extension"
    place: list[Value] = []
    strip = _Strip(edge, called, None)
    if node.stretch is not None:
        stretch = _stretch(change, drawn, edge, node.stretch)
        if stretch is None:
            return None
        strip, place = _Strip(edge, called, stretch[0]), [stretch[1]]
    new_edges = [called] if node.stretch is None else [called, strip.top]
    if any(name in drawn.edges and (name != edge or node.stretch is not None) for name in new_edges):
        change.lowering.error(
            "N202",
            f'The piece has an edge "{called}" already',
            node.head,
            "a new name",
            f'"{called}"',
            "Give the extension a name: , called wrap",
        )
        return None
    if node.sloping is not None and node.stretch is None:
        change.lowering.error(
            "N331",
            "Only a strip along a part of an edge slopes where it begins",
            node.sloping.span,
            f"extend {edge} by some width from P to Q, sloping so much",
            f"a strip along all of {edge}",
            "Say from which point to which end the strip runs, or leave the slope out.",
        )
        return None
    ring = strip.ring(drawn.ring)
    drawn.call(node.called)
    # The ends of the edge that are corners no more lie within the piece: they stay its points.
    within = {name: drawn.corner(drawn.corners[name]) for name in drawn.ring.ends_at(edge) if name not in ring.corners}
    amount = lower_length(change.scope, node.amount)
    if node.sloping is not None:
        place.append(lower_length(change.scope, node.sloping.amount))
    after = drawn.change(
        "extend", node.head, ring, amount, *place, edge=edge, folded=node.folded is not None, stretch=strip.stretch
    ).having(touched={drawn.ring.before(edge), drawn.ring.after(edge), edge}, reshaped=True)
    if not within:
        return after
    shape = after.emit("with_points", SHAPE, node.head, *within.values(), names=tuple(within))
    return after.filled(shape, after.ring).having(points=(*after.points, *within))


def _stretch(change: ChangeScope, drawn: Drawn, edge: str, node: tree.Stretch) -> tuple[str, Value] | None:
    """("from" or "to", the place on the edge) of an extension along a part of it; None, said."""
    for end, inner in ((node.start, node.end), (node.end, node.start)):
        drawn.mention(end.parts[-1])
        at = drawn.corners.get(str(end))
        if at in (edge, drawn.ring.after(edge)):
            point = drawn.own_point(change.scope, inner)
            return "to" if at == edge else "from", drawn.emit("place_at_point", LENGTH, inner.span, point, name=edge)
    change.lowering.error(
        "N231",
        "One end of the extension is an end of the edge",
        node.head,
        f"from a point of {edge} to one of its ends",
        " ".join(node.head.text.split()),
        "Name the corner of the piece as one of the two ends.",
    )
    return None


def trim(change: ChangeScope, drawn: Drawn, node: tree.Trim) -> Drawn | None:
    if not drawn.known_edge(node.edge):
        return None
    edge, ring = str(node.edge), drawn.ring
    before, after = ring.before(edge), ring.after(edge)
    called = edge if node.called is None else str(node.called.name)
    darts = [dart for dart, on in drawn.darts.items() if on == edge]
    if darts or len({edge, before, after}) < 3:
        change.lowering.error(
            "N332",
            f"Nothing can be trimmed off along {edge}",
            node.head,
            "an edge without darts, and one at either side of it",
            f"the darts {', '.join(darts)}" if darts else f"an outline of {' and '.join(ring.names)}",
            "Move or close its darts first." if darts else "Draw the outline of more edges.",
        )
        return None
    if called in drawn.edges and called != edge:
        change.lowering.error(
            "N202",
            f'The piece has an edge "{called}" already',
            node.head,
            "a new name",
            f'"{called}"',
            "Give the edge that is left another name: , called lining_hem",
        )
        return None
    drawn.call(node.called)
    lost = {name for name, at in ring.corners.items() if at in (edge, after)}
    corners = {name: at for name, at in ring.corners.items() if name not in lost}
    corners |= {f"{called}_{before}": called, f"{called}_{after}": after}
    left = ring.replaced(edge, RingEdge(called, ring.edge(edge).turned, (Added("inner"),)))
    left = left.remade(before, Portion(before, until=0)).remade(after, Portion(after, since=1)).with_corners(corners)
    amount = lower_length(change.scope, node.amount)
    points = tuple(name for name in drawn.points if PLACED not in name and name not in corners)
    return drawn.change("trim", node.head, left, amount, edge=edge, between=(before, after)).having(
        points=points, touched={before, after, called}, reshaped=True
    )


def face(change: ChangeScope, drawn: Drawn, node: tree.Face) -> Drawn | None:
    known = [drawn.known_edge(name) for name in node.edges]  # each unknown name is reported
    if not all(known):
        return None
    faced = _faced(change, drawn, [str(name) for name in node.edges], node.head)
    if faced is None:
        return None
    ring = drawn.ring
    before, after = ring.before(faced[0]), ring.after(faced[-1])
    called = str(node.called.name) if node.called is not None else "inner"
    if called in drawn.edges:
        change.lowering.error(
            "N202",
            f'The piece has an edge "{called}" already',
            node.head,
            "a new name",
            f'"{called}"',
            "Give the inner edge a name: , called inner_edge",
        )
        return None
    drawn.call(node.called)
    corners = {name: at for name, at in ring.corners.items() if at in (*faced, after)}
    corners |= {f"{called}_{before}": before, f"{called}_{after}": called}
    edges = (
        RingEdge(before, ring.edge(before).turned, (Portion(before, since=0),)),
        *(ring.edge(name) for name in faced),
        RingEdge(after, ring.edge(after).turned, (Portion(after, until=1),)),
        RingEdge(called, True, (Added("inner"),)),
    )
    depth = lower_length(change.scope, node.depth)
    points = tuple(name for name in drawn.points if PLACED not in name)  # marked lines lie on the cloth that falls away
    return drawn.change("facing", node.head, EdgeRing(edges, corners), depth, edges=faced, stays=change.held(drawn)).having(
        points=points, touched={before, after}, levels=(), reshaped=True
    )


def _faced(change: ChangeScope, drawn: Drawn, named: list[str], span: Span) -> tuple[str, ...] | None:
    """The edges of a facing in the order of the outline; None where they do not follow each other, said."""
    ring = drawn.ring
    starts = [name for name in named if ring.before(name) not in named]
    if len(starts) != 1 or len(set(named)) != len(named):
        change.lowering.error(
            "N214",
            "A facing runs along edges that follow each other",
            span,
            "neighbouring edges of the outline",
            ", ".join(named),
            f"The outline runs: {', '.join(ring.names)}.",
        )
        return None
    names = ring.begun_at(starts[0]).names
    if len(names) < len(named) + 2:
        change.lowering.error(
            "N214",
            "A facing needs an edge of its own at either end",
            span,
            "two more edges in the outline",
            ", ".join(names),
            "Draw the outline of more edges.",
        )
        return None
    return names[: len(named)]


def true_edge(change: ChangeScope, drawn: Drawn, node: tree.TrueEdge) -> Drawn | None:
    if not drawn.known_edge(node.edge):
        return None
    edge = str(node.edge)
    return drawn.change("true_edge", node.head, drawn.ring, edge=edge).having(touched={edge}, reshaped=True)
