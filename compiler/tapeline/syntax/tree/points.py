"""Points, lines, curves and the outline."""

from __future__ import annotations

from ..forms import Key, Node, Statement, Where, Word, form, group, keyed, single, statement
from .words import Bearing, Expression, Ref, Tape, TraceLine


@statement('"point" point_name base [move_list] _NL', Where.PIECE | Where.SHEET, keyed("point", "name"))
class Point(Statement):
    """A named point, found from others."""

    name: Word
    base: Base
    moves: tuple[Move, ...] | None


@group
class Base(Node):
    pass


@form
class BaseStart(Base):
    pass


@form
class BaseRef(Base):
    point: Ref


@form
class BaseHalfway(Base):
    one: Ref
    other: Ref


@form
class BaseAlong(Base):
    edge: Ref
    start: Ref
    by: Expression


@form
class BaseHalfAngle(Base):
    corner: Ref
    start: Ref
    end: Ref
    by: Expression


@form
class BaseCarriedOn(Base):
    start: Ref
    edge: Ref
    by: Expression


@form
class BaseSquare(Base):
    point: Ref
    line: TraceLine


@form
class BaseLines(Base):
    one: TraceLine
    other: TraceLine


@form
class BaseTapeLine(Base):
    tape: Tape
    line: TraceLine
    side: Word


@form
class BaseTapes(Base):
    one: Tape
    other: Tape
    side: Word


@group
class Move(Node):
    pass


@form
class MoveBy(Move):
    direction: Word
    amount: Expression


@form
class MoveToward(Move):
    point: Ref
    amount: Expression


@form
class MoveAway(Move):
    point: Ref
    amount: Expression


@form
class MoveSquare(Move):
    line: TraceLine
    direction: Word
    amount: Expression


@form
class MoveSwung(Move):
    centre: Ref
    amount: Expression
    turn: Word | None


@form
class MoveAngle(Move):
    angle: Expression
    amount: Expression


@statement('"points" point_list "divide" ref "to" ref _NL', Where.PIECE | Where.SHEET)
class Division(Statement):
    """Points that divide the way between two others evenly."""

    names: tuple[Word | None, ...]  # None where a name is given to another point elsewhere
    start: Ref
    end: Ref

    def all_keys(self) -> tuple[Key, ...]:
        return tuple(("point", str(name)) for name in self.names if name is not None)


@statement('"line" NAME ref to_list _NL', Where.PIECE | Where.SHEET, keyed("edge", "name"))
class Line(Statement):
    """A line through points."""

    name: Word
    start: Ref
    stops: tuple[To, ...]


@form
class To(Node):
    point: Ref


@statement('"curve" NAME ref "to" ref [through] [curve_list] _NL', Where.PIECE | Where.SHEET, keyed("edge", "name"))
class Curve(Statement):
    """A fair curve between two points."""

    name: Word
    start: Ref
    end: Ref
    through: Through | None
    rows: tuple[CurveRow, ...] | None


@form
class Through(Node):
    points: tuple[Ref, ...]


@group
class CurveRow(Node):
    pass


@form
class Leaving(CurveRow):
    direction: Bearing


@form
class Arriving(CurveRow):
    direction: Bearing


@form
class Bow(CurveRow):
    bow: Word
    amount: Expression
    direction: Word | None
    at: BowAt | None


@form
class BowAt(Node):
    at: Expression


@form
class CurveLong(CurveRow):
    length: Expression
    direction: Word | None


@statement('"curve" NAME "carried on from" ref "along" ref "by" sum _NL', Where.PIECE | Where.SHEET, keyed("edge", "name"))
class CarriedOn(Statement):
    """An edge carried on past one of its ends, with the bend that it has there."""

    name: Word
    start: Ref
    edge: Ref
    by: Expression


@statement('"arc" NAME ref "to" ref arc_shape _NL', Where.PIECE | Where.SHEET, keyed("edge", "name"))
class Arc(Statement):
    """An arc of a circle between two points."""

    name: Word
    start: Ref
    end: Ref
    shape: ArcShape


@group
class ArcShape(Node):
    pass


@form
class ArcAbout(ArcShape):
    centre: Ref


@form
class ArcRadius(ArcShape):
    radius: Expression
    direction: Word


@form
class ArcBow(ArcShape):
    bow: Word
    amount: Expression
    direction: Word | None


@statement('"edge" NAME name_list _NL', Where.PIECE | Where.SHEET, keyed("edge", "name"))
class Edge(Statement):
    """Lines and curves joined to one edge."""

    name: Word
    parts: tuple[Word, ...]


@statement('"outline" name_list _NL', Where.PIECE, single("outline"))
class Outline(Statement):
    """The edges round the piece, in order."""

    edges: tuple[Word, ...]


@statement('"trace" NAME _NL', Where.PIECE | Where.SHEET, keyed("trace", "sheet"))
class Trace(Statement):
    """Takes over the points and lines of a sheet."""

    sheet: Word
