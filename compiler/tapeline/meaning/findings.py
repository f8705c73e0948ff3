"""What is said of finished pieces: how they are cut, marked, sewn, turned in, and what they must fulfil."""

from __future__ import annotations

from dataclasses import replace

from ..syntax import tree
from .cutting import SQUARE, Corner, Cut
from .expressions import lower_kind, lower_length
from .kinds import CONDITION, LENGTH, PATH, UNKNOWN
from .names import Names
from .plan import AllowancePlan, MarkPlan, NotchPlan, Requirement, SeamPlan
from .scopes import Scope

PLAIN = "plain"
BETWEEN_LINES = 3.0  # mm, between the two lines at which a piece is lengthened or shortened


def cut_of(program, drawing) -> Cut:
    """How often a piece is cut; once, where nothing is said.

    A piece made from another is cut as often as that one; a part without its fold, once for either side of it.
    """
    if "cut" not in drawing.singles and drawing.source is not None:
        before = cut_of(program, drawing.source)
        if before.fold is None or any(name == before.fold for name in drawing.edge_names()):
            return before
        if before.fold in drawing.base.opened:
            return replace(before, fold=None)
        return replace(before, count=2 * before.count, fold=None, paired=True)
    if "cut" not in drawing.singles:
        return Cut()
    node, _ = drawing.singles["cut"]
    bench = program.bench
    if not str(node.count).isdigit() or int(node.count) < 1:
        bench.error("N210", "A piece is cut a whole number of times", node.count.span, "1, 2, 3, ...", f"{node.count}", "")
        return Cut()
    extras = []
    for extra in node.extras or ():
        if not str(extra.count).isdigit():
            bench.error("N210", "A layer is cut a whole number of times", extra.count.span, "1, 2, 3, ...", f"{extra.count}", "")
            continue
        extras.append((int(extra.count), str(extra.purpose)[1:-1]))
    fold = None
    if isinstance(node.fold, tree.OnFold):
        chain = drawing.chain() or ()
        fold = str(node.fold.edge)
        if chain and all(name != fold for name, _, _ in chain):
            bench.unknown_name("edge", node.fold.edge, node.fold.edge.span, [str(name) for name, _, _ in chain])
            fold = None
    count = int(node.count)
    paired = count % 2 == 0 and fold is None and not isinstance(node.fold, tree.Alike)
    return Cut(count, fold, paired, tuple(extras), str(node.purpose.words)[1:-1] if node.purpose is not None else "")


# ------------------------------------------------------------ marks and notches


def marks(program, drawing) -> list[MarkPlan]:
    found = []
    for node, scope in drawing.marks:
        found += [mark for mark in MARKS[type(node)](program, drawing, node, scope) if mark is not None]
    return found


def _bones(program, drawing, node: tree.Bone, scope):
    names = drawing.dart_names().items()
    if not names:
        program.bench.error(
            "N239",
            f"The piece {drawing.name} has no dart to bone",
            node.head,
            "a piece with darts",
            "none",
            "Say: bone along some edge.",
        )
    clear = _clear(program, scope, node)
    for name, at in names:
        edge = drawing.finished_edge(at, node.head)
        path = program.bench.emit("dart_channel", PATH, node.head, edge, name=name)
        yield _bone(program, node, f"bone {name}", path, clear)


def _bones_along(program, drawing, node: tree.BoneAlong, scope):
    edge = scope.edge(node.edge)
    path = program.bench.emit("edge_sewn", PATH, node.head, edge)
    called = str(node.called.name) if node.called is not None else f"bone {node.edge}"
    yield _bone(program, node, called, path, _clear(program, scope, node))


def _clear(program, scope, node):
    if node.clear is None:
        return program.bench.constant(0.0, LENGTH, node.head)
    return lower_length(scope, node.clear.amount)


def _bone(program, node, name, path, clear):
    bench = program.bench
    length = bench.emit("bone_length", LENGTH, node.head, path, clear, name=name)
    return None if length.kind is UNKNOWN else MarkPlan("bone", name, path.slot, "", length.slot, node.head)


def _zip(program, drawing, node: tree.Zip, scope):
    edge = drawing.finished_edge(node.edge, node.edge.span)
    ends = [_zip_end(program, drawing, end, scope) for end in (node.start, node.end)]
    bench = program.bench
    path = bench.emit("edge_between_levels", PATH, node.head, edge, *ends, edge=str(node.edge))
    length = bench.emit("path_length", LENGTH, node.head, path)
    yield None if length.kind is UNKNOWN else MarkPlan("zip", f"zip {node.edge}", path.slot, "", length.slot, node.head)


def _zip_end(program, drawing, end, scope):
    if isinstance(end, tree.ZipAt):
        if end.name in drawing.level_names():
            return drawing.level_y(end.name)
        if drawing.points.find(end.name):
            return program.bench.emit("point_y", LENGTH, end.span, program.bench.demand(drawing.points.find(end.name)))
        return scope.level(end.name)
    base = drawing.level_y(end.level) if end.level in drawing.level_names() else scope.level(end.level)
    return program.bench.emit(
        "add" if end.direction == "below" else "subtract", LENGTH, end.span, base, lower_length(scope, end.distance)
    )


def _placement(program, drawing, node: tree.Mark, scope):
    path = program.bench.emit("draw_line", PATH, node.head, scope.point(node.start), scope.point(node.end))
    yield None if path.kind is UNKNOWN else MarkPlan("placement", str(node.title)[1:-1], path.slot, "", None, node.head)


def _tape(program, drawing, node: tree.TapeAlong, scope):
    """Tape is cut and listed, not drawn: all that is told of it is its length, that of the sewn edge."""
    length = program.bench.emit("edge_closed_length", LENGTH, node.head, drawing.finished_edge(node.edge, node.edge.span))
    words = "" if node.text is None else str(node.text)[1:-1]
    yield None if length.kind is UNKNOWN else MarkPlan("tape", str(node.edge), length.slot, words, length.slot, node.head)


def _lengthening(program, drawing, node: tree.LengthenOrShorten, scope):
    known = node.level in drawing.level_names()
    level = drawing.level_y(node.level) if known else scope.level(node.level)
    between = program.bench.constant(BETWEEN_LINES, LENGTH, node.head)
    outline = [edge for _, edge in drawing.finished_outline()]
    for y, words in ((level, "lengthen or shorten here"), (program.bench.emit("add", LENGTH, node.head, level, between), "")):
        path = program.bench.emit("line_across", PATH, node.head, y, *outline)
        yield None if path.kind is UNKNOWN else MarkPlan("lengthening", words, path.slot, "", None, node.head)


MARKS = {
    tree.Bone: _bones,
    tree.BoneAlong: _bones_along,
    tree.TapeAlong: _tape,
    tree.Zip: _zip,
    tree.Mark: _placement,
    tree.LengthenOrShorten: _lengthening,
}


def notches(program, drawing) -> list[NotchPlan]:
    found = []
    for index, (node, scope) in enumerate(drawing.notches, 1):
        edge, raw = drawing.finished_edge(node.edge, node.edge.span), drawing.raw_edge(node.edge, node.edge.span)
        if raw is None:
            continue
        end = scope.point(node.end)
        link = next((link for link in drawing.chain() or () if link[0] == node.edge), None)
        turned = link is not None and link[2]
        if end.kind is UNKNOWN:
            continue
        if end.slot not in (raw.start.slot, raw.end.slot):
            program.bench.error(
                "N231",
                f'"{node.end}" is not an end of "{node.edge}"',
                node.end.span,
                f"an end of {node.edge}",
                f'"{node.end}"',
                "Measure from one of the edge's two ends.",
            )
            continue
        backward = (end.slot == raw.end.slot) != turned
        place = program.bench.emit(
            "notch_place", LENGTH, node.head, edge, lower_length(scope, node.distance), backward=backward, edge=str(node.edge)
        )
        if place.kind is not UNKNOWN:
            found.append(NotchPlan(str(node.edge), f"notch {index}", place.slot, node.head))
    return found


# ------------------------------------------------------------ seams and allowances


def sewing(program):
    """(seams, allowances by (piece, edge), stated corners by piece)."""
    seams, allows = [], []
    for node, scope in program.late:
        if isinstance(node, tree.Sew):
            seam = _seam(program, node, scope)
            if seam is not None:
                seams.append(seam)
        elif isinstance(node, tree.Allow):
            allows.append((node, scope))
    for node, entities in program.cuts:
        pieces = [program.construction_of(entity) for entity in entities]
        if not all(_reaches_cloth(program, piece) for piece in pieces):
            continue  # a part that falls away
        if all(piece.chain() is not None for piece in pieces):
            sides = [((piece.name, str(node.seam)),) for piece in pieces]
            seams.append(SeamPlan(*sides, None, PLAIN, node.head))
    allowances, corners = _allowances(program, allows)
    return seams, allowances, corners


def _reaches_cloth(program, piece) -> bool:
    """Whether a piece is cut, or another that is cut is made from it."""
    if piece.name not in program.foundations:
        return True
    return any(made.source is piece and _reaches_cloth(program, made) for made in program.constructions())


def _seam(program, node: tree.Sew, scope) -> SeamPlan | None:
    sides, sound = [], True
    for refs in (node.one, node.other):
        side = []
        for ref in refs:
            if len(ref.parts) != 2:
                scope.edge(ref)
                sound = False
                continue
            drawing = program.construction(ref.parts[0], ref.parts[0].span)
            sound = drawing is not None and _outline_edge(program, drawing, ref) and sound
            side.append((str(ref.parts[0]), str(ref.parts[1])))
        sides.append(tuple(side))
    ease = lower_length(scope, node.how.amount) if isinstance(node.how, tree.Easing) else None
    if not sound or (ease is not None and ease.kind is UNKNOWN):
        return None
    kind = {tree.Easing: "eased", tree.Gathered: "gathered"}.get(type(node.how), PLAIN)
    return SeamPlan(sides[0], sides[1], None if ease is None else ease.slot, kind, node.head)


def _outline_edge(program, drawing, ref) -> bool:
    names = [str(name) for name in drawing.edge_names()]
    if not names:
        return False
    if ref.parts[-1] not in names:
        program.bench.unknown_name(f"edge of {drawing.name}", ref.parts[-1], ref.parts[-1].span, names)
        return False
    return drawing.chain() is not None


def _allowances(program, allows):
    bench, pieces = program.bench, program.issued()
    stated: dict[tuple[str, str], AllowancePlan] = {}
    general: dict[tuple[str, str], AllowancePlan] = {}
    others: AllowancePlan | None = None
    corners: dict[str, list] = {}
    for node, scope in allows:
        for row in node.rows:
            if isinstance(row, tree.Corner):
                _corner(program, row, pieces, corners)
                continue
            if isinstance(row, (tree.OtherAllowances, tree.OthersNone)) and others is not None:
                bench.error(
                    "N229",
                    "The others are given two allowances",
                    row.span,
                    "one row for all others",
                    "a second",
                    "Keep one of the two.",
                    ((others.span, "first given here"),),
                )
                continue
            if isinstance(row, (tree.OtherAllowances, tree.OthersNone)):
                others = _row(scope, row)._replace(unnamed=isinstance(row, tree.OtherAllowances))
                continue
            allowance = _row(scope, row)
            table = stated if len(row.edge.parts) == 2 else general
            for piece, edge in _edges_named(program, row.edge, pieces):
                if (piece, edge) in table:
                    bench.error(
                        "N229",
                        f"{row.edge} is given two allowances",
                        row.span,
                        "one allowance an edge",
                        "a second",
                        "Keep one of the two.",
                        ((table[piece, edge].span, "first given here"),),
                    )
                    break
                table[piece, edge] = allowance._replace(edge=edge)
    allowances = {**general, **stated}
    if allows:
        _cover(program, allows[-1][0], pieces, allowances, others)
    return allowances, {piece: tuple(found) for piece, found in corners.items()}


def _slot(value):
    return None if value.kind is UNKNOWN else value.slot


def _row(scope, row) -> AllowancePlan:
    if isinstance(row, (tree.NoAllowance, tree.OthersNone)):
        return AllowancePlan("", None, "none", row.span)
    return AllowancePlan("", _slot(lower_length(scope, row.width)), str(row.kind or PLAIN), row.span)


def _edges_named(program, ref, pieces):
    """(piece, edge) pairs that a name stands for: of one piece, or of every piece with such an edge."""
    if len(ref.parts) == 2:
        drawing = program.construction(ref.parts[0], ref.parts[0].span)
        return [(drawing.name, str(ref.parts[1]))] if drawing is not None and _outline_edge(program, drawing, ref) else []
    found = [(piece.name, str(ref.parts[0])) for piece in pieces if any(name == ref.parts[0] for name, _, _ in piece.chain() or ())]
    if not found:
        known = {str(name): None for piece in pieces for name, _, _ in piece.chain() or ()}
        if all(piece.chain() for piece in pieces):
            program.bench.unknown_name("edge", ref.parts[0], ref.span, list(known))
    return found


def _corner(program, row: tree.Corner, pieces, corners):
    pairs = [dict(_edges_named(program, ref, pieces)) for ref in (row.one, row.other)]
    rings = {piece.name: [str(name) for name, _, _ in piece.chain() or ()] for piece in pieces}
    kind, met = str(row.kind), False
    if isinstance(row.kind, tree.SquareTo):
        kind, named = SQUARE, row.kind.edge.parts
        named_second = named in (row.other.parts, row.other.parts[-1:])
        if not named_second and named not in (row.one.parts, row.one.parts[-1:]):
            program.bench.error(
                "N227",
                f"{row.kind.edge} does not end in this corner",
                row.kind.edge.span,
                f"square to {row.one}, or square to {row.other}",
                f"square to {row.kind.edge}",
                "Name the edge whose allowance is to keep its full width to the end.",
            )
            return
        pairs = pairs[::-1] if named_second else pairs
    for piece, ring in rings.items():
        edges = (pairs[0].get(piece), pairs[1].get(piece))
        meetings = list(zip(ring, ring[1:] + ring[:1], strict=True))
        if edges in meetings or edges[::-1] in meetings:
            met = True
            corners.setdefault(piece, []).append(Corner(edges, kind, row.span))
    if not met and all(pairs):
        program.bench.error(
            "N232",
            f"{row.one} and {row.other} do not meet in a corner",
            row.span,
            "two edges of one piece, one after the other in its outline",
            f"{row.one} and {row.other}",
            "Name the two edges that end in the corner.",
        )


def _cover(program, node, pieces, allowances, others):
    for piece in pieces:
        fold = cut_of(program, piece).fold
        cut = piece.singles["cut"][0] if "cut" in piece.singles else None
        if fold is None and cut is not None and isinstance(cut.fold, tree.OnFold):
            continue  # its fold is misnamed, and that has been said
        for name, _, _ in piece.chain() or ():
            if name == fold or (piece.name, str(name)) in allowances:
                continue
            if others is not None:
                allowances[piece.name, str(name)] = others._replace(edge=str(name))
            else:
                own = program.linked.style.parsed.source  # a new piece may have the `allow` of the style that it starts from
                place = piece.span if piece.span.source == own and node.head.source != own else node.head
                program.bench.error(
                    "N211",
                    f"{piece.name}.{name} has no seam allowance",
                    place,
                    "a seam allowance for every edge that is not on a fold",
                    f"none for {piece.name}.{name}",
                    f"Add a row: {piece.name}.{name}  1.5 cm, or {piece.name}.{name} none, or: others 1 cm",
                )


# ------------------------------------------------------------ requirements


def requirements(program):
    for node, scope in program.late:
        if isinstance(node, (tree.Require, tree.Caution)):
            _requirement(program, node, scope)
        elif isinstance(node, tree.ApplyCheck):
            _applied(program, node, scope)
        elif isinstance(node, tree.Divide):
            _division(program, node, scope)


def _requirement(program, node, scope, used=None):
    scope.figures = []
    condition = lower_kind(scope, node.condition, CONDITION)
    figures, scope.figures = tuple(scope.figures), None
    if condition.kind is UNKNOWN:
        return
    message = str(node.message.text)[1:-1] if node.message.text is not None else " ".join(node.condition.span.text.split())
    severity = "error" if isinstance(node, tree.Require) else "caution"
    program.requirements.append(Requirement(condition.slot, message, node.head, severity, figures, used))


def _applied(program, node: tree.ApplyCheck, scope):
    entity = scope.rules.find(node.name)
    if entity is None or entity.sort != "check":
        known = [name for name, one in scope.rules.own.items() if one.sort == "check"]
        program.bench.unknown_name("check", node.name, node.name.span, known)
        return
    program.bench.use(entity, node.name.span)
    text = entity.build()
    names = scope.bind(text.parameters, node.arguments, node, f'check "{node.name}"', text.scope)
    if names is None:
        return
    inside = Scope(program, Names(names), text.scope.rules)
    for statement in text.statements:
        if isinstance(statement, tree.Definition):
            program.define_quantity(inside, statement)
        elif isinstance(statement, (tree.Require, tree.Caution)):
            _requirement(program, statement, inside, node.head)
        else:
            program.misplaced(statement, "a check")


def _division(program, node: tree.Divide, left):
    rest = left()
    if rest.kind is UNKNOWN:
        return
    zero = program.bench.constant(0.0, rest.kind, node.head)
    slack = program.bench.constant(0.01, rest.kind, node.head)
    condition = program.bench.emit("compare", CONDITION, node.head, rest, zero, slack, relation="is")
    program.requirements.append(
        Requirement(
            condition.slot,
            "The parts do not make up the whole; give one of them the rest",
            node.head,
            "error",
            (("left over", rest.slot, rest.kind),),
        )
    )
