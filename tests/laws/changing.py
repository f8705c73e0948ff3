"""What the laws of changed pieces share: generated pieces, the draft of a style, and an outside look at the paper.

A generated piece is a ring of edges round a point O at which its darts end: 4 to 7 edges, straight or bent, drawn and
listed either way round, some of them darted, with named points within.  The measuring here goes by dense samples and
shapely, not by the means with which the compiler changes a piece.
"""

from typing import NamedTuple

import numpy as np
import shapely
from hypothesis import strategies as st
from workbench import told

from tapeline.drafting.run import draft
from tapeline.drafting.shapes import Undrawn
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

N = 2
STEPS, FINE = np.linspace(0.0, 1.0, 97), np.linspace(0.0, 1.0, 769)  # of one segment
HEAD = """language 1
style sheets "Sheets"
measure waist, waist_to_hip
choose home 0 cm
"""
# The measures that the sheets ask for, instead of the whole library, which takes longer to read than a sheet.
MEASURES = 'language 1\nlibrary measurements "Measures"\n' + "".join(
    f'measurement {name} "{name}"\n    kind girth\n    plausible 1 cm to 300 cm\n' for name in ("waist", "waist_to_hip")
)


class Few(FolderWorld):
    def library(self, name):
        return Source("measurements.style", MEASURES) if name == "measurements" else super().library(name)


def figures(seed, n=N):
    """Waists and hip depths (mm) of very different bodies."""
    random = np.random.default_rng(seed)
    return {"waist": random.uniform(580.0, 1050.0, n), "waist_to_hip": random.uniform(180.0, 240.0, n)}


def reading(text):
    return read(Source("sheets.style", HEAD + text), Few())


def drafts_of(text, measures, **choices):
    """All drafts of a style that must be in order; bodies may have been drafted apart."""
    style, said = reading(text)
    assert style is not None, "\n".join(render(one) for one in said) + "\n" + HEAD + text
    drafts = draft(style, measures, choices)
    for one in drafts:
        hold_planned(one)
    return drafts


def hold_planned(drafted):
    """Every changed shape has exactly the edges of the ring that its step plans, in that order, and the darts that are
    planned on them; of a part of a cut some darts may lie on the other."""
    parted = set()
    for step in drafted.plan.steps:
        shape = drafted.run.filled[step.out]
        if step.operation == "part" or parted.intersection(step.inputs):
            parted.add(step.out)
        if isinstance(shape, Undrawn):
            continue
        planned = [(step.options["ring"], shape)] if "ring" in step.options else []
        if "rings" in step.options:
            planned = list(zip(step.options["rings"], shape, strict=True))
        for ring, one in planned:
            assert tuple(edge.name for edge in one.edges) == ring.names
            for edge in one.edges:
                there, darts = {dart.name for dart in edge.darts}, {dart for dart, at in ring.darts.items() if at == edge.name}
                assert len(there) == len(edge.darts) and there <= darts
                assert there == darts or step.out in parted or "rings" in step.options


def sheet_of(text, measures, **choices):
    """The one draft of a style in order, with no error for any body."""
    drafts = drafts_of(text, measures, **choices)
    for one in drafts:
        assert not one.failed.any(), (
            "\n".join(render(two) for i in np.flatnonzero(one.failed) for two in told(one, i)) + "\n" + HEAD + text
        )
    assert len(drafts) == 1
    return drafts[0]


# ------------------------------------------------------------ generated pieces


class Sheet(NamedTuple):
    text: str
    edges: tuple[str, ...]  # in the order of the outline
    darts: dict[str, str]  # dart -> its edge
    stays: str  # the edge at which the piece stays
    inner: tuple[str, ...]  # named points within
    free: tuple[str, ...]  # edges that are not on a fold
    starts: dict[str, str]  # edge -> the corner at which it begins in the outline


@st.composite
def sheets(draw, least=1, most=3, bends=("line", "line", "hollow", "bowed", "arc", "through")):
    count = draw(st.integers(4, 7))
    turn = draw(st.integers(0, 359))
    names = [f"e{k}" for k in range(count)]
    lines = ['foundation front "Front"', "", "    point O start"]
    for k in range(count):
        angle = turn + 360.0 * k / count + draw(st.integers(-8, 8))
        lines.append(f"    point K{k} O at {angle:.1f} deg by waist / 4 * {draw(st.integers(70, 110))} / 100 + 2 cm")
    straight = []
    for k, name in enumerate(names):
        ends = [f"K{k}", f"K{(k + 1) % count}"][:: draw(st.sampled_from([1, -1]))]
        way, bend = f"{name} {ends[0]} to {ends[1]}", draw(st.sampled_from(bends))
        if bend == "line":
            straight.append(name)
            lines.append(f"    line {way}")
        elif bend == "arc":
            lines.append(f"    arc {way}, bowed {draw(st.integers(3, 9))} mm")
        elif bend == "through":
            lines += [
                f"    point T{k} {ends[0]} toward {ends[1]} by {draw(st.integers(35, 65))} / 100, toward O by 4 mm",
                f"    curve {way} through T{k}",
            ]
        else:
            lines.append(f"    curve {way}, {bend} {draw(st.integers(3, 9))} mm")
    first, way = draw(st.integers(0, count - 1)), draw(st.sampled_from([1, -1]))
    order = (names[first:] + names[:first])[::way]
    corners = [f"K{int(name[1:]) if way > 0 else (int(name[1:]) + 1) % count}" for name in order]
    lines.append(f"    outline {', '.join(order)}")
    inner = tuple(f"q{k}" for k in range(draw(st.integers(0, 3))))
    for name in inner:
        lines.append(f"    point {name} O at {draw(st.integers(0, 359))} deg by waist / 4 * {draw(st.integers(5, 55))} / 100")
    darted = draw(st.lists(st.sampled_from(names), min_size=least, max_size=most, unique=True))
    for name in darted:
        k = int(name[1:])
        lines += [
            f"    dart on {name} at {draw(st.integers(38, 62))} / 100, called dart_{name}",
            f"        intake {draw(st.integers(6, 30))} mm",
            "        point at O",
            f"        press toward {draw(st.sampled_from([f'K{k}', f'K{(k + 1) % count}']))}",
        ]
    folds = [name for name in straight if name not in darted]
    stays = draw(st.sampled_from(folds)) if folds and draw(st.booleans()) else None
    lines[1] = "    cut 2" if stays is None else f"    cut 1 on fold at {stays}"
    return Sheet(
        "\n".join(lines) + "\n",
        tuple(order),
        {f"dart_{name}": name for name in darted},
        stays or order[0],
        inner,
        tuple(name for name in order if name != stays),
        dict(zip(order, corners, strict=True)),
    )


def place(draw, far=True):
    """A part of an edge that no dart of a sheet comes near."""
    return f"{draw(st.integers(8, 20)) + (72 if far and draw(st.booleans()) else 0)} / 100"


# ------------------------------------------------------------ an outside look at the paper


def dense(path, steps=STEPS):
    """(N, K, 2): points close together along a path; segments without length for all bodies are passed over."""
    runs = [path.start()[:, None]]
    runs += [segment.sample(steps[1:]) for segment in path.segments if (segment.length() > 1e-6).any()]
    return np.concatenate(runs, axis=1)


def walk(path):
    """(N, 9, 2): points at equal lengths along a path."""
    return np.stack([path.point_at(path.length() * part) for part in np.linspace(0.0, 1.0, 9)], axis=1)


def polygons(piece):
    """The net piece of each body, with its darts cut out.  Darts that end at one point touch there."""
    return shapely.polygons(dense(piece.stitch_outline()))


def uncrossed(piece):
    """Whether the outline that is turned for seams crosses itself for no body."""
    return shapely.is_valid(shapely.remove_repeated_points(shapely.polygons(dense(piece.trued_outline())), 1e-6)).all()


def areas(piece):
    return shapely.area(shapely.polygons(dense(piece.stitch_outline(), FINE)))


def on_cloth(piece):
    """{name: (N,)}: whether a named point lies plainly within the net piece or on its outline, and not in an open dart."""
    cloth, points = polygons(piece), {name: shapely.points(point) for name, point in piece.points.items()}
    rims = shapely.get_exterior_ring(cloth)
    off = {name: shapely.distance(rims, at) for name, at in points.items()}
    return {name: (off[name] < 1e-4) | (off[name] > 0.05) & shapely.contains_xy(cloth, *piece.points[name].T) for name in points}


def misfit(one, other):
    """(N,): how far two runs of as many points differ at most after the best turn and shift, without mirroring."""
    one, other = (run[..., 0] + 1j * run[..., 1] for run in (one, other))
    one, other = (run - run.mean(axis=1, keepdims=True) for run in (one, other))
    turn = np.sum(np.conj(one) * other, axis=1, keepdims=True)
    return np.abs(one * turn / np.abs(turn) - other).max(axis=1)


def apart(one, other):
    """How far two runs of edges or paths are apart at most, each way, for any body."""
    worst = 0.0
    for a, b in ((one, other), (other, one)):
        lines = shapely.linestrings(dense(b, FINE))
        worst = max(worst, shapely.distance(shapely.points(dense(a, STEPS[::8])), lines[:, None]).max())
    return worst


def same_edge(one, other, within=1e-9):
    """Strip by strip and leg by leg the same points."""
    a, b = dense(one.stitch_path()), dense(other.stitch_path())
    return a.shape == b.shape and np.abs(a - b).max() <= within


def angles(piece):
    """What the darts of a piece take out at their points, together (N,): measured between the legs."""
    total = 0.0
    for dart in piece.darts():
        near, far = (foot - dart.point for foot in (dart.near_foot, dart.far_foot))
        total = total + np.abs(np.arctan2(near[:, 0] * far[:, 1] - near[:, 1] * far[:, 0], np.sum(near * far, axis=1)))
    return total
