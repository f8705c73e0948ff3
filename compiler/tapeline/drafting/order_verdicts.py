"""Judging the order of work: steps of the style that ask for what can no longer be reached then.

What the program orders by itself keeps every firm rule of `reach`, so only a style's own step can go against one.
"""

from __future__ import annotations

from .order import OrderOfWork, Refusal
from .pattern import Place
from .reach import WHY, Precedence
from .steps import Run
from .tasks import Task, TaskKind

_TOLD = {
    TaskKind.FUSE: "the interfacing of {pieces}",
    TaskKind.MOUNT: "the layer behind {pieces}",
    TaskKind.TAPE: "the tape along {places}",
    TaskKind.DARTS: "the darts {places}",
    TaskKind.TUCKS: "the tucks {places}",
    TaskKind.PLEATS: "the pleats {places}",
    TaskKind.SEAM: "the seam of {places}",
    TaskKind.ZIP: "the zip in {places}",
    TaskKind.MAKE_UP: "the {layer} of {pieces}",
    TaskKind.LAY_IN: "laying in the {layer} along {places}",
    TaskKind.JOIN: "joining the {layer} along {places}",
    TaskKind.BIND: "the binding of {places}",
    TaskKind.FACE: "the facing of {places}",
    TaskKind.FINISH: "finishing {places}",
    TaskKind.HEM: "the hem of {places}",
    TaskKind.BONES: "the bones {places}",
    TaskKind.FELL: "felling the {layer} to the zip",
    TaskKind.BUTTONS: "the buttons",
}


def told(task: Task) -> str:
    """A task in a few words of the style."""
    if task.kind == TaskKind.OWN:
        step = task.own[0]
        return f"the step {step.name or step.words!r}".replace("'", '"')
    places = " and ".join(".".join(place) for place in task.places)
    return _TOLD[task.kind].format(places=places, pieces=" and ".join(task.all_pieces), layer=task.layer)


def why(rule: Precedence) -> str:
    return WHY[rule.why].format(place=_written(rule.place))


def _written(place: Place) -> str:
    return ".".join(filter(None, place))


def judge_order(order: OrderOfWork, run: Run) -> None:
    """Record D595 for every body in `run`."""
    for refusal in order.refused:
        _refuse(refusal, run)


def _refuse(refusal: Refusal, run: Run) -> None:
    first = refusal.rules[0].first
    reasons = (f"{told(rule.first)} before {told(rule.then)}: {why(rule)}" for rule in refusal.rules)
    run.fail(
        True,
        "D595",
        f"{told(first)[0].upper()}{told(first)[1:]} could no longer be reached",
        span=refusal.step.span,
        expected="; ".join(reasons),
        found="this step asks for the other order",
        suggestion="Take what this step says after `after` or `before` out, or name an earlier work there.",
        others=[(seam.span, "sewn here") for seam in first.seams[:1]],
    )
