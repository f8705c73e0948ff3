"""What is drafted again as measures and choices change is what a fresh draft gives: pattern, ledgers and failures.

Each walk moves one slider after another, by little and by much, to and fro, through forks and bodies that fail.
"""

import zlib
from dataclasses import fields, is_dataclass

import numpy as np
import pytest

from tapeline.drafting.again import Again
from tapeline.drafting.run import draft
from tapeline.geometry.path import Path
from tapeline.geometry.segments import Segment
from tapeline.making.bodies import read_body
from tapeline.session import Session
from tapeline.source.world import standard_folder

NEAR = 1e-6  # mm
WALKS = {  # style -> steps: forks, nested and single finds, darts moved, collars, pleats, foundations, something for one side alone
    "straight_skirt": 8,
    "vented_pencil_skirt": 6,
    "waisted_dress": 4,
    "princess_bodice": 5,
    "peter_pan_blouse": 5,
    "flounced_skirt": 4,
    "draped_skirt": 4,
    "half_circle_skirt": 10,
    "wrap_bodice": 4,
}
SESSION, STYLES = Session(), standard_folder("styles")


def unlike(one, other, where="", most=NEAR):
    """Where two drafts differ: places, each with its figures.  What is worked out when asked, or kept as a callable, is not looked at."""
    if isinstance(one, np.ndarray | float | int) and isinstance(other, np.ndarray | float | int):
        a, b = np.asarray(one, dtype=float), np.asarray(other, dtype=float)
        if a.shape != b.shape:
            return [f"{where}: {a.shape} {b.shape}"]
        same = (np.abs(a - b) <= most) | (np.isnan(a) & np.isnan(b)) | (a == b)
        return [] if same.all() else [f"{where}: {a[~same][:3]} {b[~same][:3]}"]
    if isinstance(one, Path) and isinstance(other, Path):
        return unlike(one.segments, other.segments, where, most)
    if type(one) is not type(other):
        return [f"{where}: {type(one).__name__} {type(other).__name__}"]
    if isinstance(one, Segment):
        return [found for part in one.made_of for found in unlike(getattr(one, part), getattr(other, part), f"{where}.{part}", most)]
    if is_dataclass(one):
        return [
            found
            for field in fields(one)
            if not field.name.startswith("_")
            for found in unlike(getattr(one, field.name), getattr(other, field.name), f"{where}.{field.name}", most)
        ]
    if isinstance(one, dict):
        if list(one) != list(other):
            return [f"{where}: {list(one)} {list(other)}"]
        return [found for key in one for found in unlike(one[key], other[key], f"{where}[{key}]", most)]
    if isinstance(one, tuple | list):
        if len(one) != len(other):
            return [f"{where}: {len(one)} {len(other)}"]
        return [found for k, (a, b) in enumerate(zip(one, other, strict=True)) for found in unlike(a, b, f"{where}[{k}]", most)]
    return [] if callable(one) or one == other or type(one).__eq__ is object.__eq__ else [f"{where}: {one} {other}"]


def told(drafted):
    return [(one.code, one.severity, one.title, one.span, one.found) for one in (failure.diagnostic(0) for failure in drafted.failures)]


def hold_alike(again, fresh):
    assert again.plan is fresh.plan and (again.failed == fresh.failed).all()
    assert told(again) == told(fresh)
    differ = unlike(again.pattern, fresh.pattern, "pattern") + unlike(again.ledgers, fresh.ledgers, "ledgers")
    assert not differ, differ[:5]


def moved(random, values, choices, drafted):
    """One slider moved: mostly a little, now and then far, or a choice to any value of its range."""
    values, choices = dict(values), dict(choices)
    offered = drafted.plan.choices
    if offered and random.random() < 0.4:
        choice = offered[str(random.choice(list(offered)))]
        (step,) = [step for step in drafted.plan.steps if step.out == choice.slot]
        if choice.kind.word == "condition":
            choices[choice.name] = float(random.integers(2))
        elif len(step.placed) == 3:
            low, high = (float(drafted.run.filled[slot][0]) for slot in step.placed[1:])
            value = random.uniform(low, high)
            choices[choice.name] = float(round(value)) if choice.kind.word == "number" else value
    else:
        name = str(random.choice(list(values)))
        values[name] *= 1.0 + random.choice([0.002, -0.005, 0.01, 0.2, -0.2], p=[0.3, 0.3, 0.2, 0.1, 0.1])
    return values, choices


def walk(style, values, steps, seed):
    random, again, choices = np.random.default_rng(seed), Again(style), {}
    start = values
    for step in range(steps):
        one = again.draft(values, choices)
        fresh = draft(style, {name: np.array([value]) for name, value in values.items()}, choices, bodies=1)[0]
        hold_alike(one, fresh)
        values, choices = moved(random, values, choices, fresh) if step % 4 != 3 else (start, choices)


@pytest.mark.parametrize("name", WALKS)
def test_a_walk_of_the_sliders_ends_where_a_fresh_draft_does(name):
    style = SESSION.read(STYLES / f"{name}.style").sound
    card, _ = read_body(SESSION.world, STYLES / "bodies" / "nell.toml", style, True)
    walk(style, {one: card.values[one] for one in style.needed}, WALKS[name], zlib.crc32(name.encode()))
