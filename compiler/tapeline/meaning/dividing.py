"""A whole divided into parts, each of them a quantity.

A part is stated, or so much more or less than another part, or takes the rest.  Parts that differ from the one with the rest, at
once or through others, share the rest with it: each takes as much, and its difference besides.  Where no part takes the rest,
what the stated ones leave must be nothing, which is required of every body.  A part without a value is said anew in another
place, and counts here.
"""

from __future__ import annotations

from functools import partial

from ..syntax import tree
from .contexts import Late, ProgramContext, ScopeContext
from .expressions import lower
from .kinds import NUMBER, UNKNOWN, Kind, article
from .lowering import POISON
from .names import Entity, Names
from .plan import Value


def define_parts(program: ProgramContext, scope: ScopeContext, node: tree.Divide, names: Names[Value]) -> None:
    """Enter each part of a division under its name."""
    lowering = program.lowering
    rests = [part for part in node.parts if isinstance(part, tree.PartRest)]
    for extra in rests[1:]:
        lowering.error(
            "N228",
            "Only one part can take the rest",
            extra.span,
            "the rest once",
            "a second rest",
            f"Give this part a width of its own, or say by how much it differs: {extra.name} 2 cm more than {rests[0].name}",
            ((rests[0].head, "the rest is taken here"),),
        )
    differing = {str(part.name): part for part in node.parts if isinstance(part, tree.PartThan)}
    sharing = [part for part in differing.values() if rests and _differs_from(part, differing) == rests[0].name]
    stated = [part for part in node.parts if not isinstance(part, tree.PartRest) and part not in sharing]

    def left() -> Value:
        """What the stated parts leave; of a rest that is shared what each has alike."""
        whole = lower(scope, node.whole)
        values = [scope.quantity(part.name, part.name.span) for part in stated]
        for part, value in zip(stated, values, strict=True):
            if value.kind != whole.kind and UNKNOWN not in (value.kind, whole.kind):
                written = part.value if isinstance(part, tree.Part) else None
                return lowering.wrong_kind(value, article(whole.kind), (written or part).span)
        values += [_difference(scope, part, differing, whole.kind) for part in sharing]
        head = (rests[0] if rests else node).head
        rest = lowering.emit("rest", whole.kind, head, whole, *values, named=bool(rests))
        if not sharing or rest.kind is UNKNOWN:
            return rest
        return lowering.emit("divide", whole.kind, head, rest, lowering.constant(float(1 + len(sharing)), NUMBER, head))

    for part in node.parts:
        if isinstance(part, tree.PartThan):
            lowering.define(names, Entity(part.name, "part", part.span, partial(_than, scope, node, part)))
        elif isinstance(part, tree.Part) and part.value is not None:
            lowering.define(names, Entity(part.name, "part", part.span, partial(lower, scope, part.value)))
    if rests:
        lowering.define(names, Entity(rests[0].name, "part", rests[0].head, left))
    else:
        program.late.append(Late(node, scope, left))


def _differs_from(part: tree.PartThan, differing: dict[str, tree.PartThan]) -> str:
    """The part that is no such part itself, from which one differs in the end; empty where they differ from each other in a circle."""
    seen, base = {str(part.name)}, str(part.base)
    while base in differing:
        if base in seen:
            return ""
        seen.add(base)
        base = str(differing[base].base)
    return base


def _difference(scope: ScopeContext, part: tree.PartThan, differing: dict[str, tree.PartThan], kind: Kind) -> Value:
    """By how much a part has more than the rest that it shares."""
    amount = _amount(scope, part, kind)
    if part.relation == "less than":
        amount = scope.lowering.emit("negative", amount.kind, part.span, amount)
    further = differing.get(str(part.base))
    if further is None:
        return amount
    return scope.lowering.emit("add", kind, part.span, amount, _difference(scope, further, differing, kind))


def _than(scope: ScopeContext, node: tree.Divide, part: tree.PartThan) -> Value:
    """A part that is so much more or less than another, and not less than nothing."""
    lowering, others = scope.lowering, [str(other.name) for other in node.parts if other is not part]
    if part.base not in others:
        return lowering.unknown_name("part of this division", part.base, part.base.span, others)
    base = scope.quantity(part.base, part.base.span)
    if base.kind is UNKNOWN:
        return POISON
    amount = _amount(scope, part, base.kind)
    if part.relation == "less than":
        return lowering.emit("rest", base.kind, part.span, base, amount, named=True)
    return lowering.emit("add", base.kind, part.span, base, amount)


def _amount(scope: ScopeContext, part: tree.PartThan, kind: Kind) -> Value:
    amount = lower(scope, part.value)
    return amount if amount.kind in (kind, UNKNOWN) else scope.lowering.wrong_kind(amount, article(kind), part.value.span)
