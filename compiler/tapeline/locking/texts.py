"""The texts behind a draft: which there are, which of their rules can have to do with it, and what was changed in them.

A rule is a line of a text without its comment.  Of a library only those statements are kept whose names are used, directly or
through others, by the style; the test is by words, so it keeps a few too many and never one too few.  What is kept can be
read and drafted again: so the texts of a lock stand in for those of the day on which it was made.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from difflib import SequenceMatcher
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from ..meaning.cached import Opened, open_style, read_anew
from ..meaning.library import MEASUREMENTS
from ..meaning.style import Style
from ..source.diagnostics import Diagnostic
from ..source.text import Source
from ..source.world import World, replayed
from .lock import LockedText

STYLE, START, LIBRARY = "style", "start", "library"
_COMMENT = re.compile(r'("[^"\n]*")|--[^\n]*')
_NAMED = re.compile(r"(?:rule|recipe|check|measurement)\s+([^\W\d][\w']*)|([^\W\d][\w']*)\s*=(?!=)")
_WORD = re.compile(r"[^\W\d][\w']*")
_STRING = re.compile(r'"[^"]*"')

Place = tuple[str, str]  # STYLE, START or LIBRARY, and the name


class Rule(NamedTuple):
    line: int  # in its text, from 1
    text: str  # as written, with its indentation, without its comment


class Change(NamedTuple):
    """Rules that stand where others stood; either side may be empty.  `line` is where they stand, or stood, in the text."""

    place: Place
    file: str
    line: int
    before: tuple[str, ...]
    after: tuple[str, ...]


class StyleTexts(NamedTuple):
    """A style read, with every text behind it."""

    style: Style | None
    sources: dict[Place, Source]
    diagnostics: list[Diagnostic]


def style_texts(source: Source, opened: Opened) -> StyleTexts:
    """A style that was opened, and its texts by their places."""
    given = {(START if sort == "style" else LIBRARY, name): text for (sort, name), text in opened.texts.items()}
    return StyleTexts(opened.style, {(STYLE, Path(source.name).stem): source, **dict(sorted(given.items()))}, opened.diagnostics)


def read_style(source: Source, world: World, replacements: Mapping[Place, Source] | None = None) -> StyleTexts:
    """A style read in a world; with `replacements`, other texts in place of some, as a trial that leaves nothing behind."""
    if replacements is None:
        return style_texts(source, open_style(source, world))
    texts = {("style" if sort == START else "library", name): text for (sort, name), text in replacements.items() if sort != STYLE}
    return style_texts(source, read_anew(source, replayed(texts, world)))


def rules_of(text: str) -> list[Rule]:
    """The rules of a text: its lines without comments, but for empty ones."""
    stripped = (_COMMENT.sub(lambda match: match[1] or "", line).rstrip() for line in text.split("\n"))
    return [Rule(number, line) for number, line in enumerate(stripped, 1) if line.strip()]


def texts_of(sources: Mapping[Place, Source], words: Collection[str] = ()) -> dict[Place, tuple[str, list[Rule] | None]]:
    """Hash and rules of every text; `words` are used by another version of the style as well."""
    rules = {place: rules_of(source.text) for place, source in sources.items()}
    used = _needed(rules, words)
    return {
        place: (sha256(source.text.encode()).hexdigest(), None if place == (LIBRARY, MEASUREMENTS) else used[place])
        for place, source in sources.items()
    }


def kept_texts(sources: Mapping[Place, Source]) -> dict[Place, LockedText]:
    return {
        place: LockedText(hash, None if rules is None else tuple(rule.text for rule in rules))
        for place, (hash, rules) in texts_of(sources).items()
    }


def words_of(rules: Iterable[str]) -> set[str]:
    """The words of rules, but for texts in quotation marks."""
    return {word for rule in rules for word in _WORD.findall(_STRING.sub("", rule))}


def _needed(texts: Mapping[Place, list[Rule]], words: Collection[str]) -> dict[Place, list[Rule]]:
    """The rules of each text that the words of the style lead to."""
    used = set(words)
    waiting: list[tuple[Place, set[str], list[Rule]]] = []
    needed: dict[Place, set[int]] = {place: set() for place in texts}
    for place, rules in texts.items():
        for statement in _statements(rules):
            names = _names(statement) if place[0] == LIBRARY else None
            if names is None:
                used |= words_of(rule.text for rule in statement)
                needed[place] |= {rule.line for rule in statement}
            else:
                waiting.append((place, names, statement))
    while True:
        reached = [entry for entry in waiting if entry[1] & used]
        if not reached:
            return {place: [rule for rule in rules if rule.line in needed[place]] for place, rules in texts.items()}
        waiting = [entry for entry in waiting if not entry[1] & used]
        for place, _, statement in reached:
            used |= words_of(rule.text for rule in statement)
            needed[place] |= {rule.line for rule in statement}


def _statements(rules: list[Rule]) -> list[list[Rule]]:
    """A statement at the margin and all that stands below it."""
    statements: list[list[Rule]] = []
    for rule in rules:
        if statements and rule.text[0] == " ":
            statements[-1].append(rule)
        else:
            statements.append([rule])
    return statements


def _names(statement: list[Rule]) -> set[str] | None:
    """What a statement of a library gives a name to; None where it must be kept whatever is used."""
    match = _NAMED.match(statement[0].text)
    return {match[1] or match[2]} if match else None


# ------------------------------------------------------------------------------------------------ what was changed


class Diff(NamedTuple):
    """Two versions of one text: `parts` are runs of rules that both have, and changes, in order."""

    place: Place
    parts: tuple[tuple[str, ...] | Change, ...]

    def changes(self) -> list[Change]:
        return [part for part in self.parts if isinstance(part, Change)]

    def rules(self, undone: Collection[Change]) -> list[str]:
        """The present version but for these changes."""
        rules: list[str] = []
        for part in self.parts:
            rules += part if not isinstance(part, Change) else part.before if part in undone else part.after
        return rules


def differences(before: Mapping[Place, LockedText], sources: Mapping[Place, Source]) -> list[Diff]:
    """How the rules of the texts that both versions have were changed.  White space within a rule does not count."""
    words = words_of(rule for text in before.values() for rule in text.rules or ())
    diffs = []
    of_style = next((text for (kind, _), text in before.items() if kind == STYLE), None)  # its file may have another name now
    for place, (hash, rules) in texts_of(sources, words).items():
        old = of_style if place[0] == STYLE else before.get(place)
        if old is not None and old.hash != hash and rules is not None and old.rules is not None:
            diff = _diff(place, sources[place].name, old.rules, rules)
            if diff.changes():
                diffs.append(diff)
    return diffs


def _diff(place: Place, file: str, old: tuple[str, ...], new: list[Rule]) -> Diff:
    def same(text: str) -> tuple[object, ...]:  # how deep a line stands belongs to it
        return len(text) - len(text.lstrip()), *text.split()

    old_words, new_words = [same(rule) for rule in old], [same(rule.text) for rule in new]
    parts: list[tuple[str, ...] | Change] = []
    for word, i, i2, j, j2 in SequenceMatcher(None, old_words, new_words, autojunk=False).get_opcodes():
        after = tuple(rule.text for rule in new[j:j2])
        if word == "equal":
            parts.append(after)
            continue
        line = new[min(j, len(new) - 1)].line if new else 1
        if word == "replace" and i2 - i == j2 - j:  # rule for rule
            parts += [Change(place, file, rule.line, (was,), (rule.text,)) for was, rule in zip(old[i:i2], new[j:j2], strict=True)]
        else:
            parts.append(Change(place, file, line, old[i:i2], after))
    return Diff(place, tuple(parts))
