"""The whole sheet: heading, test square, legend, and the pieces of one body side by side.

Every part is a group with a box of its own; the parts are set from left to right on rows, tops level, with
a gap between them, so that no two boxes can meet.  A row is ended when the next part would pass the given
width; a part wider than that gets a row to itself.  The legend shows exactly the line types that the
pieces use, each drawn by the function that draws it on a piece.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...finishing.alike import shown
from ...finishing.finished import Finished
from ...source.units import UNITS
from ..drawing import signs
from ..drawing.lettering import RISE, text_width, wrap
from ..drawing.model import LINES, Drawing, Group, Leaf, Stroke, Text, box_of, each_item, run, shifted
from ..drawing.pieces import draw_piece
from ..house.house import USUAL, House
from ..house.work import Heading, Work
from .svg import write_svg

GAP = 20.0
MARGIN = 15.0
WIDTH = 1500.0
SQUARE = 100.0


def papers(work: Work) -> dict[str, str]:
    """NAME.svg, the whole sheet."""
    return {
        f"{work.file_stem}.svg": write_svg(
            draw_sheet(work.finished, work.index, work.heading, work.opened, foundations=work.foundations)
        )
    }


def draw_sheet(
    finished: Finished,
    index: int,
    heading: Heading,
    opened: bool = False,
    edge_names: bool = False,
    width: float = WIDTH,
    foundations: bool = False,
) -> Drawing:
    """All pieces of body `index` at true size, in millimetres, ready for any output.

    `finished` is a `Finished` chunk in which the body did not fail; ValueError otherwise.  `opened` draws
    pieces cut on the fold whole; `width` is the widest row; `foundations` are drawn if asked for.
    """
    pieces = [draw_piece(piece, index, heading, opened, edge_names) for piece in shown(finished, index, foundations)]
    head = [title_block(heading), test_square(heading.unit, heading.house), legend(pieces, heading.house)]
    described = "; ".join(group.title for group in pieces)
    return lay_out(
        [head, pieces],
        width,
        heading.titled,
        f"Pattern pieces at true size for {heading.body_name}, one unit is one millimetre. "
        f"Cut lines are wide and continuous, stitching lines dashed. Pieces: {described}.",
    )


def lay_out(parts: Sequence[Sequence[Group]], width: float = WIDTH, title: str = "", description: str = "") -> Drawing:
    """Groups on rows; each sequence of groups starts a new row.

    No row is wider than `width`, margins counted, unless a single group is.
    """
    placed: list[Group] = []
    top, reach = MARGIN, 0.0
    for groups in parts:
        left, low = MARGIN, top
        for group in groups:
            box = box_of(group.items)
            wide, high = box[2] - box[0], box[3] - box[1]
            if left > MARGIN and left + wide + MARGIN > width:
                left, top = MARGIN, low + GAP
            placed.append(shifted(group, left - box[0], top - box[1]))
            reach, low = max(reach, left + wide), max(low, top + high)
            left += wide + GAP
        top = low + GAP
    return Drawing(reach + MARGIN, top - GAP + MARGIN, tuple(placed), title, description)


def _column(lines: Sequence[tuple[str, float, str]], x: float, top: float) -> tuple[list[Text], float]:
    """Lines of (words, size, weight) under one another from `top`; the texts and the foot of the column."""
    texts = []
    for words, size, weight in lines:
        texts.append(Text(x, top + RISE * size, size, words, "start", 0.0, weight))
        top += size * 1.45
    return texts, top


def title_block(heading: Heading) -> Group:
    say, house = heading.house.say, heading.house.name
    lines = [(line, 16, "bold") for line in wrap(heading.style_title, 16, 320, "bold")]
    if heading.version:
        lines.append((say("version {version}", version=heading.version), 7, "normal"))
    lines += [(line, 7, "normal") for line in wrap(heading.prose, 7, 320)]
    drafted = say("drafted for {name}, {house}" if house else "drafted for {name}", name=heading.body_name, house=house)
    lines += [(line, 9, "bold") for line in wrap(drafted, 9, 320, "bold")]
    lines += [(line, 7, "normal") for fact in heading.facts() for line in wrap(fact, 7, 320)]
    lines.append((say("Scale 1 : 1, drawn in millimetres"), 7, "normal"))
    if heading.unit == "in":
        lines.append((say("Lengths in words are in inches, to the nearest 1/{part}", part=heading.house.fraction), 7, "normal"))
    elif heading.unit != "mm":
        lines.append((say("Lengths in words are in {unit}", unit=say(UNITS[heading.unit].names[1])), 7, "normal"))
    texts, _ = _column(lines, 0.0, 0.0)
    return Group("heading", "Heading", tuple(texts))


def test_square(unit: str, house: House = USUAL) -> Group:
    """A square of exactly 100 mm between the middles of its lines, with what to do with it."""
    corners = [(0, 0), (SQUARE, 0), (SQUARE, SQUARE), (0, SQUARE)]
    side = "100 mm"
    items: list[Leaf] = [
        Stroke(run(corners, closed=True), "frame", "test square"),
        Text(SQUARE / 2, -3, 6, side, "middle", 0.0, "bold"),
        Text(-3, SQUARE / 2, 6, side, "middle", -90.0, "bold"),
    ]
    lines = wrap(
        house.say(
            "Print at 100\u00a0%, not fitted to the page. Measure this square across and down "
            "before cutting: each side must be 100\u00a0mm."
        ),
        5,
        SQUARE - 12,
    )
    if unit == "in":
        lines += [house.say("(a hair under 3 15/16 in)")]
    texts, _ = _column([(line, 5, "normal") for line in lines], 6.0, 8.0)
    return Group("test square", "Test square of 100 mm", (*items, *texts))


def legend(pieces: Sequence[Group], house: House = USUAL) -> Group:
    """A framed box with a sample of each line type that the pieces use and its meaning in plain words."""
    used = {item.line for item in each_item(pieces) if isinstance(item, Stroke)}
    rows = [name for name, kind in LINES.items() if kind.meaning and name in used]
    high, sample, size = 10.0, 46.0, 5.0
    title = house.say("What the lines mean")
    items: list[Leaf] = [Text(5, 9, 6, title, "start", 0.0, "bold")]
    y = 18.0
    for name in rows:
        drop = 3.0 if name == "fold" else 0.0  # room for the bracket above the line
        items += line_sample(name, 5.0, y + drop, sample, house.notch)
        items.append(Text(sample + 12, y + 0.35 * size, size, house.say(LINES[name].meaning)))
        y += high + drop
    wide = (
        sample + 12 + max([text_width(house.say(LINES[n].meaning), size) for n in rows] + [text_width(title, 6, "bold") - sample]) + 5
    )
    frame = Stroke(run([(0, 0), (wide, 0), (wide, y - 3), (0, y - 3)], closed=True), "frame", "legend")
    return Group("legend", "Legend of line types", (frame, *items))


def line_sample(name: str, x: float, y: float, length: float, notch: str = "line") -> list[Stroke]:
    """What the legend shows of one line type, drawn as on a piece."""
    p, q = (x, y), (x + length, y)
    middle = x + length / 2
    if name == "grain":
        return signs.grain_arrow(p, q)
    if name == "notch":
        cut = Stroke(run([(x, y - 3), (x + length, y - 3)]), "cut")
        return [cut, signs.notch((middle, y + 7), (middle, y - 3), kind=notch)]
    if name == "zip_end":
        return [Stroke(run([p, q]), "stitch"), signs.bar((middle, y), (1.0, 0.0), "zip_end", 7)]
    if name == "dart":
        return [Stroke(run([(x, y - 3), (q[0] - 6, y), (x, y + 3)]), "dart"), signs.cross((q[0] - 6, y), 2.0)]
    if name == "pleat_fold":
        return [
            Stroke(run([(x, y - 3), (q[0], y - 3)]), name),
            Stroke(run([(x, y + 3), (q[0], y + 3)]), "pleat_laid"),
            signs.lay_arrow((middle, y - 3), (middle, y + 3)),
        ]
    if name in signs.POINT_SIGNS:
        return [signs.POINT_SIGNS[name]((middle, y))]
    if name == "buttonhole":
        return [signs.buttonhole((middle - 8, y), (middle + 8, y))]
    if name == "lengthening":
        return [Stroke(run([(x, y + aside), (q[0], y + aside)]), name) for aside in (-1.5, 1.5)]
    strokes = [Stroke(run([p, q]), name)]
    if name == "fold":
        strokes += signs.fold_bracket((x + 4, y), (q[0] - 4, y), 6.0, (0.0, -1.0))
    if name == "bone":
        strokes += [signs.bar(end, (1.0, 0.0), "sign", 5) for end in (p, q)]
    return strokes
