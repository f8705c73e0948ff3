"""Statements that change a piece, to steps: each takes the piece as it is drawn so far and gives it changed.

They act in the order in which they are written, on names that the piece has at that moment.  What each does to the cloth
is told in `drafting` (pivoting, parting, spreading, joining); here the names are followed.
"""

from __future__ import annotations

from typing import NamedTuple

from ..syntax import tree
from .drawn import Drawn, drawn_of
from .expressions import lower_kind, lower_length, lower_length_or_fraction
from .kinds import LENGTH, NUMBER, PAIR, SHAPE, UNKNOWN

MOST_SLASHES = 48


class Change:
    """What a change may look at besides the piece: where values are read, and which edge the piece stays at."""

    def __init__(self, program, drawing, scope, stays: str | None):
        self.program, self.drawing, self.scope = program, drawing, scope  # `drawing` is the piece that is changed
        self.bench = program.bench
        self.stays = stays

    def held(self, drawn: Drawn) -> str:
        return self.stays if self.stays in drawn.edges else drawn.edges[0]


def as_written(said):
    """(statement, scope) pairs in the order in which they are written, those of another file after all of the one before: so
    a block comes before its piece, and a style before what one that starts from it adds."""
    files = list(dict.fromkeys(id(node.span.source) for node, _ in said))
    return sorted(said, key=lambda one: (files.index(id(one[0].span.source)), one[0].span.start))


def changed(program, drawing, drawn: Drawn | None, statements, stays: str | None) -> Drawn | None:
    """The piece after its changes; None once one cannot be read, which has been said."""
    for node, scope in statements:
        if drawn is None:
            return None
        drawn = _CHANGE[type(node)](Change(program, drawing, scope, stays), drawn, node)
        if drawn is not None and drawn.shape.kind is UNKNOWN:
            return None
    return drawn


# ------------------------------------------------------------ darts


def _amount(change: Change, by):
    """(inputs, how the amount is told) of a `by`: a part of the dart, or its width at the edge."""
    if by is None:
        return (), "part"
    amount = lower_length_or_fraction(change.scope, by.amount)
    return (amount,), "intake" if amount.kind == LENGTH else "part"


def pivot(change: Change, drawn: Drawn, node: tree.Pivot) -> Drawn | None:
    if not (drawn.known_dart(node.dart) and drawn.known_edge(node.edge)):
        return None
    old, edge = str(node.dart), str(node.edge)
    called = str(node.called.name) if node.called is not None else old
    if (called in drawn.darts and called != old) or (node.by is not None and called == old):
        return change.bench.error("N202", f'Two darts would be called "{called}"', node.span, "a name for the new dart",
                                  f'"{called}" twice', "Give the new dart a name of its own: , called shoulder_dart") and None
    press = "near"
    if node.pressed is not None:
        end = drawn.end(edge, node.pressed.end)
        if end is None:
            return None
        press = "near" if end == "start" else "far"
    amount, by = _amount(change, node.by)
    shape = drawn.emit("pivot", SHAPE, node.span, drawn.place(change.scope, node.place, edge), *amount, dart=old, edge=edge,
                       called=called, stays=change.held(drawn), by=by, press=press, flare=False)
    darts = {name: at for name, at in drawn.darts.items() if name != old or node.by is not None}
    return drawn.changed(shape, darts={**darts, called: edge})


def pivot_into(change: Change, drawn: Drawn, node: tree.PivotInto) -> Drawn | None:
    if not (drawn.known_dart(node.dart) and drawn.known_dart(node.other)):
        return None
    old, other = str(node.dart), str(node.other)
    if old == other:
        return change.bench.error("N207", "A dart cannot be moved into itself", node.span, "two darts", f'"{old}" twice',
                                  "Name another dart, or a place: to EDGE at half.") and None
    amount, by = _amount(change, node.by)
    shape = drawn.emit("pivot_into", SHAPE, node.span, *amount, dart=old, other=other, stays=change.held(drawn), by=by)
    return drawn.changed(shape, darts={name: at for name, at in drawn.darts.items() if name != old or node.by is not None})


def close(change: Change, drawn: Drawn, node: tree.Close) -> Drawn | None:
    if not (drawn.known_dart(node.dart) and drawn.known_edge(node.edge)):
        return None
    old, edge = str(node.dart), str(node.edge)
    amount, by = _amount(change, node.by)
    shape = drawn.emit("pivot", SHAPE, node.span, drawn.place(change.scope, node.place, edge), *amount, dart=old, edge=edge,
                       called="", stays=change.held(drawn), by=by, press="near", flare=True)
    darts = {name: at for name, at in drawn.darts.items() if name != old or node.by is not None}
    return drawn.changed(shape, darts=darts, touched=drawn.touched | {edge}, reshaped=True)


def shorten(change: Change, drawn: Drawn, node: tree.Shorten) -> Drawn | None:
    if not drawn.known_dart(node.dart):
        return None
    amount = lower_length(change.scope, node.amount)
    return drawn.changed(drawn.emit("shorten", SHAPE, node.span, amount, dart=str(node.dart)), reshaped=True)


def release(change: Change, drawn: Drawn, node: tree.Release) -> Drawn | None:
    if not drawn.known_dart(node.dart):
        return None
    name = str(node.dart)
    shape = drawn.emit("release", SHAPE, node.span, dart=name)
    darts = {dart: edge for dart, edge in drawn.darts.items() if dart != name}
    return drawn.changed(shape, darts=darts, touched=drawn.touched | {drawn.darts[name]}, reshaped=True)


# ------------------------------------------------------------ cutting a piece in two


def parts(program, scope, node: tree.CutApart, source, fold: str | None) -> tuple[Drawn, Drawn] | None:
    """The two parts of a cut: from the first stop on to the second, and from the second on to the first."""
    bench, drawn = program.bench, drawn_of(source, node.span)
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
        return bench.error("N214", "A cut leads from one edge to another", node.span, "two different edges",
                           f"{sides[0].begins} twice", "Lead the cut to another edge of the piece.") and None
    seam = str(node.seam)
    if seam in drawn.edges:
        return bench.error("N202", f'The piece has an edge "{seam}" already', node.seam.span, "a new name for the seam",
                           f'"{seam}"', "Give the seam another name.") and None
    if line is not None:
        drawn_line = source.raw_edge(line.name, line.name.span)
        if drawn_line is None:
            return None
        inputs.append(drawn_line.guide)
    through = node.way.darts if isinstance(node.way, tree.CutThrough) else ()
    for name in through:
        if str(name) not in source.inner_darts:
            return bench.unknown_name("dart within the piece", name, name.span, source.inner_darts,
                                      "Only a dart within the piece, with two points, is cut through on the way.") and None
        inputs += [drawn.point(point, name.span) for point in source.inner_darts[str(name)].point_names()]
    closing = tuple(str(name) for name in (node.closing.darts if node.closing is not None else ()))
    for name in node.closing.darts if node.closing is not None else ():
        if not drawn.known_dart(name):
            return None
    if closing and line is None:
        closing_needs = "Draw the line across them and say: along that line."
        return bench.error("N208", "Darts are closed along a line", node.closing.span, "along LINE", "no line",
                           closing_needs) and None
    pair = drawn.emit("cut_apart", PAIR, node.span, *inputs, stops=tuple(stops), line=line is not None, closing=closing,
                      seam=seam, stays=fold or drawn.edges[0], through=tuple(str(name) for name in through))
    taken = {stop[1] for stop in stops if stop[0] == "dart"}
    result = []
    for number, (first, last) in enumerate((sides, sides[::-1])):
        shape = bench.emit("part", SHAPE, node.span, pair, number=number)
        part = _part(drawn, shape, first, last, seam, taken, closing, number)
        cut_up = {point for name in through for point in source.inner_darts[str(name)].point_names()}
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
        drawn.bench.error("N208", f'At which place of "{name}" does the cut end?', stop.span, f"{name} at half, or along a line",
                          f'"{name}"', "Add a place: at half, at 8 cm from P; or say along which line the piece is cut.")
        return None
    drawn.bench.unknown_name("edge, corner or dart", stop.name, stop.name.span, [*drawn.edges, *drawn.corners, *drawn.darts])
    return None


def _part(drawn: Drawn, shape, start: _Stop, end: _Stop, seam: str, taken, closing, number: int) -> Drawn:
    first, last = start.begins, end.ends
    k, edges = drawn.edges.index(first), drawn.edges
    ring = list(edges[k:] + edges[:k])
    ring = ring[:ring.index(last) + 1]
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
        darts.update({name: seam for name in closing})
    return drawn.changed(shape, edges=tuple(ring), corners=corners, darts=darts, doubtful=doubtful, reshaped=True, parted=True,
                         turned={**{edge: drawn.turned.get(edge, False) for edge in ring}, seam: number == 0},
                         touched=drawn.touched | {edge for edge in (start.cut, end.cut) if edge is not None})


def holding(parts: tuple[Drawn, Drawn], what: tree.Ref | None) -> int | None:
    """Which of two parts holds an edge or point; None where it says nothing, -1 where neither or both do."""
    if what is None:
        return None
    name = str(what)
    found = [k for k, part in enumerate(parts)
             if name in part.corners or (name in part.edges and name not in part.touched)]
    if not found:
        found = [k for k, part in enumerate(parts) if name in part.edges]
    return found[0] if len(found) == 1 else -1


# ------------------------------------------------------------ spreading


def _two_edges(change: Change, drawn: Drawn, one, other, span) -> tuple[str, str] | None:
    if not (drawn.known_edge(one) and drawn.known_edge(other)):
        return None
    if str(one) == str(other):
        change.bench.error("N214", "A slash leads from one edge to another", span, "two different edges",
                           f"{one} twice", "Name another edge for its other end.")
        return None
    return str(one), str(other)


def _counted(change: Change, node) -> int | None:
    """A whole number of slashes or pleats, known before anything is drawn."""
    number = node.word if isinstance(node, tree.Number) else None
    if number is not None and str(number).isdigit():
        count = int(number)
    else:
        value = lower_kind(change.scope, node, NUMBER)
        if value.kind is UNKNOWN:
            return None
        count = change.bench.course("count", value, node.span, change.drawing.name)
    if not 1 <= count <= MOST_SLASHES:
        change.bench.error("N210", "A piece is slashed a whole number of times", node.span, f"1 to {MOST_SLASHES}",
                           f"{count}", "Set another number.")
        return None
    return int(count)


def spread(change: Change, drawn: Drawn, node: tree.Spread) -> Drawn | None:
    hinged = isinstance(node.other, tree.Hinged)
    edges = _two_edges(change, drawn, node.edge, node.other.edge, node.span)
    if edges is None:
        return None
    lines = []
    if isinstance(node.where, tree.AlongLines):
        for name in node.where.lines:
            line = change.drawing.raw_edge(name, name.span)
            if line is None:
                return None
            lines.append(line.guide)
        count = len(lines)
    else:
        count = _counted(change, node.where.count)
        if count is None:
            return None
    amount = lower_length(change.scope, node.amount)
    other = (change.bench.constant(0.0, LENGTH, node.span) if hinged else lower_length(change.scope, node.other.amount))
    each = tuple(share is not None and share.word == "each" for share in (node.share, None if hinged else node.other.share))
    shape = drawn.emit("spread", SHAPE, node.span, amount, other, *lines, edges=edges, count=count, each=each,
                       stays=change.held(drawn))
    return drawn.changed(shape, touched=drawn.touched | set(edges), reshaped=True)


def pleats(change: Change, drawn: Drawn, node: tree.Pleats) -> Drawn | None:
    edges, count = _two_edges(change, drawn, node.edge, node.other, node.span), _counted(change, node.count)
    if edges is None or count is None:
        return None
    if node.tapered is not None and str(node.tapered.edge) != edges[1]:
        return change.bench.error("N207", "A pleat tapers toward its other end", node.tapered.span, f"deep at {edges[1]}",
                                  f"deep at {node.tapered.edge}", f"Say: , {node.tapered.depth.span.text} deep at {edges[1]}") and None
    called = str(node.called.name) if node.called is not None else "pleat"
    names = tuple(f"{called}{k + 1}" for k in range(count))
    clash = [name for name in names if name in drawn.darts]
    if clash:
        return change.bench.error("N202", f'"{clash[0]}" is given twice', node.span, "each name once", f'a second "{clash[0]}"',
                                  "Give these pleats a name of their own: , called NAME") and None
    press = "near"
    if node.pressed is not None:
        end = drawn.end(edges[0], node.pressed.end)
        if end is None:
            return None
        press = "near" if end == "start" else "far"
    depth = lower_length(change.scope, node.depth)
    other = depth if node.tapered is None else lower_length(change.scope, node.tapered.depth)
    between = []
    for ref in (node.evenly.start, node.evenly.end) if node.evenly is not None else ():
        if str(ref) in drawn.corners or len(ref.parts) > 1 or str(ref) in drawn.points:
            between.append(drawn.emit("place_at_point", LENGTH, ref.span, drawn.own_point(change.scope, ref), name=edges[0]))
        else:
            end = drawn.end(edges[0], ref)
            if end is None:
                return None
            nought = change.bench.constant(0.0, NUMBER, ref.span)
            between.append(drawn.emit("place_on_edge", LENGTH, ref.span, nought, name=edges[0], backward=end == "end", part=True))
    shape = drawn.emit("pleats", SHAPE, node.span, depth, other, *between, edges=edges, names=names, stays=change.held(drawn), press=press)
    return drawn.changed(shape, darts={**drawn.darts, **dict.fromkeys(names, edges[0])}, touched=drawn.touched | set(edges),
                         reshaped=True)


# ------------------------------------------------------------ copying and adding cloth


def mirror(change: Change, drawn: Drawn, node: tree.Mirror) -> Drawn:
    edges = (drawn.edges[0], *drawn.edges[:0:-1])
    corners = {name: drawn.before(edge) for name, edge in drawn.corners.items()}
    turned = {edge: not drawn.turned.get(edge, False) for edge in edges}
    return drawn.changed(drawn.emit("mirror", SHAPE, node.span), edges=edges, corners=corners, turned=turned)


def unfold(change: Change, drawn: Drawn, node: tree.Unfold) -> Drawn | None:
    if not drawn.known_edge(node.edge):
        return None
    fold = str(node.edge)
    k = drawn.edges.index(fold)
    half = drawn.edges[k + 1:] + drawn.edges[:k]
    edges = (*half, *(f"other_{edge}" for edge in half[::-1]))
    corners = {}
    for name, edge in drawn.corners.items():
        corners[name] = f"other_{half[-1]}" if edge == fold else edge
        if edge != fold and edge != half[0]:
            corners[f"other_{name}"] = f"other_{half[half.index(edge) - 1]}"
    turned = {**drawn.turned, **{f"other_{edge}": not drawn.turned.get(edge, False) for edge in half}}
    darts = {**drawn.darts, **{f"other_{name}": f"other_{edge}" for name, edge in drawn.darts.items()}}
    return drawn.changed(drawn.emit("unfold", SHAPE, node.span, edge=fold), edges=edges, corners=corners, turned=turned,
                         points=(*drawn.points, *(f"other_{name}" for name in drawn.points)), darts=darts, opened=drawn.opened | {fold}, reshaped=True)


def join(change: Change, drawn: Drawn, node: tree.Join) -> Drawn | None:
    bench, edge, to = change.bench, str(node.edge), str(node.to.edge if node.to is not None else node.edge)
    other = change.program.construction(node.piece, node.piece.span)
    theirs = None if other is None else drawn_of(other, node.span)
    if theirs is None or not drawn.known_edge(node.edge) or not theirs.known_edge(node.to.edge if node.to is not None else node.edge):
        return None
    k, j = drawn.edges.index(edge), theirs.edges.index(to)
    added = theirs.edges[j + 1:] + theirs.edges[:j]
    kept = drawn.edges[k + 1:] + drawn.edges[:k]  # after the edge, round to before it
    if len(added) < 2 or len(kept) < 2:
        return bench.error("N214", "These pieces have too few edges to be joined", node.span, "two more edges on both",
                           f"{len(kept)} and {len(added)}", "Draw their outlines of more edges.") and None
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
    corners.update({name: names.get(at, at) for name, at in theirs.corners.items()
                    if at != to and at != added[0] and name not in corners})
    for start, meeting in ((edge, added[0]), (drawn.after(edge), drawn.after(edge))):  # where the two pieces meet
        now = names.get(meeting, meeting)
        before = kept[-1] if start == edge else names.get(added[-1], added[-1])
        if now != before:
            corners.update({name: now for name, at in drawn.corners.items() if at == start})
    darts = {**{name: names.get(at, at) for name, at in theirs.darts.items()}, **drawn.darts}
    clash = sorted(set(theirs.darts) & set(drawn.darts))
    if clash:
        return bench.error("N202", f'Two darts would be called "{clash[0]}"', node.span, "darts of different names",
                           f'"{clash[0]}" on both pieces', "Call one of them otherwise: , called NAME") and None
    points = tuple(dict.fromkeys([*drawn.points, *(name for name in theirs.points if name not in corners)]))
    shape = drawn.emit("join_on", SHAPE, node.span, theirs.shape, edge=edge, to=to, names=names)
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
        for end, inner in ((node.stretch.start, node.stretch.end), (node.stretch.end, node.stretch.start)):
            at = drawn.corners.get(str(end))
            if at in (edge, drawn.after(edge)):
                stretch = "to" if at == edge else "from"
                break
        else:
            return change.bench.error("N207", "One end of the extension is an end of the edge", node.stretch.span,
                                      f"from a point of {edge} to one of its ends", " ".join(node.stretch.span.text.split()),
                                      "Name the corner of the piece as one of the two ends.") and None
        point = drawn.own_point(change.scope, inner)
        place = [drawn.emit("place_at_point", LENGTH, inner.span, point, name=edge)]
    if any(name in drawn.edges and (name != edge or node.stretch is not None) for name in made):
        return change.bench.error("N202", f'The piece has an edge "{called}" already', node.span, "a new name", f'"{called}"',
                                  "Give the extension a name: , called wrap") and None
    before, after = drawn.before(edge), drawn.after(edge)
    new = {None: [called], "from": [edge, f"{called}_top", called], "to": [called, f"{called}_top", edge]}[stretch]
    k = drawn.edges.index(edge)
    edges = (*drawn.edges[:k], *new, *drawn.edges[k + 1:])
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
    shape = drawn.emit("extend", SHAPE, node.span, amount, *place, edge=edge, called=called, folded=node.folded is not None,
                       stretch=stretch)
    if inner:
        values = [value for name, value in zip(lost, extra, strict=True) if name in inner]
        shape = change.bench.emit("with_points", SHAPE, node.span, shape, *values, names=tuple(inner))
        points += inner
    turned = {**drawn.turned, called: False, f"{called}_top": False}
    return drawn.changed(shape, edges=edges, corners=corners, points=tuple(points), turned=turned, reshaped=True,
                         touched=drawn.touched | {before, after, edge})


def face(change: Change, drawn: Drawn, node: tree.Face) -> Drawn | None:
    bench = change.bench
    if not all([drawn.known_edge(name) for name in node.edges]):
        return None
    named = [str(name) for name in node.edges]
    starts = [name for name in named if drawn.before(name) not in named]
    ring = list(drawn.edges)
    if len(starts) != 1 or len(set(named)) != len(named):
        return bench.error("N214", "A facing runs along edges that follow each other", node.span, "neighbouring edges of the outline",
                           ", ".join(named), f"The outline runs: {', '.join(ring)}.") and None
    k = ring.index(starts[0])
    ring = ring[k:] + ring[:k]
    edges, after, before = ring[:len(named)], ring[len(named) % len(ring)], ring[-1]
    if after == before or len(ring) < len(named) + 2:
        return bench.error("N214", "A facing needs an edge of its own at either end", node.span, "two more edges in the outline",
                           f"{', '.join(ring)}", "Draw the outline of more edges.") and None
    called = str(node.called.name) if node.called is not None else "inner"
    if called in ring:
        return bench.error("N202", f'The piece has an edge "{called}" already', node.span, "a new name", f'"{called}"',
                           "Give the inner edge a name: , called inner_edge") and None
    depth = lower_length(change.scope, node.depth)
    shape = drawn.emit("facing", SHAPE, node.span, depth, edges=tuple(edges), called=called, stays=change.held(drawn))
    corners = {name: at for name, at in drawn.corners.items() if at in (*edges, after)}
    corners.update({f"{called}_{before}": before, f"{called}_{after}": called})
    made = (before, *edges, after, called)
    return drawn.changed(shape, edges=made, corners=corners, darts={}, reshaped=True, touched=drawn.touched | {before, after},
                         turned={**{name: drawn.turned.get(name, False) for name in made}, called: True})


def true_edge(change: Change, drawn: Drawn, node: tree.TrueEdge) -> Drawn | None:
    if not drawn.known_edge(node.edge):
        return None
    return drawn.changed(drawn.emit("true_edge", SHAPE, node.span, edge=str(node.edge)),
                         touched=drawn.touched | {str(node.edge)}, reshaped=True)


_CHANGE = {tree.Pivot: pivot, tree.PivotInto: pivot_into, tree.Close: close, tree.Shorten: shorten, tree.Release: release, tree.Spread: spread,
           tree.Pleats: pleats, tree.Mirror: mirror, tree.Unfold: unfold, tree.Join: join, tree.Extend: extend, tree.Face: face,
           tree.TrueEdge: true_edge}
CHANGES = tuple(_CHANGE)
