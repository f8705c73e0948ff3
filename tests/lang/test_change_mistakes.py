"""Changing a piece: what is refused when the style is read, by its code and its line.

Each style is the front of `changing_front.FRONT` and a few lines more.  In `MISTAKES` the offending line is marked by `>>`; the
marked line must be where the message points, and nothing else may be said.
"""

import pytest
from changing_front import assert_told

# (what is wrong, code, what the message names, the lines)
MISTAKES = [
    (
        "a dart that is not there",
        "N201",
        "wast_dart",
        """
piece a from front
>>    pivot wast_dart to side at half
""",
    ),
    (
        "an edge that is not there",
        "N201",
        "shoulder",
        """
piece a from front
>>    pivot waist_dart to shoulder at half
""",
    ),
    (
        "a piece that is not there",
        "N201",
        "frnt",
        """
>>piece a from frnt
    shorten waist_dart by 2 cm
""",
    ),
    (
        "a cut of a piece that is not there",
        "N201",
        "frnt",
        """
>>cut frnt from waist_dart to hem at half, seam princess
    piece one holding centre
    piece two
""",
    ),
    (
        "a stop that is neither edge nor dart",
        "N201",
        "wast_dart",
        """
>>cut front from wast_dart to hem at half, seam princess
    piece one holding centre
    piece two
""",
    ),
    (
        "a dart that has been moved away",
        "N201",
        "waist_dart",
        """
piece a from front
    pivot waist_dart to side at half, called side_dart
>>    pivot waist_dart to hem at half
""",
    ),
    (
        "a line that is not drawn",
        "N201",
        "lw",
        """
>>cut front from centre to side along lw, seam yoke
    piece one holding waist
    piece two
""",
    ),
    (
        "a name that a dart has",
        "N202",
        "side_dart",
        """
piece a from front
    pivot waist_dart by half to side at 1/3, called side_dart
>>    pivot waist_dart to hem at half, called side_dart
""",
    ),
    (
        "a part of a dart without a name of its own",
        "N202",
        "waist_dart",
        """
piece a from front
>>    pivot waist_dart by half to side at half
""",
    ),
    (
        "pleats by a name that is taken",
        "N202",
        "pleat1",
        """
piece a from front
    pivot waist_dart to side at half, called pleat1
>>    pleats 2 on waist to hem, 2 cm deep
""",
    ),
    (
        "a pleat along a line that is not there",
        "N201",
        "edge",
        """
piece a from front
>>    pleats on waist to hem along nowhere, 2 cm deep
""",
    ),
    (
        "a seam by the name of an edge",
        "N202",
        "hem",
        """
>>cut front from waist_dart to hem at half, seam hem
    piece one holding centre
    piece two
""",
    ),
    (
        "an end of another edge",
        "N231",
        "hem",
        """
piece a from front
>>    pivot waist_dart to waist at 3 cm from hem
""",
    ),
    (
        "a dart moved into itself",
        "N240",
        "itself",
        """
piece a from front
>>    pivot waist_dart into waist_dart
""",
    ),
    (
        "a pleat that tapers elsewhere",
        "N207",
        "tapers",
        """
piece a from front
>>    pleats 2 on waist to hem, 2 cm deep, 4 cm deep at side
""",
    ),
    (
        "closing darts along no line",
        "N247",
        "line",
        """
>>cut front from centre at half to side at half, closing waist_dart, seam yoke
    piece one holding waist
    piece two
""",
    ),
    (
        "an edge without a place",
        "N241",
        "centre",
        """
>>cut front from centre to side at half, seam yoke
    piece one holding waist
    piece two
""",
    ),
    (
        "a cut into three",
        "N247",
        "two pieces",
        """
>>cut front from waist_dart to hem at half, seam princess
    piece one holding centre
    piece two
    piece three
""",
    ),
    (
        "a piece that holds something without a cut",
        "N208",
        "holds",
        """
>>piece a from front holding centre
""",
    ),
    (
        "no slash at all",
        "N210",
        "whole number",
        """
piece a from front
>>    spread hem by 4 cm, hinged on waist, in 0 cuts
""",
    ),
    (
        "more slashes than one statement may make",
        "N210",
        "whole number",
        """
piece a from front
>>    pleats 49 on waist to hem, 2 mm deep
""",
    ),
    (
        "a cut on one edge",
        "N214",
        "one edge to another",
        """
>>cut front from side at 1/3 to side at 2/3, seam flap
    piece one holding centre
    piece two
""",
    ),
    (
        "a slash on one edge",
        "N214",
        "one edge to another",
        """
piece a from front
>>    spread hem by 4 cm, hinged on hem, in 2 cuts
""",
    ),
    (
        "darts set where darts are",
        "N215",
        "darts already",
        """
piece a from front
>>    dart on waist at 1/4, called second
        intake 1 cm
        point 8 cm long
""",
    ),
    (
        "parts that nothing tells apart",
        "N216",
        "Which part",
        """
cut front from waist_dart to hem at half, seam princess
>>    piece one
    piece two
""",
    ),
    (
        "two parts that hold the same",
        "N216",
        "Which part",
        """
cut front from waist_dart to hem at half, seam princess
>>    piece one holding centre
    piece two holding A
""",
    ),
    (
        "what both parts hold",
        "N216",
        "Neither one part alone",
        """
cut front from waist_dart to hem at half, seam princess
>>    piece one holding waist
    piece two
""",
    ),
    (
        "a dart by the name of another when joined",
        "N202",
        "b_waist_dart",
        """
foundation b "Turned over" from front
    mirror
foundation c "With a dart in the hem" from front
    dart on hem at half, called b_waist_dart
        intake 2 cm
        point 8 cm long
piece a from c
>>    join b along centre
""",
    ),
    (
        "a strip by the name of an edge",
        "N202",
        "hem",
        """
piece a from front
>>    extend centre by 4 cm, called hem
""",
    ),
    (
        "a strip between two points of the edge",
        "N231",
        "end of the edge",
        """
piece a from front
>>    extend centre by 4 cm from S to V
""",
    ),
    (
        "a facing of edges that do not meet",
        "N214",
        "follow each other",
        """
piece a from front
>>    facing 4 cm deep along waist and hem
""",
    ),
    (
        "a facing of all edges but one",
        "N214",
        "edge of its own",
        """
piece a from front
>>    facing 4 cm deep along centre and waist and side
""",
    ),
    (
        "nothing to release",
        "N201",
        "fold1",
        """
piece a from front
>>    release fold1
""",
    ),
]


@pytest.mark.parametrize("code, names, lines", [mistake[1:] for mistake in MISTAKES], ids=[mistake[0] for mistake in MISTAKES])
def test_a_mistake_is_told_by_its_code_and_line(code, names, lines):
    assert_told(code, names, lines)
