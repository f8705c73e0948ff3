"""Drafting a style for a list of bodies.

`draft` is the whole stage: bodies that take the same course at every fork of the style are drafted together, in chunks that
keep memory flat.  A body whose sides differ is drafted by itself, as two bodies (`uneven`), and so is any where the style has
something for one side.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt

from ..geometry.arrays import Floats, Indices
from ..meaning.style import Style
from .courses import Draft, courses, draft_course
from .uneven import SidesOfBody, draft_uneven, is_one_sided

CHUNK = 2048  # bodies drafted at once: more cost memory and save little


def draft(
    style: Style,
    measures: Mapping[str, npt.ArrayLike],
    choices: Mapping[str, npt.ArrayLike] | None = None,
    unit: str = "cm",
    bodies: int | None = None,
    sides: Sequence[SidesOfBody] = (),
) -> list[Draft]:
    """Draft a style for N bodies: as many as `bodies` says, or else as the measures, or the choices, have figures.

    `measures` maps each measure the style needs to millimetres (N,) (radians for angles); `choices` maps some of its
    choices to one value or to (N,).  Choices not named take their defaults, those for inches where `unit` is one of them.  Drafts come in the order of their first
    body; together they hold every body once.  `sides` has for each body the measures whose two sides differ, if any does.  ValueError where they do not speak of one number of bodies.
    """
    of_bodies = {name: np.asarray(values, dtype=float) for name, values in measures.items()}
    chosen = {name: np.asarray(value, dtype=float) for name, value in (choices or {}).items()}
    counts = (len(values) for values in (*of_bodies.values(), *chosen.values()) if values.ndim)
    n = next(counts, 1) if bodies is None else bodies
    for name, values in (*of_bodies.items(), *chosen.items()):
        if values.shape != (n,) and not (values.ndim == 0 and name in chosen):
            raise ValueError(f'"{name}" has shape {values.shape}, which is not one figure for each of {n} bodies')
    chosen = {name: np.broadcast_to(value, (n,)) for name, value in chosen.items()}
    uneven = np.array([bool(sides and sides[body].keys() & of_bodies.keys()) for body in range(n)], dtype=bool)
    drafts = [
        draft_uneven(style, body, _alone(of_bodies, body), _sided(sides[body], of_bodies), _alone(chosen, body), unit)
        for body in np.flatnonzero(uneven).tolist()
        if sides
    ]
    even = np.flatnonzero(~uneven)
    for first in range(0, len(even), CHUNK):
        drafts += _draft_chunk(style, even[first : first + CHUNK], of_bodies, chosen, unit)
    return sorted(drafts, key=lambda drafted: int(drafted.index[0])) if uneven.any() else drafts


def _alone(table: Mapping[str, Floats], body: int) -> dict[str, Floats]:
    return {name: values[body : body + 1] for name, values in table.items()}


def _sided(sides: SidesOfBody, measures: Mapping[str, Floats]) -> SidesOfBody:
    return {name: of_sides for name, of_sides in sides.items() if name in measures}


def _draft_chunk(style: Style, index: Indices, measures: Mapping[str, Floats], choices: Mapping[str, Floats], unit: str) -> list[Draft]:
    drafts: list[Draft] = []
    for outcomes, bodies in courses(style, index, measures, choices, unit):
        plan, diagnostics = style.course(outcomes)
        if is_one_sided(plan):
            drafts += [draft_uneven(style, body, _alone(measures, body), {}, _alone(choices, body), unit) for body in bodies.tolist()]
        else:
            drafts += draft_course(plan, bodies, measures, choices, unit, diagnostics if outcomes else ())
    return sorted(drafts, key=lambda drafted: int(drafted.index[0]))
