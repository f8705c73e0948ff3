"""A draft as numbered steps for ruler, square, tape and curve, read from its plan.

A `HandDraft` has a section for every piece, and for every foundation that a piece is made from.  Its steps are set out in
the order of the plan: levels, points, edges, darts, marks.  While they are told they are also carried out, with the
figures as they are printed: so the draft knows how far a careful hand that follows them comes to lie from the pattern.
A piece made from another is told twice: how the cutter comes by it, and by the figures of its corners.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ...drafting.pattern import LEFT, RIGHT, Dart, Edge, InnerDart, Mark, Piece
from ...finishing.finished import FinishedPiece
from ...geometry.arrays import Floats
from ...geometry.path import NO_LENGTH, Path
from ...geometry.segments import Arc, Line, Segment
from ...meaning.plan import PiecePlan
from ..drawing.marks import bone_length, placed
from ..drawing.pieces import allowance_words, cut_words, extra_words
from ..house.work import Work
from .apportion import TOO_FAR, Written, apportioned
from .changes import change_lines, shape_of
from .measure import STRAIGHT, Offset, OnChord, Ruler, arc_line, fair_lines, nearest_side, off_line, on_chord, set_off, unit
from .points import SAME, Elsewhere, NoDirections, PointElsewhere, Setting, joined
from .section import Aims, HandDraft, HandLine, HandSection, HandStep
from .sewn import ON, Sewing, level_on_paper
from .tracing import traced_dart, traced_edge
from .words import OFFSET, ON_LINE, STEP, STRETCH, counted

HALVES = {
    LEFT: "As it lies on the paper, its right half is for the left side of the body, its left half for the right.",
    RIGHT: "As it lies on the paper, its right half is for the right side of the body, its left half for the left.",
}
BETWEEN = 20.0  # mm; nearer to the end of a curve no level is set out on it
POINTS, WIDTHS = "Points", "Widths"  # of a piece drawn by level its points are widths
SQUARE = math.sin(math.radians(1.0))  # an edge that leaves the fold within this is square to it
CORNER = math.radians(0.3)  # an edge that turns by more at one place has a corner there


def hand_draft(work: Work) -> HandDraft:
    """The draft of one body, told for drawing by hand; by a ruler twice as fine where the house's own cannot keep the garment."""
    known = _Known(work)
    written = apportioned(lambda aims: _written(work, aims, known))
    if written.beyond(TOO_FAR) > 0.0 or not written.all_told:
        finer = apportioned(lambda aims: _written(work, aims, known, 1))
        written = finer if finer.beyond() < written.beyond() or not written.all_told else written
    return written.draft


def _written(work: Work, aims: Aims, known: _Known, finer: int = 0) -> Written:
    rule = Ruler(work.house, work.house.unit or work.unit)
    points: dict[int, PointElsewhere] = {}
    finished = {finished_piece.piece.name: finished_piece for finished_piece in work.finished.pieces}
    sections: dict[str, HandSection] = {}
    for plan in _sources_first(work.plan.pieces):
        if plan.issued or any(dependent.source == plan.name for dependent in work.plan.pieces):
            source, own = sections.get(plan.source), {key: place for key, place in aims.items() if key[0] == plan.name}
            told = known.told(plan.name, finer, own, source, points)
            if told is None:
                elsewhere = Elsewhere(points)
                writer = _SectionWriter(work, plan, rule._replace(finer=finer), elsewhere, finished.get(plan.name), own, source, known)
                told = known.tell(_Told(writer.section(), own, source, elsewhere.asked, writer.shared()), finer)
            sections[plan.name] = told.section
            for slot, point in told.shared.items():
                points.setdefault(slot, point)
    read = [known.sewing.girth(row, sections) for row in work.ledgers.girths]
    girths = [found for found in read if found is not None]
    seams = list(known.sewing.seams(sections))
    draft = HandDraft(rule, tuple(sections.values()), tuple(girth for girth, _ in girths), tuple(seam for seam, _ in seams))
    return Written(
        draft, [*(balance for _, some in girths for balance in some), *(balance for _, balance in seams)], len(girths) == len(read)
    )


def _sources_first(plans: Sequence[PiecePlan]) -> list[PiecePlan]:
    """The pieces in their order, but each after the one that it is made from."""
    by_name = {plan.name: plan for plan in plans}
    ordered: dict[str, PiecePlan] = {}

    def put(plan: PiecePlan) -> None:
        if plan.source != plan.name and plan.source in by_name and plan.source not in ordered:
            put(by_name[plan.source])
        ordered.setdefault(plan.name, plan)

    for plan in plans:
        put(plan)
    return list(ordered.values())


@dataclass(slots=True)
class _Stretch:
    line: Floats  # many points on it
    centre: Floats | None  # of an arc
    radius: float = 0.0
    laid: OnChord | None = None

    def offsets(self, rule: Ruler, astray: tuple[Floats, Floats]) -> list[Offset]:
        if self.laid is None:
            self.laid = on_chord(self.line, rule)
        return self.laid.offsets(rule, astray)


class _Told(NamedTuple):
    """A section, all that it was written from, and the points that it shares with pieces after it."""

    section: HandSection
    aims: Aims  # of its own points
    source: HandSection | None
    asked: Mapping[int, PointElsewhere | None]  # of the points of pieces before it
    shared: Mapping[int, PointElsewhere]


class _Known:
    """What is the same on several of the sheets that are tried: where one point is moved, most sections stay as they are."""

    def __init__(self, work: Work) -> None:
        self.level_ends: dict[str, list[Floats]] = {}  # of each piece
        self.stretches: dict[tuple[Path, float], list[_Stretch]] = {}  # of a path, by a ruler's step
        self.sewing = Sewing(work)
        self._told: dict[tuple[str, int], list[_Told]] = {}

    def told(
        self, piece: str, finer: int, aims: Aims, source: HandSection | None, points: Mapping[int, PointElsewhere]
    ) -> _Told | None:
        """The section of a piece as it was written before, if it would be written so again."""
        return next(
            (
                told
                for told in self._told.get((piece, finer), ())
                if told.source is source
                and told.aims.keys() == aims.keys()
                and all(np.array_equal(told.aims[key], place) for key, place in aims.items())
                and all(_are_one(points.get(slot), point) for slot, point in told.asked.items())
            ),
            None,
        )

    def tell(self, told: _Told, finer: int) -> _Told:
        self._told.setdefault((told.section.name, finer), []).append(told)
        return told


def _are_one(one: PointElsewhere | None, other: PointElsewhere | None) -> bool:
    if one is None or other is None:
        return one is other
    return one is other or (one[:2] == other[:2] and np.array_equal(one[2], other[2]))


def _rounds(piece: Piece, index: int) -> float:
    """By how much the roundest edge of a piece grows for each millimetre of its radius: the angle of its arc."""
    arcs = [segment for edge in piece.edges for strip in edge.strips for segment in strip.segments if isinstance(segment, Arc)]
    return max((abs(float(arc.sweep[index])) for arc in arcs), default=0.0)


class _SectionWriter:
    """Writes the section of one piece, and carries its steps out."""

    def __init__(
        self,
        work: Work,
        plan: PiecePlan,
        rule: Ruler,
        elsewhere: Elsewhere,
        finished: FinishedPiece | None,
        aims: Aims,
        source: HandSection | None,
        known: _Known,
    ) -> None:
        self.known = known
        self.work, self.plan, self.index = work, plan, work.index
        self.piece = work.finished.pattern.piece(plan.name)
        self.rounds = _rounds(self.piece, self.index)
        self.rule = rule.for_piece(self.piece.cut.instances * max(1.0, self.rounds))
        self.steps: list[HandStep] = []
        self.steps_of = {step.out: step for step in work.plan.steps}
        self.changes = self._changes()
        self.source = source if self.changes else None
        self.hand = Setting(work, plan, self.rule, elsewhere, self._point, bool(self.changes), aims, self.source)
        self.finished = finished
        self.heading = ""
        if plan.name not in known.level_ends:
            known.level_ends[plan.name] = self._level_ends()
        self.level_ends = known.level_ends[plan.name]
        places = {name: self.hand.place(slot) for slot, name in self.hand.own.items()}
        self.named = np.array([place for place in places.values() if np.isfinite(place).all()]).reshape(-1, 2)

    def _level_ends(self) -> list[Floats]:
        lines = (
            level_on_paper(self.work, self.plan, self.piece, row.level)
            for row in self.work.ledgers.girths
            if any(name == self.plan.name and float(width[self.index]) > 0 for name, _, width in row.pieces)
        )
        return [place for line in lines for place in line.ends()]

    def section(self) -> HandSection:
        self.result = HandSection(self.plan.name, self.plan.title or self.plan.name, self._intro(), self.piece, self.rule, self.steps)
        self.heading = "How it is made"
        for words in self.changes:
            self._add("change", "", words)
        self.heading = "Levels"
        self._levels()
        self.heading = self.points_heading = WIDTHS if self.hand.levels else POINTS
        self._points()
        self.heading = "Darts"
        for edge in self.piece.edges:
            for dart in edge.darts:
                self._dart(edge, dart)
        for inner in self.piece.inner:
            self._inner(inner)
        self.heading = "Lines"
        for edge in self.piece.edges:
            self._edge(edge)
        self.heading = "Marks"
        for mark in self.piece.marks:
            self._mark(mark)
        self._placed()
        self.heading = "Notches"
        self._notches()
        self._traced()
        self._points_off()
        return self.result

    def shared(self) -> dict[int, PointElsewhere]:
        """Its points, for the pieces after it; one that is made by changes has them at other places than their rules say."""
        names = {} if self.changes else self.hand.names
        return {slot: (*self.hand.owners[label], self.hand.drawn[label]) for slot, label in names.items()}

    # ------------------------------------------------------------ what stands above the steps

    def _why_finer(self) -> str:
        if self.rounds > 1.0:
            return self.rule.say("A round edge grows by more than its radius, so its figures are rounded to {0}.")
        if self.piece.cut.instances > 2:
            return self.rule.say("Sewn in {1} times over, so its figures are rounded to {0}.")
        return self.rule.say("So that girths and seams come out, its figures are rounded to {0}.")

    def _intro(self) -> list[str]:
        say, house, lines = self.rule.say, self.rule.house, []
        if self.finished is None:
            lines.append(say("Not cut: other pieces are made from it."))
        else:
            lines.append(
                ". ".join([cut_words(self.piece.cut, False, house, self.piece.hand), *extra_words(self.piece.cut, house)]) + "."
            )
            if self.piece.halves is not None:
                lines.append(say(HALVES[self.piece.halves.drawn]))
            allowances = allowance_words(self.finished, self.index, self.rule.unit, house, said="Seam allowances to add: {list}")
            lines.append(f"{say('These steps draw the stitching line.')} {allowances}.")
        if self.rule.finer:
            lines.append(self._why_finer().format(self.rule.precision, self.piece.cut.instances))
        x, y = self.piece.grain[self.index]
        if abs(x) < 1e-6:
            grain = say("plumb")
        elif abs(y) < 1e-6:
            grain = say("level")
        else:
            degrees = house.figures(f"{math.degrees(math.atan2(abs(x), abs(y))):.1f}")
            grain = say("{0} deg from plumb, its upper end to the {1}").format(degrees, say("left" if x * y > 0 else "right"))
        return [*lines, say("Grain line: {0}.").format(grain)]

    def _changes(self) -> list[str]:
        """How the cutter comes by the piece, where it is made from another."""
        shape = shape_of(self.steps_of, self.plan)
        return [] if shape is None else change_lines(self.work, self.plan, shape, self.rule)

    # ------------------------------------------------------------ steps

    def _add(self, kind: str, name: str, words: str, remark: str = "") -> None:
        self.steps.append(HandStep(len(self.steps) + 1, kind, name, words, remark, self.heading))

    def _point(self, label: str, words: str, remark: str) -> None:
        self._add("point", label, words, remark)

    def _levels(self) -> None:
        """The level lines of a piece drawn by level."""
        by_level = any(self.steps_of[slot].operation == "place" for slot in self.plan.points.values())
        if not by_level or self.changes:
            return
        depths = sorted((self.hand.value(slot), name) for name, slot in self.plan.levels.items())
        zero = next((name for depth, name in depths if abs(depth) < SAME), self.rule.say("start"))
        rows = [
            f"{name} {self.rule.show(abs(depth))}" + (f" {self.rule.say('above it')}" if depth < 0 else "")
            for depth, name in depths
            if name != zero
        ]
        self.hand.levels = self.result.depths = {name: self.rule.round(depth) for depth, name in depths}
        told = [f"{name}: {words}" for name, slot in self.plan.levels.items() if (words := self.hand.reckoned(slot))]
        self._add("level", "", self.rule.say(STEP["level"]).format(zero, rows=counted(rows)), "; ".join(told))

    def _traced(self) -> None:
        lines = [
            HandStep(0, "trace", "", self.rule.say(STEP["trace"]).format(piece, names=counted(names)), "", self.points_heading)
            for piece, names in self.hand.traced.items()
        ]
        told = [step for step in self.steps if step.kind in ("change", "level")]
        steps = [*told, *lines, *self.steps[len(told) :]]
        self.steps[:] = [step._replace(number=number) for number, step in enumerate(steps, 1)]

    def _points(self) -> None:
        """All named points that edges, darts and marks join, in the order of the plan, with those that they rest on."""
        ends = np.array([stretch.line[k] for path in self._paths() for stretch in self._stretches(path) for k in (0, -1)])
        for place in ends:
            self.hand.traced_at(place)
        of_darts = np.array(
            [place[self.index] for dart in self.piece.darts() for place in (dart.near_foot, dart.point, dart.far_foot)]
        ).reshape(-1, 2)
        order = {step.out: number for number, step in enumerate(self.work.plan.steps)}
        for slot in sorted(self.hand.own, key=lambda slot: order[slot]):
            place = self.hand.place(slot)
            apart = np.hypot(*(ends - place).T)
            is_drawn = any(np.hypot(*(true - place)) < SAME for true in self.hand.true.values())
            is_drawn = is_drawn or bool((np.hypot(*(of_darts - place).T) < SAME).any())  # with its dart
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
        key = (path, self.rule.step)
        if key not in self.known.stretches:
            self.known.stretches[key] = self._parts_of(path)
        return self.known.stretches[key]

    def _parts_of(self, path: Path) -> list[_Stretch]:
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
        return [part for group in groups for part in self._parted(self._stretch(group))]

    def _parted(self, stretch: _Stretch) -> list[_Stretch]:
        """A curve in parts from level to level, so that its widths can be set out on them."""
        line = stretch.line
        if stretch.centre is not None or off_line(line, line[[0, -1]]).max() < STRAIGHT * self.rule.step:
            return [stretch]
        for place in self.level_ends:
            if np.hypot(*(line[[0, -1]] - place).T).min() > BETWEEN and off_line(place[None], line)[0] < ON:
                k = nearest_side(place, line)
                before, after = (some[np.hypot(*(some - place).T) > SAME] for some in (line[: k + 1], line[k + 1 :]))
                parts = np.concatenate([before, place[None]]), np.concatenate([place[None], after])
                return [part for one in parts for part in self._parted(_Stretch(one, None))]
        return [stretch]

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

    def _lines(self, path: Path, stem: str, check: bool = True) -> tuple[list[str], list[HandLine]]:
        """The words for each part of a path, and what they draw."""
        words: list[str] = []
        runs: list[HandLine] = []
        for stretch in self._stretches(path):
            a, b = self.hand.at(stretch.line[0]), self.hand.at(stretch.line[-1])
            p, q = self.hand.drawn[a], self.hand.drawn[b]
            offsets = [] if stretch.centre is not None else stretch.offsets(self.rule, (p - self.hand.true[a], q - self.hand.true[b]))
            if stretch.centre is not None:
                centre = self.hand.at(stretch.centre)
                radius = self.rule.round(float(np.hypot(*(np.stack([p, q]) - self.hand.drawn[centre]).T).mean()))
                lines = (arc_line(p, q, self.hand.drawn[centre], radius),) * 2
                words.append(self.rule.say(STRETCH["arc"]).format(a, b, centre, radius=self.rule.show(radius)))
            elif offsets:
                lines = fair_lines(set_off(p, q, offsets))
                rows = [
                    self.rule.say(OFFSET if offset.off else ON_LINE).format(
                        along=self.rule.show(offset.along), off=self.rule.show(offset.off), way=self.rule.say(offset.way)
                    )
                    for offset in offsets
                ]
                words.append(self.rule.say(STRETCH["curve"]).format(a, b, offsets=counted(rows)))
            else:
                lines = (np.stack([p, q]),) * 2
                words.append(self.rule.say(STRETCH["straight"]).format(a, b))
            if check:
                self.result.beside += [(stem, stretch.line, line) for line in lines]
            runs.append(HandLine(a, b, lines, stretch.centre is not None))
        return words, runs

    def _points_off(self) -> None:
        hand = self.hand
        self.result.true, self.result.drawn = hand.true, hand.drawn
        self.result.owners, self.result.starts = hand.owners, hand.starts
        if self.source is not None:
            places = {key: label for label, key in self.source.owners.items()}
            traced = {label: self.source.following.get(places.get(key, "")) for label, key in hand.owners.items()}
            self.result.following |= {label: following for label, following in traced.items() if following is not None}

    def _edge(self, edge: Edge) -> None:
        long = self.rule.say("{0} long as sewn").format(self.rule.show(float(edge.closed_length()[self.index])))
        traced = traced_edge(self.source, edge, self.index)
        if self.source is not None and traced is not None:
            self.result.edges[edge.name] = [[self._traced_run(run) for run in strip] for strip in self.source.edges[traced]]
            self._add("edge", edge.name, self.rule.say(STEP["traced"]).format(traced, self.source.name), long)
            return
        words: list[str] = []
        strips = self.result.edges[edge.name] = []
        for strip in edge.strips:
            strip_words, runs = self._lines(strip, edge.name)
            words += strip_words
            strips.append(runs)
        self._add("edge", edge.name, "; ".join(words), joined(long, self._smooth(edge), self._at_fold(edge)))

    def _traced_run(self, run: HandLine) -> HandLine:
        assert self.source is not None
        start, end = (self.hand.at(self.source.true[label]) for label in (run.start, run.end))
        return run._replace(start=start, end=end)

    def _at_fold(self, edge: Edge) -> str:
        """Where an edge leaves the fold square, and then turns from that line: opened out it has no corner there."""
        fold = next((other for other in self.piece.edges if other.name == self.piece.cut.fold), None)
        if fold is None or edge is fold:
            return ""
        along = unit(fold.end()[self.index] - fold.start()[self.index])
        for path, k in ((edge.strips[0], 0), (edge.strips[-1], -1)):
            line = path.take(slice(self.index, self.index + 1)).flatten()[0]
            line = line[np.concatenate([[True], np.hypot(*np.diff(line, axis=0).T) > NO_LENGTH])]
            if len(line) < 2:
                continue
            place, beside = line[k], line[1 if k == 0 else -2]
            on_fold = min(np.hypot(*(place - end[self.index])) for end in (fold.start(), fold.end())) < SAME
            square = abs(float(unit(beside - place) @ along)) < SQUARE
            if on_fold and square and abs(float(unit(line[-1] - line[0]) @ along)) > SQUARE:
                return self.rule.say("square to the fold at {0}, no corner there").format(self.hand.at(place))
        return ""

    def _smooth(self, edge: Edge) -> str:
        """Where two parts of an edge run on into each other without a corner."""
        places = []
        for strip in edge.strips:
            lines = [stretch.line for stretch in self._stretches(strip)]
            for before, after in zip(lines, lines[1:], strict=False):
                bend = off_line(np.stack([before[-2], after[1]]), np.stack([before[0], before[-1], after[-1]])).max()
                if unit(before[-1] - before[-2]) @ unit(after[1] - after[0]) > math.cos(math.radians(3)) and bend > 1e-3:
                    places.append(self.hand.at(after[0]))
        return self.rule.say("no corner at {0}").format(counted(places)) if places else ""

    def _dart(self, edge: Edge, dart: Dart) -> None:
        for foot in (dart.near_foot, dart.far_foot):
            self.hand.at(foot[self.index])
        near_leg, far_leg = self._legs(dart)
        near, far = self._row(near_leg), self._row(far_leg)
        if dart.kind == "pleat":
            fold, laid = (near, far) if dart.press == "near" else (far, near)
            self._add("dart", dart.name, self.rule.say(STEP["pleat"]).format(fold=fold, laid=laid))
            return
        self.result.darts.append([*near_leg, *far_leg[-2::-1]])
        end = (edge.start() if dart.press == "near" else edge.end())[self.index]
        traced = traced_dart(self.source, dart, self.index)
        if self.source is not None and traced is not None:
            self._add("dart", dart.name, self.rule.say(STEP["traced"]).format(traced, self.source.name))
            return
        words = self.rule.say(STEP["dart"]).format(near=near, far=far, press=self.hand.at(end))
        peak = self._peak(dart)
        if peak:
            way = "beyond" if peak > 0 else "short of"
            words += self.rule.say(STEP["peak"]).format(length=self.rule.show(abs(peak)), way=self.rule.say(way))
        self._add(
            "dart",
            dart.name,
            words,
            self.rule.say("each leg {0} long").format(self.rule.show(float(dart.near_leg.length()[self.index]))),
        )

    def _row(self, labels: list[str]) -> str:
        """From point to point."""
        return self.rule.say(" to ").join(labels)

    def _legs(self, dart: Dart) -> tuple[list[str], list[str]]:
        """The points of both legs, from the foot.  Where a dart is held, its knees have the figure of its feet."""
        near, far = (
            [stretches[0].line[0], *(stretch.line[-1] for stretch in stretches)]
            for stretches in map(self._stretches, (dart.near_leg, dart.far_leg))
        )
        near_leg = [self.hand.at(place) for place in near]
        far_leg = [self.hand.at(far[0])]
        for k, place in enumerate(far[1:], 1):
            held = k < len(near) and float(np.hypot(*(place - near[k] - (far[0] - near[0])))) < SAME
            if held and place is not far[-1] and not self.hand.known(place):
                apart = self.hand.drawn[far_leg[0]] - self.hand.drawn[near_leg[0]]
                far_leg.append(self.hand.beside(place, near_leg[k], apart))
                base, foot, other = (self.hand.owners[label] for label in (near_leg[k], near_leg[0], far_leg[0]))
                self.result.following[far_leg[-1]] = (base, foot, other)
            else:
                far_leg.append(self.hand.at(place))
        return near_leg, far_leg

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
            labels = [self.hand.at(corner) for corner in corners]
            self.result.darts.append([*labels, labels[0]])
            self._add("dart", dart.name, self.rule.say(STEP["inner"]).format(sides=self._row([*labels, labels[0]])))

    def _mark(self, mark: Mark) -> None:
        words, _ = self._lines(mark.path, mark.kind, check=False)
        if words:
            name = mark.name.replace("_", " ") or mark.kind
            cut = ""
            if mark.kind == "bone":
                length = self.rule.house.show(bone_length(mark, self.index, self.rule.house, self.rule.unit), self.rule.unit)
                cut = self.rule.say("the bone itself {0}").format(length)
            self._add("mark", name, self.rule.say(STEP["mark"]).format(lines="; ".join(words)), cut)

    def _placed(self) -> None:
        """Places that are marked: each at its point."""
        for mark, at in placed(self.piece, self.index):
            name = mark.words if mark.kind == "place" else mark.kind
            self._add("mark", name, self.rule.say(STEP["place"]).format(self.hand.at(at)), mark.words if mark.kind != "place" else "")

    def _notches(self) -> None:
        """All notches of an edge together, each at its point: those of the plot."""
        places: dict[str, list[str]] = {}
        for notch in self.finished.notches if self.finished is not None else ():
            if np.isfinite(notch.on_stitch[self.index]).all():
                places.setdefault(notch.edge, []).append(self.hand.at(notch.on_stitch[self.index]))
        for edge, labels in places.items():
            self._add("notch", "", self.rule.say(STEP["notches"]).format(edge=edge, points=counted(list(dict.fromkeys(labels)))))
