"""`tapeline compare` of two drafts: two days, two clients, two choices, two records; what it prints, draws and refuses."""

import json
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
import shapely

from tapeline import Session
from tapeline.making.comparing import MeasureShare, compared_drafts, compared_records
from tapeline.making.moved_words import by, figure, kind_of, shares_words
from tapeline.paper.drawing.model import Stroke, Text, each_item, polylines, text_plate
from tapeline.paper.house.house import USUAL

CARD = """name = "Ada Quay"
measured = "2024-05-04"

[measures]
waist        = "72 cm"
hip          = "100 cm"
waist_to_hip = "20 cm"

[measures.2024-11-30]
hip          = "104 cm"

[measures.2025-03-01]
waist        = "74 cm"
"""


@pytest.fixture
def clients(folder):
    (folder / "ada.toml").write_text(CARD)
    (folder / "bea.toml").write_text(CARD.replace("Ada", "Bea").replace('"72 cm"', '"80 cm"'))
    return folder


def compared(tapeline, *arguments):
    result = tapeline("compare", "plain_skirt.style", *arguments, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)["drafts"]


def moves(drafts, piece):
    return {place["names"][0]: (place["out"], place["down"]) for place in drafts["places"] if place["piece"] == piece}


def test_two_days_of_a_card(clients, tapeline):
    """By hand: the hip 4 cm wider, a quarter is 10 mm, and at the hem 4 parts in a hundred more."""
    drafts = compared(tapeline, "--for", "ada.toml", "--measured", "2024-05-04", "--measured", "2024-11-30")
    assert (drafts["before"], drafts["after"]) == ("Ada Quay, measured 2024-05-04", "Ada Quay, measured 2024-11-30")
    assert drafts["measures"] == [{"name": "hip", "before": 1000.0, "after": 1040.0}]
    assert moves(drafts, "front") == {"hip_side": (10.0, 0.0), "hem_side": (10.4, 0.0)}
    (hem,) = [place for place in drafts["places"] if place["piece"] == "front" and "hem_side" in place["names"]]
    assert hem["by_measure"] == [{"measure": "hip", "out": 10.4, "down": 0.0}]
    girths = {(row["name"], row["of"]): (row["before"], row["after"]) for row in drafts["girths"]}
    assert girths["hip", "sewn"] == (1040.0, 1080.0) and girths["hem", "sewn"] == (1081.6, 1123.2)


def test_the_last_two_measurings_are_compared_where_nothing_is_said(clients, tapeline):
    drafts = compared(tapeline, "--for", "ada.toml")
    assert [drafts[word].rpartition(" ")[2] for word in ("before", "after")] == ["2024-11-30", "2025-03-01"]
    assert [row["name"] for row in drafts["measures"]] == ["waist"]
    to_latest = compared(tapeline, "--for", "ada.toml", "--measured", "2024-05-04")
    assert [row["name"] for row in to_latest["measures"]] == ["waist", "hip"]
    (clients / "ada.toml").write_text(CARD.replace('measured = "2024-05-04"\n', "").partition("[measures.2025")[0])
    first = compared(tapeline, "--for", "ada.toml")
    assert first["before"] == "Ada Quay, measured first" and first["after"] == "Ada Quay, measured 2024-11-30"


def test_two_clients_and_two_choices(clients, tapeline):
    drafts = compared(tapeline, "--for", "ada.toml", "--for", "bea.toml", "--measured", "2024-05-04")
    assert (drafts["before"], drafts["after"]) == ("Ada Quay", "Bea Quay") and [row["name"] for row in drafts["measures"]] == ["waist"]
    assert moves(drafts, "front")["waist_side"] == (20.0, 0.0)
    longer = compared(tapeline, "--for", "ada.toml", "--set", "flare=0 %", "--then", "length=62 cm")
    assert longer["choices"] == [{"name": "length", "before": 600.0, "after": 620.0}] and longer["measures"] == []
    assert moves(longer, "back")["hem_side"] == (0.0, 20.0) and longer["after"] == "Ada Quay, length=62 cm"
    assert longer["laid_together"] == {"front": "centre and waist", "back": "centre and waist"}
    from_hem = compared(tapeline, "--for", "ada.toml", "--then", "length=62 cm", "--together-at", "hem")
    assert moves(from_hem, "back")["waist_side"] == (0.0, -20.0)


def test_what_is_printed(clients, tapeline):
    result = tapeline("compare", "plain_skirt.style", "--for", "ada.toml", "--measured", "2024-05-04", "--unit", "in")
    assert result.exit_code == 0
    assert result.stdout.startswith("Plain skirt 1.2: from Ada Quay, measured 2024-05-04 to Ada Quay, measured 2025-03-01\n")
    text = " ".join(result.stdout.split())
    assert "hip 39 3/8 in 40 15/16 in +1 9/16 in" in text and "Front (front), laid together at centre and waist" in text
    assert "hip_side out 3/8 in hip out 3/8 in" in text
    same = tapeline("compare", "plain_skirt.style", "--for", "ada.toml", "--then", "length=60 cm")
    assert same.exit_code == 0 and same.stdout.endswith("\n\nnothing has moved\n")


def test_what_no_place_tells_is_told_too(clients, tapeline, changed):
    dropped = compared(tapeline, "--for", "ada.toml", "--then", "dropped=yes", "--then", "flare=8 %")
    assert dropped["choices"] == [
        {"name": "flare", "before": 0.04, "after": 0.08},
        {"name": "dropped", "before": 0.0, "after": 1.0},
    ]
    text = tapeline("compare", "plain_skirt.style", "--for", "ada.toml", "--then", "dropped=yes", "--then", "flare=8 %").stdout
    words = " ".join(text.split())
    assert "flare 0.04 0.08 +0.04" in words and "dropped no yes" in words
    assert dropped["changed_pieces"] == ["front", "back"] and dropped["pieces_gone"] == []
    with_tuck = tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "one").exit_code
    changed(
        "        intake 2 cm\n        point  13 cm long, plumb\n    when",
        "        intake 2.4 cm\n        point  13 cm long, plumb\n    when",
    )
    changed("side 1.5 cm", "side 2 cm")
    assert with_tuck == 0 and tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "two").exit_code == 0
    told = json.loads(tapeline("compare", "one/pattern.json", "two/pattern.json", "--json").stdout)["drafts"]["otherwise"]
    assert "dart intake: 2 cm, then 2.4 cm" in told["back"] and "dart intake: 2 cm, then 2.4 cm" not in told["front"]
    assert "seam allowance of side width: 1.5 cm, then 2 cm" in told["front"]


def test_what_is_told_adds_up(clients):
    """In eighths of an inch, 3.175 mm: 6 mm is told as two, a share of 4.6 mm as one."""
    (clients / "bea.toml").write_text(CARD.replace("Ada", "Bea").replace('"104 cm"', '"108 cm"'))
    drafts = Session().read(Path("plain_skirt.style")).draft([Path("ada.toml"), Path("bea.toml")]).bodies
    done = replace(compared_drafts(drafts[0], drafts[1]), unit="in", house=replace(USUAL, fraction=8))
    place = done.moved.places[0]._replace(out=6.0, down=0.0)
    for waist, hip, told in (
        (4.6, 0.0, "waist out 1/8 in; left over out 1/8 in"),
        (4.6, 1.4, "waist out 1/8 in; rounding out 1/8 in"),
        (6.0, 0.0, "waist out 1/4 in"),
    ):
        done.shares[place.piece, place.names[0]] = (MeasureShare("waist", waist, 0.0), MeasureShare("hip", hip, 0.0))
        assert shares_words(done, place) == told


def test_two_days_of_an_uneven_client(clients, tapeline):
    """The left hip lies 1 cm lower than before, and what is drawn for the right has not moved."""
    (clients / "una.toml").write_text(
        'name = "Una"\nmeasured = "2024-05-04"\n[measures]\nwaist = "72 cm"\nhip = "100 cm"\nwaist_to_hip = "20 cm"\n'
        '[left]\nwaist_to_hip = "21 cm"\n[left.2024-11-30]\nwaist_to_hip = "22 cm"\n'
    )
    drafts = compared(tapeline, "--for", "una.toml")
    measures = {row["name"]: (row["before"], row["after"]) for row in drafts["measures"]}
    assert measures["left waist_to_hip"] == (210.0, 220.0) and "right waist_to_hip" not in measures
    for piece in ("front", "back"):
        hips = {
            name: (place["out"], place["down"], place["by_measure"])
            for place in drafts["places"]
            for name in place["names"]
            if place["piece"] == piece and name.endswith("hip_side")
        }
        moved = [name for name, (_, down, _) in hips.items() if down]
        assert len(moved) == 1 and hips[moved[0]][:2] == (0.0, 10.0)
        assert hips[moved[0]][2] == [{"measure": "left waist_to_hip", "out": 0.0, "down": 10.0}]


def test_what_fittings_did(clients, tapeline):
    """Taken in by 1 cm at the waist along both sides: the place goes in by 1 cm, and what was not named stays."""
    (clients / "ada.fittings").write_text(
        'language 1\nfittings ada "Ada Quay"\n\nfitting 2025-04-01 of plain_skirt\n    take in front.side and back.side 1 cm at waist, to nothing at top and hip\n\n'
        "fitting 2025-05-01 of plain_skirt\n    lengthen front and back 2 cm at hip\n"
    )
    dated = ("--for", "ada.toml", "--date", "2025-06-01")
    fitted = compared(tapeline, *dated, "--without-fittings", "--set", "flare=0 %")
    assert (fitted["before"], fitted["after"]) == ("Ada Quay, not fitted", "Ada Quay, fitted 2025-05-01")
    assert fitted["measures"] == [] and fitted["choices"] == []
    second = compared(tapeline, *dated, "--fitted", "2025-04-15", "--set", "flare=0 %")
    assert (second["before"], second["after"]) == ("Ada Quay, fitted 2025-04-01", "Ada Quay, fitted 2025-05-01")
    assert moves(second, "front")["hem_side"] == (0.0, 20.0) and "waist_side" not in moves(second, "front")
    both = tapeline("compare", "plain_skirt.style", *dated, "--fitted", "2025-04-15", "--without-fittings")
    assert both.exit_code == 2 and "either --fitted DAY or --without-fittings" in both.stderr
    (waist,) = [row for row in fitted["girths"] if (row["name"], row["of"]) == ("waist", "sewn")]
    assert waist["before"] - waist["after"] == pytest.approx(40.0, abs=0.05)  # two sides, each of a front and a back


def test_records_tell_of_what_kind_a_figure_is(clients, tapeline):
    """Of an older form, which does not, a choice is told as the number that stands there, and an angle of a measure is in radians."""
    for name, choice in (("one", "length=60 cm"), ("two", "length=62 cm")):
        assert tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "--set", choice, "-o", name).exit_code == 0
    records = [json.loads((clients / name / "pattern.json").read_text()) for name in ("one", "two")]
    assert records[0]["kinds"] == {
        "waist": "length", "hip": "length", "waist_to_hip": "length", "length": "length", "flare": "number", "dropped": "condition"
    }  # fmt: skip
    told = " ".join(tapeline("compare", "one/pattern.json", "two/pattern.json", "--unit", "in").stdout.split())
    assert "length 23 5/8 in 24 7/16 in +13/16 in" in told
    for record, degrees in zip(records, (20.0, 24.0), strict=True):
        record["measures"]["shoulder_slope"] = degrees
        record["kinds"]["shoulder_slope"] = "angle"
    old = [
        {**record, "measures": {**record["measures"], "shoulder_slope": radians}}
        for record, radians in zip(records, (0.34907, 0.41888), strict=True)
    ]
    for record in old:
        del record["kinds"]
    for before, after in (records, old, (old[0], records[1])):
        done = compared_records(before, after, ("one", "two"))
        (slope,) = [moved for moved in done.moved.measures if abs(moved.by) > 1e-3]
        assert (kind_of(done, slope), figure(done, slope, slope.before), by(done, slope)) == ("angle", "20 deg", "+4 deg")


def test_two_records(clients, tapeline):
    for name in ("ada", "bea"):
        assert tapeline("draft", "plain_skirt.style", "--for", f"{name}.toml", "-o", name).exit_code == 0
    result = tapeline("compare", "ada/pattern.json", "bea/pattern.json", "--json")
    drafts = json.loads(result.stdout)["drafts"]
    assert result.exit_code == 0 and drafts["before"] == "Ada Quay in ada/pattern.json"
    assert not drafts["moved"]  # both have the waist of the latest measuring
    (clients / "bea.toml").write_text(CARD.replace("Ada", "Bea").replace('"104 cm"', '"108 cm"'))
    assert tapeline("draft", "plain_skirt.style", "--for", "bea.toml", "-o", "bea").exit_code == 0
    drafts = json.loads(tapeline("compare", "ada/pattern.json", "bea/pattern.json", "--json").stdout)["drafts"]
    asked = compared(tapeline, "--for", "ada.toml", "--for", "bea.toml")
    assert drafts["places"] == [{**place, "by_measure": None} for place in asked["places"]] and drafts["girths"] == asked["girths"]
    assert "hip_side   out 1 cm" in tapeline("compare", "ada/pattern.json", "bea/pattern.json").stdout


def test_the_drawing_has_two_line_types_and_its_words_stand_clear(clients, tapeline, monkeypatch):
    from tapeline.paper.pictures import overlay

    drawn = []
    draw = overlay.draw_overlay
    monkeypatch.setattr(overlay, "draw_overlay", lambda *given: drawn.append(draw(*given)) or drawn[-1])
    result = tapeline("compare", "plain_skirt.style", "--for", "ada.toml", "--measured", "2024-05-04", "-o", "out")
    assert result.exit_code == 0 and result.stdout.endswith(
        "written: out/plain_skirt_compared.svg\nwritten: out/plain_skirt_compared.png\n"
    )
    root = ElementTree.fromstring((clients / "out/plain_skirt_compared.svg").read_text())
    lines = {}
    for element in root.iter("{http://www.w3.org/2000/svg}path"):
        assert element.get("stroke") == "#000000"
        lines.setdefault(element.get("data-line"), set()).add((element.get("stroke-dasharray"), element.get("stroke-width")))
    assert all(dash is not None for dash, _ in lines["before"]) and all(dash is None for dash, _ in lines["after_moved"])
    words = "".join(root.itertext())
    assert "measured 2024-05-04" in words and "laid together at centre and waist" in words and "locked" not in words
    texts = [item for item in each_item(drawn[0].items) if isinstance(item, Text)]
    plates = [shapely.Polygon(text_plate(text).corners()).buffer(-1e-6) for text in texts]
    tree = shapely.STRtree(plates)
    assert all(len(tree.query(plate, predicate="intersects")) == 1 for plate in plates)
    for item in each_item(drawn[0].items):
        if isinstance(item, Stroke):
            for points in polylines(item.commands):
                assert not len(tree.query(shapely.LineString(points), predicate="intersects")), item
    assert tapeline("compare", "plain_skirt.style", "--for", "ada.toml", "-o", "out").exit_code == 0  # its own files are replaced


@pytest.mark.parametrize(
    "arguments, words",
    [
        (("plain_skirt.style", "--for", "ada.toml", "--accept"), "--accept belongs to locks"),
        (("plain_skirt.style", "--for", "ada.toml", "--size", "10"), "--size belongs to locks"),
        (("--for", "ada.toml"), "Name one style"),
        (("plain_skirt.style", *("--for", "ada.toml") * 3), "--for is given twice at most"),
        (("one/pattern.json",), "Name two records"),
        (("one/pattern.json", "two/pattern.json", "--then", "length=60 cm"), "--then belongs to a STYLE with --for"),
        (("plain_skirt.style", "--then", "length=60 cm"), "--then belongs to two drafts"),
        (("plain_skirt.style", "--for", "eve.toml"), "Eve was measured once"),
        (("plain_skirt.style", "--for", "ada.toml", "--measured", "in May"), "is no day such as 2026-11-30"),
    ],
)
def test_what_does_not_go_together_is_said(clients, tapeline, arguments, words):
    (clients / "eve.toml").write_text('name = "Eve"\n[measures]\nwaist = "72 cm"\nhip = "98 cm"\nwaist_to_hip = "20 cm"\n')
    result = tapeline("compare", *arguments)
    assert result.exit_code == 2 and words in " ".join(result.stderr.split()), result.output


@pytest.mark.parametrize(
    "arguments, code, left",
    [
        (("plain_skirt.style", "--for", "ada.toml", "--measured", "2024-05-05"), "B146", 1),
        (("plain_skirt.style", "--for", "ada.toml", "--then", "lenght=60 cm"), "C101", 1),
        (("plain_skirt.style", "--for", "nobody.toml"), "F001", 3),
        (("plain_skirt.style", "--for", "ada.toml", "--together-at", "hme"), "C106", 1),
        (("ada.json", "ada.json"), "M100", 3),
        (("gone.json", "ada.json"), "F001", 3),
    ],
)
def test_what_cannot_be_compared_is_said(clients, tapeline, arguments, code, left):
    (clients / "ada.json").write_text("[]")
    result = tapeline("compare", *arguments, "--json")
    data = json.loads(result.stdout)
    assert result.exit_code == left and code in [one["code"] for one in data["diagnostics"]], data
