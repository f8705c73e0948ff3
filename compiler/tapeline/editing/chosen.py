"""The chosen body, and what the names of a style come to for it.

Only the steps that the named quantities rest on are carried out, nothing is finished, and a quantity that cannot be worked out for
this body has no value.  So it is the same figure as in a draft, and takes less time.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import PurePath

import numpy as np

from ..bodies.card import Card
from ..drafting.courses import courses, start
from ..making.choices import choices_of, counts_of, read_choices
from ..meaning.plan import needed_steps
from ..session import Reading
from ..source.diagnostics import Diagnostic, refused
from ..source.quantity import show_figure
from ..source.world import STYLES, World, standard_folder


@dataclass(frozen=True)
class ChosenBody:
    """A card and a house by their paths, and choices as they are set, `{"length": "62 cm"}`."""

    card: PurePath
    house: PurePath | None = None
    choices: Mapping[str, str] = field(default_factory=dict)


def body_path(world: World, name: str, folder: str = "bodies") -> PurePath | None:
    """The path of a body (or, in `houses`, a house): as given, or that of the bare name of one that comes with the program."""
    path = PurePath(name)
    if path.suffix:
        return path
    shipped = standard_folder(STYLES) / folder / f"{name}.toml"
    return PurePath(shipped) if path.name == name and shipped.is_file() else None


def no_such_body(name: str, folder: str = "bodies") -> Diagnostic:
    home = standard_folder(STYLES) / folder
    known = ", ".join(sorted(file.stem for file in home.glob("*.toml")))
    what = "house" if folder == "houses" else "body"
    return refused(name, "F001", f"There is no {what} of this name", f"a file, or one of: {known}", name, "Give the path of the file.")


def values_for(reading: Reading, body: ChosenBody) -> tuple[dict[str, str], list[Diagnostic]]:
    """What each measure, choice and named quantity comes to, in the words of the house's unit or the card's, and under "" the name of
    the body.  Empty where the text is not in order, or the body cannot be used, which is said."""
    style = reading.style
    if style is None:
        return {}, []
    card, said = reading.card(body.card, accept=True)
    house, about = reading.house(body.house)
    chosen, wrong = read_choices(body.choices, choices_of(style), counts_of(style))
    if card is None or house is None:
        return {}, [*said, *about]
    unit = house.unit or card.unit
    return _values(reading, card, chosen, unit), [*said, *about, *wrong]


def _values(reading: Reading, card: Card, chosen: Mapping[str, float], unit: str) -> dict[str, str]:
    style = reading.sound
    told = {"": card.name}
    for name, value in card.values.items():
        if name in style.measurements:
            told[name] = style.measurements[name].show(value, unit)
    measures = {name: np.array([value]) for name, value in card.values.items()}
    choices = {name: np.array([value]) for name, value in chosen.items()}
    for outcomes, index in courses(style, np.arange(1), measures, choices, unit):
        plan = style.plan(outcomes)
        slots = {name: (value.slot, value.kind.word) for name, value in plan.values.items() if value.slot >= 0}
        slots |= {name: (choice.slot, choice.kind.word) for name, choice in plan.choices.items()}
        run = start(plan, index, measures, choices, unit)
        run.quiet = True
        run.carry_out(needed_steps(plan.steps, [slot for slot, _ in slots.values()]))
        for name, (slot, kind) in slots.items():
            value = float(np.ravel(run.filled[slot])[0])
            if np.isfinite(value):
                told[name] = show_figure(value, kind, unit)
    return told
