"""The pattern as data, measured again by ways that know nothing of the compiler."""

import json
import math

import numpy as np
import pytest
from scipy.integrate import quad
from shapely.geometry import Point, Polygon

from tapeline.paper.record import number, write_record


@pytest.fixture
def record(folder, tapeline):
    done = tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out", "--set", "dropped=yes")
    assert done.exit_code == 0, done.stderr
    return json.loads((folder / "out/pattern.json").read_text())


def place(segment, t):
    """A point of a recorded segment, from the textbook formula of its kind."""
    if "line" in segment:
        p, q = np.array(segment["line"])
        return p + t * (q - p)
    if "cubic" in segment:
        p = np.array(segment["cubic"])
        return sum(math.comb(3, k) * (1 - t) ** (3 - k) * t**k * p[k] for k in range(4))
    start, centre = np.array(segment["arc"][0]), np.array(segment["centre"])
    turn = math.radians(segment["sweep"]) * t
    x, y = start - centre
    return centre + [x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)]


def length(segments):
    """The integral of the speed along a run of segments."""

    def speed(segment, t, h=1e-6):
        return float(np.hypot(*(place(segment, t + h) - place(segment, t - h)))) / (2 * h)

    return sum(quad(lambda t, one=one: speed(one, t), 0, 1)[0] for one in segments)


def test_lengths_of_edges_are_those_of_their_strips(record):
    # With a dart folded, strips of one edge lie end to end: their lengths sum to the closed length.
    for piece in record["pieces"]:
        for edge in piece["edges"]:
            assert sum(length(strip) for strip in edge["strips"]) == pytest.approx(edge["length"], abs=1e-3)


def test_strips_and_legs_make_one_closed_outline(record):
    for piece in record["pieces"]:
        ends = []
        for edge in piece["edges"]:
            assert len(edge["strips"]) == len(edge["darts"]) + 1
            for strip, dart in zip(edge["strips"], [*edge["darts"], None], strict=True):
                ends += [(place(one, 0), place(one, 1)) for one in strip]
                if dart is not None:
                    ends += [(place(one, 0), place(one, 1)) for one in dart["near_leg"]]
                    ends += [(place(one, 1), place(one, 0)) for one in reversed(dart["far_leg"])]
        for (_, end), (start, _) in zip(ends, ends[1:] + ends[:1], strict=True):
            assert np.hypot(*(end - start)) < 1e-3


def test_legs_of_a_dart_are_equal_and_its_intake_is_the_distance_of_its_feet(record):
    darts = [dart for piece in record["pieces"] for edge in piece["edges"] for dart in edge["darts"]]
    assert len(darts) == 2
    for dart in darts:
        assert length(dart["near_leg"]) == pytest.approx(length(dart["far_leg"]), abs=1e-3)
        feet = place(dart["near_leg"][0], 0) - place(dart["far_leg"][0], 0)
        assert np.hypot(*feet) == pytest.approx(dart["intake"], abs=1e-3)
        assert np.allclose(place(dart["near_leg"][-1], 1), dart["point"], atol=1e-3)


def test_allowances_are_the_distance_of_the_cut_line(record):
    for piece in record["pieces"]:
        ring = Polygon(piece["cut_line"])
        assert ring.is_valid
        for edge in piece["edges"]:
            middle = place(edge["strips"][-1][-1], 0.5)
            away = ring.exterior.distance(Point(*middle))
            assert away == pytest.approx(edge["allowance"]["width"], abs=0.01), (piece["name"], edge["name"])


def test_rules_lead_back_to_the_lines_of_the_style(record, folder):
    lines = (folder / "plain_skirt.style").read_text().splitlines()

    def said(rule):
        name, line = rule.rsplit(":", 1)
        assert name == "plain_skirt.style"
        return lines[int(line) - 1].strip()

    front = record["pieces"][0]
    assert said(front["rule"]).startswith('piece front "Front"')
    top = next(edge for edge in front["edges"] if edge["name"] == "top")
    assert said(top["darts"][0]["rule"]).startswith("dart on top at half")
    side = next(edge for edge in front["edges"] if edge["name"] == "side")
    assert said(side["rule"]).startswith("side straight top to waist")
    assert said(side["allowance"]["rule"]) == "side 1.5 cm"
    assert said(record["ledgers"]["seams"][0]["rule"]) == "sew front.side to back.side"


def test_the_heading_of_the_record(record):
    assert record["made_by"] == "tapeline" and record["unit"] == "mm" and record["body"] == "Ada Quay"
    assert record["style"] == {"name": "plain_skirt", "title": "Plain skirt", "version": "1.2"}
    assert record["measures"] == {"waist": 720.0, "hip": 1000.0, "waist_to_hip": 200.0}
    assert record["level_order"] == ["top", "waist", "hip", "hem"]
    assert record["pieces"][0]["levels"] == {"top": 0.0, "waist": 40.0, "hip": 240.0, "hem": 600.0}
    assert record["pieces"][0]["cut"] == {"count": 1, "fold": "centre", "paired": False, "for": None, "extras": []}
    assert record["pieces"][0]["from"] is None
    assert [row["level"] for row in record["ledgers"]["girths"]] == ["top", "waist", "hip", "hem"]
    lack = record["ledgers"]["girths"][1]["narrowed"]
    assert [(one["piece"], one["dart"]) for one in lack] == [("front", "dart"), ("back", "dart")]


def test_numbers():
    assert (number(1 / 3), number(-1e-9), number(float("nan")), number(float("inf"))) == (0.3333, 0.0, None, None)
    assert str(number(-1e-9)) == "0.0"


def test_the_text_holds_what_was_put_in():
    data = {"a": [1.5, None, True], "long": [[float(k), -float(k)] for k in range(40)], 'é"': {"x": []}, "e": {}}
    assert json.loads(write_record(data)) == data
    assert max(len(line) for line in write_record(data).splitlines()) <= 110
