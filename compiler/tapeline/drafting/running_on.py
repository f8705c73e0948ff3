"""An edge drawn fair across a seam, so that it runs on from the piece that is sewn beside it.

What the two corners at the end of a seam lack of half a turn is shared: each edge leaves the seam by half of it more.  The
edge keeps both its ends and all of it but the third next to the seam, which is drawn again as one curve from its old line and
direction to its new one; so the seam keeps its length, the far end its direction, and the edge nearly its length.  Darts are
folded first: the sewn edge is drawn afresh, and cut where their legs lie, so that a foot only moves along its leg and both
legs stay alike.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np

from ..geometry import meet
from ..geometry.arrays import Floats
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import distance, unit
from ..geometry.segments import Line
from ..meaning.kinds import EDGE, NUMBER
from .darts import true_end
from .guides import ending
from .measuring import corner_of
from .operations import operation
from .pattern import Dart, Edge
from .steps import Run

At = Literal["start", "end"]


@operation(takes=(EDGE, EDGE, NUMBER, EDGE, EDGE, NUMBER), gives=EDGE)
def run_on(
    run: Run, edge: Edge, seam: Edge, turn: Floats, other: Edge, other_seam: Edge, other_turn: Floats, *, at: At, other_at: At
) -> Edge:
    """The edge drawn fair at one end, where the seam of its piece ends, to run on as the other does beside its own."""
    own, far = _corner(edge, seam, turn, at), _corner(other, other_seam, other_turn, other_at)
    wider = (np.pi - own - far) / 2.0  # of the corner
    pleats = [dart for dart in edge.darts if dart.kind == "pleat"]
    if pleats:
        run.fail(
            True,
            "D521",
            f"{edge.name} has pleats, so it cannot be drawn fair across a seam",
            expected="an edge with darts or without",
            found=", ".join(dart.name for dart in pleats),
            suggestion="True it before the pleats are laid: in the piece that this one is made from.",
        )
        return edge
    if at == "start":
        return _redrawn(run, edge.reversed(), -wider * turn).reversed()
    return _redrawn(run, edge, wider * turn)


def _corner(edge: Edge, seam: Edge, turn: Floats, at: At) -> Floats:
    return corner_of(seam, edge, turn) if at == "start" else corner_of(edge, seam, turn)


def _redrawn(run: Run, edge: Edge, angle: Floats) -> Edge:
    """The edge with its end turned by an angle (N,), and drawn fair to there."""
    closed = edge.closed
    fresh = ending(closed, Motion.turn(np.zeros((run.n, 2)), angle).vectors(closed.end_direction()))
    if not edge.darts:
        return Edge(edge.name, edge.span, (fresh,))
    return recut(run, edge, fresh)


def recut(run: Run, edge: Edge, fresh: Path, in_company: bool = True) -> Edge:
    """The darts of an edge on its sewn line as it is drawn afresh: their feet carried along their legs.

    With `in_company` bodies are parted whose folded ends would have more segments than others need.
    """
    motions, cuts = [Motion.identity(run.n)], [np.zeros(run.n)]
    for dart in edge.darts:
        origin, heading = dart.near_leg.segments[0].end(), _heading(dart.near_leg)
        s, _ = meet.path_line(fresh, motions[-1].points(origin), motions[-1].vectors(heading))
        run.fail(
            np.isnan(s) & np.isfinite(fresh.length()) & np.isfinite(origin[:, 0]),
            "D421",
            f"The folded dart {dart.name} does not meet the sewn edge {edge.name}",
            expected="legs that reach the edge",
            found="an edge that ends before them",
            suggestion="Make the intake smaller, or set the dart further from the end of the edge.",
        )
        cuts.append(s)
        motions.append(dart.fold.then(motions[-1]))
    cuts.append(fresh.length())
    strips = tuple(
        fresh.part(np.nan_to_num(low), np.nan_to_num(high)).moved(motion.inverse())
        for low, high, motion in zip(cuts, cuts[1:], motions, strict=False)
    )
    darts = tuple(_refooted(run, dart, strips[k], strips[k + 1], in_company) for k, dart in enumerate(edge.darts))
    return Edge(edge.name, edge.span, strips, darts, fresh)


def _heading(leg: Path) -> Floats:
    """Along a leg from within the piece to its foot, (N, 2)."""
    return unit(leg.segments[0].start() - leg.segments[0].end())


def _refooted(run: Run, dart: Dart, before: Path, after: Path, in_company: bool) -> Dart:
    """A dart with its feet at the ends of the strips beside it."""
    feet, legs = (before.end(), after.start()), (dart.near_leg, dart.far_leg)
    headings = _heading(legs[0]), _heading(legs[1])
    axis, intake = unit(headings[0] + headings[1]), distance(*feet)
    near, far = (Path((Line(foot, leg.segments[0].end()), *leg.segments[1:])) for foot, leg in zip(feet, legs, strict=True))
    parting = run if in_company else None
    trued = (
        Path((Line(*feet),)) if run.quiet else true_end(dart.press, dart.point, axis, feet, headings, intake, before, after, parting)
    )
    return replace(dart, near_leg=near, far_leg=far, trued=trued, intake=intake)
