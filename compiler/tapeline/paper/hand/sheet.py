"""The drafting sheet: one style for one body as numbered steps for ruler, square, tape and curve, with a small drawing.

Everything is read from the plan (`steps`); no second text is kept.  The page is one HTML file without script or
network; the same content is laid on A4 pages for the PDF (`pages`).
"""

from __future__ import annotations

from html import escape

from ..house.document import html_document
from ..house.work import Work
from ..sheets.flow import BESIDE
from ..sheets.pdf import write_pdf
from ..sheets.svg import write_svg
from .drawing import piece_drawing
from .pages import sheet_pages
from .section import HandDraft, HandSection, HandStep
from .steps import hand_draft
from .telling import AS_SEWN, PURPOSE, as_sewn, exactness, figures, heading_of, phases, reading, step_words, title

MARK = '<meta name="generator" content="tapeline drafting sheet">'

_STYLE = """
 :root { color: #000; background: #fff; font: 10.5pt/1.4 Helvetica, Arial, sans-serif; }
 body { max-width: 186mm; margin: 0 auto; padding: 4mm; }
 h1 { font-size: 17pt; line-height: 1.15; margin: 0 0 1mm; }
 h2 { font-size: 13.5pt; margin: 7mm 0 1mm; padding-top: 2mm; border-top: 0.5mm solid #000; clear: both; break-after: avoid; }
 h3 { font-size: 11pt; margin: 3mm 0 0.5mm; break-after: avoid; }
 p { margin: 1.2mm 0; }
 ol { margin: 0; padding-left: 9mm; } li { padding-left: 1mm; margin: 0.6mm 0; break-inside: avoid; }
 figure { float: right; margin: 1mm 0 3mm 5mm; break-inside: avoid; max-width: 100%; }
 figure.wide { float: none; margin: 2mm 0; }
 figure svg { display: block; max-width: 100%; height: auto; }
 section { overflow: hidden; }
 .figures { columns: 2; column-gap: 8mm; padding: 0; list-style: none; } .figures li { padding: 0; }
 @page { size: auto; margin: 12mm; }
 @media print { body { max-width: none; padding: 0; } section { overflow: visible; } }
 @media (max-width: 150mm) { figure { float: none; margin: 3mm 0; } .figures { columns: 1; } }
"""


def papers(work: Work) -> dict[str, str | bytes]:
    """NAME-by-hand.html and NAME-by-hand.pdf."""
    draft = hand_draft(work)
    pages = sheet_pages(draft, work)
    return {
        f"{work.file_stem}-by-hand.html": write_page(draft, work),
        f"{work.file_stem}-by-hand.pdf": write_pdf(
            pages, work.house.say("{title}, drafted by hand", title=title(work)), work.house.name, work.heading.date
        ),
    }


def is_ours(data: bytes) -> bool:
    """Whether a page is a drafting sheet that this program made."""
    return MARK.encode() in data[:2048]


# ------------------------------------------------------------ the page


def write_page(draft: HandDraft, work: Work) -> str:
    """The sheet as a whole HTML document."""
    say = work.house.say
    house = f"<p>{escape(work.house.name)}</p>" if work.house.name else ""
    prose = f"<p>{escape(work.heading.prose)}</p>" if work.heading.prose else ""
    rows = "".join(f"<li>{escape(name)}: {escape(words)}</li>" for name, words in figures(draft, work))
    body = [
        "<main>",
        f"<h1>{escape(title(work))}</h1>",
        house,
        f"<p>{escape(say(PURPOSE))}</p>",
        prose,
        *(f"<p>{escape(fact)}</p>" for fact in work.heading.facts()),
        f"<h2>{escape(say('Measures and choices'))}</h2>",
        f'<ul class="figures">{rows}</ul>',
        f"<h2>{escape(say('How to read the steps'))}</h2>",
        *(f"<p>{escape(line)}</p>" for line in (*reading(draft), *exactness(draft))),
    ]
    for section in draft.sections:
        body += _section(section, work.index)
    if girths := as_sewn(draft):
        body += [f"<h2>{escape(say(AS_SEWN))}</h2>", "<ul>", *(f"<li>{escape(line)}</li>" for line in girths), "</ul>"]
    return html_document(MARK, say("{title}, by hand", title=title(work)), _STYLE, [*body, "</main>"], work.house.language)


def _section(section: HandSection, index: int) -> list[str]:
    name = escape(section.name, quote=True)
    parts = [f'<section aria-labelledby="piece-{name}">', f'<h2 id="piece-{name}">{escape(heading_of(section))}</h2>']
    drawing = piece_drawing(section, index)
    wide = ' class="wide"' if drawing.width > BESIDE else ""
    parts.append(f"<figure{wide}>{write_svg(drawing).split(chr(10), 1)[1].strip()}</figure>")
    parts += [f"<p>{escape(line)}</p>" for line in section.intro]
    for heading, steps in phases(section.steps):
        parts += [f"<h3>{escape(section.rule.say(heading))}</h3>", f'<ol start="{steps[0].number}">', *map(_item, steps), "</ol>"]
    return [*parts, "</section>"]


def _item(step: HandStep) -> str:
    words = escape(step_words(step))
    if step.name:
        name = escape(step.name)
        words = f"<b>{name}</b>{words[len(name) :]}"
    if step.kind == "edge":
        words = words.replace("; ", "; <br>")
    return f"<li>{words}</li>"
