"""The cutting list as one HTML page: tables to tick off, and a drawing of every lay.  No network, no script.

In a drawing the cloth runs from left to right, its beginning at the left, the fold or the lower selvedge at the foot; the
lay has been turned, never mirrored.  Pieces bear their numbers of the list, and an arrow toward the upper end of each as the
style draws it.  Lines and words carry the meaning; nothing is told by colour.
"""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from typing import Any, TypeAlias

import numpy as np

from ...source.quantity import show_number
from ..house.document import html_document
from ..house.work import Work
from .text import LAYS, ListSection, about_body, heading, sections

Say: TypeAlias = Callable[..., str]
MARK = '<meta name="generator" content="tapeline cutting list">'
WIDE, HIGH = 172.0, 92.0  # mm on the page that the drawing of a lay may take, words beside it not counted
WORDS = 3.4  # mm, size of words in a drawing
ROOM = 6.0  # mm round the cloth, for words

_STYLE = """
 :root { color: #000; background: #fff; font: 11pt/1.35 Helvetica, Arial, sans-serif; }
 body { max-width: 186mm; margin: 0 auto; padding: 4mm; }
 h1 { font-size: 17pt; line-height: 1.15; margin: 0 0 1mm; } h2 { font-size: 13pt; margin: 6mm 0 1.5mm; }
 p { margin: 1.2mm 0; }
 .scroll { overflow-x: auto; }
 table { border-collapse: collapse; width: 100%; }
 th, td { text-align: left; vertical-align: top; padding: 1mm 3mm 1mm 0; border-bottom: 0.2mm solid #000; }
 thead th { border-bottom-width: 0.5mm; } tbody th { font-weight: normal; }
 td.tick, th.tick { width: 6mm; padding-right: 2mm; }
 td.tick span { display: inline-block; width: 3.6mm; height: 3.6mm; border: 0.3mm solid #000; }
 figure { margin: 3mm 0; break-inside: avoid; } figure svg { display: block; max-width: 100%; height: auto; }
 figcaption, .note { font-size: 9.5pt; } .note { break-before: avoid; }
 h2, thead { break-after: avoid; } tr { break-inside: avoid; }
 @page { size: auto; margin: 12mm; }
 @media print { body { max-width: none; padding: 0; } .scroll { overflow: visible; } }
"""


def write_page(data: dict[str, Any], work: Work) -> str:
    """The list as a whole HTML document."""
    title = heading(data, work)
    numbers = {row["name"]: row["number"] for row in data["pieces"]}
    titles = {row["name"]: work.house.call(row["title"]) for row in data["pieces"]}
    body = ["<main>", f"<h1>{escape(title)}</h1>"]
    body += [f"<p>{escape(line)}</p>" for line in (work.heading.prose, *about_body(data, work), *work.heading.facts()) if line]
    for k, section in enumerate(sections(data, work), 1):
        body += _section(section, f"s{k}", numbers, titles, work.house.say)
    return html_document(MARK, title, _STYLE, [*body, "</main>"], work.house.language)


def is_ours(data: bytes) -> bool:
    """Whether a page is a cutting list that this program made."""
    return MARK.encode() in data[:2048]


def _section(section: ListSection, name: str, numbers: dict[str, int], titles: dict[str, str], say: Say) -> list[str]:
    parts = [f'<section aria-labelledby="{name}">', f'<h2 id="{name}">{escape(section.title)}</h2>']
    parts += [f"<p>{escape(line)}</p>" for line in section.lines]
    if section.rows:
        parts += _table(section, say)
    parts += [f'<p class="note">{escape(note)}</p>' for note in section.notes]
    if section.cloth is not None:
        parts += [lay_figure(lay, section, numbers, titles, f"{name}-{lay['kind']}", say) for lay in section.cloth["lays"]]
    return [*parts, "</section>"]


def _table(section: ListSection, say: Say) -> list[str]:
    tick = section.tick
    first = f"<th class=tick scope=col>{escape(say('done'))}</th>" if tick else ""
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in section.heads)
    lines = [
        '<div class="scroll"><table>',
        f"<caption hidden>{escape(section.title)}</caption>",
        f"<thead><tr>{first}{heads}</tr></thead>",
        "<tbody>",
    ]
    for row in section.rows:
        cells = "".join(f"<td>{escape(cell)}</td>" for cell in row)
        lines.append(f"<tr>{'<td class=tick><span></span></td>' if tick else ''}{cells}</tr>")
    return [*lines, "</tbody></table></div>"]


# ----------------------------------------------------------------------------------------- drawing of a lay


def lay_figure(lay: dict[str, Any], section: ListSection, numbers: dict[str, int], titles: dict[str, str], name: str, say: Say) -> str:
    """The drawing of one lay with its caption; `name` is its own on the page."""
    length, width = max(lay["length"], 1.0), lay["width"]
    scale = min(WIDE / length, HIGH / width)
    room, size = ROOM / scale, WORDS / scale
    folded = lay["kind"] == "folded"
    box = (-room, -room, length + 2 * room, width + 2 * room)
    turned = say(LAYS[lay["kind"]])
    contents = ", ".join(f"{titles[name]} \u00d7 {count}" if count > 1 else titles[name] for name, count in _counted(lay).items())
    out = [
        f'<figure><svg xmlns="http://www.w3.org/2000/svg" role="img" width="{_n(box[2] * scale)}mm" height="{_n(box[3] * scale)}mm" '
        f'viewBox="{" ".join(map(_n, box))}" font-family="Helvetica, Arial, sans-serif" font-size="{_n(size)}" '
        f'aria-label="{escape(f"{section.title}, {turned}: {contents}")}">'
    ]
    if any(placed["mirrored"] for placed in lay["laid"]):
        out.append(
            f'<defs><pattern id="{name}" width="{_n(3 / scale)}" height="{_n(3 / scale)}" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate(45)"><path d="M0 0V{_n(3 / scale)}" stroke="#000" stroke-width="{_n(0.3 / scale)}"/>'
            "</pattern></defs>"
        )
    hair, wide = 0.2 / scale, 0.45 / scale
    dash = f' stroke-dasharray="{_n(5 / scale)} {_n(1 / scale)} {_n(0.6 / scale)} {_n(1 / scale)}"' if folded else ""
    out.append(
        f'<path d="M0 0H{_n(length)}" stroke="#000" stroke-width="{_n(hair)}"/>'
        f'<path d="M0 0V{_n(width)}M{_n(length)} 0V{_n(width)}" stroke="#000" stroke-width="{_n(hair)}" '
        f'stroke-dasharray="{_n(1 / scale)}"/>'
    )
    out.append(_words(0, -0.35 * size, say("selvedges" if folded else "selvedge"), "start"))
    out.append(_words(0, width + 1.15 * size, say("fold" if folded else "selvedge"), "start"))
    for placed in lay["laid"]:
        out += _piece(placed, width, numbers[placed["piece"]], wide, size, folded, name, say("one"))
    foot = f'd="M0 {_n(width)}H{_n(length)}" stroke='
    if folded:  # nothing is cut along the fold
        out.append(f'<path {foot}"#fff" stroke-width="{_n(1.1 * wide)}"/>')
    out += [f'<path {foot}"#000" stroke-width="{_n(hair)}"{dash}/>', "</svg>"]
    caption = [f"{turned[0].upper()}{turned[1:]}."]
    caption.append(say("Arrows point to the upper end of each piece."))
    if any(placed["mirrored"] for placed in lay["laid"]):
        caption.append(say("Hatched: the pattern lies face down."))
    if folded and any(not placed["on_fold"] and placed["copies"] == 1 for placed in lay["laid"]):
        caption.append(say("Marked \u201cone\u201d: only one is wanted."))
    out.append(f"<figcaption>{escape(' '.join(caption))}</figcaption></figure>")
    return "\n".join(out)


def _piece(
    placed: dict[str, Any], width: float, number: int, line: float, size: float, folded: bool, hatch: str, one: str
) -> list[str]:
    ring = np.array(placed["outline"])
    x, y = ring[:, 1], width - ring[:, 0]  # turned by a quarter: the cloth runs to the right, its left edge lies at the foot
    keep = np.ones(len(x), dtype=bool)
    keep[1:] = np.hypot(np.diff(x), np.diff(y)) > 0.5  # mm: nothing that shows at this scale
    points = " ".join(f"{_n(a)},{_n(b)}" for a, b in zip(x[keep], y[keep], strict=True))
    fill = f"url(#{hatch})" if placed["mirrored"] else "#fff"
    parts = [f'<polygon points="{points}" fill="{fill}" stroke="#000" stroke-width="{_n(line)}"/>']
    text = f"{number} {one}" if folded and placed["copies"] == 1 and not placed["on_fold"] else str(number)
    return parts + _label(placed, text, width, size, line, float(np.ptp(y)) < 2.4 * size)


def _label(placed: dict[str, Any], text: str, width: float, size: float, line: float, low: bool) -> list[str]:
    """The number of a piece with an arrow toward its upper end: below it, or in a low piece beside it."""
    x, y = placed["label"][1], width - placed["label"][0]
    ux, uy = placed["up"][1], -placed["up"][0]  # turned like the cloth
    half, reach = 0.32 * size * len(text), 0.9 * size
    if low:
        words, arrow = (x - reach - 0.2 * size, y + 0.35 * size), (x + half, y)
        plate = (x - reach - half - 0.4 * size, y - 0.7 * size, 2 * (half + reach + 0.5 * size), 1.4 * size)
    else:
        words, arrow = (x, y - 0.15 * size), (x, y + 0.25 * size + (reach if uy else 0.35 * size))
        tall = 1.2 * size + (2 * reach if uy else 0.7 * size)
        plate = (x - max(half, reach) - 0.3 * size, y - size, 2 * max(half, reach) + 0.6 * size, tall)
    parts = []
    if placed["mirrored"]:
        parts.append(f'<rect x="{_n(plate[0])}" y="{_n(plate[1])}" width="{_n(plate[2])}" height="{_n(plate[3])}" fill="#fff"/>')
    parts.append(_words(*words, text, "middle", bold=True))
    (ax, ay), barb = arrow, 0.45 * size
    tip, tail = (ax + reach * ux, ay + reach * uy), (ax - reach * ux, ay - reach * uy)
    barbs = [(tip[0] - barb * (ux + side * uy / 2), tip[1] - barb * (uy - side * ux / 2)) for side in (1, -1)]
    run = "L".join(f"{_n(a)} {_n(b)}" for a, b in (barbs[0], tip, barbs[1]))
    parts.append(
        f'<path d="M{_n(tail[0])} {_n(tail[1])}L{_n(tip[0])} {_n(tip[1])}M{run}" fill="none" stroke="#000" '
        f'stroke-width="{_n(line / 2)}"/>'
    )
    return parts


def _counted(lay: dict[str, Any]) -> dict[str, int]:
    counts: dict[str, int] = {}
    for placed in lay["laid"]:
        counts[placed["piece"]] = counts.get(placed["piece"], 0) + 1
    return counts


def _words(x: float, y: float, words: str, anchor: str, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return f'<text x="{_n(x)}" y="{_n(y)}" text-anchor="{anchor}"{weight}>{escape(words)}</text>'


def _n(value: float) -> str:
    return show_number(value, 2)
