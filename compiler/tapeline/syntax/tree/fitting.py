"""What a fitter says of finished pieces: edges moved, pieces made longer or shorter, a recipe carried out on them."""

from __future__ import annotations

from collections.abc import Callable

from ..forms import Statement, Where, Word, group, keyed, statement
from .words import Expression, MovedAt, NamedArgument, OffLevel, OnSide, Ref, ToNothing


@group
class EdgesMoved(Statement):
    """Moves edges of finished pieces by an amount."""

    edges: tuple[Ref, ...]
    amount: Expression
    where: MovedAt | None
    nothing: ToNothing | None
    side: OnSide | None


def _moving(words: str) -> Callable[[type[EdgesMoved]], type[EdgesMoved]]:
    """The record of a statement that begins with these words and moves edges, those of a piece from within it too."""
    return statement(
        f'"{words}" edge_list sum [moved_at] [to_nothing] [on_side] _NL',
        Where.STYLE | Where.PIECE,
        keyed(words, "edges"),
        without=f'"{words}" edge_list',
        only_adds=True,
    )


@_moving("take in")
class TakeIn(EdgesMoved):
    """Moves edges inward, square to themselves."""


@_moving("let out")
class LetOut(EdgesMoved):
    """Moves edges outward, square to themselves."""


@_moving("drop")
class Drop(EdgesMoved):
    """Moves edges down."""


@statement(
    "DIP dotted_list sum [moved_at] [to_nothing] [on_side] _NL",
    Where.STYLE,
    keyed("raise", "how", "edges"),
    without="DIP dotted_list",
    only_adds=True,
)
class Raise(Statement):
    """Moves edges up."""

    how: Word
    edges: tuple[Ref, ...]
    amount: Expression
    where: MovedAt | None
    nothing: ToNothing | None
    side: OnSide | None


@statement('DIP NAME sum "at" NAME to_nothing [on_side] _NL', Where.PIECE)
class RaiseEnd(Statement):
    """Moves one end of the piece's own edge up, to nothing at a place."""

    how: Word
    edge: Word
    amount: Expression
    end: Word
    nothing: ToNothing
    side: OnSide | None


@group
class LengthMoved(Statement):
    """Makes whole pieces longer or shorter."""

    pieces: tuple[Word, ...]
    amount: Expression
    off: OffLevel | None
    level: Word
    side: OnSide | None


@statement(
    '"lengthen" and_list sum "at" [off_level] NAME [on_side] _NL',
    Where.STYLE,
    keyed("lengthen", "pieces", "level"),
    without='"lengthen" and_list "at" NAME',
    only_adds=True,
)
class Lengthen(LengthMoved):
    """Parts pieces along a level, and carries down what lies below."""


@statement(
    '"shorten" and_list sum "at" [off_level] NAME [on_side] _NL',
    Where.STYLE,
    keyed("shorten", "pieces", "level"),
    without='"shorten" and_list "at" NAME',
    only_adds=True,
)
class ShortenPieces(LengthMoved):
    """Folds a strip out of pieces below a level, and brings up what lies below it."""


@statement(
    '"fit" and_list "as" NAME "(" [argument_list] ")" [on_side] _NL',
    Where.STYLE,
    keyed("fit", "pieces", "recipe"),
    without='"fit" and_list "as" NAME',
    only_adds=True,
)
class Fit(Statement):
    """Carries out a recipe of changes on finished pieces."""

    pieces: tuple[Word, ...]
    recipe: Word
    arguments: tuple[Expression | NamedArgument, ...] | None
    side: OnSide | None
