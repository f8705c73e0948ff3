"""The share of bodies that pass, counted in the cells of a grid over two of the variables."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from ..source.units import UNITS
from .probe import AS_USUAL, OVER_RANGES, WITH_CHOICES, Probe, Sample
from .spread import Variable
from .trial import NOT_BELIEVED, PASSES

CELLS = 10  # at most, along either axis
_ROUND = (1.0, 2.0, 2.5, 5.0, 10.0)


class Axis(NamedTuple):
    """A variable cut into cells: `edges` (K + 1,), in millimetres, radians or plain numbers."""

    variable: Variable
    edges: np.ndarray


class Grid(NamedTuple):
    """Bodies of one sample in the cells of two axes: how many were drafted and how many passed, (Y, X)."""

    origin: str
    across: Axis
    down: Axis
    drafted: np.ndarray
    passed: np.ndarray


def most_telling(probe: Probe) -> tuple[Variable, Variable] | None:
    """The two measures by which failing and passing bodies differ most, in their spreads; choices only for want of measures."""
    variables = probe.variables
    if len(variables) < 2:
        return None
    effect = np.zeros(len(variables))
    for sample in probe.samples:
        fails, passes = sample.table[sample.kinds >= 0], sample.table[sample.kinds == PASSES]
        if len(fails) and len(passes):
            apart = np.abs(fails.mean(axis=0) - passes.mean(axis=0))
            spread = np.concatenate([fails, passes]).std(axis=0)
            effect = np.divide(apart, spread, out=np.zeros_like(apart), where=spread > 1e-9)
            break
    order = sorted(range(len(variables)), key=lambda k: (variables[k].choice, -round(float(effect[k]), 9), k))
    first, second = sorted(order[:2])
    return variables[first], variables[second]


def grids(probe: Probe, pair: tuple[Variable, Variable]) -> list[Grid]:
    """The share over the declared ranges, and that of the population: with other choices where a choice is looked at, or
    where nobody fails as the style usually is."""
    by_origin = {sample.origin: sample for sample in probe.samples}
    chosen = [by_origin[OVER_RANGES]] if OVER_RANGES in by_origin else []
    usual, with_choices = by_origin.get(AS_USUAL), by_origin.get(WITH_CHOICES)
    if usual is not None:
        choices_matter = any(variable.choice for variable in pair) or (
            not usual.failed and with_choices is not None and with_choices.failed
        )
        chosen.append(with_choices if choices_matter and with_choices is not None else usual)
    return [_grid(probe, sample, pair) for sample in chosen]


def _grid(probe: Probe, sample: Sample, pair: tuple[Variable, Variable]) -> Grid:
    here = sample.kinds != NOT_BELIEVED
    columns = [probe.variables.index(variable) for variable in pair]
    values = [sample.table[here, column] for column in columns]
    axes = [Axis(variable, _edges(variable, figures, probe.unit)) for variable, figures in zip(pair, values, strict=True)]
    cells = [
        np.clip(np.searchsorted(axis.edges, figures, side="right") - 1, 0, len(axis.edges) - 2)
        for axis, figures in zip(axes, values, strict=True)
    ]
    shape = len(axes[1].edges) - 1, len(axes[0].edges) - 1
    drafted, passed = np.zeros(shape, dtype=int), np.zeros(shape, dtype=int)
    np.add.at(drafted, (cells[1], cells[0]), 1)
    np.add.at(passed, (cells[1], cells[0]), (sample.kinds[here] == PASSES).astype(int))
    return Grid(sample.origin, axes[0], axes[1], drafted, passed)


def _edges(variable: Variable, values: np.ndarray, unit: str) -> np.ndarray:
    """Round figures that hold all the values, at most CELLS apart."""
    low, high = (float(values.min()), float(values.max())) if len(values) else (variable.low, variable.high)
    if variable.whole:
        return np.arange(round(low), round(high) + 2) - 0.5
    scale = UNITS[UNITS[unit].told_in].mm if variable.word == "length" else math.radians(1.0) if variable.word == "angle" else 1.0
    low, high = low / scale, high / scale
    wide = max(high - low, 1e-6)
    power = 10.0 ** math.floor(math.log10(wide / CELLS))
    steps = (factor * power * ten for ten in (1.0, 10.0, 100.0) for factor in _ROUND)
    step = next(step for step in steps if math.ceil(high / step + 1e-9) - math.floor(low / step + 1e-9) <= CELLS)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return np.arange(first, max(last, first + 1) + 1) * step * scale


def percent(passed: int, drafted: int) -> str:
    """The share that passes, in whole percent; 0 and 100 are said only where none or all do."""
    if passed in (0, drafted):
        return "0 %" if passed == 0 else "100 %"
    return f"{min(99, max(1, round(100 * passed / drafted)))} %"
