"""Where a piece is worn: said, taken over by what is made from it, and never guessed; and levels that no paper shows."""

import numpy as np
import pytest

from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.source.diagnostics import has_errors
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

HEAD = """language 1
style panels "Panels"
measure hip
levels
    waist
    seat  12 cm below waist{unmarked}
    hip   20 cm below waist
recipe panel(deep length)
{worn}
    widths from centre, with darts
        waist  hip / 4
        seat   hip / 4
        hip    hip / 4
"""


def told(text: str, worn: str = "    cut 2", unmarked: str = ""):
    style, said = read(Source("panels.style", HEAD.format(worn=worn, unmarked=unmarked) + text), FolderWorld())
    if style is None or has_errors(said):
        return [one.code for one in said], None
    (one,) = draft(style, {"hip": np.array([900.0, 1000.0])})
    return [one.code for one in said], one.pattern


def worn(text: str) -> dict[str, str]:
    _, pattern = told(text)
    assert pattern is not None
    return {piece.name: piece.worn for piece in (*pattern.pieces, *pattern.foundations)}


def test_a_piece_says_where_it_is_worn_and_a_name_says_nothing():
    pieces = worn(
        'piece one "Back" from panel(1 cm)\n    worn in front\npiece other "Front" from panel(1 cm)\n    worn behind\n'
        "piece front from panel(1 cm)\n"
    )
    assert pieces == {"one": "front", "other": "back", "front": ""}


def test_what_is_made_from_a_piece_is_worn_where_that_is_unless_it_says_so():
    pieces = worn(
        "foundation block from panel(1 cm)\n    worn in front\n"
        "piece faced from block\n    facing 5 cm deep along waist\n"
        "piece turned from block\n    worn behind\n    mirror\n"
        "piece doubled from panel(1 cm)\n    worn in front\n    mirror\n"
        "cut block from side at 8 cm from waist_side to centre at 8 cm from waist_centre, seam low\n"
        "    piece upper holding waist\n    piece under holding hip\n"
    )
    assert pieces == {"block": "front", "faced": "front", "turned": "back", "doubled": "front", "upper": "front", "under": "front"}


@pytest.mark.parametrize(("other", "joined"), [("worn in front", "front"), ("worn behind", ""), ("grain level", "")])
def test_of_joined_pieces_all_must_be_worn_there(other, joined):
    pieces = worn(
        "foundation near from panel(1 cm)\n    worn in front\n"
        f"foundation far from panel(1 cm)\n    {other}\n"
        "piece whole from near\n    join far along side\n"
    )
    assert pieces["whole"] == joined


def test_it_is_said_once_and_a_recipe_that_says_it_is_changed():
    assert told("piece one from panel(1 cm)\n    worn in front\n    worn behind\n")[0] == ["N228"]
    assert told("piece one from panel(1 cm)\n    worn in front\n", worn="    worn behind")[0] == ["N228"]
    said, pattern = told("piece one from panel(1 cm)\n    change\n        worn in front\n", worn="    worn behind")
    assert said == [] and pattern.piece("one").worn == "front"
    said, pattern = told("piece one from panel(1 cm)\n    change\n        without worn\n", worn="    worn behind")
    assert said == [] and pattern.piece("one").worn == ""


def test_a_level_that_is_only_for_construction_is_on_no_paper():
    def shown(unmarked: str) -> tuple[set[str], set[str]]:
        sewn = "piece one from panel(1 cm)\npiece other from panel(1 cm)\nsew one.side to other.side\n"
        finished = finish(told(sewn, unmarked=unmarked)[1])[0].piece("one")
        lines = {name for name, y in finished.levels.items() if np.isfinite(y).all()}
        return lines, {notch.name for notch in finished.notches if np.isfinite(notch.on_stitch).all()}

    lines, notches = shown("")
    assert "seat" in lines and "seat" in notches
    # Without the level the seam, 20 cm long, has nothing that is notched: such a one of 15 cm or more has a notch of its own.
    assert shown(", unmarked") == (lines - {"seat"}, notches - {"seat"} | {"balance"})
