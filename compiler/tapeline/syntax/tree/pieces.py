"""Pieces, and those drawn by level."""

from __future__ import annotations

from ..forms import Key, Keyed, Node, Statement, Where, Word, form, group, keyed, single, statement
from .words import Body, Expression, NamedArgument, Ref


@statement('"piece" NAME [STRING] [from_what] [holding] _NL [body]', Where.STYLE, keyed("piece", "name"), without='"piece" NAME')
class Piece(Statement):
    """A piece of the pattern, drawn by its own rules, by a recipe, or from another piece."""

    name: Word
    title: Word | None
    recipe: FromWhat | None
    holding: Holding | None
    body: Body | None


@statement('"foundation" NAME [STRING] [from_what] [holding] _NL [body]', Where.STYLE, keyed("piece", "name"))
class Foundation(Statement):
    """A piece that others are made from, and that is not cut itself."""

    name: Word
    title: Word | None
    recipe: FromWhat | None
    holding: Holding | None
    body: Body | None


@group
class FromWhat(Node):
    pass


@form
class FromRecipe(FromWhat):
    name: Word
    arguments: tuple[Expression | NamedArgument, ...] | None


@form
class FromPiece(FromWhat):
    name: Word


@form
class FromPieceAs(FromWhat):
    """From another piece, changed as a recipe says."""

    name: Word
    recipe: Word
    arguments: tuple[Expression | NamedArgument, ...] | None


@form
class Holding(Node):
    what: Ref


@statement('"widths from" NAME "," DARTS_COUNTED _NL _IN width_list _OUT', Where.PIECE, single("widths"))
class Widths(Statement):
    """How wide the piece is at each level, counted from a line."""

    origin: Word
    counted: Word
    rows: tuple[WidthRow, ...]


@group
class WidthRow(Node):
    pass


@form
class Width(WidthRow):
    level: Word
    value: Expression


@form
class WidthThan(WidthRow):
    level: Word
    value: Expression
    relation: Word
    base: Word


@form
class WidthAs(WidthRow):
    level: Word
    base: Word


@statement('"taken in at" NAME _NL _IN taken_list _OUT', Where.PIECE, key=keyed("taken", "edge"), without='"taken in at" NAME')
class TakenIn(Statement):
    """How far the centre line comes in at some levels."""

    edge: Word
    rows: tuple[Taken, ...]

    def all_keys(self) -> tuple[Key, ...]:
        return (("taken", str(self.edge)), *(("taken", str(self.edge), str(row.level)) for row in self.rows))


@form
class Taken(Node):
    level: Word
    value: Expression


@statement("RUN_EDGE run_list _NL", Where.PIECE, keyed("run", "edge"))
class RunEdge(Statement):
    """How an edge runs from level to level: straight, smooth, bowed or plumb."""

    edge: Word
    runs: tuple[Run, ...]


@group
class Run(Node):
    pass


@form
class RunStraight(Run):
    start: Word
    end: Word


@form
class RunSmooth(Run):
    start: Word
    end: Word


@form
class RunBowed(Run):
    bow: Word
    amount: Expression
    start: Word
    end: Word


@form
class RunPlumb(Run):
    level: Word


@statement(
    'DIP NAME sum "at" NAME [dip_shape] _NL',
    Where.PIECE,
    Keyed(lambda direction, edge, end: (("dip", str(edge), str(end)),), "direction", "edge", "end"),
    without='DIP NAME "at" NAME',
)
class Dip(Statement):
    """Lowers or raises one end of an edge, and fairs it to the other."""

    direction: Word
    edge: Word
    amount: Expression
    end: Word
    shape: DipShape | None


@group
class DipShape(Node):
    pass


@form
class DipBow(DipShape):
    bow: Word
    amount: Expression


@form
class DipStraight(DipShape):
    pass


@form
class DipSquare(DipShape):
    pass


@statement('"level" NAME "at" ref _NL', Where.PIECE, keyed("level at", "name"), without='"level" NAME')
class LevelAt(Statement):
    """Where a level of the style lies on the piece, straight across."""

    name: Word
    point: Ref


@statement('"level" NAME "along" and_list _NL', Where.PIECE, keyed("level at", "name"))
class LevelAlong(Statement):
    """Which edges or lines of the piece a level of the style runs along."""

    name: Word
    edges: tuple[Word, ...]
