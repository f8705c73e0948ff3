"""One style under two houses: the same net pattern, with each house's allowances, unit, fraction, notches and labels.

Both houses, and the figures in them, are invented.
"""

import json

import pytest
import shapely

STYLE = """language 1
style open_skirt "Open skirt"
use measurements
measure waist, hip, waist_to_hip
levels
    waist
    hip    waist_to_hip below waist
    hem    60 cm below waist
recipe panel (intake length)
    widths from centre, before darts
        waist  waist / 4
        hip    hip / 4 + 1 cm
        hem    hip / 4 + 1 cm
    side smooth waist to hip, straight hip to hem
    dart on waist at half
        intake intake
        point 10 cm long
piece front "Front" from panel (2 cm)
    cut 1 on fold at centre
piece back "Back" from panel (2 cm)
    cut 2
    zip on centre from waist to hip
sew front.side to back.side
sew back.centre to back.centre
"""
ALLOW = """
allow
    side    1 cm
    others  9 mm
"""
HOUSES = {
    "inches": """name = "Quay Row"
unit = "in"
fraction = 8
notch = "triangle"
[allowances]
seam   = "5/8 in"
zip    = "3/4 in"
hem    = "1 1/2 in turned up"
others = "1/2 in"
""",
    "metric": """name = "Sailmakers' Loft"
unit = "cm"
notch = "slit"
language = "de"
[allowances]
seam   = "1.5 cm"
zip    = "2 cm"
hem    = "4 cm turned up"
waist  = "1 cm faced"
""",
}


@pytest.fixture
def under(folder, tapeline):
    """The record, the drawing and what was printed of the style under a house; the style's text is not changed."""

    def run(house, style=STYLE, *more):
        (folder / "open_skirt.style").write_text(style)
        (folder / f"{house}.toml").write_text(HOUSES.get(house, ""))
        result = tapeline("draft", "open_skirt.style", "--for", "ada.toml", "--house", f"{house}.toml", "-o", house, *more)
        assert result.exit_code == 0, result.stderr
        return (
            json.loads((folder / house / "pattern.json").read_text()),
            (folder / house / "open_skirt.svg").read_text(),
            result.stdout,
        )

    return run


def net(record):
    """All of the pieces but what allowances and notches make of them."""
    return [
        {
            **{key: piece[key] for key in ("name", "cut", "grain", "points", "levels", "marks")},
            "edges": [{key: edge[key] for key in ("name", "length", "strips", "darts")} for edge in piece["edges"]],
        }
        for piece in record["pieces"]
    ]


def allowances(record):
    return {
        (piece["name"], edge["name"]): (edge["allowance"]["width"], edge["allowance"]["kind"])
        for piece in record["pieces"]
        for edge in piece["edges"]
    }


def test_two_houses_one_net_pattern(under):
    inches, drawn_in, said_in = under("inches")
    metric, drawn_cm, said_cm = under("metric")
    assert net(inches) == net(metric)
    assert allowances(inches) == {
        ("front", "centre"): (0, "none"),
        ("front", "waist"): (12.7, "plain"),
        ("front", "side"): (15.875, "plain"),
        ("front", "hem"): (38.1, "turned up"),
        ("back", "centre"): (19.05, "for zip"),
        ("back", "waist"): (12.7, "plain"),
        ("back", "side"): (15.875, "plain"),
        ("back", "hem"): (38.1, "turned up"),
    }
    assert allowances(metric) == {
        ("front", "centre"): (0, "none"),
        ("front", "waist"): (10, "faced"),
        ("front", "side"): (15, "plain"),
        ("front", "hem"): (40, "turned up"),
        ("back", "centre"): (20, "for zip"),
        ("back", "waist"): (10, "faced"),
        ("back", "side"): (15, "plain"),
        ("back", "hem"): (40, "turned up"),
    }
    assert "drafted for Ada Quay, Quay Row" in drawn_in and "Seam allowances included" in drawn_in
    assert "f\u00fcr Ada Quay, Sailmakers&apos; Loft" in drawn_cm.replace("&#x27;", "&apos;").replace("' L", "&apos; L")
    assert "Nahtzugaben enthalten" in drawn_cm and "Seam allowances" not in drawn_cm
    hip = [next(row for row in said.splitlines() if row.split()[:1] == ["hip"]) for said in (said_in, said_cm)]
    assert "41 in" in hip[0] and "104 cm" in hip[1]  # 104 cm is 40.945 in: between 40 7/8 and 41, nearer to 41


def test_the_cut_line_lies_as_far_out_as_the_house_says(under):
    """Measured by shapely, at the middle of straight edges."""
    for house, zip_width, hem in (("inches", 19.05, 38.1), ("metric", 20.0, 40.0)):
        record, _, _ = under(house)
        back = next(piece for piece in record["pieces"] if piece["name"] == "back")
        ring = shapely.LinearRing(back["cut_line"])
        for name, width in (("centre", zip_width), ("hem", hem)):
            edge = next(edge for edge in back["edges"] if edge["name"] == name)
            (line,) = [segment["line"] for strip in edge["strips"] for segment in strip]
            assert ring.distance(shapely.LineString(line).interpolate(0.5, normalized=True)) == pytest.approx(width, abs=1e-3)


def test_a_rule_of_the_house_is_named_by_its_line(under):
    record, _, _ = under("inches")
    edges = {edge["name"]: edge for piece in record["pieces"] for edge in piece["edges"]}
    assert edges["side"]["allowance"]["rule"] == "inches.toml:6" and edges["hem"]["allowance"]["rule"] == "inches.toml:8"


def test_the_style_goes_before_the_house_where_it_names_an_edge(under):
    record, _, _ = under("inches", STYLE + ALLOW)
    found = allowances(record)
    assert found["front", "side"] == (10, "plain")  # the style names it
    assert found["front", "hem"] == (38.1, "turned up") and found["back", "centre"] == (19.05, "for zip")
    record, _, _ = under("inches", STYLE + ALLOW.replace("others  9 mm", "others  none"))
    assert allowances(record)["front", "hem"] == (0, "none")


def test_what_the_house_leaves_open_stays_as_the_style_has_it(under):
    HOUSES["narrow"] = '[allowances]\nseam = "7 mm"\n'
    record, _, _ = under("narrow", STYLE + ALLOW)
    assert allowances(record)["front", "hem"] == (9, "plain") and allowances(record)["back", "centre"] == (7, "plain")
    record, _, _ = under("narrow")
    assert allowances(record)["front", "hem"] == (0, "none")


def test_a_house_that_says_nothing_changes_nothing(under, folder, tapeline):
    HOUSES["silent"] = ""
    record, drawn, said = under("silent", STYLE + ALLOW)
    assert tapeline("draft", "open_skirt.style", "--for", "ada.toml", "-o", "plain").exit_code == 0
    assert drawn == (folder / "plain/open_skirt.svg").read_text()
    assert record == json.loads((folder / "plain/pattern.json").read_text())


def test_the_unit_of_the_command_goes_before_the_house(under):
    assert "104 cm" in under("inches", STYLE, "--unit", "cm")[2]


@pytest.mark.parametrize("house, style", [("quay_row", "corselet_skirt"), ("sailmakers_loft", "corselet_skirt")])
def test_the_houses_that_come_along_have_bare_names(folder, tapeline, house, style):
    for _ in range(2):  # the second time there is a folder of the house's name
        result = tapeline("draft", style, "--for", "nell", "--house", house, "-o", house)
        assert result.exit_code == 0, result.stderr


def test_a_house_allowance_that_cannot_be_cut_points_into_the_house(folder, tapeline):
    (folder / "open_skirt.style").write_text(STYLE)
    (folder / "wide.toml").write_text('[allowances]\nhem = "45 cm turned up"\nside = "45 cm"\n')
    result = tapeline("draft", "open_skirt.style", "--for", "ada.toml", "--house", "wide.toml", "-o", "out")
    assert result.exit_code == 1 and "error T50" in result.stderr and "wide.toml:" in result.stderr
    assert not (folder / "out").exists()


@pytest.mark.parametrize("house, code, exit_code", [("nowhere.toml", "F001", 3), ("quay_rwo", "F001", 3), ("bad.toml", "H101", 1)])
def test_a_house_that_cannot_be_used(folder, tapeline, house, code, exit_code):
    (folder / "bad.toml").write_text('wonder = "1"\n')
    result = tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "--house", house, "-o", "out")
    assert result.exit_code == exit_code and f"error {code}" in result.stderr
    assert not (folder / "out").exists()
    if house == "quay_rwo":
        assert 'Did you mean "quay_row"?' in result.stderr


def test_a_shipped_style_under_the_two_shipped_houses(folder, tapeline):
    """`straight_skirt` says `others`; there each house has its own, and the net pattern is the same."""
    records = []
    for house in ("quay_row", "sailmakers_loft"):
        assert tapeline("draft", "straight_skirt", "--for", "maud", "--house", house, "--unit", "cm", "-o", house).exit_code == 0
        records.append(json.loads((folder / house / "pattern.json").read_text()))
    assert net(records[0]) == net(records[1])
    differing = [place for place, allowance in allowances(records[0]).items() if allowance != allowances(records[1])[place]]
    ruled = [edge["allowance"]["rule"] for piece in records[0]["pieces"] for edge in piece["edges"]]
    assert differing and len([rule for rule in ruled if rule.startswith("quay_row.toml")]) >= len(differing)


def test_a_page_that_no_paper_can_hold_is_refused_and_nothing_written(folder, tapeline, monkeypatch):
    from tapeline.paper.house.paper_sizes import PaperRefused
    from tapeline.paper.sheets import printed
    from tapeline.source.diagnostics import Diagnostic

    def refusing(work):
        raise PaperRefused(Diagnostic("P102", "A page of a PDF cannot be this long"))

    monkeypatch.setattr(printed, "papers", refusing)
    result = tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out", "--papers", "svg,pdf")
    assert result.exit_code == 1 and "error P102" in result.stderr
    assert not (folder / "out").exists()
