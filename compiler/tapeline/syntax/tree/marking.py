"""Places that are marked on a piece, and lines that fastenings and joins take."""

from __future__ import annotations

from ..forms import Node, Statement, Where, Word, form, keyed, statement
from .words import Expression, OnSide, Ref


@form
class OnOne(Node):
    """Of the pieces that are cut, one alone has the fastening."""


@statement('"mark" STRING "at" ref [on_side] _NL', Where.PIECE, keyed("mark", "title"))
class MarkAt(Statement):
    """A circled cross at a point, such as the bust point, with words."""

    title: Word
    place: Ref
    on: OnSide | None


@statement('"drill at" ref [on_side] [STRING] _NL', Where.PIECE, keyed("drill", "place"), without='"drill at" ref')
class DrillAt(Statement):
    """A drill hole, circled."""

    place: Ref
    on: OnSide | None
    text: Word | None


@statement('"button at" ref "," sum [on_one] [on_side] [STRING] _NL', Where.PIECE, keyed("button", "place"), without='"button at" ref')
class ButtonAt(Statement):
    """The place of a button, and its size; it is counted among the notions."""

    place: Ref
    size: Expression
    one: OnOne | None
    on: OnSide | None
    text: Word | None


@statement('"hook at" ref [on_one] [on_side] [STRING] _NL', Where.PIECE, keyed("hook", "place"), without='"hook at" ref')
class HookAt(Statement):
    """The place of a hook; it is counted among the notions."""

    place: Ref
    one: OnOne | None
    on: OnSide | None
    text: Word | None


@statement('"loop at" ref [on_one] [on_side] [STRING] _NL', Where.PIECE, keyed("loop", "place"), without='"loop at" ref')
class LoopAt(Statement):
    """The place of a loop, or of the eye to a hook; it is counted among the notions."""

    place: Ref
    one: OnOne | None
    on: OnSide | None
    text: Word | None


@statement(
    '"buttonhole" ref "to" ref [on_one] [on_side] [STRING] _NL',
    Where.PIECE,
    keyed("buttonhole", "start", "end"),
    without='"buttonhole" ref "to" ref',
)
class Buttonhole(Statement):
    """A buttonhole from point to point; it is counted among the notions."""

    start: Ref
    end: Ref
    one: OnOne | None
    on: OnSide | None
    text: Word | None


@statement(
    '"lengthen or shorten halfway" NAME "to" NAME _NL',
    Where.PIECE,
    keyed("lengthen or shorten halfway", "one", "other"),
    without='"lengthen or shorten halfway" NAME "to" NAME',
)
class LengthenHalfway(Statement):
    """Where the paper is parted to make the piece longer or shorter: a double line across it midway between two levels."""

    one: Word
    other: Word


@statement('"join line" ref "to" ref [STRING] _NL', Where.PIECE, keyed("join line", "start", "end"), without='"join line" ref "to" ref')
class JoinLine(Statement):
    """Where the piece may be cut in two parts for want of cloth, to be joined again."""

    start: Ref
    end: Ref
    text: Word | None
