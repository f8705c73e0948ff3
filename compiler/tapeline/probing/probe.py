"""A style probed: drafted for bodies spread over its declared ranges and for a population, every kind of failure shrunk
to its simplest body, and its conditions proved where intervals can prove them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..meaning.style import Style
from .proving import Proof, prove
from .shrink import Shrinker, Simplest, rounded
from .shrink import simplest as simplest_of_each
from .spread import Variable, believed, choices_spread, spread, variables_of
from .trial import NOT_BELIEVED, PASSES, Kind, Trial
from .tries import Tries

MOST_KINDS = 24  # kinds that are shrunk, the most frequent ones
ALONE = 13  # figures over the range of one measure, the others in the middle
MOST_MIDDLES = 256  # bodies looked through for a middle one that passes
OVER_RANGES, AS_USUAL, WITH_CHOICES = "spread over the ranges", "the population", "the population, with other choices"
BY_PROOF = "found by proof"


@dataclass(slots=True, eq=False)
class Sample:
    """Bodies of one origin (N, V), and how each ended: its kind, PASSES, or NOT_BELIEVED."""

    origin: str
    table: np.ndarray
    kinds: np.ndarray
    left_out: int = 0  # bodies that were not believable, and not drafted

    @property
    def drafted(self) -> int:
        return int((self.kinds != NOT_BELIEVED).sum())

    @property
    def failed(self) -> int:
        return int((self.kinds >= 0).sum())


@dataclass(slots=True, eq=False)
class Population:
    """Bodies that are met with: measure -> values (N,).  `left_out` of its table lacked a measure that others have."""

    name: str
    values: dict[str, np.ndarray]
    count: int
    left_out: int = 0


@dataclass(slots=True, eq=False)
class Probe:
    style: Style
    unit: str
    variables: list[Variable]
    settings: dict[str, float]
    population: str
    lacking: list[str]  # measures that the population has not; held at the middle body's
    middle: np.ndarray
    middle_passes: bool
    samples: list[Sample]
    kinds: list[Kind]
    cautions: Counter
    simplest: list[Simplest]
    proofs: list[Proof]
    trial: Trial

    @property
    def met_ranges(self) -> list[tuple[Variable, float, float]]:
        """(measure, least, greatest) in the population."""
        women = next((one.table for one in self.samples if one.origin == AS_USUAL), None)
        return (
            []
            if women is None
            else [(one, float(women[:, k].min()), float(women[:, k].max())) for k, one in enumerate(self.variables) if not one.choice]
        )

    def counted(self, kind: int) -> dict[str, int]:
        return {one.origin: int((one.kinds == kind).sum()) for one in self.samples}

    @property
    def fails(self) -> bool:
        return any(one.failed for one in self.samples)


def probe(
    style: Style,
    settings: Mapping[str, float],
    population: Population | None,
    count: int,
    unit: str = "cm",
    progress: Callable[[str, int], object] | None = None,
    tries: Tries | None = None,
) -> Probe:
    """Probe a style with some of its choices set: `count` bodies over the ranges, and everyone of the population.

    `progress(words, total)` gives a context with `add(n)`; `tries` has the bodies tried by other hands.
    """
    variables = variables_of(style, settings)
    trial = Trial(style, variables, settings, unit, tries)
    middle, women, lacking = _middle(variables, population, unit)
    tables = [(OVER_RANGES, *spread(variables, count, trial.doubts))]
    if women is not None:
        tables.append((AS_USUAL, women, population.left_out))
        if any(one.choice for one in variables):
            tables.append((WITH_CHOICES, choices_spread(women, variables), 0))

    samples = []
    total = sum(len(table) for _, table, _ in tables)
    with _shown(trial, progress, "drafting", total):
        for origin, table, left_out in tables:
            kinds = trial.kinds_of(table, () if origin != OVER_RANGES else None, count_cautions=True)
            samples.append(Sample(origin, table, kinds, left_out + int((kinds == NOT_BELIEVED).sum())))

    proofs = prove(style, variables, settings, trial, middle, women)
    witnesses = [
        one.witnesses for proof in proofs for one in (proof.declared, proof.met) if one is not None and one.witnesses is not None
    ]
    if witnesses:
        table = np.concatenate(witnesses)
        samples.append(Sample(BY_PROOF, table, trial.kinds_of(table)))
    scale = _scale(variables, women)
    middle, passes = _passing(trial, middle, samples, scale, unit)
    simplest = []
    if any(one.failed for one in samples):
        with _shown(trial, progress, "shrinking", None):
            simplest = _simplest(trial, middle, samples, scale, unit)
    return Probe(
        style,
        unit,
        variables,
        dict(settings),
        population.name if population else "",
        lacking,
        middle,
        passes,
        samples,
        trial.kinds,
        trial.cautions,
        simplest,
        proofs,
        trial,
    )


class _shown:
    """The trial's drafts counted by a progress, if there is one."""

    def __init__(self, trial: Trial, progress, words: str, total: int | None):
        self.trial, self.progress = trial, progress(words, total) if progress else None

    def __enter__(self):
        if self.progress is not None:
            self.trial.done = self.progress.__enter__().add

    def __exit__(self, *what):
        self.trial.done = lambda count: None
        if self.progress is not None:
            self.progress.__exit__(*what)


def _middle(variables: Sequence[Variable], population: Population | None, unit: str):
    """(a middle body, the population as a table or None, the measures that it lacks)."""
    middle = np.array([one.usual for one in variables])
    if population is None or not population.count:
        return rounded(middle, variables, unit), None, []
    lacking = [one.name for one in variables if not one.choice and one.name not in population.values]
    for k, one in enumerate(variables):
        if not one.choice and one.name in population.values:
            middle[k] = float(np.median(population.values[one.name]))
    middle = rounded(middle, variables, unit)
    women = np.tile(middle, (population.count, 1))
    for k, one in enumerate(variables):
        if not one.choice and one.name in population.values:
            women[:, k] = population.values[one.name]
    return middle, women, lacking


def _scale(variables: Sequence[Variable], women: np.ndarray | None) -> np.ndarray:
    """How much of each variable counts as one when bodies are compared: the population's spread, else a sixth of the range."""
    scale = np.array([(one.high - one.low) / (2.0 if one.choice else 6.0) for one in variables])
    if women is not None and len(women) > 1:
        spread_of = women.std(axis=0)
        scale = np.where(spread_of > 0.0, spread_of, scale)
    return np.where(scale > 0.0, scale, 1.0)


def _passing(trial: Trial, middle: np.ndarray, samples: Sequence[Sample], scale, unit: str) -> tuple[np.ndarray, bool]:
    """A middle body that passes: the medians, else the nearest of all who passed, on round figures if those pass too."""
    passed = np.concatenate([one.table[one.kinds == PASSES] for one in samples])
    if len(passed):
        off = (np.abs(passed - middle) / scale).sum(axis=1)
        passed = passed[np.argsort(off, kind="stable")[: MOST_MIDDLES // 4]]
    tries = np.concatenate([middle[None], *(rounded(passed, trial.variables, unit, place) for place in (2, 3)), passed])
    good = np.flatnonzero(trial.kinds_of(tries[:1]) == PASSES)
    if not len(good) and len(tries) > 1:
        good = np.flatnonzero(trial.kinds_of(tries) == PASSES)
    return (tries[good[0]], True) if len(good) else (middle, False)


def _alone(variables: Sequence[Variable], middle: np.ndarray) -> np.ndarray:
    """The middle body with each variable in turn anywhere in its range: of failures by one measure alone, the first to be seen."""
    tables = []
    for k, one in enumerate(variables):
        figures = np.arange(one.low, one.high + 1.0) if one.whole else np.linspace(one.low, one.high, ALONE)
        table = np.tile(middle, (len(figures), 1))
        table[:, k] = figures
        tables.append(table)
    return np.concatenate(tables) if tables else middle[None]


def _simplest(trial: Trial, middle: np.ndarray, samples: Sequence[Sample], scale, unit: str) -> list[Simplest]:
    frequent = Counter()
    for weight, sample in ((1, samples[0]), *((1000, one) for one in samples[1:])):  # those met with go first
        numbers, counts = np.unique(sample.kinds[sample.kinds >= 0], return_counts=True)
        frequent.update({int(number): weight * int(count) for number, count in zip(numbers, counts, strict=True)})
    alone = _alone(trial.variables, middle)
    tables = [*(one.table for one in samples), alone]
    kinds = [*(one.kinds for one in samples), trial.kinds_of(alone)]
    shrinkers = []
    for kind, _ in frequent.most_common(MOST_KINDS):
        failing = np.concatenate([table[found == kind] for table, found in zip(tables, kinds, strict=True)])
        good = believed(failing, trial.variables, trial.doubts)  # of a population some may be doubted
        failing = failing[good] if good.any() else failing
        shrinkers.append((Shrinker(kind, trial.kinds[kind].of_allowances, trial.variables, middle, scale, unit), failing))
    return simplest_of_each(trial, shrinkers)
