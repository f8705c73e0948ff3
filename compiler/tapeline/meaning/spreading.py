"""Spreading a piece and laying pleats: the ring (see `drafting.spreading` for what it does to the cloth).

Each slash leads from one edge to another, so it is known here which side of it is carried off: the one without the corner
at which the piece stays.
"""

from __future__ import annotations

from ..source.text import Span
from ..syntax import tree
from .change import ChangeScope
from .drawn import Drawn
from .expressions import lower_kind, lower_length
from .kinds import LENGTH, NUMBER, UNKNOWN
from .plan import Value

MOST_SLASHES = 48


def _two_edges(change: ChangeScope, drawn: Drawn, start: tree.Word, end: tree.Word, span: Span) -> tuple[str, str] | None:
    if not (drawn.known_edge(start) and drawn.known_edge(end)):
        return None
    if str(start) == str(end):
        change.lowering.error(
            "N214",
            "A slash leads from one edge to another",
            span,
            "two different edges",
            f"{start} twice",
            "Name another edge for its other end.",
        )
        return None
    return str(start), str(end)


def _counted(change: ChangeScope, node: tree.Node) -> int | None:
    """A whole number of slashes or pleats, known before anything is drawn."""
    number = node.word if isinstance(node, tree.Number) else None
    if number is not None and str(number).isdigit():
        count = int(number)
    else:
        value = lower_kind(change.scope, node, NUMBER)
        if value.kind is UNKNOWN:
            return None
        count = change.lowering.course("count", value, node.head, change.drawing.name)
    if not 1 <= count <= MOST_SLASHES:
        change.lowering.error(
            "N210", "A piece is slashed a whole number of times", node.head, f"1 to {MOST_SLASHES}", f"{count}", "Set another number."
        )
        return None
    return int(count)


def _lines(change: ChangeScope, names: tuple[tree.Word, ...]) -> list[Value] | None:
    """The lines along which a piece is slashed; None, said."""
    lines = [change.drawing.raw_edge(name, name.span) for name in names]
    return [line.guide for line in lines if line is not None] if None not in lines else None


def spread(change: ChangeScope, drawn: Drawn, node: tree.Spread) -> Drawn | None:
    far = node.other
    assert isinstance(far, tree.Hinged | tree.SpreadAlso)
    edges = _two_edges(change, drawn, node.edge, far.edge, node.head)
    if edges is None:
        return None
    lines: list[Value] = []
    count: int | None
    if isinstance(node.where, tree.AlongLines):
        drawn_lines = _lines(change, node.where.lines)
        if drawn_lines is None:
            return None
        lines, count = drawn_lines, len(drawn_lines)
    else:
        assert isinstance(node.where, tree.InCuts)
        count = _counted(change, node.where.count)
        if count is None:
            return None
    amount = lower_length(change.scope, node.amount)
    far_amount = (
        change.lowering.constant(0.0, LENGTH, node.head) if isinstance(far, tree.Hinged) else lower_length(change.scope, far.amount)
    )
    shares = node.share, None if isinstance(far, tree.Hinged) else far.share
    each = tuple(share is not None and share.word == "each" for share in shares)
    stays = change.staying(drawn, edges, node.staying)
    if stays is None:
        return None
    onward = drawn.ring.clear_onward(*edges, stays.edge)
    return drawn.change(
        "spread",
        node.head,
        drawn.ring,
        amount,
        far_amount,
        *lines,
        edges=edges,
        count=count,
        each=each,
        onward=onward,
        kept=stays.point,
        stays=stays.said,
    ).having(touched=edges, slashes=drawn.slashes + count, reshaped=True)


def _between(change: ChangeScope, drawn: Drawn, edge: str, ref: tree.Ref) -> Value | None:
    """A place on an edge from which or to which pleats are laid: one of its ends, or a point on it; None, said."""
    if str(ref) in drawn.corners or len(ref.parts) > 1 or str(ref) in drawn.points:
        return drawn.emit("place_at_point", LENGTH, ref.span, drawn.own_point(change.scope, ref), name=edge)
    end = drawn.end(edge, ref)
    if end is None:
        return None
    zero = change.lowering.constant(0.0, NUMBER, ref.span)
    return drawn.emit("place_on_edge", LENGTH, ref.span, zero, name=edge, backward=end == "end", part=True)


def pleats(change: ChangeScope, drawn: Drawn, node: tree.Pleats | tree.PleatsAlong) -> Drawn | None:
    edges, laid = _two_edges(change, drawn, node.edge, node.other, node.head), _laid(change, drawn, node)
    if edges is None or laid is None:
        return None
    count, between, lines = laid
    if node.tapered is not None and str(node.tapered.edge) != edges[1]:
        change.lowering.error(
            "N207",
            "A pleat tapers toward its other end",
            node.tapered.span,
            f"deep at {edges[1]}",
            f"deep at {node.tapered.edge}",
            f"Say: , {node.tapered.depth.span.text} deep at {edges[1]}",
        )
        return None
    called = str(node.called.name) if node.called is not None else "pleat"
    names = tuple(f"{called}{k + 1}" for k in range(count))
    clash = [name for name in names if name in drawn.darts]
    if clash:
        change.lowering.error(
            "N202",
            f'"{clash[0]}" is given twice',
            node.head,
            "each name once",
            f'a second "{clash[0]}"',
            "Give these pleats a name of their own: , called NAME",
        )
        return None
    press = change.pressed(drawn, edges[0], node.pressed)
    if press is None:
        return None
    if node.tapered is not None:
        drawn.mention(node.tapered.edge)
    depth = lower_length(change.scope, node.depth)
    far_depth = depth if node.tapered is None else lower_length(change.scope, node.tapered.depth)
    ring = drawn.ring
    for name in names:
        ring = ring.with_dart(name, edges[0])
    stays = change.staying(drawn, edges, node.staying)
    if stays is None:
        return None
    onward = drawn.ring.clear_onward(*edges, stays.edge)
    return drawn.change(
        "pleats",
        node.head,
        ring,
        depth,
        far_depth,
        *between,
        *lines,
        edges=edges,
        names=names,
        lines=len(lines),
        onward=onward,
        press=press,
        kept=stays.point,
        stays=stays.said,
    ).having(touched=edges, slashes=drawn.slashes + count, reshaped=True)


def _laid(change: ChangeScope, drawn: Drawn, node: tree.Pleats | tree.PleatsAlong) -> tuple[int, list[Value], list[Value]] | None:
    """How many pleats are laid, between which two places if not over the whole edge, and along which lines; None, said."""
    if isinstance(node, tree.PleatsAlong):
        lines = _lines(change, node.lines)
        return None if lines is None else (len(lines), [], lines)
    count, between = _counted(change, node.count), []
    for ref in (node.evenly.start, node.evenly.end) if node.evenly is not None else ():
        place = _between(change, drawn, str(node.edge), ref)
        if place is None:
            return None
        between.append(place)
    return None if count is None else (count, between, [])
