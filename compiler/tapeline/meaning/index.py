"""The names of a style that was read: where each is defined, what it is, and every place where it is used.

Lowering notes each name that is entered and each that is looked up; here the symbols of all courses become one index.  A place is
that of the name itself, not of its statement.  A rule, recipe or check that nothing uses is defined, but what stands in it is not
looked up, since it means nothing before its parameters do.  Behind `without` a name leads to the statement that is taken
away, and behind `use` and `start from` to the heading of a text.  A word that names the edge of several pieces, as a row of `allow`
may, leads to that of the first.  A style with mistakes has the index of whatever could be read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from ..bodies.measurement import Measurement
from ..source.text import Source, Span
from ..syntax import tree
from ..syntax.forms import Word
from .kinds import UNKNOWN
from .library import Heading
from .lowering import article_of
from .names import Entity
from .plan import Value
from .program import Program
from .starting import words_replaced

MEASUREMENT = "measurement"
TAKEN = "name that is taken away"
_QUOTED = re.compile(r'"([^"\n]*)"')
_TITLE = re.compile(r'(?:rule|recipe|check)\s+[^\s("]+(?:\s+"([^"\n]*)")?')  # the texts behind it are those of parameters
_COMMENT = "--"


class Definition(NamedTuple):
    """A name and what it stands for."""

    name: str
    sort: str  # a word for people: measure, choice, quantity, level, piece, point, edge, dart, rule, measurement, ...
    kind: str  # of its value: length, angle, point, ...; that of a body for a measurement; empty where it has none, or is not known
    span: Span  # of the name where it is defined; of the statement, where its words do not name it
    owner: str  # the piece or sheet whose name it is; empty for a name at large
    text: str  # what is said of it: its title or text, and the comment above it
    written: (
        Span  # of the name, or of the first that it is made of, where it was first given: in a recipe, or in the piece it comes from
    )

    @property
    def dotted(self) -> str:
        return f"{self.owner}.{self.name}" if self.owner else self.name


class Use(NamedTuple):
    """A place where a name is used."""

    span: Span
    definition: Definition


class Symbols(NamedTuple):
    """What lowering noted of names: each that was given with the piece whose it is, the places where each is used, the names of
    statements with those in whose place they stand or that they take away, the names of texts with the headings of these, and what
    measurements are."""

    defined: list[tuple[Entity[Any], str]]
    uses: list[tuple[Span, Entity[Any]]]
    replaced: list[tuple[Word, Word]]
    texts: list[tuple[Word, Heading]]
    measurements: Mapping[str, Measurement]


def symbols_of(program: Program) -> Symbols:
    """The symbols of a program that was lowered."""
    lowering = program.lowering
    replaced = [pair for statements in (*program.linked.replaced, *lowering.replaced) for pair in words_replaced(*statements)]
    return Symbols(lowering.defined, lowering.uses, replaced, program.linked.named, program.measurements)


def written(entity: Entity[Any]) -> Span:
    """Where a name was first given: its own place, or where it is made of others, that of the first of them."""
    if entity.place.text == entity.name or not entity.stems:
        return entity.place
    first = entity.stems[0][1]
    return first.span if isinstance(first, Word) else written(first)


Key = tuple[str, str, Span, str]  # sort, name, statement and owner, which tell one definition from every other


class Index:
    """`definitions` and `uses`, each by file and place, the style's own first; each once."""

    def __init__(self, own: Source, courses: Sequence[Symbols]):
        definitions: dict[Key, Definition] = {}
        uses: dict[Span, Use] = {}
        for symbols in courses:
            for key, definition in _definitions(symbols):
                known = definitions.get(key)
                if known is None or (not known.kind and definition.kind):
                    definitions[key] = definition
        for symbols in courses:
            for place, entity in symbols.uses:
                span, key = place_of_use(entity.name, place), (entity.sort, entity.name, entity.span, entity.owner)
                if span is not None and key in definitions:
                    uses.setdefault(span, Use(span, definitions[key]))
        given = {definition.span: definition for definition in definitions.values()}
        for symbols in courses:
            for new, old in symbols.replaced:
                if new.span not in given and new.span not in uses:  # it is taken away
                    uses[new.span] = Use(new.span, given.get(old.span) or Definition(str(old), TAKEN, "", old.span, "", "", old.span))
            for name, heading in symbols.texts:
                uses[name.span] = Use(name.span, _text(heading))
        self.definitions = tuple(sorted(definitions.values(), key=lambda item: _order(own, item.span)))
        self.uses = tuple(sorted(uses.values(), key=lambda item: _order(own, item.span)))

    def named(self, dotted: str) -> Definition | None:
        """The definition of a name, `waist`, or of a piece's own, `front.waist`."""
        return next((definition for definition in self.definitions if definition.dotted == dotted), None)

    def at(self, source: Source, offset: int) -> Definition | None:
        """What the name at a character of a text stands for."""
        found = self.name_at(source, offset)
        return None if found is None else found[1]

    def name_at(self, source: Source, offset: int) -> tuple[Span, Definition] | None:
        """The name at a character of a text, and what it stands for."""
        places = [(use.span, use.definition) for use in self.uses] + [(definition.span, definition) for definition in self.definitions]
        matches = [(span, definition) for span, definition in places if span.source == source and span.start <= offset <= span.end]
        return min(matches, key=lambda match: match[0].end - match[0].start) if matches else None


def _order(own: Source, span: Span) -> tuple[bool, str, int]:
    return span.source != own, span.source.name, span.start


def _definitions(symbols: Symbols) -> Iterator[tuple[Key, Definition]]:
    """Every name with what tells it from others."""
    for entity, owner in symbols.defined:
        measurement = symbols.measurements.get(entity.name) if entity.sort == "measure" else None
        text = _words(entity.span) if measurement is None else measurement_words(measurement)
        key = entity.sort, entity.name, entity.span, owner
        yield key, Definition(entity.name, entity.sort, _kind(entity), entity.place, owner, text, written(entity))
    for known in symbols.measurements.values():
        if known.span is not None:
            place, text = known.place or known.span, measurement_words(known)
            yield (MEASUREMENT, known.name, known.span, ""), Definition(known.name, MEASUREMENT, known.kind, place, "", text, place)


def measurement_words(measurement: Measurement) -> str:
    """What a measurement is and how it is taken."""
    return f"{measurement.title}: {measurement.taken}" if measurement.taken else measurement.title


def explained(definition: Definition) -> str:
    """A definition for people: what it is, what is said of it, and where it stands."""
    sort = definition.sort if definition.kind in ("", definition.sort) else f"{definition.sort}, {article_of(definition.kind)}"
    owner = f" of {definition.owner}" if definition.owner else ""
    first = f"{definition.name}: {article_of(sort)}{owner}."
    text = f" {definition.text.rstrip('.')}." if definition.text else ""
    return f"{first}{text} Defined at {definition.span!r}."


def _kind(entity: Entity[Any]) -> str:
    if isinstance(entity.value, Value):
        return entity.value.kind.word if entity.value.kind is not UNKNOWN else ""
    return "edge" if entity.sort == "edge" else ""


def _text(heading: Heading) -> Definition:
    """What the name of a library or style stands for."""
    sort = "library" if isinstance(heading, tree.Library) else "style"
    place = heading.name.span
    return Definition(str(heading.name), sort, "", place, "", str(heading.title)[1:-1], place)


def place_of_use(name: str, place: Span) -> Span | None:
    """The name alone, where a place is it or ends in it, as `front.waist` does; None where it stands for more."""
    text = place.text
    if text == name or text.endswith(f".{name}"):
        return Span(place.source, place.end - len(name), place.end)
    return None


def _words(statement: Span) -> str:
    """A statement's own text in quotation marks, and the comment in the lines above it or at its end."""
    own = _TITLE.match(statement.text) or _QUOTED.search(statement.text)
    source, line = statement.source, statement.line
    above: list[str] = []
    alone = not source.text[source.starts[line - 1] : statement.start].strip()
    while alone and line > 1 and source.line(line - 1).lstrip().startswith(_COMMENT):
        line -= 1
        above.insert(0, source.line(line).strip().removeprefix(_COMMENT).strip())
    rest = source.text[statement.end :].partition("\n")[0].strip()
    beside = [rest.removeprefix(_COMMENT).strip()] if rest.startswith(_COMMENT) else []
    comment = " ".join([*above, *beside])
    return ". ".join(filter(None, [own[1].rstrip(".") if own and own[1] else "", comment]))
