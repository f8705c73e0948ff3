"""The words of a drafting sheet: one short template for each move of a drafter.

Points are said as the language says them, with this body's figures.  What stands in round brackets explains and may be
passed over: every figure that is needed to draw stands outside them.
"""

from __future__ import annotations

BASE = {
    "start": "start here",
    "point": "from {0}",
    "half": "halfway from {0} to {1}",
    "part": "{part} of the way from {0} to {1}",
    "level_line": "on the centre line at the level of {0}",
    "lines": "where {first} meets {second}",
    "halving": "on the line from {0} that halves its angle from {1} to {2}, {length} from {0}",
    "foot": "where the square from {0} meets {line}",
    "tape_line": "where {radius} from {0} meets {line}, {side}",
    "tapes": "where {radius} from {0} meets {other} from {1}, {side}",
}

LINE = {
    "level": "the level of {0}",
    "plumb": "the plumb of {0}",
    "between": "the line {0} to {1}",
    "halving": "the line from {0} that halves its angle from {1} to {2}",
}

MOVE = {
    "way": "{way} {length}",
    "toward": "toward {0} {length}",
    "away": "away from {0} {length}",
    "square": "square to the line {0} to {1}, {way} {length}",
}

STRETCH = {
    "straight": "straight from {0} to {1}",
    "arc": "arc about {2} from {0} to {1}, the tape at {radius}",
    "curve": "curve from {0} to {1}, off the straight line between them: {offsets}",
}
OFFSET = "at {along}: {off} {way}"
ON_LINE = "at {along}: on it"

STEP = {
    "level": "square lines across a plumb centre line; down from {0}: {rows}",
    "trace": "trace from {0}, start laid on start: {names}",
    "dart": "legs {near}; {far}; laid toward {press}",
    "peak": "; folded, its edge comes to a peak {length} {way} the straight line between its feet, on the fold",
    "inner": "a dart within the piece: {sides}",
    "pleat": "fold along {fold}; lay the fold to {laid}",
    "mark": "{lines}",
    "place": "at {0}",
    "traced": "as {0} of {1}, traced",
    "notches": "on {edge}, at {points}",
}


def counted(names: list[str]) -> str:
    """Names in a row."""
    return ", ".join(names)
