"""Running the worked examples of a style: what is given is drafted, and the printed figures are compared.

A figure must come out as near as it was written, or as near as its `within` allows.  The values given are
evaluated first, in their order, each with those before it; then the style is drafted for that one body, and
the example is looked up in the plan of the course that the body takes, where its figures have their own slots.
"""

from __future__ import annotations

import math
import re

import numpy as np

from ..geometry.arrays import Floats
from ..meaning.kinds import ANGLE, AREA, CONDITION, LENGTH
from ..meaning.plan import Example, Expectation, Plan, needed_steps
from ..meaning.style import Style
from ..source.diagnostics import Diagnostic, in_order
from ..source.quantity import show_number
from ..source.text import Span
from ..source.units import LENGTHS, UNITS, pattern
from .roots import finds_of
from .run import draft
from .steps import Run

_UNIT = re.compile(rf"\d\s*({pattern(LENGTHS)})\b")
_MOST_DECIMALS = 6


def run_examples(style: Style) -> list[Diagnostic]:
    """What does not come out in the examples of a checked style.

    D470 a figure differs, D471 a measure is not given, D472 the example stands in a course that its body does
    not take, D540 a find has several values for it; and every error of the draft of the body that the example describes.
    """
    read: dict[Span, tuple[Plan, Example]] = {}  # each in the first course that can read it
    for plan in style.plans():
        for example in plan.examples:
            if example.span not in read or (read[example.span][1].wrong and not example.wrong):
                read[example.span] = plan, example
    return in_order([diagnostic for plan, example in read.values() for diagnostic in _run_example(style, plan, example)])


def _run_example(style: Style, plan: Plan, example: Example) -> list[Diagnostic]:
    measures, choices, diagnostics = _given(plan, example)
    names = ", ".join(name for name, _, _ in example.given)
    diagnostics += [
        Diagnostic(
            "D471",
            f"The example does not give {name}",
            example.span,
            "every measure of the style",
            f"given: {names}" if names else "nothing given",
            f"Add a line: given {name} ...",
        )
        for name in plan.measures
        if name not in names.split(", ")
    ]
    if diagnostics:
        return diagnostics
    unit = _written_unit(example)
    drafted = draft(style, measures, choices, unit)[0]
    diagnostics = [
        failure.diagnostic(0, example.source) for failure in drafted.failures if failure.severity == "error" and failure.bodies[0]
    ]
    followed = next((planned for planned in drafted.plan.examples if planned.span == example.span), None)
    if followed is None:
        return [
            *diagnostics,
            Diagnostic(
                "D472",
                "The example stands in rules that its body does not follow",
                example.span,
                "measures and choices that lead to these rules",
                "a body that takes another course",
                "Move the example out of the when, or give it the choices that lead there.",
            ),
        ]
    diagnostics += followed.wrong
    failed = bool(diagnostics)
    for expectation in followed.expectations:
        diagnostics += _compare(drafted.run, expectation, example.source, failed)
    doubtful = [find.diagnostic(0, unit, example.source) for find in finds_of(drafted) if find.several[0]]
    return [*diagnostics, *doubtful]


def _given(plan: Plan, example: Example) -> tuple[dict[str, Floats], dict[str, Floats], list[Diagnostic]]:
    """(measures, choices, diagnostics): the values given, each worked out with those before it."""
    measures: dict[str, Floats] = {}
    choices: dict[str, Floats] = {}
    diagnostics: list[Diagnostic] = []
    for name, slot, span in example.given:
        steps = needed_steps(plan.steps, [slot])
        missing = [step.options["name"] for step in steps if step.operation == "measure" and step.options["name"] not in measures]
        if missing:
            diagnostics.append(
                Diagnostic(
                    "D471",
                    f"{missing[0]} is used before it is given",
                    span,
                    "a figure",
                    span.text,
                    f"Give {missing[0]} in a line above.",
                )
            )
            continue
        run = Run(plan, 1, measures, choices, _written_unit(example))
        run.carry_out(steps)
        diagnostics += [failure.diagnostic(0, example.source) for failure in run.failures]
        (measures if name in plan.measures else choices)[name] = np.asarray(run.filled[slot], dtype=float)
    return measures, choices, diagnostics


def _compare(run: Run, expectation: Expectation, source: str, failed: bool) -> list[Diagnostic]:
    within = expectation.within
    tolerance = expectation.tolerance if within is None else float(run.filled[within][0])
    misses = []
    for axis, value, target in zip(_axes(expectation), expectation.values, expectation.targets, strict=True):
        actual, stated = float(run.filled[value][0]), float(run.filled[target][0])
        if not math.isfinite(actual) and failed:
            continue  # why it could not be drawn has been reported
        # The hair is for figures that lie just on the half of their last place.
        if not abs(actual - stated) <= tolerance + 1e-9 * max(1.0, abs(stated)):
            misses.append((axis, *_shown(stated, actual, tolerance, expectation)))
    if not misses:
        return []
    expected = ", ".join(f"{axis}{stated}" for axis, stated, _, _ in misses)
    shown = ", ".join(f"{axis}{figure}" + (f" ({off} off)" if off else "") for axis, _, figure, off in misses)
    near = "" if expectation.kind == CONDITION else f", to within {_figure(tolerance, expectation, 6)}"
    return [
        Diagnostic(
            "D470",
            f"{expectation.words} does not come out",
            expectation.span,
            expected + near,
            shown,
            "Compare the rules behind it with the source.",
            body=source,
        )
    ]


def _axes(expectation: Expectation) -> tuple[str, ...]:
    return ("across ", "down ") if len(expectation.values) == 2 else ("",)


def _shown(stated: float, actual: float, tolerance: float, expectation: Expectation) -> tuple[str, str, str]:
    """Expected, found and their distance, with as many decimals as it takes to tell them apart and show the slack."""
    if expectation.kind == CONDITION:
        answers = ["yes" if value > 0.5 else "no" for value in (stated, actual)]
        return answers[0], answers[1], ""
    for decimals in range(2, _MOST_DECIMALS + 1):
        texts = [_figure(value, expectation, decimals) for value in (stated, actual, actual - stated)]
        if texts[0] != texts[1] and _figure(2.0 * tolerance, expectation, decimals)[:2] not in ("0", "0 "):
            break
    return texts[0], texts[1], texts[2] if math.isfinite(actual) else ""


def _figure(value: float, expectation: Expectation, decimals: int) -> str:
    """A figure in the unit in which the example writes it."""
    if not math.isfinite(value):
        return "not known"
    unit = _unit(expectation.span.text)
    if expectation.kind == ANGLE:
        return f"{show_number(math.degrees(value), decimals)} deg"
    if expectation.kind == LENGTH:
        return f"{show_number(value / UNITS[unit].mm, decimals)} {unit}"
    if expectation.kind == AREA:
        return f"{show_number(value / 100.0, decimals)} square cm"
    return show_number(value, decimals)


def _written_unit(example: Example) -> str:
    """The unit in which an example is written: that of the first length in its rows."""
    spans = [*(span for _, _, span in example.given), *(expectation.span for expectation in example.expectations)]
    return _unit("\n".join(span.text for span in spans))


def _unit(text: str) -> str:
    """The unit of the first length written in a text, else cm."""
    match = _UNIT.search(text)
    return match[1] if match else "cm"
