"""What a statement gives a name to, read off its tree: how `starting` knows which old statement a new one stands for.

A key is a tuple: the sort of thing, then what tells it from others of its sort.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..source.quantity import parted
from ..source.text import Span
from ..syntax import tree


@tree.group
class Substituted(tree.Statement):
    """A statement or row of the style, in the place of one of a piece's recipe.  No text is read as this."""

    statement: tree.Node

    def all_keys(self) -> tuple[tree.Key, ...]:
        return self.statement.all_keys() if isinstance(self.statement, tree.Statement) else ()


@tree.group
class SubstitutedWhen(tree.When):
    """A `when` of the style, around statements of a piece's recipe: the condition is read in the names of the style."""


@tree.group
class PendingChange(tree.Statement):
    """The statements of a `change piece`, set into the piece that they change and not yet carried out."""

    statements: tuple[tree.Statement, ...]

    def all_keys(self) -> tuple[tree.Key, ...]:
        return ()


def without(node: tree.Node) -> bool:
    return isinstance(node, tree.Taking)


def claimed(node: tree.Statement) -> tuple[tree.Key, ...]:
    """The names that a new statement takes from old ones: conditions and examples only add."""
    if isinstance(node, tree.When):
        return tuple(key for inner in node.inside() for key in claimed(inner))
    if isinstance(node, tree.TakenIn):
        return node.all_keys()[1:]  # row by row
    record = tree.RECORDS.get(type(node))
    return () if record is not None and record.only_adds else node.all_keys()


def pieces_named(node: tree.Node) -> Iterator[tuple[str, Span]]:
    """(name, place) of the pieces that a tree names, as the owner of an edge, point, dart or quantity, or by themselves."""
    if isinstance(node, tree.Ref):
        if len(node.parts) == 2:
            yield str(node.parts[0]), node.head
    elif isinstance(node, tree.Member):
        yield str(node.owner), node.head
    elif isinstance(node, tree.WidthAt):
        yield str(node.ref.parts[0]), node.head
    elif isinstance(node, (tree.FromPiece, tree.FromPieceAs)):
        yield str(node.name), node.head
    else:
        for field in tree.own_fields(type(node)):
            value = getattr(node, field)
            if field == "piece" and isinstance(value, tree.Word):
                yield str(value), value.span
            for inner in value if isinstance(value, tuple) else (value,):
                if isinstance(inner, tree.Node):
                    yield from pieces_named(inner)


def written_kind(node: tree.Node, name: str) -> str:
    """The kind of a quantity, as far as its statement shows it outright; else nothing."""
    stated: tree.Node | None = node
    if isinstance(node, tree.Divide):
        stated = next((part for part in node.parts if part.name == name), None)
    if isinstance(stated, (tree.Definition, tree.Part)):
        return _kind(stated.value)
    if isinstance(stated, tree.Choose):
        return _kind(stated.defaults()[0])
    return _kind(stated.low) if isinstance(stated, tree.Find) else ""


def _kind(value: tree.Node | None) -> str:
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
        return _kind(value.left) or _kind(value.right)
    return ""
