"""Where lines, circles and paths meet, for N bodies at once; NaN where they do not.

A path meets a straight line where its height over the line is zero.  Along a line that height is linear in
t, along a cubic it is a cubic polynomial in Bernstein form, along an arc a cosine; each is cut where it
turns, so that every stretch holds one root at most and none is missed.  Two curves can only meet where boxes
around their cells overlap; from there Newton's method runs on both parameters.  Ends that lie on the other
curve are looked for by themselves.

A touch counts as a meeting: a path may stay short of a line, or end short of a curve, by `TOUCH`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from .arrays import Floats, Indices, Mask
from .dual import at_root, each_of, plain, put, slope_of
from .path import Path
from .plane import choose, cross, distance, dot, norm, square_to, taken, unit
from .segments import Arc, Cubic, Line, Segment
from .solve import polished, root

TOUCH = 1e-6  # mm
ROOM = 1.0  # mm; a segment farther than this from a level does not come to it
CLOSED = 1e-9  # mm; two curves that touch as tangents stay so near for a thousandth of a millimetre
PARALLEL = 1e-9  # radians
SPLITS = 8, 8, 4  # how the cells of two curves are cut to find where they are near


def lines(p: Floats, d: Floats, q: Floats, e: Floats) -> Floats:
    """Meeting (N, 2) of the endless lines through p along d and through q along e; NaN where parallel."""
    d, e = unit(d), unit(e)
    sine = cross(d, e)
    sine = np.where(np.abs(sine) > PARALLEL, sine, np.nan)
    return p + (cross(q - p, e) / sine)[:, None] * d


def circles(c0: Floats, r0: Floats, c1: Floats, r1: Floats) -> tuple[Floats, Floats]:
    """Both meetings (N, 2) of two circles; the first lies on the +90 degree side of the way from c0 to c1."""
    between = distance(c0, c1)
    onward = unit(c1 - c0)
    foot = (between * between + r0 * r0 - r1 * r1) / (2.0 * np.where(between > 0.0, between, np.nan))
    half = _half_chord(r0, np.abs(foot))
    middle, off = c0 + foot[:, None] * onward, half[:, None] * square_to(onward)
    return middle + off, middle - off


def line_circle(p: Floats, d: Floats, c: Floats, r: Floats) -> tuple[Floats, Floats]:
    """Both meetings (N, 2) of the endless line through p along d with a circle, in the order of d."""
    d = unit(d)
    foot = p + dot(c - p, d)[:, None] * d
    off = _half_chord(r, distance(foot, c))[:, None] * d
    return foot - off, foot + off


def _half_chord(radius: Floats, away: Floats) -> Floats:
    """Half the chord that lies so far from a circle's centre; zero at a touch, NaN beyond."""
    inside = (radius - away) * (radius + away)
    return np.sqrt(np.where(away - radius > TOUCH, np.nan, np.maximum(inside, 0.0)))


def path_line(path: Path, p: Floats, d: Floats) -> tuple[Floats, Floats]:
    """First meeting of a path with the endless line through p along d: how far along (N,), where (N, 2)."""
    which, t = first_on_line(path, p, d)
    s, places, reach = np.full(path.n, np.nan), np.full((path.n, 2), np.nan), path.reach()
    for i, here, segment, at in _by_segment(path, which, t):
        s = put(s, here, reach[here, i] + segment.length_to(at))
        places = put(places, here, segment.at(at))
    return s, places


def line_place(path: Path, p: Floats, d: Floats) -> Floats:
    """Where (N, 2) a path first meets the endless line through p along d."""
    places = np.full((path.n, 2), np.nan)
    for _, here, segment, at in _by_segment(path, *first_on_line(path, p, d)):
        places = put(places, here, segment.at(at))
    return places


def up_to(path: Path, which: Indices, t: Floats) -> Path:
    """The path as far as a place that `first_on_line` found, with as many segments; of no length where it found none.

    Segments beyond the meeting have no length and lie there.
    """
    parts, place = [], path.start()
    for i, segment in enumerate(path.segments):
        part = segment.part(0.0, np.where(which > i, 1.0, np.where(which == i, t, 0.0)))
        if i:
            part = part.shifted(np.where((which < i)[:, None], place - part.start(), 0.0))
        place = choose(which >= i, part.end(), place)
        parts.append(part)
    return Path(tuple(parts))


def first_on_line(path: Path, p: Floats, d: Floats) -> tuple[Indices, Floats]:
    """In which segment (N,) a path first meets a line, -1 where in none, and at which parameter (N,)."""
    which, t = np.full(path.n, -1), np.full(path.n, np.nan)
    missing, d = np.arange(path.n), unit(d)
    for i, segment in enumerate(path.segments):
        if len(missing) < path.n:
            segment = segment.take(missing)
            at = segment_meetings(segment, taken(p, missing), taken(d, missing))[:, 0]
        else:
            at = segment_meetings(segment, p, d)[:, 0]
        meets = np.isfinite(at)
        here = missing[meets]
        which[here], t = i, put(t, here, at[meets])
        missing = missing[~meets]
        if not len(missing):
            break
    return which, t


def _by_segment(path: Path, which: Indices, t: Floats) -> Iterator[tuple[int, Indices | slice, Segment, Floats]]:
    """(number, bodies, segment, parameters) for every segment that some bodies are in."""
    for i, segment in enumerate(path.segments):
        here = np.flatnonzero(which == i)
        if len(here) == path.n:
            yield i, slice(None), segment, t
        elif len(here):
            yield i, here, segment.take(here), t[here]


def crossings_at_level(path: Path, y: Floats) -> Floats:
    """All x (N, K) at which a path meets the horizontal line y (N,).

    They come in the order of the path, NaN after the last.  K depends on the kinds of segments
    alone.  Where a straight segment lies in the level both its ends count.
    """
    y = each_of(y, path.n)
    comes = [number for number, segment in enumerate(path.segments) if _comes_to(segment, plain(y))]
    nowhere = np.full((path.n, sum(4 if isinstance(segment, Cubic) else 2 for segment in path.segments)), np.nan)
    if not comes:
        return nowhere
    level = np.stack([np.zeros(path.n), y], axis=1)
    _, points = _all_meetings(path, comes, level, np.repeat(np.array([[1.0, 0.0]]), path.n, axis=0))
    return np.concatenate([points[..., 0], nowhere[:, points.shape[1] :]], axis=1)


def _comes_to(segment: Segment, y: Floats) -> bool:
    low, high = segment.box()
    return bool(np.any((low[:, 1] - ROOM <= y) & (y <= high[:, 1] + ROOM)))


def _all_meetings(path: Path, numbers: Iterable[int], p: Floats, d: Floats) -> tuple[Floats, Floats]:
    """Lengths (N, K) and places (N, K, 2) of the meetings of some segments with a line, each once, in order, then NaN."""
    reach = path.reach()
    columns, nowhere = [], (np.full(path.n, np.nan), np.full((path.n, 2), np.nan))
    for i in numbers:
        segment = path.segments[i]
        ts = segment_meetings(segment, p, d)
        met: Mask = np.any(np.isfinite(ts), axis=0)
        columns += [(reach[:, i] + segment.length_to(t), segment.at(t)) if some else nowhere for t, some in zip(ts.T, met, strict=True)]
    lengths, places = (np.stack(column, axis=1) for column in zip(*columns, strict=True))
    lengths = _without_repeats(lengths, 10.0 * TOUCH)
    order = np.argsort(lengths, axis=1, kind="stable")
    return np.take_along_axis(lengths, order, axis=1), np.take_along_axis(
        np.where(np.isnan(lengths)[..., None], np.nan, places), order[..., None], axis=1
    )


def _without_repeats(values: Floats, apart: float) -> Floats:
    """Growing values (N, K) with NaN between them, those too near the one before made NaN."""
    values = values.copy()
    last = np.full(len(values), -np.inf)
    for k in range(values.shape[1]):
        values[:, k] = np.where(values[:, k] - last > apart, values[:, k], np.nan)
        last = np.fmax(last, values[:, k])
    return values


def segment_meetings(segment: Segment, p: Floats, d: Floats) -> Floats:
    """Parameters (N, K) in growing order at which a segment meets a line, NaN after the last."""
    normal = square_to(unit(d))
    if isinstance(segment, Arc):
        ts = _arc_meetings(segment, dot(segment.centre - p, normal), normal)
    elif isinstance(segment, Cubic):
        ts = _cubic_meetings(dot(segment.p - p[:, None], normal[:, None]))
    elif isinstance(segment, Line):
        ts = _line_meetings(dot(segment.p0 - p, normal), dot(segment.p1 - p, normal))
    else:
        raise TypeError(segment)
    return np.sort(ts, axis=1)


def _line_meetings(h0: Floats, h1: Floats) -> Floats:
    """Of heights at the ends: the crossing between, or the ends that touch."""
    at_start, at_end = np.abs(h0) <= TOUCH, np.abs(h1) <= TOUCH
    with np.errstate(invalid="ignore", divide="ignore"):
        between = np.where(h0 * h1 < 0.0, h0 / (h0 - h1), np.nan)
    first = np.where(at_start, 0.0, np.where(at_end, 1.0, between))
    return np.stack([first, np.where(at_start & at_end, 1.0, np.nan)], axis=1)


def _arc_meetings(arc: Arc, centre_height: Floats, normal: Floats) -> Floats:
    """Height over the line is centre_height + radius cos(angle - angle of the normal)."""
    away = np.abs(centre_height)
    touching = np.abs(away - arc.radius) <= TOUCH
    with np.errstate(invalid="ignore", divide="ignore"):
        cosine = np.where(touching, -np.sign(centre_height), -centre_height / arc.radius)
        half = np.arccos(np.where(np.abs(cosine) <= 1.0, cosine, np.nan))
        toward = np.arctan2(normal[:, 1], normal[:, 0])
        meetings = []
        for angle in (toward + half, toward - half):
            # Turned on from the start, in the sense of the sweep, within one full round.
            on = np.copysign(1.0, arc.sweep) * (angle - arc.start_angle)
            slack = TOUCH / arc.radius
            on = np.mod(on + slack, 2.0 * np.pi) - slack
            t = on / np.abs(arc.sweep)
            meetings.append(np.where(on <= np.abs(arc.sweep) + slack, np.clip(t, 0.0, 1.0), np.nan))
    return _without_repeats(np.sort(np.stack(meetings, axis=1), axis=1), 0.0)


def _bernstein(h: Sequence[Floats], t: Floats) -> Floats:
    r = 1.0 - t
    return r * r * r * h[0] + 3.0 * r * r * t * h[1] + 3.0 * r * t * t * h[2] + t * t * t * h[3]


def _cubic_meetings(heights: Floats) -> Floats:
    """Of the heights (N, 4) of the control points: parameters (N, 4), NaN after the last.

    The heights change sign at least as often as the curve crosses the line (Descartes).  So most curves are seen not to meet it
    at all, or to cross it once; the others are looked at more closely.
    """
    h = [plain(heights[:, i]) for i in range(4)]
    up, strict = [height > 0.0 for height in h], [np.abs(height) > TOUCH for height in h]
    turned = [before != after for before, after in zip(up, up[1:], strict=False)]
    never, odd = ~(turned[0] | turned[1] | turned[2]), turned[0] ^ turned[1] ^ turned[2]
    ends = strict[0] & strict[3]
    single = ends & odd & ~(turned[0] & turned[1] & turned[2])
    away = ends & never & strict[1] & strict[2]
    roots = np.full((len(h[0]), 4), np.nan)
    once = np.flatnonzero(single)
    if len(once) == len(roots):
        roots[:, 0] = _single_crossing(h)
    elif len(once):
        roots[once, 0] = _single_crossing([height[once] for height in h])
    rest = np.flatnonzero(~single & ~away & np.isfinite(h[0] + h[1] + h[2] + h[3]))
    if len(rest):
        roots[rest] = _between_turns(np.stack([height[rest] for height in h], axis=1))
    if plain(heights) is heights:
        return roots
    h = [height[:, None] for height in h]
    miss = slope_of(_bernstein([heights[:, i : i + 1] for i in range(4)], roots))
    return at_root(roots, np.where((roots > 0.0) & (roots < 1.0), miss, 0.0), _growth(h, roots))


def _single_crossing(h: Sequence[Floats]) -> Floats:
    """The one parameter (N,) at which the polynomial is zero, its ends having two signs."""
    turned = np.where(h[0] > 0.0, -1.0, 1.0)
    h = [height * turned for height in h]
    c1, c2, c3 = 3.0 * (h[1] - h[0]), 3.0 * (h[0] - 2.0 * h[1] + h[2]), h[3] - h[0] + 3.0 * (h[1] - h[2])
    zero = np.zeros(len(turned))
    return polished(
        lambda t: (h[0] + t * (c1 + t * (c2 + t * c3)), c1 + t * (2.0 * c2 + t * (3.0 * c3))),
        zero,
        zero + 1.0,
        h[0] / (h[0] - h[3]),
    )


def _growth(h: Sequence[Floats], t: Floats) -> Floats:
    """The slope of the polynomial."""
    r = 1.0 - t
    return 3.0 * (r * r * (h[1] - h[0]) + 2.0 * r * t * (h[2] - h[1]) + t * t * (h[3] - h[2]))


def _between_turns(heights: Floats) -> Floats:
    """The same for any curve: every stretch between the turns of the polynomial holds one root at most."""
    h = [heights[:, i : i + 1] for i in range(4)]
    d0, d1, d2 = (h[i + 1] - h[i] for i in range(3))
    a, b, c = d0 - 2.0 * d1 + d2, d1 - d0, d0  # derivative: a t^2 + 2 b t + c
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        half = -(b + np.copysign(np.sqrt(np.maximum(b * b - a * c, 0.0)), b))
        turns = np.concatenate([half / a, c / half], axis=1)
    turns = np.sort(np.clip(np.where(np.isfinite(turns), turns, 1.0), 0.0, 1.0), axis=1)
    ends = np.zeros((len(heights), 1))
    breaks = np.concatenate([ends, turns, ends + 1.0], axis=1)
    crossing, converged, *_ = root(lambda t: _bernstein(h, t), breaks[:, :3], breaks[:, 1:], tolerance=1e-13)
    touching = np.where(np.abs(_bernstein(h, breaks)) <= TOUCH, breaks, np.nan)
    meetings = np.sort(np.concatenate([np.where(converged, crossing, np.nan), touching], axis=1), axis=1)
    # A crossing that a break only touches is found from both sides.
    near = _without_repeats(meetings, 1e-9)
    return np.sort(near, axis=1)[:, :4]


STEPS = 32  # of every segment: two meetings with a circle that lie closer together are not told apart


def path_circle(path: Path, centre: Floats, radius: Floats) -> Floats:
    """Meetings (N, K, 2) of a path with the circle about a centre, in the order of the path, NaN where there are none."""
    meetings = []
    for segment in path.segments:
        ts = np.arange(STEPS + 1) / STEPS
        off = norm(segment.sample(ts) - centre[:, None]) - radius[:, None]
        low, high = np.broadcast_to(ts[:-1], off[:, :-1].shape), np.broadcast_to(ts[1:], off[:, 1:].shape)
        crosses = (off[:, :-1] * off[:, 1:] < 0.0) | (np.abs(off[:, :-1]) <= TOUCH)

        def miss(t: Floats, segment: Segment = segment) -> Floats:
            return np.stack([norm(segment.at(t[:, k]) - centre) - radius for k in range(STEPS)], axis=1)

        at, *_ = root(miss, np.where(crosses, low, np.nan), np.where(crosses, high, np.nan), tolerance=1e-12)
        at = np.where(np.isnan(at) & crosses & (np.abs(off[:, :-1]) <= TOUCH), low, at)
        at = np.where(np.any(~np.isnan(at), axis=0), at, np.nan)
        meetings += [
            choose(np.isnan(at[:, k]), np.full_like(centre, np.nan), segment.at(np.nan_to_num(at[:, k])))
            for k in range(STEPS)
            if not np.isnan(at[:, k]).all()
        ]
        end = np.abs(off[:, -1]) <= TOUCH
        if end.any():
            meetings.append(choose(end, segment.end(), np.full_like(centre, np.nan)))
    return np.stack(meetings, axis=1) if meetings else np.full((path.n, 1, 2), np.nan)


def path_path(a: Path, b: Path) -> Floats:
    """First meeting (N, 2) along path a with path b; both must reach it."""
    point, missing = np.full((a.n, 2), np.nan), np.ones(a.n, dtype=bool)
    for segment_a in a.segments:
        first = np.full(a.n, np.inf)
        for segment_b in b.segments:
            near = np.flatnonzero(missing & _boxes_meet(segment_a, segment_b))  # most pairs lie apart and cost nothing
            if len(near):
                first = put(first, near, np.fmin(first[near], _first_meeting(segment_a.take(near), segment_b.take(near))))
        here = missing & np.isfinite(first)
        point = choose(here, segment_a.at(np.where(here, first, 0.0)), point)
        missing &= ~here
    return point


def _boxes_meet(a: Segment, b: Segment) -> Mask:
    (low, high), (least, most) = a.box(), b.box()
    overlap = (low <= most + TOUCH) & (least <= high + TOUCH)
    both: Mask = overlap[:, 0] & overlap[:, 1]
    return both


def _first_meeting(a: Segment, b: Segment) -> Floats:
    """The least parameter (N,) of one segment at which it meets another, NaN where they do not."""
    if isinstance(b, Line):
        return _within_line(segment_meetings(a, b.p0, b.direction(0.0)), a, b)
    if isinstance(a, Line):
        ts = segment_meetings(b, a.p0, a.direction(0.0))
        places = np.stack([b.at(ts[:, k]) for k in range(ts.shape[1])], axis=1)
        on = dot(places - a.p0[:, None], a.direction(0.0)[:, None])
        length = a.length()[:, None]
        on = np.where((on >= -TOUCH) & (on <= length + TOUCH), on, np.nan)
        return a.parameter_at(np.fmin.reduce(on, axis=1))
    return _curves_meet(a, b)


def _within_line(ts: Floats, segment: Segment, line: Line) -> Floats:
    """The least of the parameters ts (N, K) of a segment at which it lies between the ends of a line."""
    best, length = np.full(segment.n, np.nan), line.length()
    for k in range(ts.shape[1]):
        on = dot(segment.at(ts[:, k]) - line.p0, line.direction(0.0))
        best = np.fmin(best, np.where((on >= -TOUCH) & (on <= length + TOUCH), ts[:, k], np.nan))
    return best


def _curves_meet(a: Segment, b: Segment) -> Floats:
    """Least parameter (N,) of one curve at a meeting with another."""
    still, rival = a.still(), b.still()
    t = _first_of_curves(still, rival)
    w = t if still is a and rival is b else _touch(rival, still.at(t))
    if w is t:
        return t
    across = square_to(rival.velocity(w))  # off the other curve
    return at_root(t, slope_of(dot(a.at(t) - b.at(w), across)), dot(still.velocity(t), across))


def _first_of_curves(a: Segment, b: Segment) -> Floats:
    """The same of curves that stand still, by boxes and Newton's method.

    Every cell of either curve lies in the box of its ends, widened by what its second derivative allows;
    pairs of cells whose boxes overlap are cut further.  The pairs of all bodies are one flat list.
    """
    body, cells = np.arange(a.n), 1
    i = j = np.zeros(a.n, dtype=int)
    for split in SPLITS:
        cells *= split
        i, j = (cell[:, None] * split + np.arange(split) for cell in (i, j))
        low, high = _boxes(a.take(body), i, cells)
        least, most = _boxes(b.take(body), j, cells)
        overlap = (low[:, :, None] <= most[:, None]) & (least[:, None] <= high[:, :, None])
        pair, k, m = np.nonzero(overlap.all(axis=-1))
        body, i, j = body[pair], i[pair, k], j[pair, m]
    parameters = _sharpen(a.take(body), b.take(body), (i + 0.5) / cells, (j + 0.5) / cells)
    best = np.full(a.n, np.inf)
    np.minimum.at(best, body, np.where(np.isnan(parameters), np.inf, parameters))
    best = np.where(np.isinf(best), np.nan, best)
    for end in (0.0, 1.0):
        best = np.fmin(best, _touch(a, b.at(end)))
        best = np.fmin(best, np.where(np.isnan(_touch(b, a.at(end))), np.nan, end))
    return best


def _boxes(curve: Segment, cell: Indices, cells: int) -> tuple[Floats, Floats]:
    """Corners (M, K, 2) of boxes around K neighbouring cells (M, K) of `cells` equal ones."""
    stops = curve.sample(np.concatenate([cell, cell[:, -1:] + 1], axis=1) / cells)
    if isinstance(curve, Arc):
        second = curve.radius * curve.sweep * curve.sweep
    elif isinstance(curve, Cubic):
        second = 6.0 * np.max(norm(np.diff(curve.p, n=2, axis=1)), axis=1)
    else:
        raise TypeError(curve)
    slack = (second / (8.0 * cells * cells) + TOUCH)[:, None, None]
    return (np.minimum(stops[:, :-1], stops[:, 1:]) - slack, np.maximum(stops[:, :-1], stops[:, 1:]) + slack)


def _touch(curve: Segment, point: Floats) -> Floats:
    """The parameter (N,) at which a curve runs through a point (N, 2), NaN where it does not.

    From the nearest sample by the method of Gauss and Newton.
    """
    grid = np.linspace(0.0, 1.0, 65)
    samples = curve.sample(grid)
    away = norm(samples - point[:, None])
    step = np.max(norm(np.diff(samples, axis=1)), axis=1)
    near = np.flatnonzero(np.min(away, axis=1) <= step + TOUCH)
    result = np.full(curve.n, np.nan)
    curve, point, t = curve.take(near), point[near], grid[np.argmin(away[near], axis=1)]
    for _ in range(12):
        velocity = curve.velocity(t)
        speed = dot(velocity, velocity)
        step = dot(point - curve.at(t), velocity) / np.where(speed > 0.0, speed, np.inf)
        t = np.clip(t + step, 0.0, 1.0)
    result[near] = np.where(distance(curve.at(t), point) <= TOUCH, t, np.nan)
    return result


def _sharpen(a: Segment, b: Segment, t: Floats, w: Floats) -> Floats:
    """Newton's method for one.at(t) = other.at(w) from near values; gives t, or NaN where it fails."""
    for _ in range(16):
        gap, along, over = b.at(w) - a.at(t), a.velocity(t), b.velocity(w)
        turn = cross(along, over)
        turn = np.where(turn != 0.0, turn, np.nan)
        t, w = (np.clip(v, 0.0, 1.0) for v in (t + cross(gap, over) / turn, w + cross(gap, along) / turn))
    return np.where(distance(a.at(t), b.at(w)) <= CLOSED, t, np.nan)
