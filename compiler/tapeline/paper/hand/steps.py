"""A draft as numbered steps for ruler, square, tape and curve, read from its plan.

A `HandDraft` has a section for every piece, and for every foundation that a piece is made from.  Its steps are set out in
the order of the plan: levels, points, edges, darts, marks.  While they are told they are also carried out, with the
figures as they are printed: so the draft knows how far a careful hand that follows them comes to lie from the pattern.
A piece made from another is told twice: how the cutter comes by it, and by the figures of its corners.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from ...drafting.pattern import Dart, Edge, InnerDart, Mark, Notch, Piece, SewnEdge
from ...finishing.finished import FinishedPiece
from ...geometry.arrays import Floats
from ...geometry.path import NO_LENGTH, Path
from ...geometry.segments import Arc, Line, Segment
from ...meaning.plan import PiecePlan
from ..drawing.pieces import allowance_words, cut_words, extra_words
from ..house.work import Work
from .changes import change_lines, shape_of
from .measure import Ruler, arc_line, fair_lines, line_length, off_line, offsets_of, set_off, unit
from .points import SAME, Elsewhere, NoDirections, Setting
from .words import OFFSET, ON_LINE, STEP, STRETCH, counted

# mm; hands draw a smooth line through the same places a little differently.  Two are tried (`fair_lines`); a third, drawn by
# splines in the tests, leaves what they reach by less than this on every shipped and every worked style.
HANDS = 0.2
CORNER = math.radians(0.3)  # an edge that turns by more at one place has a corner there


class HandStep(NamedTuple):
    number: int  # within its section
    kind: str  # "change", "level", "trace", "point", "edge", "dart" or "mark"
    name: str  # of what the step draws
    words: str
    remark: str = ""


@dataclass(slots=True)
class HandSection:
    name: str
    title: str
    intro: list[str]
    piece: Piece
    steps: list[HandStep] = field(default_factory=list)
    true: dict[str, Floats] = field(default_factory=dict)
    drawn: dict[str, Floats] = field(default_factory=dict)
    lengths: dict[str, Floats] = field(default_factory=dict)  # (2,) mm of each edge as sewn, as two hands draw it
    worst: float = 0.0  # mm that any point or place on an edge comes to lie from where it belongs
    worst_at: str = ""


class SeamError(NamedTuple):
    name: str
    off: float  # mm by which its two sides differ more, or less, than in the pattern


class HandDraft(NamedTuple):
    rule: Ruler
    sections: tuple[HandSection, ...]
    worst: HandSection | None
    seam: SeamError | None

    def limit(self) -> float:
        """What no place is further off, in mm, rounded up to a tenth."""
        return upward(max((section.worst for section in self.sections), default=0.0) + HANDS)

    def seam_limit(self) -> float:
        return upward(self.seam.off + HANDS) if self.seam is not None else 0.0


def upward(mm: float) -> float:
    return math.ceil(mm * 10 - 1e-6) / 10


def hand_draft(work: Work) -> HandDraft:
    """The draft of one body, told for drawing by hand."""
    rule = Ruler(work.house, work.house.unit or work.unit)
    elsewhere: Elsewhere = {}
    finished = {finished_piece.piece.name: finished_piece for finished_piece in work.finished.pieces}
    sections = [
        _SectionWriter(work, plan, rule, elsewhere, finished.get(plan.name)).section()
        for plan in work.plan.pieces
        if plan.issued or any(dependent.source == plan.name for dependent in work.plan.pieces)
    ]
    worst = max(sections, key=lambda section: section.worst, default=None)
    return HandDraft(rule, tuple(sections), worst, _worst_seam(work, sections))


def _worst_seam(work: Work, sections: list[HandSection]) -> SeamError | None:
    """The seam whose two sides come out most unlike what they are in the pattern."""
    pattern, errors = work.finished.pattern, []
    drawn = {section.name: section for section in sections}

    def gain(side: Sequence[SewnEdge]) -> Floats:
        total = np.zeros(2)
        for sewn in side:
            true = float(sewn.piece.edge(sewn.edge).closed_length()[work.index])
            total += (drawn[sewn.piece.name].lengths[sewn.edge] - true) * sewn.times
        return total

    for seam in pattern.seams:
        one, other = pattern.sewn(seam)
        if any(sewn.piece.name not in drawn for sewn in (*one, *other)):
            continue
        shared = min(sewn.times for sewn in (*one, *other))
        words = " to ".join(" and ".join(f"{name}.{edge}" for name, edge in side) for side in (seam.one, seam.other))
        errors.append(SeamError(words, float(np.abs(gain(one) - gain(other)).max()) / shared))
    return max(errors, key=lambda error: error.off, default=None)


class _Stretch(NamedTuple):
    line: Floats  # many points on it
    centre: Floats | None  # of an arc
    radius: float = 0.0


class _SectionWriter:
    """Writes the section of one piece, and carries its steps out."""

    def __init__(self, work: Work, plan: PiecePlan, rule: Ruler, elsewhere: Elsewhere, finished: FinishedPiece | None) -> None:
        self.work, self.plan, self.rule, self.elsewhere, self.index = work, plan, rule, elsewhere, work.index
        self.piece = work.finished.pattern.piece(plan.name)
        self.steps: list[HandStep] = []
        self.steps_of = {step.out: step for step in work.plan.steps}
        self.changes = self._changes()
        self.hand = Setting(work, plan, rule, elsewhere, self._point, alone=bool(self.changes))
        self.finished = finished
        places = {name: self.hand.place(slot) for slot, name in self.hand.own.items()}
        self.named = np.array([place for place in places.values() if np.isfinite(place).all()]).reshape(-1, 2)

    def section(self) -> HandSection:
        self.result = HandSection(self.plan.name, self.plan.title or self.plan.name, self._intro(), self.piece, self.steps)
        for words in self.changes:
            self._add("change", "", words)
        self._levels()
        self._points()
        for edge in self.piece.edges:
            self._edge(edge)
        for edge in self.piece.edges:
            for dart in edge.darts:
                self._dart(edge, dart)
        for inner in self.piece.inner:
            self._inner(inner)
        for mark in self.piece.marks:
            self._mark(mark)
        for notch in self.piece.notches:
            self._notch(notch)
        self._traced()
        self._points_off()
        if not self.changes:
            for slot, label in self.hand.names.items():
                self.elsewhere.setdefault(slot, (self.plan.name, label, self.hand.drawn[label]))
        return self.result

    # ------------------------------------------------------------ what stands above the steps

    def _intro(self) -> list[str]:
        lines = []
        if self.finished is None:
            lines.append("Not cut: other pieces are made from it.")
        else:
            lines.append(". ".join([cut_words(self.piece.cut), *extra_words(self.piece.cut)]) + ".")
            allowances = allowance_words(self.finished, self.index, self.rule.unit, self.work.house.in_english())
            lines.append("These steps draw the stitching line. " + allowances.replace("included", "to add") + ".")
        x, y = self.piece.grain[self.index]
        grain = (
            "plumb"
            if abs(x) < 1e-6
            else "level"
            if abs(y) < 1e-6
            else (
                f"{math.degrees(math.atan2(abs(x), abs(y))):.1f} deg from plumb, its upper end to the {'left' if x * y > 0 else 'right'}"
            )
        )
        return [*lines, f"Grain line: {grain}."]

    def _changes(self) -> list[str]:
        """How the cutter comes by the piece, where it is made from another."""
        shape = shape_of(self.steps_of, self.plan)
        return [] if shape is None else change_lines(self.work, self.plan, shape, self.rule)

    # ------------------------------------------------------------ steps

    def _add(self, kind: str, name: str, words: str, remark: str = "") -> None:
        self.steps.append(HandStep(len(self.steps) + 1, kind, name, words, remark))

    def _point(self, label: str, words: str, remark: str) -> None:
        self._add("point", label, words, remark)

    def _levels(self) -> None:
        """The level lines of a piece drawn by level."""
        by_level = any(self.steps_of[slot].operation == "place" for slot in self.plan.points.values())
        if not by_level or self.changes:
            return
        depths = sorted((self.hand.value(slot), name) for name, slot in self.plan.levels.items())
        zero = next((name for depth, name in depths if abs(depth) < SAME), "start")
        rows = [f"{name} {self.rule.show(abs(depth))}" + (" above it" if depth < 0 else "") for depth, name in depths if name != zero]
        self.hand.levels = {name: self.rule.round(depth) for depth, name in depths}
        self._add("level", "", STEP["level"].format(zero, rows=counted(rows)))

    def _traced(self) -> None:
        lines = [
            HandStep(0, "trace", "", STEP["trace"].format(piece, names=counted(names))) for piece, names in self.hand.traced.items()
        ]
        steps = [*lines, *self.steps]
        self.steps[:] = [step._replace(number=number) for number, step in enumerate(steps, 1)]

    def _points(self) -> None:
        """All named points that edges, darts and marks join, in the order of the plan, with those that they rest on."""
        ends = np.array([stretch.line[k] for path in self._paths() for stretch in self._stretches(path) for k in (0, -1)])
        order = {step.out: number for number, step in enumerate(self.work.plan.steps)}
        for slot in sorted(self.hand.own, key=lambda slot: order[slot]):
            place = self.hand.place(slot)
            apart = np.hypot(*(ends - place).T)
            is_drawn = any(np.hypot(*(true - place)) < SAME for true in self.hand.true.values())
            if np.isfinite(place).all() and (apart < SAME).any() and not is_drawn:
                try:
                    self.hand.need(slot)
                except NoDirections:
                    continue

    def _paths(self) -> Iterator[Path]:
        for edge in self.piece.edges:
            yield from edge.strips
            for dart in edge.darts:
                yield from (dart.near_leg, dart.far_leg)
        for mark in self.piece.marks:
            yield mark.path

    def _stretches(self, path: Path) -> list[_Stretch]:
        """A path in parts from corner to corner, or from named point to named point."""
        body_path = path.take(slice(self.index, self.index + 1))
        groups: list[list[Segment]] = []
        for segment in body_path.segments:
            if not float(segment.length()[0]) > NO_LENGTH:
                continue
            if groups:
                turn = float(segment.direction(0.0)[0] @ groups[-1][-1].direction(1.0)[0])
                joint = segment.start()[0]
                named = len(self.named) and float(np.hypot(*(self.named - joint).T).min()) < SAME
                if turn > math.cos(CORNER) and not named:
                    groups[-1].append(segment)
                    continue
            groups.append([segment])
        return [self._stretch(group) for group in groups]

    def _stretch(self, group: list[Segment]) -> _Stretch:
        runs = [
            group[0].start(),
            *(segment.sample(np.linspace(0.0, 1.0, 9 if isinstance(segment, Line) else 97)[1:])[0] for segment in group),
        ]
        line = np.concatenate(runs)
        first = group[0]
        if isinstance(first, Arc) and len(group) == 1 and len(self.named):
            off = np.hypot(*(self.named - first.centre[0]).T)
            if off.min() < SAME and abs(float(first.sweep[0])) < math.pi - 0.01:
                return _Stretch(line, self.named[int(off.argmin())], float(first.radius[0]))
        return _Stretch(line, None)

    def _lines(self, path: Path, stem: str, check: bool = True) -> tuple[list[str], Floats]:
        """The words for each part of a path, and how long (2,) it comes out as two hands draw it."""
        words: list[str] = []
        long = np.zeros(2)
        for stretch in self._stretches(path):
            a, b = self.hand.at(stretch.line[0], stem), self.hand.at(stretch.line[-1], stem)
            p, q = self.hand.drawn[a], self.hand.drawn[b]
            offsets = [] if stretch.centre is not None else offsets_of(stretch.line, self.rule)
            if stretch.centre is not None:
                centre = self.hand.at(stretch.centre, stem)
                radius = self.rule.round(stretch.radius)
                lines = (arc_line(p, q, self.hand.drawn[centre], radius),) * 2
                words.append(STRETCH["arc"].format(a, b, centre, radius=self.rule.show(radius)))
            elif offsets:
                lines = fair_lines(set_off(p, q, offsets))
                rows = [
                    (OFFSET if offset.off else ON_LINE).format(
                        along=self.rule.show(offset.along), off=self.rule.show(offset.off), way=offset.way
                    )
                    for offset in offsets
                ]
                words.append(STRETCH["curve"].format(a, b, offsets=counted(rows)))
            else:
                lines = (np.stack([p, q]),) * 2
                words.append(STRETCH["straight"].format(a, b))
            if check:
                for line in lines:
                    self._note(float(max(off_line(stretch.line, line).max(), off_line(line, stretch.line).max())), stem)
            long += [line_length(line) for line in lines]
        return words, long

    def _note(self, off: float, where: str) -> None:
        if off > self.result.worst:
            self.result.worst, self.result.worst_at = off, where

    def _points_off(self) -> None:
        hand = self.hand
        for label, true in hand.true.items():
            self._note(float(np.hypot(*(hand.drawn[label] - true))), label)
        self.result.true, self.result.drawn = hand.true, hand.drawn

    def _edge(self, edge: Edge) -> None:
        words: list[str] = []
        lengths = np.zeros(2)
        for strip in edge.strips:
            strip_words, strip_lengths = self._lines(strip, edge.name)
            words, lengths = words + strip_words, lengths + strip_lengths
        self.result.lengths[edge.name] = lengths
        long = f"{self.rule.show(float(edge.closed_length()[self.index]))} long as sewn"
        self._add("edge", edge.name, "; ".join(words), ", ".join(filter(None, [long, self._smooth(edge)])))

    def _smooth(self, edge: Edge) -> str:
        """Where two parts of an edge run on into each other without a corner."""
        places = []
        for strip in edge.strips:
            lines = [stretch.line for stretch in self._stretches(strip)]
            for before, after in zip(lines, lines[1:], strict=False):
                bend = off_line(np.stack([before[-2], after[1]]), np.stack([before[0], before[-1], after[-1]])).max()
                if unit(before[-1] - before[-2]) @ unit(after[1] - after[0]) > math.cos(math.radians(3)) and bend > 1e-3:
                    places.append(self.hand.at(after[0], edge.name))
        return f"no corner at {counted(places)}" if places else ""

    def _dart(self, edge: Edge, dart: Dart) -> None:
        near, far = (" to ".join(self._leg(leg, f"{dart.name}_knee")) for leg in (dart.near_leg, dart.far_leg))
        if dart.kind == "pleat":
            fold, laid = (near, far) if dart.press == "near" else (far, near)
            self._add("dart", dart.name, STEP["pleat"].format(fold=fold, laid=laid))
            return
        end = (edge.start() if dart.press == "near" else edge.end())[self.index]
        words = STEP["dart"].format(near=near, far=far, press=self.hand.at(end, edge.name))
        peak = self._peak(dart)
        if peak:
            way = "beyond" if peak > 0 else "short of"
            words += STEP["peak"].format(length=self.rule.show(abs(peak)), way=way)
        self._add("dart", dart.name, words, f"each leg {self.rule.show(float(dart.near_leg.length()[self.index]))} long")

    def _leg(self, leg: Path, name: str) -> list[str]:
        stretches = self._stretches(leg)
        places = [stretches[0].line[0], *(stretch.line[-1] for stretch in stretches)]
        return [self.hand.at(place, name) for place in places]

    def _peak(self, dart: Dart) -> float:
        """How far the folded end stands out beyond the line between the feet, rounded."""
        near, far, point = (place[self.index] for place in (dart.near_foot, dart.far_foot, dart.point))
        middle = (near + far) / 2
        trued = dart.trued.take(slice(self.index, self.index + 1))
        peak = trued.point_at(trued.length() / 2)[0]
        return self.rule.round(float((peak - middle) @ unit(middle - point)))

    def _inner(self, dart: InnerDart) -> None:
        corners = [corner[self.index] for corner in dart.corners()]
        if np.isfinite(corners).all():
            labels = [self.hand.at(corner, dart.name) for corner in corners]
            self._add("dart", dart.name, STEP["inner"].format(sides=" to ".join([*labels, labels[0]])))

    def _mark(self, mark: Mark) -> None:
        words, _ = self._lines(mark.path, mark.kind, check=False)
        if words:
            self._add("mark", mark.name.replace("_", " "), STEP["mark"].format(kind=mark.kind, lines="; ".join(words)))

    def _notch(self, notch: Notch) -> None:
        if np.isfinite(notch.point[self.index]).all():
            self.hand.at(notch.point[self.index], "n", remark=f"a notch on {notch.edge}")
