"""How a piece is made from another, in the cutter's way: trace it, slash, close, turn, cut apart.

One template for each change of the plan; the same change is also told by the figures of the new piece's corners, so that
the work can be checked.  A change that has no template is told in the style's own words.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import cast

from ...drafting import joining, parting, pivoting, shapes, spreading
from ...drafting.operations import OPERATIONS
from ...drafting.shapes import Shape
from ...meaning.plan import PiecePlan, Step
from ...meaning.ring import Added
from ..house.work import Work
from .measure import Ruler
from .words import counted


def change_lines(work: Work, plan: PiecePlan, slot: int, rule: Ruler) -> list[str]:
    """The changes that lead to a shape, in order, from the piece that is traced."""
    steps = {step.out: step for step in work.plan.steps}
    source = next(
        (shape_of(steps, candidate) for candidate in work.plan.pieces if candidate.name == plan.source and candidate is not plan), None
    )
    chain = []
    while slot != source and OPERATIONS[steps[slot].operation].instruction is not None:
        chain.append(steps[slot])
        slot = steps[slot].inputs[0]
    writer = _ChangeWriter(work, rule, plan, steps)
    lines = [words(writer, step) for step in reversed(chain) if (words := OPERATIONS[step.operation].instruction) is not None]
    if plan.source in ("", plan.name):  # drawn and changed at once: what it was before has no sheet of its own
        return [f"{plan.name} is drawn and then changed; its figures below are those after the changes.", *filter(None, lines)]
    return [f"Trace {plan.source} with its darts.", *filter(None, lines)]


def shape_of(steps: Mapping[int, Step], plan: PiecePlan) -> int | None:
    """The slot of the shape that a piece is read from; None if it is drawn, not made from another."""
    step = steps[plan.edges[0][1]]
    return steps[step.inputs[0]].inputs[0] if step.operation == "turned_edge" else None


class _ChangeWriter:
    def __init__(self, work: Work, rule: Ruler, plan: PiecePlan, steps: Mapping[int, Step]) -> None:
        self.work, self.rule, self.plan, self.steps = work, rule, plan, steps

    def length(self, slot: int) -> str:
        return self.rule.show(self.value(slot))

    def value(self, slot: int) -> float:
        return self.work.value(slot)

    def shape(self, slot: int) -> Shape:
        return cast(Shape, self.work.run.filled[slot])

    def neighbours(self, step: Step, edge: str) -> tuple[str, str]:
        """The edges before and after an edge."""
        names = [ring_edge.name for ring_edge in self.shape(step.inputs[0]).edges]
        k = names.index(edge)
        return names[k - 1], names[(k + 1) % len(names)]

    def place(self, step: Step, slot: int, edge: str) -> str:
        """A place on an edge as sewn: how far from the nearer of its ends."""
        length = float(self.shape(step.inputs[0]).edge(edge).closed_length()[self.work.index])
        at = self.value(slot)
        before, after = self.neighbours(step, edge)
        return (
            f"{self.rule.show(at)} along {edge} from {before}"
            if at <= length / 2
            else (f"{self.rule.show(length - at)} along {edge} from {after}")
        )


def _words_of(step: Step) -> str:
    return " ".join(step.span.text.split("\n")[0].split())


def _share(writer: _ChangeWriter, step: Step, slots: Sequence[int]) -> str:
    if not slots or step.options["by"] is None:
        return ""
    if step.options["by"] == "part":
        return f", {writer.value(slots[0]):.3g} of it"
    return f", {writer.length(slots[0])} of it at its mouth"


@pivoting.pivot.by_hand
def _pivot(writer: _ChangeWriter, step: Step) -> str:
    dart, edge = step.options["dart"], step.options["edge"]
    share = _share(writer, step, step.inputs[2:])
    mouth = step.options["ring"].added("mouth")
    new = "leave the slash open as flare" if mouth is None else f"the slash opens as the dart {mouth.name}"
    return (
        f"Slash from a place {writer.place(step, step.inputs[1], edge)} to the point of {dart}; "
        f"turn the part beside it until {dart} is closed{share}; {new}."
    )


@pivoting.pivot_into.by_hand
def _pivot_into(writer: _ChangeWriter, step: Step) -> str:
    return (
        f"Cut along {step.options['other']} to its point and close {step.options['dart']}{_share(writer, step, step.inputs[1:])}: "
        f"{step.options['other']} opens by as much."
    )


@pivoting.shorten.by_hand
def _shorten(writer: _ChangeWriter, step: Step) -> str:
    return f"Draw the point of {step.options['dart']} back along its fold by {writer.length(step.inputs[1])}; the feet stay."


@pivoting.press_dart.by_hand
def _press(writer: _ChangeWriter, step: Step) -> str:
    names = [edge.name for edge in writer.shape(step.out).edges if any(dart.name == step.options["dart"] for dart in edge.darts)]
    end = writer.neighbours(step, names[0])[0 if step.options["press"] == "near" else 1] if names else ""
    return f"Fold {step.options['dart']} toward {end} instead, and cut its end as folded."


@pivoting.release.by_hand
def _release(writer: _ChangeWriter, step: Step) -> str:
    return f"Leave {step.options['dart']} unsewn: its mouth becomes part of the edge."


@spreading.spread.by_hand
def _spread(writer: _ChangeWriter, step: Step) -> str:
    first, second = step.options["edges"]
    amounts = [f"{first} by {writer.length(step.inputs[1])}", f"{second} by {writer.length(step.inputs[2])}"]
    kinds = ["each" if each else "in all" for each in step.options["each"]]
    evenly = step.options["count"] and len(step.inputs) <= 3
    where = f"at {step.options['count']} places, evenly" if evenly else "along the drawn lines"
    return f"Slash from {first} to {second} {where}; open {amounts[0]} {kinds[0]}, {amounts[1]} {kinds[1]}; {_stays(step)}draw the edges again, fair."


def _stays(step: Step) -> str:
    return "" if step.options["stays"] is None else f"the part at {step.options['stays']} stays where it is; "


@spreading.pleats.by_hand
def _pleats(writer: _ChangeWriter, step: Step) -> str:
    first, second = step.options["edges"]
    where = "along the drawn lines" if step.options["lines"] else "evenly"
    return (
        f"Slash from {first} to {second} for {len(step.options['names'])} pleats, {where}; {_stays(step)}open each by twice its depth of "
        f"{writer.length(step.inputs[1])} at {first} and {writer.length(step.inputs[2])} at {second}."
    )


@parting.cut_apart.by_hand
def _cut_apart(writer: _ChangeWriter, step: Step) -> str:
    stops: list[str] = []
    places = list(step.inputs[1:])
    for stop in step.options["stops"]:
        if stop[0] == "dart":
            stops.append(f"the dart {stop[1]}")
        elif stop[0] == "corner":
            stops.append(f"the corner where {stop[1]} begins")
        else:
            stops.append(writer.place(step, places.pop(0), stop[1]) if stop[2] else stop[1])
    along = f", along the line that {step.options['seam']} is below" if step.options["line"] else ""
    closing = f"; close {counted(list(step.options['closing']))}" if step.options["closing"] else ""
    return f"Cut apart from {stops[0]} to {stops[1]}{along}{closing}. The cut is the seam {step.options['seam']}."


@shapes.part.by_hand
def _part(writer: _ChangeWriter, step: Step) -> str:
    names = [edge.name for edge in writer.shape(step.out).edges]
    return f"Keep the part with {counted(names)}."


@joining.facing.by_hand
def _facing(writer: _ChangeWriter, step: Step) -> str:
    return f"Fold the darts; keep a band {writer.length(step.inputs[1])} deep along {counted(list(step.options['edges']))}."


@joining.extend.by_hand
def _extend(writer: _ChangeWriter, step: Step) -> str:
    folded = ", folded back on the piece" if step.options["folded"] else ""
    called = next(edge.name for edge in step.options["ring"].edges if edge.made_of == (Added("outer"),))
    stretch = step.options["stretch"]
    before, after = writer.neighbours(step, step.options["edge"])
    part = ""
    if stretch is not None:
        place = writer.place(step, step.inputs[2], step.options["edge"])
        part = f" between {before} and a place {place}" if stretch == "to" else f" between a place {place} and {after}"
    slope = f", its end there sloping {writer.length(step.inputs[3])}" if len(step.inputs) > 3 else ""
    width = writer.length(step.inputs[1])
    return f"Add a strip {width} wide along {step.options['edge']}{part}{folded}{slope}. The strip's edge is {called}."


@joining.trim.by_hand
def _trim(writer: _ChangeWriter, step: Step) -> str:
    return f"Cut a strip {writer.length(step.inputs[1])} wide off along {step.options['edge']}."


@joining.join_on.by_hand
def _join(writer: _ChangeWriter, step: Step) -> str:
    return f"Lay the other piece with its {step.options['to']} on {step.options['edge']}; draw round both as one ({_words_of(step)})."


@joining.mirror.by_hand
def _mirror(writer: _ChangeWriter, step: Step) -> str:
    return "Turn the piece over, left for right."


@joining.open_out.by_hand
def _open_out(writer: _ChangeWriter, step: Step) -> str:
    return f"Fold the paper at {step.options['edge']} and trace the other half."


@joining.true_edge.by_hand
def _true_edge(writer: _ChangeWriter, step: Step) -> str:
    return f"Draw {step.options['edge']} again as one fair line, its darts folded."


@shapes.with_levels.by_hand
@shapes.with_points.by_hand
def _with_points(writer: _ChangeWriter, step: Step) -> str:
    return ""
