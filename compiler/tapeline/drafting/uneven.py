"""An uneven client drafted: an even draft of the mean, the left and the right body, what they tell, and the united plan.

What a plan alone does not tell is read from the three even drafts: which pieces come out alike, of which side of the body each is
as drawn, which points lie on the centre and would be placed apart, and on which side the edges of a piece lie that goes across
it.  Then the plan is rewritten (`sided_steps`, `united`, `united_seams`) and drafted like any other.

All bodies take one course of the style: the first of those of the mean, the left and the right one for which nothing is wrong.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ..geometry.arrays import Floats, Mask
from ..geometry.path import Path
from ..meaning.kinds import PATH
from ..meaning.plan import NamedSlot, PiecePlan, Plan, Requirement, Value
from ..meaning.style import Style
from .courses import Draft, Outcomes, courses, draft_course, start
from .guides import Guide, path_of
from .lapping import unlike_fronts
from .operations import OPERATIONS
from .pattern import LEFT, RIGHT, Edge, Hand, Piece, Place
from .places import nearest_on
from .sided_steps import MEAN, ON_SIDE, SIDES, Joints, Side, SidedSteps, gives_point, is_drawn, on_one_side, other_side, sided_slots
from .steps import Run
from .uneven_verdicts import cut_alike, failed_on, not_told, one_course
from .united import Lot, Told, pieces_of
from .united_seams import (
    Placed,
    renamed,
    united_allowances,
    united_corners,
    united_layers,
    united_meant,
    united_own_steps,
    united_seams,
)

SidesOfBody = Mapping[str, tuple[float, float]]  # measure -> that of an even body of the left side, and of the right one
Bodies = Mapping[str, Mapping[str, Floats]]  # mean, left and right -> its measures (1,)
SAME = 1e-7  # mm; what differs by less is the same for both sides
NEAR = 0.5  # mm
ON_LINE = 1e-3  # mm; a point that is nearer to the centre line lies on it


def is_one_sided(plan: Plan) -> bool:
    """Whether a plan has something for one side of the body, so that any body is drafted as two."""
    return any(step.operation == ON_SIDE for step in plan.steps)


def draft_uneven(
    style: Style, place: int, measures: Mapping[str, Floats], sides: SidesOfBody, choices: Mapping[str, Floats], unit: str
) -> Draft:
    """The draft of one body, which is number `place` of its call; `measures` and `choices` are (1,), of the whole body."""
    one, index = np.arange(1), np.array([place])
    bodies: dict[str, Mapping[str, Floats]] = {MEAN: measures}
    bodies |= {side: _of_side(measures, sides, number) for number, side in enumerate(SIDES)}
    asked = [courses(style, one, body, choices, unit)[0][0] for body in bodies.values()]
    ways = [way for number, way in enumerate(asked) if way not in asked[:number]]
    drafts: list[Draft] = []
    for outcomes in ways:
        drafted = _Uneven(style, bodies, frozenset(sides), choices, unit, outcomes).draft()
        drafts.append(drafted)
        if not drafted.failed.any():
            break
    best = next((drafted for drafted in drafts if not drafted.failed.any()), drafts[0])
    if len(ways) > 1:
        best.failures.append(one_course(best, asked, ways[drafts.index(best)]))
    return replace(best, index=index)


def _of_side(measures: Mapping[str, Floats], sides: SidesOfBody, number: int) -> dict[str, Floats]:
    return {name: np.array([sides[name][number]]) if name in sides else value for name, value in measures.items()}


@dataclass(slots=True)
class _Uneven:
    style: Style
    bodies: Bodies
    sided: frozenset[str]
    choices: Mapping[str, Floats]
    unit: str
    outcomes: Outcomes

    def draft(self) -> Draft:
        plan, diagnostics = self.style.course(self.outcomes)
        one, told = np.arange(1), diagnostics if self.outcomes else ()
        mean = replace(plan, steps=on_one_side(plan.steps, MEAN))
        (drafted,) = draft_course(mean, one, self.bodies[MEAN], self.choices, self.unit, told)
        runs: dict[str, Run] = {MEAN: drafted.run}
        for side in SIDES:
            own = replace(plan, steps=on_one_side(plan.steps, side))
            runs[side] = start(own, one, self.bodies[side], self.choices, self.unit)
            runs[side].carry_out(own.steps)
            if runs[side].failed().any():
                return failed_on(drafted, side, runs[side])
        if drafted.failed.any():
            return drafted
        known = _Evens(plan, self.sided, drafted, runs)
        united, steps = united_plan(plan, self.sided, known)
        measures = dict(self.bodies[MEAN])
        for name in [name for name in measures if name in self.sided]:
            measures |= {f"{side} {name}": self.bodies[side][name] for side in SIDES}
        found = {slot: runs[body].filled[there] for body, table in steps.found().items() for there, slot in table.items()}
        (drafted,) = draft_course(united, one, measures, self.choices, self.unit, (), found, steps.of_sides())
        drafted.failures += [not_told(piece) for piece in known.not_told()]
        drafted.failures += [cut_alike(piece) for piece in known.cut_alike()]
        drafted.failures += unlike_fronts(drafted.pattern, known.open_fronts(), self.unit)
        return drafted


def united_plan(plan: Plan, sided: frozenset[str], known: _Evens) -> tuple[Plan, SidedSteps]:
    """The plan of the garment for a body of two sides."""
    told = known.told
    steps = SidedSteps(plan, sided, known.joints())
    pieces: list[PiecePlan] = []
    namings = {}
    for piece in plan.pieces:
        made, namings[piece.name] = pieces_of(steps, piece, told[piece.name], told)
        pieces += made
    placed = Placed(plan, told, namings, known.edge_sides, pieces)
    united = replace(
        plan,
        pieces=tuple(pieces),
        seams=united_seams(placed, steps),
        allowances=united_allowances(placed, steps),
        corners=united_corners(placed),
        meant=united_meant(placed),
        own_steps=united_own_steps(placed),
        layers=united_layers(steps, plan.layers),
        once=renamed(placed, plan.once),
        requirements=tuple(one for rule in plan.requirements for one in _requirements(rule, steps)),
        values=_values(plan, steps, known),
        measures={**plan.measures, **steps.measures},
        examples=(),
        uneven=True,
        names=_names(plan, steps),
    )
    return replace(united, steps=steps.needed(united), slots=steps.slots), steps


def _requirements(rule: Requirement, steps: SidedSteps) -> Iterator[Requirement]:
    """What is asked of either half, where it rests on the side."""
    if rule.condition not in steps.rests:
        yield rule
        return
    for side in SIDES:
        table = steps.side[side]
        figures = tuple((words, table.get(slot, slot), kind) for words, slot, kind in rule.figures)
        yield rule._replace(condition=table[rule.condition], message=f"{rule.message} ({side})", figures=figures)


def _values(plan: Plan, steps: SidedSteps, known: _Evens) -> dict[str, Value]:
    """Named quantities, of the mean body and, where they differ, of either side."""
    table = dict(plan.values)
    for name, value in plan.values.items():
        if not known.same(value.slot):
            table |= {f"{side} {name}": value._replace(slot=steps.side[side][value.slot]) for side in SIDES}
    return table


def _names(plan: Plan, steps: SidedSteps) -> tuple[NamedSlot, ...]:
    """What the texts call the slots, those of the mean body, of either side and of the whole."""
    tables = [steps.side[side] for side in SIDES] + [steps.whole]
    copies = (name._replace(slot=table[name.slot]) for table in tables for name in plan.names if name.slot in table)
    return (*plan.names, *copies)


# ------------------------------------------------------------ what the even drafts tell


class _Evens:
    """The even draft of the mean body, and what the left and the right one have in the slots of the same plan."""

    def __init__(self, plan: Plan, sided: frozenset[str], mean: Draft, runs: Mapping[str, Run]) -> None:
        self.plan, self.pattern, self.runs = plan, mean.pattern, runs
        self.rests = sided_slots(plan, sided)
        self.steps = {step.out: step for step in plan.steps}
        self.drawn = frozenset(step.out for step in plan.steps if is_drawn(step))
        self.paths = frozenset(step.out for step in plan.steps if OPERATIONS[step.operation].gives is PATH)
        self.points = frozenset(step.out for step in plan.steps if gives_point(step))
        self.plans = {piece.name: piece for piece in plan.pieces}
        self.pieces = {piece.name: piece for piece in (*self.pattern.pieces, *self.pattern.foundations)}
        self.cones = {piece.name: self._cone(_own_slots(piece)) for piece in plan.pieces}
        self.lots: dict[str, Lot] = {}
        for piece in plan.pieces:
            self.lots.setdefault(piece.name, self._lot(piece))
        self.told = {piece.name: self._told(piece) for piece in plan.pieces}
        self.edge_sides = {place: side for piece in plan.pieces for place, side in self._edge_sides(piece)}

    def filled(self, slot: int, body: str = MEAN) -> Any:
        return self.runs[body].filled[slot]

    def same(self, slot: int) -> bool:
        """Whether a slot holds the same for all bodies."""
        return slot not in self.rests or all(_alike(self.filled(slot), self.filled(slot, side)) for side in SIDES)

    def _cone(self, slots: Iterable[int]) -> frozenset[int]:
        """All that is drawn on the way to some slots, through what is drawn alone."""
        found: set[int] = set()
        stack = [slot for slot in slots if slot in self.drawn]
        while stack:
            slot = stack.pop()
            if slot not in found:
                found.add(slot)
                stack.extend(read for read in self.steps[slot].inputs if read in self.drawn)
        return frozenset(found)

    # ------------------------------------------------------------ what becomes of a piece

    def hand(self, name: str) -> Hand:
        return self.pieces[name].hand

    def _lot(self, piece: PiecePlan) -> Lot:
        if piece.name in self.lots:
            return self.lots[piece.name]
        if all(self.same(slot) for slot in _own_slots(piece)):
            return Lot.SAME
        cut = piece.cut
        if cut.fold is not None:
            return Lot.FOLD if cut.count <= 2 else Lot.PAIR
        if any(self.steps[slot].operation == "open_out" for slot in self.cones[piece.name]):
            return Lot.WHOLE
        if piece.cut.is_alike:
            return Lot.WHOLE
        if not piece.issued:
            made = [other for other in self.plan.pieces if other.source == piece.name and other.name != piece.name]
            wholes = [self._lot(other) is Lot.WHOLE for other in made]
            return Lot.WHOLE if wholes and all(wholes) and not piece.half else Lot.PAIR
        if cut.count % 2 == 0:
            return Lot.PAIR
        side = self.hand(piece.name).side
        return Lot.LEFT if side == LEFT else Lot.RIGHT if side == RIGHT else Lot.WHOLE

    def _told(self, piece: PiecePlan) -> Told:
        lot = self.lots[piece.name]
        drawn = self._first(piece.name)
        own = self.pieces[piece.name]
        darts = {dart.name: edge.name for edge in own.edges for dart in edge.darts}
        level = frozenset(name for name, slot in piece.levels.items() if self.same(slot))
        on_fold = frozenset(self._on_fold(own)) if lot is Lot.FOLD else frozenset()
        turnable = piece.cut.paired or piece.cut.fold is not None
        seen = lot is Lot.WHOLE and piece.issued and piece.cut.count == 1 and not piece.half and self.hand(piece.name).drawn != ""
        return Told(lot, drawn, darts, on_fold, level, turnable, piece.issued, seen)

    def _on_fold(self, piece: Piece) -> Iterator[str]:
        """The marks of a piece that lie along its fold or on it."""
        fold = piece.edge(str(piece.cut.fold))
        for mark in piece.marks:
            if _off_line(mark.path.flatten()[0], fold).max() < ON_LINE:
                yield mark.name
        for point in piece.point_marks:
            if np.isfinite(point.at).all() and _off_line(point.at, fold).max() < ON_LINE:
                yield point.name

    def not_told(self) -> Iterator[Piece]:
        """The pairs that differ by side of which it is not known for which they are as drawn, and which are no mirror image of themselves."""
        for name, told in self.told.items():
            piece = self.pieces[name]
            if told.lot is Lot.PAIR and told.issued and told.turnable and not self.hand(name).side and _image_middle(piece) is None:
                yield piece

    def cut_alike(self) -> Iterator[Piece]:
        """The pieces of the garment whose copies are all alike, though the sides differ."""
        for name, told in self.told.items():
            if told.lot is Lot.WHOLE and told.issued and self.plans[name].cut.is_alike:
                yield self.pieces[name]

    # ------------------------------------------------------------ how the halves come together

    def joints(self) -> Joints:
        halves: set[int] = set()
        for name, lot in self.lots.items():
            if lot not in (Lot.WHOLE, Lot.SAME):
                halves |= self.cones[name]
        across: dict[int, str] = {}
        for name, lot in self.lots.items():
            drawn_once = lot is Lot.WHOLE and not self._opened(name) and not self.plans[name].cut.is_alike
            middle = self._middle(self.plans[name]) if drawn_once else None
            if middle is not None:
                across |= {slot: self._side_at(name, middle, slot) for slot in self.cones[name] & self.points & self.rests - halves}
        centre = {slot for name in self.lots for slot in self._centre_points(name)}
        first: dict[int, Side] = {}
        for name, lot in self.lots.items():
            if lot is Lot.WHOLE:
                first |= dict.fromkeys(self._opened(name), self._first(name))
        shared = frozenset(slot for piece in self.plan.pieces for slot in self._along_centre(piece))
        return Joints(frozenset(centre), self._onto(centre), across, frozenset(halves), shared, first)

    def _onto(self, centre: set[int]) -> dict[int, int]:
        """The points on lines that are drawn to a point of the centre, where neither is drawn by means of the other."""
        lines = [step.out for step in self.plan.steps if step.out in self.paths and not centre.isdisjoint(step.inputs)]
        cones = {name for name in self.lots if not centre.isdisjoint(self.cones[name])}
        tried = {step.out for find in self.plan.steps if find.operation == "solve" for step in find.options["cone"]}
        points = {slot for name in cones for slot in self.cones[name] & self.points & self.rests} - centre - tried
        found: dict[int, int] = {}
        places = {slot: at for slot in sorted(points) if np.isfinite(at := self.filled(slot)).all()}
        for line in lines:
            path, after, behind = path_of(self.filled(line)), self._after(line), self._behind(line, found)
            near = _near(np.concatenate([*places.values(), np.zeros((0, 2))]), path.flatten()[0])
            for slot in (slot for slot, is_near in zip(places, near, strict=True) if is_near):
                if slot not in behind and slot not in after and slot not in found and _distance(path, places[slot]) < ON_LINE:
                    found[slot] = line
        return found

    def _behind(self, line: int, onto: Mapping[int, int]) -> set[int]:
        """All that a line rests on, where points are brought onto lines besides."""
        found: set[int] = set()
        stack = [line]
        while stack:
            slot = stack.pop()
            if slot not in found:
                found.add(slot)
                stack += [*self.steps[slot].inputs, *([onto[slot]] if slot in onto else [])]
        return found

    def _after(self, line: int) -> set[int]:
        """All that rests on a line."""
        found = {line}
        for step in self.plan.steps:
            if not found.isdisjoint(step.inputs):
                found.add(step.out)
        return found

    def _opened(self, name: str) -> list[int]:
        return sorted(slot for slot in self.cones[name] if self.steps[slot].operation == "open_out")

    def _along_centre(self, piece: PiecePlan) -> Iterator[int]:
        """The marks and notches along an edge at the centre, which the piece of the other side has at the same place."""
        centred = self._sewn_to_itself(piece.name)
        yield from (mark.path for mark in piece.marks if mark.edge in centred)
        yield from (notch.place for notch in piece.notches if notch.edge in centred)

    def _sewn_to_itself(self, name: str) -> list[str]:
        if self.lots[name] is not Lot.PAIR:
            return []
        seams = self.pattern.seams
        return [edge for seam in seams if seam.one == seam.other for place, edge in seam.one if place == name]

    def _first(self, name: str) -> Side:
        """Of what is opened out, the side of the half that was drawn: it lies where x is greater."""
        return SIDES[self.hand(name).drawn == RIGHT]

    def _centre_points(self, name: str) -> Iterator[int]:
        """The points at the centre of a piece, where that would come out longer for one body than for the other."""
        edge = self._centre_edge(name)
        if edge is None or _alike(*(self.filled(dict(self.plans[name].edges)[edge], side).closed_length() for side in SIDES)):
            return
        line, beyond = self.pieces[name].edge(edge), self._beyond(name, edge)
        found = set()
        for slot in self.cones[name] & self.points:
            at = self.filled(slot)
            off = at[0, 0] if beyond else _off_line(at, line).max()
            if not self.same(slot) and off < ON_LINE:
                found.add(slot)
        drawn = (self.steps[slot] for slot in self.cones[name])
        if not any(step.operation == "draw_arc_about" and not found.isdisjoint(step.inputs) for step in drawn):
            yield from found  # an arc about a point cannot end elsewhere

    def _centre_edge(self, name: str) -> str | None:
        """The edge of a piece at the centre of the body: its fold, what is sewn to its own image, or what is plumb where it begins."""
        piece, plan = self.pieces[name], self.plans[name]
        if self.lots[name] not in (Lot.FOLD, Lot.PAIR) or piece.cut.count > 2:
            return None
        own = [piece.cut.fold] if piece.cut.fold is not None else self._sewn_to_itself(name)
        if own:
            return own[0]
        if not plan.worn or (plan.source and plan.source != name):
            return None
        least = min(float(edge.start()[0, 0]) for edge in piece.edges)
        ends = {edge.name: [float(at[0, 0]) for at in (edge.start(), edge.end())] for edge in piece.edges}
        plumb = {edge: min(two) for edge, two in ends.items() if max(two) - min(two) < ON_LINE and not self._is_joined(name, edge)}
        # Beside a lapel the front edge is not where the piece reaches farthest, but still beyond the centre.
        at_centre = (edge for edge, at in plumb.items() if at < max(least, -ON_LINE) + ON_LINE)
        return min(at_centre, key=plumb.__getitem__, default=None)

    def open_fronts(self) -> Iterator[Place]:
        """The edges at the centre of the pairs of the outside that lie there on each other and are not sewn."""
        for piece in self.plan.pieces:
            outside = self.lots[piece.name] is Lot.PAIR and piece.issued and not piece.cut.purpose
            edge = self._centre_edge(self.pattern.origin(piece.name)) if outside and piece.worn else None
            if edge is not None and edge in dict(piece.edges) and not self._sewn_to_itself(piece.name):
                yield piece.name, edge

    def _beyond(self, name: str, edge: str) -> bool:
        """Whether a front goes on beyond the centre, on which its drawing begins."""
        at = float(self.pieces[name].edge(edge).start()[0, 0])
        return self.pieces[name].cut.fold is None and not self._sewn_to_itself(name) and at < -ON_LINE

    def _is_joined(self, name: str, edge: str) -> bool:
        """Whether an edge of what a piece leads to is sewn to another piece of the garment's outside."""
        pattern = self.pattern
        own = {other for other in self.pieces if pattern.origin(other) == name}
        outside = {one for one, piece in self.pieces.items() if not piece.cut.purpose}
        for seam in pattern.seams:
            for side, across in ((seam.one, seam.other), (seam.other, seam.one)):
                if any(one in own & outside and at == edge for one, at in side) and {one for one, _ in across} & outside - own:
                    return True
        return False

    # ------------------------------------------------------------ what lies across the centre

    def _middle(self, plan: PiecePlan) -> float | None:
        """Where the centre of the body lies across a whole piece: where it was opened out, or its middle if it is its own image."""
        piece = self.pieces[plan.name]
        opened = [slot for slot in self.cones[plan.name] if self.steps[slot].operation == "open_out"]
        if opened:
            shape = self.filled(min(opened))
            across = np.concatenate([edge.start()[0, :1] for edge in shape.edges])
            return float((across.min() + across.max()) / 2.0)
        if not plan.worn:
            return None
        return _image_middle(piece)

    def _side_at(self, name: str, middle: float, slot: int) -> str:
        off = float(self.filled(slot)[0, 0]) - middle
        return MEAN if not abs(off) > ON_LINE else self._first(name) if off > 0.0 else other_side(self._first(name))

    def _edge_sides(self, plan: PiecePlan) -> Iterator[tuple[Place, str]]:
        """The edges of a piece across the centre that lie on one side of it."""
        if not plan.issued or plan.cut.fold is not None or plan.cut.count > 1 or self.lots[plan.name] not in (Lot.WHOLE, Lot.SAME):
            return
        middle = self._middle(plan)
        for edge in self.pieces[plan.name].edges if middle is not None else ():
            off = edge.across_mouths().flatten()[0][:, 0] - middle
            if off.min() > -ON_LINE or off.max() < ON_LINE:
                first = self._first(plan.name)
                yield (plan.name, edge.name), first if off.mean() > 0.0 else other_side(first)


def _image_middle(piece: Piece) -> float | None:
    """Where the middle of a piece lies across the paper, if its corners are their own image."""
    corners = np.array([edge.start()[0] for edge in piece.edges])
    middle = float((corners[:, 0].min() + corners[:, 0].max()) / 2.0)
    image = corners * [-1.0, 1.0] + [2.0 * middle, 0.0]
    apart = np.hypot(*(corners[:, None] - image[None]).transpose(2, 0, 1))
    return middle if float(apart.min(axis=1).max()) < ON_LINE else None


def _own_slots(plan: PiecePlan) -> list[int]:
    """What a piece's papers are drawn and worked out from."""
    slots = [slot for _, slot in plan.edges] + [plan.grain, *plan.levels.values(), *plan.widths.values()]
    for mark in (*plan.marks, *plan.tapes):
        slots += [mark.path] if mark.length is None else [mark.path, mark.length]
    for placed in plan.point_marks:
        slots += [placed.at] if placed.size is None else [placed.at, placed.size]
    slots += [notch.place for notch in plan.notches]
    return slots + [slot for _, _, corners, _ in plan.inner for slot in corners]


def _near(places: Floats, line: Floats) -> Mask:
    """Mask (K,) of the places (K, 2) that lie near a line of points (M, 2)."""
    if not len(places):
        return np.zeros(0, dtype=bool)
    start, way = line[:-1], np.diff(line, axis=0)
    square = np.maximum((way * way).sum(axis=1), 1e-12)
    off = places[:, None] - start[None]
    share = np.clip((off * way).sum(axis=2) / square, 0.0, 1.0)
    near: Mask = np.hypot(*(off - share[..., None] * way).transpose(2, 0, 1)).min(axis=1) < NEAR
    return near


def _distance(path: Path, place: Floats) -> float:
    """How far a place (1, 2) lies off a path."""
    nearest = path.point_at(np.nan_to_num(nearest_on(path, place)))
    return float(np.hypot(*(nearest - place)[0]))


def _off_line(places: Floats, line: Edge) -> Floats:
    """How far places (K, 2) lie off the straight through the ends of an edge."""
    start, end = line.start()[0], line.end()[0]
    way = (end - start) / np.hypot(*(end - start))
    off: Floats = np.abs((places[:, 0] - start[0]) * way[1] - (places[:, 1] - start[1]) * way[0])
    return off


def _alike(one: Any, other: Any) -> bool:
    """Whether what a slot holds for two bodies is the same."""
    if isinstance(one, np.ndarray):
        return bool(np.allclose(one, other, rtol=0.0, atol=SAME, equal_nan=True))
    if isinstance(one, Guide):
        return _alike(one.path, other.path)
    if isinstance(one, Path):
        first, second = one.flatten(), other.flatten()
        return first.shape == second.shape and _alike(first, second)
    if isinstance(one, Edge):
        if len(one.darts) != len(other.darts):
            return False
        pairs = [*zip(one.strips, other.strips, strict=True)]
        for dart, fellow in zip(one.darts, other.darts, strict=True):
            pairs += [(dart.near_leg, fellow.near_leg), (dart.far_leg, fellow.far_leg)]
        return all(_alike(first, second) for first, second in pairs)
    return False
