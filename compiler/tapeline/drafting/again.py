"""One body of a style drafted again and again, as its measures and choices change.

    again = Again(style, unit)
    drafted = again.draft({"waist": 700.0, "hip": 940.0}, {"hem_drop": 20.0})     # mm, radians, 1 and 0
    drafted = again.draft({"waist": 703.0, "hip": 940.0}, {"hem_drop": 20.0})     # only what rests on the waist is drafted again

Each draft is the one that `run.draft` would give of this body alone, to a millionth of a millimetre, whatever was drafted before:
its pattern, its ledgers and its failures.  What is kept of one draft is never changed by the next, so that both can be held.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..meaning.style import Style
from .courses import Draft
from .run import draft
from .uneven import SidesOfBody


class Again:
    """Drafts of one body after another: `unit` is the one in which lengths are told."""

    def __init__(self, style: Style, unit: str = "cm"):
        self.style, self.unit = style, unit

    def draft(self, measures: Mapping[str, float], choices: Mapping[str, float], sides: SidesOfBody | None = None) -> Draft:
        """The draft (of one body, whose place is 0) with all measures that the style needs, and any of its choices; what is not given
        takes its default.  `sides` has the measures whose two sides differ.  ValueError where a measure is lacking."""
        lacking = [name for name in self.style.needed if name not in measures]
        if lacking:
            raise ValueError(f"the style needs {', '.join(lacking)} as well")
        needed = {name: np.array([float(measures[name])]) for name in self.style.needed}
        chosen = {name: np.array([float(value)]) for name, value in choices.items()}
        return draft(self.style, needed, chosen, self.unit, 1, [sides or {}])[0]
