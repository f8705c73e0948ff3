"""Blouses that are buttoned: a hole for every button, told in one row, and one label for the two."""

import re

import pytest
from drafted import drafted

from tapeline.paper.cutting.cutting_list import cutting_list
from tapeline.paper.sheets.sheet import papers


@pytest.mark.parametrize(("name", "buttons"), [("sleeveless_blouse", 7), ("shirt_blouse", 10), ("shawl_jacket", 3)])
def test_every_button_has_a_hole(name, buttons):
    data = cutting_list(drafted(name, "maud"))
    assert [row["count"] for row in data["buttons"]] == [buttons]
    (holes,) = [row for row in data["fastenings"] if row["kind"] == "buttonhole"]
    assert holes["count"] == buttons
    assert holes["length"] == pytest.approx(data["buttons"][0]["size"] + 25.4 / 8, abs=0.01), "as long as the button and 1/8 in"


def test_button_and_hole_of_two_fronts_have_one_label():
    (svg,) = [data for file, data in papers(drafted("sleeveless_blouse", "maud")).items() if file.endswith(".svg")]
    labels = re.findall(r">(button on one piece, hole in the other|on one piece)<", svg)
    assert labels == ["button on one piece, hole in the other"] * 7
