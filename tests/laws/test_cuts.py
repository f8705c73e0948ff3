"""Laws of cutting, spreading and pleating, over generated pieces, bodies and places.

Areas and places are looked at with shapely; of plain rectangles the figures are known in closed form.
"""

import numpy as np
import shapely
from changing import areas, dense, figures, misfit, on_cloth, place, same_edge, sheet_of, sheets, uncrossed
from hypothesis import given, settings
from hypothesis import strategies as st

from tapeline.geometry.plane import distance

law = settings(max_examples=15, deadline=None)
few = settings(max_examples=8, deadline=None)
seeds = st.integers(0, 2**32 - 1)


# ------------------------------------------------------------ cutting in two


def hold_cut(draft, whole, seam="cut_seam", parts=("one", "other")):
    """What a cut keeps where nothing is closed: cloth, lengths, and the place of everything."""
    pattern = draft.pattern
    source, (one, other) = pattern.piece(whole), (pattern.piece(name) for name in parts)
    assert np.abs(areas(one) + areas(other) - areas(source)).max() < 0.05
    for edge in source.edges:
        here = [piece.edge(edge.name) for piece in (one, other) if edge.name in [known.name for known in piece.edges]]
        assert here, edge.name
        error = np.abs(sum(part.closed_length() for part in here) - edge.closed_length())
        assert error.max() < 1e-6, error
        if len(here) == 1:
            assert same_edge(edge, here[0])
    hold_seam(draft, seam, parts)
    for piece in (one, other):
        assert uncrossed(piece)
        for dart in piece.darts():
            mine = next(known for known in source.darts() if known.name == dart.name)
            assert distance(dart.point, mine.point).max() < 1e-9 and distance(dart.near_foot, mine.near_foot).max() < 1e-9
        for name, point in piece.points.items():
            if name in source.points:
                assert distance(point, source.points[name]).max() < 1e-9


def hold_seam(draft, seam, parts):
    """Both parts have the new edge, of one length, and the ledger sews them without being told."""
    one, other = (draft.pattern.piece(name) for name in parts)
    length = one.edge(seam).closed_length()
    assert np.abs(length - other.edge(seam).closed_length()).max() < 1e-6
    rows = [row for row in draft.ledgers.seams if {row.one.split(" ")[0], row.other.split(" ")[0]}
            == {f"{parts[0]}.{seam}", f"{parts[1]}.{seam}"}]
    assert len(rows) == 1
    for piece in (one, other):
        for edge, after in zip(piece.edges, piece.edges[1:] + piece.edges[:1], strict=True):
            assert distance(edge.end(), after.start()).max() < 1e-6


@st.composite
def cuts(draw):
    """A cut through one dart or two, or straight or curved from edge to edge; and the corner that the first part holds."""
    sort = draw(st.sampled_from(["dart", "darts", "straight", "curved", "neighbours"]))
    sheet = draw(sheets(*{"dart": (1, 3), "darts": (2, 3)}.get(sort, (0, 0))))
    count, lines, whole = len(sheet.edges), "", "front"
    if sort in ("dart", "darts"):
        one = draw(st.sampled_from(sorted(sheet.darts)))
        from_edge = sheet.darts[one]
        start = one
        if sort == "darts":
            end = draw(st.sampled_from([dart for dart in sorted(sheet.darts) if dart != one]))
            to_edge = sheet.darts[end]
        else:
            to_edge = draw(st.sampled_from([edge for edge in sheet.edges if edge != from_edge]))
            end = f"{to_edge} at {place(draw)}"
        stops = f"from {start} to {end}"
        others = [dart for dart in sheet.darts if dart not in (start, end)]
        if others:  # their points may not lie on the cut
            whole = "ready"
            lines = "foundation ready from front\n" + "".join(
                f"    shorten {dart} by {draw(st.integers(8, 20))} mm\n" for dart in others)
    else:
        k = draw(st.integers(0, count - 1))
        from_edge = sheet.edges[k]
        to_edge = sheet.edges[(k + (1 if sort == "neighbours" else draw(st.integers(2, count - 2)))) % count]
        if sort == "neighbours":
            stops = f"from {from_edge} at {draw(st.integers(30, 70))} / 100 to {to_edge} at {draw(st.integers(30, 70))} / 100"
        else:
            form = "line cutting S to O to T" if sort == "straight" else "curve cutting S to T through O"
            ends = [(from_edge, "S"), (to_edge, "T")]
            lines = "".join(f"    point {name} along {edge} from {sheet.starts[edge]} by {draw(st.integers(25, 75))} / 100\n"
                            for edge, name in ends) + f"    {form}\n"
            stops = f"from {from_edge} to {to_edge} along cutting"
            if draw(st.booleans()):
                stops = f"from {to_edge} to {from_edge} along cutting"
    after = sheet.edges[(sheet.edges.index(from_edge) + 1) % count]
    return whole, f"""{sheet.text}{lines}cut {whole} {stops}, seam cut_seam
    piece one holding {sheet.starts[after]}
        cut 2
    piece other
        cut 2
"""


@given(cuts(), seeds)
@law
def test_a_piece_cut_in_two(case, seed):
    whole, text = case
    hold_cut(sheet_of(text, figures(seed)), whole)


@st.composite
def yokes(draw):
    """A skirt front with one or two darts in its waist, cut across them; all that is told of them."""
    count, ring = draw(st.sampled_from([1, 2])), ["centre", "waist", "side", "hem"]
    ring = (ring[draw(st.integers(0, 3)):] + ring)[:4][::draw(st.sampled_from([1, -1]))]
    ring = ring if len(set(ring)) == 4 else ["centre", "waist", "side", "hem"]
    low = [draw(st.integers(60, 90)) for _ in range(2)]
    darts = "".join(f"""    dart on waist at {at} / 100, called take{k}
        intake {draw(st.integers(10, 30))} mm
        point {draw(st.integers(120, 150))} mm long{draw(st.sampled_from(['', ', plumb', ', toward C', ', toward D']) if count == 1 else st.sampled_from(['', ', plumb']))}
""" for k, at in enumerate([50] if count == 1 else [32, 68]))
    way = draw(st.sampled_from(["line across S to T", "curve across S to T, leaving level", "curve across T to S, hollow 6 mm up",
                                "line across T to S"]))
    ends = draw(st.sampled_from([("centre", "side"), ("side", "centre")]))
    names = " and ".join(f"take{k}" for k in range(count))
    marks = "\n    ".join(f"point u{k} v{k} up {draw(st.integers(8, 50))} mm" for k in range(9))
    return f"""foundation front "Front"
    cut 1 on fold at centre
    point A start
    point B A right waist / 4 + 2 cm, up {draw(st.integers(0, 12))} mm
    point C A down 45 cm
    point D B right {draw(st.integers(5, 30))} mm, down 46 cm
    line centre {draw(st.sampled_from(['A to C', 'C to A']))}
    {draw(st.sampled_from(['line waist A to B', 'curve waist A to B, leaving level', 'curve waist B to A, hollow 4 mm']))}
    {draw(st.sampled_from(['line side B to D', 'curve side B to D, bowed 6 mm']))}
    line hem D to C
    outline {', '.join(ring)}
    point S along centre from A by {low[0]} mm
    point T along side from B by {low[1]} mm
    {way}
    points {', '.join(f'v{k}' for k in range(9))} divide S to T
    {marks}
{darts}cut front from {ends[0]} to {ends[1]} along across, closing {names}, seam yoke_line
    piece yoke holding waist
        cut 1 on fold at centre
    piece skirt holding hem
        cut 1 on fold at centre
""", count


@given(yokes(), seeds)
@law
def test_a_yoke_has_its_darts_closed(case, seed):
    text, count = case
    draft = sheet_of(text, figures(seed))
    front, yoke, skirt = (draft.pattern.piece(name) for name in ("front", "yoke", "skirt"))
    assert yoke.darts() == [] and sorted(dart.name for dart in skirt.darts()) == [f"take{k}" for k in range(count)]
    hold_seam(draft, "yoke_line", ("yoke", "skirt"))
    assert np.abs(yoke.edge("waist").closed_length() - front.edge("waist").closed_length()).max() < 1e-6
    for name in ("centre", "side"):
        parts = [piece.edge(name).closed_length() for piece in (yoke, skirt)]
        assert np.abs(sum(parts) - front.edge(name).closed_length()).max() < 1e-6
    assert same_edge(front.edge("hem"), skirt.edge("hem"))
    angles = {dart.name: np.abs(dart.fold.angle()) for dart in front.darts()}
    for dart in skirt.darts():
        mine = next(known for known in front.darts() if known.name == dart.name)
        assert distance(dart.point, mine.point).max() < 1e-9
        assert np.abs(np.abs(dart.fold.angle()) - angles[dart.name]).max() < 1e-6  # the lower half of the same wedge
        assert np.abs(dart.near_leg.length() - dart.far_leg.length()).max() < 1e-6
        for foot, leg in ((dart.near_foot, mine.near_leg), (dart.far_foot, mine.far_leg)):
            assert shapely.distance(shapely.linestrings(dense(leg)), shapely.points(foot)).max() < 1.0
    hold_named(front, yoke)
    # Sewn up, the seams run on as one line: the yoke's edge is the skirt's with its darts folded.
    assert misfit(dense(yoke.edge("yoke_line").closed), dense(skirt.edge("yoke_line").closed.reversed())).max() < 1e-6
    # What the feet lie off their old legs moves a little cloth into or out of the darts, no more.
    assert np.abs(areas(yoke) + areas(skirt) - areas(front)).max() < 60.0
    assert uncrossed(yoke) and uncrossed(skirt)


def hold_named(front, yoke):
    """Named points above the line stay on the cloth, and keep the place that they have between the darts: those before the
    first with the centre, those after the last with the side, others as far from the waist between."""
    cloth, after = on_cloth(front), on_cloth(yoke)
    feet = [[dart.near_foot, dart.far_foot] for dart in front.darts()]
    points = [dart.point for dart in front.darts()]
    if feet[0][0][0, 0] > feet[0][1][0, 0]:  # the outline runs the other way
        feet = [pair[::-1] for pair in feet]
    bounds = [[np.stack([side, point]) for side in pair] for pair, point in zip(feet, points, strict=True)]
    order = np.argsort([float(point[0, 0]) for point in points])
    bounds = [bounds[k] for k in order]
    for k in range(9):
        p, q = front.points[f"u{k}"], yoke.points[f"u{k}"]
        here = cloth[f"u{k}"] & (p[:, 1] > 15.0)
        assert after[f"u{k}"][here].all(), k
        sector = sum((right_of(p, leg[1]).astype(int) for leg in bounds), np.zeros(len(p), dtype=int))
        for corner, part in (("A", 0), ("B", len(bounds))):
            mine = here & (sector == part)
            a, b = front.points[corner], yoke.points[corner]
            assert np.abs(distance(p, a) - distance(q, b))[mine].max(initial=0.0) < 1e-6, (k, corner)


def right_of(p, leg):
    """Whether points lie to the right of a leg from its foot to the dart's point, which lies below."""
    (foot, point) = leg
    way = point - foot
    return way[:, 0] * (p[:, 1] - foot[:, 1]) - way[:, 1] * (p[:, 0] - foot[:, 0]) < 0.0
