"""Words measured by their boxes: what they touch on a drawing, of any paper.

A box is the plate that the drawing model reckons for a text, on the safe side for the faces that stand in for Helvetica.  Leaders may end at
their words, and lead over lines, never over words.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely

from tapeline.paper.drawing.model import Item, Stroke, Text, each_item, polylines, text_plate

HAIR = 1e-6  # mm by which boxes are drawn in, so that words that touch are apart


def touching(items: Iterable[Item]) -> list[str]:
    """Of each text that lies on another, or on a line, what it says and what it lies on."""
    leaves = list(each_item(items))
    texts = [leaf for leaf in leaves if isinstance(leaf, Text) and leaf.words.strip()]
    plates = [shapely.Polygon(text_plate(text).corners()).buffer(-HAIR) for text in texts]
    tree = shapely.STRtree(plates)
    found = [
        f"{texts[one].words!r} on {texts[other].words!r}" for one, other in tree.query(plates, predicate="intersects").T if one < other
    ]
    strokes = [leaf for leaf in leaves if isinstance(leaf, Stroke)]
    runs = [(stroke, points) for stroke in strokes for points in polylines(stroke.commands) if len(points) > 1]
    ends = np.array([len(points) for _, points in runs])
    if len(runs):
        lines = shapely.linestrings(np.concatenate([points for _, points in runs]), indices=np.repeat(np.arange(len(runs)), ends))
        for line, text in tree.query(lines, predicate="intersects").T:
            stroke = runs[line][0]
            if stroke.line != "leader":
                found.append(f"{texts[text].words!r} on {stroke.line} {stroke.name!r}")
            elif shapely.intersection(lines[line], plates[text]).length > 0.5:
                found.append(f"{texts[text].words!r} on a leader")
    return sorted(set(found))
