"""How a piece is cut, sewn, allowed and finished."""

from __future__ import annotations

from ..forms import Key, Keyed, Node, Statement, Where, Word, form, group, keyed, plain, single, statement
from .words import Bearing, Called, Expression, OnSide, Purpose, Ref, Stretch, Unnotched

_SEAM = Keyed(lambda one, other: (("seam", frozenset((plain(one), plain(other)))),), "one", "other")


@statement(
    '"sew" sewn_list "to" sewn_list [sewn_how] [seam_matched] [left_open] [on_side] [unnotched] [seam_pressed] _NL',
    Where.STYLE,
    _SEAM,
    without='"sew" edge_list "to" edge_list',
)
class Sew(Statement):
    """Edges that are sewn to each other; their closed lengths must agree."""

    one: tuple[SewnEdge, ...]
    other: tuple[SewnEdge, ...]
    how: SewnHow | None
    matched: SeamMatched | None
    left_open: LeftOpen | None
    on: OnSide | None
    unnotched: Unnotched | None
    pressed: SeamPressed | None


@form
class SewnEdge(Node):
    """An edge in a seam: of every piece cut, or of so many of them."""

    so_many: SoMany | None
    edge: Ref

    def __str__(self) -> str:
        return str(self.edge)


@form
class SoMany(Node):
    count: Word


@group
class SewnHow(Node):
    pass


@form
class Easing(SewnHow):
    amount: Expression


@form
class Gathered(SewnHow):
    pass


@form
class SeamMatched(Node):
    """A place on either side, of two that go all round, which lie on each other."""

    places: Stretch


@form
class LeftOpen(Node):
    """Stretches of a seam that are not sewn, such as the mouth of a pocket."""

    stretches: tuple[OpenStretch, ...]


@form
class OpenStretch(Node):
    """One of them, perhaps on one side of the body alone."""

    start: Ref
    end: Ref
    side: Word | None


@group
class SeamPressed(Node):
    """Which way the allowances of a seam are pressed, once it is sewn."""


@form
class PressedOpen(SeamPressed):
    pass


@form
class PressedTo(SeamPressed):
    piece: Word


@statement(
    '"step" [NAME] STRING [work_on] [work_after] [work_before] _NL',
    Where.STYLE | Where.PIECE,
    Keyed(lambda name: () if name is None else (("step", plain(name)),), "name"),
    without='"step" NAME',
)
class Step(Statement):
    """A step of making up, in the style's own words: on which edges or darts, after what, and before what."""

    name: Word | None
    text: Word
    work: WorkOn | None
    after: WorkAfter | None
    before: WorkBefore | None


@form
class WorkOn(Node):
    places: tuple[Ref, ...]
    onto: WorkOnto | None


@form
class WorkOnto(Node):
    places: tuple[Ref, ...]


@form
class WorkAfter(Node):
    places: tuple[Ref, ...]


@form
class WorkBefore(Node):
    places: tuple[Ref, ...]


@statement('"true across" ref [at_lines] _NL', Where.STYLE, keyed("true across", "edge"), without='"true across" ref')
class TrueAcross(Statement):
    """Draws what ends at a seam on both sides so that it runs on across the seam."""

    edge: Ref
    lines: AtLines | None


@form
class AtLines(Node):
    names: tuple[Word, ...]


@statement('"corner meant at" edge_list _NL', Where.STYLE, keyed("corner meant", "places"), without='"corner meant at" edge_list')
class CornerMeant(Statement):
    """Where a corner across a seam, a fold or a dart is meant."""

    places: tuple[Ref, ...]


@statement('"allow" _NL _IN allow_list _OUT', Where.STYLE)
class Allow(Statement):
    """The seam allowance of every edge, and how its corners are cut."""

    rows: tuple[AllowRow, ...]

    def all_keys(self) -> tuple[Key, ...]:
        return tuple(row.key for row in self.rows)


@group
class AllowRow(Node):
    @property
    def key(self) -> Key:
        """What it speaks of: an edge, all edges not named, or a corner."""
        return ("allowance of others",)


@form
class EdgeAllowance(AllowRow):
    edge: Ref
    width: Expression
    kind: Word | None

    @property
    def key(self) -> Key:
        return ("allowance", str(self.edge))


@form
class NoAllowance(AllowRow):
    edge: Ref

    @property
    def key(self) -> Key:
        return ("allowance", str(self.edge))


@form
class OtherAllowances(AllowRow):
    width: Expression
    kind: Word | None


@form
class OthersNone(AllowRow):
    pass


@form
class SquareTo(Node):
    edge: Ref


@form
class Corner(AllowRow):
    one: Ref
    other: Ref
    kind: Word | SquareTo

    @property
    def key(self) -> Key:
        return ("corner", frozenset((str(self.one), str(self.other))))


@statement(
    '"cloth" sum "wide" [purpose] [nap] [matching] _NL',
    Where.STYLE,
    Keyed(lambda purpose: (("cloth", plain(purpose.words) if purpose is not None else ""),), "purpose"),
)
class Cloth(Statement):
    """A cloth that is wanted: its width, what for, whether it has a nap, and what must be matched."""

    width: Expression
    purpose: Purpose | None
    nap: Nap | None
    matching: Matching | None


@form
class Nap(Node):
    pass


@group
class Matching(Node):
    """A pattern of the cloth that is to meet at the seams, by the length after which it comes again."""

    repeat: Expression


@form
class WithStripes(Matching):
    repeat: Expression


@form
class WithChecks(Matching):
    repeat: Expression


@statement('"buttons" sum "," sum [STRING] _NL', Where.STYLE, keyed("buttons", "text"))
class Buttons(Statement):
    """Buttons that are wanted: how many, and how large."""

    count: Expression
    size: Expression
    text: Word | None


@statement('"cut" NUMBER [on_fold] [purpose] [extra_list] _NL', Where.PIECE, single("cut"))
class Cut(Statement):
    """How often the piece is cut, from which layer, and whether on the fold."""

    count: Word
    fold: HowCut | None
    purpose: Purpose | None
    extras: tuple[Extra, ...] | None


@statement('"cut" purpose [extra_list] _NL', Where.PIECE, single("cut"))
class CutFor(Statement):
    """Another layer, cut as often as the piece that it is made from, and like it on the fold."""

    purpose: Purpose
    extras: tuple[Extra, ...] | None


@group
class HowCut(Node):
    pass


@form
class OnFold(HowCut):
    edge: Word


@form
class Alike(HowCut):
    pass


@form
class Extra(Node):
    count: Word
    purpose: Word
    net: Net | None


@form
class Net(Node):
    """By the net line."""


def _worn_keys(place: WornPlace) -> tuple[Key, ...]:
    return tuple(("single", name) for name, said in (("worn", place.in_front_or_behind), ("worn side", place.side_word)) if said)


@statement('"worn" worn_place _NL', Where.PIECE, Keyed(_worn_keys, "place"))
class Worn(Statement):
    """Whether the piece is worn in front or behind, and on which side of the body as it is drawn."""

    place: WornPlace


@group
class WornPlace(Node):
    """In front or behind, and on which side; one of them may be missing."""

    @property
    def in_front_or_behind(self) -> Word | None:
        return None

    @property
    def side_word(self) -> Word | None:
        return None


@form
class WornWhere(WornPlace):
    where: Word
    on: OnSide | None

    @property
    def in_front_or_behind(self) -> Word | None:
        return self.where

    @property
    def side_word(self) -> Word | None:
        return None if self.on is None else self.on.side


@form
class WornSide(WornPlace):
    side: Word

    @property
    def side_word(self) -> Word | None:
        return self.side


@statement('"grain" heading_dir _NL', Where.PIECE, single("grain"))
class Grain(Statement):
    """Which way the grain line runs."""

    direction: Bearing


@statement('"bone along each dart" [clear] [on_side] _NL', Where.PIECE, Keyed(lambda: (("bones",),)), without='"bone along each dart"')
class Bone(Statement):
    """A bone along every dart of the piece."""

    clear: Clear | None
    on: OnSide | None


@statement('"bone along" ref [clear] [called] [on_side] _NL', Where.PIECE, keyed("bone", "edge"), without='"bone along" ref')
class BoneAlong(Statement):
    """A bone along an edge or a dart."""

    edge: Ref
    clear: Clear | None
    called: Called | None
    on: OnSide | None


@statement('"tape along" NAME [STRING] _NL', Where.PIECE, keyed("tape", "edge"), without='"tape along" NAME')
class TapeAlong(Statement):
    """A tape along an edge."""

    edge: Word
    text: Word | None


@form
class Clear(Node):
    amount: Expression


@statement('"zip on" NAME "from" zip_end "to" zip_end [on_side] _NL', Where.PIECE, keyed("zip", "edge"), without='"zip on" NAME')
class Zip(Statement):
    """A zip let into an edge, from one level to another."""

    edge: Word
    start: ZipEnd
    end: ZipEnd
    on: OnSide | None


@group
class ZipEnd(Node):
    pass


@form
class ZipAt(ZipEnd):
    name: Word


@form
class ZipFrom(ZipEnd):
    distance: Expression
    direction: Word
    level: Word


@statement('"notch on" NAME "at" sum "from" ref _NL', Where.PIECE, keyed("notch", "edge"), without='"notch on" NAME')
class Notch(Statement):
    """A notch on an edge."""

    edge: Word
    distance: Expression
    end: Ref


@statement('"mark" STRING ref "to" ref [on_side] _NL', Where.PIECE, keyed("mark", "title"), without='"mark" STRING')
class Mark(Statement):
    """A line drawn on the piece, with words."""

    title: Word
    start: Ref
    end: Ref
    on: OnSide | None


@statement('"mark" STRING "along" NAME [on_side] _NL', Where.PIECE, keyed("mark", "title"))
class MarkAlong(Statement):
    """A drawn line, or an edge, drawn on the piece with words."""

    title: Word
    edge: Word
    on: OnSide | None


@statement(
    '"lengthen or shorten at" NAME _NL',
    Where.PIECE,
    keyed("lengthen or shorten", "level"),
    without='"lengthen or shorten at" NAME',
)
class LengthenOrShorten(Statement):
    """Where the paper is parted to make the piece longer or shorter: a double line across it at a level."""

    level: Word
