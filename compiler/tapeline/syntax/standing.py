"""What can be written at a place of a text, whatever stands behind it.

The text is read as far as the place, and the parser's tables are asked what they could take next.  Of statements at large only the heading
and the one that is broken off are read, since none rests on those before it; the others are passed over as blank lines,
so that every place keeps its number.  Where the words just before the place could be the beginning of a keyword of several words ("on" of
"on fold at"), what would go on so is there too.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from ..source.text import Source
from .automaton import Automaton
from .forms import Node
from .items import Items, Slot
from .parser import Reached, reach
from .scanner import Lexeme, LogicalLine
from .tables import tables

_WORD = re.compile(r"[^\W\d]\w*'*\Z")
_AMOUNT = re.compile(r"(?<![\w.])((?:\d+[ ]+)?\d+/[1-9]\d*|\d+(?:\.\d+)?)[ ]*([^\W\d]*|%)\Z")
_BEGINNING = re.compile(r"\A(?:[ \t\ufeff]*(?:--.*)?\n|(?:language|style|library|fittings)\b.*\n|[ \t]+.*\n)*")
_BEFORE_VALUES = tuple("(+-*/=")
_SOME_VALUE = 'language 1\nstyle some "Some"\nvalue = ('
_MOST_WORDS = 4  # of a keyword


class Keyword(NamedTuple):
    """A word or phrase that can stand at the place; `forms` are what begins with it."""

    words: str
    start: int  # where it begins: before the place, if some of it is written already
    forms: frozenset[type[Node]]


class Expected(NamedTuple):
    """What can stand at a place.  `start` is where the word begins that is being written there."""

    start: int
    slots: frozenset[Slot]  # what a name would be; none where no name can stand
    keywords: tuple[Keyword, ...]
    headers: tuple[LogicalLine, ...]  # the lines inside which it stands, the outermost first
    lexemes: tuple[Lexeme, ...]  # of its own line, up to the word that is being written
    unit: int | None = None  # where a unit could stand behind a number, the place where that begins
    condition: bool = False  # whether a yes or no could stand there, and not only a number or a length


@lru_cache(maxsize=1)
def items() -> Items:
    return Items(tables())


def standing(source: Source, offset: int) -> Expected | None:
    """What can be written at a character of a text; None in a comment or a text in quotes."""
    word = _WORD.search(source.text, source.text.rfind("\n", 0, offset) + 1, offset)
    start = word.start() if word else offset
    line = source.text[source.text.rfind("\n", 0, offset) + 1 : offset]
    amount = _AMOUNT.search(line)
    if amount is not None and amount[2] and word is not None:
        start = offset - len(amount[2])
    reached = reach(Source(source.name, _shortened(source.text[:start])))
    if reached is None:
        return None
    if len(reached.lexemes) not in reached.states and reached.lexemes[-1].text in _BEFORE_VALUES:
        reached = _as_value(source, reached)
    unit = None
    if amount is not None and reached.lexemes and reached.lexemes[-1].kind in ("NUMBER", "QUANTITY"):
        number = len(reached.lexemes) - 1
        if number in reached.states and _takes(reached.states[number], "QUANTITY"):
            unit = offset - len(amount[2])
    end = len(reached.lexemes)
    slots = items().slots(reached.states[end], "NAME") if end in reached.states and _takes(reached.states[end], "NAME") else set()
    condition = bool(slots) and items().may_begin(items().before(reached.states[end], "NAME") or [], "negated")
    keywords = tuple(dict.fromkeys(_keywords(reached, start)))
    return Expected(start, frozenset(slots), keywords, tuple(reached.headers), tuple(reached.lexemes), unit, condition)


def _as_value(source: Source, reached: Reached) -> Reached:
    """Where the parser stands behind a sign that a value follows, in a line that cannot be read as far as that."""
    value = reach(Source(source.name, _SOME_VALUE))
    assert value is not None
    return Reached(reached.headers, reached.lexemes, {len(reached.lexemes): value.states[len(value.lexemes)]})


def _takes(states: list[int], terminal: str) -> bool:
    automaton = Automaton(tables())
    automaton.states = states
    return automaton.takes(terminal)


def _keywords(reached: Reached, start: int) -> Iterator[Keyword]:
    grammar = tables()
    end = len(reached.lexemes)
    for at in range(end, max(-1, end - _MOST_WORDS), -1):
        states = reached.states.get(at)
        written = reached.lexemes[at:]
        if states is None or any(lexeme.kind != "WORD" for lexeme in written):
            continue
        said = tuple(lexeme.text for lexeme in written)
        automaton = Automaton(grammar)
        automaton.states = states
        for terminal in automaton.accepts():
            for words in grammar.words_of.get(terminal, ()):
                if words[: len(said)] == said and len(words) > len(said) and words[0][:1].isalpha():
                    begins = written[0].span.start if written else start
                    yield Keyword(" ".join(words), begins, frozenset(items().begun(states, terminal)))


def _shortened(text: str) -> str:
    """The text with all between its heading and the statement at large that it ends in as blank lines."""
    match = _BEGINNING.match(text)
    head = match.end() if match else 0
    begin = max((found.start() for found in _LARGE.finditer(text, head)), default=head)
    return text[:head] + _LETTER.sub(" ", text[head:begin]) + text[begin:]


_LARGE = re.compile(r"^(?!otherwise\b|--)\S", re.MULTILINE)
_LETTER = re.compile(r"[^\n]")
