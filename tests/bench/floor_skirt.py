"""The skirts of `timed_skirt.style` and `found_skirt.style` drafted by hand, in plain numpy and shapely, without the program.

It is the floor that the program is measured against, so it is written to be fast: every step of the style stands here as
the few array operations that it needs, for all bodies of a chunk, and what this style cannot need is left out.  It knows
that the hem is level, that the centre is plumb, that the folded feet are the knots of the sewn waist, and that folds are plumb.  `drafted` gives for every piece the net outline and the cut line, and the ledgers and the
verdict.  Millimetres; x across, y down; bodies along the first axis.
"""

import numpy as np
import shapely

STEPS = 48  # of every curve, as the program flattens
CHUNK = 1024
LENGTH, WAIST_EASE, HIP_EASE, FLARE, FRONT_INTAKE, BACK_INTAKE, BAND, LAP = 620.0, 10.0, 50.0, 20.0, 16.0, 30.0, 30.0, 30.0
SIDE, CENTRE_BACK, WAIST, HEM, OTHERS = 15.0, 20.0, 10.0, 40.0, 10.0
SEAM_SLACK = 25.4 / 16.0
SETTLED = 1e-4  # mm; points of a cut line nearer to each other are one
FOUND = 1e-5  # mm; as exactly as the program finds
LEG, HALF = 6, 22  # points beside a foot among which the leg meets the cut line, and among which half a dart lies before it

T = np.arange(1, STEPS + 1) / STEPS
NODES, WEIGHTS = np.polynomial.legendre.leggauss(16)
NODES, WEIGHTS = (NODES + 1.0) / 2.0, WEIGHTS / 2.0


# ------------------------------------------------------------ curves: a cubic is (x, y), each four coefficients of 1, t, t2, t3


def powers(p0, p1, p2, p3):
    return p0, 3.0 * (p1 - p0), 3.0 * (p0 - 2.0 * p1 + p2), p3 - p0 + 3.0 * (p1 - p2)


def value(c, t):
    return c[0] + t * (c[1] + t * (c[2] + t * c[3]))


def slope(c, t):
    return c[1] + t * (2.0 * c[2] + t * (3.0 * c[3]))


POWERS = np.stack([np.ones(STEPS), T, T * T, T * T * T])
GROWTHS = np.stack([np.ones(STEPS), 2.0 * T, 3.0 * T * T])


def values(c):
    """At all steps (n, 48): what `value` gives, in one go."""
    return np.einsum("ik,in->nk", POWERS, np.stack(c))


def slopes(c):
    return np.einsum("ik,in->nk", GROWTHS, np.stack(c[1:]))


def columns(c):
    return [one[:, None] for one in c]


def length(x, y):
    vx, vy = slope(columns(x), NODES), slope(columns(y), NODES)
    return np.sum(np.sqrt(vx * vx + vy * vy) * WEIGHTS, axis=1)


def handle(theta, phi):
    """Hobby's, as a part of the chord."""
    sin_theta, sin_phi, cos_theta, cos_phi = np.sin(theta), np.sin(phi), np.cos(theta), np.cos(phi)
    above = 2.0 + np.sqrt(2.0) * (sin_theta - sin_phi / 16.0) * (sin_phi - sin_theta / 16.0) * (cos_theta - cos_phi)
    c = (3.0 - np.sqrt(5.0)) / 2.0
    return np.minimum(above / (3.0 * (1.0 + (1.0 - c) * cos_theta + c * cos_phi)), 4.0 / 3.0)


def hobby(x0, y0, x1, y1, theta, phi):
    dx, dy = x1 - x0, y1 - y0
    chord, lie = np.sqrt(dx * dx + dy * dy), np.arctan2(dy, dx)
    first, last = handle(theta, phi) * chord, handle(phi, theta) * chord
    return (
        powers(x0, x0 + first * np.cos(lie + theta), x1 - last * np.cos(lie - phi), x1),
        powers(y0, y0 + first * np.sin(lie + theta), y1 - last * np.sin(lie - phi), y1),
    )


def spline(xs, ys, out, into):
    """Hobby's spline through three or four points, leaving and arriving at angles `out` and `into`."""
    lies = [np.arctan2(q - p, b - a) for a, b, p, q in zip(xs, xs[1:], ys, ys[1:], strict=False)]
    weights = [1.0 / np.hypot(b - a, q - p) for a, b, p, q in zip(xs, xs[1:], ys, ys[1:], strict=False)]
    theta, last = [out - lies[0]], into - lies[-1]
    turns = [b - a for a, b in zip(lies, lies[1:], strict=False)]
    if len(turns) == 1:
        (a, b), turn = weights, turns[0]
        theta.append((-2.0 * a * turn - a * theta[0] - b * last) / (2.0 * (a + b)))
    else:
        a, b, c = weights
        m0, m1 = 2.0 * (a + b), 2.0 * (b + c)
        r0, r1 = -2.0 * a * turns[0] - b * turns[1] - a * theta[0], -2.0 * b * turns[1] - c * last
        below = m0 * m1 - b * b
        theta += [(r0 * m1 - b * r1) / below, (m0 * r1 - b * r0) / below]
    phi = [-turn - one for turn, one in zip(turns, theta[1:], strict=False)] + [-last]
    return [hobby(xs[k], ys[k], xs[k + 1], ys[k + 1], theta[k], phi[k]) for k in range(len(lies))]


def on_ray(x, y, ox, oy, hx, hy, t):
    """How far from (ox, oy) along (hx, hy) a curve crosses that ray, and at which t: Newton's method from a near t."""
    h = [hx * b - hy * a for a, b in zip(x, y, strict=False)]
    h[0] = h[0] - (hx * oy - hy * ox)
    for _ in range(4):
        t = t - value(h, t) / slope(h, t)
    return (value(x, t) - ox) * hx + (value(y, t) - oy) * hy, t


# ------------------------------------------------------------ motions (cos, sin, dx, dy)


def moved(m, x, y):
    cos, sin, dx, dy = m
    return cos * x - sin * y + dx, sin * x + cos * y + dy


def moved_curve(m, x, y):
    cos, sin, dx, dy = m
    mx, my = [cos * a - sin * b for a, b in zip(x, y, strict=False)], [sin * a + cos * b for a, b in zip(x, y, strict=False)]
    mx[0], my[0] = mx[0] + dx, my[0] + dy
    return mx, my


def after(m, n):
    """First m, then n."""
    return (n[0] * m[0] - n[1] * m[1], n[1] * m[0] + n[0] * m[1], *moved(n, m[2], m[3]))


def back(m):
    cos, sin, dx, dy = m
    return cos, -sin, -cos * dx - sin * dy, sin * dx - cos * dy


# ------------------------------------------------------------ a waist with straight darts, each pressed toward the centre


def folded(drop, width, darts):
    """The sewn edge and how it came about; `darts` are (middle, intake, depth)."""
    n = len(width)
    zero = np.zeros(n)
    lean = np.arctan2(-drop, width)
    curve = hobby(zero, zero + drop, width, zero, -lean, -lean)
    motion, knots_x, knots_y, motions, folds = (zero + 1.0, zero, zero, zero), [zero], [zero + drop], [], []
    room = np.ones(n, dtype=bool)
    for middle, intake, depth in darts:
        half = intake / 2.0
        size = np.sqrt(half * half + depth * depth)
        nx, ny = -half / size, -depth / size
        near, _ = on_ray(*curve, middle, depth, nx, ny, (middle - half) / width)
        far, _ = on_ray(*curve, middle, depth, -nx, ny, (middle + half) / width)
        reach = np.maximum(near, far)
        motions.append(motion)
        kx, ky = moved(motion, middle + nx * reach, depth + ny * reach)
        knots_x.append(kx)
        knots_y.append(ky)
        cos, sin = ny * ny - nx * nx, -2.0 * ny * nx  # lays the far leg on the near one
        motion = after((cos, sin, middle - cos * middle + sin * depth, depth - sin * middle - cos * depth), motion)
        room &= (middle - half >= -0.5) & (middle + half <= width + 0.5)
        folds.append((middle, depth, nx, ny, reach, intake))
    for (m, i, _), (k, j, _) in zip(darts, darts[1:], strict=False):
        room &= k - m >= (i + j) / 2.0
    end_x, end_y = moved(motion, width, zero)
    motions.append(motion)
    closed = spline([*knots_x, end_x], [*knots_y, end_y], zero, 2.0 * lean + np.arctan2(motion[1], motion[0]))
    return closed, [length(*one) for one in closed], motions, folds, room


def waist_edge(drop, width, darts):
    """The strips (x, y), the closed edge and how it came about, and its length."""
    closed, lengths, motions, folds, room = folded(drop, width, darts)
    strips = [moved_curve(back(m), *one) for m, one in zip(motions, closed, strict=False)]
    return strips, closed, motions, folds, sum(lengths), room


# ------------------------------------------------------------ rings


class Ring:
    """Points written one after another into an array that is made once."""

    def __init__(self, n, count):
        self.points, self.at = np.empty((n, count, 2)), 0

    def put(self, x, y):
        """Points (n, k), or one (n,) or plain figure."""
        count = x.shape[1] if np.ndim(x) == 2 else 1
        place = self.points[:, self.at : self.at + count]
        place[..., 0], place[..., 1] = (one if np.ndim(one) == 2 else np.reshape(one, (-1, 1)) for one in (x, y))
        self.at += count


def sampled(x, y, width):
    """Points (n, 48) after the start, and the cut line (n, 49) at a width to the left of the way."""
    px, py, vx, vy = values(x), values(y), slopes(x), slopes(y)
    scale = width / np.sqrt(vx * vx + vy * vy)
    out_x, out_y = np.empty((len(px), STEPS + 1)), np.empty((len(px), STEPS + 1))
    out_x[:, 1:], out_y[:, 1:] = px + scale * vy, py - scale * vx
    first = width / np.sqrt(x[1] * x[1] + y[1] * y[1])
    out_x[:, 0], out_y[:, 0] = x[0] + first * y[1], y[0] - first * x[1]
    # From the control points: far wider curves than the allowance need no closer look.
    ax, ay, bx, by = x[1], y[1], x[1] + x[2], y[1] + y[2]  # three times the first and the second step
    ex, ey = bx + x[2] + 3.0 * x[3], by + y[2] + 3.0 * y[3]
    gx, gy = x[1] + x[2] + x[3], y[1] + y[2] + y[3]
    slowest = np.minimum(np.minimum(ax * gx + ay * gy, bx * gx + by * gy), ex * gx + ey * gy) / np.hypot(gx, gy)
    turn = np.maximum(np.maximum(np.abs(ax * by - ay * bx), 0.5 * np.abs(ax * ey - ay * ex)), np.abs(bx * ey - by * ex))
    tight = np.full(len(px), np.inf)
    near = np.flatnonzero(~((slowest > 0.0) & (slowest**3 > 4.0 * width * turn)))
    if len(near):
        tight[near] = closest(px[near], py[near], vx[near], vy[near])
    return px, py, out_x, out_y, tight


def closest(px, py, vx, vy):
    """Least radius (n,) of a curve that bends inward, told from its steps."""
    size = np.sqrt(vx * vx + vy * vy)
    ux, uy = vy / size, -vx / size
    sx, sy, tx, ty = (one[:, 1:] - one[:, :-1] for one in (px, py, ux, uy))
    closing = -(sx * tx + sy * ty)
    with np.errstate(divide="ignore"):
        return np.where(closing > 1e-12, (sx * sx + sy * sy) / closing, np.inf).min(axis=1)


def put_waist(ring, closed, motions, folds, width):
    """The cut line of the folded waist laid open again; the least radius (n,), and where the line ends on the paper.

    A folded leg, run on, parts it; over the mouth the fold is plumb, and the half pressed to the near strip mirrors the other.
    """
    runs = [sampled(*one, width) for one in closed]
    line_x, line_y = (np.concatenate([runs[0][axis], *(run[axis][:, 1:] for run in runs[1:])], axis=1) for axis in (2, 3))
    end = (np.full(len(line_x), -1.0), line_x[:, 0], line_y[:, 0])
    for k, m in enumerate(motions):
        begin, low = end, max(STEPS * k + 1 - LEG, 0)
        high = STEPS * (k + 1) + 1 + LEG
        if k < len(folds):
            px, py, nx, ny, reach, _ = folds[k]
            first = STEPS * (k + 1) + 1 - HALF
            near_x, near_y = line_x[:, first:high], line_y[:, first:high]
            end = leg_on(near_x, near_y, first, *moved(m, px + nx * reach, py + ny * reach), *moved((m[0], m[1], 0.0, 0.0), nx, ny))
        x, y = moved(columns(back(m)), line_x[:, low:high], line_y[:, low:high])
        if k:
            rest_on(x, y, slice(0, 2 * LEG), np.arange(low, low + 2 * LEG) <= begin[0][:, None], *moved(back(m), *begin[1:]))
        if k < len(folds):
            at = slice(high - low - 2 * LEG, high - low)
            rest_on(x, y, at, np.arange(high - 2 * LEG, high) > end[0][:, None], *moved(back(m), *end[1:]))
        ring.put(x, y)
        if k < len(folds):
            put_mouth(ring, near_x, near_y, first, end, moved(back(m), *end[1:]), back(motions[k + 1]), px)
    return np.min([run[4] for run in runs], axis=0), (x[:, -1], y[:, -1])


def leg_on(x, y, first, foot_x, foot_y, hx, hy):
    """The point before which a folded leg parts the line, and where (n,)."""
    side = hx[:, None] * (y - foot_y[:, None]) - hy[:, None] * (x - foot_x[:, None])
    past = side > 0.0
    k, body = np.argmax(past, axis=1), np.arange(len(x))
    part = side[body, k - 1] / (side[body, k - 1] - side[body, k])
    return (
        first + k - 1,
        x[body, k - 1] + part * (x[body, k] - x[body, k - 1]),
        y[body, k - 1] + part * (y[body, k] - y[body, k - 1]),
    )


def rest_on(x, y, at, where, x0, y0):
    x[:, at], y[:, at] = np.where(where, x0[:, None], x[:, at]), np.where(where, y0[:, None], y[:, at])


def put_mouth(ring, near_x, near_y, first, leg, near_leg, m, px):
    """Over the mouth, from leg to leg; `m` carries the line to the paper of the strip beyond."""
    x, y = moved(columns(m), near_x, near_y)
    leg_x, leg_y = moved(m, *leg[1:])
    within = np.arange(first, first + x.shape[1]) <= leg[0][:, None]
    over = within & (x > px[:, None])
    k, body = np.argmax(over, axis=1), np.arange(len(x))
    none = ~over[body, k]  # the fold lies between the leg and the point before it
    k = np.where(none, leg[0] + 1 - first, k)
    next_x, next_y = np.where(none, leg_x, x[body, k]), np.where(none, leg_y, y[body, k])
    part = (px - x[body, k - 1]) / (next_x - x[body, k - 1])
    fold_y = y[body, k - 1] + part * (next_y - y[body, k - 1])
    x, y = np.where(over, x, leg_x[:, None]), np.where(over, y, leg_y[:, None])
    before = np.arange(x.shape[1]) < k[:, None]
    x, y = np.where(before, px[:, None], x), np.where(before, fold_y[:, None], y)
    mirrored_x, mirrored_y = (
        np.where(over | before, own, at[:, None]) for own, at in ((2.0 * px[:, None] - x, near_leg[0]), (y, near_leg[1]))
    )
    ring.put(mirrored_x[:, ::-1], mirrored_y[:, ::-1])
    ring.put(x, y)


def panel(drop, waist, hip, hip_down, darts, centre, fold):
    """One panel: the net outline, the cut line, the closed waist, the side and the verdict so far."""
    n, count = len(waist), len(darts)
    taken = sum(intake for _, intake, _ in darts)
    top, low = waist + taken, hip + FLARE
    strips, sewn_edge, motions, folds, closed, sound = waist_edge(drop, top, darts)
    lean = FLARE / (LENGTH - hip_down)
    arriving = np.where(FLARE * (hip - top) <= 0.0, 0.0, lean)
    third = hip_down / 3.0
    side = (powers(top, top + (hip - top) / 3.0, hip - arriving * third, hip), (0.0 * third, hip_down, 0.0 * third, 0.0 * third))
    lower = np.hypot(FLARE, LENGTH - hip_down)

    net = Ring(n, (count + 1) * (STEPS + 1) + count + STEPS + 3)
    cut = Ring(n, (count + 1) * (STEPS + 1) + 2 * count * (2 * LEG + HALF) + STEPS + 13)
    net.put(np.zeros(n), LENGTH)
    net.put(np.zeros(n), drop)
    if fold:
        cut.put(np.zeros(n), drop)
    else:
        cut.put(np.full(n, -centre), drop)
        cut.put(np.full(n, -centre), drop - WAIST)
    for k, (x, y) in enumerate(strips):
        if k:
            net.put(x[0], y[0])
        net.put(values(x), values(y))
        if k < count:
            net.put(folds[k][0], folds[k][1])
    tight, (end_x, end_y) = put_waist(cut, sewn_edge, motions, folds, WAIST)
    sx, sy, bx, by, tight_side = sampled(*side, SIDE)
    (x, y), (u, v) = strips[-1], side
    ux, uy = x[1] + 2.0 * x[2] + 3.0 * x[3], y[1] + 2.0 * y[2] + 3.0 * y[3]
    vx, vy = u[1], v[1]
    size = np.hypot(ux, uy), np.hypot(vx, vy)
    sin, cos = (ux * vy - uy * vx) / (size[0] * size[1]), (ux * vx + uy * vy) / (size[0] * size[1])
    part = (SIDE - WAIST * cos) / sin / size[0]
    cut.put(end_x + part * ux, end_y + part * uy)
    net.put(sx, sy)
    net.put(low, LENGTH)
    cut.put(bx, by)
    # The straight part of the side, carried on to the hem line, mirrored in it as far as the hem's allowance.
    dx, dy = FLARE / lower, (LENGTH - hip_down) / lower
    out_x, out_y = SIDE * dy, -SIDE * dx
    cut.put(hip + out_x, hip_down + out_y)
    cut.put(low + out_x, LENGTH + out_y)
    at_hem = low + out_x - out_y / dy * dx
    cut.put(at_hem, LENGTH)
    cut.put(low + out_x, LENGTH - out_y)
    cut.put(at_hem - HEM / dy * dx, LENGTH + HEM)
    cut.put(low, LENGTH + HEM)
    cut.put(np.zeros(n), LENGTH + HEM)
    if fold:
        cut.put(np.zeros(n), LENGTH)
    else:
        cut.put(np.full(n, -centre), LENGTH + HEM)
        cut.put(np.full(n, -centre), LENGTH)
    net_points, cut_points = net.points[:, : net.at], settled(cut.points[:, : cut.at])
    sound &= (tight >= WAIST) & (tight_side >= SIDE) & (LENGTH - hip_down > HEM)
    for _, _, depth in darts:
        sound &= depth < LENGTH
    sound &= whole(net_points) & whole(cut_points)
    return net_points, cut_points, closed, length(*side) + lower, sound


def settled(ring):
    """The ring, each point put where the one before it in the row lies, if that is nearer than `SETTLED`; the last ones run into the first."""
    near = np.sum((ring - np.roll(ring, 1, axis=1)) ** 2, axis=-1) < SETTLED**2
    closing = near[:, 0].copy()
    near[:, 0] = False
    for k in np.flatnonzero(near.any(axis=0)):
        ring[near[:, k], k] = ring[near[:, k], k - 1]
    for k in np.flatnonzero(closing):
        last = ring.shape[1] - 1 - int(np.argmin(near[k, ::-1]))
        ring[k, last:] = ring[k, 0]
    return ring


def whole(points):
    """Whether rings cross themselves nowhere (n,)."""
    return shapely.is_simple(shapely.linearrings(points))


def opening(y, intake, depth):
    """What a dart takes out at a depth; above the mouth its legs are carried on."""
    return np.maximum(intake * (depth - y) / depth, 0.0)


def sewn(y, width, darts):
    """A panel's sewn width at a depth, from what is intended there: a dart adds its whole intake while it is not past its point."""
    total = width
    for _, intake, depth in darts:
        total = total + np.where(y < depth, intake, 0.0) - opening(y, intake, depth)
    return total


def brought_to(target, drop, darts):
    """The waist (n,) of a panel whose sewn edge is so long: the secant method, from a panel of that waist."""

    def miss(waist):
        laid = darts(waist)
        return sum(folded(drop, waist + sum(intake for _, intake, _ in laid), laid)[1]) - target

    before, off = target, miss(target)
    now = before - off
    for _ in range(8):
        here = miss(now)
        if np.abs(here).max() <= FOUND:
            break
        with np.errstate(invalid="ignore", divide="ignore"):
            step = here * (now - before) / (here - off)
        before, off, now = now, here, now - np.where(np.isfinite(step), step, 0.0)
    return now


def drafted(waist, hip, waist_to_hip, found=False):
    """One chunk: pieces -> (net, cut), levels -> sewn girth, seams -> lengths, and the bodies that have a true pattern.

    With `found` it is `found_skirt.style`: the sewn waists are brought to measure.
    """
    n = len(waist)
    waist_quarter, hip_quarter = (waist + WAIST_EASE) / 4.0, (hip + HIP_EASE) / 4.0
    front_waist, back_waist = waist_quarter + 5.0, waist_quarter - 5.0
    front_intake, back_intake = np.full(n, FRONT_INTAKE), np.full(n, BACK_INTAKE)

    def front_dart(waist):
        return [
            (waist / 3.0 + FRONT_INTAKE / 2.0, front_intake, waist_to_hip - 100.0),
            (2.0 * waist / 3.0 + 1.5 * FRONT_INTAKE, front_intake, waist_to_hip - 110.0),
        ]

    def back_dart(waist):
        return [((waist + BACK_INTAKE) / 2.0, back_intake, waist_to_hip * 0.65)]

    if found:
        front_waist, back_waist = brought_to(front_waist, 8.0, front_dart), brought_to(back_waist, 15.0, back_dart)
    front_darts, back_darts = front_dart(front_waist), back_dart(back_waist)
    front = panel(8.0, front_waist, hip_quarter + 5.0, waist_to_hip, front_darts, 0.0, True)
    backs = panel(15.0, back_waist, hip_quarter - 5.0, waist_to_hip, back_darts, CENTRE_BACK, False)
    band = 2.0 * front[2] + 2.0 * backs[2] + LAP
    net, cut = Ring(n, 4), Ring(n, 12)
    deep, out = 2.0 * BAND, OTHERS
    for x, y in ((0.0, deep), (0.0, 0.0), (band, 0.0), (band, deep)):
        net.put(np.zeros(n) + x, y)
    for x, y in (
        (-out, deep),
        (-out, 0.0),
        (-out, -out),
        (0.0, -out),
        (band, -out),
        (band + out, -out),
        (band + out, 0.0),
        (band + out, deep),
        (band + out, deep + out),
        (band, deep + out),
        (0.0, deep + out),
        (-out, deep + out),
    ):
        cut.put(np.zeros(n) + x, y)
    sound = front[4] & backs[4] & whole(net.points) & whole(cut.points) & (band > 0.0)
    girths = {}
    for level, y, one, other in (
        ("waist", 0.0, front_waist, back_waist),
        ("hip", waist_to_hip, hip_quarter + 5.0, hip_quarter - 5.0),
        ("hem", LENGTH, hip_quarter + 5.0 + FLARE, hip_quarter - 5.0 + FLARE),
    ):
        girths[level] = 2.0 * (sewn(y, one, front_darts) + sewn(y, other, back_darts))
    girths["waist"] = 2.0 * (front[2] + backs[2])  # the upper edge, as it is sewn
    seams = {"side": (front[3], backs[3]), "band": (band, 2.0 * front[2] + 2.0 * backs[2])}
    sound &= np.abs(front[3] - backs[3]) <= SEAM_SLACK
    sound &= girths["hip"] - girths["waist"] >= 240.0 - 1e-3
    return {"front": front[:2], "back": backs[:2], "band": (net.points, cut.points)}, girths, seams, sound
