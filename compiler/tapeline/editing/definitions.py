"""Where a name leads, and everywhere it stands.

A name leads to where it was written first: one that a piece takes over to the recipe or the piece that drew it, one that is made of
others to the first of these, a measure that a style asks for to what is said of the measurement, a name said anew to what it takes
the place of, that of a library or style to its text.  Where a name stands is told of the text itself and the texts it uses, and
of others of its folder that are read besides, as far as they use this one.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePath
from typing import TYPE_CHECKING

from ..session import Session
from ..source.diagnostics import Refused, refused
from ..source.text import Source, Span
from ..source.world import SUFFIX, World
from ..syntax import tree
from ..syntax.parser import parse
from .families import Families, text_key

if TYPE_CHECKING:
    from ..session import Reading


def definition_at(reading: Reading, source: Source, offset: int) -> tuple[Span, Span] | None:
    """(the name at a character of a text, where it leads); None where no name stands there that leads anywhere."""
    word = _word_at(source, offset)
    found = None if word is None else reading.definition(word.span)
    if word is None or found is None:
        return None
    place = found.written if found.written != word.span else _before(reading, word.span) or found.written
    return word.span, place


def _before(reading: Reading, given: Span) -> Span | None:
    """What a name leads to that is given here: the same name in the statement in whose place this one stands, or what the measure is."""
    for symbols in reading.symbols:
        for new, old in symbols.replaced:
            if new.span == given:
                return old.span
        for entity, _ in symbols.defined:
            if entity.sort == "measure" and entity.place == given and entity.name in symbols.measurements:
                return symbols.measurements[entity.name].place
    return None


def _word_at(source: Source, offset: int) -> tree.Word | None:
    """The word that stands at a character, or just before it."""
    words = [word for word in parse(source).tree.tokens() if word.span.start <= offset <= word.span.end]
    return max(words, key=lambda word: word.span.start) if words else None


def references(readings: Sequence[Reading], source: Source, offset: int) -> list[Span]:
    """Every place where the name at a character stands, in all that the readings saw, by file and place."""
    families = Families(reading.symbols for reading in readings)
    family = families.at(source, offset)
    return [] if family is None else families.words(family)


def highlights(reading: Reading, source: Source, offset: int) -> list[Span]:
    """The same within the text alone."""
    return [span for span in references([reading], source, offset) if text_key(span.source) == text_key(source)]


def place_of(reading: Reading, source: Source, place: str) -> int:
    """Where a name stands in a text: said as it is, `hip_ease` or `front.waist`, or as LINE:COLUMN.  `Refused` with E130."""
    line, _, column = place.partition(":")
    if line.isdecimal() and column.isdecimal() and 1 <= int(line) <= len(source.starts):
        return min(source.starts[int(line) - 1] + int(column) - 1, len(source.text))
    key, wanted = text_key(source), reading.definition(place)
    spans = [] if wanted is None else [wanted.written, wanted.span, *(use.span for use in reading.uses if use.definition == wanted)]
    own = [span for span in spans if text_key(span.source) == key and span.text == place.rpartition(".")[2]]
    if not own:
        raise Refused(
            refused(
                place,
                "E130",
                f"No name of this text is called {place}",
                "a name, or LINE:COLUMN",
                place,
                "Say where it stands, as 7:3.",
            )
        )
    return own[0].start


# ------------------------------------------------------------ the texts of a folder


def read_text(world: World, path: PurePath) -> Reading | None:
    """What a text of the language is read as, by its path; a library by a style that uses it.  None where it is not there."""
    source, _ = world.text(path)
    if source is None:
        return None
    if not isinstance(parse(source).tree.heading, tree.Library):
        return Session(world).read(path)
    name = path.stem
    user = Source(f"{name} in use", f'language 1\nstyle use_of_{name} "{name}"\nuse {name}\n')
    return Session(world.beside(path)).read(user)


def users(world: World, path: PurePath) -> list[PurePath]:
    """The texts of a folder that use one of its texts or start from it, themselves or through others, in order."""
    texts = {other: names_used(world, other) for other in world.folder(path.parent, SUFFIX) or ()}
    found = {path.stem}
    grown = True
    while grown:
        more = {other.stem for other, names in texts.items() if names & found} - found
        grown = bool(more)
        found |= more
    return [other for other in texts if other.stem in found and other.stem != path.stem]


def names_used(world: World, path: PurePath) -> set[str]:
    """The names of the texts that a text uses or starts from."""
    source, _ = world.text(path)
    statements = () if source is None else parse(source).tree.statements or ()
    names: set[str] = set()
    for statement in statements:
        if isinstance(statement, tree.Use):
            names.update(map(str, statement.names))
        elif isinstance(statement, tree.StartFrom):
            names.add(str(statement.name))
    return names
