"""Foundations on papers: left out unless they are asked for, then drawn as what is never cut; and nothing to cut is said."""

import json
import re

import pytest

PANEL = """language 1
style panel "Panel"
measure hip
foundation panel "Panel"
    cut 1 on fold at centre
    point A start
    point B A across hip / 4
    point C A down 50 cm
    point D B down 50 cm
    line centre A to C
    line top    A to B
    line side   B to D
    line hem    C to D
    outline centre, top, side, hem
    dart on top at half
        intake 2 cm
        point 10 cm long
"""
PIECE = "piece front from panel\nallow\n    others 1 cm\n"


@pytest.fixture
def draw(folder, tapeline):
    def run(text, *options):
        (folder / "panel.style").write_text(text)
        result = tapeline("draft", "panel.style", "--for", "ada.toml", "-o", "out", "--overwrite", *options)
        assert result.exit_code == 0, result.output
        return result

    return run


def lines_of(svg, piece):
    """The line types within the group of a piece."""
    group = re.search(rf'<g data-piece="{piece}".*?</g>', svg, re.DOTALL)
    assert group is not None
    return set(re.findall(r'data-line="([a-z_]+)"', group.group(0)))


def test_a_foundation_is_drawn_when_it_is_asked_for(draw, folder):
    draw(PANEL + PIECE)
    without = (folder / "out/panel.svg").read_text()
    draw(PANEL + PIECE, "--foundations")
    shown = (folder / "out/panel.svg").read_text()
    assert "not to be cut" not in without and "Foundation: not to be cut" in shown
    assert "foundation" in lines_of(shown, "panel") and "cut" not in lines_of(shown, "panel")
    assert "cut" in lines_of(shown, "front") and "foundation" not in lines_of(shown, "front")
    record = json.loads((folder / "out/pattern.json").read_text())
    assert [piece["name"] for piece in record["pieces"]] == ["front"]  # it is looked at, not made


def test_foundations_alone_give_no_paper_and_say_so(draw, folder):
    result = draw(PANEL, "--papers", "all")
    assert "N295" in result.stderr and "foundations alone: panel" in result.stderr
    assert [path.name for path in (folder / "out").iterdir()] == ["pattern.json"]


def test_foundations_alone_can_be_looked_at_on_every_paper(draw, folder):
    draw(PANEL, "--papers", "all", "--foundations")
    assert {path.suffix for path in (folder / "out").iterdir()} == {".svg", ".pdf", ".html", ".txt", ".dxf", ".png", ".json"}


def test_check_says_that_a_style_has_no_piece(folder, tapeline):
    (folder / "sums.style").write_text('language 1\nstyle sums "Sums"\nmeasure waist\nquarter_waist = waist / 4\n')
    for _ in range(2):  # read, and from what is kept
        assert tapeline("check", "sums.style").stdout == "sums.style: in order; it has no piece, so there is nothing to cut\n"


def test_a_draft_without_pieces_says_why_there_is_no_paper(folder, draw):
    result = draw('language 1\nstyle sums "Sums"\nmeasure hip\nhalf_hip = hip / 2\n', "--papers", "all")
    assert "Nothing of this style is cut: no paper was made of it." in result.stdout
    assert [path.name for path in (folder / "out").iterdir()] == ["pattern.json"]


def test_foundations_belong_to_one_body(folder, tapeline):
    (folder / "panel.style").write_text(PANEL)
    result = tapeline("draft", "panel.style", "--sizes", "quay_row", "--foundations", "-o", "out")
    assert result.exit_code == 2 and "--foundations belongs to --for" in result.stderr
