"""The ledgers as they are printed: long names, and styles without turnings.  Figures of the invented workshop Quay Row."""

from io import StringIO

from tapeline.desk.tables import WIDTH, print_ledgers
from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import World

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
    style, found = read(Source("cut_in_two.style", text), World())
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


def test_a_net_style_has_no_list_of_turnings():
    assert "Turnings" not in printed(STYLE)
    assert "Turnings" in printed(STYLE + "allow\n    others 1 cm\n")
