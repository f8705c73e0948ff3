"""How sharply a path bends, told from points on it alone: from the circles through three neighbours."""

import numpy as np

from tapeline.geometry.path import NO_LENGTH

SAMPLES = np.linspace(0.0, 1.0, 65)


def least_radius(path):
    """The least radius (N,) in mm within a segment that has length; infinite where all are straight.  Joints are not looked at."""
    least = np.full(path.n, np.inf)
    for segment in path.segments:
        p, q, r = (segment.sample(SAMPLES)[:, k : len(SAMPLES) - 2 + k] for k in range(3))
        sides = [np.hypot(*np.moveaxis(b - a, -1, 0)) for a, b in ((p, q), (q, r), (p, r))]
        twice = np.abs((q - p)[..., 0] * (r - p)[..., 1] - (q - p)[..., 1] * (r - p)[..., 0])
        with np.errstate(divide="ignore", invalid="ignore"):
            radius = np.prod(sides, axis=0) / (2.0 * twice)
        least = np.where(segment.length() > NO_LENGTH, np.minimum(least, np.nanmin(radius, axis=1, initial=np.inf)), least)
    return least
