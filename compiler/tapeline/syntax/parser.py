"""Lines of lexemes to a syntax tree, by Lark's LALR(1) tables, one statement at a time.

Which words are keywords depends on where the parser stands: for each word the longest phrase of the grammar that can
be accepted here is taken, else a name.  Before each statement the parser's stacks are remembered; after a mistake
they are put back and the statement, with the lines indented below it, is passed over, so that one run reports every
independent mistake and still yields the tree of the good statements.  The names in what was passed over are kept as
`lost`, and the beginnings of the statements whose blocks lost a line as `torn`, so that later stages need not complain
about what is missing there.  A missing heading is said once and then assumed, so that the rest is still read.
"""

from __future__ import annotations

import re
from copy import copy
from functools import lru_cache
from typing import NamedTuple

from lark.exceptions import UnexpectedToken

from ..source.diagnostics import Diagnostic
from ..source.quantity import read_number
from ..source.suggest import did_you_mean, nearest
from ..source.text import Source, Span
from ..source.units import BY_SPELLING
from .scanner import MOST_BRACKETS, Lexeme, Line, bracket_depth, scan
from .tables import Tables, tables
from .tree import Node, Word

MOST_NESTING = 12  # indented blocks within blocks


class Parsed(NamedTuple):
    """A tree (None where nothing could be read), comments, the names lost with statements passed over, and where the
    statements begin whose blocks lost a line."""

    source: Source
    tree: Node | None
    comments: tuple[Span, ...]
    lost: frozenset[str]
    torn: frozenset[int]
    diagnostics: list[Diagnostic]


@lru_cache(maxsize=64)
def parse(source: Source) -> Parsed:
    """The tree of a text.  A text that is met again, as when changes of another are tried, is not read again."""
    lines, comments, spoiled, diagnostics = scan(source)
    if not lines:
        if not diagnostics:
            diagnostics.append(
                Diagnostic("S110", "The file says nothing", Span(source, 0, 0), "a style or a library", "no statement", _BEGIN)
            )
        return Parsed(source, None, tuple(comments), frozenset(spoiled), frozenset(), diagnostics)
    run = _Run(source, tables(), diagnostics)
    run.lost.update(spoiled)
    tree = run.parse(lines)
    return Parsed(source, tree, tuple(comments), frozenset(run.lost), frozenset(run.torn), diagnostics)


_BEGIN = 'Begin with a line "language 1", then a heading such as: style my_skirt "My skirt"'


# ------------------------------------------------------------------------------------------- one run of the parser


class _Run:
    def __init__(self, source: Source, grammar: Tables, diagnostics: list[Diagnostic]):
        self.source = source
        self.grammar = grammar
        self.diagnostics = diagnostics
        self.parser = grammar.lark.parse_interactive()
        self.silent = copy(self.parser.parser_state.parse_conf)
        self.silent.callbacks = {}
        self.lost: set[str] = set()
        self.torn: set[int] = set()
        self.indents = [0]
        self.saved: list[tuple] = []  # (stacks before, line) of the latest statement at each open indentation
        self.headless = ["language", "heading"]  # what of the beginning has not been read yet
        self.no_language = False

    def parse(self, lines: list[Line]) -> Node | None:
        number = 0
        while number < len(lines):
            number = self.next_line(lines, number)
        if self.needs_block():
            self.give_up_header(lines, len(lines))
        end = Span(self.source, len(self.source.text), len(self.source.text))
        while len(self.indents) > 1:
            self.close(end)
        while self.headless:
            self.assume(None, lines[0], at_line=False)
        return self.parser.parser_state.feed_token(Word("", end, "$END"), True)

    def next_line(self, lines: list[Line], number: int) -> int:
        """Read the line of that number and feed it; the number of the line to read next."""
        line, indents = lines[number], self.indents
        if not line.lexemes:  # spoiled: the scanner has said why
            return self.skip(lines, number, line.indent)
        if self.needs_block() and line.indent <= indents[-1]:
            self.give_up_header(lines, number)
        if line.indent > indents[-1]:
            if not self.can("_IN"):
                self.unexpected_indent(line, number)
                return self.skip(lines, number, indents[-1])
            if len(indents) > MOST_NESTING:
                self.report(
                    "S111",
                    "Blocks are nested too deep",
                    line.span,
                    f"at most {MOST_NESTING} levels",
                    f"{len(indents)}",
                    "Use a named block or rule.",
                )
                return self.skip(lines, number, indents[-1])
            self.feed("_IN", "", line.span)
            indents.append(line.indent)
        elif line.indent not in indents:
            return self.misfit(lines, number)
        while line.indent < indents[-1]:
            self.close(Span(self.source, line.span.start, line.span.start))
        before = self.state()
        self.saved[len(indents) - 1 :] = [(before, line)]
        if self.headless and self.parser.accepts() & {"LANGUAGE", "STYLE"}:
            return self.beginning(lines, number)
        if self.statement(line, before):
            return number + 1
        self.restore(before)
        return self.skip(lines, number, line.indent)

    def close(self, place: Span):
        """End the innermost block; where every line of it was passed over, its header goes with them."""
        if self.can("_OUT"):
            self.feed("_OUT", "", place)
            self.indents.pop()
            return
        self.indents.pop()
        before, header = self.saved[len(self.indents) - 1]
        self.lose(header)
        self.tear(header.indent)
        self.restore(before)

    def give_up_header(self, lines: list[Line], number: int):
        """The latest statement stands without its lines: put the parser back to before it."""
        before, header = self.saved[len(self.indents) - 1]
        if lines[number - 1] is not header and self.can("_IN"):  # its lines were passed over: may it do without?
            waiting = self.state()
            place = Span(self.source, header.span.end, header.span.end)
            self.feed("_IN", "", place)
            if self.can("_OUT"):
                self.feed("_OUT", "", place)
                return
            self.restore(waiting)
        if lines[number - 1] is header:
            self.report(
                "S109",
                "This line needs indented lines below it",
                header.span,
                "a more deeply indented line",
                "none",
                "Indent what belongs to it by four spaces.",
            )
        self.lose(header)
        self.tear(header.indent)
        self.restore(before)

    # ---------------------------------------------------------------- the beginning of the file

    def beginning(self, lines: list[Line], number: int) -> int:
        """The language line or the heading.  Where it is missing or wrong, that is said once and it is assumed."""
        line, part = lines[number], self.headless[0]
        word = line.lexemes[0].text
        starters = {"language": ("language",), "heading": ("style", "library")}[part]
        if word in starters or nearest(word, starters):
            before = self.state()
            if self.statement(line, before):
                self.headless.pop(0)
                self.saved[-1] = (self.state(), line)  # a spoiled line below it does not undo it
                return number + 1
            self.restore(before)
            self.assume(part, line)
            return self.skip(lines, number, line.indent)
        self.assume(None, line)
        return number

    def assume(self, said: str | None, line: Line, at_line: bool = True):
        """Feed the missing part of the beginning; unless its mistake is `said` already, say that it is missing."""
        part = self.headless.pop(0)
        if said is None and not (part == "heading" and self.no_language):
            self.no_language = part == "language"
            title = "The file has no heading" if part == "heading" else "The file does not say its language"
            first = line.lexemes[0] if line.lexemes else None
            self.report(
                "S110",
                title,
                first.span if first else line.span,
                "a style or a library" if part == "heading" else "language 1",
                f'"{first.text}"' if first and at_line else "none",
                _BEGIN,
            )
        place = Span(self.source, line.span.start, line.span.start)
        words = (
            [("LANGUAGE", "language"), ("NUMBER", "1")]
            if part == "language"
            else [("STYLE", "style"), ("NAME", "unnamed"), ("STRING", '"unnamed"')]
        )
        for terminal, text in [*words, ("_NL", "")]:
            self.feed(terminal, text, place)

    # ---------------------------------------------------------------- one statement

    def statement(self, line: Line, before) -> bool:
        """Feed one line and its end; False (with a diagnostic) where it cannot be read.  `before`: the stacks."""
        if bracket_depth(line.lexemes) > MOST_BRACKETS:
            self.report(
                "S111",
                "Brackets are nested too deep",
                line.lexemes[0].span,
                f"at most {MOST_BRACKETS}",
                "more",
                "Give parts of the calculation names of their own.",
            )
            return False
        lexemes, at = line.lexemes, 0
        while at < len(lexemes):
            terminal, count = self.read_as(lexemes, at)
            last = lexemes[at + count - 1]
            text = " ".join(lexeme.text for lexeme in lexemes[at : at + count])
            span = lexemes[at].span.to(last.span)
            if terminal is None or not self.try_feed(terminal, text, span):
                self.unexpected(line, at, before)
                return False
            at += count
        end = lexemes[-1].span.end
        if not self.try_feed("_NL", "", Span(self.source, end, end)):
            self.unexpected(line, len(lexemes), before)
            return False
        return True

    def read_as(self, lexemes: list[Lexeme], at: int) -> tuple[str | None, int]:
        """The terminal that the lexeme (or the phrase beginning with it) stands for here, and its word count."""
        lexeme, choices = lexemes[at], self.parser.choices()
        if at == 0 and len(lexemes) > 1 and lexemes[1].text == "=" and "NAME" in choices and lexeme.kind == "WORD":
            return "NAME", 1  # a quantity may be called by a word that begins a statement
        if lexeme.kind == "SIGN":
            candidates = [(terminal, 1) for terminal in self.grammar.words.get(lexeme.text, ())]
        elif lexeme.kind != "WORD":
            candidates = [(lexeme.kind, 1)]
        else:
            candidates = [
                (terminal, len(words))
                for words, terminals in self.grammar.phrases.get(lexeme.text, ())
                if tuple(one.text for one in lexemes[at : at + len(words)]) == words
                for terminal in terminals
            ] + [("NAME", 1)]
        candidates = [candidate for candidate in candidates if candidate[0] in choices]
        if len(candidates) > 1:  # the tables merge lookaheads: only a trial tells which really fits
            fitting = [candidate for candidate in candidates if self.fits(candidate[0], lexeme)]
            candidates = fitting or candidates
        return candidates[0] if candidates else (None, 1)

    def fits(self, terminal: str, lexeme: Lexeme) -> bool:
        trial = self.parser.copy(deepcopy_values=False)
        trial.parser_state.parse_conf = self.silent  # making nodes would lengthen lists that the true parser holds
        try:
            trial.feed_token(Word(lexeme.text, lexeme.span, terminal))
        except UnexpectedToken:
            return False
        return True

    # ---------------------------------------------------------------- the parser's stacks

    def can(self, terminal: str) -> bool:
        return terminal in self.parser.choices() and terminal in self.parser.accepts()

    def needs_block(self) -> bool:
        choices = self.parser.choices()
        return "_IN" in choices and "_OUT" not in choices and len(self.parser.accepts() - {"_IN"}) == 0

    def feed(self, terminal: str, text: str, span: Span):
        self.parser.feed_token(Word(text, span, terminal))

    def try_feed(self, terminal: str, text: str, span: Span) -> bool:
        try:
            self.feed(terminal, text, span)
        except UnexpectedToken:
            return False
        return True

    def state(self):
        state = self.parser.parser_state
        return list(state.state_stack), list(state.value_stack)

    def restore(self, saved):
        states, values = saved[:2]
        self.parser.parser_state.state_stack[:] = states
        self.parser.parser_state.value_stack[:] = values

    def skip(self, lines: list[Line], number: int, indent: int) -> int:
        """The next line at this indentation or less; the names in between are lost."""
        self.tear(lines[number].indent)
        self.lose(lines[number])
        is_fork = _first_word(lines[number]) == "when"
        at, number = lines[number].indent, number + 1
        while number < len(lines) and (
            lines[number].indent > indent or is_fork and lines[number].indent == at and _first_word(lines[number]) == "otherwise"
        ):
            self.lose(lines[number])
            number += 1
        return number

    def misfit(self, lines: list[Line], number: int) -> int:
        """A line indented like none of the open blocks: it is lost, and those after it until one fits again."""
        line = lines[number]
        *others, last = sorted(self.indents)
        fitting = f"{', '.join(map(str, others))} or {last}" if others else f"{last}"
        self.report(
            "S107",
            "This indentation fits no line above",
            line.lexemes[0].span,
            f"{fitting} spaces",
            f"{line.indent} spaces",
            "Indent lines of one block by the same number of spaces.",
        )
        while number < len(lines) and lines[number].indent not in self.indents:
            self.tear(lines[number].indent)
            self.lose(lines[number])
            number += 1
        return number

    def lose(self, line: Line):
        self.lost.update(lexeme.text for lexeme in line.lexemes)

    def tear(self, indent: int):
        """Note that the open statements indented less than this lost a line of their blocks."""
        self.torn.update(line.span.start for _, line in self.saved[: len(self.indents)] if line.indent < indent)

    # ---------------------------------------------------------------- diagnostics

    def report(self, code, title, span, expected="", found="", suggestion=""):
        self.diagnostics.append(Diagnostic(code, title, span, expected, found, suggestion))

    def expected(self) -> str:
        accepted = self.parser.accepts()
        names = [self.grammar.human[terminal] for terminal in self.grammar.human if terminal in accepted]
        flat = list(dict.fromkeys(word for name in names for word in name))
        if len(flat) > 10:
            flat = flat[:10] + ["..."]
        return " | ".join(flat)

    def unexpected(self, line: Line, at: int, before):
        lexemes = line.lexemes
        if at == 1 and lexemes[0].kind == "WORD" and self.parser.accepts() == {"EQUAL"}:
            self.restore(before)  # the first word could only be a name to define: likely a misspelt statement
            at = 0
        expected = self.expected()
        if at >= len(lexemes):
            end = lexemes[-1].span.end
            self.report(
                "S106", "The statement breaks off", Span(self.source, end, end), expected, "the end of the line", self.hint(lexemes, at)
            )
            return
        lexeme = lexemes[at]
        if lexeme.text == ")" and (bracket_depth(lexemes[:at]) == 0 or lexemes[:at].count("(") == 0):
            self.report(
                "S105",
                "A bracket closes that was never opened",
                lexeme.span,
                expected,
                '")"',
                "Take it out, or open it with ( before.",
            )
            return
        if at == 0 and lexeme.kind == "WORD":
            self.report(
                "S112",
                f'No statement here begins with "{lexeme.text}"',
                lexeme.span,
                expected,
                f'"{lexeme.text}"',
                self.hint(lexemes, at),
            )
            return
        self.report(
            "S106", f'"{lexeme.text}" is not understood here', lexeme.span, expected, f'"{lexeme.text}"', self.hint(lexemes, at)
        )

    def hint(self, lexemes: list[Lexeme], at: int) -> str:
        accepted = self.parser.accepts()
        lexeme = lexemes[at] if at < len(lexemes) else None
        before = lexemes[at - 1] if at else None
        if lexeme is not None and lexeme.kind == "WORD":
            if before is not None and before.kind == "NUMBER":
                unit = BY_SPELLING.get(lexeme.text.lower())
                if unit is not None and unit.instead:
                    return f"Write {unit.hint(read_number(before.text))}."
                if unit is not None:
                    return f"Write the unit as {unit.word}: {before.text} {unit.word}."
            first_words = [words[0] for terminal in accepted for words in self.grammar.words_of.get(terminal, ())]
            phrases = {words[0]: " ".join(words) for t in accepted for words in self.grammar.words_of.get(t, ())}
            near = nearest(lexeme.text, sorted(set(first_words)))
            if near:
                return (
                    did_you_mean(lexeme.text, sorted(set(first_words)))
                    if phrases[near[0]] == near[0]
                    else (f'Did you mean "{phrases[near[0]]}"?')
                )
            begins_line = at == 0 and len(lexemes) > 1 and lexemes[1].kind in ("NUMBER", "QUANTITY", "WORD", "NAME")
            if begins_line and "EQUAL" in self.grammar.lark_names and "NAME" in accepted:
                return f"To name a quantity write: {lexeme.text} = ..."
        numbers = [near is not None and near.kind in ("NUMBER", "QUANTITY") for near in (before, lexeme)]
        if all(numbers) and "_NL" in accepted:
            return "Write + - * or / between two numbers, or write a fraction as 7 3/8 in."
        if "QUANTITY" in accepted and lexeme is None:
            return "Add the length or number that is missing, for example 2 cm."
        return ""

    def unexpected_indent(self, line: Line, number: int):
        self.report(
            "S108",
            "This line is indented, but the line above opens no block",
            line.lexemes[0].span,
            "the same indentation as the line above",
            f"{line.indent} spaces",
            "Take the indentation away" + (", or check the line above." if number else "."),
        )


def _first_word(line: Line) -> str:
    found = re.search(r"\w+", line.span.text)
    return found[0] if found else ""
