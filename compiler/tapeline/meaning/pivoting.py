"""Moving, shortening and releasing darts: the names (see `drafting.pivoting` for what it does to the cloth)."""

from __future__ import annotations

from ..syntax import tree
from .change import Change
from .drawn import Drawn
from .expressions import lower_length, lower_length_or_fraction
from .kinds import LENGTH, SHAPE


def _amount(change: Change, by):
    """(inputs, how the amount is told) of a `by`: a part of the dart, or its width at the edge."""
    if by is None:
        return (), "part"
    amount = lower_length_or_fraction(change.scope, by.amount)
    return (amount,), "intake" if amount.kind == LENGTH else "part"


def pivot(change: Change, drawn: Drawn, node: tree.Pivot) -> Drawn | None:
    if not (drawn.known_dart(node.dart) and drawn.known_edge(node.edge)):
        return None
    old, edge = str(node.dart), str(node.edge)
    called = str(node.called.name) if node.called is not None else old
    if (called in drawn.darts and called != old) or (node.by is not None and called == old):
        return (
            change.bench.error(
                "N202",
                f'Two darts would be called "{called}"',
                node.head,
                "a name for the new dart",
                f'"{called}" twice',
                "Give the new dart a name of its own: , called shoulder_dart",
            )
            and None
        )
    press = "near"
    if node.pressed is not None:
        end = drawn.end(edge, node.pressed.end)
        if end is None:
            return None
        press = "near" if end == "start" else "far"
    amount, by = _amount(change, node.by)
    shape = drawn.emit(
        "pivot",
        SHAPE,
        node.head,
        drawn.place(change.scope, node.place, edge),
        *amount,
        dart=old,
        edge=edge,
        called=called,
        stays=change.held(drawn),
        by=by,
        press=press,
        flare=False,
    )
    darts = {name: at for name, at in drawn.darts.items() if name != old or node.by is not None}
    return drawn.changed(shape, darts={**darts, called: edge})


def pivot_into(change: Change, drawn: Drawn, node: tree.PivotInto) -> Drawn | None:
    if not (drawn.known_dart(node.dart) and drawn.known_dart(node.other)):
        return None
    old, other = str(node.dart), str(node.other)
    if old == other:
        return (
            change.bench.error(
                "N207",
                "A dart cannot be moved into itself",
                node.head,
                "two darts",
                f'"{old}" twice',
                "Name another dart, or a place: to EDGE at half.",
            )
            and None
        )
    amount, by = _amount(change, node.by)
    shape = drawn.emit("pivot_into", SHAPE, node.head, *amount, dart=old, other=other, stays=change.held(drawn), by=by)
    return drawn.changed(shape, darts={name: at for name, at in drawn.darts.items() if name != old or node.by is not None})


def close(change: Change, drawn: Drawn, node: tree.Close) -> Drawn | None:
    if not (drawn.known_dart(node.dart) and drawn.known_edge(node.edge)):
        return None
    old, edge = str(node.dart), str(node.edge)
    amount, by = _amount(change, node.by)
    shape = drawn.emit(
        "pivot",
        SHAPE,
        node.head,
        drawn.place(change.scope, node.place, edge),
        *amount,
        dart=old,
        edge=edge,
        called="",
        stays=change.held(drawn),
        by=by,
        press="near",
        flare=True,
    )
    darts = {name: at for name, at in drawn.darts.items() if name != old or node.by is not None}
    return drawn.changed(shape, darts=darts, touched=drawn.touched | {edge}, reshaped=True)


def shorten(change: Change, drawn: Drawn, node: tree.Shorten) -> Drawn | None:
    if not drawn.known_dart(node.dart):
        return None
    amount = lower_length(change.scope, node.amount)
    return drawn.changed(drawn.emit("shorten", SHAPE, node.head, amount, dart=str(node.dart)), reshaped=True)


def release(change: Change, drawn: Drawn, node: tree.Release) -> Drawn | None:
    if not drawn.known_dart(node.dart):
        return None
    name = str(node.dart)
    shape = drawn.emit("release", SHAPE, node.head, dart=name)
    darts = {dart: edge for dart, edge in drawn.darts.items() if dart != name}
    return drawn.changed(shape, darts=darts, touched=drawn.touched | {drawn.darts[name]}, reshaped=True)
