"""The tables of the proof page: cautions and checks, ledgers, lines, figures of the body, cutting list.

Every table has a caption and headed rows, and scrolls by itself where a screen is narrower than it.  A rule is a link to its
line in the text; a line of a piece is a button that shows it in the drawing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from html import escape

from ...drafting.ledgers import GirthRow
from ...drafting.pattern import Dart, InnerDart, Mark, PointMark
from ...geometry.arrays import Floats
from ...meaning.cutting import NO_ALLOWANCE
from ...meaning.kinds import LENGTH
from ...meaning.plan import Choice
from ...source.diagnostics import Diagnostic
from ...source.quantity import show_degrees
from ...source.text import Span
from ..cutting.cutting_list import cutting_list
from ..cutting.page import lay_figure
from ..cutting.text import sections
from ..drawing.model import LINES, Group
from ..drawing.pieces import in_words
from ..house.columns import telling
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
        return self.work.house.show(float(values[self.index]), self.work.unit)

    def signed(self, values: Floats | None) -> str:
        return "not stated" if values is None else self.work.house.signed(float(values[self.index]), self.work.unit)

    def rule(self, span: Span | None) -> str:
        name, rule = self.texts.link_to(span)
        return f'<a class="rule" href="#{name}">{escape(rule)}</a>' if name else escape(rule)


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]], figures: Sequence[int] = ()) -> str:
    """A table of cells that are HTML already; the first cell of a row heads it.  Empty columns are left out.  Nothing if there are no rows."""
    rows = list(rows)
    if not rows:
        return ""
    shown = telling(rows, len(heads))
    right = [' class="figure"' if k in figures else "" for k in range(len(heads))]
    head = "".join(f'<th scope="col"{right[k]}>{escape(heads[k])}</th>' for k in shown)
    body = "\n".join(
        f'<tr><th scope="row">{row[0]}</th>' + "".join(f"<td{right[k]}>{row[k]}</td>" for k in shown[1:]) + "</tr>" for row in rows
    )
    label = escape(caption)
    return (
        f'<div class="scroll" role="region" tabindex="0" aria-label="{label}"><table><caption>{label}</caption>\n'
        f"<thead><tr>{head}</tr></thead>\n<tbody>\n{body}\n</tbody></table></div>"
    )


def section(name: str, title: str, parts: Iterable[str]) -> str:
    """A section of the page; nothing if it has nothing to say."""
    contents = [part for part in parts if part]
    if not contents:
        return ""
    return "\n".join(
        [
            f'<section id="{name}" aria-labelledby="{name}_title">',
            f'<h2 id="{name}_title">{escape(title)}</h2>',
            *contents,
            "</section>",
        ]
    )


# ----------------------------------------------------------------------------------------------- the sections


def checks(work: Work, writer: PageWords) -> str:
    """Cautions first, in full; then all that the style and the program looked for."""
    parts = []
    if work.cautions:
        parts.append('<ul class="cautions">' + "".join(_caution(caution, writer) for caution in work.cautions) + "</ul>")
    else:
        parts.append("<p>No cautions.</p>")
    rows = []
    for rule in work.plan.requirements:
        answer = work.value(rule.condition) > 0.5
        wrong = answer == (rule.severity == "caution")
        figures = "; ".join(f"{words} is {figure(work, work.run.filled[slot], kind)}" for words, slot, kind in rule.figures)
        answered = "<strong>yes: take care</strong>" if wrong else "no"
        kind = "caution" if rule.severity == "caution" else "requirement"
        rows.append((escape(rule.message), kind, answered, escape(figures), writer.rule(rule.span)))
    parts.append(table("What the style looks out for", ("what", "kind", "is it so?", "figures", "rule"), rows))
    return section("checks", "Cautions and checks", parts)


def _caution(caution: Diagnostic, writer: PageWords) -> str:
    words = [f"<strong>Caution:</strong> {escape(caution.title)}."]
    words += [f"{word}: {escape(detail)}." for word, detail in (("Found", caution.found), ("Expected", caution.expected)) if detail]
    words += [escape(caution.suggestion)] if caution.suggestion else []
    words += [f"Rule {writer.rule(caution.span)}, code {escape(caution.code)}." if caution.span else f"Code {escape(caution.code)}."]
    return f"<li>{' '.join(words)}</li>"


def ledgers(work: Work, writer: PageWords) -> str:
    work_ledgers = work.ledgers
    girths = [
        (
            escape(in_words(row.level)) + (f", {row.part(work.index)}" if row.part(work.index) else ""),
            writer.length(row.body),
            writer.length(row.intended),
            work.house.show(work.unfitted[row.level], work.unit) if row.level in work.unfitted else "",
            writer.length(row.sewn),
            *(writer.length(side) for side in row.sides or (None, None)),
            writer.signed(row.ease),
            writer.signed(row.surplus),
            _narrowed(row, writer),
            escape(in_words(row.ways)),
        )
        for row in work_ledgers.girths
    ]
    seams = []
    for row in work_ledgers.seams:
        tolerance = "gathered" if row.kind == "gathered" else work.house.seam_tolerance(row.tolerance, work.unit)
        seams.append(
            (
                escape(in_words(row.one)),
                escape(in_words(row.other)),
                writer.length(row.length_one),
                writer.length(row.length_other),
                writer.signed(row.ease),
                ", ".join(filter(None, (writer.length(row.left_open), row.open_side))) if row.openings else "",
                work.house.seam_difference(float(row.difference[work.index]), work.unit),
                tolerance,
                writer.rule(row.span),
            )
        )
    corners = [
        (
            escape(in_words(row.one.named)),
            escape(in_words(row.other.named)),
            escape(in_words(row.across if row.how == "seam" else f"{row.how} {row.across}")),
            show_degrees(float(row.angle[work.index])),
            escape(row.remark(work.index)),
            writer.rule(row.span),
        )
        for row in work_ledgers.corners
        if not row.excused[work.index]
    ]
    return section(
        "ledgers",
        "Ledgers",
        [
            table(
                work_ledgers.girths_title,
                (
                    "level",
                    "body",
                    "intended",
                    "before fitting",
                    "sewn",
                    "left",
                    "right",
                    "ease",
                    "over or under",
                    "because of",
                    "line",
                ),
                girths,
                range(1, 9),
            ),
            table(
                "Seams",
                ("edge", "sewn to", "length", "length of the other", "easing", "left open", "difference", "tolerance", "rule"),
                seams,
                range(2, 8),
            ),
            table("Corners across seams", ("line", "runs on as", "across", "sewn angle", "what of it", "rule"), corners, (3,)),
        ],
    )


def _narrowed(row: GirthRow, writer: PageWords) -> str:
    return escape(
        "; ".join(
            f"{in_words(narrowing.piece)}, {in_words(narrowing.dart)} has narrowed by {writer.length(narrowing.lack)}"
            for narrowing in row.narrowed
            if float(narrowing.lack[writer.index]) > NOTHING
        )
    )


def lines(work: Work, pieces: Sequence[Group], writer: PageWords) -> str:
    """Every edge with its length, allowance and rule; then every other line: what the drawing shows, for all who do not see it."""
    finished = {finished_piece.piece.name: finished_piece for finished_piece in work.shown}
    parts = []
    for group in pieces:
        finished_piece = finished[group.name]
        piece, index = finished_piece.piece, writer.index
        corners = {corner.edge_in: f"{corner.kind[index]}, with {in_words(corner.edge_out)}" for corner in finished_piece.corners}
        edges, other_lines, drawn = [], [], strokes_of(group)
        for edge in piece.edges:
            allowance = finished_piece.allowances.get(edge.name)
            fold = edge.name == piece.cut.fold
            width, kind = "on the fold" if fold else "none", ""
            if not fold and allowance is not None and allowance.kind != NO_ALLOWANCE:
                width, kind = writer.length(allowance.width), allowance.kind
            edges.append(
                (
                    _shows(group.name, edge.name, "edge"),
                    writer.length(edge.closed_length()),
                    width,
                    escape(kind),
                    escape(corners.get(edge.name, "")),
                    writer.rule(edge.span),
                )
            )
        heads = ("edge", "length as sewn", "seam allowance", "kind", "corner at the end of the edge", "rule")
        parts.append(table(f"{group.title}: edges", heads, edges, (1, 2)))
        things: list[Dart | InnerDart | Mark | PointMark] = [*piece.darts(), *piece.inner, *piece.marks, *piece.point_marks]
        spans = {thing.name: thing.span for thing in things if thing.name}
        for name in dict.fromkeys(stroke.name for stroke in drawn if stroke.name in spans):
            kind = next(LINES[stroke.line].meaning or "line" for stroke in drawn if stroke.name == name and stroke.line != "notch")
            other_lines.append((_shows(group.name, name, "line"), escape(kind), writer.rule(spans[name])))
        other_lines += [  # without a name, such as a line to lengthen the piece at: told, but not shown by it
            (escape(mark.kind), escape(LINES[mark.kind].meaning or "line"), writer.rule(mark.span))
            for mark in piece.marks
            if not mark.name and mark.kind in LINES
        ]
        parts.append(table(f"{group.title}: darts and marks", ("line", "what it is", "rule"), other_lines))
    return section("lines", "Edges, seam allowances and lines", parts)


def _shows(piece: str, name: str, kind: str) -> str:
    return (
        f'<button type="button" class="shows" data-shows="{escape(piece)}" data-{kind}-shown="{escape(name)}">'
        f"{escape(in_words(name))}</button>"
    )


def _what_chosen(work: Work, name: str, choice: Choice) -> str:
    """What a choice is, and for which clients its default is meant, where it has taken one of two."""
    if choice.inches is None or name in work.run.choices:
        return choice.text
    of = f"the default for {'inches' if work.run.in_inches else 'centimetres'}"
    return f"{choice.text} ({of})" if choice.text else of


def figures(work: Work, writer: PageWords) -> str:
    """Measures of the body and choices of the style."""
    plan, filled = work.plan, work.run.filled
    rules = {step.out: step.span for step in plan.steps}
    kinds = {value.slot: value.kind for value in plan.values.values()}
    measures = [
        (escape(in_words(name)), escape(figure(work, filled[slot], kinds.get(slot, LENGTH))), writer.rule(rules.get(slot)))
        for name, slot in plan.measures.items()
        if slot in filled
    ]
    choices = [
        (
            escape(in_words(name)),
            escape(figure(work, filled[choice.slot], choice.kind)) if choice.slot in filled else "not used",
            escape(_what_chosen(work, name, choice)),
            writer.rule(choice.span),
        )
        for name, choice in plan.choices.items()
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
    """The cutting list, as its own page has it in English, which this page speaks."""
    work = replace(work, house=work.house.in_english())
    data = cutting_list(work)
    numbers = {row["name"]: row["number"] for row in data["pieces"]}
    titles = {row["name"]: row["title"] for row in data["pieces"]}
    parts = []
    for k, list_section in enumerate(sections(data, work), 1):
        parts.append(f"<h3>{escape(list_section.title)}</h3>")
        parts += [f"<p>{escape(line)}</p>" for line in list_section.lines]
        rows = [tuple(escape(cell) for cell in row) for row in list_section.rows]
        parts.append(table(list_section.title, [head or "note" for head in list_section.heads], rows))
        parts += [f'<p class="note">{escape(note)}</p>' for note in list_section.notes]
        parts += [
            lay_figure(lay, list_section, numbers, titles, f"lay_{k}_{lay['kind']}", work.house.say)
            for lay in (list_section.cloth or {"lays": []})["lays"]
        ]
    return section("cutting", "Cutting list", parts)
