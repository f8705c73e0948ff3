"""How the places of a piece move from size to size, seen from the place on which the sizes are stacked.

A stack lays every size of a piece on one point, or on a line: then one place lies on another and a second in the same
direction as at the base.  Where nothing is asked, a piece is stacked as a grader does: the centre line on the centre line
at the bust, the hip or the waist, whichever level the piece has first, else at the end of the centre line that is at the waist or
is the upper one; a piece without a plumb edge on its first corner.  Common practice.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ..finishing.finished import FinishedPiece
from ..geometry.arrays import Floats
from ..source.diagnostics import Diagnostic
from ..source.suggest import did_you_mean
from ..source.text import Source, Span
from .run import SizeRun

LEVELS = ("bust", "hip", "underbust", "waist")  # on which a piece is stacked, the first that it has
PLUMB = 0.01  # mm that a plumb edge may lean
NOTHING = 0.05  # mm; a smaller increment is shown as none
ALIKE = 0.1  # mm, the last figure that is shown; increments that differ by less are even
EVEN, UNEVEN, STILL, WITH, PARTLY = "even", "uneven", "still", "even with {girth}", "not at every size"


class Stack(NamedTuple):
    """What a piece's sizes are laid on: `origin` (S, 2), and the turn (S,) in radians of each size about it."""

    words: str
    origin: Floats
    turn: Floats

    def laid(self, points: Floats) -> Floats:
        """Points (S, ..., 2) of the piece, one row a size, as they lie in the stack."""
        more = (1,) * (points.ndim - 2)
        off = points - self.origin.reshape(-1, *more, 2)
        c, s = (f(self.turn).reshape(-1, *more) for f in (np.cos, np.sin))
        return np.stack([off[..., 0] * c - off[..., 1] * s, off[..., 0] * s + off[..., 1] * c], axis=-1)


class Growth(NamedTuple):
    """One place over the sizes: as it lies in the stack, and in the piece's own axes (S, 2)."""

    place: str
    laid: Floats
    own: Floats
    word: str  # whether its increments are alike

    @property
    def increments(self) -> Floats:
        """(S - 1, 2) across and down, from each size to the next."""
        return np.diff(self.laid, axis=0)


def growth_of(run: SizeRun, piece: str, stack: Stack) -> list[Growth]:
    """Every named place of a piece, in order round its outline."""
    lead = np.diff(run.values(run.leading)) if run.leading else None
    girths = _alike(run, lead)
    rows = []
    for name, own in run.places(piece).items():
        laid = stack.laid(own)
        rows.append(Growth(name, laid, own, _evenness(np.diff(laid, axis=0), lead, girths)))
    return rows


def _alike(run: SizeRun, lead: Floats | None) -> str:
    """The leading girth; or all girths, where others have increments in proportion to its own."""
    if lead is None or not len(lead) or np.abs(lead).min() <= NOTHING:
        return run.leading
    others = [
        np.diff(run.values(name)) / lead
        for name in run.measures
        if name != run.leading and run.style.measurements[name].kind == "girth"
    ]
    return "the girths" if any(np.ptp(ratio) < 1e-6 and abs(ratio[0]) > 1e-6 for ratio in others) else run.leading


def _evenness(increments: Floats, lead: Floats | None, girth: str) -> str:
    """Whether increments (S - 1, 2) are all alike, or in proportion to the increments of the leading girth."""
    if not np.isfinite(increments).all():
        return PARTLY
    if not len(increments) or np.abs(increments).max() < NOTHING:
        return STILL
    if np.ptp(increments, axis=0).max() < ALIKE:
        return EVEN
    if lead is not None and np.abs(lead).min() > NOTHING:
        per = (increments / lead[:, None]).mean(axis=0)
        if np.abs(increments - lead[:, None] * per).max() < ALIKE:
            return WITH.format(girth=girth)
    return UNEVEN


# ------------------------------------------------------------------------------------------------ stacking


def stacks_of(run: SizeRun, requested: Sequence[str] = ()) -> tuple[dict[str, Stack], list[Diagnostic]]:
    """The stack of each piece, by what is asked: PLACE, PIECE.PLACE, or `PLACE to PLACE`.  C106 for a place that is not there."""
    stacks: dict[str, Stack] = {}
    diagnostics: list[Diagnostic] = []
    for words in requested:
        parts = [part.strip() for part in re.split(r"\s+to\s+", words.strip())]
        matching = [piece for piece in run.pieces if all(_splits(run, piece, part) for part in parts)]
        made = {piece: stack for piece in matching if (stack := _stack_at(run, piece, parts)) is not None}
        if not made or len(parts) > 2:
            diagnostics.append(_no_place(run, words, parts))
        stacks |= made
    return {piece: stacks.get(piece) or usual_stack(run, piece) for piece in run.pieces}, diagnostics


def _splits(run: SizeRun, piece: str, part: str) -> str:
    """The place of a piece that a part of what was asked may mean; empty where it speaks of another piece."""
    before, dot, after = part.partition(".")
    return after if dot and before == piece else "" if dot and before in run.pieces else part


def _stack_at(run: SizeRun, piece: str, parts: Sequence[str]) -> Stack | None:
    requested = [_place(run, piece, _splits(run, piece, part)) for part in parts[:2]]
    places = [place for place in requested if place is not None and np.isfinite(place).all()]
    if len(places) < len(requested):
        return None
    if len(places) == 1:
        return Stack(parts[0], places[0], np.zeros(len(run.sizes)))
    way = places[1] - places[0]
    if np.hypot(*way.T).min() < NOTHING:
        return None
    angle = np.arctan2(way[:, 1], way[:, 0])
    return Stack(f"{parts[0]} to {parts[1]}", places[0], angle[run.base] - angle)


def _place(run: SizeRun, piece: str, name: str) -> Floats | None:
    """A named place (S, 2), or where the centre line meets a level of that name."""
    places = run.all_places(piece)
    if name in places:
        return places[name]
    level, line = run.levels(piece).get(name), _centre_line(run, piece)
    return None if level is None or line is None else np.stack([line[1], level], axis=-1)


def _no_place(run: SizeRun, words: str, parts: Sequence[str]) -> Diagnostic:
    known = list(dict.fromkeys(name for piece in run.pieces for name in [*run.places(piece), *run.levels(piece)]))
    wrong = next((part for part in parts if part.rpartition(".")[2] not in known), parts[-1])
    shown = f"{', '.join(known[:12])}{', ...' if len(known) > 12 else ''}"
    return Diagnostic(
        "C106",
        "No piece has such a place at every size",
        Span(Source("--together-at", words), 0, len(words)),
        f"a place, piece.place, or a line from place to place; places are {shown}",
        words or "nothing",
        did_you_mean(wrong.rpartition(".")[2][:60], known),
    )


def usual_stack(run: SizeRun, piece: str) -> Stack:
    """Centre line and level, where the piece has them; else its first corner that every size has."""
    still = np.zeros(len(run.sizes))
    line, levels = _centre_line(run, piece), run.levels(piece)
    if line is not None:
        edge, x = line
        for level in LEVELS:
            if level in levels and np.isfinite(levels[level][np.isfinite(x)]).all():
                return Stack(f"{edge} at {level}", np.stack([x, levels[level]], axis=-1), still)
    places = run.all_places(piece)
    has = np.any([np.isfinite(place[:, 0]) for place in places.values()], axis=0)
    corners = [name for name in places if "/" in name and (line is None or line[0] in name.split("/"))] or list(places)
    if line is not None:  # of the two ends of the centre line the one at the waist, else the upper one
        corners.sort(key=lambda name: ("waist" not in name.split("/"), np.nanmean(places[name][:, 1])))
    name = next((corner for corner in corners if np.isfinite(places[corner][has]).all()), corners[0])
    aliases = (alias for alias, place in run.places(piece).items() if np.allclose(place, places[name], atol=1e-4, equal_nan=True))
    return Stack(next(aliases, name), places[name], still)


def _centre_line(run: SizeRun, piece: str) -> tuple[str, Floats] | None:
    """The plumb edge that is nearest to the centre, and its x (S,): the fold, one called centre, or any other."""
    first = run.representative(piece).piece

    def plumb(finished: FinishedPiece) -> dict[str, Floats]:
        lines = {}
        for edge in finished.piece.edges:
            x = np.concatenate([strip.flatten()[..., 0] for strip in edge.strips], axis=1)
            lines[edge.name] = np.where(np.ptp(x, axis=1) < PLUMB, x[:, 0], np.nan)
        return lines

    lines = {name: x for name, x in run.gathered(piece, plumb).items() if np.isfinite(x).any()}
    whole = max((int(np.isfinite(x).sum()) for x in lines.values()), default=0)
    lines = {name: x for name, x in lines.items() if np.isfinite(x).sum() == whole}
    if not lines:
        return None
    rank = sorted(lines, key=lambda name: (name != first.cut.fold, not name.startswith("centre"), np.nanmean(np.abs(lines[name]))))
    return rank[0], lines[rank[0]]
