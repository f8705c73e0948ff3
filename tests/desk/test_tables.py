"""The ledgers as they are printed: long names, and styles without allowances.  Figures of the invented workshop Quay Row."""

import re
from io import StringIO

from tapeline.desk.tables import WIDTH, print_ledgers
from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.making.columns import Table, _width
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

STYLE = """language 1
style cut_in_two "Cut in two"
foundation front "Front"
    cut 1 on fold at centre
    point A start
    point B A across 20 cm
    point C A down 50 cm
    point D B down 50 cm
    line centre A to C
    line waist A to B
    line side B to D
    line hem C to D
    outline centre, waist, side, hem
cut front from centre at 8 cm from waist to side at 8 cm from waist, seam front_yoke_seam
    piece front_yoke_of_skirt "Front yoke" holding waist
    piece below "Front skirt"
"""


def printed(text: str) -> str:
    style, found = read(Source("cut_in_two.style", text), FolderWorld())
    assert not found
    (one,) = draft(style, {})
    finished, failures = finish(one.pattern)
    assert not [*one.failures, *failures]
    stream = StringIO()
    print_ledgers(one.ledgers, finished, "cm", stream)
    return stream.getvalue()


def test_a_seam_that_a_cut_has_made_is_listed_by_its_names():
    lines = printed(STYLE).splitlines()
    assert max(map(len, lines)) <= WIDTH
    at = next(k for k, line in enumerate(lines) if "front_yoke_of_skirt." in line)
    first, second = lines[at].split(), lines[at + 1].split()
    # a long name is broken between piece and edge, never within a word
    assert first[:2] == ["front_yoke_of_skirt.", "below.front_yoke_seam"] and "0" in first and "20" in first
    assert second == ["front_yoke_seam"]


def test_a_net_style_has_no_list_of_allowances():
    assert "Seam allowances" not in printed(STYLE)
    assert "Seam allowances" in printed(STYLE + "allow\n    others 1 cm\n")


def test_a_table_gives_way_column_by_column_and_loses_no_letter():
    table = Table("Seams")
    for head, figures in (("edge", False), ("length", True), ("because of", False)):
        table.add_column(head, figures)
    rows = (
        ("front.waist", "88.5 cm", "a dart that has narrowed"),
        ("a_name_without_any_place_to_break_it", "+5\nand 6", ""),
        ("\u6f22\u5b57\u6f22\u5b57", "7", "e\u0301te\u0301"),
    )
    for row in rows:
        table.add_row(*row)
    parts = [part for row in rows for cell in row for part in re.split(r"(?<=[._])|\s", cell) if part]
    for most in (200, 60, 40, 24):
        lines = table.lines(most)
        assert all(any(part in line for line in lines) for part in parts)  # a name is broken between its parts, never in one
        narrowest = 8 + 6 + 8 + 2 * 3 + 2  # of "without_", "length" and "narrowed", with what stands between them and beside
        assert max(map(_width, lines)) <= max(most, narrowest) and lines[0] == "Seams" and lines[1] == lines[-1] == ""
        rule = next(k for k, line in enumerate(lines) if "\u2500" in line)
        said = "".join("".join(lines[rule + 1 :]).split())
        assert sorted(said) == sorted("".join("".join(cell.split()) for row in rows for cell in row))
    wide = table.lines(200)
    assert len({_width(line) for line in wide if line.startswith(" \u2500")}) == 1
    at = wide[2].index("length") + len("length")
    assert wide[4][:at].endswith("88.5 cm") and wide[5][:at].endswith("+5") and wide[6][:at].endswith("and 6")


def test_a_column_without_a_figure_is_left_out():
    table = Table("Girths")
    for head in ("level", "body", "because of"):
        table.add_column(head)
    table.add_row("waist", "70 cm", "")
    table.add_row("hem", "", "")
    lines = table.lines(80)
    assert lines[2].split() == ["level", "body"] and [line.split() for line in lines[4:6]] == [["waist", "70", "cm"], ["hem"]]


def test_a_name_too_long_for_its_column_is_broken_between_its_parts():
    table = Table("Seams")
    table.add_column("edge")
    table.add_row("side_front.shoulder")
    assert [line.strip() for line in table.lines(14)[4:-1]] == ["side_front.", "shoulder"]


def test_figures_stand_under_each_other_where_a_script_takes_two_places_for_a_letter():
    table = Table("Widths")
    table.add_column("name")
    table.add_column("width", figures=True)
    table.add_row("\u6f22\u5b57", "1 cm")
    table.add_row("hem", "10 cm")
    assert len({_width(line) for line in table.lines(80)[3:-1]}) == 1
