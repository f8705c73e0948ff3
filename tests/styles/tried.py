"""The women of both surveys, drafted and finished once a style for all tests that look at them.

In the usual run one woman in so many of each survey is tried, and the first `FIRST` of ANSUR II; with EVERY_WOMAN=1 all are.  They
are drafted together, and each test is told which of them it asked for.  The tests of one style follow each other
(`conftest.py`), so only the drafts of the latest styles are kept.
"""

from __future__ import annotations

import os
from functools import cache, lru_cache
from typing import NamedTuple

import numpy as np
from population import SURVEYS, Bodies

from tapeline.drafting.failures import Failure
from tapeline.finishing.whole import Whole, drafted_whole
from tapeline.meaning.style import Style, read
from tapeline.source.world import FolderWorld, read_text, standard_folder

STYLES = {path.stem: path for path in sorted(standard_folder("styles").glob("*.style"))}
EVERY = bool(os.environ.get("EVERY_WOMAN"))
ONE_IN = {"ANSUR II": 16, "bdims": 4}
FIRST = 60  # women of ANSUR II, who are refused nothing


class Tried(NamedTuple):
    """Women who were drafted together: their `places` (K,) in what was drafted, and their `numbers` (K,) among those asked for."""

    whole: Whole
    places: np.ndarray
    numbers: np.ndarray

    def failures(self, severity: str) -> list[Failure]:
        """What is said of any of them."""
        return [one for one in self.whole.failures if one.severity == severity and one.bodies[self.places].any()]


@cache
def style_of(name: str) -> Style:
    style, found = read(read_text(STYLES[name])[0], FolderWorld(STYLES[name].parent))
    assert style is not None and not found, found
    return style


def numbers_of(survey: str) -> np.ndarray:
    """Which women of a survey are tried by all tests."""
    return np.arange(0, len(SURVEYS[survey]().values["height"]), 1 if EVERY else ONE_IN[survey])


def few(survey: str) -> Bodies:
    """The measures of those women."""
    return SURVEYS[survey]().every(1 if EVERY else ONE_IN[survey])


def women(name: str, survey: str) -> list[Tried]:
    """The women of a survey in one style, one in so many."""
    return _of(name, survey, numbers_of(survey))


def first_women(name: str) -> list[Tried]:
    """The first `FIRST` women of ANSUR II."""
    return _of(name, "ANSUR II", np.arange(FIRST))


def _of(name: str, survey: str, asked: np.ndarray) -> list[Tried]:
    """The women of a survey with these numbers (K,), which grow."""
    wholes, surveys, numbers = _drafted(name)
    tried = []
    for whole in wholes:
        places = np.flatnonzero((surveys[whole.index] == survey) & np.isin(numbers[whole.index], asked))
        if len(places):
            tried.append(Tried(whole, places, np.searchsorted(asked, numbers[whole.index][places])))
    return tried


@lru_cache(maxsize=2)
def _drafted(name: str) -> tuple[list[Whole], np.ndarray, np.ndarray]:
    """All of them, and for each the survey that she is of and her number in it."""
    chosen = {survey: numbers_of(survey) for survey in SURVEYS}
    chosen["ANSUR II"] = np.union1d(chosen["ANSUR II"], np.arange(FIRST))
    style = style_of(name)
    measures = {
        measure: np.concatenate([SURVEYS[survey]().values[measure][numbers] for survey, numbers in chosen.items()])
        for measure in style.plan().measures
    }
    surveys = np.repeat(list(chosen), [len(numbers) for numbers in chosen.values()])
    return drafted_whole(style, measures), surveys, np.concatenate(list(chosen.values()))
