"""A style probed: drafted for bodies spread over its declared ranges and for a population, every kind of failure shrunk
to its simplest body, and its conditions proved where intervals can prove them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from typing import Protocol, TypeAlias

import numpy as np

from ..geometry.arrays import Floats, Indices
from ..meaning.style import Style
from .finds import FoundDoubts, doubts_of_finds
from .proving import Proof, prove
from .shrink import Shrinker, Simplest, rounded
from .shrink import simplest as simplest_of_each
from .spread import Variable, believed, choices_spread, spread, variables_of
from .trial import NOT_BELIEVED, PASSES, FailureKind, Trial
from .tries import Tries

MOST_KINDS = 24  # kinds that are shrunk, the most frequent ones
ALONE = 13  # figures over the range of one measure, the others in the middle
MOST_MIDDLES = 256  # bodies looked through for a middle one that passes
OVER_RANGES, AS_USUAL, WITH_CHOICES = "spread over the ranges", "the population", "the population, with other choices"
BY_PROOF = "found by proof"


class Counting(Protocol):
    """What is told how many more bodies have been drafted."""

    def add(self, count: int) -> object: ...


Progress: TypeAlias = Callable[[str, int | None], AbstractContextManager[Counting]]  # takes what is done, and how many in all


@dataclass(slots=True, eq=False)
class Sample:
    """Bodies of one origin (N, V), and how each ended: its kind, PASSES, or NOT_BELIEVED."""

    origin: str
    table: Floats
    kinds: Indices
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
    values: dict[str, Floats]
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
    middle: Floats
    middle_passes: bool
    samples: list[Sample]
    kinds: list[FailureKind]
    cautions: Counter[int]  # number of the kind -> bodies
    simplest: list[Simplest]
    proofs: list[Proof]
    finds: FoundDoubts
    trial: Trial

    @property
    def population_ranges(self) -> list[tuple[Variable, float, float]]:
        """(measure, least, greatest) in the population."""
        women = next((sample.table for sample in self.samples if sample.origin == AS_USUAL), None)
        return (
            []
            if women is None
            else [
                (variable, float(women[:, k].min()), float(women[:, k].max()))
                for k, variable in enumerate(self.variables)
                if not variable.choice
            ]
        )

    def counted(self, kind: int) -> dict[str, int]:
        return {sample.origin: int((sample.kinds == kind).sum()) for sample in self.samples}

    @property
    def fails(self) -> bool:
        return any(sample.failed > 0 for sample in self.samples)


def probe(
    style: Style,
    settings: Mapping[str, float],
    population: Population | None,
    count: int,
    unit: str = "cm",
    progress: Progress | None = None,
    tries: Tries | None = None,
) -> Probe:
    """Probe a style with some of its choices set: `count` bodies over the ranges, and everyone of the population.

    `progress(words, total)` gives a context with `add(n)`; `tries` has the bodies tried by other workers.
    """
    variables = variables_of(style, settings, unit)
    trial = Trial(style, variables, settings, unit, tries)
    middle, women, lacking = _middle(variables, population, unit)
    tables = [(OVER_RANGES, *spread(variables, count, trial.doubts))]
    if women is not None and population is not None:
        tables.append((AS_USUAL, women, population.left_out))
        if any(variable.choice for variable in variables):
            tables.append((WITH_CHOICES, choices_spread(women, variables), 0))

    samples = []
    total = sum(len(table) for _, table, _ in tables)
    with _counted(trial, progress, "drafting", total):
        for origin, table, left_out in tables:
            kinds = trial.kinds_of(table, () if origin != OVER_RANGES else None, count_cautions=True)
            samples.append(Sample(origin, table, kinds, left_out + int((kinds == NOT_BELIEVED).sum())))

    proofs = prove(style, variables, settings, trial, middle, women)
    witnesses = [
        finding.witnesses
        for proof in proofs
        for finding in (proof.declared, proof.over_population)
        if finding is not None and finding.witnesses is not None
    ]
    if witnesses:
        table = np.concatenate(witnesses)
        samples.append(Sample(BY_PROOF, table, trial.kinds_of(table)))
    scale = _scale(variables, women)
    middle, passes = _passing(trial, middle, samples, scale, unit)
    finds = doubts_of_finds(trial, [sample.table[sample.kinds == PASSES] for sample in samples], middle)
    simplest = []
    if any(sample.failed for sample in samples):
        with _counted(trial, progress, "shrinking", None):
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
        finds,
        trial,
    )


@contextmanager
def _counted(trial: Trial, progress: Progress | None, words: str, total: int | None) -> Iterator[None]:
    """The trial's drafts counted by a progress, if there is one."""
    if progress is None:
        yield
        return
    with progress(words, total) as counter:
        trial.done = counter.add
        try:
            yield
        finally:
            trial.done = lambda count: None


def _middle(variables: Sequence[Variable], population: Population | None, unit: str) -> tuple[Floats, Floats | None, list[str]]:
    """(a middle body, the population as a table or None, the measures that it lacks)."""
    middle = np.array([variable.usual for variable in variables])
    if population is None or not population.count:
        return rounded(middle, variables, unit), None, []
    lacking = [variable.name for variable in variables if not variable.choice and variable.name not in population.values]
    for k, variable in enumerate(variables):
        if not variable.choice and variable.name in population.values:
            middle[k] = float(np.median(population.values[variable.name]))
    middle = rounded(middle, variables, unit)
    women = np.tile(middle, (population.count, 1))
    for k, variable in enumerate(variables):
        if not variable.choice and variable.name in population.values:
            women[:, k] = population.values[variable.name]
    return middle, women, lacking


def _scale(variables: Sequence[Variable], women: Floats | None) -> Floats:
    """How much of each variable counts as one when bodies are compared: the population's spread, else a sixth of the range."""
    scale = np.array([(variable.high - variable.low) / (2.0 if variable.choice else 6.0) for variable in variables])
    if women is not None and len(women) > 1:
        spread_of = women.std(axis=0)
        scale = np.where(spread_of > 0.0, spread_of, scale)
    return np.where(scale > 0.0, scale, 1.0)


def _passing(trial: Trial, middle: Floats, samples: Sequence[Sample], scale: Floats, unit: str) -> tuple[Floats, bool]:
    """A middle body that passes: the medians, else the nearest of all who passed, on round figures if those pass too."""
    passed = np.concatenate([sample.table[sample.kinds == PASSES] for sample in samples])
    if len(passed):
        off = (np.abs(passed - middle) / scale).sum(axis=1)
        passed = passed[np.argsort(off, kind="stable")[: MOST_MIDDLES // 4]]
    tries = np.concatenate([middle[None], *(rounded(passed, trial.variables, unit, place) for place in (2, 3)), passed])
    good = np.flatnonzero(trial.kinds_of(tries[:1]) == PASSES)
    if not len(good) and len(tries) > 1:
        good = np.flatnonzero(trial.kinds_of(tries) == PASSES)
    return (tries[good[0]], True) if len(good) else (middle, False)


def _alone(variables: Sequence[Variable], middle: Floats) -> Floats:
    """The middle body with each variable in turn anywhere in its range: of failures by one measure alone, the first to be seen."""
    tables = []
    for k, variable in enumerate(variables):
        figures = np.arange(variable.low, variable.high + 1.0) if variable.whole else np.linspace(variable.low, variable.high, ALONE)
        table = np.tile(middle, (len(figures), 1))
        table[:, k] = figures
        tables.append(table)
    return np.concatenate(tables) if tables else middle[None]


def _simplest(trial: Trial, middle: Floats, samples: Sequence[Sample], scale: Floats, unit: str) -> list[Simplest]:
    frequent: Counter[int] = Counter()
    for weight, sample in ((1, samples[0]), *((1000, sample) for sample in samples[1:])):  # those met with go first
        numbers, counts = np.unique(sample.kinds[sample.kinds >= 0], return_counts=True)
        frequent.update({int(number): weight * int(count) for number, count in zip(numbers, counts, strict=True)})
    alone = _alone(trial.variables, middle)
    tables = [*(sample.table for sample in samples), alone]
    kinds = [*(sample.kinds for sample in samples), trial.kinds_of(alone)]
    shrinkers = []
    for kind, _ in frequent.most_common(MOST_KINDS):
        failing = np.concatenate([table[own == kind] for table, own in zip(tables, kinds, strict=True)])
        good = believed(failing, trial.variables, trial.doubts)  # of a population some may be doubted
        failing = failing[good] if good.any() else failing
        shrinkers.append((Shrinker(kind, trial.kinds[kind].of_allowances, trial.variables, middle, scale, unit), failing))
    return simplest_of_each(trial, shrinkers)
