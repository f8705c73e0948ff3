"""Laws of cutting, spreading and pleating, over generated pieces, bodies and places.

Areas and places are looked at with shapely; of plain rectangles the figures are known in closed form.
"""

import numpy as np
import shapely
from changing import areas, dense, figures, misfit, on_cloth, place, same_edge, sheet_of, sheets, uncrossed, walk
from hypothesis import given, settings
from hypothesis import strategies as st

from tapeline.geometry.plane import distance

law = settings(max_examples=10, deadline=None)
few = settings(max_examples=6, deadline=None)
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
    rows = [
        row
        for row in draft.ledgers.seams
        if {row.one.split(" ")[0], row.other.split(" ")[0]} == {f"{parts[0]}.{seam}", f"{parts[1]}.{seam}"}
    ]
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
                f"    shorten {dart} by {draw(st.integers(8, 20))} mm\n" for dart in others
            )
    else:
        k = draw(st.integers(0, count - 1))
        from_edge = sheet.edges[k]
        to_edge = sheet.edges[(k + (1 if sort == "neighbours" else draw(st.integers(2, count - 2)))) % count]
        if sort == "neighbours":
            stops = f"from {from_edge} at {draw(st.integers(30, 70))} / 100 to {to_edge} at {draw(st.integers(30, 70))} / 100"
        else:
            form = "line cutting S to O to T" if sort == "straight" else "curve cutting S to T through O"
            ends = [(from_edge, "S"), (to_edge, "T")]
            lines = (
                "".join(
                    f"    point {name} along {edge} from {sheet.starts[edge]} by {draw(st.integers(25, 75))} / 100\n"
                    for edge, name in ends
                )
                + f"    {form}\n"
            )
            stops = f"from {from_edge} to {to_edge} along cutting"
            if draw(st.booleans()):
                stops = f"from {to_edge} to {from_edge} along cutting"
    after = sheet.edges[(sheet.edges.index(from_edge) + 1) % count]
    return (
        whole,
        f"""{sheet.text}{lines}cut {whole} {stops}, seam cut_seam
    piece one holding {sheet.starts[after]}
        cut 2
    piece other
        cut 2
""",
    )


@given(cuts(), seeds)
@law
def test_a_piece_cut_in_two(case, seed):
    whole, text = case
    hold_cut(sheet_of(text, figures(seed)), whole)


@st.composite
def yokes(draw):
    """A skirt front with one or two darts in its waist, cut across them; all that is told of them."""
    count, ring = draw(st.sampled_from([1, 2])), ["centre", "waist", "side", "hem"]
    ring = (ring[draw(st.integers(0, 3)) :] + ring)[:4][:: draw(st.sampled_from([1, -1]))]
    ring = ring if len(set(ring)) == 4 else ["centre", "waist", "side", "hem"]
    low = [draw(st.integers(60, 90)) for _ in range(2)]
    aims = ["", ", plumb", ", toward C", ", toward D"][: 4 if count == 1 else 2]
    darts = "".join(
        f"""    dart on waist at {at} / 100, called take{k}
        intake {draw(st.integers(10, 30))} mm
        point {draw(st.integers(120, 150))} mm long{draw(st.sampled_from(aims))}
"""
        for k, at in enumerate([50] if count == 1 else [32, 68])
    )
    way = draw(
        st.sampled_from(
            ["line across S to T", "curve across S to T, leaving level", "curve across T to S, hollow 6 mm up", "line across T to S"]
        )
    )
    ends = draw(st.sampled_from([("centre", "side"), ("side", "centre")]))
    names = " and ".join(f"take{k}" for k in range(count))
    marks = "\n    ".join(f"point u{k} v{k} up {draw(st.integers(8, 50))} mm" for k in range(9))
    return (
        f"""foundation front "Front"
    cut 1 on fold at centre
    point A start
    point B A right waist / 4 + 2 cm, up {draw(st.integers(0, 12))} mm
    point C A down 45 cm
    point D B right {draw(st.integers(5, 30))} mm, down 46 cm
    line centre {draw(st.sampled_from(["A to C", "C to A"]))}
    {draw(st.sampled_from(["line waist A to B", "curve waist A to B, leaving level", "curve waist B to A, hollow 4 mm"]))}
    {draw(st.sampled_from(["line side B to D", "curve side B to D, bowed 6 mm"]))}
    line hem D to C
    outline {", ".join(ring)}
    point S along centre from A by {low[0]} mm
    point T along side from B by {low[1]} mm
    {way}
    points {", ".join(f"v{k}" for k in range(9))} divide S to T
    {marks}
{darts}cut front from {ends[0]} to {ends[1]} along across, closing {names}, seam yoke_line
    piece yoke holding waist
        cut 1 on fold at centre
    piece skirt holding hem
        cut 1 on fold at centre
""",
        count,
    )


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


# ------------------------------------------------------------ spreading and pleating


@st.composite
def spreads(draw):
    """A piece without darts and two of its edges, to be slashed from the one to the other."""
    sheet = draw(sheets(0, 0))
    edge = draw(st.sampled_from(sheet.free))
    other = draw(st.sampled_from([name for name in sheet.free if name != edge]))
    return sheet, edge, other, draw(st.integers(1, 4))


def slashes(front, edge, other, count):
    """(N, count): how long the slashes are that stand evenly on both edges."""
    a, b = (front.edge(name).closed for name in (edge, other))
    parts = [k / (count + 1) for k in range(1, count + 1)]
    return np.stack([distance(a.point_at(a.length() * part), b.point_at(b.length() * (1.0 - part))) for part in parts], axis=1)


def turned(before, after):
    """(N,): by how much the end of an edge has been turned against its beginning."""

    def bend(edge):
        one, other = edge.strips[0].start_direction(), edge.strips[-1].end_direction()
        return np.arctan2(other[:, 1], other[:, 0]) - np.arctan2(one[:, 1], one[:, 0])

    return np.mod(bend(after) - bend(before) + np.pi, 2.0 * np.pi) - np.pi


def hold_untouched(front, piece, sheet, edges):
    assert [edge.name for edge in piece.edges] == list(sheet.edges)
    for edge in front.edges:
        now = piece.edge(edge.name)
        if edge.name not in edges:
            assert np.abs(now.closed_length() - edge.closed_length()).max() < 1e-6
            assert misfit(dense(edge.closed), dense(now.closed)).max() < 1e-6
    stays = front.edge(sheet.stays)
    assert distance(stays.start(), piece.edge(sheet.stays).start()).max() < 1e-9
    if sheet.stays not in edges:
        assert same_edge(stays, piece.edge(sheet.stays))
    assert uncrossed(piece)


@given(spreads(), seeds, st.integers(5, 40), st.booleans())
@law
def test_a_piece_spread_from_a_hinge(case, seed, amount, each):
    sheet, edge, other, count = case
    text = (
        sheet.text
        + f"""piece wide from front
    spread {edge} by {amount} mm {"each" if each else "in all"}, hinged on {other}, in {count} cuts
"""
    )
    pattern = sheet_of(text, figures(seed)).pattern
    front, wide = pattern.piece("front"), pattern.piece("wide")
    hold_untouched(front, wide, sheet, {edge, other})
    hinged = wide.edge(other)
    assert np.abs(hinged.closed_length() - front.edge(other).closed_length()).max() < 1e-8
    opening, long = amount / (1 if each else count), slashes(front, edge, other, count)
    angle = 2.0 * np.arcsin(opening / 2.0 / long)
    for name in (edge, other):
        assert np.abs(np.abs(turned(front.edge(name), wide.edge(name))) - angle.sum(axis=1)).max() < 1e-6
    wedges = (opening / 2.0 * np.sqrt(long**2 - opening**2 / 4.0)).sum(axis=1)
    grown = areas(wide) - areas(front)
    # The edge runs over the wedges as one fair line, within 5 mm of where it ran straight across.
    assert (np.abs(grown - wedges) < 5.0 * wide.edge(edge).closed_length()).all()
    assert (wide.edge(edge).closed_length() > front.edge(edge).closed_length()).all()


@given(spreads(), seeds, st.integers(5, 40), st.integers(0, 30))
@few
def test_a_slash_along_a_line_is_the_slash_at_its_ends(case, seed, amount, more):
    sheet, edge, other, _ = case
    ends = "".join(f"    point {name} along {at} from {sheet.starts[at]} by 1/2\n" for name, at in (("S", edge), ("T", other)))
    text = (
        sheet.text
        + ends
        + f"""    line slash T to S
piece even from front
    spread {edge} by {amount} mm and {other} by {more} mm, in 1 cuts
piece drawn from front
    spread {edge} by {amount} mm and {other} by {more} mm, along slash
"""
    )
    pattern = sheet_of(text, figures(seed)).pattern
    for one, two in zip(pattern.piece("even").edges, pattern.piece("drawn").edges, strict=True):
        assert same_edge(one, two, 1e-6)


@given(spreads(), seeds, st.integers(5, 40), st.booleans())
@law
def test_a_piece_spread_alike_at_both_edges(case, seed, amount, each):
    sheet, edge, other, count = case
    share = "each" if each else "in all"
    text = (
        sheet.text
        + f"""piece wide from front
    spread {edge} by {amount} mm {share} and {other} by {amount} mm {share}, in {count} cuts
"""
    )
    pattern = sheet_of(text, figures(seed)).pattern
    front, wide = pattern.piece("front"), pattern.piece("wide")
    hold_untouched(front, wide, sheet, {edge, other})
    for name in (edge, other):
        assert np.abs(turned(front.edge(name), wide.edge(name))).max() < 1e-9
    shift = distance(wide.edge(edge).start() - front.edge(edge).start(), wide.edge(edge).end() - front.edge(edge).end())
    assert (shift <= amount * (count if each else 1) + 1e-6).all()
    strips = (slashes(front, edge, other, count) * amount / (1 if each else count)).sum(axis=1)
    grown = areas(wide) - areas(front)
    assert (np.abs(grown - strips) < 5.0 * (wide.edge(edge).closed_length() + wide.edge(other).closed_length())).all()


RECTANGLE = """foundation front "Front"
    cut 1 on fold at centre
    point A start
    point B A across waist / 4
    point C A down waist_to_hip * 2
    point D B down waist_to_hip * 2
    line centre {}
    line waist {}
    line side {}
    line hem {}
    outline {}
"""


@st.composite
def rectangles(draw):
    ends = [draw(st.permutations(pair)) for pair in ("AC", "AB", "BD", "CD")]
    ring = ["centre", "waist", "side", "hem"]
    k = draw(st.integers(0, 3))
    return RECTANGLE.format(
        *(f"{one} to {other}" for one, other in ends), ", ".join((ring[k:] + ring[:k])[:: draw(st.sampled_from([1, -1]))])
    )


@given(rectangles(), seeds, st.integers(5, 60), st.integers(1, 5), st.sampled_from([("waist", "hem"), ("hem", "waist")]))
@few
def test_a_rectangle_spread(text, seed, amount, count, edges):
    """In closed form: parallel, it stays a rectangle; hinged, its sides turn by 2 asin(x / 2 l) for every slash of length l."""
    one, other = edges
    text += f"""piece parallel from front
    spread {one} by {amount} mm each and {other} by {amount} mm each, in {count} cuts
piece hinged from front
    spread {one} by {amount} mm each, hinged on {other}, in {count} cuts
piece taper from front
    spread {one} by {amount} mm each and {other} by {amount / 2} mm each, in {count} cuts
"""
    measures = figures(seed)
    wide, high = measures["waist"] / 4.0, 2.0 * measures["waist_to_hip"]
    pattern = sheet_of(text, measures).pattern
    parallel, hinged, taper = (pattern.piece(name) for name in ("parallel", "hinged", "taper"))
    assert np.abs(areas(parallel) - (wide + count * amount) * high).max() < 0.01
    for name in edges:
        assert np.abs(parallel.edge(name).closed_length() - wide - count * amount).max() < 1e-6
    for piece, opening in ((hinged, amount), (taper, amount / 2)):
        angle = np.abs(np.arcsin(unit_cross(piece.edge("centre"), piece.edge("side"))))
        assert np.abs(angle - 2.0 * count * np.arcsin(opening / 2.0 / high)).max() < 1e-9
        for name in ("centre", "side"):
            assert np.abs(piece.edge(name).closed_length() - high).max() < 1e-9
    assert np.abs(hinged.edge(other).closed_length() - wide).max() < 1e-9
    # Of strips and wedges alone the edge would be a polygon in an arc about the hinges; the fair line rounds its corners.
    angle = 2.0 * count * np.arcsin(amount / 2.0 / high)
    polygon = wide * high + count * amount / 2.0 * np.sqrt(high**2 - amount**2 / 4.0)
    rounding = angle * wide**2 / 8.0
    assert (areas(hinged) > polygon - rounding).all() and (areas(hinged) < wide * high + angle * high**2 / 2.0 + rounding).all()


def unit_cross(one, other):
    a, b = one.strips[0].start_direction(), other.strips[0].start_direction()
    return a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]


@given(spreads(), seeds, st.integers(4, 20), st.integers(4, 20), st.data())
@law
def test_pleats_keep_what_is_sewn(case, seed, deep, deeper, data):
    sheet, edge, other, count = case
    end = data.draw(st.sampled_from([sheet.starts[edge], sheet.starts[sheet.edges[(sheet.edges.index(edge) + 1) % len(sheet.edges)]]]))
    tapered = f", {deeper} mm deep at {other}" if deeper != deep else ""
    text = (
        sheet.text
        + f"""piece full from front
    pleats {count} on {edge} to {other}, {deep} mm deep{tapered}, called fold, pressed toward {end}
"""
    )
    pattern = sheet_of(text, figures(seed)).pattern
    front, full = pattern.piece("front"), pattern.piece("full")
    hold_untouched(front, full, sheet, {edge, other})
    laid = full.edge(edge)
    assert np.abs(laid.closed_length() - front.edge(edge).closed_length()).max() < 1e-6
    assert sorted(dart.name for dart in laid.darts) == [f"fold{k + 1}" for k in range(count)]
    assert misfit(walk(front.edge(edge).closed), walk(laid.closed)).max() < 1e-5  # folded, it runs as it was drawn
    long = slashes(front, edge, other, count)
    for dart in laid.darts:
        assert dart.kind == "pleat" and np.abs(dart.intake - 2.0 * deep).max() < 1e-6
        assert np.abs(dart.near_leg.length() - dart.far_leg.length()).max() < 1e-6
        assert np.abs(dart.fold.points(dense(dart.far_leg)) - dense(dart.near_leg)).max() < 1e-6
        inner = distance(dart.near_leg.end(), dart.far_leg.end())
        assert np.abs(inner - 2.0 * deeper).max() < 1e-6
        assert np.abs(long - dart.near_leg.length()[:, None]).min(axis=1).max() < 1e-6
        assert dart.press == ("near" if end == sheet.starts[edge] else "far")
    grown = full.edge(other).closed_length() - front.edge(other).closed_length()
    assert np.abs(grown - 2.0 * deeper * count).max() < 1e-6


@given(rectangles(), seeds, st.integers(5, 40), st.integers(1, 6))
@few
def test_a_rectangle_pleated(text, seed, deep, count):
    """Parallel pleats add twice their depth by the height of the piece, and no more."""
    text += f"piece full from front\n    pleats {count} on waist to hem, {deep} mm deep\n"
    measures = figures(seed)
    wide, high = measures["waist"] / 4.0, 2.0 * measures["waist_to_hip"]
    full = sheet_of(text, measures).pattern.piece("full")
    grown = wide + 2.0 * deep * count
    assert np.abs(areas(full) - grown * high).max() < 0.01
    assert np.abs(full.edge("hem").closed_length() - grown).max() < 1e-6
    assert np.abs(full.edge("waist").closed_length() - wide).max() < 1e-9
    assert np.abs(full.edge("waist").stitch_path().length() - grown).max() < 1e-6
    for name in ("centre", "side"):
        assert np.abs(full.edge(name).closed_length() - high).max() < 1e-9
