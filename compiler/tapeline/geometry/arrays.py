"""What the arrays of the package hold.

The first axis of every array is the body: N bodies are drafted at once, and entry k of each array is of body k.  Further axes
are told where an array is given or taken, as (N, 2) for a place of each body or (N, K, 2) for K places of each.  Lengths are
in millimetres, angles in radians; NaN stands for what cannot be drawn, and a mask is false there.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Floats: TypeAlias = npt.NDArray[np.float64]  # or a `dual.Dual`, which stands wherever such an array may stand
Mask: TypeAlias = npt.NDArray[np.bool_]
Indices: TypeAlias = npt.NDArray[np.intp]
FloatsLike: TypeAlias = Floats | float  # one number stands for all bodies
Bodies: TypeAlias = Indices | Mask | slice  # some of the N bodies, as an index of the first axis
