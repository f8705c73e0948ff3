"""Whether darts have room on their edge as they are laid out: wide apart enough, their feet in order, their turning small enough.

Each check gives the bodies that it refuses, having told them why.  A foot that the rule names first comes first as the edge is
drawn: a dart whose feet have changed places would put cloth in, and its size alone would not tell.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce

import numpy as np

from ..geometry.arrays import Floats, Mask
from ..geometry.path import Path
from ..geometry.plane import cross, norm
from ..meaning.plan import DartRow
from ..source.diagnostics import NOTE
from ..source.quantity import at_least, at_most, show_length
from .guides import SAME
from .laying import Laid
from .places import nearest_on
from .steps import Run

MOST_TURN = np.pi  # radians by which the darts of an edge may turn it together
MOVED = 2.0  # mm by which unequal legs may move a foot without a word
OVER = 0.5  # mm by which a foot may lie past the end of an edge: a dart is set out straight, the edge may be curved


def without_room(run: Run, full: str, laid: Sequence[Laid], places: Sequence[Floats], path: Path, turned: bool) -> Mask:
    """Bodies (N,) whose darts cannot be set in this edge as they are laid out; each is told why."""
    whole = path.length()
    refused = _too_wide(run, full, laid, whole)
    refused = refused | _turned_back(run, full, laid, ~refused)
    for dart in laid:
        refused = refused | _feet_crossed(run, full, dart, path, turned)
    sound = ~refused
    for dart, place in zip(laid, places, strict=True):
        refused = refused | _room_at_ends(run, full, dart, place, whole, sound)
    set_out = list(zip(laid, places, strict=True))
    for (first, first_at), (second, second_at) in zip(set_out, set_out[1:], strict=False):
        refused = refused | _room_between(run, full, first, second, second_at - first_at, sound)
    for dart in laid:
        refused = refused | _cannot_be_held(run, full, dart)
    return refused


def named(rule: DartRow, the: str = "the") -> str:
    """A dart in a sentence: by its name, if it was given one."""
    return f"{the} dart" if rule.name == "dart" else f"{the} dart {rule.name}"


def _too_wide(run: Run, full: str, laid: Sequence[Laid], whole: Floats) -> Mask:
    """Bodies (N,) whose darts together are as wide as the edge or wider; of a series that could not be spread it has been told."""
    intakes = reduce(np.add, [dart.asked for dart in laid])
    wide = intakes >= whole
    run.fail(
        wide & np.logical_and.reduce([np.isfinite(dart.middle[:, 0]) for dart in laid]),
        "D420",
        f"The darts of {full} leave no edge between them",
        span=laid[0].rule.span,
        expected=lambda i: f"intakes of less than {at_most(whole[i], run.unit)} together",
        found=lambda i: show_length(intakes[i], run.unit),
        suggestion="Make the intakes smaller, or set fewer darts.",
    )
    return wide


def _turned_back(run: Run, full: str, laid: Sequence[Laid], judged: Mask) -> Mask:
    """Bodies (N,) whose darts, folded, would turn the edge by half a turn or more: it is drawn as one line, and that would run back."""
    turn = np.abs(reduce(np.add, [dart.motion.angle() for dart in laid]))
    back = (turn >= MOST_TURN) & judged
    run.fail(
        back,
        "D531",
        f"The darts of {full} turn the edge back on itself when they are folded",
        span=laid[0].rule.span,
        expected=f"darts that together turn it by less than {np.degrees(MOST_TURN):.0f} deg",
        found=lambda i: f"{len(laid)} that turn it by {np.degrees(turn[i]):.0f} deg",
        suggestion="Set fewer darts, or make them narrower or longer.",
    )
    return back


def _feet_crossed(run: Run, full: str, dart: Laid, path: Path, turned: bool) -> Mask:
    """Bodies (N,) whose feet, as laid out, lie in one place, or the second before the first."""
    together = dart.asked <= SAME
    run.fail(
        together,
        "D530",
        f"The feet of {named(dart.rule)} on {full} lie in one place",
        span=dart.rule.span,
        expected="two feet apart, so that the dart takes something out",
        found=lambda i: f"{show_length(dart.asked[i], run.unit)} between them",
        suggestion="See which measure or choice leaves nothing to take out, and leave the dart out then: when ...",
    )
    if not dart.rule.feet:
        return together
    first, second = dart.rule.feet
    near, far = (nearest_on(path, foot) for foot in dart.feet)
    whole, at = path.length(), (far, near) if turned else (near, far)
    crossed = (near > far) & ~together

    def along(i: int) -> str:
        places = (whole[i] - place[i] if turned else place[i] for place in at)
        return " and ".join(f"{name} {show_length(place, run.unit)}" for name, place in zip((first, second), places, strict=True))

    run.fail(
        crossed,
        "D530",
        f"The feet of {named(dart.rule)} on {full} have crossed",
        span=dart.rule.span,
        expected=f"{first} before {second}, as the edge is drawn",
        found=lambda i: f"{along(i)} along it: {show_length(dart.asked[i], run.unit)} would have to be put in, not taken out",
        suggestion=f"See which measure or choice brings {second} before {first}; if it is always so, "
        f"name the feet in the order of the edge: between {second} and {first}.",
    )
    return together | crossed


def not_drawn(run: Run, full: str, laid: Sequence[Laid], path: Path, closed: Path, judged: Mask) -> None:
    """Tell the bodies for whom the sewn edge is nowhere though all that was asked is there, by what brings it about."""
    if run.quiet:
        return
    lost = ~closed.known() & path.known() & judged
    if not lost.any():
        return
    for dart in laid:
        lost &= np.isfinite(np.stack([*dart.feet, dart.point], axis=1)).all(axis=(1, 2))
    for dart in laid:
        near, far = dart.feet
        way = far - near
        off = np.abs(cross(way, dart.point - near)) / norm(way)
        run.fail(
            (off <= SAME) & lost,
            "D560",
            f"{named(dart.rule, 'The')} on {full} points along its own edge",
            span=dart.rule.point_row or dart.rule.span,
            expected="a point beside the edge, inside the piece",
            found="one in line with the dart's feet: both legs lie on the edge",
            suggestion="Let it point into the piece: point 9 cm long, or toward another place.",
        )
        lost &= ~(off <= SAME)
    run.fail(
        lost,
        "D561",
        f"The edge {full} cannot be drawn over its folded darts",
        span=laid[0].rule.span,
        expected="feet apart from each other and from the ends of the edge",
        found=lambda i: "; ".join(f"feet of {named(dart.rule)} at {_along(path, dart, i, run.unit)} along it" for dart in laid),
        suggestion="Set the darts further from the ends of the edge and from each other, or make them narrower.",
    )


def _along(path: Path, dart: Laid, i: int, unit: str) -> str:
    """How far along an edge the feet of one body's dart lie."""
    return " and ".join(show_length(float(nearest_on(path, foot)[i]), unit) for foot in dart.feet)


def unequal_legs(run: Run, full: str, dart: Laid, path: Path, taken: Floats, judged: Mask) -> None:
    """Say by how much unequal legs have moved a foot: of straight legs the shorter is lengthened, held ones share the difference.

    `taken` (N,) is what the dart takes out in the end.
    """
    if run.quiet:
        return
    near, far = dart.reaches(path)
    moved = np.abs(near - far) * (1.0 if dart.held is None else 0.5)

    def found(i: int) -> str:
        by, takes, asked = (show_length(figure[i], run.unit) for figure in (moved, taken, dart.asked))
        return f"moved by {by}; the dart takes out {takes}" + (", as was asked" if takes == asked else f", and {asked} was asked")

    run.fail(
        (moved > MOVED) & judged,
        "D532",
        f"A foot of {named(dart.rule)} on {full} was moved, so that both legs are equally long",
        span=dart.rule.span,
        found=found,
        suggestion=f"Set its point square to its edge, or reckon with what it takes out: intake of {dart.rule.name}.",
        severity=NOTE,
    )


def _room_at_ends(run: Run, full: str, dart: Laid, place: Floats, whole: Floats, judged: Mask) -> Mask:
    half, end = dart.asked / 2.0, whole - place
    narrow = (np.minimum(place, end) < half - OVER) & judged & np.isfinite(place)
    run.fail(
        narrow,
        "D420",
        f"There is no room on {full} for {named(dart.rule)}",
        span=dart.rule.span,
        expected=lambda i: f"its centre at least {at_least(half[i], run.unit)} from the ends of the edge",
        found=lambda i: f"{show_length(min(place[i], end[i]), run.unit)}",
        suggestion="Make the intake smaller, or set the dart further from the end of the edge.",
    )
    return narrow


def _room_between(run: Run, full: str, first: Laid, second: Laid, apart: Floats, judged: Mask) -> Mask:
    room = (first.asked + second.asked) / 2.0
    near = (apart < room) & judged & np.isfinite(apart)
    run.fail(
        near,
        "D420",
        f"There is no room on {full} for {named(first.rule)} beside {named(second.rule)}",
        span=first.rule.span,
        expected=lambda i: f"their centres at least {at_least(room[i], run.unit)} apart",
        found=lambda i: show_length(apart[i], run.unit),
        suggestion="Make the intakes smaller, set fewer darts, or place them further apart.",
    )
    return near


def _cannot_be_held(run: Run, full: str, dart: Laid) -> Mask:
    if dart.held is None:
        return np.zeros(run.n, dtype=bool)
    held, middle, point = dart.held, dart.middle[:, 1], dart.point[:, 1]
    depth, reach = point - held, held - middle
    outside = (depth * reach <= 0.0) & np.isfinite(depth) & np.isfinite(reach)
    run.fail(
        outside,
        "D422",
        f"{named(dart.rule, 'The')} of {full} cannot be held to {dart.rule.held_to}",
        span=dart.rule.held_row or dart.rule.span,
        expected=f"{dart.rule.held_to} between the edge and the dart's point",
        found=lambda i: (
            f"{dart.rule.held_to} {show_length(held[i] - middle[i], run.unit)} below the "
            f"edge, the point {show_length(point[i] - middle[i], run.unit)} below it"
        ),
        suggestion="Make the dart longer, or hold it to a level above its point.",
        others=((dart.rule.point_row, "its point"),) if dart.rule.point_row is not None else (),
    )
    return outside
