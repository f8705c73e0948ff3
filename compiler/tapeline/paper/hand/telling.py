"""What the drafting sheet says, in words, for the page and for the PDF alike."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import groupby

from ...source.quantity import show_number
from ..house.work import Work
from .section import HandDraft, HandSection, HandStep, upward


def title(work: Work) -> str:
    return work.house.say("{title}, for {name}", title=work.heading.titled, name=work.heading.body_name)


PURPOSE = "Drafting sheet: to be drawn by hand with ruler, square, tape and curve."
READING = (
    "Level is straight across the paper, plumb straight down it; right, left, up and down are as the paper lies. "
    "A point named back.A is the point A of back. Words in round brackets explain; no figure that is needed stands in them.",
    "Of a curve the steps say where it stands off the straight line between its ends: go so far along that line, then so far "
    "off it, square, to the side that is said. Draw one smooth line through these places.",
    "Beside each edge stands its length as sewn. Where seams must match, measure, and shift the end of the edge until it agrees.",
    "Where a length meets a line or another length, swing the tape; the last word says which of the two meetings is meant.",
)


def reading(draft: HandDraft) -> list[str]:
    """How to read the steps."""
    return [draft.rule.say(line) for line in READING]


def exactness(draft: HandDraft) -> list[str]:
    """What the rounding of the figures does, at worst."""
    say = draft.rule.say
    lines = [
        say(
            "Every figure is rounded to {0}. Drawn from these figures no place comes to lie more than {1} from where it belongs"
        ).format(draft.rule.precision, _error(draft, draft.limit()))
    ]
    if draft.worst is not None and draft.worst.worst > 0:
        lines[0] += say(" (at worst {0} of {1})").format(draft.worst.worst_at, draft.worst.name)
    lines[0] += "."
    if draft.seam is not None:
        words = "On no seam do the two sides come out more than {0} more unlike, or less, than in the pattern (at worst {1})."
        lines.append(say(words).format(_error(draft, draft.seam_limit()), draft.seam.name))
    if draft.girths:
        worst = max(draft.girths, key=lambda girth: abs(girth.off))
        words = "Sewn from these figures no girth comes out more than {0} from the ledger's, for the whole body (at worst {1})."
        lines.append(say(words).format(_error(draft, upward(abs(worst.off))), draft.rule.house.call(worst.level)))
    return lines


AS_SEWN = "Girths as sewn"


def as_sewn(draft: HandDraft) -> list[str]:
    """What the levels come to when the pieces are sewn from the printed figures, to check the finished draft by."""
    house, unit = draft.rule.house, draft.rule.unit
    halves = replace(house, fraction=2 * house.fraction)
    lines = []
    for girth in draft.girths:
        parts = ", ".join(f"{house.call(title)} {house.show(width, unit)} x {times}" for title, times, width in girth.parts)
        words = house.say("{0}: {1}: {2} in all, half {3}; the ledger has {4}.")
        sewn, half, stated = house.show(girth.sewn, unit), halves.show(girth.sewn / 2, unit), house.show(girth.stated, unit)
        lines.append(words.format(house.call(girth.level), parts, sewn, half, stated))
    return lines


def _error(draft: HandDraft, mm: float) -> str:
    shown = f"{show_number(mm, 1)} mm"
    return draft.rule.house.figures(f"{shown}, {show_number(mm / 25.4, 2)} in," if draft.rule.unit == "in" else shown)


def figures(draft: HandDraft, work: Work) -> list[tuple[str, str]]:
    """The body's measures and the choices, as they were given."""
    run, index, unit, house = work.run, work.index, draft.rule.unit, work.house
    rows = []
    for name, slot in work.plan.measures.items():
        value = float(run.filled[slot][index])
        # A plan does not keep a measure's kind: no measured angle is over half a turn, no length of a body so short in mm.
        rows.append((name, house.quantity(value, "angle" if abs(value) <= math.pi else "length", unit)))
    for name, choice in work.plan.choices.items():
        rows.append((name, house.quantity(float(run.filled[choice.slot][index]), choice.kind.word, unit)))
    return [(name.replace("_", " "), words) for name, words in rows]


def heading_of(section: HandSection) -> str:
    named = section.title.lower().replace(" ", "_")
    title = section.rule.house.call(section.title)
    return title if named == section.name else f"{title} ({section.name})"


def phases(steps: list[HandStep]) -> list[tuple[str, list[HandStep]]]:
    """The steps under their headings, in order; the headings are English words, to be said in the house's language."""
    return [(heading, list(some)) for heading, some in groupby(steps, key=lambda step: step.heading)]


def step_words(step: HandStep) -> str:
    words = f"{step.name}: {step.words}" if step.name else step.words[:1].upper() + step.words[1:]
    words = words if words.endswith(".") else words + "."
    return f"{words[:-1]} ({step.remark})." if step.remark else words
