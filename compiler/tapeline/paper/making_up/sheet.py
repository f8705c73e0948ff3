"""The making-up sheet: one garment sewn step by step, in the order that its pieces and seams allow.

The order is that of the ledger (`drafting.order`); a style's own words stand first in their step.  The page is one HTML file without
script or network; the same content is laid on pages for the PDF (`pages`).
"""

from __future__ import annotations

from html import escape

from ...drafting.across import Sewn
from ...drafting.order import WorkStep
from ..drawing.pieces import cut_words, extra_words
from ..house.document import html_document
from ..house.work import Work
from ..sheets.pdf import write_pdf
from ..sheets.svg import write_svg
from .at_hand import AtHand, shows
from .cautions import cautions
from .pages import sheet_pages
from .section import MakingUp, MakingUpStep
from .telling import Telling

MARK = '<meta name="generator" content="tapeline making-up sheet">'

_STYLE = """
 :root { color: #000; background: #fff; font: 10.5pt/1.4 Helvetica, Arial, sans-serif; }
 body { max-width: 186mm; margin: 0 auto; padding: 4mm; }
 h1 { font-size: 17pt; line-height: 1.15; margin: 0 0 1mm; }
 h2 { font-size: 13.5pt; margin: 7mm 0 1mm; padding-top: 2mm; border-top: 0.5mm solid #000; clear: both; break-after: avoid; }
 h3 { font-size: 11.5pt; margin: 0 0 0.5mm; break-after: avoid; }
 p { margin: 1.2mm 0; } ul { margin: 0; padding-left: 6mm; } li { margin: 0.6mm 0; }
 section { overflow: hidden; border-top: 0.2mm solid #000; padding: 2mm 0; break-inside: avoid; }
 figure { float: right; margin: 0 0 2mm 5mm; max-width: 66mm; } figure svg { display: block; max-width: 100%; height: auto; }
 figcaption, .why { font-size: 9pt; } .own { font-weight: bold; }
 @page { size: auto; margin: 12mm; }
 @media print { body { max-width: none; padding: 0; } }
 @media (max-width: 120mm) { figure { float: none; margin: 2mm 0; } }
"""


def papers(work: Work) -> dict[str, str | bytes]:
    """NAME-making-up.html and NAME-making-up.pdf."""
    sheet = making_up(work)
    name = f"{work.file_stem}-making-up"
    return {
        f"{name}.html": write_page(sheet, work.house.language),
        f"{name}.pdf": write_pdf(sheet_pages(sheet, work), sheet.title, work.house.name, work.heading.date),
    }


def is_ours(data: bytes) -> bool:
    """Whether a page is a making-up sheet that this program made."""
    return MARK.encode() in data[:2048]


def making_up(work: Work) -> MakingUp:
    """The sheet of one draft."""
    say, heading = work.house.say, work.heading
    tell, at_hand = Telling(work), AtHand(work.finished, Sewn(work.finished.pattern, work.run), work.index)
    return MakingUp(
        say("{style}, made up for {name}", style=heading.titled, name=heading.body_name),
        [
            *filter(None, (work.house.name, heading.prose)),
            *heading.facts(),
            say(
                "The order is one in which every edge can be reached when its turn comes; orders of work differ between makers. "
                "Finish and press each seam before another crosses it."
            ),
        ],
        (say("Cautions"), say("Pieces"), say("Steps")),
        cautions(work),
        [
            f"{piece.title}: {'; '.join([cut_words(piece.cut, False, work.house, piece.hand), *extra_words(piece.cut, work.house)])}"
            for piece in (finished.piece for finished in work.cut)
        ],
        [_section(step, tell, at_hand, work) for step in work.ledgers.order.steps],
    )


def _section(step: WorkStep, tell: Telling, at_hand: AtHand, work: Work) -> MakingUpStep:
    title = tell.title(step)
    drawing = at_hand.drawing(step.tasks, f"{step.number}. {title}")
    pairs = [
        work.house.say("{above} on {below}", above=tell.titles([above]), below=tell.titles([below]))
        for below, above in at_hand.pairs(step.tasks)
    ]
    caption = ""
    if pairs:
        caption = work.house.say("{pairs}. Dashed: the piece below. Wide: sewn.", pairs="; ".join(pairs))
    elif drawing is not None:
        caption = work.house.say(_CAPTIONS[shows(step.tasks[0])])
    return MakingUpStep(step.number, title, [own.words for own in step.own], tell.lines(step), tell.reasons(step), drawing, caption)


_CAPTIONS = {
    "seam": "Wide: sewn.",
    "dart": "Wide: sewn.",
    "bone": "Wide: the bone.",
    "zip": "Dotted: the zip. Wide: sewn.",
    "edge": "Wide: the edge.",
}


# ------------------------------------------------------------ the page


def write_page(sheet: MakingUp, language: str) -> str:
    """The sheet as a whole HTML document."""
    cautions_head, pieces_head, steps_head = map(escape, sheet.headings)
    body = [
        "<main>",
        f"<h1>{escape(sheet.title)}</h1>",
        *(f"<p>{escape(line)}</p>" for line in sheet.intro),
        f"<h2>{cautions_head}</h2>",
        *_listed(sheet.cautions),
        f"<h2>{pieces_head}</h2>",
        *_listed(sheet.pieces),
        f"<h2>{steps_head}</h2>",
        *(part for section in sheet.sections for part in _step(section)),
        "</main>",
    ]
    return html_document(MARK, sheet.title, _STYLE, body, language)


def _listed(lines: list[str]) -> list[str]:
    return ["<ul>", *(f"<li>{escape(line)}</li>" for line in lines), "</ul>"]


def _step(section: MakingUpStep) -> list[str]:
    name = f"step-{section.number}"
    parts = [f'<section aria-labelledby="{name}">']
    if section.drawing is not None:
        svg = write_svg(section.drawing).split("\n", 1)[1].strip()
        parts.append(f"<figure>{svg}<figcaption>{escape(section.caption)}</figcaption></figure>")
    parts.append(f'<h3 id="{name}">{section.number}. {escape(section.title)}</h3>')
    parts += [f'<p class="own">{escape(words)}</p>' for words in section.own]
    parts += _listed(section.lines) if section.lines else []
    parts += [f'<p class="why">{escape(words)}</p>' for words in section.reasons]
    return [*parts, "</section>"]
