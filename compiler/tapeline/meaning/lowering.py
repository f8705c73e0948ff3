"""Lowering: how a tree becomes a plan of steps and slots, with diagnostics, and the course taken at each fork.

`emit` adds a step and gives the value it will have; a step over anything unknown is not added, its value is unknown
too, so that one mistake is said once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any, TypeAlias, TypeVar, overload

from ..source.diagnostics import CAUTION, Diagnostic
from ..source.suggest import did_you_mean
from ..source.text import Span
from ..syntax import tree
from .conditions import SLACK, ReadBack, implied
from .kinds import CONDITION, DRAWN, UNKNOWN, Kind, article
from .names import Demands, Entity, Names
from .plan import Condition, Fork, NamedSlot, Step, Value

T = TypeVar("T")
Outcomes: TypeAlias = Mapping[Condition, bool | int]  # what a fork asks -> the outcome taken there
Others: TypeAlias = Iterable[tuple[Span, str]]  # other places that matter, and what each is

POISON = Value(-1, UNKNOWN)
MOST_APPLIED = 10_000  # uses of rules in one style, each written out where it stands
MOST_COUNTED = 24  # numbers that are tried where others are at odds with what this course takes
SAMPLE_COUNT = 2  # how many darts a check assumes where the count is a choice not yet made


class Lowering:
    """State shared while one style is lowered for one course (`outcomes`: what a fork asks -> True, False or a count)."""

    def __init__(self, outcomes: Outcomes, skipped_names: frozenset[str], damaged: frozenset[tuple[str, int]] = frozenset()) -> None:
        self.outcomes = outcomes
        self.skipped_names = skipped_names  # names that stood in statements passed over, or that were misspelt where they are given
        self.damaged = damaged
        self.steps: list[Step] = []
        self.slots = 0
        self.diagnostics: list[Diagnostic] = []
        self.defined: list[tuple[Entity[Any], str]] = []  # every name that was entered, and the piece whose it is
        self.uses: list[tuple[Span, Entity[Any]]] = []  # where a name is used, and what it was found to be
        self.replaced: list[tuple[tree.Node, tree.Node]] = []  # what a piece, sheet or recipe says, and what stood there before
        self.demands = Demands(self.diagnostics.append)
        self.forks: list[Fork] = []
        self.known: dict[tuple[object, ...], Value] = {}  # what was emitted, by all that tells steps apart
        self.constants: dict[tuple[float, Kind], Value] = {}
        self.truths: set[int] = set()  # slots of conditions
        self.read_back = ReadBack(self.steps, self.truths)
        self.answers = [_as_answer(question, outcome) for question, outcome in outcomes.items()]  # and those taken on the way
        self.counts: dict[Condition, int] = {}  # how many of something this course takes
        self.left_out: list[tuple[tree.When, bool]] = []  # with the answer under which other courses take its statements
        self.samples: dict[int, float] = {}  # slots of constants, and of choices with a constant default
        self.geometric: set[int] = set()  # slots that rest on geometry
        self.bound: dict[NamedSlot, None] = {}  # names that were bound where rules were applied, and the rules
        self.calls: list[Span] = []  # of the rules being written out, the outermost first
        self.applied = 0
        self.too_deep = False  # that has been said
        self.guards: list[tuple[int, int, bool]] = []  # (open names, condition, outcome) of the branches being lowered
        self.incomplete = False  # a library is missing: names that it may have held are passed over

    # ------------------------------------------------------------ steps

    def slot(self) -> int:
        self.slots += 1
        return self.slots - 1

    def emit(
        self,
        operation: str,
        kind: Kind,
        span: Span,
        *inputs: Value,
        by_name: Mapping[str, Value | Sequence[Value]] | None = None,
        apart: str = "",
        **options: Any,
    ) -> Value:
        """The value of a step, which is added unless the plan has it: equal steps of one rule are one.

        `by_name` are inputs that are not told by their place.  Points that rest on no other are kept `apart` piece by piece, so
        that no piece counts as traced from one that is only equal to it.
        """
        named: tuple[tuple[str, int | None], ...] = ()
        if by_name:
            named = tuple((name, None if isinstance(value, Value) else len(value)) for name, value in by_name.items())
            for value in by_name.values():
                inputs += (value,) if isinstance(value, Value) else tuple(value)
        slots = tuple([value.slot for value in inputs])
        if POISON.slot in slots:
            return POISON
        guards: tuple[tuple[int, bool], ...] = ()
        if self.guards:
            depth = len(self.demands.open)
            guards = tuple((condition, outcome) for opened, condition, outcome in self.guards if opened == depth)
        # Places are told by the numbers of their source, which is one object for all of a lowering.
        key = (operation, kind.word, slots, named, guards, id(span.source), span.start, span.end, apart, *options.items())
        try:
            known = self.known.get(key)
        except TypeError:  # an option that is a list or a table
            key = (*key[:9], _hashable(options))
            known = self.known.get(key)
        if known is not None and operation != "find":  # which is a value of its own
            return known
        out = self.slot()
        self.steps.append(Step(out, operation, slots, options, span, guards, named))
        if kind.word in DRAWN or not self.geometric.isdisjoint(slots):
            self.geometric.add(out)
        if kind is CONDITION:
            self.truths.add(out)
        value = Value(out, kind)
        self.known[key] = value
        return value

    @contextmanager
    def guarded(self, condition: Value | None, outcome: bool) -> Iterator[None]:
        """Steps of one branch of a choice between values: a division there fails only the bodies that take it.

        A name that the branch uses is built for everyone, and so is what is drawn (`condition` None).
        """
        before = self.guards
        guards = [] if condition is None or condition.kind is UNKNOWN else [*before, (len(self.demands.open), condition.slot, outcome)]
        self.guards = guards
        try:
            yield
        finally:
            self.guards = before

    def constant(self, number: float, kind: Kind, span: Span) -> Value:
        key = (number, kind)
        if key not in self.constants:
            self.constants[key] = self.emit("constant", kind, span, number=number)
            self.samples[self.constants[key].slot] = number
        return self.constants[key]

    # ------------------------------------------------------------ diagnostics

    def error(
        self, code: str, title: str, span: Span, expected: str = "", found: str = "", suggestion: str = "", others: Others = ()
    ) -> Value:
        self.diagnostics.append(Diagnostic(code, title, span, expected, found, suggestion, tuple(others)))
        return POISON

    def caution(self, code: str, title: str, span: Span, expected: str, found: str, suggestion: str, others: Others = ()) -> None:
        """Say what is no mistake and yet seldom meant."""
        self.diagnostics.append(Diagnostic(code, title, span, expected, found, suggestion, tuple(others), CAUTION))

    def unknown_name(self, sort: str, name: str, span: Span, known: Iterable[str], way_out: str = "") -> Value:
        if name in self.skipped_names:  # it stood in a statement that could not be read: that has been said
            return POISON
        elsewhere = self._elsewhere(name)
        if elsewhere is not None:
            return self._not_here(sort, name, span, *elsewhere)
        hint = did_you_mean(name, known)
        if self.incomplete and not hint and sort in ("quantity", "rule or function", "recipe", "check", "measurement"):
            return POISON
        shown = list(known)[:12]
        return self.error(
            "N201",
            f'No {sort} is called "{name}"',
            span,
            f"one of: {', '.join(shown)}" if shown and not hint else f"the name of {article_of(sort)}",
            f'"{name}"',
            hint or way_out,
        )

    def _not_here(self, sort: str, name: str, span: Span, node: tree.When, holds: bool, place: Span) -> Value:
        """A name that other courses of the style have."""
        condition = " ".join(node.condition.span.text.split())
        where = f'"when {condition}"' if holds else f'the otherwise of "when {condition}"'
        return self.error(
            "N201",
            f'No {sort} is called "{name}" for every body and choice',
            span,
            f"the name of {article_of(sort)} that is there in every course of the rules",
            f'"{name}", given only under {where}',
            f"If that one is meant, say this under {'a when' if holds else 'the otherwise of a when'} of the same condition too.",
            ((place, f"given here, under {where}"),),
        )

    def is_damaged(self, span: Span) -> bool:
        """Did the body of the statement that begins here lose a line?  Then nothing is said to be missing in it."""
        return (span.source.name, span.start) in self.damaged

    def wrong_kind(self, value: Value, wanted: str, span: Span, suggestion: str = "") -> Value:
        if value.kind is UNKNOWN:
            return POISON
        if not suggestion and wanted == "a length" and value.kind.word == "number":
            suggestion = (
                f"Write a unit after the number: {span.text.strip()} cm."
                if _is_bare(span.text)
                else ("Multiply it by a length, or give its numbers a unit such as cm or in.")
            )
        return self.error(
            "K301",
            f"Expected {wanted}, found {article(value.kind)}",
            span,
            wanted,
            f"{article(value.kind)} ({_short(span.text)})",
            suggestion,
        )

    # ------------------------------------------------------------ names

    def define(self, names: Names[T], entity: Entity[T]) -> bool:
        """Enter a name; a second of the same name is an error that shows both."""
        first = names.own.get(entity.name)
        if first is not None:
            self.error(
                "N202",
                f'"{entity.name}" is given twice',
                entity.span,
                "each name once",
                f'a second {entity.sort} "{entity.name}"',
                "Give one of the two another name.",
                ((first.span, f"first given here, as {article_of(first.sort)}"),),
            )
            return False
        names.own[entity.name] = entity
        self.note(entity, names.owner)
        return True

    def note(self, entity: Entity[Any], owner: str) -> None:
        """Note that a name is given, as one of the piece `owner`."""
        entity.owner = entity.owner or owner
        self.defined.append((entity, owner))

    def use(self, entity: Entity[Any], span: Span) -> None:
        """Note that a name stands here."""
        self.uses.append((span, entity))

    @overload
    def demand(self, entity: Entity[Value]) -> Value: ...

    @overload
    def demand(self, entity: Entity[T], poison: T) -> T: ...

    def demand(self, entity: Entity[Any], poison: Any = POISON) -> Any:
        return self.demands.value(entity, poison)

    def bind(self, value: Value, name: str, sort: str, span: Span) -> None:
        """Note what a name stood for while a rule or recipe was applied, or what the rule came to."""
        if value.kind is not UNKNOWN:
            self.bound[NamedSlot(value.slot, name, sort, "", span)] = None

    def names(self) -> tuple[NamedSlot, ...]:
        """Every name of a slot, the names of the texts first."""
        names: dict[NamedSlot, None] = {}
        for entity, owner in self.defined:
            value = getattr(entity.value, "guide", entity.value)  # of an edge, what is first drawn
            if isinstance(value, Value) and value.kind is not UNKNOWN:
                names[NamedSlot(value.slot, entity.name, entity.sort, owner, entity.span)] = None
        return (*names, *self.bound)

    # ------------------------------------------------------------ forks

    def course(self, kind: str, value: Value, span: Span, where: str = "") -> bool | int:
        """The outcome taken at a fork; a condition or count that rests on geometry is refused.

        `where` names the piece: the one `when` of a recipe is told for every piece made from the recipe.  What follows from the
        outcomes of other forks, or rests on constants, is answered.  Until an outcome is set, a condition holds and a count
        is what its choice defaults to.
        """
        usual = True if kind == "when" else SAMPLE_COUNT
        if value.kind is UNKNOWN:
            return usual
        if value.slot in self.geometric:
            self.error(
                "N206",
                "Which rules apply may not depend on drawn geometry",
                span,
                "a condition over measures, choices and quantities",
                f"{_short(span.text)}",
                "Test the measures that the drawing comes from, or put the condition inside a quantity.",
            )
            return usual
        constant = self.read_back.figure(value.slot)
        question: Condition = ("count", self.read_back.digest(value.slot)) if kind == "count" else self.read_back.condition(value.slot)
        outcome: bool | int
        if kind == "count":
            self._whole(self.samples.get(value.slot, 0.0) if constant is None else constant, span)
        if constant is not None:
            outcome, answered = constant > 0.5 if kind == "when" else int(round(constant)), True
        elif kind == "count":
            outcome, answered = self._count(question, int(round(self.samples.get(value.slot, usual))))
        else:
            outcome, answered = self._answer(question)
        self.forks.append(Fork((span.source.name, span.start, where), value.slot, kind, span, question, outcome, answered))
        return outcome

    def _whole(self, count: float, span: Span) -> None:
        """A count that is known before any body, by a constant or by the default of a choice, is a whole number."""
        if abs(count - round(count)) > 1e-6:
            self.error("N210", "What is counted is a whole number", span, "1, 2, 3, ...", f"{count:g}", "Set another number.")

    def _answer(self, question: Condition) -> tuple[bool | int, bool]:
        """(whether a condition holds in this course, whether that follows from what was answered before)."""
        if question in self.outcomes:
            return self.outcomes[question], False
        answer = implied(question, self.answers)
        if answer is None:
            self.answers.append((question, True))
        return answer is not False, answer is not None

    def _count(self, question: Condition, usual: int) -> tuple[int, bool]:
        """(a number that this course takes, whether it has been taken before): the usual one, or the first that can be."""
        if question in self.outcomes:
            return int(self.outcomes[question]), False
        if question in self.counts:
            return self.counts[question], True
        numbers = (usual, *range(1, MOST_COUNTED + 1))
        count = next((number for number in numbers if implied(_as_answer(question, number)[0], self.answers) is not False), usual)
        self.counts[question] = count
        self.answers.append(_as_answer(question, count))
        return count, False

    def leave_out(self, node: tree.When, holds: bool) -> None:
        """Note statements that other courses take, for who looks for their names in this one."""
        self.left_out.append((node, holds))

    def stands_under(self, name: str, *statements: tree.Statement) -> str:
        """Under which `when` of this course a name is given or one of these statements stands, in words; nothing where under none."""
        for node, left_out in self.left_out:
            for statement in node.under(not left_out):
                if statement in statements or any(given == name for given, _ in names_given(statement)):
                    condition = " ".join(node.condition.span.text.split())
                    return f'the otherwise of "when {condition}"' if left_out else f'"when {condition}"'
        return ""

    def _elsewhere(self, name: str) -> tuple[tree.When, bool, Span] | None:
        """Where a name is given that this course has not: under which `when`, whether that must hold, and the place."""
        for node, holds in self.left_out:
            for statement in node.under(holds):
                for given, stem in names_given(statement):
                    if given == name or (stem and name.startswith(f"{given}_")):
                        return node, holds, given.span
        return None


def names_given(node: tree.Node) -> Iterator[tuple[tree.Word, bool]]:
    """The names that a statement gives, and whether further names are made of one, as `vent_top` is of `called vent`."""
    for inner in node.walk():
        if isinstance(inner, (tree.Ref, tree.Expression)):
            continue
        for field in ("name", "names"):
            given = getattr(inner, field, None)
            for word in given if isinstance(given, tuple) else (given,):
                if isinstance(word, tree.Word) and word.type != "STRING":
                    yield word, isinstance(inner, tree.Called)


def _as_answer(question: Condition, outcome: bool | int) -> tuple[Condition, bool]:
    """An outcome as what is known by it: a count is a figure that is so much."""
    if question[0] == "count":
        return ("is", question[1], float(outcome), SLACK), True
    return question, bool(outcome)


def _hashable(option: Any) -> Any:
    if isinstance(option, dict):
        return tuple((name, _hashable(inner)) for name, inner in option.items())
    return tuple(map(_hashable, option)) if isinstance(option, (list, tuple)) else option


def article_of(sort: str) -> str:
    return ("an " if sort[0] in "aeiou" else "a ") + sort


def _short(text: str, most: int = 50) -> str:
    text = " ".join(text.split())
    return text if len(text) <= most else text[: most - 3] + "..."


def unit_for(words: str) -> str:
    """The way out where a plain number, in these words, stands for a length."""
    written = words.strip()
    if _is_bare(written):
        return f"Give {written} a unit: {written} cm, or in."
    return f"{_short(written)} is a number and a length is needed: multiply it by a length, or give its own figures a unit such as cm or in."


def _is_bare(text: str) -> bool:
    return all(character.isdigit() or character in " ./" for character in text.strip())
