"""Mirroring, opening out, joining, extending, facing and truing a piece: the names (see `drafting.joining` for the cloth)."""

from __future__ import annotations

from ..syntax import tree
from .change import Change
from .drawn import Drawn, drawn_of
from .expressions import lower_length
from .kinds import LENGTH, SHAPE


def mirror(change: Change, drawn: Drawn, node: tree.Mirror) -> Drawn:
    edges = (drawn.edges[0], *drawn.edges[:0:-1])
    corners = {name: drawn.before(edge) for name, edge in drawn.corners.items()}
    turned = {edge: not drawn.turned.get(edge, False) for edge in edges}
    return drawn.changed(drawn.emit("mirror", SHAPE, node.head), edges=edges, corners=corners, turned=turned)


def open_out(change: Change, drawn: Drawn, node: tree.OpenOut) -> Drawn | None:
    if not drawn.known_edge(node.edge):
        return None
    fold = str(node.edge)
    k = drawn.edges.index(fold)
    half = drawn.edges[k + 1 :] + drawn.edges[:k]
    edges = (*half, *(f"other_{edge}" for edge in half[::-1]))
    corners = {}
    for name, edge in drawn.corners.items():
        corners[name] = f"other_{half[-1]}" if edge == fold else edge
        if edge != fold and edge != half[0]:
            corners[f"other_{name}"] = f"other_{half[half.index(edge) - 1]}"
    turned = {**drawn.turned, **{f"other_{edge}": not drawn.turned.get(edge, False) for edge in half}}
    darts = {**drawn.darts, **{f"other_{name}": f"other_{edge}" for name, edge in drawn.darts.items()}}
    return drawn.changed(
        drawn.emit("open_out", SHAPE, node.head, edge=fold),
        edges=edges,
        corners=corners,
        turned=turned,
        points=(*drawn.points, *(f"other_{name}" for name in drawn.points)),
        darts=darts,
        opened=drawn.opened | {fold},
        reshaped=True,
    )


def join(change: Change, drawn: Drawn, node: tree.Join) -> Drawn | None:
    bench, edge, to = change.bench, str(node.edge), str(node.to.edge if node.to is not None else node.edge)
    other = change.program.construction(node.piece, node.piece.span)
    theirs = None if other is None else drawn_of(other, node.head)
    if theirs is None or not drawn.known_edge(node.edge) or not theirs.known_edge(node.to.edge if node.to is not None else node.edge):
        return None
    k, j = drawn.edges.index(edge), theirs.edges.index(to)
    added = theirs.edges[j + 1 :] + theirs.edges[:j]
    kept = drawn.edges[k + 1 :] + drawn.edges[:k]  # after the edge, round to before it
    if len(added) < 2 or len(kept) < 2:
        return (
            bench.error(
                "N214",
                "These pieces have too few edges to be joined",
                node.head,
                "two more edges on both",
                f"{len(kept)} and {len(added)}",
                "Draw their outlines of more edges.",
            )
            and None
        )
    names = {}
    for at, name in enumerate(added):
        meets = (at == 0 and name == kept[-1]) or (at == len(added) - 1 and name == kept[0])
        if name in kept and not meets:
            names[name] = f"{node.piece}_{name}"
    ring: list[str] = []
    for name in (*kept, *(names.get(name, name) for name in added)):
        if not ring or ring[-1] != name:
            ring.append(name)
    if ring[0] == ring[-1]:
        ring.pop()
    corners = {name: at for name, at in drawn.corners.items() if at != edge and at != drawn.after(edge)}
    corners.update(
        {name: names.get(at, at) for name, at in theirs.corners.items() if at != to and at != added[0] and name not in corners}
    )
    for start, meeting in ((edge, added[0]), (drawn.after(edge), drawn.after(edge))):  # where the two pieces meet
        now = names.get(meeting, meeting)
        before = kept[-1] if start == edge else names.get(added[-1], added[-1])
        if now != before:
            corners.update({name: now for name, at in drawn.corners.items() if at == start})
    darts = {**{name: names.get(at, at) for name, at in theirs.darts.items()}, **drawn.darts}
    clash = sorted(set(theirs.darts) & set(drawn.darts))
    if clash:
        return (
            bench.error(
                "N202",
                f'Two darts would be called "{clash[0]}"',
                node.head,
                "darts of different names",
                f'"{clash[0]}" on both pieces',
                "Call one of them otherwise: , called NAME",
            )
            and None
        )
    points = tuple(dict.fromkeys([*drawn.points, *(name for name in theirs.points if name not in corners)]))
    shape = drawn.emit("join_on", SHAPE, node.head, theirs.shape, edge=edge, to=to, names=names)
    turned = {**{names.get(name, name): back for name, back in theirs.turned.items()}, **drawn.turned}
    return drawn.changed(shape, edges=tuple(ring), corners=corners, darts=darts, points=points, turned=turned, reshaped=True)


def extend(change: Change, drawn: Drawn, node: tree.Extend) -> Drawn | None:
    if not drawn.known_edge(node.edge):
        return None
    edge = str(node.edge)
    called = str(node.called.name) if node.called is not None else edge if node.stretch is None else f"{edge}_extension"
    made, place, stretch = [called], [], None
    if node.stretch is not None:
        made.append(f"{called}_top")
        for end, inner in ((node.stretch.start, node.stretch.end), (node.stretch.end, node.stretch.start)):  # noqa: B007
            at = drawn.corners.get(str(end))
            if at in (edge, drawn.after(edge)):
                stretch = "to" if at == edge else "from"
                break
        else:
            return (
                change.bench.error(
                    "N207",
                    "One end of the extension is an end of the edge",
                    node.stretch.span,
                    f"from a point of {edge} to one of its ends",
                    " ".join(node.stretch.span.text.split()),
                    "Name the corner of the piece as one of the two ends.",
                )
                and None
            )
        point = drawn.own_point(change.scope, inner)
        place = [drawn.emit("place_at_point", LENGTH, inner.head, point, name=edge)]
    if any(name in drawn.edges and (name != edge or node.stretch is not None) for name in made):
        return (
            change.bench.error(
                "N202",
                f'The piece has an edge "{called}" already',
                node.head,
                "a new name",
                f'"{called}"',
                "Give the extension a name: , called wrap",
            )
            and None
        )
    before, after = drawn.before(edge), drawn.after(edge)
    new = {None: [called], "from": [edge, f"{called}_top", called], "to": [called, f"{called}_top", edge]}[stretch]
    k = drawn.edges.index(edge)
    edges = (*drawn.edges[:k], *new, *drawn.edges[k + 1 :])
    corners = {name: at for name, at in drawn.corners.items() if at not in (edge, after)}
    lost = {name: at for name, at in drawn.corners.items() if at in (edge, after)}
    points = list(drawn.points)
    extra = [drawn.corner(at) for at in lost.values()]
    if stretch == "from":
        corners.update({name: edge for name, at in lost.items() if at == edge})
        corners[f"{called}_{edge}"] = f"{called}_top"
        corners[f"{called}_outer"] = called
    else:
        corners[f"{called}_{before}"] = called
    if stretch == "to":
        corners.update({name: after for name, at in lost.items() if at == after})
        corners[f"{called}_{edge}"] = edge
        corners[f"{called}_outer"] = f"{called}_top"
    else:
        corners[f"{called}_{after}"] = after
    inner = [name for name in lost if name not in corners]
    amount = lower_length(change.scope, node.amount)
    shape = drawn.emit(
        "extend", SHAPE, node.head, amount, *place, edge=edge, called=called, folded=node.folded is not None, stretch=stretch
    )
    if inner:
        values = [value for name, value in zip(lost, extra, strict=True) if name in inner]
        shape = change.bench.emit("with_points", SHAPE, node.head, shape, *values, names=tuple(inner))
        points += inner
    turned = {**drawn.turned, called: False, f"{called}_top": False}
    return drawn.changed(
        shape,
        edges=edges,
        corners=corners,
        points=tuple(points),
        turned=turned,
        reshaped=True,
        touched=drawn.touched | {before, after, edge},
    )


def face(change: Change, drawn: Drawn, node: tree.Face) -> Drawn | None:
    bench = change.bench
    known = [drawn.known_edge(name) for name in node.edges]  # each unknown name is reported
    if not all(known):
        return None
    named = [str(name) for name in node.edges]
    starts = [name for name in named if drawn.before(name) not in named]
    ring = list(drawn.edges)
    if len(starts) != 1 or len(set(named)) != len(named):
        return (
            bench.error(
                "N214",
                "A facing runs along edges that follow each other",
                node.head,
                "neighbouring edges of the outline",
                ", ".join(named),
                f"The outline runs: {', '.join(ring)}.",
            )
            and None
        )
    k = ring.index(starts[0])
    ring = ring[k:] + ring[:k]
    edges, after, before = ring[: len(named)], ring[len(named) % len(ring)], ring[-1]
    if after == before or len(ring) < len(named) + 2:
        return (
            bench.error(
                "N214",
                "A facing needs an edge of its own at either end",
                node.head,
                "two more edges in the outline",
                f"{', '.join(ring)}",
                "Draw the outline of more edges.",
            )
            and None
        )
    called = str(node.called.name) if node.called is not None else "inner"
    if called in ring:
        return (
            bench.error(
                "N202",
                f'The piece has an edge "{called}" already',
                node.head,
                "a new name",
                f'"{called}"',
                "Give the inner edge a name: , called inner_edge",
            )
            and None
        )
    depth = lower_length(change.scope, node.depth)
    shape = drawn.emit("facing", SHAPE, node.head, depth, edges=tuple(edges), called=called, stays=change.held(drawn))
    corners = {name: at for name, at in drawn.corners.items() if at in (*edges, after)}
    corners.update({f"{called}_{before}": before, f"{called}_{after}": called})
    made = (before, *edges, after, called)
    return drawn.changed(
        shape,
        edges=made,
        corners=corners,
        darts={},
        reshaped=True,
        touched=drawn.touched | {before, after},
        turned={**{name: drawn.turned.get(name, False) for name in made}, called: True},
    )


def true_edge(change: Change, drawn: Drawn, node: tree.TrueEdge) -> Drawn | None:
    if not drawn.known_edge(node.edge):
        return None
    return drawn.changed(
        drawn.emit("true_edge", SHAPE, node.head, edge=str(node.edge)), touched=drawn.touched | {str(node.edge)}, reshaped=True
    )
