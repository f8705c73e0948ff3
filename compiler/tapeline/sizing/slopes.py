"""How far each place of a draft moves for each unit of a measure: exact slopes of the plan, not differences of drafts.

The plan is run once more on duals (`geometry.dual`): every body once for each measure, each time varied in that measure
alone.  What the draft found by trials is not sought again.  Slopes are millimetres across and down for each millimetre of
a measure; of a measure that is an angle, for each degree.  They hold for small changes: `breaks` says how far.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ..drafting.assembly import assemble
from ..drafting.landmarks import distinct, landmarks
from ..drafting.ledgers import Ledgers, keep_ledgers
from ..drafting.pattern import Pattern
from ..drafting.run import CHUNK, Draft, Run, draft
from ..geometry.dual import Dual, plain, slope_of
from ..meaning.style import Style

NOTHING = 1e-6  # of a slope: smaller ones are rounding


@dataclass(slots=True, eq=False)
class Slopes:
    """The slopes of some bodies drafted together, n of them, for M measures; NaN where a body has no such place.

    A girth that does not rest on a measure has a slope of zero for it, like a place that does not move.
    """

    draft: Draft
    bodies: np.ndarray  # which of the drafted bodies they are (n,)
    measures: tuple[str, ...]
    angles: frozenset[str]  # of the measures, those told for each degree
    places: dict[tuple[str, str], np.ndarray]  # (piece, place) -> (n, M, 2)
    girths: dict[str, np.ndarray]  # level -> (n, M), as sewn
    seams: dict[tuple[str, str], np.ndarray]  # both sides as said -> (n, M, 2): the length of either side
    values: dict[str, np.ndarray]  # named quantities of the style -> (n, M); lengths, and angles in degrees

    @property
    def index(self) -> np.ndarray:
        """Which bodies of the call they are."""
        return self.draft.index[self.bodies]

    def of(self, piece: str, place: str, measure: str) -> np.ndarray:
        """(n, 2): across and down."""
        return self.places[piece, place][:, self.measures.index(measure)]


def slopes(
    style: Style, measures: dict[str, np.ndarray], choices: dict | None = None, unit: str = "cm", varied: Sequence[str] | None = None
) -> list[Slopes]:
    """The slopes for N bodies, grouped as `draft` groups them; `varied` names the measures, all of the style if not given."""
    return [slopes_of(one, style, varied) for one in draft(style, measures, choices, unit)]


def slopes_of(drafted: Draft, style: Style, varied: Sequence[str] | None = None, bodies: Sequence[int] | None = None) -> Slopes:
    """The slopes of bodies that are drafted already, of all or of those at `bodies`."""
    varied = style.needed if varied is None else tuple(varied)
    bodies = np.arange(len(drafted.index)) if bodies is None else np.asarray(bodies)
    n, step = len(bodies), max(1, CHUNK // len(bodies))
    runs = [
        _figures(drafted, np.tile(bodies, len(some)), {name: np.repeat([float(one == name) for one in some], n) for name in some})
        for some in (varied[k : k + step] for k in range(0, len(varied), step))
    ]
    angles = frozenset(name for name in varied if style.measurements[name].kind == "angle")
    units = np.array([math.radians(1.0) if name in angles else 1.0 for name in varied])

    def joined(room: int, key) -> np.ndarray:
        parts = [slope.reshape(-1, n, *slope.shape[1:]) for slope in (figures[room][key][1] for figures in runs)]
        every = np.moveaxis(np.concatenate(parts, axis=0), 0, 1)
        return every * units.reshape(1, -1, *(1,) * (every.ndim - 2))

    def table(room: int) -> dict:
        return {key: joined(room, key) for key in runs[0][room]} if runs else {}

    places = table(0)
    told = {key: places[key] for key in _told_once(runs, places, n)}
    return Slopes(drafted, bodies, varied, angles, told, *(table(k) for k in (1, 2, 3)))


def moving(drafted: Draft, index: np.ndarray, ways: dict[str, np.ndarray]) -> tuple[Pattern, Ledgers, Run]:
    """The drafted bodies at `index` (K,), drawn as duals: each measure named in `ways` changes by so much (K,) for a unit."""
    own = drafted.run
    run = Run(
        drafted.plan,
        len(index),
        {name: Dual(values[index], ways[name]) if name in ways else values[index] for name, values in own.measures.items()},
        {name: values[index] for name, values in own.choices.items()},
        own.unit,
    )
    run.quiet = True  # what is wrong has been said by the draft
    run.found = {step.out: own.filled[step.out][index] for step in drafted.plan.steps if step.operation == "solve"}
    run.carry_out(drafted.plan.steps)
    with np.errstate(all="ignore"):
        pattern = assemble(drafted.plan, run)
        return pattern, keep_ledgers(drafted.plan, pattern, run), run


def places_of(pattern: Pattern) -> Iterator[tuple[tuple[str, str], object]]:
    """((piece, place), where) of every named place of the pieces that are cut."""
    for piece in pattern.pieces:
        for name, place in landmarks(piece).items():
            yield (piece.name, name), place


def _figures(drafted: Draft, index, ways) -> tuple[dict, ...]:
    """Places, girths, seams and values of the bodies: (value, slope) of each."""
    pattern, ledgers, _ = moving(drafted, index, ways)
    seams = {(row.one, row.other): np.stack([row.length_one, row.length_other], axis=-1) for row in ledgers.seams}
    values = {}
    for name, slot in drafted.plan.values.items():
        if name in pattern.values and slot.kind.word in ("length", "angle"):
            values[name] = pattern.values[name] * (1.0 if slot.kind.word == "length" else math.degrees(1.0))
    return tuple(
        {key: _parted(figure) for key, figure in figures}
        for figures in (places_of(pattern), ((row.level, row.sewn) for row in ledgers.girths), seams.items(), values.items())
    )


def _parted(figure) -> tuple[np.ndarray, np.ndarray]:
    value = plain(figure)
    slope = np.broadcast_to(slope_of(figure), value.shape)
    return value, np.where(np.isfinite(value), np.where(np.abs(slope) < NOTHING, 0.0, slope), np.nan)


def _told_once(runs, slopes: dict, n: int) -> list:
    """The places of which no other lies there and moves alike, for every body."""
    kept = []
    for piece in dict.fromkeys(piece for piece, _ in slopes):
        told = {
            name: np.concatenate([runs[0][0][key][0][:n], slopes[key].reshape(n, -1)], axis=1)
            for key in slopes
            if key[0] == piece
            for name in key[1:]
        }
        kept += [(piece, name) for name in distinct(told)]
    return kept
