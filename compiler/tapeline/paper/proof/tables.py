"""The tables of the proof page: cautions and checks, ledgers, lines, figures of the body, cutting list.

Every table has a caption and headed rows, and scrolls by itself where a screen is narrower than it.  A rule is a link to its
line in the text; a line of a piece is a button that shows it in the drawing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from ...drafting.ledgers import GirthRow
from ...drafting.pattern import Dart, InnerDart, Mark
from ...geometry.arrays import Floats
from ...meaning.cutting import NO_ALLOWANCE
from ...meaning.kinds import LENGTH
from ...source.diagnostics import Diagnostic
from ...source.quantity import show_length
from ...source.text import Span
from ..cutting.cutting_list import cutting_list
from ..cutting.page import lay_figure
from ..cutting.text import sections
from ..drawing.model import LINES, Group
from ..drawing.pieces import spoken
from ..house.work import Work
from .rules import RuleTexts, figure, strokes_of

NOTHING = 0.05  # mm; a difference below this is shown as none


class PageWords:
    """Lengths and places as this page writes them."""

    def __init__(self, work: Work, texts: RuleTexts) -> None:
        self.work, self.texts, self.index = work, texts, work.index

    def length(self, values: Floats | None) -> str:
        if values is None:
            return "not stated"
        return show_length(float(values[self.index]), self.work.unit, self.work.house.fraction)

    def signed(self, values: Floats | None, unit: str = "") -> str:
        if values is None:
            return "not stated"
        value = float(values[self.index])
        if abs(value) < NOTHING:
            return "0"
        said = show_length(value, unit or self.work.unit, self.work.house.fraction)
        return f"+{said}" if value > 0 and not said.startswith("~") else said

    def rule(self, span: Span | None) -> str:
        name, rule = self.texts.link_to(span)
        return f'<a class="rule" href="#{name}">{escape(rule)}</a>' if name else escape(rule)


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]], figures: Sequence[int] = ()) -> str:
    """A table of cells that are HTML already; the first cell of a row heads it.  Nothing if there are no rows."""
    rows = list(rows)
    if not rows:
        return ""
    right = [' class="figure"' if k in figures else "" for k in range(len(heads))]
    head = "".join(f'<th scope="col"{right[k]}>{escape(words)}</th>' for k, words in enumerate(heads))
    body = "\n".join(
        f'<tr><th scope="row">{row[0]}</th>' + "".join(f"<td{right[k]}>{cell}</td>" for k, cell in enumerate(row) if k) + "</tr>"
        for row in rows
    )
    said = escape(caption)
    return (
        f'<div class="scroll" role="region" tabindex="0" aria-label="{said}"><table><caption>{said}</caption>\n'
        f"<thead><tr>{head}</tr></thead>\n<tbody>\n{body}\n</tbody></table></div>"
    )


def section(name: str, title: str, parts: Iterable[str]) -> str:
    """A section of the page; nothing if it has nothing to say."""
    said = [part for part in parts if part]
    if not said:
        return ""
    return "\n".join(
        [f'<section id="{name}" aria-labelledby="{name}_title">', f'<h2 id="{name}_title">{escape(title)}</h2>', *said, "</section>"]
    )


# ----------------------------------------------------------------------------------------------- the sections


def checks(work: Work, says: PageWords) -> str:
    """Cautions first, in full; then all that the style and the program looked for."""
    parts = []
    if work.cautions:
        parts.append('<ul class="cautions">' + "".join(_caution(one, says) for one in work.cautions) + "</ul>")
    else:
        parts.append("<p>No cautions.</p>")
    rows = []
    for rule in work.plan.requirements:
        answer = work.value(rule.condition) > 0.5
        wrong = answer == (rule.severity == "caution")
        figures = "; ".join(f"{words} is {figure(work, work.run.filled[slot], kind)}" for words, slot, kind in rule.figures)
        answered = "<strong>yes: take care</strong>" if wrong else "no"
        kind = "caution" if rule.severity == "caution" else "requirement"
        rows.append((escape(rule.message), kind, answered, escape(figures), says.rule(rule.span)))
    parts.append(table("What the style looks out for", ("what", "kind", "is it so?", "figures", "rule"), rows))
    return section("checks", "Cautions and checks", parts)


def _caution(one: Diagnostic, says: PageWords) -> str:
    words = [f"<strong>Caution {escape(one.code)}:</strong> {escape(one.title)}."]
    words += [f"{word}: {escape(said)}." for word, said in (("Expected", one.expected), ("Found", one.found)) if said]
    words += [escape(one.suggestion)] if one.suggestion else []
    words += [f"Rule {says.rule(one.span)}."] if one.span else []
    return f"<li>{' '.join(words)}</li>"


def ledgers(work: Work, says: PageWords) -> str:
    kept = work.ledgers
    girths = [
        (
            escape(spoken(row.level)),
            says.length(row.body),
            says.length(row.intended),
            says.length(row.sewn),
            says.signed(row.ease),
            says.signed(row.surplus),
            _narrowed(row, says),
        )
        for row in kept.girths
    ]
    seams = []
    for row in kept.seams:
        tolerance = "gathered" if row.kind == "gathered" else show_length(row.tolerance, "mm")
        seams.append(
            (
                escape(spoken(row.one)),
                escape(spoken(row.other)),
                says.length(row.length_one),
                says.length(row.length_other),
                says.signed(row.ease),
                says.signed(row.difference, "mm"),
                tolerance,
                says.rule(row.span),
            )
        )
    return section(
        "ledgers",
        "Ledgers",
        [
            table(
                "Girth at each level", ("level", "body", "intended", "sewn", "ease", "off intention", "because of"), girths, range(1, 6)
            ),
            table(
                "Seams",
                ("edge", "sewn to", "length", "length of the other", "easing", "difference", "tolerance", "rule"),
                seams,
                range(2, 7),
            ),
        ],
    )


def _narrowed(row: GirthRow, says: PageWords) -> str:
    return escape(
        "; ".join(
            f"{spoken(one.piece)}, {spoken(one.dart)} has narrowed by {says.length(one.lack)}"
            for one in row.narrowed
            if float(one.lack[says.index]) > NOTHING
        )
    )


def lines(work: Work, pieces: Sequence[Group], says: PageWords) -> str:
    """Every edge with its length, allowance and rule; then every other line: what the drawing shows, for all who do not see it."""
    finished = {one.piece.name: one for one in work.finished.pieces}
    parts = []
    for group in pieces:
        one = finished[group.name]
        piece, index = one.piece, says.index
        corners = {corner.edge_in: f"{corner.kind[index]}, to {spoken(corner.edge_out)}" for corner in one.corners}
        edges, others, drawn = [], [], strokes_of(group)
        for edge in piece.edges:
            allowance = one.allowances.get(edge.name)
            fold = edge.name == piece.cut.fold
            width, kind = "on the fold" if fold else "none", ""
            if not fold and allowance is not None and allowance.kind != NO_ALLOWANCE:
                width, kind = says.length(allowance.width), allowance.kind
            edges.append(
                (
                    _shows(group.name, edge.name, "edge"),
                    says.length(edge.closed_length()),
                    width,
                    escape(kind),
                    escape(corners.get(edge.name, "")),
                    says.rule(edge.span),
                )
            )
        heads = ("edge", "length as sewn", "seam allowance", "kind", "corner at its end", "rule")
        parts.append(table(f"{group.title}: edges", heads, edges, (1, 2)))
        held: list[Dart | InnerDart | Mark] = [*piece.darts(), *piece.inner, *piece.marks]
        spans = {one.name: one.span for one in held}
        for name in dict.fromkeys(stroke.name for stroke in drawn if stroke.name in spans):
            kind = next(LINES[stroke.line].meaning or "line" for stroke in drawn if stroke.name == name and stroke.line != "notch")
            others.append((_shows(group.name, name, "line"), escape(kind), says.rule(spans[name])))
        parts.append(table(f"{group.title}: darts and marks", ("line", "what it is", "rule"), others))
    return section("lines", "Edges, seam allowances and lines", parts)


def _shows(piece: str, name: str, kind: str) -> str:
    return (
        f'<button type="button" class="shows" data-shows="{escape(piece)}" data-{kind}-shown="{escape(name)}">'
        f"{escape(spoken(name))}</button>"
    )


def figures(work: Work, says: PageWords) -> str:
    """Measures of the body and choices of the style."""
    plan, filled = work.plan, work.run.filled
    made = {step.out: step.span for step in plan.steps}
    kinds = {one.slot: one.kind for one in plan.values.values()}
    measures = [
        (escape(spoken(name)), escape(figure(work, filled[slot], kinds.get(slot, LENGTH))), says.rule(made.get(slot)))
        for name, slot in plan.measures.items()
        if slot in filled
    ]
    choices = [
        (
            escape(spoken(name)),
            escape(figure(work, filled[one.slot], one.kind)) if one.slot in filled else "not used",
            escape(one.text),
            says.rule(one.span),
        )
        for name, one in plan.choices.items()
    ]
    return section(
        "figures",
        "Measures and choices",
        [
            table("Measures of the body", ("measure", "figure", "rule"), measures, (1,)),
            table("Choices", ("choice", "figure", "what it is", "rule"), choices, (1,)),
        ],
    )


def cutting(work: Work) -> str:
    """The cutting list, as its own page has it."""
    data = cutting_list(work)
    numbers = {row["name"]: row["number"] for row in data["pieces"]}
    titles = {row["name"]: row["title"] for row in data["pieces"]}
    parts = []
    for k, one in enumerate(sections(data, work), 1):
        parts.append(f"<h3>{escape(one.title)}</h3>")
        parts += [f"<p>{escape(line)}</p>" for line in one.lines]
        rows = [tuple(escape(cell) for cell in row) for row in one.rows]
        parts.append(table(one.title, [head or "note" for head in one.heads], rows))
        parts += [f'<p class="note">{escape(note)}</p>' for note in one.notes]
        parts += [lay_figure(lay, one, numbers, titles, f"lay_{k}_{lay['kind']}") for lay in (one.cloth or {"lays": []})["lays"]]
    return section("cutting", "Cutting list", parts)
