"""Changes of a piece, and cutting it in two."""

from __future__ import annotations

from ..forms import Key, Node, Statement, Where, Word, form, group, statement
from .words import Body, By, Called, Evenly, Expression, Place, Pressed, Ref, Share, Staying, Stretch, Unnotched


@statement('"cut" NAME "from" stop "to" stop [cut_way] [closing] "," "seam" NAME [unnotched] _NL body', Where.STYLE)
class CutApart(Statement):
    """Cuts a piece into pieces, whose new edges are sewn to each other."""

    piece: Word
    start: Stop
    end: Stop
    way: CutWay | None
    closing: Closing | None
    seam: Word
    unnotched: Unnotched | None
    body: Body

    def all_keys(self) -> tuple[Key, ...]:
        return tuple(key for statement in self.body.statements or () for key in statement.all_keys())


@group
class Stop(Node):
    pass


@form
class StopNamed(Stop):
    name: Word


@form
class StopPlace(Stop):
    name: Word
    place: Place


@group
class CutWay(Node):
    pass


@form
class CutLine(CutWay):
    name: Word


@form
class CutThrough(CutWay):
    darts: tuple[Word, ...]


@form
class Closing(Node):
    darts: tuple[Word, ...]


@statement('"pivot" NAME [by] "to" NAME place [called] [pressed] _NL', Where.PIECE)
class Pivot(Statement):
    """Moves a dart, or a part of it, to another edge about its point."""

    dart: Word
    by: By | None
    edge: Word
    place: Place
    called: Called | None
    pressed: Pressed | None


@statement('"pivot" NAME [by] "into" NAME _NL', Where.PIECE)
class PivotInto(Statement):
    """Moves a dart, or a part of it, into another dart."""

    dart: Word
    by: By | None
    other: Word


@statement('"close" NAME [by] "," "opening" NAME place _NL', Where.PIECE)
class Close(Statement):
    """Closes a dart, so that an edge opens."""

    dart: Word
    by: By | None
    edge: Word
    place: Place


@statement('"shorten" NAME "by" sum _NL', Where.PIECE)
class Shorten(Statement):
    """Draws the point of a dart back."""

    dart: Word
    amount: Expression


@statement('"release" NAME _NL', Where.PIECE)
class Release(Statement):
    """Leaves a dart open, as fullness."""

    dart: Word


@statement('"true" NAME _NL', Where.PIECE)
class TrueEdge(Statement):
    """Draws an edge afresh, fair from end to end."""

    edge: Word


@statement('"spread" NAME "by" sum [share] spread_other "," spread_where [staying] _NL', Where.PIECE)
class Spread(Statement):
    """Slashes the piece and spreads it, for flare or fullness."""

    edge: Word
    amount: Expression
    share: Share | None
    other: SpreadOther
    where: SpreadWhere
    staying: Staying | None


@group
class SpreadOther(Node):
    pass


@form
class Hinged(SpreadOther):
    edge: Word


@form
class SpreadAlso(SpreadOther):
    edge: Word
    amount: Expression
    share: Share | None


@group
class SpreadWhere(Node):
    pass


@form
class InCuts(SpreadWhere):
    count: Expression
    word: Word


@form
class AlongLines(SpreadWhere):
    lines: tuple[Word, ...]


@statement('"pleats" sum "on" NAME "to" NAME [evenly] "," sum "deep" [tapered] [called] [pressed] [staying] _NL', Where.PIECE)
class Pleats(Statement):
    """Lets pleats into the piece."""

    count: Expression
    edge: Word
    other: Word
    evenly: Evenly | None
    depth: Expression
    tapered: Tapered | None
    called: Called | None
    pressed: Pressed | None
    staying: Staying | None


@statement('"pleats" "on" NAME "to" NAME "along" and_list "," sum "deep" [tapered] [called] [pressed] [staying] _NL', Where.PIECE)
class PleatsAlong(Statement):
    """Lets a pleat into the piece along each of some drawn lines."""

    edge: Word
    other: Word
    lines: tuple[Word, ...]
    depth: Expression
    tapered: Tapered | None
    called: Called | None
    pressed: Pressed | None
    staying: Staying | None


@form
class Tapered(Node):
    depth: Expression
    edge: Word


@statement('"join" NAME "along" NAME [to_edge] _NL', Where.PIECE)
class Join(Statement):
    """Lays another piece against this one and makes them one."""

    piece: Word
    edge: Word
    to: ToEdge | None


@form
class ToEdge(Node):
    edge: Word


@statement('"mirror" _NL', Where.PIECE)
class Mirror(Statement):
    """Turns the piece over."""


@statement('"open out at" NAME _NL', Where.PIECE)
class OpenOut(Statement):
    """Opens the piece out to both sides of its fold."""

    edge: Word


@form
class AsTuck(Node):
    """Laid, and not sewn below the edge."""


@form
class AsTucks(Node):
    """The same of several."""


@statement('"press" NAME "toward" ref [as_tuck] _NL', Where.PIECE)
class PressDart(Statement):
    """Lays a folded dart to another side, so that its end is trued for that side; as a tuck it is not sewn below its edge."""

    dart: Word
    end: Ref
    tuck: AsTuck | None


@statement('"press each dart toward" ref [as_tucks] _NL', Where.PIECE)
class PressDarts(Statement):
    """The same of every dart that lies on an edge with that end: of none, where there is none."""

    end: Ref
    tucks: AsTucks | None


@statement('"trim" NAME "by" sum [called] _NL', Where.PIECE)
class Trim(Statement):
    """Takes a strip off along an edge: a lining is shorter than its skirt."""

    edge: Word
    amount: Expression
    called: Called | None


@statement('"extend" NAME "by" sum [stretch] [sloping] [folded_back] [called] _NL', Where.PIECE)
class Extend(Statement):
    """Adds cloth along an edge: a wrap, a facing or a shield."""

    edge: Word
    amount: Expression
    stretch: Stretch | None
    sloping: Sloping | None
    folded: FoldedBack | None
    called: Called | None


@form
class Sloping(Node):
    """How much farther on the strip's outer edge begins than the strip."""

    amount: Expression


@form
class FoldedBack(Node):
    pass


@statement('"facing" sum "deep" "along" and_list [called] _NL', Where.PIECE)
class Face(Statement):
    """Keeps a band along edges: a facing."""

    depth: Expression
    edges: tuple[Word, ...]
    called: Called | None
