"""Lines of lexemes to a syntax tree, by the grammar's LALR(1) tables, one statement at a time.

Which words are keywords depends on where the parser stands: for each word the longest phrase of the grammar that can
be accepted here is taken, else a name.  Before each statement the parser's stacks are remembered; after a mistake
they are put back and the statement, with the lines indented below it, is passed over, so that one run reports every
independent mistake and still yields the tree of the good statements; what was passed over stands in it as `Broken`.  The
names in that are kept as `skipped_names`, and the beginnings of the statements whose bodies lost a line as `damaged`, so that later
stages need not complain about what is missing there.  A missing heading is said once and then assumed, so that the rest is
still read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from threading import Lock
from typing import NamedTuple, TypeVar

from ..source import former
from ..source.diagnostics import Diagnostic
from ..source.suggest import nearest
from ..source.text import Source, Span
from .automaton import Automaton, Stacks
from .broken import weave
from .mistakes import Mistakes
from .scanner import MOST_BRACKETS, Lexeme, LogicalLine, bracket_depth, scan, scan_begun
from .tables import END, Tables, tables
from .tree import Start, Word

OF_STRETCH = "STRETCH_FROM"
_NAMED = ("WORD", "NAME", "NUMBER")
_FIRST_FORMER = frozenset(phrase.split()[0] for phrase in former.PHRASES)
MOST_NESTING = 12  # indented bodies within bodies


_Known = TypeVar("_Known")
_Held = TypeVar("_Held")


class Parsed(NamedTuple):
    """A tree, which has neither language nor heading where nothing could be read; comments; the names in statements that were
    passed over; and where the statements begin whose bodies lost a line."""

    source: Source
    tree: Start
    comments: tuple[Span, ...]
    skipped_names: frozenset[str]
    damaged: frozenset[int]
    diagnostics: list[Diagnostic]


MOST_TEXTS, MOST_VERSIONS = 64, 4  # that are remembered: by their names, and of each name
_parsed: dict[str, dict[Source, Parsed]] = {}
_remembering = Lock()  # a text is read outside it: two threads may both read one, and the first to come is remembered


def parse(source: Source) -> Parsed:
    """The tree of a text.  A text that is met again, a library or a style that others start from, is not read again; of one that
    is being changed the latest versions are remembered."""
    with _remembering:
        known = _parsed.get(source.name, {}).get(source)
    if known is not None:
        return known
    parsed = _read(source)
    with _remembering:
        versions = _parsed.setdefault(source.name, {})
        parsed = versions.setdefault(source, parsed)
        _forget_first(versions, MOST_VERSIONS)
        _forget_first(_parsed, MOST_TEXTS)
    return parsed


def _forget_first(known: dict[_Known, _Held], most: int) -> None:
    while len(known) > most:
        del known[next(iter(known))]


def _read(source: Source) -> Parsed:
    lines, comments, spoiled, diagnostics = scan(source)
    if not lines or not _is_begun(lines):
        whole = Span(source, 0, 0)
        if lines:  # a file of another sort: that is all to be said of it
            title, found = "The file does not say its language", "a file of another sort"
            diagnostics[:] = [Diagnostic("S110", title, whole, "language 1", found, _begin(source))]
        elif not diagnostics:
            diagnostics.append(Diagnostic("S110", "The file says nothing", whole, _kind(source), "no statement", _begin(source)))
        tree, skipped_names, damaged = Start(Span(source, 0, 0), None, None, None), set[str](), set[int]()
    else:
        run = _Run(source, tables(), diagnostics)
        tree, skipped_names, damaged = run.parse(lines), run.skipped_names, run.damaged
    comments_in_tree = weave(tree, comments) if diagnostics else comments
    return Parsed(source, tree, tuple(comments_in_tree), frozenset(skipped_names.union(spoiled)), frozenset(damaged), diagnostics)


def _is_begun(lines: list[LogicalLine]) -> bool:
    """Whether a line says the language or is a heading, the first of all even if a letter of it is wrong."""
    words = [line.lexemes[0].text for line in lines if line.lexemes]
    return any(word in _BEGINNINGS for word in words) or any(nearest(word, _BEGINNINGS) for word in words[:1])


_BEGINNINGS = ("language", "style", "library", "fittings")
FITTINGS = ".fittings"  # how the name of a text ends that is neither a style nor a library


def _kind(source: Source) -> str:
    return "a client's fittings" if source.name.endswith(FITTINGS) else "a style or a library"


def _begin(source: Source) -> str:
    heading = 'fittings nell "Nell Quay"' if source.name.endswith(FITTINGS) else 'style my_skirt "My skirt"'
    return f'Begin with a line "language 1", then a heading such as: {heading}'


class _Saved(NamedTuple):
    """Where the parser stood before the latest statement at an open indentation."""

    stacks: Stacks
    line: LogicalLine


class Reached(NamedTuple):
    """Where the parser stands at the end of a text that breaks off in the middle of a line."""

    headers: list[LogicalLine]  # the lines inside which it stands, the outermost first
    lexemes: list[Lexeme]  # of its own line
    states: dict[int, list[int]]  # the number of lexemes of it that were read -> where the parser stood then


def reach(source: Source) -> Reached | None:
    """Read a text to its end, as if more were to come.  None where it ends in a comment or in a text in quotes."""
    lines, line = scan_begun(source)
    return None if line is None else _Run(source, tables(), []).reach(lines, line)


# ------------------------------------------------------------------------------------------- one run of the parser


class _Run:
    def __init__(self, source: Source, grammar: Tables, diagnostics: list[Diagnostic]):
        self.source = source
        self.grammar = grammar
        self.parser = Automaton(grammar)
        self.mistakes = Mistakes(self.parser, diagnostics)
        self.skipped_names: set[str] = set()
        self.damaged: set[int] = set()
        self.indents = [0]
        self.nonempty = [True]  # for each of these, whether a line was read there
        self.saved: list[_Saved] = []
        self.headless = ["language", "heading"]  # what of the beginning has not been read yet
        self.no_language = False
        self.trying = False  # whether the rest of a line is read to see whether it can be

    def parse(self, lines: list[LogicalLine]) -> Start:
        number = 0
        while number < len(lines):
            number = self.next_line(lines, number)
        if self.needs_body():
            self.give_up_header(lines, len(lines))
        end = Span(self.source, len(self.source.text), len(self.source.text))
        while len(self.indents) > 1:
            self.close(end)
        while self.headless:
            self.assume(None, lines[0], at_line=False)
        tree = self.parser.finish(Word("", end, END))
        assert isinstance(tree, Start)
        return tree

    def reach(self, lines: list[LogicalLine], line: LogicalLine) -> Reached:
        """Read these lines, and of the last as much as can be."""
        number = 0
        while number < len(lines):
            number = self.next_line(lines, number)
        if self.needs_body() and line.indent <= self.indents[-1] and lines:
            self.give_up_header(lines, len(lines))
        if line.indent > self.indents[-1] and self.can("_IN"):
            self.parser.feed(Word("", line.span, "_IN"))
            self.indents.append(line.indent)
        while line.indent < self.indents[-1] and len(self.indents) > 1:
            self.nonempty[len(self.indents) - 1 :] = [True]
            self.close(line.span)
        states, at = {0: list(self.parser.states)}, 0
        while at < len(line.lexemes):
            terminal, count = self.read_as(line.lexemes, at)
            if terminal is None or not self.parser.feed(_word(line.lexemes, at, count, terminal)):
                break
            at += count
            states[at] = list(self.parser.states)
        return Reached([saved.line for saved in self.saved[: len(self.indents) - 1]], line.lexemes, states)

    def next_line(self, lines: list[LogicalLine], number: int) -> int:
        """Read the line of that number and feed it; the number of the line to read next."""
        line, indents = lines[number], self.indents
        if not line.lexemes:  # spoiled: the scanner has said why
            return self.skip(lines, number, line.indent)
        if self.needs_body() and line.indent <= indents[-1]:
            self.give_up_header(lines, number)
        if line.indent > indents[-1]:
            if not self.can("_IN"):
                self.mistakes.unexpected_indent(line, number)
                return self.skip(lines, number, indents[-1])
            if len(indents) > MOST_NESTING:
                self.mistakes.too_deep(
                    "Lines", line.span, f"{MOST_NESTING} levels", str(len(indents)), "Use a recipe or rule of its own."
                )
                return self.skip(lines, number, indents[-1])
            self.parser.feed(Word("", line.span, "_IN"))
            indents.append(line.indent)
            self.nonempty.append(False)
        elif line.indent not in indents:
            return self.misfit(lines, number)
        while line.indent < indents[-1]:
            self.close(Span(self.source, line.span.start, line.span.start))
        before = self.parser.stacks()
        self.saved[len(indents) - 1 :] = [_Saved(before, line)]
        if self.headless and self.parser.accepts() & {"LANGUAGE", "STYLE"}:
            return self.beginning(lines, number)
        if self.statement(line, before):
            self.nonempty[-1] = True
            return number + 1
        self.parser.restore(before)
        return self.skip(lines, number, line.indent)

    def close(self, place: Span) -> None:
        """End the innermost body; where every line of it was passed over, or one is wanting, its header goes with them."""
        self.indents.pop()
        nonempty = self.nonempty.pop()
        if self.can("_OUT"):
            self.parser.feed(Word("", place, "_OUT"))
            return
        header = self.saved[len(self.indents) - 1].line
        if nonempty and header.span.start not in self.damaged:
            self.mistakes.body_breaks_off(header)
        self.give_up()

    def give_up_header(self, lines: list[LogicalLine], number: int) -> None:
        """The latest statement stands without its lines: put the parser back to before it."""
        header = self.saved[len(self.indents) - 1].line
        if lines[number - 1] is not header and self.can("_IN"):  # its lines were passed over: may it do without?
            waiting = self.parser.stacks()
            end = header.lexemes[-1].span.end
            place = Span(self.source, end, end)
            self.parser.feed(Word("", place, "_IN"))
            if self.parser.feed(Word("", place, "_OUT")):
                return
            self.parser.restore(waiting)
        if lines[number - 1] is header:
            self.mistakes.without_body(header)
        self.give_up()

    def give_up(self) -> None:
        before, header = self.saved[len(self.indents) - 1]
        self.note_skipped(header)
        self.note_damaged(header.indent)
        self.parser.restore(before)

    # ---------------------------------------------------------------- the beginning of the file

    def beginning(self, lines: list[LogicalLine], number: int) -> int:
        """The language line or the heading.  Where it is missing or wrong, that is said once and it is assumed."""
        line, part = lines[number], self.headless[0]
        word = line.lexemes[0].text
        starters = {"language": ("language",), "heading": ("style", "library", "fittings")}[part]
        if word in starters or nearest(word, starters):
            before = self.parser.stacks()
            if self.statement(line, before):
                self.headless.pop(0)
                self.saved[-1] = _Saved(self.parser.stacks(), line)  # a spoiled line below it does not undo it
                return number + 1
            self.parser.restore(before)
            self.assume(part, line)
            return self.skip(lines, number, line.indent)
        self.assume(None, line)
        return number

    def assume(self, reported: str | None, line: LogicalLine, at_line: bool = True) -> None:
        """Feed the missing part of the beginning; unless its mistake was `reported` already, say that it is missing."""
        part = self.headless.pop(0)
        if reported is None and not (part == "heading" and self.no_language):
            self.no_language = part == "language"
            first = line.lexemes[0] if line.lexemes else None
            self.mistakes.report(
                "S110",
                "The file has no heading" if part == "heading" else "The file does not say its language",
                first.span if first else line.span,
                _kind(self.source) if part == "heading" else "language 1",
                f'"{first.text}"' if first and at_line else "none",
                _begin(self.source),
            )
        place = Span(self.source, line.span.start, line.span.start)
        words = (
            [("LANGUAGE", "language"), ("NUMBER", "1")]
            if part == "language"
            else [("STYLE", "style"), ("NAME", "unnamed"), ("STRING", '"unnamed"')]
        )
        for terminal, text in [*words, ("_NL", "")]:
            self.parser.feed(Word(text, place, terminal))

    # ---------------------------------------------------------------- one statement

    def statement(self, line: LogicalLine, before: Stacks) -> bool:
        """Feed one line and its end; False (with a diagnostic) where it cannot be read.  `before`: the stacks."""
        if bracket_depth(line.lexemes) > MOST_BRACKETS:
            self.mistakes.too_deep(
                "Brackets", line.lexemes[0].span, str(MOST_BRACKETS), "more", "Give parts of the calculation names of their own."
            )
            return False
        lexemes, at, feed = line.lexemes, 0, self.parser.feed
        while at < len(lexemes):
            if lexemes[at].text in _FIRST_FORMER:
                lexemes = self.renewed(line, lexemes, at)
            terminal, count = self.read_as(lexemes, at)
            if terminal is None or not feed(_word(lexemes, at, count, terminal)):
                self.mistakes.unexpected(line._replace(lexemes=lexemes), at, before)
                return False
            at += count
        end = lexemes[-1].span.end
        if not feed(Word("", Span(self.source, end, end), "_NL")):
            self.mistakes.unexpected(line._replace(lexemes=lexemes), len(lexemes), before)
            return False
        return True

    def renewed(self, line: LogicalLine, lexemes: list[Lexeme], at: int) -> list[Lexeme]:
        """The lexemes with the new words in place of an old phrase at `at`, where only the new one can stand; S114."""
        if (
            lexemes[at].text not in _FIRST_FORMER
            or lexemes[at].kind != "WORD"
            or (at == 0 and len(lexemes) > 1 and lexemes[1].text == "=")
        ):
            return lexemes
        for count in (2, 1):
            old = lexemes[at : at + count]
            phrase = " ".join(lexeme.text for lexeme in old)
            new = former.PHRASES.get(phrase)
            if new is None:
                continue
            fixed = new.removesuffix(former.EDGE).strip()
            if not any(terminal in self.parser.choices() for terminal in self.grammar.words[fixed]):
                continue
            span = old[0].span.to(old[-1].span)
            nowhere = Span(self.source, span.end, span.end)  # the edge stands elsewhere in the text, and there once
            edge = [lexeme._replace(span=nowhere) for lexeme in _first_edge(lexemes)] if fixed != new else []
            self.mistakes.old_word(line, phrase, new, new.replace(former.EDGE, "".join(lexeme.text for lexeme in edge)), span)
            return [*lexemes[:at], *(Lexeme("WORD", word, span) for word in fixed.split()), *edge, *lexemes[at + len(old) :]]
        return lexemes

    def read_as(self, lexemes: list[Lexeme], at: int) -> tuple[str | None, int]:
        """The terminal that the lexeme (or the phrase beginning with it) stands for here, and its word count."""
        lexeme, choices = lexemes[at], self.parser.choices()
        if lexeme.kind not in ("SIGN", "WORD"):
            return (lexeme.kind if lexeme.kind in choices else None), 1
        if lexeme.kind == "WORD" and lexeme.text not in self.grammar.phrases:  # no keyword begins so
            return ("NAME" if "NAME" in choices else None), 1
        if at == 0 and len(lexemes) > 1 and lexemes[1].text == "=" and "NAME" in choices and lexeme.kind == "WORD":
            return "NAME", 1  # a quantity may be called by a word that begins a statement
        candidates = [candidate for candidate in self.readings(lexemes, at) if candidate[0] in choices]
        if len(candidates) > 1:  # the tables merge lookaheads: only a trial tells which really fits
            fitting = [candidate for candidate in candidates if self.parser.takes(candidate[0])]
            candidates = fitting or candidates
        if len(candidates) > 1 and (OF_STRETCH, 1) in candidates:
            return OF_STRETCH if self.begins_stretch(lexemes, at) else "FROM", 1
        return candidates[0] if candidates else (None, 1)

    def begins_stretch(self, lexemes: list[Lexeme], at: int) -> bool:
        """Whether a `from` tells of a stretch of the edge before it, where it might belong to what stands around: so it does where
        `P to Q` follows and the line could not be read otherwise."""
        if not _is_stretch(lexemes, at + 1) or self.trying:
            return _is_stretch(lexemes, at + 1)
        before, self.trying = self.parser.stacks(), True
        reads = self.parser.feed(_word(lexemes, at, 1, "FROM"))
        at += 1
        while reads and at < len(lexemes):
            terminal, count = self.read_as(lexemes, at)
            reads = terminal is not None and self.parser.feed(_word(lexemes, at, count, terminal))
            at += count
        reads = reads and self.can("_NL")
        self.parser.restore(before)
        self.trying = False
        return not reads

    def readings(self, lexemes: list[Lexeme], at: int) -> Iterable[tuple[str, int]]:
        """(terminal, words) that a word, or the phrase beginning with it, or a sign can stand for anywhere."""
        lexeme = lexemes[at]
        if lexeme.kind == "SIGN":
            return [(terminal, 1) for terminal in self.grammar.words.get(lexeme.text, ())]
        keywords = [
            (terminal, len(words))
            for words, terminals in self.grammar.phrases.get(lexeme.text, ())
            if len(words) == 1 or tuple(lexeme.text for lexeme in lexemes[at : at + len(words)]) == words
            for terminal in terminals
        ]
        return [*keywords, ("NAME", 1)]

    # ---------------------------------------------------------------- what the parser may do here

    def can(self, terminal: str) -> bool:
        return terminal in self.parser.choices() and self.parser.takes(terminal)

    def needs_body(self) -> bool:
        choices = self.parser.choices()
        return "_IN" in choices and "_OUT" not in choices and not self.parser.accepts() - {"_IN"}

    # ---------------------------------------------------------------- what is passed over

    def skip(self, lines: list[LogicalLine], number: int, indent: int) -> int:
        """The next line at this indentation or less; the names in between are noted as skipped."""
        self.note_damaged(lines[number].indent)
        self.note_skipped(lines[number])
        is_fork = _first_word(lines[number]) == "when"
        at, number = lines[number].indent, number + 1
        while number < len(lines) and (
            lines[number].indent > indent or is_fork and lines[number].indent == at and _first_word(lines[number]) == "otherwise"
        ):
            self.note_skipped(lines[number])
            number += 1
        return number

    def misfit(self, lines: list[LogicalLine], number: int) -> int:
        """A line indented like none of the open bodies: it is passed over, and those after it until one fits again."""
        line = lines[number]
        *others, last = sorted(self.indents)
        fitting = f"{', '.join(map(str, others))} or {last}" if others else f"{last}"
        self.mistakes.report(
            "S107",
            "This indentation fits no line above",
            line.lexemes[0].span,
            f"{fitting} spaces",
            f"{line.indent} spaces",
            "Indent lines that stand below the same line by the same number of spaces.",
        )
        while number < len(lines) and lines[number].indent not in self.indents:
            self.note_damaged(lines[number].indent)
            self.note_skipped(lines[number])
            number += 1
        return number

    def note_skipped(self, line: LogicalLine) -> None:
        self.skipped_names.update(lexeme.text for lexeme in line.lexemes)

    def note_damaged(self, indent: int) -> None:
        """Note that the open statements indented less than this lost a line of their bodies."""
        self.damaged.update(line.span.start for _, line in self.saved[: len(self.indents)] if line.indent < indent)


def _word(lexemes: list[Lexeme], at: int, count: int, terminal: str) -> Word:
    lexeme = lexemes[at]
    if count == 1:
        return Word(lexeme.text, lexeme.span, terminal)
    words = lexemes[at : at + count]
    return Word(" ".join(word.text for word in words), lexeme.span.to(words[-1].span), terminal)


def _is_stretch(lexemes: list[Lexeme], at: int) -> bool:
    """Whether the lexemes from here on begin with two names and `to` between them."""
    kinds = "".join(
        "." if one.text == "." else "t" if one.text == "to" else "n" if one.kind in _NAMED else "-" for one in lexemes[at : at + 7]
    )
    return bool(re.match(r"n(\.n)?tn", kinds))


def _first_edge(lexemes: list[Lexeme]) -> list[Lexeme]:
    """The name that a row `corner A and B ...` says first."""
    end = next((at for at, lexeme in enumerate(lexemes) if lexeme.text == "and"), 1)
    return lexemes[1:end]


def _first_word(line: LogicalLine) -> str:
    match = re.search(r"\w+", line.span.text)
    return match[0] if match else ""
