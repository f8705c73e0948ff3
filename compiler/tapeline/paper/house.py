"""What a house decides about its papers, so that two workshops can draft one style each in its own way.

A `House` says how lengths are written, on which paper drawings are printed, how notches are made, which turnings the
house uses by kind of edge where a style leaves them open, and in which language signs are labelled.  A style never names
a house; the same style runs under any.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class House:
    name: str = ""  # of the workshop, shown on every paper
    unit: str = ""  # "cm", "mm" or "in"; empty: the body card's
    fraction: int = 16  # inches are written to 1/fraction
    paper: str = ""  # a name of `pages.PAPERS`, or "roll 36 in"; empty: A4 and Letter alike
    overlap: float = 10.0  # mm that neighbouring tiles share; nought: butt edges
    notch: str = "line"  # "line", "triangle" or "slit"
    language: str = "en"
    turnings: dict[str, float] = field(default_factory=dict)  # edge or kind of turning -> mm
