"""A further layer of a piece that is cut along the stitching line: its area and its lay by hand, and how the list says it."""

import pytest
import shapely
from test_cutting_list import APRON, work_of

from tapeline.paper.cutting import text as cutting_text
from tapeline.paper.cutting.cutting_list import cutting_list


def test_a_layer_without_allowances_is_laid_by_its_stitching_line():
    words = 'cut 2 and 2 for "interfacing"'
    listed = cutting_list(work_of(APRON.replace(words, f"{words}, without allowances")))
    (fused,) = [cloth for cloth in listed["cloths"] if cloth["for"] == "interfacing"]
    (sewn,) = [cloth for cloth in cutting_list(work_of(APRON))["cloths"] if cloth["for"] == "interfacing"]
    back = 220 * 480
    assert (fused["area"], fused["allowances"], fused["longest"]) == (2 * back, 0, 480)
    assert sewn["area"] == 2 * (220 + 20 + 15) * (480 + 10 + 30) and sewn["allowances"] == sewn["area"] - 2 * back
    for lay in fused["lays"]:
        for laid in lay["laid"]:
            assert shapely.Polygon(laid["outline"]).area == pytest.approx(back, abs=1)
    (row,) = [row for row in listed["pieces"] if row["name"] == "back"]
    assert row["layers"] == [{"count": 2, "for": "interfacing", "net": True}]
    assert "also 2 for interfacing, along the stitching line" in cutting_text.write_text(listed, work_of(APRON))
