"""The grammar's tables: built by Lark once, kept in the user's cache, with the keywords of each terminal.

`tables()` gives the built LALR(1) parser, whose reductions make the nodes of `tree.py`, and the phrases under which
the parser looks for keywords: by their first word the longest first.  What is kept in the cache is keyed by the
grammar's text and the versions that made it; a damaged cache is rebuilt.
"""

from __future__ import annotations

import hashlib
import pickle
import re
import sys
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import lark
from lark.grammar import Rule
from lark.lexer import Lexer, PatternStr, TerminalDef

from ..source.cache import keep, recall
from ..source.text import Span
from .tree import FORMS, Node, Word

MOST_GRAMMARS = 4  # that this program had lately


class Tables:
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
        self.human = {
            "_IN": ["an indented line"],
            "NAME": ["a name"],
            "QUANTITY": ["a length such as 2 cm"],
            "NUMBER": ["a number"],
            "STRING": ['a text in "quotes"'],
        }
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
        if name == "block":  # whose every statement may have been passed over
            return lambda children: form(_header_span(children), next(self.kept(children), ()))
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
        return next(child.span for child in children if isinstance(child, Word))
    return first.to(last)


class _NoLexer(Lexer):
    """Lexemes come from our own scanner and are fed one by one."""

    def __init__(self, conf):
        pass

    def lex(self, text):
        return iter(())


@lru_cache(maxsize=1)
def tables() -> Tables:
    text = (Path(__file__).with_name("grammar.lark")).read_text(encoding="utf-8")
    key = hashlib.sha256(repr((text, lark.__version__, sys.version_info[:3])).encode()).hexdigest()[:24]
    return Tables(_load(f"{key}.grammar") or _build(text, f"{key}.grammar"))


def _literals(terminals) -> frozenset[str]:
    shapes = {t.name for t in terminals if isinstance(t.pattern, PatternStr)}
    return frozenset(shapes | {"_NL", "_IN", "_OUT", "$END"})


_OPTIONS = {"parser": "lalr", "lexer": _NoLexer, "keep_all_tokens": True, "maybe_placeholders": True}


def _build(text: str, name: str) -> lark.Lark:
    bare = lark.Lark(text, **_OPTIONS)
    data, memo = bare.memo_serialize([TerminalDef, Rule])
    kept = {"data": data, "memo": memo, "literals": _literals(bare.terminals)}
    keep(name, pickle.dumps(kept), MOST_GRAMMARS)
    return _with_builder(kept)


def _with_builder(kept: dict) -> lark.Lark:
    return lark.Lark._load_from_dict(kept["data"], kept["memo"], transformer=_Builder(kept["literals"]))


def _load(name: str) -> lark.Lark | None:
    data = recall(name)
    try:
        return None if data is None else _with_builder(pickle.loads(data))
    except Exception:  # what was kept and does not serve is built again, whatever is wrong with it
        return None
