"""Which rule drew which line, and which lines rest on a rule: the texts of a draft tied to its strokes.

A stroke bears the rule that drew it.  What it rests on besides is asked of the plan: every step that its edge, dart, mark,
level or grain needs, and the rule of each.  Files are told by their own names alone, so that a page is the same in any folder.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, cast

from ...drafting.pattern import Dart, Edge, InnerDart, Mark, PointMark
from ...geometry.arrays import Floats
from ...meaning.kinds import Kind
from ...meaning.plan import needed_steps
from ...source.quantity import show_figure
from ...source.text import Source, Span
from ...why.book import RuleBook
from ...why.lines import figures_by_line
from ..drawing.model import Group, Stroke
from ..house.work import Work
from ..sheets.svg import EDGE_LINES


class SourceLine(NamedTuple):
    """One line of a text as the page shows it."""

    name: str  # of its element, as in "t0_12": of text 0, line 12
    rule: str  # as strokes tell it: "file:line"
    number: int
    words: str
    figures: tuple[str, ...]  # what its rules come to on this body, each with its sum
    drew: bool
    held: bool  # whether lines rest on it


class RuleTexts:
    """The style's text and those of its libraries, as far as anything drawn rests on them."""

    def __init__(self, work: Work, pieces: Sequence[Group]) -> None:
        self._work = work
        self._plans = {piece.name: piece for piece in work.plan.pieces}
        self._finished = {finished_piece.piece.name: finished_piece for finished_piece in work.shown}
        self._needed: dict[frozenset[int], set[tuple[Source, int]]] = {}
        self._named: dict[
            int, list[Span]
        ] = {}  # where a slot is given a name: a rule of a library draws by the lines that name its result
        for name in work.plan.names:
            if name.sort in ("choice", "quantity", "part", "level"):
                self._named.setdefault(name.slot, []).append(name.span)
        self._own = {
            (piece.name, k): self._drawing_rule(piece.name, stroke) for piece in pieces for k, stroke in enumerate(strokes_of(piece))
        }
        self._rest = {
            piece.name: [self._rests(piece.name, stroke) - {self._own[piece.name, k]} for k, stroke in enumerate(strokes_of(piece))]
            for piece in pieces
        }
        self._drawing = {place for place in self._own.values() if place}
        self._held = {place for sets in self._rest.values() for places in sets for place in places}
        used = {source for source, _ in self._drawing | self._held}
        self.sources: list[Source] = [*work.sources[:1], *(source for source in work.sources[1:] if source in used)]
        self.sources += sorted(used.difference(self.sources), key=lambda source: (file_name(source), source.text))
        self._number = {source: k for k, source in enumerate(self.sources)}
        book = RuleBook(work.plan, work.run, work.index, work.house.in_english(), work.unit, next(iter(work.sources), Source("", "")))
        self._figures = figures_by_line(book)

    def links(self) -> dict[str, object]:
        """For the page: the lines of text that each stroke of each piece comes from, `own` and `rests` by their names.

        Equal sets are told once, in `sets`; strokes are in the order of their drawing.
        """
        sets: dict[tuple[str, ...], int] = {}
        pieces = {}
        for name, rest in self._rest.items():
            rows = []
            for k, places in enumerate(rest):
                own = self._own[name, k]
                names = tuple(self.name_of(place) for place in sorted(places, key=lambda place: (self._number[place[0]], place[1])))
                rows.append([self.name_of(own) if own else "", sets.setdefault(names, len(sets))])
            pieces[name] = rows
        return {"sets": [list(names) for names in sets], "pieces": pieces}

    def rests(self) -> dict[str, list[set[tuple[Source, int]]]]:
        """Piece -> for each of its strokes, in the order of their drawing, the lines of text that it rests on, its own rule left out."""
        return self._rest

    def rows(self, source: Source) -> list[SourceLine]:
        lines = source.text.splitlines()
        return [
            SourceLine(
                self.name_of((source, n)),
                f"{file_name(source)}:{n}",
                n,
                words,
                self._figures.get((source, n), ()),
                (source, n) in self._drawing,
                (source, n) in self._held,
            )
            for n, words in enumerate(lines, 1)
        ]

    def name_of(self, place: tuple[Source, int]) -> str:
        return f"t{self._number[place[0]]}_{place[1]}"

    def link_to(self, span: Span | None) -> tuple[str, str]:
        """(name of the line's element or nothing, "file:line") of a rule."""
        if span is None:
            return "", ""
        place = (span.source, span.line)
        return self.name_of(place) if span.source in self._number else "", f"{file_name(span.source)}:{span.line}"

    def _rests(self, piece: str, stroke: Stroke) -> set[tuple[Source, int]]:
        plan, piece_plan = self._work.plan, self._plans[piece]
        spans: list[Span] = []
        edges, darts = dict(piece_plan.edges), {dart.name: dart for dart in self._finished[piece].piece.darts()}
        slots: set[int] = set()
        if stroke.line == "cut":
            allowances = [allowance for (name, _), allowance in plan.allowances.items() if name == piece]
            spans += [piece_plan.span, *(allowance.span for allowance in allowances)]
            slots |= {*edges.values(), *(allowance.width for allowance in allowances if allowance.width is not None)}
        elif stroke.line == "construction" and stroke.name in piece_plan.levels:
            slots.add(piece_plan.levels[stroke.name])
        elif stroke.line == "construction" and piece_plan.halves is not None and stroke.name in piece_plan.halves.levels:
            slots |= {*piece_plan.halves.levels[stroke.name]}
        elif stroke.line in EDGE_LINES and stroke.name in edges:
            slots.add(edges[stroke.name])
        elif stroke.line == "notch":
            slots |= {edges[notch.edge] for notch in self._finished[piece].notches if notch.name == stroke.name and notch.edge in edges}
        elif stroke.name in darts:
            spans.append(darts[stroke.name].span)
            slots |= {slot for name, slot in piece_plan.points.items() if name.startswith(f"{stroke.name}_")}
        elif stroke.line == "grain":
            slots.add(piece_plan.grain)
        else:
            slots |= {mark.path for mark in piece_plan.marks if mark.name == stroke.name}
            slots |= {mark.at for mark in piece_plan.point_marks if mark.name == stroke.name}
            slots |= {slot for name, _, points, intake in piece_plan.inner if name == stroke.name for slot in (*points, intake)}
        key = frozenset(slots)
        if key not in self._needed:
            steps = needed_steps(plan.steps, slots)
            named = [span for step in steps for span in self._named.get(step.out, ())]
            self._needed[key] = {(span.source, span.line) for span in (*(step.span for step in steps), *named)}
        return self._needed[key] | {(span.source, span.line) for span in spans}

    def _drawing_rule(self, piece: str, stroke: Stroke) -> tuple[Source, int] | None:
        """The rule that a stroke tells as "file:line", found among the rules of what its piece holds: first of what bears its name."""
        finished_piece = self._finished[piece]
        notched = [
            edge
            for edge in finished_piece.piece.edges
            for notch in finished_piece.notches
            if (notch.edge, notch.name) == (edge.name, stroke.name)
        ]
        parts: list[Edge | Dart | InnerDart | Mark | PointMark] = [
            *finished_piece.piece.edges,
            *finished_piece.piece.darts(),
            *finished_piece.piece.inner,
            *finished_piece.piece.marks,
            *finished_piece.piece.point_marks,
        ]
        named = [part for part in parts if part.name == stroke.name]
        spans = [part.span for part in ([*notched, *named] if stroke.line == "notch" else named)] + [finished_piece.piece.span]
        spans += [part.span for part in parts]
        places = [(span.source, span.line) for span in spans if span]
        return next((place for place in places if stroke.rule == f"{file_name(place[0])}:{place[1]}"), None)


def strokes_of(piece: Group) -> list[Stroke]:
    """The strokes of a piece that are drawn, in the order of the drawing."""
    return [item for item in piece.items if isinstance(item, Stroke) and item.commands]


def figure(work: Work, values: object, kind: Kind) -> str:
    """A value of this body as the house writes it."""
    value = float(cast(Floats, values)[work.index])
    if kind.word == "length" and kind.power == 1:
        return work.house.show(value, work.unit)
    return work.house.figures(show_figure(value, kind.word, work.unit))


def file_name(source: Source) -> str:
    return source.name.rsplit("/", 1)[-1]
