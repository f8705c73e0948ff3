"""Names: what each stands for, found on demand.

A style may say its rules in any order.  Each name is an `Entity` with a way to build its value; demanding a value
builds it once, and a name that is demanded while it is being built closes a circle, which is an error that shows
every rule of the circle.  `Demands.depth` counts how deep names and expressions stand inside each other, so that what is
too deep is refused in words, far from the limit of Python.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Generic, TypeAlias, TypeVar, cast

from ..source.diagnostics import Diagnostic
from ..source.text import Span
from ..syntax.forms import Word

T = TypeVar("T")
_UNBUILT = object()
MOST_DEEP = 60  # names built one inside the other; a name used above its own line is built where it is used
MOST_LEVELS = 360  # two to three calls of Python each, and its usual limit leaves room for the caller
LEVELS = {"quantity": 2, "choice": 2, "part": 2, "level": 2, "measure": 2} | {"piece": 8, "sheet": 8}  # of a name, by sort
LEVELS_WHEN_DRAWN = 4  # of a point, an edge and the like


Stems: TypeAlias = "tuple[tuple[int, Entity[Any] | Word], ...]"  # where in a name another stands, and what that is


class Entity(Generic[T]):
    """A named thing: `sort` is a word for people (measure, choice, level, point, edge, piece, ...)."""

    __slots__ = ("name", "sort", "span", "place", "build", "value", "building", "owner", "stems")

    def __init__(self, name: str, sort: str, span: Span, build: Callable[[], T] | None, stems: Stems = ()) -> None:
        """`span` is of the statement; a `name` that is a word of it tells where the name itself stands; `stems` of what it is made."""
        self.name = str(name)
        self.sort = sort
        self.span = span
        self.place = name.span if isinstance(name, Word) else span
        self.build = build
        self.value: Any = _UNBUILT
        self.building = False
        self.stems = stems
        self.owner = ""  # the piece whose name it is, once it is entered; of a traced name the sheet

    def built(self) -> T:
        """What the name stands for, built anew."""
        if self.build is None:
            raise TypeError(f"{self.name} is given, not built")
        return self.build()


class Names(Generic[T]):
    """One name space, with the one it lies in; `owner` is the piece whose names they are."""

    def __init__(self, parent: Names[T] | None = None, owner: str = "") -> None:
        self.own: dict[str, Entity[T]] = {}
        self.parent = parent
        self.owner = owner

    def find(self, name: str) -> Entity[T] | None:
        space: Names[T] | None = self
        while space is not None:
            if name in space.own:
                return space.own[name]
            space = space.parent
        return None

    def entity(self, name: str) -> Entity[T]:
        """The entity of a name that is known to be there."""
        match = self.find(name)
        if match is None:
            raise KeyError(name)
        return match

    def known(self) -> list[str]:
        names: dict[str, None] = {}
        space: Names[T] | None = self
        while space is not None:
            names.update(dict.fromkeys(space.own))
            space = space.parent
        return list(names)


class Demands:
    """Builds entities on demand and finds circles.  `report` takes a Diagnostic."""

    def __init__(self, report: Callable[[Diagnostic], None]) -> None:
        self.report = report
        self.open: list[Entity[Any]] = []
        self.depth = 0  # levels of what is being built: each expression one, each name several
        self.too_deep = False

    def value(self, entity: Entity[T], poison: T) -> T:
        """The entity's value; `poison` where it lies in a circle (said once)."""
        if entity.value is not _UNBUILT:
            built: T = entity.value
            return built
        if entity.building:
            circle = self.open[self.open.index(entity) :]
            chain = " -> ".join(link.name for link in [*circle, entity])
            title = f'"{entity.name}" depends on itself'
            if len(circle) > 1:
                title = (
                    f'"{entity.name}" and "{circle[-1].name}" depend on each other'
                    if len(circle) == 2
                    else (f'"{entity.name}" depends on itself through other rules')
                )
            self.report(
                Diagnostic(
                    "N203",
                    title,
                    entity.span,
                    "rules that rest on measures or on rules before them",
                    chain,
                    "Say one of these rules without the others, or use find ... so that ... to solve for one of them.",
                    tuple((link.span, f"{link.sort} {link.name}") for link in circle[1:]),
                )
            )
            entity.value = poison
            return poison
        if len(self.open) >= MOST_DEEP or self.depth >= MOST_LEVELS:
            self.refuse(entity.span)
            return poison
        entity.building = True
        self.open.append(entity)
        levels = LEVELS.get(entity.sort, LEVELS_WHEN_DRAWN)
        self.depth += levels
        try:
            value = entity.build() if entity.build is not None else entity.built()  # one call less deep
        finally:
            self.depth -= levels
            self.open.pop()
            entity.building = False
        if entity.value is _UNBUILT:
            entity.value = value
        return cast(T, entity.value)

    def refuse(self, place: Span) -> None:
        """Say, once, that rules rest on each other too deeply: at the name where the chain begins, else at `place`."""
        if self.too_deep:
            return
        self.too_deep = True
        name = f'"{self.open[0].name}"' if self.open else "This"
        most = MOST_DEEP if len(self.open) >= MOST_DEEP else MOST_LEVELS
        counted = "names that each wait for one below them"
        if most == MOST_LEVELS:
            counted = "levels of expressions inside each other, a name between them for two, drawn for four, a piece for eight"
        self.report(
            Diagnostic(
                "N213",
                f"{name} rests on too long a chain of rules",
                self.open[0].span if self.open else place,
                f"at most {most} {counted}",
                f"more than {most}",
                "Say the rules in the order in which they rest on each other.",
            )
        )
