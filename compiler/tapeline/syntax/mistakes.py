"""What is said of a text that cannot be parsed: what could have stood there, what did, and a way out."""

from __future__ import annotations

from ..source import former
from ..source.diagnostics import Diagnostic
from ..source.quantity import read_number
from ..source.suggest import did_you_mean, nearest
from ..source.text import Span
from ..source.units import BY_SPELLING
from .automaton import Automaton, Stacks
from .scanner import Lexeme, LogicalLine

MOST_NAMED = 10  # of what could have stood there
A_DAY = "year, month and day with all their figures: 2026-12-05"


class Mistakes:
    """Adds to the diagnostics what is wrong where the parser stands."""

    def __init__(self, parser: Automaton, diagnostics: list[Diagnostic]):
        self.parser, self.tables, self.diagnostics = parser, parser.tables, diagnostics
        self.old: set[int] = set()  # where the lines with an old word begin: of them nothing else is said

    def report(self, code: str, title: str, span: Span, expected: str = "", found: str = "", suggestion: str = "") -> None:
        self.diagnostics.append(Diagnostic(code, title, span, expected, found, suggestion))

    def too_deep(self, what: str, span: Span, most: str, found: str, way_out: str) -> None:
        self.report("S111", f"{what} are nested too deep", span, f"at most {most}", found, way_out)

    def old_word(self, line: LogicalLine, old: str, new: str, way_out: str, span: Span) -> None:
        self.old.add(line.span.start)
        self.report("S114", f'"{old}" is now called "{new}"', span, f'"{new}"', f'"{old}"', f'Write "{way_out}" in its place.')

    def without_body(self, header: LogicalLine) -> None:
        if header.span.start in self.old:
            return
        self.report(
            "S109",
            "This line needs indented lines below it",
            header.span,
            "a more deeply indented line",
            "none",
            "Indent what belongs to it by four spaces.",
        )

    def body_breaks_off(self, header: LogicalLine) -> None:
        """A line is wanting at the end of the body below this."""
        way_out = "End it with a line: gives ..." if "GIVES" in self.parser.accepts() else "Add the line that is missing."
        self.report("S106", "The lines below this break off", header.span, self._expected(), "the end of the block", way_out)

    def unexpected_indent(self, line: LogicalLine, number: int) -> None:
        self.report(
            "S108",
            "This line is indented, but nothing can stand below the line above",
            line.lexemes[0].span,
            "the same indentation as the line above",
            f"{line.indent} spaces",
            "Take the indentation away" + (", or check the line above." if number else "."),
        )

    def unexpected(self, line: LogicalLine, at: int, before: Stacks) -> None:
        """The lexeme of that number cannot stand there, or the line cannot end there; `before`: the stacks at its beginning."""
        if line.span.start in self.old:
            return
        lexemes = line.lexemes
        if at == 1 and lexemes[0].kind == "WORD" and self.parser.accepts() == {"EQUAL"}:
            self.parser.restore(before)  # the first word could only be a name to define: likely a misspelt statement
            at = 0
        expected, way_out = self._expected(), self._way_out(lexemes, at)
        if at >= len(lexemes):
            end = lexemes[-1].span.end
            place = Span(line.span.source, end, end)
            self.report("S106", "The statement breaks off", place, expected, "the end of the line", way_out)
            return
        lexeme = lexemes[at]
        found = f'"{lexeme.text}"'
        if lexemes[0].text == "fitting" and at and (day := _before_of(lexemes, at)) is not None:
            self.report("O111", "This is no day", day, A_DAY, day.text, "Write the day of the fitting.")
        elif lexeme.text == ")" and not any(earlier.text == "(" for earlier in lexemes[:at]):
            title, way_out = "A bracket closes that was never opened", "Take it out, or open it with ( before."
            self.report("S105", title, lexeme.span, expected, found, way_out)
        elif at == 0 and lexeme.kind == "WORD":
            self.report("S112", f"No statement here begins with {found}", lexeme.span, expected, found, way_out)
        else:
            self.report("S106", f"{found} is not understood here", lexeme.span, expected, found, way_out)

    def _expected(self) -> str:
        accepted = self.parser.accepts()
        named = list(dict.fromkeys(word for terminal, words in self.tables.human.items() if terminal in accepted for word in words))
        if len(named) > MOST_NAMED:
            named = [*named[:MOST_NAMED], "..."]
        return " | ".join(named)

    def _way_out(self, lexemes: list[Lexeme], at: int) -> str:
        accepted = self.parser.accepts()
        before = lexemes[at - 1] if at else None
        if at >= len(lexemes):
            return "Add the length or number that is missing, for example 2 cm." if "QUANTITY" in accepted else ""
        lexeme = lexemes[at]
        if at > 1 and lexemes[at - 1].text == "of" and {"LPAR", "QUANTITY"} <= accepted:
            return _in_brackets(lexemes[at - 2], lexeme, lexemes[at + 1 : at + 2])
        if lexeme.text == "only" and before is not None and before.text in ("left", "right"):
            return f"Say: on the {before.text}. That is one side alone."
        if lexeme.kind == "WORD":
            unit = BY_SPELLING.get(lexeme.text.lower())
            if before is not None and before.kind == "NUMBER" and unit is not None:
                if unit.instead:
                    return f"Write {unit.hint(read_number(before.text))}."
                return f"Write the unit as {unit.word}: {before.text} {unit.word}."
            if near := self._near(lexeme, accepted):
                return near
            valued = at == 0 and len(lexemes) > 1 and lexemes[1].kind in ("NUMBER", "QUANTITY", "WORD", "NAME")
            if valued and "EQUAL" in self.tables.names and "NAME" in accepted:
                return f"To name a quantity write: {lexeme.text} = ..."
        numbers = ("NUMBER", "QUANTITY")
        if lexeme.kind in numbers and "_NL" in accepted and before is not None and before.kind in numbers:
            return "Write + - * or / between two numbers, or write a fraction as 7 3/8 in."
        return ""

    def _near(self, lexeme: Lexeme, accepted: set[str]) -> str:
        """A phrase that could stand here and begins nearly like this word."""
        phrases = {words[0]: " ".join(words) for terminal in accepted for words in self.tables.words_of.get(terminal, ())}
        known = sorted(phrases)
        near = nearest(lexeme.text, known)
        if not near:
            return ""
        whole = phrases[near[0]]
        return did_you_mean(lexeme.text, known) if whole == near[0] else f'Did you mean "{whole}"?'


def _before_of(lexemes: list[Lexeme], at: int) -> Span | None:
    """All between the first word and the first `of`, where that comes after the lexeme of that number."""
    for number, lexeme in enumerate(lexemes):
        if lexeme.text == "of":
            return lexemes[1].span._replace(end=lexemes[number - 1].span.end) if number > at else None
    return None


def _in_brackets(function: Lexeme, lexeme: Lexeme, rest: list[Lexeme]) -> str:
    """A function takes a name or a quantity as it stands, and all else in brackets: what this one would look like."""
    name = former.FUNCTIONS.get(function.text, function.text)
    renamed = f'"{function.text}" is now called "{name}". ' if name != function.text else ""
    value = lexeme.text + "".join(one.text for one in rest) if lexeme.text == "-" else lexeme.text
    return f"{renamed}Put it in brackets: {name} of ({value})."
