"""What is known of every slot of one body's draft: its names, its kind, where its rule stands, and what it came to.

A slot is told by itself where a text gives it a name, or where a rule of a library came to it; all else is a part of the rule in
which it stands.  Which slots are parts of one rule is read off the places of their steps: one lies within the other, or both begin on
one line.  Equal constants are one slot, whatever they are called where they stand: so a constant is known by a name only to a rule
whose words hold it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from functools import cached_property
from typing import Any, NamedTuple, Protocol

import numpy as np

from ..drafting.guides import Guide
from ..drafting.operations import OPERATIONS
from ..drafting.pattern import Edge
from ..drafting.steps import Run
from ..geometry.path import Path
from ..meaning.kinds import AREA, BY_WORD, LENGTH, POINT, UNKNOWN, Kind
from ..meaning.plan import NamedSlot, Plan, Step
from ..source.quantity import show_figure, show_number
from ..source.text import Source, Span
from ..source.units import UNITS
from .sums import SAID, SaidSum

QUANTITIES = ("measure", "choice", "quantity", "part")
LEAVES = ("measure", "constant", "origin", "fixed_direction")
NOTHING = 1e-6
_LIBRARY = re.compile(r"^library\b", re.MULTILINE)
FIRST_DRAWN = " as it is first drawn"
_COMMENT = re.compile(r'("[^"\n]*")|--[^\n]*')  # but not within a text in quotes
_QUOTED = re.compile(r'"[^"\n]*"')
MOST_LINES = 12  # that one statement is told over
_CONTAINERS = re.compile(r"(piece|foundation|sheet|recipe|rule|check|when|otherwise|change|library|style|fitting|fittings|cut)\b")


class Ways(Protocol):
    """How a house writes figures and fixed words."""

    def show(self, mm: float, unit: str) -> str: ...

    def signed(self, mm: float, unit: str) -> str: ...

    def figures(self, words: str) -> str: ...


class GivenName(NamedTuple):
    """One name of a slot, as it is written, with the statement that gives it."""

    words: str
    sort: str
    span: Span


class Wording(NamedTuple):
    """A rule in its own words, on one line, and where it stands."""

    words: str
    span: Span


class RuleBook:
    """The slots of the plan that one body was drafted by; `index` is her place in the run, `own` the text of the style itself."""

    def __init__(self, plan: Plan, run: Run, index: int, ways: Ways, unit: str, own: Source) -> None:
        self.plan, self.run, self.index, self.ways, self.unit, self.style = plan, run, index, ways, unit, own
        self.steps: dict[int, Step] = {step.out: step for step in plan.steps}
        self.measures = {slot: name for name, slot in plan.measures.items()}
        self.choices = {choice.slot: choice for choice in plan.choices.values()}

        self._wordings: dict[Span, Wording] = {}
        self._above: dict[tuple[Source, int], list[tuple[Span, bool]]] = {}
        self._libraries: dict[Source, bool] = {}

    # ------------------------------------------------------------ names

    @cached_property
    def names(self) -> dict[int, list[GivenName]]:
        """The names of each slot, those that papers have first."""
        names: dict[int, list[GivenName]] = {}

        def enter(slot: int, words: str, sort: str, span: Span) -> None:
            if slot in self.steps and all(name.words != words for name in names.setdefault(slot, [])):
                names[slot].append(GivenName(words, sort, span))

        given = [name for name in self.plan.names if name.sort != "parameter" and name.sort != "rule"]
        spans = {(name.slot, name.name): name.span for name in given if name.sort in QUANTITIES and not name.owner}
        for word, value in self.plan.values.items():
            span = spans.get((value.slot, word.removeprefix("left ").removeprefix("right ")))
            if span is not None:
                enter(value.slot, word, "measure" if value.slot in self.measures else "quantity", span)
        for piece in self.plan.pieces:
            for word, slot in piece.points.items():
                if slot in self.steps:
                    enter(slot, f"{piece.name}.{word}", "point", self.steps[slot].span)
            for word, slot in piece.edges:
                if slot in self.steps:
                    enter(slot, f"{piece.name}.{word}", "edge", self.steps[slot].span)
            for level, slot in piece.widths.items():
                if slot in self.steps and slot not in names:
                    enter(slot, f"width of {piece.name} at {level}", "width", self.steps[slot].span)
        for name in given:
            if name.slot not in self.steps or (name.sort in ("point", "edge") and name.slot in names):
                continue
            side = f"{self.side(name.slot)} " if self.side(name.slot) else ""
            words = {"level": f"{side}level {name.name}", "edge": f"{side}{name.owner}.{name.name}{FIRST_DRAWN}"}.get(
                name.sort, f"{side}{name.owner}.{name.name}" if name.owner else f"{side}{name.name}"
            )
            enter(name.slot, words, name.sort, name.span)
        return names

    @cached_property
    def applied(self) -> dict[int, list[NamedSlot]]:
        """Slot -> the rules that came to it, where they are applied."""
        applied: dict[int, list[NamedSlot]] = {}
        for name in self.plan.names:
            if name.sort == "rule":
                applied.setdefault(name.slot, []).append(name)
        return applied

    @cached_property
    def aliases(self) -> dict[int, set[str]]:
        """Slot -> every bare word that stands for it somewhere."""
        aliases: dict[int, set[str]] = {}
        for name in self.plan.names:
            aliases.setdefault(name.slot, set()).add(name.name)
        return aliases

    def side(self, slot: int) -> str:
        """The side of an uneven client whose a slot is; empty where it is of the whole."""
        side = self.run.sides.get(slot, "")
        return side if side in ("left", "right") else ""

    def name(self, slot: int) -> GivenName | None:
        """What a slot is called; a constant has no name of its own."""
        if slot not in self.names or self.steps[slot].operation == "constant":
            return None
        return self.names[slot][0]

    def constant_name(self, slot: int, reader: Span) -> GivenName | None:
        """What a constant is called in the words of the rule that reads it."""
        words = set(re.findall(r"[^\W\d]\w*", reader.text))
        return next((name for name in self.names.get(slot, ()) if name.sort == "quantity" and name.words in words), None)

    def is_told(self, slot: int) -> bool:
        """Whether it is told by itself."""
        return self.name(slot) is not None or slot in self.applied or self.steps[slot].operation in ("measure", "choose", "solve")

    # ------------------------------------------------------------ places

    def is_part(self, slot: int, reader: Span) -> bool:
        """Whether a slot without a name is a part of the rule that reads it."""
        return same_rule(self.steps[slot].span, reader)

    def is_own(self, span: Span) -> bool:
        """Whether a rule stands in the style, or in one that it starts from, not in a library."""
        source = span.source
        if source not in self._libraries:
            self._libraries[source] = source != self.style and _LIBRARY.search(source.text) is not None
        return not self._libraries[source]

    def wording(self, span: Span) -> Wording:
        """A rule in its own words."""
        if span not in self._wordings:
            self._wordings[span] = told(span)
        return self._wordings[span]

    def under(self, span: Span) -> list[tuple[Span, bool]]:
        """The `when` lines that a rule stands under, and whether in what holds there."""
        place = span.source, span.line
        if place not in self._above:
            self._above[place] = under(span)
        return self._above[place]

    @cached_property
    def asked(self) -> dict[int, tuple[Span, ...]]:
        """For a slot whose rule stands in a library: the statements of the style by which it is wanted, the first of them at most."""
        asked: dict[int, dict[Span, None]] = {}
        for piece in self.plan.pieces:
            for slot in (*piece.points.values(), *(slot for _, slot in piece.edges)):
                asked.setdefault(slot, {})[piece.span] = None
        for slot, rules in self.applied.items():
            asked.setdefault(slot, {}).update((rule.span, None) for rule in rules if self.is_own(rule.span))
        for step in reversed(self.plan.steps):
            reader = {step.span: None} if self.is_own(step.span) else asked.get(step.out, {})
            for slot in step.inputs:
                wanted = asked.setdefault(slot, {})
                if len(wanted) < MOST_ASKED:
                    wanted.update(reader)
        return {
            slot: tuple(dict.fromkeys(line_of(span) for span in spans))[:MOST_ASKED]
            for slot, spans in asked.items()
            if slot in self.steps and not self.is_own(self.steps[slot].span)
        }

    # ------------------------------------------------------------ what slots hold

    @cached_property
    def kinds(self) -> dict[int, Kind]:
        kinds: dict[int, Kind] = {}
        for step in self.plan.steps:
            kinds[step.out] = self._kind(step, kinds)
        return kinds

    def _kind(self, step: Step, kinds: Mapping[int, Kind]) -> Kind:
        if step.operation == "constant":
            return self.plan.constants.get(step.out, UNKNOWN)
        if step.operation == "measure":
            return BY_WORD[str(step.options.get("of", "length"))]
        if step.operation == "shape_dart":
            return POINT if step.options["which"] in ("point", "near", "far") else LENGTH
        gives = OPERATIONS[step.operation].gives
        if isinstance(gives, Kind) or gives is None:
            return gives or UNKNOWN
        return gives([kinds.get(slot, UNKNOWN) for slot in step.inputs])

    def filled(self, slot: int) -> Any:
        return self.run.filled.get(slot)

    def value(self, slot: int) -> float:
        """A quantity as the program has it: mm, radians, a bare number, 1 or 0; NaN of what is drawn."""
        value = self.filled(slot)
        return float(value[self.index]) if isinstance(value, np.ndarray) and value.ndim == 1 else math.nan

    def values(self, slot: int) -> tuple[float, ...]:
        """A quantity; where a point lies, across and down; how long an edge is as sewn, or a line: in mm."""
        value = self.filled(slot)
        if isinstance(value, np.ndarray):
            values = np.atleast_1d(value[self.index])
            return tuple(map(float, values)) if self.kinds[slot].word != "direction" and np.isfinite(values).all() else ()
        length = length_of(value)
        return () if length is None or not math.isfinite(length[self.index]) else (float(length[self.index]),)

    def comes(self, slot: int) -> str:
        """What a slot came to, for people; empty where there is no figure of it."""
        values, kind = self.values(slot), self.kinds[slot]
        if not values or slot in self.turns:
            return ""
        if kind.word == "point":
            return self.lies(*values)
        if kind.word in ("edge", "line"):
            return f"{self.ways.show(values[0], self.unit)} long"
        return self.figure(values[0], kind)

    def lies(self, across: float, down: float) -> str:
        return f"{self.ways.show(across, self.unit)} across, {self.ways.show(down, self.unit)} down"

    def figure(self, value: float, kind: Kind) -> str:
        if kind is LENGTH:
            return self.ways.show(value, self.unit)
        if kind is AREA:
            return self.ways.figures(f"{show_number(value / UNITS[self.unit].shown.mm ** 2, 1)} {self.unit}2")
        return self.ways.figures(show_figure(value, kind.word, self.unit))

    def bare(self, slot: int) -> str:
        """A figure as it stands in a sum: a length without its unit."""
        kind = self.kinds[slot]
        words = self.figure(self.value(slot), kind)
        if kind is LENGTH:
            return words.removesuffix(f" {self.unit}")
        if kind.word == "number" and self.steps[slot].operation == "constant":
            written = " ".join(self.steps[slot].span.text.split())
            return written if re.fullmatch(r"-?[\d. /]+%?", written) and len(written) < 12 else words
        return words

    def shows(self, slot: int) -> bool:
        """Whether a figure is more than nothing."""
        return not abs(self.value(slot)) < NOTHING

    @cached_property
    def turns(self) -> frozenset[int]:
        """The slots that tell which way round something is drawn, 1 or -1, and nothing of its size."""
        turns: set[int] = set()
        for step in self.plan.steps:
            made = step.operation in ("multiply", "negative", "scaled") and any(slot in turns for slot in step.inputs)
            if step.operation in ("ring_turn", "side_toward") or (made and self.kinds[step.out].word == "number"):
                turns.add(step.out)
        return frozenset(turns)


MOST_ASKED = 4
MOST_BRACKETS = 40


def length_of(value: Any) -> Any:
    """How long (N,) an edge is as sewn, or a line; None of anything else."""
    if isinstance(value, Edge):
        return value.closed_length()
    if isinstance(value, Guide):
        return value.path.length()
    return value.length() if isinstance(value, Path) else None


def same_rule(span: Span, other: Span) -> bool:
    """Whether two places are of one rule: one lies within the other, or both begin on one line."""
    if span.source is not other.source and span.source != other.source:
        return False
    within = span.start >= other.start and span.end <= other.end
    return within or (other.start >= span.start and other.end <= span.end) or span.line == other.line


def line_of(span: Span) -> Span:
    """The words of a span's first line, from its first word to its end: what stands there is one rule."""
    source, start = span.source, span.source.starts[span.line - 1]
    text = _without_comment(source.line(span.line))
    return Span(source, start + len(text) - len(text.lstrip()), start + len(text.rstrip()))


def told(span: Span) -> Wording:
    """A rule in its own words: all lines that it goes on over, and of a row of a table first the words that head the table."""
    whole = line_of(span)
    source, number, words = span.source, whole.line, whole.text
    while _goes_on(words) and number < min(len(source.starts), whole.line + MOST_LINES):
        number += 1
        words = f"{words} {_without_comment(source.line(number)).strip()}".rstrip()
    words, heading = " ".join(words.split()), _heading(whole)
    return Wording(f"{heading}: {words}" if heading else words, whole)


def _goes_on(words: str) -> bool:
    bare = _QUOTED.sub("", words)
    return bare.endswith(",") or bare.count("(") > bare.count(")")


def _heading(row: Span) -> str:
    """The line above a row that it belongs to, unless that holds whole statements."""
    source, indent = row.source, row.column
    for number in range(row.line - 1, 0, -1):
        text = _without_comment(source.line(number)).rstrip()
        if text.strip() and len(text) - len(text.lstrip()) + 1 < indent:
            words = text.strip()
            return "" if _CONTAINERS.match(words) else " ".join(words.split())
    return ""


def under(span: Span) -> list[tuple[Span, bool]]:
    """The `when` lines that a rule stands under, the nearest first, and whether it stands under what holds there, not under `otherwise`."""
    source, above = span.source, line_of(span)
    indent, beside, found = above.column, False, []  # beside: the `when` of an `otherwise` is looked for
    for number in range(above.line - 1, 0, -1):
        text = _without_comment(source.line(number)).rstrip()
        words = text.lstrip()
        depth = len(text) - len(words) + 1
        if not words or depth > indent or (depth == indent and not beside):
            continue
        word = words.split()[0]
        if word == "when":
            start = source.starts[number - 1] + depth - 1
            found.append((Span(source, start, start + len(words)), not (beside and depth == indent)))
        elif depth == indent:
            continue
        indent, beside = depth, word == "otherwise"
    return found


def _without_comment(text: str) -> str:
    return _COMMENT.sub(lambda match: match[1] or "", text)


class FiguredSum:
    """A sum of figures, down to what is told by itself, or so deep in brackets that nobody reads it (`sums.SumTeller`); `root` is the
    slot that it comes to."""

    def __init__(self, book: RuleBook, root: int) -> None:
        self.book, self.root = book, root
        self.steps: Mapping[int, Step] = book.steps
        self._inside = {root}
        level = [root]
        for _ in range(MOST_BRACKETS):
            level = [one for slot in level for one in self.steps[slot].inputs if one not in self._inside and self._is_part(one)]
            self._inside.update(level)

    def _is_part(self, slot: int) -> bool:
        book = self.book
        if slot not in self.steps or self.steps[slot].operation not in SAID:
            return False
        return not book.is_told(slot) and book.is_part(slot, self.steps[self.root].span)

    def ends(self, slot: int) -> bool:
        """Whether a figure stands for what the slot rests on."""
        return slot not in self._inside or self.steps[slot].operation not in SAID

    def told(self, slot: int) -> SaidSum:
        if self.ends(slot):
            return SaidSum(self.book.bare(slot), bare=True)
        return SAID[self.steps[slot].operation](self, self.steps[slot])

    def value(self, slot: int) -> float:
        return self.book.value(slot)

    def shows(self, slot: int) -> bool:
        return self.book.shows(slot)

    def is_named(self, slot: int) -> bool:
        return self.book.is_told(slot)

    def say(self, words: str) -> str:
        return words
