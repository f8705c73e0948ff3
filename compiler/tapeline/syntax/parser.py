"""Lines of lexemes to a syntax tree, by Lark's LALR(1) tables, one statement at a time.

Which words are keywords depends on where the parser stands: for each word the longest phrase of the grammar that can
be accepted here is taken, else a name.  Before each statement the parser's stacks are remembered; after a mistake
they are put back and the statement, with the lines indented below it, is passed over, so that one run reports every
independent mistake and still yields the tree of the good statements.  The names in what was passed over are kept as
`lost`, so that later stages need not complain about them.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import re
import sys
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import lark
from lark.exceptions import UnexpectedToken
from lark.lexer import Lexer, PatternStr

from ..source.diagnostics import Diagnostic
from ..source.suggest import did_you_mean, nearest
from ..source.text import Source, Span
from .scanner import MOST_BRACKETS, Lexeme, Line, bracket_depth, scan
from .tree import FORMS, Node, Word

MOST_NESTING = 12  # indented blocks within blocks


class Parsed(NamedTuple):
    """A tree (None where nothing could be read), comments, and the names lost with statements passed over."""

    source: Source
    tree: Node | None
    comments: tuple[Span, ...]
    lost: frozenset[str]
    diagnostics: list[Diagnostic]


def parse(source: Source) -> Parsed:
    lines, comments, spoiled, diagnostics = scan(source)
    if not lines and not diagnostics:
        diagnostics.append(Diagnostic(
            "S110", "The file says nothing", Span(source, 0, 0), "a style or a library", "no statement",
            'Begin with a line "language 1", then a heading such as: style my_skirt "My skirt"'))
        return Parsed(source, None, tuple(comments), frozenset(), diagnostics)
    run = _Run(source, tables(), diagnostics)
    run.lost.update(spoiled)
    tree = run.parse(lines)
    return Parsed(source, tree, tuple(comments), frozenset(run.lost), diagnostics)


# ------------------------------------------------------------------------------------------- one run of the parser


class _Run:
    def __init__(self, source: Source, grammar: _Tables, diagnostics: list[Diagnostic]):
        self.source = source
        self.grammar = grammar
        self.diagnostics = diagnostics
        self.parser = grammar.lark.parse_interactive()
        self.lost: set[str] = set()

    def parse(self, lines: list[Line]) -> Node | None:
        indents = [0]
        saved: list = []  # the stacks before the latest statement at each open indentation
        number = 0
        while number < len(lines):
            line = lines[number]
            if line.indent > indents[-1]:
                if not self.can("_IN"):
                    self.unexpected_indent(line, lines[number - 1] if number else None)
                    number = self.skip(lines, number, indents[-1])
                    continue
                if len(indents) > MOST_NESTING:
                    self.report("S111", "Blocks are nested too deep", line.span, f"at most {MOST_NESTING} levels",
                                f"{len(indents)}", "Use a named block or rule.")
                    number = self.skip(lines, number, indents[-1])
                    continue
                self.feed("_IN", "", line.span)
                indents.append(line.indent)
            elif self.needs_block():
                # the header above stands without its lines: put the parser back to before it
                self.needs_lines(lines[number - 1])
                self.lose(lines, number - 1)
                self.restore(saved[-1])
            while line.indent < indents[-1]:
                self.close_block(saved, indents, lines[number - 1], line.span.start)
            if line.indent != indents[-1]:
                self.report("S107", "This indentation fits no line above", line.span,
                            f"{' or '.join(str(i) for i in indents)} spaces", f"{line.indent} spaces",
                            "Indent lines of one block by the same number of spaces.")
                number = self.skip(lines, number, line.indent - 1)
                continue
            saved[len(indents) - 1:] = [(*self.state(), line.span.start)]
            if self.statement(line):
                number += 1
            else:
                self.restore(saved[-1])
                number = self.skip(lines, number, line.indent)
        if self.needs_block():
            self.needs_lines(lines[-1])
            self.restore(saved[-1])
        return self.finish(saved, indents, lines[-1])

    def close_block(self, saved: list, indents: list[int], last: Line, at: int):
        """End a block; one that lacks something (its lines were wrong, say) is passed over with its header."""
        depth = len(indents) - 1
        indents.pop()
        if self.can("_OUT"):
            self.feed("_OUT", "", Span(self.source, at, at))
            return
        if not self.diagnostics or self.diagnostics[-1].span.start < saved[depth - 1][2]:
            end = last.span.end
            self.report("S109", "The block ends too soon", Span(self.source, end, end), self.expected(),
                        "the end of the block", "Add the line that is missing.")
        self.restore(saved[depth - 1])

    def finish(self, saved: list, indents: list[int], last: Line) -> Node | None:
        end = len(self.source.text)
        while len(indents) > 1:
            self.close_block(saved, indents, last, end)
        if not self.can("$END"):
            if not self.diagnostics:
                begin = Span(self.source, 0, min(1, end))
                self.report("S110", "The file has no heading", begin, self.expected(), "the end of the file",
                            'Begin with: language 1, then: style my_skirt "My skirt"')
            return None
        return self.parser.parser_state.feed_token(Word("", Span(self.source, end, end), "$END"), True)

    def statement(self, line: Line) -> bool:
        """Feed one line and its end; False (with a diagnostic) where it cannot be read."""
        if bracket_depth(line.lexemes) > MOST_BRACKETS:
            self.report("S111", "Brackets are nested too deep", line.span, f"at most {MOST_BRACKETS}", "more",
                        "Give parts of the calculation names of their own.")
            return False
        lexemes, at = line.lexemes, 0
        while at < len(lexemes):
            terminal, count = self.read_as(lexemes, at)
            last = lexemes[at + count - 1]
            text = " ".join(lexeme.text for lexeme in lexemes[at:at + count])
            span = lexemes[at].span.to(last.span)
            if terminal is None or not self.try_feed(terminal, text, span):
                self.unexpected(line, at)
                return False
            at += count
        end = lexemes[-1].span.end
        if not self.try_feed("_NL", "", Span(self.source, end, end)):
            self.unexpected(line, len(lexemes))
            return False
        return True

    def read_as(self, lexemes: list[Lexeme], at: int) -> tuple[str | None, int]:
        """The terminal that the lexeme (or the phrase beginning with it) stands for here, and its word count."""
        lexeme, choices = lexemes[at], self.parser.choices()
        if lexeme.kind == "SIGN":
            candidates = [(terminal, 1) for terminal in self.grammar.words.get(lexeme.text, ())]
        elif lexeme.kind != "WORD":
            candidates = [(lexeme.kind, 1)]
        else:
            candidates = [
                (terminal, len(words))
                for words, terminals in self.grammar.phrases.get(lexeme.text, ())
                if tuple(one.text for one in lexemes[at:at + len(words)]) == words
                for terminal in terminals
            ] + [("NAME", 1)]
        candidates = [candidate for candidate in candidates if candidate[0] in choices]
        if len(candidates) > 1:  # the tables merge lookaheads: only a trial tells which really fits
            fitting = [candidate for candidate in candidates if self.fits(candidate[0], lexeme)]
            candidates = fitting or candidates
        return candidates[0] if candidates else (None, 1)

    def fits(self, terminal: str, lexeme: Lexeme) -> bool:
        trial = self.parser.copy(deepcopy_values=False)
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
        self.lose(lines, number)
        number += 1
        while number < len(lines) and lines[number].indent > indent:
            self.lose(lines, number)
            number += 1
        return number

    def lose(self, lines: list[Line], number: int):
        self.lost.update(lexeme.text for lexeme in lines[number].lexemes)

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

    def unexpected(self, line: Line, at: int):
        lexemes = line.lexemes
        expected = self.expected()
        if at >= len(lexemes):
            end = lexemes[-1].span.end
            self.report("S106", "The statement breaks off", Span(self.source, end, end), expected,
                        "the end of the line", self.hint(lexemes, at))
            return
        lexeme = lexemes[at]
        if lexeme.text == ")":
            if bracket_depth(lexemes[:at]) == 0 or lexemes[:at].count("(") == 0:
                self.report("S105", "A bracket closes that was never opened", lexeme.span, expected, '")"',
                            "Take it out, or open it with ( before.")
                return
        if at == 0 and lexeme.kind == "WORD":
            self.report("S112", f'No statement here begins with "{lexeme.text}"', lexeme.span, expected,
                        f'"{lexeme.text}"', self.hint(lexemes, at))
            return
        self.report("S106", f'"{lexeme.text}" is not understood here', lexeme.span, expected, f'"{lexeme.text}"',
                    self.hint(lexemes, at))

    def hint(self, lexemes: list[Lexeme], at: int) -> str:
        accepted = self.parser.accepts()
        lexeme = lexemes[at] if at < len(lexemes) else None
        before = lexemes[at - 1] if at else None
        if lexeme is not None and lexeme.kind == "WORD":
            if before is not None and before.kind == "NUMBER":
                unit = _UNIT_WORDS.get(lexeme.text.lower())
                if unit:
                    return f"Write the unit as {unit}: {before.text} {unit}."
            first_words = [words[0] for terminal in accepted for words in self.grammar.words_of.get(terminal, ())]
            phrases = {words[0]: " ".join(words) for t in accepted for words in self.grammar.words_of.get(t, ())}
            near = nearest(lexeme.text, sorted(set(first_words)))
            if near:
                return did_you_mean(lexeme.text, sorted(set(first_words))) if phrases[near[0]] == near[0] else (
                    f'Did you mean "{phrases[near[0]]}"?')
            if at == 0 and len(lexemes) > 1 and lexemes[1].kind in ("NUMBER", "QUANTITY", "WORD", "NAME"):
                if "EQUAL" in self.grammar.lark_names and "NAME" in accepted:
                    return f"To name a quantity write: {lexeme.text} = ..."
        if lexeme is not None and lexeme.kind in ("NUMBER", "QUANTITY") and "_NL" in accepted and before is not None:
            if before.kind in ("NUMBER", "QUANTITY"):
                return "Write + - * or / between two numbers, or write a fraction as 7 3/8 in."
        if "QUANTITY" in accepted and lexeme is None:
            return "Add the length or number that is missing, for example 2 cm."
        return ""

    def unexpected_indent(self, line: Line, before: Line | None):
        self.report("S108", "This line is indented, but the line above opens no block", line.span,
                    "the same indentation as the line above", f"{line.indent} spaces",
                    "Take the indentation away" + (", or check the line above." if before else "."))

    def needs_lines(self, line: Line):
        self.report("S109", "This line needs indented lines below it", line.span, "a more deeply indented line",
                    "none", "Indent what belongs to it by four spaces.")


_UNIT_WORDS = {word: unit for unit, words in {
    "in": "inch inches ins", "cm": "centimetre centimetres centimeter centimeters cms",
    "mm": "millimetre millimetres millimeter millimeters", "deg": "degree degrees", "%": "percent",
    "cm (100 cm to the metre)": "m metre metres meter", "in (36 in to the yard)": "yd yard yards",
    "in (12 in to the foot)": "ft foot feet"}.items() for word in words.split()}


# ------------------------------------------------------------------------------------------- the grammar's tables


class _Tables:
    """The built parser, and its keywords by first word."""

    def __init__(self, built: lark.Lark):
        self.lark = built
        self.lark_names = {terminal.name for terminal in built.terminals}
        self.words: dict[str, list[str]] = {}
        self.words_of: dict[str, list[tuple[str, ...]]] = {}
        self.phrases: dict[str, list[tuple[tuple[str, ...], list[str]]]] = {}
        by_phrase: dict[tuple[str, ...], list[str]] = {}
        literal_first = sorted(built.terminals, key=lambda t: not isinstance(t.pattern, PatternStr))
        for terminal in literal_first:
            for phrase in _phrases_of(terminal):
                self.words.setdefault(phrase, []).append(terminal.name)
                words = tuple(phrase.split(" "))
                by_phrase.setdefault(words, []).append(terminal.name)
                self.words_of.setdefault(terminal.name, []).append(words)
        for words, terminals in sorted(by_phrase.items(), key=lambda item: -len(item[0])):
            self.phrases.setdefault(words[0], []).append((words, terminals))
        self.human = {"_IN": ["an indented line"], "NAME": ["a name"], "QUANTITY": ["a length such as 2 cm"],
                      "NUMBER": ["a number"], "STRING": ['a text in "quotes"']}
        for terminal, phrases in self.words_of.items():
            self.human[terminal] = [f'"{" ".join(words)}"' for words in phrases]
        self.human["_NL"] = ["the end of the line"]
        self.human["_OUT"] = ["the end of the block"]


_SHAPES = ("NAME", "NUMBER", "QUANTITY", "STRING")


def _phrases_of(terminal) -> list[str]:
    if terminal.name in _SHAPES or terminal.name in ("_NL", "_IN", "_OUT"):
        return []
    if isinstance(terminal.pattern, PatternStr):
        return [terminal.pattern.value]
    inside = terminal.pattern.value.removeprefix("(?:").removesuffix(")")
    return [re.sub(r"\\(.)", r"\1", phrase) for phrase in inside.split("|")]


class _Builder:
    """Makes a node for each reduced rule.  Keyword tokens are dropped, words that carry meaning are kept."""

    def __init__(self, literals: frozenset[str]):
        self.literals = literals

    def __getattr__(self, name: str):
        if name.startswith("_"):
            raise AttributeError(name)
        if name == "first":
            return lambda children: _Chain(None, children[0])
        if name == "more":
            return lambda children: _Chain(children[0], children[1])
        if name.endswith("_list"):
            return lambda children: tuple(self.kept(children))
        form = FORMS.get(str(name))
        if form is None:  # a rule that only passes on its one child
            raise AttributeError(name)
        return lambda children: form(_header_span(children), *self.kept(children))

    def kept(self, children):
        for child in children:
            if isinstance(child, Word):
                if child.type not in self.literals:
                    yield child
            elif isinstance(child, _Chain):
                yield child.flat()
            else:
                yield child


class _Chain(NamedTuple):
    before: _Chain | None
    last: Node

    @property
    def span(self) -> Span:
        return self.last.span

    def flat(self) -> tuple[Node, ...]:
        nodes, link = [], self
        while link is not None:
            nodes.append(link.last)
            link = link.before
        return tuple(reversed(nodes))


def _header_span(children) -> Span:
    """From the first child to the end of the line it begins on: a statement's own words, not its block's."""
    first = last = None
    for child in children:
        if child is None or (isinstance(child, tuple) and not isinstance(child, _Chain) and not child):
            continue
        if isinstance(child, Word) and child.type in ("_NL", "_IN", "_OUT"):
            if first is not None:
                break
            continue
        parts = child if isinstance(child, tuple) and not isinstance(child, _Chain) else (child,)
        first = first or parts[0].span
        last = parts[-1].span
    if first is None:
        return children[0].span
    return first.to(last)


class _NoLexer(Lexer):
    """Lexemes come from our own scanner and are fed one by one."""

    def __init__(self, conf):
        pass

    def lex(self, text):
        return iter(())


@lru_cache(maxsize=1)
def tables() -> _Tables:
    text = (Path(__file__).with_name("grammar.lark")).read_text(encoding="utf-8")
    key = hashlib.sha256(repr((text, lark.__version__, sys.version_info[:3])).encode()).hexdigest()[:24]
    return _Tables(_load(key) or _build(text, key))


def _literals(terminals) -> frozenset[str]:
    shapes = {t.name for t in terminals if isinstance(t.pattern, PatternStr)}
    return frozenset(shapes | {"_NL", "_IN", "_OUT", "$END"})


_OPTIONS = {"parser": "lalr", "lexer": _NoLexer, "keep_all_tokens": True, "maybe_placeholders": True}


def _build(text: str, key: str) -> lark.Lark:
    bare = lark.Lark(text, **_OPTIONS)
    _store(bare, key)
    literals = _literals(bare.terminals)
    return lark.Lark(text, transformer=_Builder(literals), **_OPTIONS)


def _cache_file(key: str) -> Path | None:
    """In the user's own cache folder, never a shared one: what is kept there is unpickled."""
    try:
        import platformdirs

        folder = Path(platformdirs.user_cache_path("tapeline"))
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if hasattr(os, "getuid") and folder.stat().st_uid != os.getuid():
            return None
    except OSError:
        return None
    return folder / f"grammar-{key}.tables"


def _load(key: str) -> lark.Lark | None:
    path = _cache_file(key)
    if path is None or not path.exists():
        return None
    try:
        kept = pickle.loads(path.read_bytes())
        return lark.Lark._load_from_dict(kept["data"], kept["memo"], transformer=_Builder(kept["literals"]))
    except Exception:  # a damaged cache is rebuilt, whatever is wrong with it
        return None


def _store(built: lark.Lark, key: str):
    path = _cache_file(key)
    if path is None:
        return
    try:
        from lark.lexer import TerminalDef
        from lark.grammar import Rule

        data, memo = built.memo_serialize([TerminalDef, Rule])
        kept = pickle.dumps({"data": data, "memo": memo, "literals": _literals(built.terminals)})
        passing = path.with_suffix(f".{os.getpid()}")
        passing.write_bytes(kept)
        passing.replace(path)
    except Exception:  # a cache that cannot be kept costs time, nothing else
        return
