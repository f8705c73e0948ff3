"""Moving, shortening and releasing darts: the ring (see `drafting.pivoting` for what it does to the cloth).

A dart is moved by a slash from a place of the outline to its point.  Of the two sides of the slash, the one without the
corner at which the piece stays is turned; which that is is known here, unless the dart and the place lie on one edge.
"""

from __future__ import annotations

from typing import Any

from ..syntax import tree
from .change import ChangeScope
from .drawn import Drawn
from .expressions import lower_length, lower_length_or_fraction
from .kinds import LENGTH
from .plan import Value
from .ring import Added, EdgeRing, Portion


def _amount(change: ChangeScope, by: Any) -> tuple[tuple[Value, ...], str]:
    """(inputs, how the amount is told) of a `by`: a part of the dart, or its width at the edge."""
    if by is None:
        return (), "part"
    amount = lower_length_or_fraction(change.scope, by.amount)
    return (amount,), "intake" if amount.kind == LENGTH else "part"


def _slashed(ring: EdgeRing, edge: str, added: Added) -> EdgeRing:
    """The ring with an edge slashed at the change's first stop, and what then stands there."""
    return ring.remade(edge, Portion(edge, until=0), added, Portion(edge, since=0))


def pivot(change: ChangeScope, drawn: Drawn, node: tree.Pivot) -> Drawn | None:
    if not (drawn.known_dart(node.dart) and drawn.known_edge(node.edge)):
        return None
    old, edge = str(node.dart), str(node.edge)
    called = str(node.called.name) if node.called is not None else old
    if (called in drawn.darts and called != old) or (node.by is not None and called == old):
        change.lowering.error(
            "N202",
            f'Two darts would be called "{called}"',
            node.head,
            "a name for the new dart",
            f'"{called}" twice',
            "Give the new dart a name of its own: , called shoulder_dart",
        )
        return None
    press = change.pressed(drawn, edge, node.pressed)
    if press is None:
        return None
    drawn.call(node.called)
    amount, by = _amount(change, node.by)
    ring = drawn.ring if node.by is not None else drawn.ring.without_dart(old)
    return drawn.change(
        "pivot",
        node.head,
        _slashed(ring.with_dart(called, edge), edge, Added("mouth", called)),
        drawn.place(change.scope, node.place, edge),
        *amount,
        dart=old,
        edge=edge,
        onward=drawn.ring.clear_onward(drawn.darts[old], edge, change.held(drawn)),
        by=by,
        press=press,
    )


def pivot_into(change: ChangeScope, drawn: Drawn, node: tree.PivotInto) -> Drawn | None:
    if not (drawn.known_dart(node.dart) and drawn.known_dart(node.other)):
        return None
    old, target = str(node.dart), str(node.other)
    if old == target:
        change.lowering.error(
            "N240",
            "A dart cannot be moved into itself",
            node.head,
            "two darts",
            f'"{old}" twice',
            "Name another dart, or a place: to EDGE at half.",
        )
        return None
    amount, by = _amount(change, node.by)
    return drawn.change(
        "pivot_into",
        node.head,
        drawn.ring if node.by is not None else drawn.ring.without_dart(old),
        *amount,
        dart=old,
        other=target,
        onward=drawn.ring.clear_onward(drawn.darts[old], drawn.darts[target], change.held(drawn)),
        by=by,
    )


def close(change: ChangeScope, drawn: Drawn, node: tree.Close) -> Drawn | None:
    if not (drawn.known_dart(node.dart) and drawn.known_edge(node.edge)):
        return None
    old, edge = str(node.dart), str(node.edge)
    amount, by = _amount(change, node.by)
    ring = drawn.ring if node.by is not None else drawn.ring.without_dart(old)
    return drawn.change(
        "pivot",
        node.head,
        _slashed(ring, edge, Added("gap")),
        drawn.place(change.scope, node.place, edge),
        *amount,
        dart=old,
        edge=edge,
        onward=drawn.ring.clear_onward(drawn.darts[old], edge, change.held(drawn)),
        by=by,
        press="near",
    ).having(touched={edge}, reshaped=True)


def shorten(change: ChangeScope, drawn: Drawn, node: tree.Shorten) -> Drawn | None:
    if not drawn.known_dart(node.dart):
        return None
    amount = lower_length(change.scope, node.amount)
    return drawn.change("shorten", node.head, drawn.ring, amount, dart=str(node.dart)).having(reshaped=True)


def press(change: ChangeScope, drawn: Drawn, node: tree.PressDart) -> Drawn | None:
    if not drawn.known_dart(node.dart):
        return None
    name = str(node.dart)
    end = drawn.end(drawn.darts[name], node.end)
    if end is None:
        return None
    near = end == "start"
    return drawn.change("press_dart", node.head, drawn.ring, dart=name, press="near" if near else "far", tuck=node.tuck is not None)


def press_each(change: ChangeScope, drawn: Drawn, node: tree.PressDarts) -> Drawn | None:
    name, ring = str(node.end), drawn.ring
    drawn.mention(node.end.parts[-1])
    for dart, edge in drawn.darts.items():
        before, after = ring.before(edge), ring.after(edge)
        at_start = name == before or ring.corners.get(name) == edge
        if at_start or name == after or ring.corners.get(name) == after:
            drawn = drawn.change(
                "press_dart", node.head, ring, dart=dart, press="near" if at_start else "far", tuck=node.tucks is not None
            )
    return drawn


def release(change: ChangeScope, drawn: Drawn, node: tree.Release) -> Drawn | None:
    if not drawn.known_dart(node.dart):
        return None
    name = str(node.dart)
    return drawn.change("release", node.head, drawn.ring.without_dart(name), dart=name).having(
        touched={drawn.darts[name]}, reshaped=True
    )
