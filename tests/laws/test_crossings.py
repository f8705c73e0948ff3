"""Laws of outlines that cross themselves: told for just those bodies, by the names of edges that do cross, at the place where they do.

The witness is shapely: each edge is a line of its own points, and what two lines share but for a common end is their crossing.
"""

import re
from itertools import combinations

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from workbench import style_of

from tapeline.drafting.run import draft

BODIES = 6
END = 0.05  # mm round a shared end within which lines may touch
FOUND = re.compile(r"(\w+)(?: and (\w+))? (?:cross|touch)(?:es itself)? (-?[\d.]+) cm across and (-?[\d.]+) cm down")


@st.composite
def outlines(draw):
    """A closed outline of three to seven edges between places anywhere, which differ from body to body."""
    count = draw(st.integers(3, 7))
    names = [f"e{k}" for k in range(count)]
    lines = ["language 1", 'style ring "Ring"', "measure waist, hip", 'piece ring "Ring"', "    cut 1", "    point O start"]
    for k in range(count):
        across, down = draw(st.integers(-30, 30)), draw(st.integers(-30, 30))
        lean = draw(st.sampled_from(["", ", right (hip - waist) / 4", ", down (hip - waist) / 3", ", left waist / 10"]))
        lines.append(f"    point K{k} O right {across} cm, down {down} cm{lean}")
    for k, name in enumerate(names):
        start, end = (f"K{k}", f"K{(k + 1) % count}")[:: draw(st.sampled_from([1, -1]))]
        bend = draw(st.sampled_from(["line", "line", "hollow", "bowed", "leaving"]))
        if bend == "line":
            lines.append(f"    line {name} {start} to {end}")
        elif bend == "leaving":
            lines.append(f"    curve {name} {start} to {end}, leaving at {draw(st.integers(0, 359))} deg")
        else:
            lines.append(f"    curve {name} {start} to {end}, {bend} {draw(st.integers(1, 12))} cm")
    return "\n".join([*lines, f"    outline {', '.join(names)}"]) + "\n", names


def crossings(lines, ends):
    """(one, other) -> what the lines share beyond the ends that they have in common; a line alone where it meets itself."""
    shared = {}
    for one, other in combinations(range(len(lines)), 2):
        common = [end for end in ends[one] if any(np.hypot(*(end - place)) < 1e-6 for place in ends[other])]
        meeting = lines[one].intersection(lines[other])
        for end in common:
            meeting = meeting.difference(shapely.Point(end).buffer(END))
        if not meeting.is_empty:
            shared[one, other] = meeting
    return shared


@given(outlines(), st.integers(0, 2**32 - 1))
@settings(max_examples=80, deadline=None)
def test_the_edges_that_cross_are_named_with_their_place(made, seed):
    text, names = made
    random = np.random.default_rng(seed)
    waist = random.uniform(500.0, 1200.0, BODIES)
    drafts = draft(style_of(text), {"waist": waist, "hip": waist + random.uniform(-200.0, 300.0, BODIES)})
    for drafted in drafts:
        piece = drafted.pattern.piece("ring")
        told = next((failure for failure in drafted.failures if failure.code == "D440"), None)
        for body in range(len(drafted.index)):
            others = {failure.code for failure in drafted.failures if failure.severity == "error" and failure.bodies[body]} - {"D440"}
            points = [edge.closed.flatten()[body] for edge in piece.edges]
            if others or not all(np.isfinite(run).all() for run in points):
                continue
            lines = [shapely.LineString(run) for run in points]
            shared = crossings(lines, [(run[0], run[-1]) for run in points])
            loops = [line for line in lines if not line.is_simple]
            if told is None or not told.bodies[body]:
                assert not loops and all(meeting.length < 2 * END for meeting in shared.values()), (names, shared)
                continue
            found = told.diagnostic(body).found
            if "with nothing between" in found:
                assert shapely.Polygon(np.concatenate(points)).area < 1.0
                continue
            named = FOUND.findall(found)
            assert named, found
            for one, other, across, down in named:
                place = shapely.Point(float(across) * 10.0, float(down) * 10.0)
                if not other:
                    line = lines[[edge.name for edge in piece.edges].index(one)]
                    assert not line.is_simple and line.distance(place) < 0.2, found
                    continue
                pair = tuple(sorted([edge.name for edge in piece.edges].index(name) for name in (one, other)))
                near = [end for end in (points[pair[0]][0], points[pair[0]][-1]) if place.distance(shapely.Point(end)) < 0.2]
                assert pair in shared or near, (found, shared)
                assert near or shared[pair].distance(place) < 0.2, (found, shared[pair])
