"""What a statement gives a name to, read off its tree: how `starting` knows which old statement a new one stands for.

A key is a tuple: the sort of thing, then what tells it from others of its sort.
"""

from __future__ import annotations

from ..source.quantity import parted
from ..syntax import tree


class Said(tree.Node):
    """A statement or row said of a piece, in the place of one of its block.  No text is read as this."""

    __slots__ = ("statement",)


class SaidWhen(tree.When):
    """A `when` said of a piece, around statements of its block: the condition is the style's."""

    __slots__ = tree.When.__slots__


class Carried(tree.Node):
    """The statements of a `change piece`, set into the piece that they change."""

    __slots__ = ("statements",)


def _text(word) -> str:
    return str(word)[1:-1]


def _refs(refs) -> frozenset[str]:
    return frozenset(map(str, refs))


def _called(node) -> list[tuple]:
    return [("dart", str(node.called.name) if node.called is not None else "dart")]


def _name(sort: str):
    return lambda node: [(sort, str(node.name))]


def _single(name: str):
    return lambda node: [("single", name)]


def _seam(node) -> list[tuple]:
    return [("seam", frozenset((_refs(node.one), _refs(node.other))))]


def _dip(node) -> list[tuple]:
    return [("dip", str(node.edge), str(node.end))]


def _condition(sort: str):
    return lambda node: [(sort, _text(node.message.text) if node.message.text is not None else _flat(node.condition))]


def _flat(node) -> str:
    return " ".join(node.span.text.split())


def row_key(row) -> tuple:
    """Of a row of `levels` or of `allow`."""
    if isinstance(row, tree.Corner):
        return ("corner", frozenset((str(row.one), str(row.other))))
    if isinstance(row, (tree.OtherAllowances, tree.OthersNone)):
        return ("allowances of others",)
    if isinstance(row, (tree.EdgeAllowance, tree.NoAllowance)):
        return ("allowance", str(row.edge))
    return ("level", str(row.name))


def _rows(node) -> list[tuple]:
    return [row_key(row) for row in node.rows]


_KEYS = {
    tree.Measurement: _name("measurement"),
    tree.Doubt: lambda node: [("doubt", str(node.name), str(node.other))],
    tree.Choose: _name("quantity"),
    tree.Definition: _name("quantity"),
    tree.Find: _name("quantity"),
    tree.Divide: lambda node: [("quantity", str(part.name)) for part in node.parts],
    tree.Levels: _rows,
    tree.Rule: _name("rule"),
    tree.RuleSteps: _name("rule"),
    tree.Recipe: _name("rule"),
    tree.Check: _name("rule"),
    tree.Piece: _name("piece"),
    tree.Foundation: _name("piece"),
    tree.CutApart: lambda node: [key for one in node.block.statements or () for key in keys(one)],
    tree.Draft: _name("draft"),
    tree.Sew: _seam,
    tree.Allow: _rows,
    tree.Require: _condition("require"),
    tree.Caution: _condition("caution"),
    tree.ApplyCheck: _name("check"),
    tree.Example: lambda node: [("example",)],
    tree.Cut: _single("cut"),
    tree.Outline: _single("outline"),
    tree.Grain: _single("grain"),
    tree.Widths: lambda node: [("single", "widths")],
    tree.TakenIn: lambda node: [("taken", str(node.edge)), *(("taken", str(node.edge), str(row.level)) for row in node.rows)],
    tree.RunEdge: lambda node: [("run", str(node.edge))],
    tree.Dip: _dip,
    tree.Dart: _called,
    tree.Darts: _called,
    tree.DartInside: _called,
    tree.Point: _name("point"),
    tree.Division: lambda node: [("point", str(name)) for name in node.names if name is not None],
    tree.Line: _name("edge"),
    tree.Curve: _name("edge"),
    tree.Arc: _name("edge"),
    tree.Edge: _name("edge"),
    tree.Trace: lambda node: [("trace", str(node.draft))],
    tree.LevelAt: _name("level at"),
    tree.Bone: lambda node: [("bones",)],
    tree.BoneAlong: lambda node: [("bone", str(node.edge))],
    tree.TapeAlong: lambda node: [("tape", str(node.edge))],
    tree.Cloth: lambda node: [("cloth", _text(node.purpose.words) if node.purpose is not None else "")],
    tree.Buttons: lambda node: [("buttons", _text(node.text))],
    tree.Zip: lambda node: [("zip", str(node.edge))],
    tree.Notch: lambda node: [("notch", str(node.edge))],
    tree.Mark: lambda node: [("mark", _text(node.title))],
    tree.ChangePiece: _name("piece"),
    tree.ChangeDraft: _name("draft"),
    tree.ChangeBlock: _name("rule"),
    Said: lambda node: keys(node.statement),
}
_ADD_ONLY = (tree.Require, tree.Caution, tree.ApplyCheck, tree.Example)

_WITHOUT = {
    tree.WithoutNamed: lambda node: [(sort, str(node.name)) for sort in ("point", "edge", "quantity", "dart", "run", "single")],
    tree.WithoutPiece: _name("piece"),
    tree.WithoutCheck: _name("check"),
    tree.WithoutSew: _seam,
    tree.WithoutRequire: lambda node: [("require", _text(node.text))],
    tree.WithoutCaution: lambda node: [("caution", _text(node.text))],
    tree.WithoutTaken: lambda node: [("taken", str(node.edge))],
    tree.WithoutDip: _dip,
    tree.WithoutLevel: _name("level at"),
    tree.WithoutBones: lambda node: [("bones",)],
    tree.WithoutBone: lambda node: [("bone", str(node.edge))],
    tree.WithoutTape: lambda node: [("tape", str(node.edge))],
    tree.WithoutZip: lambda node: [("zip", str(node.edge))],
    tree.WithoutNotch: lambda node: [("notch", str(node.edge))],
    tree.WithoutMark: lambda node: [("mark", _text(node.text))],
}


def without(node) -> bool:
    return type(node) in _WITHOUT


def _inside(when):
    yield from when.block.statements or () if when.block is not None else ()
    if when.otherwise is not None:
        yield from when.otherwise.block.statements or ()


def keys(node) -> tuple:
    """The names that a statement gives, or takes away; a `when` gives what stands in it."""
    if isinstance(node, tree.When):
        return tuple(key for one in _inside(node) for key in keys(one))
    read = _KEYS.get(type(node)) or _WITHOUT.get(type(node))
    return tuple(read(node)) if read is not None else ()


def claimed(node) -> tuple:
    """The names that a new statement takes from old ones: conditions and examples only add."""
    if isinstance(node, tree.When):
        return tuple(key for one in _inside(node) for key in claimed(one))
    if isinstance(node, tree.TakenIn):
        return keys(node)[1:]  # row by row
    return () if isinstance(node, _ADD_ONLY) else keys(node)


def words_of(node) -> str:
    return " ".join(node.span.text.split())


def pieces_named(node):
    """(name, place) of the pieces that a tree names, as the owner of an edge, point, dart or quantity, or by themselves."""
    if isinstance(node, tree.Ref):
        if len(node.parts) == 2:
            yield str(node.parts[0]), node.span
    elif isinstance(node, tree.Member):
        yield str(node.owner), node.span
    elif isinstance(node, tree.WidthAt):
        yield str(node.ref.parts[0]), node.span
    elif isinstance(node, tree.FromPiece):
        yield str(node.name), node.span
    else:
        for field in node.__slots__:
            value = getattr(node, field)
            if field == "piece" and isinstance(value, tree.Word):
                yield str(value), value.span
            for one in value if isinstance(value, tuple) else (value,):
                if isinstance(one, tree.Node):
                    yield from pieces_named(one)


def written_kind(node, name) -> str:
    """The kind of a quantity, as far as its statement shows it outright; else nothing."""
    if isinstance(node, tree.Divide):
        node = next((part for part in node.parts if part.name == name), None)
    field = {tree.Choose: "default", tree.Definition: "value", tree.Part: "value", tree.Find: "low"}.get(type(node))
    return _kind(getattr(node, field)) if field else ""


def _kind(value) -> str:
    if isinstance(value, tree.Quantity):
        return parted(value.word)[1].of
    if isinstance(value, tree.Number):
        return "number"
    if isinstance(value, (tree.Truth, tree.Comparison, tree.Negated, tree.Both, tree.Either)):
        return "condition"
    if isinstance(value, (tree.Negative, tree.Bracketed)):
        return _kind(value.value)
    if isinstance(value, tree.Choice):
        return _kind(value.value) or _kind(value.otherwise)
    if isinstance(value, tree.Binary) and value.sign in ("+", "-"):
        return _kind(value.one) or _kind(value.other)
    return ""
