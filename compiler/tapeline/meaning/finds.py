"""`find x between a and b so that E is T`: steps rearranged so that x is solved for where it is first needed.

While a style is lowered, x is a slot that any rule may read.  Afterwards the steps that lead from x to E and T (its
cone) are gathered into one `solve` step, which runs them for trial values; every later step then reads the solved x.
Where two finds rest on each other, the one said first is solved anew inside every trial of the other.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from ..source.text import Span
from .plan import Step


class Find(NamedTuple):
    name: str
    slot: int
    value: int
    target: int
    kinds: tuple[str, str]  # of x, and of what is measured
    span: Span


def arrange(steps: list[Step], finds: list[Find]) -> list[Step]:
    """The steps in running order, each find gathered into a solve step."""
    rest = {step.out: step for step in steps}
    rank = {step.out: index for index, step in enumerate(steps)}
    for find in finds:
        cone = _cone(find, rest, rank)
        inside = {step.out for step in cone}
        outer = {slot for step in cone for slot in step.inputs} | {find.value, find.target}
        read = sorted(slot for slot in outer if slot not in inside and slot != find.slot)
        low, high = rest[find.slot].inputs
        options = {
            "name": find.name,
            "cone": tuple(cone),
            "slot": find.slot,
            "value": find.value,
            "target": find.target,
            "outer_slots": tuple(read),
            "kinds": find.kinds,
        }
        rest[find.slot] = Step(find.slot, "solve", (low, high, *read), options, rest[find.slot].span)
    return in_running_order(rest, rank)


def _cone(find: Find, rest: Mapping[int, Step], rank: Mapping[int, int]) -> list[Step]:
    """The steps on the way from x to the value and the target, in order."""
    touched = {find.slot}
    behind, stack = set(), [find.value, find.target]
    while stack:
        slot = stack.pop()
        if slot in behind:
            continue
        behind.add(slot)
        stack.extend(rest[slot].inputs if slot != find.slot else ())
    changed = True
    while changed:  # a solve step may read slots of a later rank, so one pass is not enough
        changed = False
        for slot in sorted(behind - touched, key=rank.__getitem__):
            if any(read in touched for read in rest[slot].inputs):
                touched.add(slot)
                changed = True
    cone = {slot: rest[slot] for slot in touched & behind if slot != find.slot}
    return in_running_order(cone, rank)


def in_running_order(rest: Mapping[int, Step], rank: Mapping[int, int]) -> list[Step]:
    """Every step after those it reads, otherwise in the order of their rank."""
    ordered = sorted(rest, key=rank.__getitem__)
    done: dict[int, Step] = {}
    for slot in ordered:  # as nearly always, they are in order already
        if any(read in rest and read not in done for read in rest[slot].inputs):
            break
        done[slot] = rest[slot]
    for first in ordered[len(done) :]:
        stack = [first]
        while stack:
            slot = stack[-1]
            if slot in done or slot not in rest:
                stack.pop()
                continue
            waiting = [read for read in rest[slot].inputs if read in rest and read not in done]
            if waiting:
                stack.extend(reversed(waiting))
            else:
                done[slot] = rest[slot]
                stack.pop()
    return list(done.values())
