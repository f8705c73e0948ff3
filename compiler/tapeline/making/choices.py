"""Choices as they are set, `name=value`, read by the kind that the style gave them.

A length needs its unit, an angle `deg`; a number may be a fraction or a percentage; a condition is yes or no.
Every fault is a diagnostic that shows the setting as it was typed.  A choice that is given as a figure is written out first, so
that it is read as any other.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from decimal import Decimal
from numbers import Real

import numpy as np

from ..drafting.steps import Run
from ..meaning.plan import Choice, needed_steps
from ..meaning.style import Style
from ..source.diagnostics import Diagnostic
from ..source.quantity import read_length, read_number
from ..source.suggest import did_you_mean
from ..source.text import Argument, Span
from ..source.units import LENGTHS, TOLD

Choices = Iterable[str] | Mapping[str, float | str]  # "name=value", or name -> as written, or mm, degrees, yes or no

_LONGEST = 40  # characters of a value; bounds the work
_EXAMPLES = {
    "length": ("a length with its unit", "82 cm"),
    "angle": ("an angle", "12 deg"),
    "condition": ("yes or no", "yes"),
    "number": ("a number", "3"),
    "count": ("a whole number", "3"),
}


def choices_of(style: Style) -> dict[str, Choice]:
    """Every choice that the style offers in any course of its rules."""
    return {name: choice for plan in style.plans() for name, choice in plan.choices.items()}


def counts_of(style: Style) -> set[str]:
    """The choices that say how many of something there are."""
    return {
        name
        for plan in style.plans()
        for name, choice in plan.choices.items()
        if any(fork.kind == "count" and fork.slot == choice.slot for fork in plan.forks)
    }


def read_choices(
    choices: Choices, known: Mapping[str, Choice], counts: Collection[str] = ()
) -> tuple[dict[str, float], list[Diagnostic]]:
    """The values of the settings, mm for lengths and radians for angles.  C101 to C104.

    `counts` are the choices of which the style counts something out, which must be whole.
    """
    values: dict[str, float] = {}
    diagnostics: list[Diagnostic] = []
    for setting in _settings(choices, known):
        name, _, written = (part.strip() for part in setting.partition("="))
        source = Argument("choices", " ".join(setting.split()))
        span = Span(source, 0, len(source.text))
        if name not in known:
            expected = f"one of: {', '.join(known)}" if known else "no choice: this style offers none"
            diagnostics.append(
                Diagnostic("C101", "The style offers no such choice", span, expected, f'"{name}"', did_you_mean(name, known))
            )
        elif name in values:
            diagnostics.append(
                Diagnostic(
                    "C104", "This choice is set twice", span, "each choice once", f"a second {name}", "Leave one of the two out."
                )
            )
        else:
            word = "count" if name in counts else known[name].kind.word
            value, problem = _read(name, written, word, span)
            if problem is None:
                values[name] = value
            else:
                diagnostics.append(problem)
    return values, diagnostics


def wrong_choices(style: Style, choices: Choices) -> list[Diagnostic]:
    """All that is wrong with the choices where there is no body to draft: D402 too, of those whose range rests on none."""
    values, told = read_choices(choices, choices_of(style), counts_of(style))
    return [*told, *out_of_range(style, values)]


def out_of_range(style: Style, values: Mapping[str, float]) -> list[Diagnostic]:
    """D402 of every value whose range rests on no body."""
    told: list[Diagnostic] = []
    for plan in style.plans():
        chosen = {choice.slot for name, choice in plan.choices.items() if name in values}
        for slot in chosen:
            steps = needed_steps(plan.steps, [slot])
            if any(step.operation == "measure" for step in steps):
                continue
            run = Run(plan, 1, {}, {name: np.array([value]) for name, value in values.items()})
            run.carry_out(steps)
            told += [failure.diagnostic(0) for failure in run.failures]
    return list(dict.fromkeys(told))


def _settings(choices: object, known: Mapping[str, Choice]) -> list[str]:
    """What is given as it would be typed, one setting each; what is no setting stands there as it is, to be told."""
    if isinstance(choices, Mapping):
        return [f"{name}={_written(value, known.get(name))}" for name, value in choices.items()]
    if choices is None:
        return []
    return [str(setting) for setting in (choices if isinstance(choices, Iterable) and not isinstance(choices, str) else (choices,))]


def _written(value: object, choice: Choice | None) -> str:
    """A figure as it would be typed: millimetres for a length, degrees for an angle, yes or no for a condition."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, (Real, Decimal)):
        return str(value)
    unit = {"length": " mm", "angle": " deg"}.get(choice.kind.word, "") if choice is not None else ""
    return f"{Decimal(repr(float(value))):f}{unit}"


def _read(name: str, written: str, word: str, span: Span) -> tuple[float, Diagnostic | None]:
    expected, example = _EXAMPLES.get(word, _EXAMPLES["number"])
    if len(written) <= _LONGEST:
        if word == "length":
            length = read_length(written)
            if length is not None and not length[1]:
                units = " or ".join(f"{name}='{written} {unit}'" for unit in TOLD)
                return math.nan, Diagnostic(
                    "C102", f"{name} has no unit", span, f"a number and its unit: {', '.join(LENGTHS)}", written, f"Write {units}."
                )
            if length is not None:
                return float(length[0]), None
        elif word == "condition":
            if written in ("yes", "no"):
                return float(written == "yes"), None
        else:
            value = _number(written, "deg" if word == "angle" else "%")
            if value is not None and not (word == "count" and value % 1.0):
                return value, None
    excerpt = written if len(written) <= _LONGEST else f"{written[:_LONGEST]}..."
    return math.nan, Diagnostic(
        "C103", f"{name} cannot be read", span, expected, excerpt or "nothing", f"Write for example {name}='{example}'."
    )


def _number(written: str, unit: str) -> float | None:
    """A number with the unit `deg`, or with or without `%`."""
    figure, marked = written.removesuffix(unit).strip(), written.endswith(unit)
    if unit == "deg" and not marked:
        return None
    sign = -1.0 if figure.startswith("-") else 1.0
    try:
        value = sign * float(read_number(figure.removeprefix("-").strip()))
    except ValueError:
        return None
    if unit == "deg":
        return math.radians(value)
    return value / 100.0 if marked else value
