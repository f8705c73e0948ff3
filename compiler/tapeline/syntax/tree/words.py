"""Reference, and the small forms that many statements share."""

from __future__ import annotations

from ..forms import Node, Statement, Word, form, group


@group
class Expression(Node):
    """What has a value."""


@form
class Ref(Node):
    """A name of a piece, edge, dart or point: `waist`, `front.waist`, `12` or `back.6A`."""

    parts: tuple[Word, ...]

    def __str__(self) -> str:
        return ".".join(self.parts)


@form
class Called(Node):
    name: Word


@form
class OnSide(Node):
    """That something is on one side of the body alone."""

    side: Word


@form
class Share(Node):
    word: Word


@form
class Evenly(Node):
    start: Ref
    end: Ref


@group
class Place(Node):
    pass


@form
class PlaceAt(Place):
    at: Expression


@form
class PlaceFrom(Place):
    distance: Expression
    end: Ref


@form
class PlacePoint(Place):
    point: Ref


@form
class PlaceLegs(Place):
    near: Ref
    far: Ref


@form
class Within(Node):
    tolerance: Expression


@form
class Message(Node):
    text: Word | None


@form
class Purpose(Node):
    words: Word


@form
class Tape(Node):
    radius: Expression
    centre: Ref


@group
class TraceLine(Node):
    pass


@form
class LineBetween(TraceLine):
    one: Ref
    other: Ref


@form
class LineEdge(TraceLine):
    edge: Ref


@form
class LineLevel(TraceLine):
    point: Ref


@form
class LinePlumb(TraceLine):
    point: Ref


@form
class LineHalfAngle(TraceLine):
    corner: Ref
    start: Ref
    end: Ref


@group
class Bearing(Node):
    pass


@form
class DirLevel(Bearing):
    pass


@form
class DirPlumb(Bearing):
    pass


@form
class DirSquare(Bearing):
    line: TraceLine


@form
class DirAlong(Bearing):
    line: TraceLine


@form
class DirToward(Bearing):
    point: Ref


@form
class DirAngle(Bearing):
    angle: Expression


@form
class Parameter(Node):
    name: Word
    kind: Word
    text: Word | None


@form
class NamedArgument(Node):
    name: Word
    value: Expression


@form
class Body(Node):
    statements: tuple[Statement, ...] | None


@form
class Unnotched(Node):
    """Of a seam: no notches come by themselves."""


@form
class Stretch(Node):
    start: Ref
    end: Ref


@form
class Pressed(Node):
    end: Ref


@form
class Staying(Node):
    at: Ref


@form
class By(Node):
    amount: Expression


@group
class Spot(Node):
    """A place on an edge that is moved."""


@form
class SpotHere(Spot):
    """At a level, a corner, a point or the edge beside, by its name; or so far along."""

    at: Expression


@form
class SpotFrom(Spot):
    distance: Expression
    end: Ref


@form
class MovedAt(Node):
    """Where an edge moves by the whole amount."""

    places: tuple[Spot, ...]


@form
class OffLevel(Node):
    """So far above or below a level or a point."""

    amount: Expression
    way: Word


@form
class ToNothing(Node):
    """Where the movement of an edge has run out."""

    places: tuple[Spot, ...]
