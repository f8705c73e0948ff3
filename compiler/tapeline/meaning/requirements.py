"""What the finished pieces must fulfil, and what is only cautioned: conditions of the style, of its checks, and of divisions."""

from __future__ import annotations

from collections.abc import Callable

from ..source.text import Span
from ..syntax import tree
from .contexts import ProgramContext, ScopeContext
from .expressions import lower_kind
from .kinds import CONDITION, UNKNOWN
from .names import Names
from .plan import Requirement, Value
from .scopes import Scope


def requirements(program: ProgramContext) -> None:
    """Lower what must be true of the finished pieces, of checks that are used as well."""
    for node, own_scope, left in program.late:
        scope = own_scope.of_garment()
        if isinstance(node, (tree.Require, tree.Caution)):
            _requirement(program, node, scope)
        elif isinstance(node, tree.ApplyCheck):
            _applied(program, node, scope)
        elif left is not None:
            _division(program, node, left)


def _requirement(program: ProgramContext, node: tree.Require | tree.Caution, scope: ScopeContext, used: Span | None = None) -> None:
    scope.figures = []
    condition = lower_kind(scope, node.condition, CONDITION)
    figures, scope.figures = tuple(scope.figures), None
    if condition.kind is UNKNOWN:
        return
    message = str(node.message.text)[1:-1] if node.message.text is not None else " ".join(node.condition.span.text.split())
    severity = "error" if isinstance(node, tree.Require) else "caution"
    program.requirements.append(Requirement(condition.slot, message, node.head, severity, figures, used))


def _applied(program: ProgramContext, node: tree.ApplyCheck, scope: ScopeContext) -> None:
    entity = scope.rules.find(node.name)
    if entity is None or entity.sort != "check" or entity.build is None:
        known = [name for name, rule in scope.rules.own.items() if rule.sort == "check"]
        program.lowering.unknown_name("check", node.name, node.name.span, known)
        return
    program.lowering.use(entity, node.name.span)
    text = entity.build()
    names = scope.bind(text.parameters, node.arguments or (), node, f'check "{node.name}"', text.scope)
    if names is None:
        return
    inside = Scope(program, Names(names), text.scope.rules).of_garment()
    for statement in text.statements:
        if isinstance(statement, tree.Definition):
            program.define_quantity(inside, statement)
        elif isinstance(statement, (tree.Require, tree.Caution)):
            _requirement(program, statement, inside, node.head)
        else:
            program.misplaced(statement, "a check")


def _division(program: ProgramContext, node: tree.Statement, left: Callable[[], Value]) -> None:
    rest = left()
    if rest.kind is UNKNOWN:
        return
    zero = program.lowering.constant(0.0, rest.kind, node.head)
    slack = program.lowering.constant(0.01, rest.kind, node.head)
    condition = program.lowering.emit("compare", CONDITION, node.head, rest, zero, slack, relation="is")
    program.requirements.append(
        Requirement(
            condition.slot,
            "The parts do not make up the whole; give one of them the rest",
            node.head,
            "error",
            (("left over", rest.slot, rest.kind),),
        )
    )
