"""The file, and the statements of a whole style: what it measures, chooses, names, repeats and requires."""

from __future__ import annotations

from collections.abc import Iterator

from ..forms import Key, Keyed, Node, Statement, Where, Word, form, group, keyed, plain, statement
from .expressions import Comparison, Either, Truth, lengths_written
from .words import Body, Expression, Message, NamedArgument, Parameter, Ref, Within


def _condition(sort: str) -> Keyed:
    """By its message, else by the words of the condition."""

    def make(message: Message | Word, condition: Expression | None = None) -> tuple[Key, ...]:
        text = message if isinstance(message, Word) else message.text
        return ((sort, plain(text) if text is not None else condition.written if condition is not None else ""),)

    return Keyed(make, "message", "condition")


@form
class Start(Node):
    language: Language | None  # these are wanting only where nothing of the text could be read
    heading: Style | Library | Fittings | None
    statements: tuple[Statement, ...] | None

    def __repr__(self) -> str:
        return f"Start({len(self.statements or ())} statements)"


@form
class Language(Node):
    version: Word


@form
class Style(Node):
    name: Word
    title: Word
    version: Version | None
    prose: Prose | None


@form
class Library(Node):
    name: Word
    title: Word
    version: Version | None
    prose: Prose | None


@form
class Fittings(Node):
    """Of the text that keeps what a client's fittings showed; its name is that of her card."""

    name: Word
    title: Word | None
    prose: Prose | None


@form
class Version(Node):
    number: Word


@form
class Prose(Node):
    lines: tuple[TextLine, ...]


@form
class TextLine(Node):
    text: Word


@statement('"use" name_list _NL', Where.STYLE | Where.LIBRARY)
class Use(Statement):
    """Libraries whose names are to be known here."""

    names: tuple[Word, ...]


@statement('"measure" name_list _NL', Where.STYLE | Where.LIBRARY)
class Measure(Statement):
    """Body measurements that the style needs."""

    names: tuple[Word, ...]


@statement('"measurement" NAME STRING _NL _IN fact_list _OUT', Where.STYLE | Where.LIBRARY, keyed("measurement", "name"))
class Measurement(Statement):
    """Defines a body measurement: its kind, how it is taken, and which figures are plausible."""

    name: Word
    title: Word
    facts: tuple[Fact, ...]


@group
class Fact(Node):
    pass


@form
class FactKind(Fact):
    kind: Word


@form
class FactStandard(Fact):
    text: Word


@form
class FactTaken(Fact):
    text: Word


@form
class FactPlausible(Fact):
    low: Expression
    high: Expression


@form
class FactSides(Fact):
    how: Word
    within: Within | None


@form
class AMonth(Node):
    """Of how steady a measure is: its bound grows with the time between two measurings."""


@form
class FactSteady(Fact):
    within: Within
    a_month: AMonth | None


@form
class Occurs(Node):
    """Of a doubt: some bodies are so, and are tried with all others."""


@statement('"doubt" NAME COMPARE NAME [occurs] message', Where.STYLE | Where.LIBRARY, keyed("doubt", "name", "other"))
class Doubt(Statement):
    """Two measurements of a body that are doubted when they stand in this relation."""

    name: Word
    relation: Word
    other: Word
    occurs: Occurs | None
    message: Message


@statement('"choose" NAME expr [range] [STRING] _NL', Where.STYLE | Where.LIBRARY, keyed("quantity", "name"))
class Choose(Statement):
    """What the wearer or the cutter may set: its usual value, its range, and what it means."""

    name: Word
    default: Expression
    range: Range | None
    text: Word | None

    def defaults(self) -> tuple[Expression, Expression | None]:
        """(default, default for inches): two where an `or` stands between written lengths; one alone holds for all."""
        written = self.default
        if not isinstance(written, Either) or not lengths_written(written):
            return written, None
        if any(isinstance(inner, (Comparison, Truth)) for inner in written.walk()):  # a condition, with figures
            return written, None
        if any(unit.in_inches for unit in lengths_written(written.left)):
            return written.right, written.left
        return written.left, written.right


@form
class Range(Node):
    low: Expression
    high: Expression


@statement(
    'NAME "=" expr [STRING] _NL',
    Where.STYLE | Where.LIBRARY | Where.PIECE | Where.SHEET | Where.RULE | Where.CHECK,
    keyed("quantity", "name"),
)
class Definition(Statement):
    """Gives a calculation a name."""

    name: Word
    value: Expression
    text: Word | None


@statement('"divide" sum "into" _NL _IN part_list _OUT', Where.STYLE | Where.LIBRARY | Where.PIECE | Where.SHEET)
class Divide(Statement):
    """Parts of a whole, each with a name; one may take the rest, others share it with a difference."""

    whole: Expression
    parts: tuple[DivisionRow, ...]

    def all_keys(self) -> tuple[Key, ...]:
        return tuple(("quantity", str(part.name)) for part in self.parts)


@group
class DivisionRow(Node):
    name: Word


@form
class Part(DivisionRow):
    value: Expression


@form
class PartThan(DivisionRow):
    value: Expression
    relation: Word
    base: Word


@form
class PartRest(DivisionRow):
    pass


@statement(
    '"find" NAME "between" sum "and" sum "so that" sum "is" sum [STRING] _NL', Where.STYLE | Where.LIBRARY, keyed("quantity", "name")
)
class Find(Statement):
    """Seeks the value, between two bounds, at which something drawn comes out as wanted."""

    name: Word
    low: Expression
    high: Expression
    value: Expression
    target: Expression
    text: Word | None


@statement('"levels" _NL _IN level_list _OUT', Where.STYLE)
class Levels(Statement):
    """Lines across the figure, each so far below or above another."""

    rows: tuple[LevelRow, ...]

    def all_keys(self) -> tuple[Key, ...]:
        return tuple(row.key for row in self.rows)


@group
class LevelRow(Node):
    name: Word

    @property
    def key(self) -> Key:
        return ("level", str(self.name))


@form
class LevelFirst(LevelRow):
    girth: GirthName | None
    unmarked: Unmarked | None


@form
class LevelFrom(LevelRow):
    distance: Expression
    direction: Word
    base: Word
    girth: GirthName | None
    unmarked: Unmarked | None


@form
class LevelHalfway(LevelRow):
    one: Word
    other: Word
    girth: GirthName | None
    unmarked: Unmarked | None


@form
class GirthName(Node):
    name: Word


@form
class Unmarked(Node):
    """Of a level that is only for construction: no paper shows it."""


@statement('"rule" NAME "(" [parameter_list] ")" "gives" expr _NL', Where.STYLE | Where.LIBRARY, keyed("rule", "name"))
class Rule(Statement):
    """A calculation with parameters, to be used by its name."""

    name: Word
    parameters: tuple[Parameter, ...] | None
    value: Expression


@statement('"rule" NAME "(" [parameter_list] ")" _NL _IN [statements] gives _OUT', Where.STYLE | Where.LIBRARY, keyed("rule", "name"))
class RuleSteps(Statement):
    """A calculation with parameters and steps between."""

    name: Word
    parameters: tuple[Parameter, ...] | None
    statements: tuple[Statement, ...] | None
    value: Gives


@form
class Gives(Node):
    value: Expression


@statement('"recipe" NAME [STRING] "(" [parameter_list] ")" _NL body', Where.STYLE | Where.LIBRARY, keyed("rule", "name"))
class Recipe(Statement):
    """A recipe for pieces, with parameters."""

    name: Word
    title: Word | None
    parameters: tuple[Parameter, ...] | None
    body: Body


@statement('"sheet" NAME _NL body', Where.STYLE, keyed("sheet", "name"))
class Sheet(Statement):
    """Points and lines that several pieces share, as on one sheet of paper."""

    name: Word
    body: Body


@statement('"when" expr _NL body [otherwise]', Where.STYLE | Where.LIBRARY | Where.PIECE | Where.SHEET)
class When(Statement):
    """Rules that hold only under a condition, and those that hold otherwise."""

    condition: Expression
    body: Body
    otherwise: Otherwise | None

    def under(self, holds: bool) -> tuple[Statement, ...]:
        """The statements that apply where the condition holds, or where it does not."""
        body = self.body if holds else self.otherwise.body if self.otherwise is not None else None
        return tuple(body.statements or ()) if body is not None else ()

    def inside(self) -> Iterator[Statement]:
        """The statements under it, those that hold otherwise as well."""
        yield from self.under(True)
        yield from self.under(False)

    def all_keys(self) -> tuple[Key, ...]:
        return tuple(key for statement in self.inside() for key in statement.all_keys())


@form
class Otherwise(Node):
    body: Body


@statement('"check" NAME "(" [parameter_list] ")" _NL body', Where.STYLE | Where.LIBRARY, keyed("rule", "name"))
class Check(Statement):
    """Conditions with parameters, to be used by many styles."""

    name: Word
    parameters: tuple[Parameter, ...] | None
    body: Body


@statement('"check" NAME "(" [argument_list] ")" _NL', Where.STYLE, key=keyed("check", "name"), without='"check" NAME', only_adds=True)
class ApplyCheck(Statement):
    """Uses a check."""

    name: Word
    arguments: tuple[Expression | NamedArgument, ...] | None


@statement('"example" STRING _NL _IN example_list _OUT', Where.STYLE, key=Keyed(lambda: (("example",),)), only_adds=True)
class Example(Statement):
    """A worked example: figures given, and figures that must come out."""

    source: Word
    rows: tuple[ExampleRow, ...]


@group
class ExampleRow(Node):
    pass


@form
class GivenRow(ExampleRow):
    given: tuple[Given, ...]


@form
class Given(Node):
    name: Word
    value: Expression


@form
class ExpectValue(ExampleRow):
    value: Expression
    target: Expression
    within: Within | None
    note: Word | None


@form
class ExpectPoint(ExampleRow):
    point: Ref
    across: Expression
    down: Expression
    within: Within | None
    note: Word | None


@statement('"require" expr message', Where.STYLE | Where.CHECK, key=_condition("require"), without='"require" STRING', only_adds=True)
class Require(Statement):
    """A condition without which the pattern is wrong."""

    condition: Expression
    message: Message


@statement(
    '"caution" "when" expr message', Where.STYLE | Where.CHECK, key=_condition("caution"), without='"caution" STRING', only_adds=True
)
class Caution(Statement):
    """A condition of which the maker is to be warned."""

    condition: Expression
    message: Message


@form
class Date(Node):
    """A day: year, month, day."""

    year: Word
    month: Word
    day: Word

    @property
    def iso(self) -> str:
        """As ISO 8601 writes it, where it is a day."""
        return f"{self.year}-{self.month}-{self.day}"


@statement('"fitting" date "of" NAME _NL _IN [text_list] [statements] _OUT', Where.FITTINGS)
class Fitting(Statement):
    """What a fitting of a style showed on a day: notes, and what is changed for this client from then on."""

    date: Date
    name: Word
    notes: tuple[TextLine, ...] | None
    statements: tuple[Statement, ...] | None
