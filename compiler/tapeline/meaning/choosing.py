"""A choice: its default, perhaps another one for inches, and its range.

`5 cm or 2 in` reads as any `or` does, and is two defaults where lengths are written in it: one in units of the metre, one in
inches.  The step of the choice holds both, and takes the one that goes with the unit in which the draft's lengths are told.  So
a plan is the same for everyone.  What is constant is judged here, the rest with the body.
"""

from __future__ import annotations

from functools import partial

from ..syntax import tree
from .contexts import ProgramContext, ScopeContext
from .expressions import lower
from .kinds import CONDITION, UNKNOWN, article
from .names import Entity
from .plan import Choice, Value
from .recipes import text_of


def define_choice(program: ProgramContext, scope: ScopeContext, node: tree.Choose) -> None:
    """Enter a choice under its name."""
    chosen = partial(_chosen, program, scope, node)
    program.lowering.define(scope.quantities, Entity(node.name, "choice", node.head, chosen))


def _chosen(program: ProgramContext, scope: ScopeContext, node: tree.Choose) -> Value:
    lowering = program.lowering
    of_all, of_inches = node.defaults()
    if of_inches is not None and not _in_two_systems(program, node, of_all, of_inches):
        of_inches = None
    usual = [(of_all, lower(scope, of_all))]
    if of_inches is not None:
        usual.append((of_inches, lower(scope, of_inches)))
    default = usual[0][1]
    bounds: list[Value] = []
    if node.range is not None:
        if default.kind == CONDITION:
            return lowering.error("K302", "A yes or no has no range", node.range.span, "no range", "a range", "Leave the range out.")
        low, high = lower(scope, node.range.low), lower(scope, node.range.high)
        if default.kind.word == "number" and low.kind.word == high.kind.word == "length":
            return lowering.wrong_kind(default, "a length", of_all.span)  # a unit is missing once, and not too much twice
        bounds += [_like(program, default, value, bound) for value, bound in ((low, node.range.low), (high, node.range.high))]
        _hold_range(program, node, node.range, usual, *bounds)
    by_name = {}
    if of_inches is not None:
        by_name["inches"] = _like(program, default, usual[1][1], of_inches)
    value = lowering.emit("choose", default.kind, node.head, default, *bounds, by_name=by_name, name=str(node.name))
    if value.kind is not UNKNOWN:
        constant = lowering.read_back.figure(default.slot)
        if constant is not None:
            lowering.samples[value.slot] = constant
        program.choices[str(node.name)] = Choice(
            str(node.name),
            value.kind,
            value.slot,
            text_of(node.text),
            node.head,
            default.slot,
            by_name["inches"].slot if by_name else None,
        )
    return value


def _like(program: ProgramContext, default: Value, value: Value, written: tree.Expression) -> Value:
    if value.kind == default.kind or UNKNOWN in (value.kind, default.kind):
        return value
    return program.lowering.wrong_kind(value, article(default.kind), written.span)


def _in_two_systems(program: ProgramContext, node: tree.Choose, of_all: tree.Expression, of_inches: tree.Expression) -> bool:
    """Whether the one default is written in units of the metre alone and the other in inches; else N340."""
    metric, inches = tree.lengths_written(of_all), tree.lengths_written(of_inches)
    if metric and inches and not any(unit.in_inches for unit in metric) and all(unit.in_inches for unit in inches):
        return True
    program.lowering.error(
        "N340",
        f'Which default of "{node.name}" is the one for inches?',
        node.default.span,
        "one default in centimetres, one in inches",
        " ".join(node.default.span.text.split()),
        f"Write for example: choose {node.name} 5 cm or 2 in",
    )
    return False


def _hold_range(
    program: ProgramContext,
    node: tree.Choose,
    bounds: tree.Range,
    usual: list[tuple[tree.Expression, Value]],
    low: Value,
    high: Value,
) -> None:
    """A range of constants is not empty, and a default that is constant lies within it; others are judged with the body."""
    if UNKNOWN in (low.kind, high.kind, *(value.kind for _, value in usual)):
        return
    figure = program.lowering.read_back.figure
    least, most = figure(low.slot), figure(high.slot)
    shown = " ".join(bounds.span.text.split())
    if least is not None and most is not None and least > most:
        program.lowering.error(
            "N285",
            f'The range of "{node.name}" has nothing in it',
            bounds.span,
            "the lower bound first",
            shown,
            f"Write: from {bounds.high.span.text} to {bounds.low.span.text}",
        )
        return
    for written, value in usual:
        constant = figure(value.slot)
        if constant is not None and ((least is not None and constant < least) or (most is not None and constant > most)):
            program.lowering.error(
                "N285",
                f'The default of "{node.name}" is out of its range',
                written.span,
                f"a value {shown}",
                " ".join(written.span.text.split()),
                "Give a default within the range, or widen the range.",
            )
