"""Darts within a piece, with a point at either end: taken out at their middle, tapering to nothing above and below.

Such a dart is four points of the piece, named after it: `NAME_upper`, `NAME_lower`, and its two sides `NAME_near` and
`NAME_far`, half the intake to either side of its middle, square to the line between its points.  Being points, they are
carried by every change that carries cloth.
"""

from __future__ import annotations

from functools import partial
from typing import NamedTuple, Protocol

from ..source.text import Span
from ..syntax import tree
from .contexts import DrawingContext, ScopeContext
from .expressions import lower_length
from .kinds import LENGTH, POINT
from .lowering import POISON
from .made_names import stem
from .names import Entity
from .plan import Value

CORNERS = ("upper", "near", "lower", "far")


class InnerDartRule(NamedTuple):
    """A double-pointed dart of a piece: where it was said, and its intake."""

    name: str
    span: Span
    intake: Entity[Value]

    def point_names(self) -> list[str]:
        return [f"{self.name}_{corner}" for corner in CORNERS]

    def called(self, name: str) -> InnerDartRule:
        return self._replace(name=name)


class InnerDarted(DrawingContext, Protocol):
    """A piece that can have darts within it."""

    inner_darts: dict[str, InnerDartRule]


def gather(drawing: InnerDarted, node: tree.DartInside, scope: ScopeContext) -> None:
    """Enter the dart's points under their names."""
    lowering = drawing.lowering
    name = str(node.called.name) if node.called is not None else "dart"
    rows: dict[str, tree.Node] = {}
    for row in node.rows:
        form = "intake" if isinstance(row, tree.InnerIntake) else "points"
        if form in rows:
            lowering.error(
                "N228",
                "This dart is told the same thing twice",
                row.span,
                "each once",
                "a second",
                "Keep one of the two.",
                ((rows[form].span, "first said here"),),
            )
        rows.setdefault(form, row)
    for form, wanted in (("intake", "intake 2 cm"), ("points", "points 12 cm above it, 14 cm below it")):
        if form not in rows and not lowering.is_damaged(node.head):
            lowering.error("N243", f"The dart has no {form}", node.head, f"a row: {form} ...", "none", f"Add for example: {wanted}")

    def intake() -> Value:
        row = rows.get("intake")
        if not isinstance(row, tree.InnerIntake):
            return POISON
        return lowering.emit("positive", LENGTH, row.span, lower_length(scope, row.amount), what=f"intake of {drawing.name}.{name}")

    amount = Entity(f"intake of {name}", "dart", node.head, intake)

    def end(which: str) -> Value:
        row = rows.get("points")
        if isinstance(row, tree.InnerPoints):
            return scope.point(row.one if which == "upper" else row.other)
        if not isinstance(row, tree.InnerPlumb):
            return POISON
        length = lower_length(scope, row.above if which == "upper" else row.below)
        length = lowering.emit("positive", LENGTH, row.span, length, what=f"length of {drawing.name}.{name}")
        return lowering.emit("shift", POINT, row.span, scope.point(node.place), length, dx=0.0, dy=-1.0 if which == "upper" else 1.0)

    def side(sign: float) -> Value:
        ends = [lowering.demand(drawing.points.entity(f"{name}_{which}")) for which in ("upper", "lower")]
        return lowering.emit("inner_side", POINT, node.head, scope.point(node.place), *ends, lowering.demand(amount), sign=sign)

    stems = () if node.called is None else stem(node.called.name)
    for which in ("upper", "lower"):
        drawing.define_point(f"{name}_{which}", node.head, partial(end, which), stems)
    for which, sign in (("near", -1.0), ("far", 1.0)):
        drawing.define_point(f"{name}_{which}", node.head, partial(side, sign), stems)
    drawing.note_dart(node.called.name if node.called is not None else name, node.head)
    drawing.inner_darts[name] = InnerDartRule(name, node.head, amount)
