"""Scopes: what a name means where it is written.

A `Scope` joins the quantities that can be seen (a rule's parameters, a piece's own, the style's or the library's)
with the construction that is being drawn, if any, and the whole `Program` with its levels and pieces.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from ..source.text import Span
from ..syntax import tree
from .contexts import DrawingContext, Figure, ProgramContext, RawEdge, ScopeContext
from .expressions import lower
from .functions import FUNCTIONS
from .kinds import ANGLE, BY_WORD, NUMBER, UNKNOWN, article
from .lowering import MOST_APPLIED, POISON, article_of
from .names import Entity, Names
from .plan import Value

MOST_CALLS = 60  # rules that use each other, one inside the other
PARTS = {"half": 1 / 2, "third": 1 / 3, "quarter": 1 / 4, "pi": math.pi}  # said as numbers: a dart on top at half


class Scope:
    __slots__ = ("lowering", "program", "quantities", "drawing", "rules", "figures", "fitted")

    def __init__(
        self, program: ProgramContext, quantities: Names[Value], rules: Names[Any], drawing: DrawingContext | None = None
    ) -> None:
        self.lowering = program.lowering
        self.program = program
        self.quantities = quantities
        self.rules = rules
        self.drawing = drawing  # the Construction whose points and edges are named without its name
        self.figures: list[Figure] | None = None  # collects compared quantities while a requirement is lowered
        self.fitted = False  # whether other pieces are seen as they were fitted: by rules that draft they are not

    def inner(self, names: Names[Value], drawing: DrawingContext | None = None) -> Scope:
        return Scope(self.program, names, self.rules, drawing or self.drawing)

    def of_garment(self) -> Scope:
        """The same scope for what is said of the finished garment: it sees pieces as they were fitted."""
        scope = Scope(self.program, self.quantities, self.rules, self.drawing)
        scope.fitted = True
        return scope

    # ------------------------------------------------------------ quantities

    def quantity(self, name: str, span: Span) -> Value:
        entity = self.quantities.find(name)
        if entity is None and name in PARTS:
            return self.lowering.constant(PARTS[name], NUMBER, span)
        if entity is None:
            return self._no_quantity(name, span)
        self.lowering.use(entity, span)
        return self.lowering.demand(entity)

    def _no_quantity(self, name: str, span: Span) -> Value:
        program = self.program
        way_out = ""
        if name in program.measurements:
            way_out = f"Add it to the measures the style needs: measure {name}"
        elif program.levels.find(name):
            way_out = f'"{name}" is a level; say girth at {name}, or name a quantity.'
        elif program.pieces.find(name):
            way_out = f'"{name}" is a piece; say for instance length of {name}.side.'
        elif self.drawing is not None and (self.drawing.points.find(name) or self.drawing.edges.find(name)):
            way_out = f'"{name}" is drawn; say length of {name}, or distance from one point to another.'
        if way_out:
            if name in self.lowering.skipped_names:
                return POISON
            return self.lowering.error(
                "N201", f'No quantity is called "{name}"', span, "a measure, choice or quantity", f'"{name}"', way_out
            )
        return self.lowering.unknown_name("quantity", name, span, self.quantities.known())

    def member(self, node: tree.Member) -> Value:
        """`piece.name` among quantities: a quantity named inside the piece."""
        owner = self.program.construction(node.owner, node.owner.span, self.fitted)
        if owner is None:
            return POISON
        entity = owner.quantities.own.get(node.word)
        if entity is not None:
            self.lowering.use(entity, node.word.span)
            return self.lowering.demand(entity)
        if owner.points.find(node.word) or owner.edges.find(node.word):
            return self.lowering.error(
                "N205",
                f'"{node.owner}.{node.word}" is drawn, not a quantity',
                node.head,
                "a quantity",
                "a point or an edge",
                f"Say length of {node.owner}.{node.word}, or distance from one point to another.",
            )
        return self.lowering.unknown_name("quantity", node.word, node.word.span, owner.quantities.own)

    def compared(self, node: tree.Comparison, left: Value, right: Value) -> None:
        if self.figures is not None:
            self.figures += [
                (" ".join(part.span.text.split()), value.slot, value.kind) for part, value in ((node.left, left), (node.right, right))
            ]

    # ------------------------------------------------------------ rules

    def apply_rule(self, node: tree.Call, arguments: Sequence[tree.Node]) -> Value:
        entity = self.rules.find(node.name)
        if entity is None:
            known = [*FUNCTIONS, *self.rules.known()]
            return self.lowering.unknown_name("rule or function", node.name, node.name.span, known)
        lowering = self.lowering
        lowering.use(entity, node.name.span)
        if entity.sort != "rule":
            return self._no_rule(node, entity)
        if len(lowering.calls) >= MOST_CALLS:
            return self._too_deep()
        lowering.applied += 1
        if lowering.applied > MOST_APPLIED:
            if lowering.applied == MOST_APPLIED + 1:
                lowering.error(
                    "N213",
                    "The style is too large when its rules are written out",
                    [*lowering.calls, node.head][0],
                    f"rules used at most {MOST_APPLIED} times in all, also by each other",
                    f"more than {MOST_APPLIED}",
                    "Name the result of a rule as a quantity, and use the quantity where it is wanted again.",
                )
            return POISON
        rule = entity.built()
        lowering.demands.depth += 1  # a rule within the values of a rule is two calls deeper than other expressions
        try:
            names = self.bind(rule.parameters, arguments, node, f'rule "{node.name}"', rule.scope)
        finally:
            lowering.demands.depth -= 1
        if names is None:
            return POISON
        if entity.building:
            return self.lowering.error(
                "N203",
                f'The rule "{node.name}" uses itself',
                node.head,
                "a rule without itself",
                f"{node.name} of {node.name}",
                "Rules may use other rules, never themselves.",
                ((entity.span, "the rule"),),
            )
        entity.building = True
        lowering.calls.append(node.head)
        try:
            inside = Scope(self.program, names, rule.scope.rules, None)
            inside.figures = self.figures
            for statement in rule.statements:
                self.program.define_quantity(inside, statement)
            value = lower(inside, rule.gives)
            lowering.bind(value, str(node.name), "rule", node.head)
            return value
        finally:
            entity.building = False
            lowering.calls.pop()

    def _no_rule(self, node: tree.Call, entity: Entity[Any]) -> Value:
        """A recipe or a check, which gives no value, called like a rule."""
        name = str(node.name)
        way_out = f'say piece NAME "Title" from {name}(...)' if entity.sort == "recipe" else f"say check {name} (...)"
        return self.lowering.error(
            "N280",
            f'"{name}" is a {entity.sort}, and gives no value',
            node.name.span,
            "a rule or a function",
            f'the {entity.sort} "{name}"',
            f"A {entity.sort} stands by itself: {way_out}",
            ((entity.span, f"the {entity.sort}"),),
        )

    def _too_deep(self) -> Value:
        lowering = self.lowering
        if not lowering.too_deep:
            lowering.too_deep = True
            lowering.error(
                "N213",
                "Rules use each other too deeply",
                lowering.calls[0],
                f"at most {MOST_CALLS} rules, each used by the one before it",
                f"more than {MOST_CALLS}",
                "Name the result of a rule as a quantity, and give that to the next rule.",
            )
        return POISON

    def bind(
        self,
        parameters: Sequence[tree.Parameter],
        arguments: Sequence[tree.Node] | None,
        node: tree.Node,
        what: str,
        home: ScopeContext,
    ) -> Names[Value] | None:
        """Names for parameters, from arguments in order or by name; None (with errors) where they do not fit."""
        names: Names[Value] = Names(home.quantities)
        arguments = arguments or ()
        parameters = parameters or ()
        by_name = {str(parameter.name): parameter for parameter in parameters}
        given: dict[str, tree.Node] = {}
        named: dict[str, tree.Word] = {}
        for index, argument in enumerate(arguments):
            if isinstance(argument, tree.NamedArgument):
                if argument.name not in by_name:
                    self.lowering.unknown_name("parameter", argument.name, argument.name.span, by_name)
                    return None
                given[argument.name] = argument.value
                named[argument.name] = argument.name
            elif index < len(parameters):
                given[parameters[index].name] = argument
        missing = [parameter.name for parameter in parameters if parameter.name not in given]
        if missing or len(arguments) != len(parameters):
            self.lowering.error(
                "K304",
                f"The {what} takes {len(parameters)} values",
                node.head,
                ", ".join(f"{p.name} {p.kind}" for p in parameters) or "none",
                f"{len(arguments)} given" + (f"; missing: {', '.join(missing)}" if missing else ""),
                "Give each value once, in order or as name = value.",
            )
            return None
        for name, expression in given.items():
            value, wanted = lower(self, expression), BY_WORD[by_name[name].kind]
            if value.kind is not UNKNOWN and value.kind != wanted:
                self.lowering.wrong_kind(value, f"{article(wanted)} for {name}", expression.span)
                value = POISON
            bound: Entity[Value] = Entity(name, "parameter", by_name[name].span, None)
            bound.value = value
            self.lowering.bind(value, str(name), "parameter", by_name[name].span)
            names.own[name] = bound
            if name in named:
                self.lowering.use(bound, named[name].span)
        return names

    # ------------------------------------------------------------ drawn things

    def point(self, ref: tree.Ref) -> Value:
        owner, name = self._owner(ref, "point")
        if owner is None:
            return POISON
        entity = owner.points.find(name)
        if entity is None:
            if owner.edges.find(name):
                return self.lowering.error(
                    "N205",
                    f'"{ref}" is an edge, not a point',
                    ref.span,
                    "a point",
                    "an edge",
                    "Name a point, for example one of its ends.",
                )
            return owner.unknown_name("point", name, ref.span, owner.points.known())
        self.lowering.use(entity, ref.parts[-1].span)
        return self.lowering.demand(entity)

    def edge(self, ref: tree.Ref) -> Value:
        """The finished edge, darts and all, as seams and measures see it."""
        owner, name = self._owner(ref, "edge")
        if owner is None:
            return POISON
        return owner.finished_edge(name, ref.span)

    def raw_edge(self, ref: tree.Ref) -> RawEdge | None:
        """The edge as first drawn, before darts, as construction sees it; None with an error."""
        owner, name = self._owner(ref, "edge")
        return None if owner is None else owner.raw_edge(name, ref.span)

    def corner(self, first_ref: tree.Ref, second_ref: tree.Ref, span: Span) -> Value:
        """The angle inside a piece where two neighbouring edges of its outline meet."""
        owner, name = self._owner(first_ref, "edge")
        if owner is None:
            return POISON
        if len(second_ref.parts) > 1 and second_ref.parts[0] != owner.name:
            return self.lowering.error(
                "N232",
                f"{first_ref} and {second_ref} are edges of two pieces",
                span,
                "two edges of one piece",
                f"{first_ref} and {second_ref}",
                "Add the corners of two pieces: corner of A and B + corner of C and D.",
            )
        second = second_ref.parts[-1]
        for edge, ref in ((name, first_ref), (second, second_ref)):
            if owner.edge_names() and all(edge != known for known in owner.edge_names()):
                return self.lowering.unknown_name(f"edge of {owner.name}", edge, ref.span, [str(e) for e in owner.edge_names()])
        owner.mention(first_ref.parts[-1], second)
        if len(second_ref.parts) > 1:
            self.program.construction(second_ref.parts[0], second_ref.parts[0].span, self.fitted)
        ring = [edge for edge, _, _ in owner.chain() or ()]
        for first, last in ((name, second), (second, name)):
            if ring and ring[(ring.index(first) + 1) % len(ring)] == last and (len(ring) > 2 or first == name):
                edges = [owner.finished_edge(edge, span) for edge in (first, last)]
                return self.lowering.emit("edge_corner", ANGLE, span, *edges, owner.turn())
        if not ring:
            return POISON
        return self.lowering.error(
            "N232",
            f"{name} and {second} do not meet in a corner",
            span,
            "two edges of one piece, one after the other in its outline",
            f"{name} and {second}",
            f"The outline of {owner.name} runs: {', '.join(str(edge) for edge in ring)}.",
        )

    def intake(self, ref: tree.Ref, asked: bool = False) -> Value:
        owner, name = self._owner(ref, "dart")
        return POISON if owner is None else owner.dart_intake(name, ref.span, asked)

    def _owner(self, ref: tree.Ref, sort: str) -> tuple[DrawingContext | None, str]:
        if len(ref.parts) == 2:
            return self.program.construction(ref.parts[0], ref.parts[0].span, self.fitted), ref.parts[1]
        if self.drawing is None:
            name = ref.parts[0]
            holders = list(self.program.pieces.own)
            if name not in self.lowering.skipped_names:
                self.lowering.error(
                    "N204",
                    f'Which piece\'s {sort} is "{name}"?',
                    ref.span,
                    f"piece.{name}",
                    f'"{name}"',
                    f"Say {holders[0]}.{name}." if holders else f"Name the piece before {article_of(sort)}.",
                )
            return None, ""
        return self.drawing, ref.parts[0]

    # ------------------------------------------------------------ levels and girths

    def level(self, name: str, span: Span | None = None) -> Value:
        """How far a level lies below the first one."""
        entity = self.program.levels.find(name)
        if entity is None and not self.program.levels.own and "levels" in self.lowering.skipped_names:
            return POISON
        if entity is None:
            return self.lowering.unknown_name(
                "level", name, span or _place(name), self.program.levels.known(), "Add it to the levels of the style."
            )
        if hasattr(name, "span"):
            self.lowering.use(entity, name.span)
        return self.lowering.demand(entity)

    def girth(self, level: tree.Word, span: Span) -> Value:
        return self.program.girth(level, span, self.fitted)

    def width(self, ref: tree.Ref, level: tree.Word, span: Span) -> Value:
        owner = self.program.construction(ref.parts[0], ref.span, self.fitted)
        if owner is None:
            return POISON
        self.program.mention_level(level)
        width = owner.width_at(level)
        if width is None:
            return self.lowering.error(
                "N204",
                f'The piece "{ref}" has no width at the level "{level}"',
                span,
                f"one of: {', '.join(owner.level_names()) or 'no level'}",
                f'"{level}"',
                f"Give the piece a width at {level}, or say: level {level} at some point.",
            )
        return width

    def outline_of(self, name: tree.Word, span: Span) -> list[Value]:
        owner = self.program.construction(name, span, self.fitted)
        return [POISON] if owner is None else [value for _, value in owner.finished_outline()] or [POISON]


def _place(name: str) -> Span:
    """Where a name stands."""
    if not isinstance(name, tree.Word):
        raise TypeError(f"{name} stands nowhere")
    return name.span
