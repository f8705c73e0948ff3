"""A draft as it was constructed, rule by rule: what each rule of a piece drew, in the order in which it could be drawn.

The steps of the plan that a piece rests on are gone through in their order, those of one rule together.  A stage holds what its rule
adds, points and lines; a change of the piece gives its whole outline, and what was drawn before it is seen no more.  Coordinates are
the piece's own, mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

import numpy as np

from ..drafting.guides import path_of
from ..drafting.operations import OPERATIONS
from ..drafting.pattern import Edge
from ..drafting.shapes import Shape
from ..geometry.path import Path
from ..making.drafts import BodyDraft
from ..meaning.kinds import EDGE, PATH, POINT, SHAPE, Kind
from ..meaning.plan import Step, needed_steps
from ..paper.drawing.model import Commands, trace
from ..source.text import Span
from ..why.lines import figures_by_line

OUTLINE = "outline"
DRAWN = {POINT: "point", PATH: "line", EDGE: "edge", SHAPE: OUTLINE}


class DrawnPart(NamedTuple):
    """A point (at the end of `commands`, one move), or a line."""

    sort: str  # point, line, edge, outline
    name: str
    commands: Commands


class Stage(NamedTuple):
    """One rule of a piece: the line that it stands on, its sums on this body, and what it draws; where it `clears`, that alone is left."""

    rule: Span
    words: str
    sums: tuple[str, ...]
    parts: tuple[DrawnPart, ...]
    clears: bool


def stages_of(draft: BodyDraft, piece: str) -> list[Stage]:
    """The construction of one piece or foundation of the style.  KeyError where there is none of this name."""
    plan, filled = draft.draft.plan, draft.draft.run.filled
    planned = {one.name: one for one in plan.pieces}[piece]
    sums = figures_by_line(draft.reasons().book)
    names = {name.slot: name.name for name in plan.names if name.sort in ("point", "edge")}
    names |= {slot: name for name, slot in (*planned.points.items(), *planned.edges)}
    stages = []
    for span, steps in _by_rule(needed_steps(plan.steps, [*planned.points.values(), *(slot for _, slot in planned.edges)])):
        parts: list[DrawnPart] = []
        clears = False
        for step in steps:
            sort = _sort(step)
            if sort and step.out in filled:
                parts, clears = ([], True) if sort == OUTLINE else (parts, clears)
                parts += _parts(filled[step.out], sort, names.get(step.out, ""), draft.place)
        if parts:
            place = span.source, span.line
            stages.append(Stage(span, " ".join(span.source.line(span.line).split()), sums.get(place, ()), tuple(parts), clears))
    return stages


def _sort(step: Step) -> str:
    """What a step draws, if anything."""
    gives = OPERATIONS[step.operation].gives
    return DRAWN.get(gives, "") if isinstance(gives, Kind) else ""


def _by_rule(steps: Iterable[Step]) -> Iterator[tuple[Span, list[Step]]]:
    """Steps that follow each other from one statement."""
    group: list[Step] = []
    for step in steps:
        if group and (step.span.source, step.span.line) != (group[0].span.source, group[0].span.line):
            yield group[0].span, group
            group = []
        group.append(step)
    if group:
        yield group[0].span, group


def _parts(value: Any, sort: str, name: str, index: int) -> Iterator[DrawnPart]:
    if sort == "point":
        x, y = (float(part) for part in np.asarray(value)[index])
        if np.isfinite([x, y]).all():
            yield DrawnPart(sort, name, (("M", x, y),))
    elif isinstance(value, Shape):
        for edge in value.edges:
            yield from _line(edge.trued_path(), OUTLINE, edge.name, index)
    elif isinstance(value, Edge):
        yield from _line(value.trued_path(), sort, name or value.name, index)
    else:
        yield from _line(path_of(value), sort, name, index)


def _line(path: Path, sort: str, name: str, index: int) -> Iterator[DrawnPart]:
    ends = np.stack([path.start()[index], path.end()[index]])
    if np.isfinite(ends).all():
        commands = trace(path, index)
        if commands:
            yield DrawnPart(sort, name, commands)
