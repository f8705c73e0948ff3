"""The grammar's tables: built by Lark once, kept in the user's cache as plain data, with the keywords of each terminal.

`tables()` gives the LALR(1) automaton (an action for each state and symbol, a `Reduction` for each rule) and the phrases
under which the parser looks for keywords: by their first word the longest first.  What is kept is JSON, keyed by the
grammar's text: reading it runs nothing, and Lark is loaded only where there is nothing to read.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Any, NamedTuple

from ..source.cache import keep, recall
from .builder import Reduction
from .grammar import START, grammar

MOST_GRAMMARS = 4  # that this program had lately
FORMAT = 1  # of what is kept
END = "$END"

Phrase = tuple[str, ...]  # the words of a keyword
_SHAPES = {
    "NAME": ["a name"],
    "QUANTITY": ["a length such as 2 cm"],
    "NUMBER": ["a number"],
    "STRING": ['a text in "quotes"'],
}
_LAYOUT = {"_IN": ["an indented line"], "_NL": ["the end of the line"], "_OUT": ["the end of the indented lines"]}


class Terminal(NamedTuple):
    name: str
    literal: bool  # written in one way only, so that it says nothing
    phrases: list[str]


class Tables:
    """The automaton, and its keywords by first word.

    `states[s][symbol]` is the state that follows where it is 0 or more, else the number of a reduction, as `-1 - number`.
    """

    def __init__(self, data: dict[str, Any]):
        self.terminals = [Terminal(*terminal) for terminal in data["terminals"]]
        literals = frozenset(terminal.name for terminal in self.terminals if terminal.literal)
        self.reductions = [Reduction(literals, *rule) for rule in data["rules"]]
        self.states: list[dict[str, int]] = data["states"]
        self.start: int = data["start"]
        self.end: int = data["end"]
        self.names = frozenset(terminal.name for terminal in self.terminals) | {END, *_LAYOUT}
        self.words: dict[str, list[str]] = {}
        self.words_of: dict[str, list[Phrase]] = {}
        self.phrases: dict[str, list[tuple[Phrase, list[str]]]] = {}
        by_phrase: dict[Phrase, list[str]] = {}
        for terminal in self.terminals:
            for phrase in terminal.phrases:
                self.words.setdefault(phrase, []).append(terminal.name)
                words = tuple(phrase.split(" "))
                by_phrase.setdefault(words, []).append(terminal.name)
                self.words_of.setdefault(terminal.name, []).append(words)
        for words, terminals in sorted(by_phrase.items(), key=lambda item: -len(item[0])):
            self.phrases.setdefault(words[0], []).append((words, terminals))
        keywords = {name: [f'"{" ".join(words)}"' for words in phrases] for name, phrases in self.words_of.items()}
        self.human = {"_IN": _LAYOUT["_IN"], **_SHAPES, **keywords, "_NL": _LAYOUT["_NL"], "_OUT": _LAYOUT["_OUT"]}


@lru_cache(maxsize=1)
def tables() -> Tables:
    """The tables of the language as it is."""
    text = grammar()
    name = f"{hashlib.sha256(f'{FORMAT} {text}'.encode()).hexdigest()[:24]}.grammar"
    cached = recall(name)
    if cached is not None:
        try:
            return Tables(json.loads(cached))
        except (ValueError, KeyError, TypeError, IndexError):
            pass  # what was kept does not serve: it is built again
    data = built(text)
    keep(name, json.dumps(data, separators=(",", ":")).encode(), MOST_GRAMMARS)
    return Tables(data)


# ------------------------------------------------------------------------------------------- building, by Lark


def built(text: str, strict: bool = False) -> dict[str, Any]:
    """The tables of a grammar as plain data.  With `strict`, any conflict that precedence would settle is an error of Lark's."""
    import lark
    from lark.grammar import Rule
    from lark.lexer import Lexer, TerminalDef

    class NoLexer(Lexer):
        """Lexemes come from our own scanner."""

        def __init__(self, conf: object):
            pass

        def lex(self, lexer_state: object, parser_state: object = None) -> Iterator[lark.Token]:
            return iter(())

    parser = lark.Lark(text, parser="lalr", lexer=NoLexer, start=START, keep_all_tokens=True, maybe_placeholders=True, strict=strict)
    data, memo = parser.memo_serialize([TerminalDef, Rule])
    table = data["parser"]["parser"]
    numbers = {key: number for number, key in enumerate(key for key, value in memo.items() if value["__type__"] == "Rule")}
    state_numbers = {key: number for number, key in enumerate(table["states"])}
    states = [
        {
            table["tokens"][symbol]: -1 - numbers[argument["@"]] if reduces else state_numbers[argument]
            for symbol, (reduces, argument) in actions.items()
        }
        for actions in table["states"].values()
    ]
    return {
        "terminals": [list(terminal) for terminal in _terminals(memo.values())],
        "rules": [_rule(value) for value in memo.values() if value["__type__"] == "Rule"],
        "states": states,
        "start": state_numbers[table["start_states"][START]],
        "end": state_numbers[table["end_states"][START]],
    }


def _terminals(memo: Iterable[dict[str, Any]]) -> list[Terminal]:
    """Those written in one way first: where a word may be either, it is that."""
    terminals = []
    for value in memo:
        if value["__type__"] == "TerminalDef":
            pattern, name = value["pattern"], value["name"]
            phrases = [] if name in _SHAPES else _phrases(pattern["value"], pattern["__type__"] == "PatternStr")
            terminals.append(Terminal(name, len(phrases) == 1, phrases))
    return sorted(terminals, key=lambda terminal: not terminal.literal)


def _phrases(pattern: str, literal: bool) -> list[str]:
    if literal:
        return [pattern]
    return [re.sub(r"\\(.)", r"\1", phrase) for phrase in pattern.removeprefix("(?:").removesuffix(")").split("|")]


def _rule(value: dict[str, Any]) -> list[Any]:
    """(rule, what it makes, symbols, before which symbols a field is missing, whether it hands on its only child)."""
    options = value["options"]
    gaps = [0] * (len(value["expansion"]) + 1)
    at = 0
    for missing in options["empty_indices"] or ():
        if missing:
            gaps[at] += 1
        else:
            at += 1
    symbols = [symbol["name"] for symbol in value["expansion"]]
    return [
        value["origin"]["name"],
        value["alias"] or value["origin"]["name"],
        symbols,
        gaps,
        bool(options["expand1"]) and not value["alias"],
    ]
