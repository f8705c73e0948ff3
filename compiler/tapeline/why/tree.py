"""The tree of rules behind a place: from the place down to the measures, each rule once.

A rule of the tree is a slot that is told by itself (`book`), with all steps that are parts of its rule.  What these read besides are
the rules that it rests on.  Of two ways the tree follows the one that this body took, and tells what was asked there; of a choice it
follows the default where nobody chose.  A find rests on what its trials read, and tells what it meets.  So the leaves are measures,
choices and what the texts state outright.  Slots are filled in the order of the plan, hence no rule rests on itself.  Rules wait in
a list until they are built, so that a chain of any length can be followed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from ..drafting.pattern import Edge
from ..meaning.kinds import CONDITION, LENGTH
from ..meaning.plan import Step
from ..source.text import Span
from .book import FIRST_DRAWN, LEAVES, QUANTITIES, FiguredSum, RuleBook, Wording
from .sums import SAID, exact_sum

OF_A_SHAPE = ("shape_point", "shape_corner", "shape_edge", "shape_guide", "shape_dart", "shape_level")
_NAMED_WORDS = re.compile(r"[^\W\d]\w*")


class Sum(NamedTuple):
    """A sum: its own words, the same with figures, what it comes to as the house writes it; the formula of plain numbers (mm, radians)
    that it can be checked by, empty of a condition; and the value."""

    words: str
    figures: str
    comes: str
    formula: str
    value: float
    kind: str

    @property
    def is_lone(self) -> bool:
        """Whether nothing is reckoned: a figure that is taken over."""
        written = self.words.replace(" ", "") == self.figures.replace(" ", "")
        return written or not re.search(r"[a-z]|[^ ] [-+x/] [^ ]", self.figures)


class Way(NamedTuple):
    """Which way a rule went: what was asked, with figures, and whether it was so; where it is asked."""

    words: str
    figures: str
    holds: bool
    span: Span | None


@dataclass(frozen=True, slots=True)
class TreeRule:
    """One rule of a tree, number `number` in it; lengths in mm, angles in radians.

    `sort` is measure, choice, stated (outright in a text), quantity, level, width, point, edge, find, girth, allowance, dart, piece, line (of
    a text), turn (which way round something is drawn), or step for what has no name.  `said` are the rule's own words, `told` the same with the
    figure of each name in them.  `by` is the rule of a library that it is reckoned by, `asked` the statements of the style that want a rule of a library.
    """

    number: int
    sort: str
    name: str
    said: Wording | None
    told: str = ""
    by: Wording | None = None
    asked: tuple[Span, ...] = ()
    sums: tuple[Sum, ...] = ()
    ways: tuple[Way, ...] = ()
    comes: str = ""
    values: tuple[float, ...] = ()
    kind: str = ""
    note: str = ""  # of a measure or choice: where it comes from; of a find: what it meets
    side: str = ""  # left or right, of a client whose sides differ
    rests: tuple[int, ...] = ()  # the numbers of the rules that it rests on
    named: tuple[tuple[str, str], ...] = ()  # the names in the words of what is drawn, each with its figure

    @property
    def is_leaf(self) -> bool:
        return self.sort in ("measure", "choice", "stated")


class Wanted(NamedTuple):
    """A place that no slot is by itself: a girth, an allowance, a dart, a piece.  It rests on these slots; `terms` are how often and
    which of them make a sum."""

    sort: str
    name: str
    span: Span | None
    slots: tuple[int, ...]
    terms: tuple[tuple[float, int], ...] = ()
    comes: str = ""
    values: tuple[float, ...] = ()
    note: str = ""
    asked: tuple[Span, ...] = ()


Key = tuple[int, str]  # a slot, and of a constant what it is called where it is read


@dataclass(slots=True)
class TreeBuilder:
    """Builds the tree below some slots; `rules` in the order in which they are met."""

    book: RuleBook
    card: str = ""  # where the measures come from
    rules: list[TreeRule] = field(default_factory=list)
    numbers: dict[Key, int] = field(default_factory=dict)
    waiting: list[Key] = field(default_factory=list)  # numbered, and not built yet

    def wanted(self, wanted: Wanted) -> int:
        """The number of the rule of a place that rests on several slots."""
        number = self.numbers[-1, wanted.name] = len(self.rules)
        self.rules.append(TreeRule(number, wanted.sort, wanted.name, None))
        rests = tuple(dict.fromkeys(self.slot(slot) for slot in wanted.slots if slot in self.book.steps))
        sums: tuple[Sum, ...] = ()
        if wanted.terms:
            book = self.book
            value = sum(factor * book.value(slot) for factor, slot in wanted.terms)
            figures = " + ".join(
                book.bare(slot) if factor == 1.0 else f"{factor:g} x {book.bare(slot)}" for factor, slot in wanted.terms
            )
            formula = " + ".join(f"{factor!r} * {book.value(slot)!r}" for factor, slot in wanted.terms)
            names = " + ".join(f"{factor:g} x {self._called(slot)}" for factor, slot in wanted.terms)
            sums = (Sum(names, figures, book.figure(value, LENGTH), formula, value, "length"),)
        said = None if wanted.span is None else self.book.wording(wanted.span)
        self.rules[number] = TreeRule(
            number,
            wanted.sort,
            wanted.name,
            said,
            said.words if said else "",
            asked=wanted.asked,
            sums=sums,
            comes=wanted.comes or (sums[0].comes if sums else ""),
            values=wanted.values or tuple(one.value for one in sums),
            kind="length",
            note=wanted.note,
            rests=rests,
        )
        return number

    def _called(self, slot: int) -> str:
        name = self.book.name(slot)
        return name.words if name else self.book.wording(self.book.steps[slot].span).words

    def slot(self, slot: int) -> int:
        """The number of a slot's rule, which is added with all below it where the tree has it not."""
        number = self.number(slot)
        while self.waiting:
            key = self.waiting.pop()
            self.rules[self.numbers[key]] = self._built(*key)
        return number

    def number(self, slot: int, constant: str = "") -> int:
        """The number of a slot's rule, which is built before the tree is done."""
        key = (slot, constant)
        if key not in self.numbers:
            self.numbers[key] = len(self.rules)
            self.rules.append(TreeRule(len(self.rules), "step", constant, None))
            self.waiting.append(key)
        return self.numbers[key]

    def _built(self, slot: int, constant: str) -> TreeRule:
        number, step = self.numbers[slot, constant], self.book.steps[slot]
        if step.operation == "constant":
            return self._constant(number, step, constant)
        if step.operation == "choose":
            return self._choice(number, step)
        return self._leaf(number, step) if step.operation in LEAVES else self._rule(number, step)

    def unchanged(self, step: Step) -> int | None:
        """The slot that a point, edge, dart or level of a shape was put together from; None where the shape was changed."""
        shape, name = self.book.steps[step.inputs[0]], str(step.options["name"])
        adding = {"shape_point": "with_points", "shape_level": "with_levels"}.get(step.operation)
        while shape.operation in ("with_points", "with_levels"):
            added: tuple[str, ...] = shape.options["names"] if shape.operation == adding else ()
            if name in added:
                return shape.inputs[1 + added.index(name)]
            shape = self.book.steps[shape.inputs[0]]
        if shape.operation != "shape":
            return None
        edges, points, levels = (tuple(shape.options[sort]) for sort in ("edges", "points", "crossed_by"))
        if step.operation == "shape_dart":
            return next((slot for slot in shape.inputs[: len(edges)] if self._has_dart(slot, name)), None)
        first, names = {
            "shape_point": (len(edges), points),
            "shape_level": (len(edges) + len(points), levels),
        }.get(step.operation, (0, edges))
        return shape.inputs[first + names.index(name)] if name in names else None

    def _has_dart(self, slot: int, name: str) -> bool:
        edge = self.book.filled(slot)
        return isinstance(edge, Edge) and any(dart.name == name for dart in edge.darts)

    # ------------------------------------------------------------ leaves

    def _constant(self, number: int, step: Step, name: str) -> TreeRule:
        book = self.book
        given = next((one for one in book.names.get(step.out, ()) if one.words == name), None)
        said = None if given is None else book.wording(given.span)
        value, kind = book.value(step.out), book.kinds[step.out]
        return TreeRule(
            number,
            "stated" if given is None else "quantity",
            name,
            said,
            said.words if said else "",
            comes=book.figure(value, kind),
            values=(value,),
            kind=kind.word,
        )

    def _leaf(self, number: int, step: Step) -> TreeRule:
        """A measure, or a place or way that the text states outright."""
        book, slot, measured = self.book, step.out, step.operation == "measure"
        said, given = book.wording(step.span), book.name(slot)
        return TreeRule(
            number,
            "measure" if measured else "stated",
            book.measures.get(slot, str(step.options["name"])) if measured else given.words if given else "",
            said,
            said.words,
            asked=() if measured else book.asked.get(slot, ()),
            comes=book.comes(slot),
            values=book.values(slot),
            kind=book.kinds[slot].word,
            note=self.card if measured else "",
            side=book.side(slot),
        )

    def _choice(self, number: int, step: Step) -> TreeRule:
        """A choice; where nobody chose and its default is a rule, it rests on that."""
        book, slot, name = self.book, step.out, str(step.options["name"])
        chosen, said = name in book.run.choices, book.wording(step.span)
        default = book.choices[slot].usual(book.run.in_inches) if slot in book.choices else step.inputs[0]
        is_rule = not chosen and default in book.steps and book.steps[default].operation != "constant"
        return TreeRule(
            number,
            "quantity" if is_rule else "choice",
            name,
            said,
            said.words,
            comes=book.comes(slot),
            values=book.values(slot),
            kind=book.kinds[slot].word,
            note="chosen" if chosen else "as the style has it",
            side=book.side(slot),
            rests=(self.number(default),) if is_rule else (),
        )

    # ------------------------------------------------------------ rules

    def _rule(self, number: int, step: Step) -> TreeRule:
        book, slot = self.book, step.out
        given, applied = book.name(slot), book.applied.get(slot, [])
        own = book.wording(step.span)
        if step.operation in SAID and applied and own.words.startswith("gives "):
            own = own._replace(words=f"{applied[0].name} {own.words}")
        said, by = own, None
        if given is not None and given.sort in (*QUANTITIES, "level"):
            said = book.wording(given.span)
            by = own if own.span != said.span else None
        reading = _Reading(self, step)
        words, named = self._with_figures(said.words, reading.slots)
        sort = "find" if step.operation == "solve" else given.sort if given else "quantity" if applied else "step"
        figured = sort in ("quantity", "part", "choice") or (sort == "step" and bool(reading.sums) and step.operation in SAID)
        return TreeRule(
            number,
            "turn" if slot in book.turns else "quantity" if sort in QUANTITIES else sort,
            given.words if given else applied[0].name if applied else self._parameter(slot, step),
            said,
            said.words if figured else words,
            by,
            book.asked.get(slot, ()),
            tuple(reading.sums),
            (*reading.ways, *self._under(step.span)),
            book.comes(slot),
            book.values(slot),
            book.kinds[slot].word,
            self._met(step) if sort == "find" else f"below {book.plan.level_order[0]}" if sort == "level" else "",
            book.side(slot),
            tuple(dict.fromkeys(reading.rests)),
            () if figured else named,
        )

    def _parameter(self, slot: int, step: Step) -> str:
        """What a value that is worked out where a rule or recipe is applied is called there."""
        if step.operation not in SAID:
            return ""
        return next((name.name for name in self.book.plan.names if name.slot == slot and name.sort == "parameter"), "")

    def _under(self, span: Span) -> list[Way]:
        """The `when` lines that a rule stands under: it is there because the body went that way."""
        return [Way(_on_one_line(line.text), "", holds, line) for line, holds in self.book.under(span)]

    def _met(self, step: Step) -> str:
        """What a find meets, with figures."""
        book = self.book
        value, target = int(step.options["value"]), int(step.options["target"])
        aim = f" is {book.figure(book.value(target), book.kinds[target])}" if target in book.steps else ""
        sought = book.steps[value].span.text if value in book.steps else ""
        return f"found by trials: {_on_one_line(sought)}{aim}" if sought else "found by trials"

    def _with_figures(self, words: str, slots: Iterable[int]) -> tuple[str, tuple[tuple[str, str], ...]]:
        """A rule's words with the figure of each name in them that stands for one of these slots; and these names with their figures."""
        book, figures = self.book, dict[str, set[str]]()
        for slot in slots:
            if book.kinds[slot].word in ("length", "angle", "number") and book.values(slot):
                for alias in book.aliases.get(slot, ()):
                    figures.setdefault(alias, set()).add(book.comes(slot))
        passed, named = set(book.plan.level_order), list[tuple[str, str]]()

        def figured(match: re.Match[str]) -> str:
            known = figures.get(match[0], set()) if match[0] not in passed else set()
            passed.add(match[0])
            if len(known) != 1:
                return match[0]
            named.append((match[0], next(iter(known))))
            return f"{match[0]} ({named[-1][1]})"

        return _NAMED_WORDS.sub(figured, words), tuple(named)


class _Reading:
    """What one rule reads: the slots that are parts of it and those that it rests on, its sums, and which ways it went."""

    def __init__(self, builder: TreeBuilder, step: Step) -> None:
        self.builder, self.book, self.root = builder, builder.book, step
        self.slots: dict[int, None] = {}  # that the rule reads, its parts among them
        self.rests: list[int] = []
        self.sums: list[Sum] = []
        self.ways: list[Way] = []
        self._waiting = [(step, False)]  # parts of the rule, and whether a sum tells of it already
        while self._waiting:
            part, summed = self._waiting.pop()
            if not summed and part.operation in SAID and self._is_reckoned(part.out):
                self.sums.append(_sum(self.book, part.out))
            found = [self._read(part, slot) for slot in self._taken(part)]
            self._waiting += [(one, summed or part.operation in SAID) for one in reversed(found) if one is not None]

    def _is_reckoned(self, slot: int) -> bool:
        return self.book.kinds[slot] is not CONDITION and slot not in self.book.turns

    def _taken(self, step: Step) -> tuple[int, ...]:
        """The slots that a part of the rule takes: of two ways the one; of what is unchanged in a piece that it was."""
        if step.operation == "either_value":
            condition, yes, no = step.inputs
            holds, asked = self.book.value(condition) > 0.5, self.book.steps[condition]
            figures = FiguredSum(self.book, condition).told(condition).words if asked.operation in SAID else ""
            self.ways.append(Way(_on_one_line(asked.span.text), figures, holds, None))
            return (condition, yes if holds else no)
        before = self.builder.unchanged(step) if step.operation in OF_A_SHAPE else None
        return step.inputs if before is None else (before,)

    def _read(self, reader: Step, slot: int) -> Step | None:
        """The step of a slot that is a part of the rule; else the rule rests on it."""
        book = self.book
        if slot not in book.steps or slot in self.slots:
            return None
        self.slots[slot] = None
        step = book.steps[slot]
        if step.operation == "constant":
            given = book.constant_name(slot, reader.span)
            self.rests.append(self.builder.number(slot, given.words if given else ""))
        elif not book.is_part(slot, self.root.span) or (book.is_told(slot) and not self._is_same_drawing(slot)):
            self.rests.append(self.builder.number(slot))
        else:
            return step
        return None

    def _is_same_drawing(self, slot: int) -> bool:
        """Whether a slot is what the rule draws, before it is finished."""
        name = self.book.name(slot)
        return name is not None and name.words.endswith(FIRST_DRAWN) and self.book.is_part(slot, self.root.span)


def _sum(book: RuleBook, slot: int) -> Sum:
    teller = FiguredSum(book, slot)
    step = book.steps[slot]
    said, value, kind = SAID[step.operation](teller, step), book.value(slot), book.kinds[slot]
    figures = book.bare(slot) if said.bare else said.words
    words = _on_one_line(step.span.text)
    return Sum(words, figures, book.figure(value, kind), exact_sum(teller, slot, teller.ends), value, kind.word)


def _on_one_line(text: str) -> str:
    return " ".join(text.split())
