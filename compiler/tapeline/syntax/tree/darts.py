"""Darts."""

from __future__ import annotations

from ..forms import Keyed, Node, Statement, Where, Word, form, group, statement
from .words import Called, Evenly, Expression, Place, Ref, Share

_CALLED = Keyed(lambda called: (("dart", str(called.name) if called is not None else "dart"),), "called")


@statement('"dart on" NAME place [called] _NL _IN dart_list _OUT', Where.PIECE, _CALLED)
class Dart(Statement):
    """A dart on an edge: its intake, its point, and where it is pressed to."""

    edge: Word
    place: Place
    called: Called | None
    rows: tuple[DartRow, ...]


@statement('"dart at" ref [called] _NL _IN inner_list _OUT', Where.PIECE, _CALLED)
class DartInside(Statement):
    """A dart with two points, inside the piece."""

    place: Ref
    called: Called | None
    rows: tuple[InnerRow, ...]


@group
class InnerRow(Node):
    pass


@form
class InnerIntake(InnerRow):
    amount: Expression


@form
class InnerPlumb(InnerRow):
    word: Word
    above: Expression
    below: Expression


@form
class InnerPoints(InnerRow):
    word: Word
    one: Ref
    other: Ref


@statement('"darts" sum "on" NAME [evenly] [called] _NL _IN dart_list _OUT', Where.PIECE, _CALLED)
class Darts(Statement):
    """A series of darts, spread evenly over an edge or a part of it."""

    count: Expression
    edge: Word
    evenly: Evenly | None
    called: Called | None
    rows: tuple[DartRow, ...]


@group
class DartRow(Node):
    pass


@form
class Intake(DartRow):
    amount: Expression
    share: Share | None
    held: Held | None


@form
class Held(Node):
    level: Word


@form
class PointLevel(DartRow):
    word: Word
    distance: Expression
    direction: Word
    level: Word
    stepping: Stepping | None


@form
class PointLong(DartRow):
    word: Word
    length: Expression
    aim: Aim | None
    stepping: Stepping | None


@form
class PointGiven(DartRow):
    word: Word
    point: Ref


@form
class Press(DartRow):
    end: Ref


@form
class KeepClear(DartRow):
    distance: Expression
    direction: Word
    level: Word


@group
class Aim(Node):
    pass


@form
class AimPlumb(Aim):
    pass


@form
class AimSquare(Aim):
    pass


@form
class AimToward(Aim):
    point: Ref


@form
class AtThe(Node):
    end: Word


@form
class Stepping(Node):
    at: AtThe | None
    amount: Expression
    longer: Word
    end: Ref
