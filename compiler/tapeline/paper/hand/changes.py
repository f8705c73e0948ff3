"""How a piece is made from another, in the cutter's way: trace it, slash, close, turn, cut apart.

One template for each change of the plan; the same change is also told by the figures of the new piece's corners, so that
the work can be checked.  A change that has no template is told in the style's own words.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import cast

from ...drafting import joining, lengthening, moving_edges, parting, pivoting, shapes, spreading
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
        return [
            rule.say("{0} is drawn and then changed; its figures below are those after the changes.").format(plan.name),
            *filter(None, lines),
        ]
    return [rule.say("Trace {0} with its darts.").format(plan.source), *filter(None, lines)]


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
        far, end = self._from_end(step, slot, edge)
        return self.say("{0} along {1} from {2}", self.rule.show(far), edge, end)

    def place_or_end(self, step: Step, slot: int, edge: str) -> str:
        """A place on an edge as sewn, or the edge beside it where it lies at that end."""
        far, end = self._from_end(step, slot, edge)
        return self.place(step, slot, edge) if self.rule.round(far) else end

    def _from_end(self, step: Step, slot: int, edge: str) -> tuple[float, str]:
        length = float(self.shape(step.inputs[0]).edge(edge).closed_length()[self.work.index])
        at = self.value(slot)
        before, after = self.neighbours(step, edge)
        return (at, before) if at <= length / 2 else (length - at, after)

    def say(self, words: str, *places: object) -> str:
        """Fixed words in the house's language, their places filled."""
        return self.rule.say(words).format(*places)


def _words_of(step: Step) -> str:
    return " ".join(step.span.text.split("\n")[0].split())


def _share(writer: _ChangeWriter, step: Step, slots: Sequence[int]) -> str:
    if not slots or step.options["by"] is None:
        return ""
    if step.options["by"] == "part":
        return writer.say(", {0} of it", writer.rule.house.figures(f"{writer.value(slots[0]):.3g}"))
    return writer.say(", {0} of it at its mouth", writer.length(slots[0]))


@pivoting.pivot.by_hand
def _pivot(writer: _ChangeWriter, step: Step) -> str:
    dart, edge = step.options["dart"], step.options["edge"]
    share = _share(writer, step, step.inputs[2:])
    mouth = step.options["ring"].added("mouth")
    new = writer.say("leave the slash open as flare") if mouth is None else writer.say("the slash opens as the dart {0}", mouth.name)
    return writer.say(
        "Slash from a place {0} to the point of {1}; turn the part beside it until {1} is closed{2}; {3}.",
        writer.place(step, step.inputs[1], edge),
        dart,
        share,
        new,
    )


@pivoting.pivot_into.by_hand
def _pivot_into(writer: _ChangeWriter, step: Step) -> str:
    share = _share(writer, step, step.inputs[1:])
    other, dart = step.options["other"], step.options["dart"]
    return writer.say("Cut along {0} to its point and close {1}{2}: {0} opens by as much.", other, dart, share)


@pivoting.shorten.by_hand
def _shorten(writer: _ChangeWriter, step: Step) -> str:
    words = "Draw the point of {0} back along its fold by {1}; the feet stay."
    return writer.say(words, step.options["dart"], writer.length(step.inputs[1]))


@pivoting.press_dart.by_hand
def _press(writer: _ChangeWriter, step: Step) -> str:
    names = [edge.name for edge in writer.shape(step.out).edges if any(dart.name == step.options["dart"] for dart in edge.darts)]
    end = writer.neighbours(step, names[0])[0 if step.options["press"] == "near" else 1] if names else ""
    words = "Fold {0} toward {1} instead, and cut its end as folded."
    if step.options["tuck"]:
        words = "Lay {0} toward {1} as a tuck, unsewn below the edge, and cut its end as folded."
    return writer.say(words, step.options["dart"], end)


@pivoting.release.by_hand
def _release(writer: _ChangeWriter, step: Step) -> str:
    return writer.say("Leave {0} unsewn: its mouth becomes part of the edge.", step.options["dart"])


@spreading.spread.by_hand
def _spread(writer: _ChangeWriter, step: Step) -> str:
    first, second = step.options["edges"]
    amounts = [
        writer.say("{0} by {1} each" if each else "{0} by {1} in all", edge, writer.length(slot))
        for edge, slot, each in zip((first, second), step.inputs[1:3], step.options["each"], strict=True)
    ]
    evenly = step.options["count"] and len(step.inputs) <= 3
    where = writer.say("at {0} places, evenly", step.options["count"]) if evenly else writer.say("along the drawn lines")
    words = "Slash from {0} to {1} {2}; open {3}, {4}; {5}draw the edges again, fair."
    return writer.say(words, first, second, where, *amounts, _stays(writer, step))


def _stays(writer: _ChangeWriter, step: Step) -> str:
    stays = step.options["stays"]
    return "" if stays is None else writer.say("the part at {0} stays where it is; ", stays)


@spreading.pleats.by_hand
def _pleats(writer: _ChangeWriter, step: Step) -> str:
    first, second = step.options["edges"]
    return writer.say(
        "Slash from {0} to {1} for {2} pleats, {3}; {4}open each by twice its depth of {5} at {0} and {6} at {1}.",
        first,
        second,
        len(step.options["names"]),
        writer.say("along the drawn lines" if step.options["lines"] else "evenly"),
        _stays(writer, step),
        writer.length(step.inputs[1]),
        writer.length(step.inputs[2]),
    )


@parting.cut_apart.by_hand
def _cut_apart(writer: _ChangeWriter, step: Step) -> str:
    stops: list[str] = []
    places = list(step.inputs[1:])
    for stop in step.options["stops"]:
        if stop[0] == "dart":
            stops.append(writer.say("the dart {0}", stop[1]))
        elif stop[0] == "corner":
            stops.append(writer.say("the corner where {0} begins", stop[1]))
        else:
            stops.append(writer.place(step, places.pop(0), stop[1]) if stop[2] else stop[1])
    seam = step.options["seam"]
    along = writer.say(", along the line that {0} is below", seam) if step.options["line"] else ""
    closing = writer.say("; close {0}", counted(list(step.options["closing"]))) if step.options["closing"] else ""
    return writer.say("Cut apart from {0} to {1}{2}{3}. The cut is the seam {4}.", stops[0], stops[1], along, closing, seam)


@shapes.part.by_hand
def _part(writer: _ChangeWriter, step: Step) -> str:
    names = [edge.name for edge in writer.shape(step.out).edges]
    return writer.say("Keep the part with {0}.", counted(names))


@joining.facing.by_hand
def _facing(writer: _ChangeWriter, step: Step) -> str:
    along = counted(list(step.options["edges"]))
    return writer.say("Fold the darts; keep a band {0} deep along {1}.", writer.length(step.inputs[1]), along)


@joining.extend.by_hand
def _extend(writer: _ChangeWriter, step: Step) -> str:
    folded = writer.say(", folded back on the piece") if step.options["folded"] else ""
    called = next(edge.name for edge in step.options["ring"].edges if edge.made_of == (Added("outer"),))
    stretch = step.options["stretch"]
    before, after = writer.neighbours(step, step.options["edge"])
    part = ""
    if stretch is not None:
        place = writer.place(step, step.inputs[2], step.options["edge"])
        part = (
            writer.say(" between {0} and a place {1}", before, place)
            if stretch == "to"
            else writer.say(" between a place {0} and {1}", place, after)
        )
    slope = writer.say(", its end there sloping {0}", writer.length(step.inputs[3])) if len(step.inputs) > 3 else ""
    words = "Add a strip {0} wide along {1}{2}{3}{4}. The strip's edge is {5}."
    return writer.say(words, writer.length(step.inputs[1]), step.options["edge"], part, folded, slope, called)


@joining.trim.by_hand
def _trim(writer: _ChangeWriter, step: Step) -> str:
    return writer.say("Cut a strip {0} wide off along {1}.", writer.length(step.inputs[1]), step.options["edge"])


@joining.join_on.by_hand
def _join(writer: _ChangeWriter, step: Step) -> str:
    words = "Lay the other piece with its {0} on {1}; draw round both as one ({2})."
    return writer.say(words, step.options["to"], step.options["edge"], _words_of(step))


@joining.mirror.by_hand
def _mirror(writer: _ChangeWriter, step: Step) -> str:
    return writer.say("Turn the piece over, left for right.")


@joining.open_out.by_hand
def _open_out(writer: _ChangeWriter, step: Step) -> str:
    if len(step.inputs) > 1:  # a body whose sides differ
        return writer.say("Draw the other half beyond {0} by the figures below: it is that of the other side.", step.options["edge"])
    return writer.say("Fold the paper at {0} and trace the other half.", step.options["edge"])


@joining.true_edge.by_hand
def _true_edge(writer: _ChangeWriter, step: Step) -> str:
    return writer.say("Draw {0} again as one fair line, its darts folded.", step.options["edge"])


_MOVED = {
    "in": "Take {0} in by {1}{2}{3}; draw its new line fair.",
    "out": "Let {0} out by {1}{2}{3}; draw its new line fair.",
    "up": "Raise {0} by {1}{2}{3}; draw its new line fair.",
    "down": "Drop {0} by {1}{2}{3}; draw its new line fair.",
}


@moving_edges.move_edge.by_hand
def _move_edge(writer: _ChangeWriter, step: Step) -> str:
    if not writer.rule.round(writer.value(step.inputs[1])):
        return ""  # nothing that the ruler shows
    edge, full = step.options["edge"], step.options["full"]
    places = [writer.place_or_end(step, slot, edge) for slot in step.inputs[2:]]
    where = writer.say(" at {0}", counted(places[:full])) if full else ""
    nothing = writer.say(", to nothing at {0}", counted(places[full:])) if places[full:] else ""
    return writer.say(_MOVED[step.options["way"]], edge, writer.length(step.inputs[1]), where, nothing)


@lengthening.lengthen.by_hand
def _lengthen(writer: _ChangeWriter, step: Step) -> str:
    words = (
        "Part the paper along the level {0} and spread it by {1}; straighten the edges across the join."
        if step.options["longer"]
        else "Fold a strip {1} deep out of the paper below the level {0}; straighten the edges across the fold."
    )
    return writer.say(words, step.options["name"], writer.length(step.inputs[2]))


@shapes.with_levels.by_hand
@shapes.with_points.by_hand
def _with_points(writer: _ChangeWriter, step: Step) -> str:
    return ""
