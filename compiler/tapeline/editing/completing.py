"""What can be written next at a place of a text.

The grammar is asked what can stand there (`syntax/standing.py`), and of a name, of what sort it would be (`sorts.py`); so nothing is
offered that cannot stand there, and no name of a wrong sort.  Names come from the reading of the text, as far as it can be read: its
own, those of the libraries it uses, and, in the body of a piece or a recipe, those given there, whether or not that is used.  Of
a kind that cannot be known, such as that of what is multiplied, no name is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from ..meaning.functions import FUNCTIONS
from ..meaning.index import Definition
from ..session import Reading
from ..source.text import Source, Span
from ..source.units import UNITS, WRITTEN
from ..syntax import tree
from ..syntax.forms import RECORDS, Node, Statement, Where
from ..syntax.items import FIRST, MEMBER, Slot
from ..syntax.parser import parse
from ..syntax.scanner import LogicalLine
from ..syntax.standing import Expected, Keyword, standing
from . import sorts
from .telling import (
    Values,
    entry_at,
    entry_behind,
    headed,
    plain,
    signature,
    titled,
    told_of_function,
    told_of_name,
    told_of_statement,
)

KEYWORD, UNIT, FUNCTION = "keyword", "unit", "function"
_WITHIN = {
    "piece": Where.PIECE,
    "foundation": Where.PIECE,
    "recipe": Where.PIECE,
    "change": Where.PIECE,
    "sheet": Where.SHEET,
    "rule": Where.RULE,
    "check": Where.CHECK,
}
_FIRST = (  # in which order a style is mostly written; what is not here stands behind
    *("language", "style", "use", "measure", "choose", "divide", "find", "levels", "piece", "foundation", "sheet", "sew", "allow"),
    *("when", "require", "caution when", "check", "example"),
)
_FIRST_IN_BODIES = (
    *("cut", "worn", "widths from", "point", "line", "curve", "arc", "edge", "outline", "side", "centre", "dart on", "darts", "grain"),
    *("notch on", "zip on", "mark"),
)
_OF_BASES = ("change", "without")  # of a style that starts from another
_OPEN = ("when", "otherwise", "fitting")  # in which stands what may stand around them
_AT_LARGE = {"library": Where.LIBRARY, "fittings": Where.FITTINGS | Where.STYLE}
_OF_ANY_PIECE = ("EdgeAllowance", "NoAllowance")  # where an edge is that of every piece that has one of its name
_DRAWN = (sorts.POINT, sorts.EDGE, sorts.DART)


class Suggestion(NamedTuple):
    """Something to write from the character `start` on, in place of what is written of it already."""

    label: str
    sort: str  # a word for people: keyword, unit, measure, edge, rule, ...
    start: int
    text: str  # what is written
    snippet: str = ""  # the same with its parameters as places to fill in, `name (${1:girth}, ${2:ease})`; empty where it has none
    detail: str = ""  # in few words
    told: str = ""  # Markdown
    rank: int = 0  # the lower the earlier


def suggestions_at(reading: Reading, source: Source, offset: int, values: Values | None = None) -> list[Suggestion]:
    """What can be written at a character of a text that the reading saw, what is likeliest first."""
    stand = standing(source, offset)
    if stand is None:
        return []
    if stand.unit is not None:
        units = [_unit(word, stand.unit) for word in _units(source, stand.unit)]
        return [*units, *(_keyword(one, 1) for one in _fitting(stand, source))]
    place = _NamesAt(reading, source, stand, values or {})
    found = [*place.names(), *(_keyword(one, 3) for one in sorted(_fitting(stand, source), key=_usual_order(stand)))]
    return sorted({(one.label, one.sort): one for one in found}.values(), key=lambda one: one.rank)


def _units(source: Source, start: int) -> list[str]:
    spaced = source.text[start - 1 : start].isspace()
    return [unit.word for unit in WRITTEN if spaced or unit.of == "number"] + [
        unit.word for unit in WRITTEN if not spaced and unit.of != "number"
    ]


def _unit(word: str, start: int) -> Suggestion:
    unit = UNITS[word]
    return Suggestion(word, UNIT, start, word, "", unit.names[1], plain(unit.definition), 0)


# ------------------------------------------------------------------------------------------- keywords


def _fitting(stand: Expected, source: Source) -> Iterator[Keyword]:
    """The keywords that may stand here: of statements those that belong where it stands."""
    where = _where(stand.headers, source)
    for keyword in stand.keywords:
        statements = [form for form in keyword.forms if issubclass(form, Statement) and form in RECORDS]
        others = len(statements) < len(keyword.forms) or not keyword.forms
        if others or any(RECORDS[form].within & where for form in statements):
            yield keyword._replace(
                forms=frozenset(form for form in keyword.forms if form not in RECORDS or RECORDS[form].within & where)
            )


def _usual_order(stand: Expected) -> Callable[[Keyword], tuple[int, str]]:
    """By which keywords are sorted: as they are mostly written, and last what needs another style to start from."""
    first = _FIRST_IN_BODIES if stand.headers else _FIRST

    def place(keyword: Keyword) -> tuple[int, str]:
        words = keyword.words
        if words.split()[0] in _OF_BASES:
            return len(first) + 1, words
        return first.index(words) if words in first else len(first), words

    return place


def _where(headers: Iterable[LogicalLine], source: Source) -> Where:
    for line in reversed(list(headers)):
        words = [lexeme.text for lexeme in line.lexemes[:2]]
        if words and words[0] not in _OPEN:
            if words[:2] == ["change", "sheet"]:
                return Where.SHEET
            return _WITHIN.get(words[0], Where.STYLE)
    heading = parse(source).tree.heading
    word = "style" if heading is None else type(heading).__name__.lower()
    return _AT_LARGE.get(word, Where.STYLE)


def _keyword(keyword: Keyword, rank: int) -> Suggestion:
    forms = sorted(keyword.forms, key=lambda form: form.__name__)
    told = list(dict.fromkeys(filter(None, map(told_of_statement, forms))))
    detail = "statement" if any(form in RECORDS for form in forms) else ""
    return Suggestion(keyword.words, KEYWORD, keyword.start, keyword.words, "", detail, "\n\n".join(told), rank)


# ------------------------------------------------------------------------------------------- names


class _NamesAt:
    """One place, and the names that can stand there."""

    def __init__(self, reading: Reading, source: Source, stand: Expected, values: Values):
        self.reading, self.source, self.stand, self.values = reading, source, stand, values
        self.around = _enclosing(source, stand)
        self.bases = bases_in(parse(source).tree.statements or ())
        self.owners = self._chain(self._piece())

    def names(self) -> Iterator[Suggestion]:
        for slot in sorted(self.stand.slots, key=lambda slot: (slot.form.__name__, slot.field)):
            wanted = sorts.sorts_in(slot)
            if self.stand.lexemes[:1] and self.stand.lexemes[0].text == "without":
                yield from self._taken_away(slot)
            if slot.way == MEMBER or (slot.form is tree.Member and slot.field == "word"):
                yield from self._members(wanted)
            elif slot.form is tree.NamedArgument:
                yield from self._parameters()
            else:
                yield from self._of_sorts(slot, wanted)

    def _piece(self) -> str:
        """The piece, sheet or recipe in whose body it stands; empty where in none."""
        for line in self.stand.headers:
            words = [lexeme.text for lexeme in line.lexemes[:3]]
            if words and words[0] in ("piece", "foundation", "sheet", "recipe"):
                return words[1] if len(words) > 1 else ""
            if words and words[0] == "change" and len(words) > 2:
                return words[2]
        words = [lexeme.text for lexeme in self.stand.lexemes[:2]]
        return words[1] if words[:1] == ["cut"] and len(words) > 1 else ""

    def _chain(self, piece: str) -> tuple[str, ...]:
        """A piece, the one that it is made from, and so on: what has not changed of it has its name there."""
        owners: list[str] = []
        while piece and piece not in owners:
            owners.append(piece)
            piece = self.bases.get(piece, "")
        return tuple(owners)

    def _inside(self, span: Span) -> bool:
        return self.around is not None and span.source == self.source and self.around.start <= span.start <= self.around.end

    def _members(self, wanted: tuple[str, ...]) -> Iterator[Suggestion]:
        """What a piece has, behind its name and a dot."""
        before = [lexeme.text for lexeme in self.stand.lexemes[-2:]]
        owner = before[0] if len(before) == 2 and before[1] == "." else ""
        owners = self._chain(owner)
        for definition in self.reading.definitions:
            if definition.owner in owners and definition.sort in wanted:
                yield self._suggested(definition, 0)

    def _taken_away(self, slot: Slot) -> Iterator[Suggestion]:
        """What statements of the same form name in the styles that this one starts from: only that can be taken away."""
        for (sort, _), source in self.reading.opened.texts.items():
            if sort != sorts.STYLE:
                continue
            for statement in parse(source).tree.walk():
                if type(statement) is slot.form:
                    for word in statement.tokens():
                        if word.type == "NAME":
                            yield Suggestion(str(word), "name", self.stand.start, str(word), "", f"in {source.name}")

    def _parameters(self) -> Iterator[Suggestion]:
        """The parameters of the recipe in whose brackets it stands, to be given by their names."""
        name, _ = call_around(self.stand)
        given = {one.text for one, sign in zip(self.stand.lexemes, self.stand.lexemes[1:], strict=False) if sign.text == "="}
        entry = next((entry for definition in self._called(name, "recipe") if (entry := entry_behind(definition))), None)
        for parameter in entry.parameters if entry is not None else ():
            if parameter.name not in given:
                text = f"{parameter.name} = "
                yield Suggestion(parameter.name, sorts.PARAMETER, self.stand.start, text, "", parameter.kind, plain(parameter.text), 1)

    def _called(self, name: str, sort: str) -> list[Definition]:
        return [one for one in self.reading.definitions if one.name == name and one.sort == sort]

    def _of_sorts(self, slot: Slot, wanted: tuple[str, ...]) -> Iterator[Suggestion]:
        world, start = self.reading.world, self.stand.start
        if sorts.LIBRARY in wanted:
            for name in world.library_names():
                library = world.library(name)
                if headed(library) in ("library", ""):
                    yield Suggestion(name, sorts.LIBRARY, start, name, told=titled(name, library))
        if sorts.STYLE in wanted:
            for name in world.style_names():
                style = world.style(name)
                if headed(style) in ("style", "") and style != self.source:
                    yield Suggestion(name, sorts.STYLE, start, name, told=titled(name, style))
        if sorts.MEASUREMENT_KIND in wanted:
            from ..bodies.measurement import KINDS

            yield from (Suggestion(kind, sorts.MEASUREMENT_KIND, start, kind) for kind in KINDS)
        if sorts.RULE in wanted:
            yield from self._functions()
        yield from self._defined(slot, wanted)

    def _functions(self) -> Iterator[Suggestion]:
        for name, function in FUNCTIONS.items():
            values = ", ".join(f"${{{at + 1}:{letter}}}" for at, letter in enumerate("abcdef"[: function.least]))
            yield Suggestion(
                name, FUNCTION, self.stand.start, f"{name} of ", f"{name} of ({values})", function.form, told_of_function(name), 2
            )

    def _defined(self, slot: Slot, wanted: tuple[str, ...]) -> Iterator[Suggestion]:
        own: set[tuple[str, str]] = set()
        quantities = sorts.QUANTITIES[0] in wanted
        for definition in self.reading.definitions:
            inside = self._inside(definition.span) or definition.owner in self.owners
            everywhere = not definition.owner or slot.form.__name__ in _OF_ANY_PIECE
            reached = inside or definition.sort != sorts.PARAMETER  # a parameter means nothing outside its rule
            if definition.sort in wanted and (everywhere or inside) and reached:
                if quantities and definition.kind == "condition" and not self.stand.condition:
                    continue
                own.add((definition.name, definition.sort))
                yield self._suggested(definition, 0 if inside or definition.span.source == self.source else 1)
            elif slot.way == FIRST and definition.sort in (sorts.PIECE, sorts.SHEET) and not set(wanted).isdisjoint(_DRAWN):
                yield self._suggested(definition, 1)
        for name, sort, kind in self._written():
            if sort in wanted and (name, sort) not in own and (kind != "condition" or self.stand.condition):
                yield Suggestion(name, sort, self.stand.start, name, "", kind or sort, "", 0)

    def _suggested(self, definition: Definition, rank: int) -> Suggestion:
        entry = entry_behind(definition)
        detail = definition.kind if definition.kind not in ("", definition.sort) else definition.sort
        if definition.sort in (sorts.MEASUREMENT, "measure"):
            detail = definition.text.partition(": ")[0]
        value = self.values.get(definition.dotted)
        if value:
            detail = f"{detail}, {value}" if detail else value
        text, snippet = definition.name, ""
        if entry is not None:
            places = ", ".join(f"${{{at}:{parameter.name}}}" for at, parameter in enumerate(entry.parameters, 1))
            link = " of " if entry.sort == "rule" else " "
            text, snippet, detail = f"{entry.name}{link}", f"{entry.name}{link}({places})", signature(entry)
        told = told_of_name(definition, self.values)
        return Suggestion(definition.name, definition.sort, self.stand.start, text, snippet, detail, told, rank)

    def _written(self) -> Iterator[tuple[str, str, str]]:
        """(name, sort, kind) of what the text itself gives a name in the body around the place, as it is written."""
        if self.around is None:
            return
        for statement in parse(self.source).tree.statements or ():
            if statement.span.start <= self.around.start < statement.span.end:
                yield from written_in(statement)
        for line in self.stand.headers[:1]:
            texts = [lexeme.text for lexeme in line.lexemes]
            for name, kind in zip(texts, texts[1:], strict=False):
                if kind in ("length", "number", "angle", "condition") and name not in ("(", ","):
                    yield name, sorts.PARAMETER, kind


def written_in(statement: Node) -> Iterator[tuple[str, str, str]]:
    """(name, sort, kind) of every name that a statement or its body gives, read from the tree alone."""
    for node in statement.walk():
        if isinstance(node, tree.Parameter):
            yield str(node.name), sorts.PARAMETER, str(node.kind)
        elif isinstance(node, tree.Definition):
            yield str(node.name), "quantity", ""
        elif isinstance(node, tree.Point):
            yield str(node.name), sorts.POINT, ""
        elif isinstance(node, (tree.Line, tree.Curve, tree.Arc, tree.CarriedOn, tree.Edge)):
            yield str(node.name), sorts.EDGE, ""


def bases_in(statements: Iterable[Node]) -> dict[str, str]:
    """Piece -> the piece that it is made from, as it is written."""
    bases: dict[str, str] = {}
    for top in statements:
        for node in top.walk():
            if isinstance(node, (tree.Piece, tree.Foundation)) and isinstance(node.recipe, (tree.FromPiece, tree.FromPieceAs)):
                bases[str(node.name)] = str(node.recipe.name)
            elif isinstance(node, tree.CutApart):
                made = (one for one in node.walk() if isinstance(one, (tree.Piece, tree.Foundation)))
                bases.update((str(one.name), str(node.piece)) for one in made if str(one.name) not in bases)
    return bases


def _enclosing(source: Source, stand: Expected) -> Span | None:
    """The lines of the statement at large in whose body the place lies."""
    if not stand.headers:
        return None
    begin = stand.headers[0].span.start
    end = stand.start
    for line in range(source.line_column(end)[0], len(source.starts)):
        text = source.line(line + 1)
        if text[:1].strip() and not text.startswith("--"):
            break
        end = source.starts[line] + len(text)
    return Span(source, begin, max(end, stand.start))


# ------------------------------------------------------------------------------------------- calls


class CallHint(NamedTuple):
    """A rule, recipe, check or function in whose brackets a place stands; `number` of the parameter that is being written."""

    label: str
    parameters: tuple[tuple[str, str], ...]  # each as it stands in the label, and what it is
    number: int
    told: str


def call_around(stand: Expected) -> tuple[str, int]:
    """(name, number of values before the place) of the innermost call whose bracket is open; an empty name where there is none."""
    depth = number = 0
    lexemes = stand.lexemes
    for at in range(len(lexemes) - 1, 0, -1):
        text = lexemes[at].text
        if text == ")":
            depth += 1
        elif text == "(" and depth:
            depth -= 1
        elif text == "(":
            name = lexemes[at - 2] if lexemes[at - 1].text == "of" and at > 1 else lexemes[at - 1]
            if name.kind in ("WORD", "NAME"):
                return name.text, number
            number = 0
        elif text == "," and not depth:
            number += 1
    return "", 0


def call_at(reading: Reading, source: Source, offset: int) -> CallHint | None:
    """The call in whose brackets a character of a text stands."""
    stand = standing(source, offset)
    name, number = ("", 0) if stand is None else call_around(stand)
    if name in FUNCTIONS:
        function = FUNCTIONS[name]
        many = tuple((letter, function.takes.words) for letter in "abcdef"[: function.least])
        return CallHint(function.form, many, min(number, len(many) - 1), told_of_function(name))
    entries = [entry for one in reading.definitions if one.name == name and (entry := entry_behind(one)) is not None]
    entries = entries or [entry for sort in ("recipe", "rule", "check") if name and (entry := entry_at(source, name, sort)) is not None]
    if not entries:
        return None
    entry = entries[0]
    parameters = tuple((one.name, f"{one.kind}" + (f": {one.text}" if one.text else "")) for one in entry.parameters)
    return CallHint(signature(entry), parameters, number, plain(entry.title or entry.text))
