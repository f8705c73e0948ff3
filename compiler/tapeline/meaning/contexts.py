"""What the lowering of a statement may ask of where it stands: of a scope, of the piece that is drawn, of the whole style.

`Scope`, `Construction` and `Program` are such contexts.  They call the lowerings of `expressions`, `points`, `darts`, `levels`
and the like, which know them by these forms alone; so no module imports another round about.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple, Protocol, TypeAlias

from ..bodies.measurement import Measurement
from ..source.text import Source, Span
from ..syntax import tree
from .kinds import Kind
from .lowering import Lowering
from .names import Entity, Names, Stems
from .plan import Choice, Requirement, Value


class RawEdge(NamedTuple):
    """A drawn edge before darts: its two ends (for chaining by name) and its guide."""

    start: Value
    end: Value
    guide: Value


Figure: TypeAlias = tuple[str, int, Kind]  # a compared quantity: as written, its slot, its kind
Link: TypeAlias = tuple[str, RawEdge, bool]  # of an outline: the name of an edge, the edge, and whether it is turned round


class ScopeContext(Protocol):
    """What a name means where an expression is written."""

    lowering: Lowering
    quantities: Names[Value]
    rules: Names[Any]  # of what `recipes` keeps
    figures: list[Figure] | None

    @property
    def drawing(self) -> DrawingContext | None: ...

    def inner(self, names: Names[Value], drawing: DrawingContext | None = None) -> ScopeContext: ...

    def of_garment(self) -> ScopeContext: ...  # that sees pieces as they were fitted

    def quantity(self, name: str, span: Span) -> Value: ...

    def member(self, node: tree.Member) -> Value: ...

    def bind(
        self, parameters: Sequence[tree.Parameter], arguments: Sequence[tree.Node], node: tree.Node, what: str, home: ScopeContext
    ) -> Names[Value] | None: ...

    def compared(self, node: tree.Comparison, left: Value, right: Value) -> None: ...

    def apply_rule(self, node: tree.Call, arguments: Sequence[tree.Node]) -> Value: ...

    def point(self, ref: tree.Ref) -> Value: ...

    def edge(self, ref: tree.Ref) -> Value: ...

    def raw_edge(self, ref: tree.Ref) -> RawEdge | None: ...

    def corner(self, first_ref: tree.Ref, second_ref: tree.Ref, span: Span) -> Value: ...

    def intake(self, ref: tree.Ref, asked: bool = False) -> Value: ...

    def level(self, name: str, span: Span | None = None) -> Value: ...

    def girth(self, level: tree.Word, span: Span) -> Value: ...

    def width(self, ref: tree.Ref, level: tree.Word, span: Span) -> Value: ...

    def outline_of(self, name: tree.Word, span: Span) -> list[Value]: ...


class LevelTable(Protocol):
    """A piece that is drawn by level, as its darts see it."""

    names: list[str]

    @property
    def rows(self) -> Mapping[str, tree.Node]: ...

    def level_line(self, name: str) -> tuple[Value, Value]: ...


class DartPlan(NamedTuple):
    name: str
    number: int  # in its rule, from 0
    intake: Value


class DartContext(Protocol):
    """A rule of darts, as the table of widths sees it."""

    edge: str

    def plans(self) -> list[DartPlan]: ...

    def point_y(self, dart: DartPlan) -> Value: ...


class DrawingContext(Protocol):
    """A piece or a sheet while it is drawn."""

    lowering: Lowering
    name: str
    span: Span
    damaged: bool
    quantities: Names[Value]
    points: Names[Value]
    edges: Names[RawEdge]
    darts: dict[str, Entity[None]]  # those that the piece itself says
    dips: list[tuple[tree.Dip, ScopeContext]]
    taken: list[tuple[tree.TakenIn, ScopeContext]]
    runs: dict[str, tuple[tree.RunEdge, ScopeContext]]
    singles: dict[str, tuple[Any, ScopeContext]]  # what a piece says once, by its form
    marks: list[tuple[tree.Statement, ScopeContext]]
    notches: list[tuple[tree.Notch, ScopeContext]]
    changes: list[tuple[tree.Node, ScopeContext]]

    @property
    def program(self) -> ProgramContext: ...

    @property
    def source(self) -> DrawingContext | None: ...  # what the piece is made from

    @property
    def drafted(self) -> DrawingContext | None: ...  # of a piece that was fitted: as it was before

    @property
    def opened(self) -> frozenset[str]: ...  # folds at which it has been opened out

    @property
    def by_level(self) -> LevelTable | None: ...

    @property
    def dart_rules(self) -> Sequence[DartContext]: ...

    def origin(self, edge: str) -> tuple[str, str] | None: ...  # the piece and edge that it was

    def scope(self) -> ScopeContext: ...

    def define_point(self, name: str, span: Span, build: Callable[[], Value], stems: Stems = ()) -> None: ...

    def define_edge(self, name: str, span: Span, build: Callable[[], RawEdge], stems: Stems = ()) -> None: ...

    def note_dart(self, name: str, span: Span, stems: Stems = ()) -> None: ...

    def mention(self, *words: tree.Word) -> bool: ...

    def unknown_name(self, sort: str, name: str, span: Span, known: Sequence[str]) -> Value: ...

    def edge_names(self) -> list[str]: ...

    def raw_edge(self, name: str, span: Span) -> RawEdge | None: ...

    def edge_ends(self, name: str, span: Span) -> RawEdge | None: ...

    def chain(self) -> list[Link] | None: ...

    def turn(self) -> Value: ...

    def finished_outline(self) -> list[tuple[str, Value]]: ...

    def finished_edge(self, name: str, span: Span) -> Value: ...

    def set_edge(self, name: str) -> Value: ...  # finished, but for what is trued across seams

    def dart_names(self) -> dict[str, str]: ...  # dart -> its edge

    def dart_intake(self, name: str, span: Span, asked: bool) -> Value: ...

    def inner_points(self) -> list[Value]: ...

    def level_names(self) -> list[str]: ...

    def level_y(self, name: str) -> Value: ...

    def width_at(self, name: str) -> Value | None: ...


class Late(NamedTuple):
    """A statement about finished pieces; of a division without a rest, what its parts leave of the whole."""

    node: tree.Statement
    scope: ScopeContext
    left: Callable[[], Value] | None = None


class ProgramContext(Protocol):
    """The whole style while it is lowered."""

    lowering: Lowering
    measurements: dict[str, Measurement]
    levels: Names[Value]
    pieces: Names[Any]
    sheets: Names[Any]
    measures: dict[str, Value]
    choices: dict[str, Choice]
    requirements: list[Requirement]
    quantities: Names[Value]
    rules: Names[Any]  # of what `recipes` keeps
    drawn: list[DrawingContext]  # every piece and sheet that was begun
    foundations: set[str]
    late: list[Late]
    cuts: list[tuple[tree.CutApart, Sequence[Entity[Any]]]]  # with the pieces that each makes

    @property
    def fittings(self) -> Sequence[tuple[Any, ScopeContext]]: ...  # what is said of finished pieces, in the order of the text

    @property
    def own_source(self) -> Source: ...  # the text of the style itself, not of one that it starts from

    def construction_of(self, entity: Entity[Any]) -> DrawingContext: ...  # as it was drafted

    def constructions(self) -> Sequence[DrawingContext]: ...

    def issued(self) -> Sequence[DrawingContext]: ...

    def misplaced(self, statement: tree.Statement, place: str) -> None: ...

    # A piece is asked for as it was fitted, unless it says otherwise.
    def construction(self, name: tree.Word, span: Span, fitted: bool = True) -> DrawingContext | None: ...

    def construction_named(self, name: str, fitted: bool = True) -> DrawingContext | None: ...  # nothing said

    def girth(self, level: tree.Word, span: Span, fitted: bool = True) -> Value: ...

    def mention_level(self, *words: tree.Word) -> None: ...

    def define_quantity(self, scope: ScopeContext, node: tree.Definition, names: Names[Value] | None = None) -> None: ...

    def define_parts(self, scope: ScopeContext, node: tree.Divide, names: Names[Value] | None = None) -> None: ...
