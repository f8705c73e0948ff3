"""A pencil skirt drawn up by hand, net, for three bodies: half front on the fold, back, waistband.

Made-up figures of an invented workshop; the paper tests need a realistic pattern, not a published draft.
"""

from __future__ import annotations

import numpy as np

from tapeline.drafting.pattern import Allowance, Cut, Dart, Edge, Mark, Pattern, Piece, Seam
from tapeline.geometry.motion import Motion
from tapeline.geometry.path import Path
from tapeline.geometry.segments import Arc, Cubic, Line
from tapeline.meaning.cutting import Extra
from tapeline.source.text import Source, Span

RULES = Source("corselet_skirt.tape", "\n".join(f"rule {k}" for k in range(1, 60)))
WAIST = np.array([700.0, 760.0, 900.0])
HIP = np.array([950.0, 1004.0, 1130.0])
N = len(WAIST)
INTAKE = 12.0
WIDTHS = {"hem": (40.0, "turned up"), "waist": (10.0, "plain")}  # others 15 mm, plain


def said(line: int) -> Span:
    start = RULES.starts[line - 1]
    return Span(RULES, start, start + 4)


def at(x, y) -> np.ndarray:
    return np.stack([np.zeros(N) + x, np.zeros(N) + y], axis=-1)


def straight(p, q) -> Path:
    return Path((Line(p, q),))


def unit(v):
    return v / np.hypot(v[:, 0], v[:, 1])[:, None]


def darted_edge(name: str, line: int, p, q, places, lengths, pressed: str) -> Edge:
    """A straight edge from p to q with darts square to it at fractions of it; inward is +90 degrees."""
    along = unit(q - p)
    inward = np.stack([-along[:, 1], along[:, 0]], -1)
    strips, darts, start = [], [], p
    for k, (place, length) in enumerate(zip(places, lengths, strict=True), 1):
        middle = p + (q - p) * place
        near, far = middle - along * INTAKE / 2, middle + along * INTAKE / 2
        point = middle + inward * length
        half = np.arctan(INTAKE / 2 / length)
        peak = middle - inward * (INTAKE / 2 * np.tan(2 * half))
        turn = Motion.turn_onto(point, far, near)
        strips.append(straight(start, near))
        trued = Path((Line(near, peak), Line(peak, far)))
        legs = straight(near, point), straight(far, point)
        darts.append(Dart(f"dart_{k}", said(line + 1), point, *legs, turn, trued, pressed, np.full(N, INTAKE), np.full(N, INTAKE)))
        start = far
    strips.append(straight(start, q))
    return Edge(name, said(line), tuple(strips), tuple(darts))


def side_edge(waist, hip, hem) -> Path:
    """Down the side: a curve from waist to hip, arriving plumb, and a straight taper to the hem."""
    rise = hip[:, 1] - waist[:, 1]
    handles = [
        waist,
        waist + np.stack([(hip[:, 0] - waist[:, 0]) * 0.55, rise * 0.3], -1),
        hip - np.stack([0 * rise, rise * 0.45], -1),
        hip,
    ]
    return Path((Cubic(np.stack(handles, axis=1)), Line(hip, hem)))


def levels() -> dict[str, np.ndarray]:
    return {"waist": np.zeros(N), "hip": np.full(N, 205.0), "hem": np.full(N, 620.0)}


def front() -> Piece:
    quarter = (WAIST + 10) / 4 + 3 * INTAKE
    top, side = at(0, 8), at(quarter, -10)
    hip, hem = at((HIP + 20) / 4, 205), at((HIP + 20) / 4 - 25, 620)
    centre_hem = at(0, 620)
    waist = darted_edge("waist", 12, top, side, (0.3, 0.55, 0.8), (85.0, 100.0, 115.0), "near")
    edges = (
        Edge("centre", said(11), (straight(centre_hem, top),)),
        waist,
        Edge("side", said(16), (side_edge(side, hip, hem),)),
        Edge("hem", said(17), (straight(hem, centre_hem),)),
    )
    bones = []
    for k, dart in enumerate(waist.darts, 1):
        foot = (dart.near_foot + dart.far_foot) / 2
        channel = straight(foot + (dart.point - foot) * 0.12, foot + (dart.point - foot) * 0.9)
        bones.append(Mark("bone", f"bone_{k}", said(20), channel, length=np.full(N, 70.0 + 5 * k)))
    return Piece("front", "Front", said(10), edges, Cut(1, fold="centre"), {}, at(0, 1), levels=levels(), marks=tuple(bones))


def back() -> Piece:
    quarter = (WAIST + 10) / 4 + INTAKE
    top, side = at(0, 14), at(quarter, -10)
    hip, hem = at((HIP + 20) / 4, 205), at((HIP + 20) / 4 - 25, 620)
    centre_hem = at(0, 620)
    zip_mark = Mark("zip", "zip", said(30), straight(top, at(0, 190)), length=np.full(N, 180.0), edge="centre")
    pocket = Mark("placement", "patch_pocket", said(31), straight(at(60, 240), at(170, 236)))
    edges = (
        Edge("centre", said(22), (straight(centre_hem, top),)),
        darted_edge("waist", 23, top, side, (0.5,), (140.0,), "near"),
        Edge("side", said(26), (side_edge(side, hip, hem),)),
        Edge("hem", said(27), (straight(hem, centre_hem),)),
    )
    return Piece(
        "back",
        "Back",
        said(21),
        edges,
        Cut(2, paired=True, extras=(Extra(2, "lining"),)),
        {},
        at(0, 1),
        levels=levels(),
        marks=(zip_mark, pocket),
    )


def waistband() -> Piece:
    """Its wrap end is half a round, so that an arc is drawn too."""
    length, deep = WAIST + 30, 36.0
    a, b, c, d = at(0, 0), at(length, 0), at(length, deep), at(0, deep)
    end = Path((Arc(at(length, deep / 2), np.full(N, deep / 2), np.full(N, -np.pi / 2), np.full(N, np.pi)),))
    edges = (
        Edge("upper", said(41), (straight(a, b),)),
        Edge("wrap_end", said(42), (end,)),
        Edge("lower", said(43), (straight(c, d),)),
        Edge("plain_end", said(44), (straight(d, a),)),
    )
    cut = Cut(2, extras=(Extra(1, "interfacing"),))
    return Piece("waistband", "Waistband", said(40), edges, cut, {}, at(1, 0))


def skirt() -> Pattern:
    pieces = (front(), back(), waistband())
    allowances = {}
    for piece in pieces:
        for edge in piece.edges:
            width, kind = WIDTHS.get(edge.name, (15.0, "plain"))
            if piece.name == "back" and edge.name == "centre":
                width, kind = 25.0, "for zip"
            if edge.name == piece.cut.fold:
                width, kind = 0.0, "none"
            allowances[piece.name, edge.name] = Allowance(edge.name, np.full(N, width), kind, said(50))
    seams = (Seam(said(48), (("front", "side"),), (("back", "side"),), np.zeros(N), 1.0),)
    return Pattern(N, pieces, seams, allowances, {}, level_order=("waist", "hip", "hem"))
