"""The proof page: one draft as one HTML page for a screen, to be judged before cloth or paper is cut.

It holds the drawing, which can be zoomed and measured and whose pieces can be switched off, cautions and checks, ledgers,
the style's text with every rule tied to what it drew, and the cutting list.  All is in the file: style sheet, script and
drawing; nothing is fetched, and a policy in its head forbids it.  Without the script it is a page of drawing and tables.

Names of elements that the page makes hold an underscore, which those in a drawing never do (see `svg`).
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from html import escape
from importlib.resources import files

from ...drafting.pattern import Piece
from ...finishing.finished import FinishedPiece
from ..drawing.model import LINES, Drawing, Group, box_of
from ..drawing.pieces import cut_words, draw_piece, in_words
from ..house.document import html_document
from ..house.work import Work
from ..sheets.sheet import GAP, MARGIN, lay_out, legend
from ..sheets.svg import write_svg
from . import tables
from .rules import RuleTexts, SourceLine, file_name, strokes_of
from .tables import PageWords

MARK = '<meta name="generator" content="tapeline proof page">'
WIDE = 1.5  # the drawing's width to its height, about
# Lines keep their width on the screen however near they are seen: this many pixels to the millimetre of `LINES`.
PIXELS = 3.0


def papers(work: Work) -> dict[str, str]:
    """NAME-proof.html."""
    return {f"{work.file_stem}-proof.html": write_page(work)}


def is_ours(data: bytes) -> bool:
    """Whether a page is a proof page that this program made."""
    return MARK.encode() in data[:2048]


def write_page(work: Work) -> str:
    """The whole HTML document."""
    in_order = work.shown
    drawn = [draw_piece(finished_piece, work.index, work.heading, work.opened, edge_names=True) for finished_piece in in_order]
    texts = RuleTexts(work, drawn)
    writer = PageWords(work, texts)
    heading = work.heading
    title = f"{heading.titled}, for {heading.body_name}"
    style, script = _packed("page.css") + line_styles(), _packed("page.js")
    sheet = _sheet_drawing(work, drawn)
    sections = [
        _drawing(work, in_order, drawn, sheet),
        _rules(texts),
        tables.checks(work, writer),
        tables.ledgers(work, writer),
        tables.lines(work, drawn, writer),
        tables.figures(work, writer),
        tables.cutting(work),
    ]
    names = [(part.split('"', 2)[1], part.split("<h2", 1)[1].split(">", 1)[1].split("<", 1)[0]) for part in sections if part]
    parts = "".join(f'<li><a href="#{name}">{words}</a></li>' for name, words in names)
    house = f"<p>{escape(work.house.name)}</p>" if work.house.name else ""
    prose = f"<p>{escape(heading.prose)}</p>" if heading.prose else ""
    facts = "".join(f"<p>{escape(fact)}</p>" for fact in heading.facts(work.house.in_english()))
    data = {
        "unit": work.unit,
        "fraction": work.house.fraction,
        "links": texts.links(),
        "points": _points(work, in_order, drawn, sheet),
        "lines": {name: line.meaning or name.replace("_", " ") for name, line in LINES.items()},
    }
    body = [
        '<a class="skip" href="#drawing">To the drawing</a>',
        '<a class="skip" href="#rules">To the rules</a>',
        "<header>",
        house,
        f"<h1>{escape(title)}</h1>",
        prose,
        facts,
        f'<nav aria-label="Parts of this page"><ul>{parts}</ul></nav>',
        "</header>",
        "<main>",
        '<div class="bench">',
        *sections[:2],
        "</div>",
        *sections[2:],
        "</main>",
    ]
    return html_document(MARK, title, style, body, data=_json(data), script=script)


def line_styles() -> str:
    """Line types for the screen, from the one table of them."""
    rules = []
    for name, line in LINES.items():
        dash = " ".join(f"{part * PIXELS:g}" for part in line.dash) or "none"
        rules.append(f'.sheet [data-line="{name}"] {{ --width: {max(1.0, line.width * PIXELS):g}; --dash: {dash}; }}')
    return "\n".join(rules) + "\n"


def _packed(name: str) -> str:
    return files(__package__).joinpath(name).read_text(encoding="utf-8")


def _json(data: object) -> str:
    """Data that no closing tag or comment can end."""
    return json.dumps(data, ensure_ascii=True, allow_nan=False, separators=(",", ":")).replace("<", "\\u003c")


# ------------------------------------------------------------------------------------------------ the drawing


def _sheet_drawing(work: Work, drawn: Sequence[Group]) -> Drawing:
    """The pieces side by side, on a sheet of the shape of a screen."""
    boxes = [box_of(group.items) for group in drawn]
    area = sum((right - left + GAP) * (low - top + GAP) for left, top, right, low in boxes)
    widest = max(right - left for left, _, right, _ in boxes)
    return lay_out(
        [drawn],
        max(widest + 2 * MARGIN, math.sqrt(WIDE * area) + MARGIN),
        "Pattern pieces",
        f"The pieces as drafted for {work.heading.body_name}. Their lines are listed in words under Edges, seam allowances and lines.",
    )


def _drawing(work: Work, finished: Sequence[FinishedPiece], drawn: Sequence[Group], sheet: Drawing) -> str:
    switches = "".join(
        _switch(k, group, finished_piece.piece, work.opened)
        for k, (group, finished_piece) in enumerate(zip(drawn, finished, strict=True), 1)
    )
    key = legend(drawn, work.house)
    key_sheet = lay_out([[key]], title="What the lines mean", description=_legend_words(drawn))
    return f"""<section id="drawing" aria-labelledby="drawing_title">
<h2 id="drawing_title">Drawing</h2>
<div class="tools" role="group" aria-label="Drawing" hidden>
<button type="button" id="zoom_in" aria-label="Nearer">+</button>
<button type="button" id="zoom_out" aria-label="Further">\u2212</button>
<button type="button" id="zoom_fit">Show all</button>
<button type="button" id="measure" aria-pressed="false">Measure</button>
</div>
<div id="sheet" class="sheet" tabindex="0" role="application" aria-label="Drawing of the pieces" aria-describedby="drawing_help">
{_inline(sheet)}
</div>
<div id="bar" class="bar">
<p id="told" class="told" role="status" aria-live="polite"></p>
<p class="tools" hidden><a id="to_rule" hidden href="#rules">To its rule</a>
<button type="button" id="to_drawing" hidden>In the drawing</button> <button type="button" id="let_go" hidden>Let go</button></p>
</div>
<p id="drawing_help" class="note" hidden>Point at a line to see its rule, press it to keep it. Drag to move; plus and minus, or Ctrl
with the wheel, to come nearer. With keys: arrows move, plus, minus and 0 change the size, Enter takes what lies under the cross,
m measures, Escape lets go.</p>
<form id="by_name" class="tools" hidden><fieldset><legend>Measure between two points by name</legend>
<label>from <select id="from_point"></select></label> <label>to <select id="to_point"></select></label>
<output id="by_name_told" for="from_point to_point"></output></fieldset></form>
<h3 id="pieces_title">Pieces</h3>
<ul class="pieces" aria-labelledby="pieces_title">{switches}</ul>
<details class="legend"><summary>What the lines mean</summary>{_inline(key_sheet)}</details>
</section>"""


def _switch(number: int, group: Group, piece: Piece, whole: bool) -> str:
    name, title = escape(group.name), escape(piece.title)
    return (
        f'<li><label><input type="checkbox" checked data-switch="{name}"> {number}. {title}</label> '
        f"<span>{escape(cut_words(piece.cut, whole, hand=piece.hand))}</span> "
        f'<button type="button" data-only="{name}" aria-label="Show only {title}">only</button></li>'
    )


def _inline(sheet: Drawing) -> str:
    """A drawing as an element of the page."""
    return write_svg(sheet).partition("?>\n")[2].strip()


def _legend_words(drawn: Sequence[Group]) -> str:
    used = {stroke.line for group in drawn for stroke in strokes_of(group)}
    return "; ".join(f"{in_words(name)}: {line.meaning}" for name, line in LINES.items() if line.meaning and name in used)


def _points(work: Work, finished: Sequence[FinishedPiece], drawn: Sequence[Group], sheet: Drawing) -> list[list[str | float]]:
    """[piece, its title, point, x, y] of every named point, as it lies in the drawing."""
    rows: list[list[str | float]] = []
    groups = [item for item in sheet.items if isinstance(item, Group)]
    for finished_piece, group, laid in zip(finished, drawn, groups, strict=True):
        (_, x, y), (_, to_x, to_y) = strokes_of(group)[0].commands[0], strokes_of(laid)[0].commands[0]
        for name, place in finished_piece.piece.points.items():
            px, py = float(place[work.index, 0]) + to_x - x, float(place[work.index, 1]) + to_y - y
            if math.isfinite(px) and math.isfinite(py):
                rows.append([group.name, finished_piece.piece.title, in_words(name), round(px, 4), round(py, 4)])
    return rows


# -------------------------------------------------------------------------------------------------- the rules


def _rules(texts: RuleTexts) -> str:
    parts = [
        '<section id="rules" aria-labelledby="rules_title">',
        '<h2 id="rules_title">Rules</h2>',
        '<p class="note">A numbered line that is a button drew something, or something rests on it: press it to see what.</p>',
    ]
    for k, source in enumerate(texts.sources):
        rows = "\n".join(_row(row) for row in texts.rows(source))
        listing = f'<ol class="text" role="list" aria-label="{escape(file_name(source))}">\n{rows}\n</ol>'
        name = escape(file_name(source))
        parts.append(
            f"<details><summary>{name}, which the style uses</summary>\n{listing}</details>" if k else f"<h3>{name}</h3>\n{listing}"
        )
    return "\n".join([*parts, "</section>"])


def _row(row: SourceLine) -> str:
    words = escape(row.words) or " "
    figures = f' <span class="comes">{escape("; ".join(row.figures))}</span>' if row.figures else ""
    kind = "drew" if row.drew else "held" if row.held else ""
    code = f"<code>{words}</code>"
    if kind:
        code = f'<button type="button" class="{kind}" aria-pressed="false">{code}</button>'
    return f'<li id="{row.name}" value="{row.number}" data-rule="{escape(row.rule)}">{code}{figures}</li>'
