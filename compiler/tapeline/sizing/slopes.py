"""How far each place of a draft moves for each unit of a measure: exact slopes of the plan, not differences of drafts.

The plan is run once more on duals (`geometry.dual`): every body once for each measure, each time varied in that measure
alone.  What the draft found by trials is not sought again.  Slopes are millimetres across and down for each millimetre of
a measure; of a measure that is an angle, for each degree.  They hold for small changes: `breaks` says how far.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias, TypeVar

import numpy as np
import numpy.typing as npt

from ..drafting.assembly import assemble
from ..drafting.courses import Draft
from ..drafting.landmarks import distinct, landmarks
from ..drafting.ledgers import Ledgers, keep_ledgers
from ..drafting.pattern import Pattern
from ..drafting.run import CHUNK, draft
from ..drafting.steps import Run
from ..geometry.arrays import Floats, Indices
from ..geometry.dual import Dual, plain, slope_of
from ..meaning.plan import needed_steps
from ..meaning.style import Style

NOTHING = 1e-6  # of a slope: smaller ones are rounding

Place: TypeAlias = tuple[str, str]  # piece, place
Sloped: TypeAlias = tuple[Floats, Floats]  # values and their slopes
K = TypeVar("K")


@dataclass(slots=True, eq=False)
class Slopes:
    """The slopes of some bodies drafted together, n of them, for M measures; NaN where a body has no such place.

    A girth that does not rest on a measure has a slope of zero for it, like a place that does not move.
    """

    draft: Draft
    bodies: Indices  # which of the drafted bodies they are (n,)
    measures: tuple[str, ...]
    angles: frozenset[str]  # of the measures, those told for each degree
    places: dict[tuple[str, str], Floats]  # (piece, place) -> (n, M, 2)
    girths: dict[str, Floats]  # level -> (n, M), as sewn
    seams: dict[tuple[str, str], Floats]  # both sides as said -> (n, M, 2): the length of either side
    values: dict[str, Floats]  # named quantities of the style -> (n, M); lengths, and angles in degrees
    names: dict[tuple[str, str], Floats]  # as `places`, under every name that a place has
    levels: dict[tuple[str, str], Floats]  # (piece, level) -> (n, M): down, where it runs straight across the piece

    @property
    def index(self) -> Indices:
        """Which bodies of the call they are."""
        index: Indices = self.draft.index[self.bodies]
        return index

    def of(self, piece: str, place: str, measure: str) -> Floats:
        """(n, 2): across and down."""
        slopes: Floats = self.places[piece, place][:, self.measures.index(measure)]
        return slopes


def slopes(
    style: Style,
    measures: dict[str, Floats],
    choices: Mapping[str, npt.ArrayLike] | None = None,
    unit: str = "cm",
    varied: Sequence[str] | None = None,
) -> list[Slopes]:
    """The slopes for N bodies, grouped as `draft` groups them; `varied` names the measures, all of the style if not given."""
    return [slopes_of(drafted, style, varied) for drafted in draft(style, measures, choices, unit)]


def slopes_of(drafted: Draft, style: Style, varied: Sequence[str] | None = None, bodies: Sequence[int] | None = None) -> Slopes:
    """The slopes of bodies that are drafted already, of all or of those at `bodies`."""
    varied = style.needed if varied is None else tuple(varied)
    which: Indices = np.arange(len(drafted.index)) if bodies is None else np.asarray(bodies)
    n, step = len(which), max(1, CHUNK // len(which))
    runs = [
        _figures(drafted, np.tile(which, len(some)), {name: np.repeat([float(moved == name) for moved in some], n) for name in some})
        for some in (varied[k : k + step] for k in range(0, len(varied), step))
    ]
    angles = frozenset(name for name in varied if is_angle(style, name))
    units = np.array([math.radians(1.0) if name in angles else 1.0 for name in varied])

    def table(tables: list[dict[K, Sloped]]) -> dict[K, Floats]:
        return {key: joined([sloped[key][1] for sloped in tables]) for key in tables[0]} if tables else {}

    def joined(slopes: list[Floats]) -> Floats:
        every = np.moveaxis(np.concatenate([slope.reshape(-1, n, *slope.shape[1:]) for slope in slopes], axis=0), 0, 1)
        scaled: Floats = every * units.reshape(1, -1, *(1,) * (every.ndim - 2))
        return scaled

    places = table([run.places for run in runs])
    distinct_slopes = {key: places[key] for key in _distinct_places(runs, places, n)}
    girths, seams, values = table([run.girths for run in runs]), table([run.seams for run in runs]), table([run.values for run in runs])
    levels = table([run.levels for run in runs])
    return Slopes(drafted, which, varied, angles, distinct_slopes, girths, seams, values, places, levels)


def is_angle(style: Style, measure: str) -> bool:
    """Whether a measure of the style, or of one side of an uneven body, is an angle."""
    return style.measurements[measure.rpartition(" ")[2]].kind == "angle"


def moving(drafted: Draft, index: Indices, ways: dict[str, Floats]) -> tuple[Pattern, Ledgers, Run]:
    """The drafted bodies at `index` (K,), drawn as duals: each measure named in `ways` changes by so much (K,) for a unit."""
    run = run_moving(drafted, index, ways)
    with np.errstate(all="ignore"):
        pattern = assemble(drafted.plan, run)
        return pattern, keep_ledgers(drafted.plan, pattern, run), run


def run_moving(
    drafted: Draft,
    index: Indices,
    measures: Mapping[str, Floats],
    choices: Mapping[str, Floats] | None = None,
    slots: Sequence[int] | None = None,
) -> Run:
    """The steps behind some slots, or all, of the drafted bodies at `index` (K,), on duals: each measure and choice named changes by so
    much (K,) for a unit."""
    own, plan = drafted.run, drafted.plan
    chosen: dict[str, Floats] = {name: values[index] for name, values in own.choices.items()}
    for name, way in (choices or {}).items():
        chosen[name] = Dual(own.filled[plan.choices[name].slot][index], way)
    run = Run(
        plan,
        len(index),
        {name: Dual(values[index], measures[name]) if name in measures else values[index] for name, values in own.measures.items()},
        chosen,
        own.unit,
    )
    run.quiet = True  # what is wrong has been said by the draft
    run.solved = {step.out: own.filled[step.out][index] for step in plan.steps if step.operation == "solve"}
    run.carry_out(plan.steps if slots is None else needed_steps(plan.steps, slots))
    return run


def places_of(pattern: Pattern) -> Iterator[tuple[Place, Floats]]:
    """((piece, place), where) of every named place of the pieces that are cut."""
    for piece in pattern.pieces:
        for name, place in landmarks(piece).items():
            yield (piece.name, name), place


@dataclass(slots=True, eq=False)
class _Figures:
    """What bodies that are drawn as duals come to: of everything its values and their slopes."""

    places: dict[Place, Sloped]
    girths: dict[str, Sloped]
    seams: dict[tuple[str, str], Sloped]
    values: dict[str, Sloped]
    levels: dict[Place, Sloped]


def _figures(drafted: Draft, index: Indices, ways: dict[str, Floats]) -> _Figures:
    pattern, ledgers, _ = moving(drafted, index, ways)
    units = {"length": 1.0, "angle": math.degrees(1.0)}
    return _Figures(
        {key: _parted(place) for key, place in places_of(pattern)},
        {row.level: _parted(row.sewn) for row in ledgers.girths},
        {(row.one, row.other): _parted(np.stack([row.length_one, row.length_other], axis=-1)) for row in ledgers.seams},
        {
            name: _parted(pattern.values[name] * units[slot.kind.word])
            for name, slot in drafted.plan.values.items()
            if name in pattern.values and slot.kind.word in units
        },
        {(piece.name, level): _parted(y) for piece in pattern.pieces for level, y in piece.levels.items()},
    )


def _parted(figure: Floats) -> Sloped:
    value = plain(figure)
    slope = np.broadcast_to(slope_of(figure), value.shape)
    return value, np.where(np.isfinite(value), np.where(np.abs(slope) < NOTHING, 0.0, slope), np.nan)


def _distinct_places(runs: list[_Figures], slopes: dict[Place, Floats], n: int) -> list[Place]:
    """The places of which no other lies there and moves alike, for every body."""
    places: list[Place] = []
    for piece in dict.fromkeys(piece for piece, _ in slopes):
        lie_and_move = {
            place: np.concatenate([runs[0].places[piece, place][0][:n], slopes[piece, place].reshape(n, -1)], axis=1)
            for of_piece, place in slopes
            if of_piece == piece
        }
        places += [(piece, place) for place in distinct(lie_and_move)]
    return places
