"""The signs of a pattern: arrows, the fold bracket, notches, crosses and bars, each as strokes.

The same functions draw the pieces and the samples of the legend, so that the two cannot differ.  Forms
follow the common set that textbooks print (University of Arkansas open textbook on apparel production,
chapter 8): a grain arrow with two heads, a double-headed arrow with bent ends for a place on the fold,
short marks for notches; a button is a cross, a buttonhole a barred line (the same); a drill hole is circled (National
Instructional Media Institute, Dress Making, Trade Theory, 2024); a place such as the bust point is a circle with a cross (Threads,
"Pattern Road Map").  The signs of hook and loop are ours, after their shape.
"""

from __future__ import annotations

import math

from .model import Commands, Stroke, run

Point = tuple[float, float]

HEAD = 6.0  # length of an arrow's head, millimetres
HEAD_ANGLE = math.radians(18)


def _toward(p: Point, q: Point) -> tuple[float, float, float]:
    length = math.hypot(q[0] - p[0], q[1] - p[1])
    if length == 0:
        return 1.0, 0.0, 0.0
    return (q[0] - p[0]) / length, (q[1] - p[1]) / length, length


def head(tip: Point, ux: float, uy: float, size: float = HEAD) -> Commands:
    """The open head of an arrow pointing along the unit vector (ux, uy)."""
    wings = []
    for side in (1, -1):
        c, s = math.cos(HEAD_ANGLE), side * math.sin(HEAD_ANGLE)
        wings.append((tip[0] - size * (ux * c - uy * s), tip[1] - size * (uy * c + ux * s)))
    return run([wings[0], tip, wings[1]])


def grain_arrow(p: Point, q: Point, rule: str = "") -> list[Stroke]:
    ux, uy, _ = _toward(p, q)
    commands = run([p, q]) + head(q, ux, uy) + head(p, -ux, -uy)
    return [Stroke(commands, "grain", "grain", rule)]


def lay_arrow(fold: Point, laid: Point, rule: str = "", name: str = "") -> Stroke:
    """From a pleat's fold to the line that it is laid to; the head grows no longer than half the way."""
    ux, uy, reach = _toward(fold, laid)
    return Stroke(run([fold, laid]) + head(laid, ux, uy, min(HEAD, 0.5 * reach)), "sign", name, rule)


def fold_bracket(p: Point, q: Point, depth: float, inward: Point, rule: str = "") -> list[Stroke]:
    """A line `depth` inside the fold from p to q, its bent ends pointing at the fold."""
    (nx, ny), reach = inward, 1.5  # the tips stop just short of the fold
    inner = [(x + nx * depth, y + ny * depth) for x, y in (p, q)]
    tips = [(x + nx * reach, y + ny * reach) for x, y in (p, q)]
    commands = run([tips[0], inner[0], inner[1], tips[1]])
    for tip in tips:
        commands += head(tip, -nx, -ny, 4.5)
    return [Stroke(commands, "sign", "fold", rule)]


def notch(on_stitch: Point, on_cut: Point, rule: str = "", name: str = "", kind: str = "line") -> Stroke:
    """A mark from the cut line into the allowance: a line, a triangle to cut out, or a shorter slit to snip.

    Cut to its end it stays clear of the stitching.
    """
    ux, uy, width = _toward(on_cut, on_stitch)
    depth = min(4.0, 0.4 * width) if kind == "slit" else min(8.0, 0.6 * width)
    tip = (on_cut[0] + ux * depth, on_cut[1] + uy * depth)
    if kind != "triangle":
        return Stroke(run([on_cut, tip]), "notch", name, rule)
    base = [(on_cut[0] - side * uy * depth / 2, on_cut[1] + side * ux * depth / 2) for side in (1, -1)]
    return Stroke(run([base[0], tip, base[1]]), "notch", name, rule)


def cross(at: Point, size: float = 2.5) -> Stroke:
    x, y = at
    return Stroke(
        run([(x - size, y - size), (x + size, y + size)]) + run([(x - size, y + size), (x + size, y - size)]), "sign", "dart point"
    )


def drill(at: Point, name: str = "", rule: str = "") -> Stroke:
    """A hole in a circle."""
    return Stroke(circle(at, 0.4) + circle(at, 2.5), "drill", name, rule)


def place(at: Point, name: str = "", rule: str = "", size: float = 3.5) -> Stroke:
    """A circled cross."""
    x, y = at
    reach = 1.4 * size
    return Stroke(circle(at, size) + run([(x - reach, y), (x + reach, y)]) + run([(x, y - reach), (x, y + reach)]), "place", name, rule)


def button(at: Point, name: str = "", rule: str = "") -> Stroke:
    x, y = at
    size = 3.0
    return Stroke(
        run([(x - size, y - size), (x + size, y + size)]) + run([(x - size, y + size), (x + size, y - size)]), "button", name, rule
    )


def hook(at: Point, name: str = "", rule: str = "") -> Stroke:
    """A stem, bent back below the place."""
    x, y = at
    return Stroke(
        (*run([(x, y - 4.0), (x, y + 2.0)]), ("A", 2.0, False, False, x + 4.0, y + 2.0), ("L", x + 4.0, y)), "hook", name, rule
    )


def loop(at: Point, name: str = "", rule: str = "") -> Stroke:
    """A bow with two feet."""
    x, y = at
    return Stroke((("M", x - 4.0, y), ("L", x - 2.5, y), ("A", 2.5, False, True, x + 2.5, y), ("L", x + 4.0, y)), "loop", name, rule)


POINT_SIGNS = {"drill": drill, "place": place, "button": button, "hook": hook, "loop": loop}


def buttonhole(p: Point, q: Point, name: str = "", rule: str = "") -> Stroke:
    """A line with a bar at either end."""
    ux, uy, _ = _toward(p, q)
    bars = tuple(command for end in (p, q) for command in run([(end[0] - 2 * uy, end[1] + 2 * ux), (end[0] + 2 * uy, end[1] - 2 * ux)]))
    return Stroke(run([p, q]) + bars, "buttonhole", name, rule)


def circle(at: Point, radius: float) -> Commands:
    x, y = at
    return (
        ("M", x - radius, y),
        ("A", radius, False, True, x, y - radius),
        ("A", radius, False, True, x + radius, y),
        ("A", radius, False, True, x, y + radius),
        ("A", radius, False, True, x - radius, y),
    )


def bar(at: Point, along: Point, line: str, size: float, name: str = "", rule: str = "") -> Stroke:
    """A bar of length `size` across the direction `along`, its middle on `at`."""
    nx, ny = -along[1] * size / 2, along[0] * size / 2
    return Stroke(run([(at[0] - nx, at[1] - ny), (at[0] + nx, at[1] + ny)]), line, name, rule)
