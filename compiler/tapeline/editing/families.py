"""All places where one name stands: families of words that can only be called otherwise together.

Every word of a text that is a name, where it is given, used, said anew or taken away, is joined with those that it stands for, over
all courses of all readings that are looked at.  A name that nobody wrote, as one that a piece takes over or `hip_side`, joins the words
that speak of it; where it is made of others, it is kept which of them stand where in it, so that a new name runs on into it.
Invariant: all words of a family are the same word.  A text is told by the name of its file and what it says, since two readings may
show one file under two names.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import PurePath
from typing import Any, NamedTuple, TypeAlias

from ..meaning.index import MEASUREMENT, Symbols, place_of_use
from ..meaning.names import Entity
from ..source.text import Source, Span
from ..syntax.forms import Word

TextKey: TypeAlias = tuple[str, str]  # the name of a file and its text
MOST_MADE = 12  # names made of names that are made of names

Member: TypeAlias = tuple[Any, ...]  # a word by its text and place, or a name that nobody wrote by what tells it from others


class Made(NamedTuple):
    """A name made of others: where in it the names of other families stand."""

    name: str
    parts: tuple[tuple[int, str, Member], ...]


def text_key(source: Source) -> TextKey:
    return PurePath(source.name).name, source.text


class Families:
    """The names of all that was read together."""

    def __init__(self, readings: Iterable[Iterable[Symbols]], pairs: Iterable[tuple[Word, Word]] = ()):
        """`pairs` are words that are known to be one name besides."""
        self._texts: dict[TextKey, int] = {}
        self._parents: dict[Member, Member] = {}
        self._names: dict[Member, str] = {}
        self._words: dict[Member, Span] = {}
        self._made: dict[
            Member, set[Made]
        ] = {}  # more than one, where the same piece is made of others in a style that starts from this
        self._unwritten: set[Member] = set()  # those that the language gives
        self._seen: set[int] = set()  # names that nobody wrote, which the readings hold
        self._sorts: dict[Member, str] = {}
        for reading in readings:
            for symbols in reading:
                self._note(symbols)
        for one, other in pairs:
            self._join(self._word(one.span), self._word(other.span))
        self._join_alike()
        self._members: dict[Member, list[Member]] = {}
        for member in self._names:
            self._members.setdefault(self._root(member), []).append(member)

    # ------------------------------------------------------------ noted

    def _note(self, symbols: Symbols) -> None:
        for entity, _ in symbols.defined:
            self._entity(entity)
            if entity.sort == "measure" and (measurement := symbols.measurements.get(entity.name)) and measurement.place is not None:
                self._join(self._word(entity.place), self._word(measurement.place))
        for measurement in symbols.measurements.values():
            if measurement.place is not None:
                self._word(measurement.place, MEASUREMENT)
        for place, entity in symbols.uses:
            span = place_of_use(entity.name, place)
            if span is None:
                continue
            if entity.sort == MEASUREMENT:
                measurement = symbols.measurements.get(entity.name)
                if measurement is not None and measurement.place is not None:
                    self._join(self._word(span), self._word(measurement.place))
            else:
                self._join(self._word(span), self._entity(entity))
        for new, old in symbols.replaced:
            self._join(self._word(new.span), self._word(old.span))

    def _text(self, source: Source) -> int:
        return self._texts.setdefault(text_key(source), len(self._texts))

    def _join_alike(self) -> None:
        """Join names that stand at one place of one made name: words that speak of it would part otherwise."""
        grown = True
        while grown:
            grown = False
            first: dict[tuple[Member, int, str], Member] = {}
            for member, made in self._all_made():
                for at, name, part in made.parts:
                    other = first.setdefault((self._root(member), at, name), part)
                    grown = grown or self._root(other) != self._root(part)
                    self._join(other, part)

    def _word(self, span: Span, sort: str = "") -> Member:
        member = self._text(span.source), span.start
        if member not in self._names:
            self._names[member], self._words[member] = span.text, span
        if sort:
            self._sorts[member] = sort
        return member

    def _entity(self, entity: Entity[Any]) -> Member:
        if entity.place.text == entity.name:
            return self._word(entity.place, entity.sort)
        member = entity.sort, entity.name, self._text(entity.span.source), entity.span.start, entity.owner
        if id(entity) in self._seen:
            return member
        self._seen.add(id(entity))
        self._names[member], self._sorts[member] = entity.name, entity.sort
        parts = [
            (
                at,
                str(part) if isinstance(part, Word) else part.name,
                self._word(part.span) if isinstance(part, Word) else self._entity(part),
            )
            for at, part in entity.stems
        ]
        if len(parts) == 1 and parts[0][1] == entity.name:
            self._join(member, parts[0][2])
        elif not parts:
            self._unwritten.add(member)
        else:
            self._made.setdefault(member, set()).add(Made(entity.name, tuple(parts)))
        return member

    def _root(self, member: Member) -> Member:
        root = member
        while root in self._parents:
            root = self._parents[root]
        while member != root:
            self._parents[member], member = root, self._parents[member]
        return root

    def _join(self, one: Member, other: Member) -> None:
        roots = self._root(one), self._root(other)
        if roots[0] != roots[1]:
            self._parents[roots[0]] = roots[1]

    # ------------------------------------------------------------ asked

    def at(self, source: Source, offset: int) -> Member | None:
        """The family of the word at, or just before, a character of a text."""
        text = self._texts.get(text_key(source))
        touching = [member for member, span in self._words.items() if member[0] == text and span.start <= offset <= span.end]
        return self._root(max(touching, key=lambda member: self._words[member].start)) if touching else None

    def all(self) -> Iterator[Member]:
        yield from self._members

    def name(self, family: Member) -> str:
        return self._names[family]

    def words(self, family: Member) -> list[Span]:
        """Every word of a family, by file and place."""
        return sorted((self._words[member] for member in self._members[family] if member in self._words), key=_order)

    def given(self, family: Member) -> list[tuple[Span, str]]:
        """The words that give the name, each with the sort of what it names: a quantity, a piece, ..."""
        members = [member for member in self._members[family] if member in self._words and member in self._sorts]
        return sorted(((self._words[member], self._sorts[member]) for member in members), key=lambda pair: _order(pair[0]))

    def by_language(self, family: Member) -> bool:
        """Whether the language itself gives the name somewhere, as `side` to the edge of a piece that is drawn by level."""
        return any(member in self._unwritten for member in self._members[family])

    def made_of(self, family: Member) -> list[Member]:
        """The families whose names stand in this one's."""
        parts = [part for member in self._members[family] for made in self._made.get(member, ()) for _, _, part in made.parts]
        return list(dict.fromkeys(map(self._root, parts)))

    def followed(self, changes: Mapping[Member, str]) -> dict[Member, str]:
        """New names of families, with those of the families whose names are made of them.  ValueError where two ways of making one
        name lead to two new ones."""
        names = dict(changes)
        for _ in range(MOST_MADE):
            before = dict(names)
            for member, made in self._all_made():
                new, family = self._made_anew(made, names), self._root(member)
                if new != made.name and family not in changes:
                    names[family] = new
            if names == before:
                break
        for member, made in self._all_made():
            new, called = self._made_anew(made, names), names.get(self._root(member), made.name)
            if new != called:
                raise ValueError(f"{made.name} would be {new} and {called}")
        return names

    def _all_made(self) -> Iterator[tuple[Member, Made]]:
        return ((member, made) for member, makings in self._made.items() for made in makings)

    def _made_anew(self, made: Made, names: Mapping[Member, str]) -> str:
        new = made.name
        for at, name, part in sorted(made.parts, reverse=True):
            new = f"{new[:at]}{names.get(self._root(part), name)}{new[at + len(name) :]}"
        return new


def _order(span: Span) -> tuple[str, int]:
    return span.source.name, span.start
