"""The nest of sizes, read back from its drawing and its SVG: every size true, told apart in black, named, and no word on a line."""

import re
from collections import Counter
from functools import cache
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
import shapely.affinity
from pdf_reading import read_pages
from size_runs import drafted, work_of_sizes

from tapeline.paper.drawing.lettering import CAUTION, text_width
from tapeline.paper.drawing.model import LINES, SIZE_DASHES, Stroke, Text, polylines, text_plate
from tapeline.paper.grading.nest import draw_nest, line_names, papers
from tapeline.paper.house.work import Heading
from tapeline.sizing.growth import stacks_of

RUNS = [
    ("straight_skirt", "uk_dressmaker", "", ()),
    ("corselet_skirt", "quay_row", "", ("24", "28", "30", "34")),
    ("dipped_bodice", "us_home_sewing_miss_petite", "", ("6", "10", "16")),
]


@cache
def nest(run):
    one = drafted(*run)
    return one, draw_nest(one.run, one.stacks, Heading("Style", "1.0", "", "sizes", "cm"))


@cache
def made():
    one = drafted(*RUNS[0])
    return papers(work_of_sizes(one, ("pdf",)))


def pieces(drawing):
    return [group for group in drawing.items if group.piece]


def lines(strokes):
    return [shapely.LineString(points) for stroke in strokes for points in polylines(stroke.commands, steps=48) if len(points) > 1]


def cross(group):
    """Where the sizes are laid together."""
    return np.mean([polylines(stroke.commands)[0].mean(axis=0) for stroke in strokes(group, "sign")], axis=0)


def figures(text):
    """The box of the figures of a size: from the baseline up to their height, in a face that runs no wider than most."""
    half, high = text_width(text.words, text.size) / CAUTION / 2, 0.72 * text.size
    box = shapely.box(text.x - half, text.y - high, text.x + half, text.y)
    return shapely.affinity.rotate(box, text.turn_degrees, origin=(text.x, text.y))


def strokes(group, line):
    return [item for item in group.items if isinstance(item, Stroke) and item.line == line]


@pytest.mark.parametrize("run", RUNS, ids=lambda run: run[0])
def test_every_size_lies_true_on_its_stack(run):
    """Each cut line but for the gaps of its names, each stitching line whole, moved by the stack alone."""
    one, drawing = nest(run)
    for group in pieces(drawing):
        stack, at = one.stacks[group.name], cross(group)
        for k, (line, size) in enumerate(zip(line_names(one.run), one.run.sizes, strict=True)):
            finished = size.piece(group.name)
            move = at - stack.origin[k]
            ring = shapely.LinearRing(finished.cut_line[size.place] + move)
            cut = shapely.union_all(lines(strokes(group, f"{line}_cut")))
            assert cut.hausdorff_distance(shapely.intersection(cut.buffer(0.01), ring)) < 0.02
            fold = finished.piece.cut.fold
            gone = ring.difference(cut.buffer(0.01))
            if fold:
                edge = finished.piece.edge(fold)
                ends = np.stack([edge.start()[size.place], edge.end()[size.place]]) + move
                long = (ends[1] - ends[0]) * 3
                gone = gone.difference(shapely.LineString([ends[0] - long, ends[1] + long]).buffer(0.05))
            named = [text for text in group.items if isinstance(text, Text) and text.words == size.name]
            wide = [float(np.hypot(*np.diff(text_plate(text).corners()[:2], axis=0)[0])) + 2.1 for text in named]
            assert gone.length < sum(wide) + 0.1
            for edge in finished.piece.edges:
                if edge.name == fold:
                    continue
                sewn = [stroke for stroke in strokes(group, f"{line}_stitch") if stroke.name == edge.name]
                length = sum(float(strip.length()[size.place]) for strip in edge.strips)
                assert sum(one.length for one in lines(sewn)) == pytest.approx(length, abs=0.1)
                start = polylines(sewn[0].commands)[0][0]
                assert start == pytest.approx(edge.start()[size.place] + move, abs=1e-6)


@pytest.mark.parametrize("run", RUNS, ids=lambda run: run[0])
def test_every_size_has_its_notches_and_the_piece_its_grain(run):
    """Each notch where that size has it, begun on its own cut line; one grain line, that of the base, its heads drawn with it."""
    one, drawing = nest(run)
    counted = 0
    for group in pieces(drawing):
        stack, at, drawn = one.stacks[group.name], cross(group), strokes(group, "notch")
        expected = []
        for k, size in enumerate(one.run.sizes):
            finished = size.piece(group.name)
            places = [notch.on_cut[size.place] for notch in finished.notches]
            expected += [place + at - stack.origin[k] for place in places if np.isfinite(place).all()]
            ring = shapely.LinearRing(finished.cut_line[size.place])
            assert all(ring.distance(shapely.Point(place)) < 0.05 for place in places if np.isfinite(place).all())
        assert len(drawn) == len(expected)
        starts = np.array([polylines(stroke.commands)[0][0] for stroke in drawn]).reshape(-1, 2)
        assert all(np.hypot(*(starts - place).T).min() < 1e-6 for place in expected)
        counted += len(expected)
        base = one.run.sizes[one.run.base]
        (grain,) = strokes(group, "grain")
        ends = base.piece(group.name).grain_line[base.place] + at - stack.origin[one.run.base]
        assert polylines(grain.commands)[0] == pytest.approx(ends, abs=1e-6)
    assert counted > len(one.run.sizes)
    key = next(group for group in drawing.items if group.name == "sizes")
    assert {"grain", "notch"} <= {item.line for item in key.items if isinstance(item, Stroke)}


@pytest.mark.parametrize("run", RUNS, ids=lambda run: run[0])
def test_every_size_is_named_in_its_own_line(run):
    """In a gap of its line, or with a leader that ends on it; and no name lies on a line of another size or on words."""
    one, drawing = nest(run)
    named = 0
    for group in pieces(drawing):
        cuts = {
            name: shapely.union_all(lines(strokes(group, f"{line}_cut")))
            for name, line in zip(one.run.names, line_names(one.run), strict=True)
        }
        thin = shapely.union_all(lines(item for item in group.items if isinstance(item, Stroke) and item.line.endswith("_stitch")))
        texts = [item for item in group.items if isinstance(item, Text)]
        plates = [shapely.Polygon(text_plate(text).corners()) for text in texts]
        leaders = lines(strokes(group, "leader"))
        for name in one.run.names:
            own = [k for k, text in enumerate(texts) if text.words == name]
            assert own, (group.name, name)
            for k in own:
                middle = plates[k].centroid
                if cuts[name].distance(middle) < 12.0 and not leaders:
                    assert cuts[name].distance(middle) > 1.0  # the line is left out under its name
                    letters = figures(texts[k])
                    assert all(letters.disjoint(line) for other, line in cuts.items() if other != name)
                    assert letters.disjoint(thin)
                    named += 1
        assert not any(plates[j].intersects(plates[k]) for j in range(len(plates)) for k in range(j))
    assert named >= len(one.run.names)


def test_leaders_go_from_each_name_to_its_own_line():
    """Neck facings lie too near one another for names in their lines."""
    one, drawing = nest(("princess_bodice", "quay_row", "", ("26", "28", "30")))
    group = next(group for group in pieces(drawing) if group.name == "back_facing")
    leaders = lines(strokes(group, "leader"))
    assert leaders
    for name, line in zip(one.run.names, line_names(one.run), strict=True):
        cut = shapely.union_all(lines(strokes(group, f"{line}_cut")))
        label = next(item for item in group.items if isinstance(item, Text) and item.words == name)
        own = [leader for leader in leaders if shapely.Point(leader.coords[0]).distance(shapely.Point(label.x, label.y)) < 4.0]
        assert not own or shapely.Point(own[0].coords[-1]).distance(cut) < 0.01


@pytest.mark.parametrize("run", RUNS, ids=lambda run: run[0])
def test_growth_lines_join_a_place_from_size_to_size(run):
    one, drawing = nest(run)
    for group in pieces(drawing):
        at, stack, places = cross(group), one.stacks[group.name], one.run.all_places(group.name)
        grown = strokes(group, "growth")
        corners = [name for name, place in places.items() if "/" in name and np.ptp(stack.laid(place), axis=0).max() > 0.5]
        assert {stroke.name for stroke in grown} >= set(corners)
        for stroke in grown:
            drawn = np.concatenate(polylines(stroke.commands)) - at
            laid = stack.laid(places[stroke.name])
            assert all(np.hypot(*(drawn - place).T).min() < 1e-3 for place in laid)


def test_fifteen_sizes_can_be_told_apart_in_black():
    """By their dashes: the same two lines never have the same marks, to the nearest two millimetres, in the same order."""
    signatures = Counter(tuple(round(part / 2) if part > 1.9 else part for part in dash) for dash in SIZE_DASHES)
    assert max(signatures.values()) == 1 and len(SIZE_DASHES) == 14
    for number in range(1, 15):
        cut, stitch = LINES[f"size_{number}_cut"], LINES[f"size_{number}_stitch"]
        assert cut.dash == stitch.dash != () and cut.width > 1.5 * stitch.width
    assert LINES["base_cut"].dash == () and LINES["base_cut"].width > 1.5 * LINES["size_1_cut"].width


def test_the_base_is_drawn_heavier_and_the_key_names_all():
    run = RUNS[0]
    one, drawing = nest(run)
    names = line_names(one.run)
    assert names[one.run.base] == "base" and len(set(names)) == len(names)
    key = next(group for group in drawing.items if group.name == "sizes")
    words = [item.words for item in key.items if isinstance(item, Text)]
    assert [word for word in words if word in one.run.names] == ["8", "10", "14", "16", "18"] and "12, base size" in words
    samples = {item.line for item in key.items if isinstance(item, Stroke)}
    assert samples >= {f"{name}_{what}" for name in names for what in ("cut", "stitch")}


def test_the_nest_is_black_and_at_true_size():
    svg = made()["straight_skirt-nest.svg"]
    root = ElementTree.fromstring(svg)
    assert root.get("width") == f"{root.get('viewBox').split()[2]}mm"
    colours = set(re.findall(r'(?:stroke|fill)="([^"]*)"', svg))
    assert colours <= {"#000000", "none"}
    assert {element.get("data-piece") for element in root.iter() if element.get("data-piece")} == {
        "front",
        "back",
        "band",
        "interfacing",
    }


def test_the_pdf_of_the_nest_is_one_page_of_the_same_size():
    root = ElementTree.fromstring(made()["straight_skirt-nest.svg"])
    width, height = (float(root.get(side).removesuffix("mm")) for side in ("width", "height"))
    (page,) = read_pages(made()["straight_skirt-nest.pdf"])
    assert (page.width, page.height) == pytest.approx((width, height), abs=0.1)
    assert {size for size, *_ in page.words} >= set(drafted(*RUNS[0]).run.names)


def test_a_stack_on_a_line_turns_every_size_onto_it():
    one = drafted(*RUNS[0])
    stacks, found = stacks_of(one.run, ["back.waist_centre to back.waist_side"])
    assert not found and stacks["front"].words == one.stacks["front"].words
    stack, places = stacks["back"], one.run.all_places("back")
    assert stack.laid(places["waist_centre"]) == pytest.approx(np.zeros((6, 2)), abs=1e-9)
    side = stack.laid(places["waist_side"])
    assert np.arctan2(side[:, 1], side[:, 0]) == pytest.approx(np.full(6, np.arctan2(*side[one.run.base][::-1])), abs=1e-9)
    assert stack.turn[one.run.base] == 0.0 and np.ptp(stack.turn) > 1e-4  # without turning they do not lie so
    drawing = draw_nest(one.run, stacks, Heading("Style", "", "", "sizes", "cm"))
    group = next(group for group in pieces(drawing) if group.name == "back")
    at = cross(group)
    for k, line in enumerate(line_names(one.run)):
        waist = next(stroke for stroke in strokes(group, f"{line}_stitch") if stroke.name == "side")
        ends = np.concatenate(polylines(waist.commands)) - at
        assert np.hypot(*(ends - side[k]).T).min() < 1e-6


@pytest.mark.parametrize(
    "asked, piece, words",
    [
        ("hip", "front", "hip"),
        ("front.hem_side", "front", "front.hem_side"),
        ("side/hem", "back", "side/hem"),
    ],
)
def test_a_stack_may_be_a_level_a_place_or_a_corner(asked, piece, words):
    one = drafted(*RUNS[0])
    stacks, found = stacks_of(one.run, [asked])
    assert not found and stacks[piece].words == words
    place = asked.removeprefix("front.")
    at = one.run.all_places(piece).get(place)
    if at is not None:
        assert stacks[piece].origin == pytest.approx(at)
    else:
        assert stacks[piece].origin == pytest.approx(one.run.all_places(piece)["hip_centre"])
    assert stacks["back" if piece == "front" and "." in asked else piece] is not None


@pytest.mark.parametrize("asked", ["nowhere", "front.nowhere", "back.hip_sid", "waist_side to nowhere", "a to b to c", ""])
def test_a_place_that_is_not_there_is_told(asked):
    _, found = stacks_of(drafted(*RUNS[0]).run, [asked])
    assert [one.code for one in found] == ["C106"] and "waist_side" in found[0].expected
    if asked == "back.hip_sid":
        assert found[0].suggestion == 'Did you mean "hip_side"?'
