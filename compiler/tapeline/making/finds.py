"""What the check of a style looks for in its finds: values that fit beside the one that is taken, for bodies of every day.

These are the sizes of the house table that has every measure of the shipped styles.  A style that measures something else is
looked at for the bodies of its worked examples alone (`drafting.examples`), and by `tapeline probe` for all that are declared.
"""

from __future__ import annotations

from pathlib import PurePath

import numpy as np

from ..drafting.roots import several_of
from ..meaning.style import Style
from ..source.diagnostics import Diagnostic
from ..source.world import World
from .sizes import sizes_for
from .texts import TABLE

USUAL_SIZES = PurePath(TABLE.folder, "quay_row.csv")


def doubtful_finds(world: World, style: Style) -> list[Diagnostic]:
    """D540 of each find with several values for one of the usual sizes, said of the first such size."""
    if not any(step.operation == "solve" for plan in style.plans() for step in plan.steps):
        return []
    sizes, _ = sizes_for(world, USUAL_SIZES, style)
    if sizes is None:
        return []
    measures = {name: np.array([card.values[name] for card in sizes.cards]) for name in style.needed}
    return several_of(style, measures, {}, sizes.cards[0].unit, [sizes.body_name(name) for name in sizes.names])
