"""What a fitter says of finished pieces: edges moved, pieces made longer or shorter, a recipe carried out on them."""

from __future__ import annotations

from ..forms import Statement, Where, Word, group, statement
from .words import Expression, MovedAt, NamedArgument, OnSide, Ref, ToNothing


@group
class EdgesMoved(Statement):
    """Moves edges of finished pieces by an amount."""

    edges: tuple[Ref, ...]
    amount: Expression
    where: MovedAt | None
    nothing: ToNothing | None
    side: OnSide | None


@statement('"take in" edge_list sum [moved_at] [to_nothing] [on_side] _NL', Where.STYLE | Where.PIECE)
class TakeIn(EdgesMoved):
    """Moves edges inward, square to themselves."""


@statement('"let out" edge_list sum [moved_at] [to_nothing] [on_side] _NL', Where.STYLE | Where.PIECE)
class LetOut(EdgesMoved):
    """Moves edges outward, square to themselves."""


@statement('"drop" edge_list sum [moved_at] [to_nothing] [on_side] _NL', Where.STYLE | Where.PIECE)
class Drop(EdgesMoved):
    """Moves edges down."""


@statement("DIP dotted_list sum [moved_at] [to_nothing] [on_side] _NL", Where.STYLE)
class Raise(Statement):
    """Moves edges up."""

    how: Word
    edges: tuple[Ref, ...]
    amount: Expression
    where: MovedAt | None
    nothing: ToNothing | None
    side: OnSide | None


@statement('DIP NAME sum "at" NAME to_nothing _NL', Where.PIECE)
class RaiseEnd(Statement):
    """Moves one end of the piece's own edge up, to nothing at a place."""

    how: Word
    edge: Word
    amount: Expression
    end: Word
    nothing: ToNothing


@group
class LengthMoved(Statement):
    """Makes whole pieces longer or shorter."""

    pieces: tuple[Word, ...]
    amount: Expression
    level: Word
    side: OnSide | None


@statement('"lengthen" and_list sum "at" NAME [on_side] _NL', Where.STYLE)
class Lengthen(LengthMoved):
    """Parts pieces along a level, and carries down what lies below."""


@statement('"shorten" and_list sum "at" NAME [on_side] _NL', Where.STYLE)
class ShortenPieces(LengthMoved):
    """Folds a strip out of pieces below a level, and brings up what lies below it."""


@statement('"fit" and_list "as" NAME "(" [argument_list] ")" _NL', Where.STYLE)
class Fit(Statement):
    """Carries out a recipe of changes on finished pieces."""

    pieces: tuple[Word, ...]
    recipe: Word
    arguments: tuple[Expression | NamedArgument, ...] | None
