"""The simplest failing bodies made ready to be told: what is said of each, its figures in words, and its card."""

from __future__ import annotations

import math
import shlex
from dataclasses import dataclass
from pathlib import PurePath

from ..bodies.card import Card
from ..source.diagnostics import Diagnostic
from ..source.quantity import show_number
from ..source.units import UNITS
from .probe import Probe
from .shrink import Simplest
from .spread import Variable
from .trial import FailureKind


@dataclass(frozen=True, slots=True)
class Case:
    """One kind of failure: how often it was met, and the simplest body that ends in it."""

    number: int
    kind: FailureKind
    counts: dict[str, int]
    simplest: Simplest
    diagnostic: Diagnostic
    also: tuple[Diagnostic, ...]  # errors that follow from it, or stand beside it


def cases_of(probe: Probe) -> list[Case]:
    """The kinds of failure, those of the population first, then the most frequent.

    A body on the very edge of failing may pass when it is drafted by itself, by its last bit: then there is nothing to tell of it.
    """
    cases: list[Case] = []
    for simplest in probe.simplest:
        (whole,) = probe.trial.drafted(simplest.body[None])
        errors = [(failure, failure.diagnostic(0)) for failure in whole.failures if failure.bodies[0] and failure.severity == "error"]
        if not errors:
            continue
        kind = probe.kinds[simplest.kind]
        first = next((diagnostic for failure, diagnostic in errors if probe.trial.number_of(failure, 0) == simplest.kind), errors[0][1])
        also = tuple(dict.fromkeys(diagnostic for _, diagnostic in errors if diagnostic != first))
        cases.append(Case(len(cases) + 1, kind, probe.counted(simplest.kind), simplest, first, also))
    return cases


def file_name(probe: Probe, case: Case) -> str:
    return f"{probe.style.plan().name}-fails-{case.number}.toml"


def written(variable: Variable, value: float, unit: str) -> str:
    """A figure so exact that it can be read back: in fractions or few decimals where that is enough."""
    if variable.word == "condition":
        return "yes" if value > 0.5 else "no"
    if variable.word == "angle":
        return f"{_short(math.degrees(value))} deg"
    if variable.word == "length":
        figure = value / UNITS[unit].mm
        if UNITS[unit].fractions and abs(figure * 16 - round(figure * 16)) < 1e-6:
            return variable.show(value, unit)
        return f"{_short(figure)} {unit}"
    return _short(value)


def _short(value: float) -> str:
    return show_number(value, 6)


def card_of(probe: Probe, case: Case) -> Card:
    """The body on a card; what it needs of choices stands in the note."""
    body = case.simplest.body
    measures = [k for k, variable in enumerate(probe.variables) if not variable.choice]
    set_ = settings_of(probe, case)
    note = f"A body that {probe.style.plan().name} cannot take: {case.kind.code} at {case.kind.place}."
    return Card(
        f"Failure {case.number}",
        note + (f" Set: {'; '.join(set_)}." if set_ else ""),
        {probe.variables[k].name: float(body[k]) for k in measures},
        {probe.variables[k].name: written(probe.variables[k], body[k], probe.unit) for k in measures},
        UNITS[probe.unit].told_in,
        {},
    )


def settings_of(probe: Probe, case: Case) -> list[str]:
    """The choices, as NAME=VALUE, that are not what the style usually takes."""
    settings = [
        f"{variable.name}={written(variable, value, probe.unit)}"
        for variable, value in zip(probe.variables, case.simplest.body, strict=True)
        if variable.choice and abs(value - variable.usual) > 1e-9
    ]
    plans = probe.style.plans()
    for name, value in probe.settings.items():
        choice = next(plan.choices[name] for plan in plans if name in plan.choices)
        variable = Variable(name, choice.kind.word, -math.inf, math.inf, 0.0, True)
        settings.append(f"{name}={written(variable, value, probe.unit)}")
    return settings


def command_of(probe: Probe, case: Case, style: str, folder: str = ".") -> str:
    """The command that drafts the body again."""
    words = ["tapeline", "draft", style, "--for", (PurePath(folder) / file_name(probe, case)).as_posix()]
    for setting in settings_of(probe, case):
        words += ["--set", setting]
    return shlex.join([*words, "-o", "pattern"])
